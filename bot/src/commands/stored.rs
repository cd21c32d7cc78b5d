//! Stores as the commands that are about them name them.

use std::io::{self, Write};
use std::path::PathBuf;

use anyhow::{Result, bail, ensure};
use branbell_store::copy::Carried;
use branbell_store::{Place, Store};

use super::output::out;
use super::{LOG, data_directory};

/// The store that a command is about.
#[derive(Debug, clap::Args)]
pub(super) struct Stored {
    /// Where it lies: `sqlite://FILE` or `postgres://USER@HOST/DATABASE` [default: the terminal room's log].
    #[arg(long, value_name = "URL")]
    store: Option<String>,
    /// The data directory that it lies in, instead.
    #[arg(long, value_name = "DIR", conflicts_with = "store")]
    data: Option<PathBuf>,
    /// The account whose store it is, in a database that several share.
    #[arg(long, value_name = "NAME")]
    account: Option<String>,
}

impl Stored {
    /// Whether it was said where it lies.
    pub(super) fn is_named(&self) -> bool {
        self.store.is_some() || self.data.is_some()
    }

    /// Where it lies.
    pub(super) fn place(&self) -> Result<Place> {
        match (&self.store, &self.data) {
            (Some(url), _) => Ok(Place::parse(url, self.account.as_deref())?),
            (None, Some(directory)) => Ok(Place::Sqlite(directory.join(LOG))),
            (None, None) => Ok(Place::Sqlite(data_directory()?.join(LOG))),
        }
    }

    /// Where it lies, if it is there.
    pub(super) fn existing_place(&self) -> Result<Place> {
        let place = self.place()?;
        if let Some(file) = place.file() {
            ensure!(
                file.is_file(),
                "there is no log at {place}: say where it is with --data DIR or --store URL"
            );
        }
        Ok(place)
    }
}

/// Opens the store at a place, of whatever engine, and goes on with it: `at_store!(place, look, |store| …)`. It may be
/// `look`ed at, where it must be there, or `open`ed, where it is made.
macro_rules! at_store {
    ($place:expr, $how:ident, |$store:ident| $go_on:expr) => {
        match $place {
            branbell_store::Place::Sqlite(file) => {
                let $store = branbell_store::SqliteStore::$how(&file).await?;
                $go_on
            }
            #[cfg(feature = "postgres")]
            branbell_store::Place::Postgres { url, account } => {
                let $store = branbell_store::PostgresStore::$how(&url, &account).await?;
                $go_on
            }
            // The store may know engines that this program was built without.
            #[cfg(not(feature = "postgres"))]
            #[allow(unreachable_patterns, reason = "it may also know no other")]
            _ => anyhow::bail!("this program was built without PostgreSQL"),
        }
    };
}
pub(super) use at_store;

/// The room that was named, where it is there, or the only one.
pub(super) async fn the_room(store: &impl Store, named: Option<&str>) -> Result<String> {
    let mut rooms = store.rooms().await?;
    match (named, rooms.len()) {
        (Some(named), _) if rooms.iter().any(|room| room == named) => Ok(named.to_owned()),
        (Some(named), _) => bail!("there is no room {named} here"),
        (None, 1) => Ok(rooms.remove(0)),
        (None, 0) => bail!("there is no room here yet"),
        (None, _) => bail!("there are several rooms here: name one with --room ID\n{}", rooms.join("\n")),
    }
}

/// Prints what was carried over, a line a table.
pub(super) fn tell(carried: &[Carried]) -> io::Result<()> {
    for Carried { table, rows, checksum } in carried {
        writeln!(out(), "{table:<10} {rows:>10}  sha256 {checksum}")?;
    }
    Ok(())
}
