//! Stores as the commands that copy them name them.

use anyhow::Result;
use branbell_store::Place;
use branbell_store::copy::Carried;

use super::{LOG, data_directory};

/// The store that a command is about.
#[derive(Debug, clap::Args)]
pub(super) struct Stored {
    /// Where it lies: sqlite://FILE or postgres://USER@HOST/DATABASE [default: the terminal room's log].
    #[arg(long, value_name = "URL")]
    store: Option<String>,
    /// The account whose store it is, in a database that several share.
    #[arg(long, value_name = "NAME")]
    account: Option<String>,
}

impl Stored {
    /// Where it lies.
    pub(super) fn place(&self) -> Result<Place> {
        match &self.store {
            Some(url) => Ok(Place::parse(url, self.account.as_deref())?),
            None => Ok(Place::Sqlite(data_directory()?.join(LOG))),
        }
    }
}

/// Prints what was carried over, a line a table.
pub(super) fn tell(carried: &[Carried]) {
    for Carried { table, rows, checksum } in carried {
        println!("{table:<10} {rows:>10}  sha256 {checksum}");
    }
}
