//! `branbell restore`: a backup, put where a store is to be.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Result;
use branbell_store::copy;

use super::output::out;
use super::stored::{Stored, tell};

/// Puts a backup into a store that is empty or not there yet.
#[derive(Debug, clap::Args)]
pub struct Restore {
    /// The backup.
    file: PathBuf,
    #[command(flatten)]
    stored: Stored,
}

/// Restores the backup.
///
/// # Errors
/// The backup cannot be read, or the store holds something already or cannot be written.
pub async fn run(restore: Restore) -> Result<ExitCode> {
    let place = restore.stored.place()?;
    tell(&copy::restore(&restore.file, &place).await?)?;
    writeln!(out(), "{} is restored to {place}.", restore.file.display())?;
    Ok(ExitCode::SUCCESS)
}
