//! Everything of a store, carried into another: to move from one engine to the other, to back up, to restore.
//!
//! All is read in one transaction, so that it is of one moment however busy the store is, and written in one, so that it
//! is there as a whole or not at all. What was written is read again before it counts, and must be the same by number and
//! by checksum, table by table. A backup is a store like any other, in one SQLite file, whatever engine it comes from.

mod engine;

use std::fs;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

pub(crate) use engine::Carry;

#[cfg(feature = "postgres")]
use crate::PostgresStore;
use crate::{Place, SqliteStore, StoreError, Taken};

/// Rows read at a time.
const PAGE: usize = 1_000;

/// What was carried over of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Carried {
    /// The table.
    pub table: &'static str,
    /// How many rows it has.
    pub rows: u64,
    /// SHA-256 of all of them in the order of their keys, in hexadecimal.
    pub checksum: String,
}

/// A table of a store, its primary key first, in the order in which references allow to write them.
pub(crate) struct Table {
    name: &'static str,
    key: &'static [&'static str],
    rest: &'static [&'static str],
}

/// All but who serves, which is the place's own.
const TABLES: [Table; 7] = [
    Table { name: "room", key: &["room"], rest: &["last_event"] },
    Table { name: "event", key: &["room", "event"], rest: &["taken"] },
    Table { name: "fact", key: &["room", "seq"], rest: &["event", "author", "at", "told", "body"] },
    Table { name: "nudge", key: &["room", "key"], rest: &["state", "attempts", "due", "next_at"] },
    Table {
        name: "outbox",
        key: &["seq"],
        rest: &["room", "txn", "cause", "body", "created", "tries", "next_at", "event", "failure"],
    },
    Table { name: "question", key: &["room", "person"], rest: &["body", "until"] },
    Table { name: "unread", key: &["room", "event"], rest: &["raw"] },
];

/// Columns that hold numbers; the others hold texts.
const NUMBERS: [&str; 9] = ["seq", "taken", "at", "told", "attempts", "due", "next_at", "created", "tries"];

impl Table {
    fn columns(&self) -> impl Iterator<Item = &'static str> {
        self.key.iter().chain(self.rest).copied()
    }

    fn list(&self) -> String {
        self.columns().collect::<Vec<_>>().join(", ")
    }

    /// The statement for a page: the first, or the one after a key.
    fn page(&self, first: bool) -> String {
        let (name, columns, key) = (self.name, self.list(), self.key.join(", "));
        let places = (1..=self.key.len()).map(|place| format!("${place}")).collect::<Vec<_>>().join(", ");
        let after = if first { String::new() } else { format!("WHERE ({key}) > ({places}) ") };
        format!("SELECT {columns} FROM {name} {after}ORDER BY {key} LIMIT {PAGE}")
    }
}

/// A column of a table, as the test sees it that compares the engines with each other and with what is carried.
#[cfg(feature = "conformance")]
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Column {
    /// The table.
    pub table: String,
    /// The column.
    pub column: String,
    /// Whether it holds numbers; else texts.
    pub number: bool,
    /// Its place in the primary key, from 1; else 0.
    pub key: i64,
}

/// The columns that are carried over.
#[cfg(feature = "conformance")]
pub fn columns() -> Vec<Column> {
    let of = |table: &'static Table| {
        let place = |name| (1..).zip(table.key).find(|(_, key)| **key == name).map_or(0, |(place, _)| place);
        table.columns().map(move |name| Column {
            table: table.name.to_owned(),
            column: name.to_owned(),
            number: is_number(name),
            key: place(name),
        })
    };
    let mut columns: Vec<Column> = TABLES.iter().flat_map(of).collect();
    columns.sort();
    columns
}

fn is_number(column: &str) -> bool {
    column == "until" || NUMBERS.contains(&column)
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Cell {
    Text(Option<String>),
    Number(Option<i64>),
}

pub(crate) type Row = Vec<Cell>;

/// Counts rows, and sums them up.
#[derive(Default)]
struct Sum {
    rows: u64,
    hash: Sha256,
}

impl Sum {
    fn add(&mut self, row: &Row) {
        self.rows += 1;
        for cell in row {
            match cell {
                Cell::Text(None) | Cell::Number(None) => self.hash.update([0]),
                Cell::Number(Some(number)) => {
                    self.hash.update([1]);
                    self.hash.update(number.to_le_bytes());
                }
                Cell::Text(Some(text)) => {
                    self.hash.update([2]);
                    self.hash.update((text.len() as u64).to_le_bytes());
                    self.hash.update(text);
                }
            }
        }
    }

    fn finish(self, table: &'static str) -> Carried {
        Carried { table, rows: self.rows, checksum: format!("{:x}", self.hash.finalize()) }
    }
}

/// Carries a store that nobody serves into another place, which is made where there is none and must be empty. What was
/// carried over stays where it was, too.
///
/// # Errors
/// The one is served, the other is not empty, or either cannot be used: then nothing was written.
pub async fn carry(from: &Place, to: &Place) -> Result<Vec<Carried>, StoreError> {
    if from == to {
        return Err(StoreError::NotEmpty { place: to.to_string() });
    }
    match from {
        Place::Sqlite(file) => into(exclusive(SqliteStore::look(file).await?).await?, to).await,
        #[cfg(feature = "postgres")]
        Place::Postgres { url, account } => {
            into(exclusive(PostgresStore::look(url, account).await?).await?, to).await
        }
    }
}

/// Copies a store into a new file, while it is served.
///
/// # Errors
/// The file is there already, or cannot be made: then there is none.
pub async fn backup(from: &Place, file: &Path) -> Result<Vec<Carried>, StoreError> {
    let error = |source| StoreError::File { file: file.display().to_string(), source };
    // The name is ours before anything is read, and nobody else's file is ever written over.
    crate::sqlite::private().create_new(true).open(file).map_err(error)?;
    let part = Part::beside(file).map_err(error);
    let copied = async {
        let part = part?;
        let copied = match from {
            Place::Sqlite(source) => alone_in_file(SqliteStore::look(source).await?, &part.store).await,
            #[cfg(feature = "postgres")]
            Place::Postgres { url, account } => {
                alone_in_file(PostgresStore::look(url, account).await?, &part.store).await
            }
        }?;
        part.put_at(file).map_err(error)?;
        Ok(copied)
    };
    let copied = copied.await;
    if copied.is_err() {
        fs::remove_file(file).map_err(error)?;
    }
    copied
}

/// Fetches a backup into a place that must be empty.
///
/// # Errors
/// The place is served or not empty, or either cannot be used: then nothing was written.
pub async fn restore(file: &Path, to: &Place) -> Result<Vec<Carried>, StoreError> {
    into(SqliteStore::look(file).await?, to).await
}

/// The store's tables are those of this program: neither older nor newer.
pub(crate) async fn check_version(store: &impl Carry) -> Result<(), StoreError> {
    let (found, ours) = store.versions().await?;
    if found == ours { Ok(()) } else { Err(StoreError::Version(format!("{found:?}, here {ours:?}"))) }
}

async fn exclusive<E: Carry>(store: E) -> Result<E, StoreError> {
    match store.take(None).await? {
        Taken::Ours => Ok(store),
        Taken::Others(_) => Err(StoreError::Held { place: store.place().to_owned() }),
    }
}

async fn into(from: impl Carry, to: &Place) -> Result<Vec<Carried>, StoreError> {
    match to {
        Place::Sqlite(file) => pass(from, SqliteStore::open(file).await?).await,
        #[cfg(feature = "postgres")]
        Place::Postgres { url, account } => pass(from, PostgresStore::open(url, account).await?).await,
    }
}

/// Copies into a file that needs no other file beside it.
async fn alone_in_file(from: impl Carry, file: &Path) -> Result<Vec<Carried>, StoreError> {
    let to = SqliteStore::open(file).await?;
    sqlx::query("PRAGMA journal_mode = DELETE").execute(&to.pool).await?;
    pass(from, to).await
}

/// Copies all, and closes both: whoever then takes a file of SQLite, and not those beside it, has all of it.
async fn pass<A: Carry, B: Carry>(from: A, to: B) -> Result<Vec<Carried>, StoreError> {
    let carried = copy(&from, &to).await;
    from.close().await;
    to.close().await;
    carried
}

async fn copy<A: Carry, B: Carry>(from: &A, to: &B) -> Result<Vec<Carried>, StoreError> {
    let mut reading = from.reading().await?;
    let mut writing = to.writing().await?;
    for table in &TABLES {
        if !B::page(&mut writing, table, None).await?.is_empty() {
            return Err(StoreError::NotEmpty { place: to.place().to_owned() });
        }
    }
    let mut carried = Vec::new();
    for table in &TABLES {
        let read = pour::<A, B>(&mut reading, table, Some(&mut writing)).await?;
        let written = pour::<B, B>(&mut writing, table, None).await?;
        if read != written {
            return Err(StoreError::Differs { table: table.name });
        }
        carried.push(written);
    }
    B::commit(writing).await?;
    Ok(carried)
}

/// Reads a table to its end, sums it up, and writes it down where that is wanted.
async fn pour<A: Carry, B: Carry>(
    from: &mut A::Tx,
    table: &Table,
    mut to: Option<&mut B::Tx>,
) -> Result<Carried, StoreError> {
    let mut sum = Sum::default();
    let mut last = None;
    loop {
        let rows = A::page(from, table, last.as_ref()).await?;
        for row in &rows {
            sum.add(row);
        }
        if let Some(to) = to.as_deref_mut() {
            B::put(to, table, &rows).await?;
        }
        match rows.into_iter().last() {
            Some(row) => last = Some(row),
            None => return Ok(sum.finish(table.name)),
        }
    }
}

/// A folder beside a file, in which it grows; gone when dropped.
struct Part {
    folder: PathBuf,
    store: PathBuf,
}

impl Part {
    fn beside(file: &Path) -> std::io::Result<Self> {
        let mut folder = file.as_os_str().to_owned();
        folder.push(".part");
        let folder = PathBuf::from(folder);
        // One that was killed may have left it; its file was never complete.
        if folder.exists() {
            fs::remove_dir_all(&folder)?;
        }
        fs::create_dir(&folder)?;
        Ok(Self { store: folder.join("store.sqlite"), folder })
    }

    /// Puts the finished file in the other's place, on the disk for good.
    fn put_at(&self, file: &Path) -> std::io::Result<()> {
        fs::File::open(&self.store)?.sync_all()?;
        fs::rename(&self.store, file)?;
        let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        fs::File::open(folder)?.sync_all()
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        // Nobody is hurt if it stays: the next backup to this file removes it.
        let _ = fs::remove_dir_all(&self.folder);
    }
}
