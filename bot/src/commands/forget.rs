//! `branbell forget`: takes a person out of a room's log, or removes the room.

use std::io::Write;
use std::process::ExitCode;

use anyhow::{Context, Result, ensure};
use branbell_store::Archive;
use chrono::{DateTime, Utc};

use super::output::out;
use super::stored::{Stored, at_store};
use crate::archive;
use crate::clock::Clock;

/// Takes a person out of a room's log, or removes the room. Neither can be taken back.
#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("whom").required(true).args(["person", "everything"]))]
pub struct Forget {
    #[command(flatten)]
    stored: Stored,
    /// The room.
    #[arg(long, value_name = "ID")]
    room: String,
    /// The person: their facts are kept, and who told them is not.
    #[arg(long, value_name = "ID")]
    person: Option<String>,
    /// The room as a whole.
    #[arg(long)]
    everything: bool,
}

/// Forgets.
///
/// # Errors
/// There is no such room or person; a bot serves the account; the store cannot be used.
pub async fn run(forget: Forget, clock: impl Clock) -> Result<ExitCode> {
    at_store!(forget.stored.existing_place()?, look, |store| match &forget.person {
        Some(person) => forget_person(&store, &forget.room, person, clock.now()).await?,
        None => remove(&store, &forget.room).await?,
    });
    Ok(ExitCode::SUCCESS)
}

async fn forget_person(store: &impl Archive, room: &str, person: &str, now: DateTime<Utc>) -> Result<()> {
    loop {
        let before = store.rows(room).await?.with_context(|| format!("there is no room {room} here"))?;
        let forgotten = archive::forget(&before, person, now)?;
        let forgotten =
            forgotten.with_context(|| format!("the room {room} knows nobody of the id {person}"))?;
        // Something came in meanwhile: look again.
        if store.rewrite(room, &before, &forgotten.rows).await? {
            writeln!(
                out(),
                "{person} is forgotten in {room}: {} facts are {}'s now.",
                forgotten.facts,
                forgotten.stand_in
            )?;
            return Ok(());
        }
    }
}

async fn remove(store: &impl Archive, room: &str) -> Result<()> {
    ensure!(store.remove(room).await?, "there is no room {room} here");
    writeln!(out(), "{room} is removed.")?;
    Ok(())
}
