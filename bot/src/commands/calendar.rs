//! `branbell calendar`: the plan of a room, as a file for calendar programs.

use std::io::Write;
use std::process::ExitCode;

use anyhow::{Context, Result};
use branbell_store::Archive;
use chrono::{DateTime, Utc};

use super::output::out;
use super::stored::{Stored, at_store, the_room};
use crate::archive;
use crate::calendar;
use crate::clock::Clock;
use crate::voice::Voice;

/// Writes the plan of a room for calendar programs (iCalendar).
#[derive(Debug, clap::Args)]
pub struct Calendar {
    #[command(flatten)]
    stored: Stored,
    /// The room; needed where there are several.
    #[arg(long, value_name = "ID")]
    room: Option<String>,
}

/// Writes the plan to standard output.
///
/// # Errors
/// There is no such room or nothing is planned in it; the store or standard output cannot be used.
pub async fn run(calendar: Calendar, clock: impl Clock) -> Result<ExitCode> {
    let file =
        at_store!(calendar.stored.existing_place()?, look, |store| file(&store, calendar.room, clock.now())
            .await?);
    out().write_all(file.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}

async fn file(store: &impl Archive, room: Option<String>, now: DateTime<Utc>) -> Result<String> {
    let room = the_room(store, room.as_deref()).await?;
    let rows = store.rows(&room).await?.unwrap_or_default();
    let known = archive::room(&rows.facts)?;
    let entries = calendar::entries(&Voice::english(), &room, &known, &rows.nudges, now);
    calendar::file(&entries, now).context("nothing is planned in this room yet: tell it of a bin first")
}
