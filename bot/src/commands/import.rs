//! `branbell import`: takes an exported room back.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, Result, ensure};
use branbell_store::Archive;

use super::export::ROOM;
use super::output::out;
use super::stored::{Stored, at_store};
use crate::archive;

/// Takes back a room that `export` wrote.
#[derive(Debug, clap::Args)]
pub struct Import {
    #[command(flatten)]
    stored: Stored,
    /// The directory that `export` wrote.
    #[arg(long, value_name = "DIR")]
    from: PathBuf,
}

/// Takes the room in, as a whole or not at all.
///
/// # Errors
/// The file is no sound export, with what is wrong in which line; the room is there already; the store cannot be used. In
/// all of these nothing was imported.
pub async fn run(import: Import) -> Result<ExitCode> {
    let path = import.from.join(ROOM);
    let file = std::fs::read(&path).with_context(|| format!("{} cannot be read", path.display()))?;
    let read = archive::read_room(&file);
    let (room, rows) = read.with_context(|| format!("nothing was imported from {}", path.display()))?;
    let added = at_store!(import.stored.place()?, open, |store| store.add(&room, &rows).await?);
    ensure!(added, "nothing was imported: the room {room} is here already, and it is not written over");
    writeln!(out(), "{room}: {} facts", rows.facts.len())?;
    Ok(ExitCode::SUCCESS)
}
