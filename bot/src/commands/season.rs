//! `branbell season`: a script of dated messages in, what happens out.

use std::io::{BufRead, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Result;
use branbell_store::SqliteStore;

use super::open_store;
use super::output::out;
use crate::season::Season;

/// Plays the script on standard input.
///
/// # Errors
/// The store, standard input or output cannot be used.
pub async fn run(data: Option<PathBuf>) -> Result<ExitCode> {
    let store = match data {
        Some(directory) => open_store(&directory).await?,
        None => SqliteStore::in_memory().await?,
    };
    let mut season = Season::new(store);
    let mut out = std::io::BufWriter::new(out());
    for (number, line) in (1..).zip(std::io::stdin().lock().split(b'\n')) {
        for happening in season.line(number, &String::from_utf8_lossy(&line?)).await? {
            writeln!(out, "{}", serde_json::to_string(&happening)?)?;
        }
    }
    for happening in season.end().await? {
        writeln!(out, "{}", serde_json::to_string(&happening)?)?;
    }
    out.flush()?;
    Ok(ExitCode::SUCCESS)
}
