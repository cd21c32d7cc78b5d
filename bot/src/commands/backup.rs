//! `branbell backup`: a copy of a store in one file, made while it is served.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Result;
use branbell_store::copy;

use super::output::out;
use super::stored::{Stored, tell};

/// Copies a store into a file, while it is served.
///
/// The file holds what people told and what was answered. The keys of encrypted rooms are not in it: they lie in the data
/// directory of the service, which may be copied only while the service is stopped.
#[derive(Debug, clap::Args)]
pub struct Backup {
    /// The file to make; one that is there is never written over.
    file: PathBuf,
    #[command(flatten)]
    stored: Stored,
}

/// Makes the backup.
///
/// # Errors
/// The store cannot be read, or the file is there or cannot be made.
pub async fn run(backup: Backup) -> Result<ExitCode> {
    let place = backup.stored.place()?;
    tell(&copy::backup(&place, &backup.file).await?)?;
    writeln!(out(), "{place} is backed up in {}.", backup.file.display())?;
    Ok(ExitCode::SUCCESS)
}
