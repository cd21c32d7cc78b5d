//! The commands, a file each.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use branbell_store::SqliteStore;

pub mod backup;
pub mod calendar;
pub mod export;
pub mod forget;
pub mod import;
pub mod label;
pub mod move_rooms;
mod output;
pub mod read;
pub mod rehearse;
pub mod restore;
pub mod room;
pub mod season;
#[cfg(feature = "matrix")]
pub mod serve;
mod stored;

pub use output::reader_left;

/// The file of the log in a data directory.
const LOG: &str = "branbell.sqlite";

/// Where the terminal room's log is kept, unless said otherwise.
fn data_directory() -> Result<PathBuf> {
    let directory = dirs::data_dir().context("there is no data directory here; name one with --data DIR")?;
    Ok(directory.join("branbell"))
}

/// Opens the log in a data directory, which is made where there is none, for its owner only.
async fn open_store(directory: &Path) -> Result<SqliteStore> {
    Ok(SqliteStore::open(&directory.join(LOG)).await?)
}
