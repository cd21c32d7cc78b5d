//! `branbell calendar`: the plan of a room, as a file for calendar programs.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, Result};
use branbell_store::Archive;

use super::{existing_store, the_room};
use crate::archive;
use crate::calendar;
use crate::clock::Clock;
use crate::voice::Voice;

/// Writes the plan of a room for calendar programs (iCalendar).
#[derive(Debug, clap::Args)]
pub struct Calendar {
    /// Where the log is kept [default: the user's data directory].
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// The room; needed where there are several.
    #[arg(long, value_name = "ID")]
    room: Option<String>,
}

/// Writes the plan to standard output.
///
/// # Errors
/// There is no such room or nothing is planned in it; the store or standard output cannot be used.
pub async fn run(calendar: Calendar, clock: impl Clock) -> Result<ExitCode> {
    let store = existing_store(calendar.data).await?;
    let room = the_room(&store, calendar.room).await?;
    let rows = store.rows(&room).await?.unwrap_or_default();
    let now = clock.now();
    let known = archive::room(&rows.facts)?;
    let entries = calendar::entries(&Voice::english(), &room, &known, &rows.nudges, now);
    let file = calendar::file(&entries, now)
        .context("nothing is planned in this room yet: tell it of a bin first")?;
    std::io::stdout().write_all(file.as_bytes())?;
    Ok(ExitCode::SUCCESS)
}
