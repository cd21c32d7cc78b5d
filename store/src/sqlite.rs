//! SQLite: one file, one connection, every commit on the disk before it counts.

use std::path::Path;
use std::str::FromStr;
use std::time::Duration;

use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{Sqlite, Transaction};

use crate::StoreError;

/// The store on SQLite.
#[derive(Clone, Debug)]
pub struct SqliteStore {
    pub(crate) pool: SqlitePool,
}

impl SqliteStore {
    /// Opens the store in a file, making it where there is none, and brings its tables up to date.
    ///
    /// # Errors
    /// The file cannot be opened or written, or its tables are newer than this program.
    pub async fn open(file: &Path) -> Result<Self, StoreError> {
        let options = SqliteConnectOptions::new().filename(file).create_if_missing(true);
        Self::connect(options, file.display().to_string()).await
    }

    /// Opens a store in memory, gone when it is dropped.
    ///
    /// # Errors
    /// None that depend on the caller.
    pub async fn in_memory() -> Result<Self, StoreError> {
        let place = "in memory".to_owned();
        let options = SqliteConnectOptions::from_str("sqlite::memory:");
        let options = options.map_err(|source| StoreError::Open { place: place.clone(), source })?;
        Self::connect(options, place).await
    }

    async fn connect(options: SqliteConnectOptions, place: String) -> Result<Self, StoreError> {
        let options = options
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .busy_timeout(Duration::from_secs(10));
        // One connection: SQLite has one writer anyway, and a memory database belongs to its connection.
        let pool = SqlitePoolOptions::new().max_connections(1).idle_timeout(None).max_lifetime(None);
        let pool = pool.connect_with(options).await.map_err(|source| StoreError::Open { place, source })?;
        sqlx::migrate!("migrations/sqlite").run(&pool).await?;
        Ok(Self { pool })
    }

    /// Takes the write lock at once: a transaction that reads first and writes later could find itself overtaken.
    pub(crate) async fn begin(&self) -> Result<Transaction<'static, Sqlite>, sqlx::Error> {
        self.pool.begin_with("BEGIN IMMEDIATE").await
    }
}
