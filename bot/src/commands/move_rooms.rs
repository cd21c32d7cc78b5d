//! `branbell move`: everything of a store, carried into another place or engine.

use std::io::Write;
use std::process::ExitCode;

use anyhow::Result;
use branbell_store::{Place, copy};

use super::output::out;
use super::stored::tell;

/// Carries a store into another place: from SQLite to PostgreSQL, or the other way. Stop the service first.
///
/// The store that is carried over stays as it was; the new one must be empty or not there yet.
#[derive(Debug, clap::Args)]
pub struct Move {
    /// Where it lies: `sqlite://FILE` or `postgres://USER@HOST/DATABASE`.
    #[arg(long, value_name = "URL")]
    from: String,
    /// Where it is to be.
    #[arg(long, value_name = "URL")]
    to: String,
    /// The account whose store it is, in a database that several share.
    #[arg(long, value_name = "NAME")]
    account: Option<String>,
}

/// Moves the store.
///
/// # Errors
/// The one is being served, the other is not empty, or either cannot be used.
pub async fn run(command: Move) -> Result<ExitCode> {
    let account = command.account.as_deref();
    let (from, to) = (Place::parse(&command.from, account)?, Place::parse(&command.to, account)?);
    tell(&copy::carry(&from, &to).await?)?;
    writeln!(out(), "All of {from} is in {to} now, by number and by checksum. Serve it from there only.")?;
    Ok(ExitCode::SUCCESS)
}
