//! SQLite: one file, one connection, every commit on the disk before it counts.

use std::fs::File;
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::Arc;
use std::sync::atomic::AtomicI64;
use std::time::Duration;

use sqlx::sqlite::{
    SqliteConnectOptions, SqliteJournalMode, SqlitePool, SqlitePoolOptions, SqliteSynchronous,
};
use sqlx::{Sqlite, Transaction};
use tokio::sync::Mutex;

use crate::backend::Engine;
use crate::{StoreError, sql, tables};

/// The store on SQLite.
#[derive(Clone, Debug)]
pub struct SqliteStore {
    pub(crate) pool: SqlitePool,
    pub(crate) place: Arc<str>,
    pub(crate) token: Arc<AtomicI64>,
    /// Held while the account is taken; in it the lock file, once it is locked.
    pub(crate) taking: Arc<Mutex<()>>,
    lock: Arc<Lock>,
}

/// The file beside the store that whoever serves it keeps locked. None for a store in memory, which nobody else reaches.
#[derive(Debug)]
struct Lock {
    path: Option<PathBuf>,
    locked: Mutex<Option<File>>,
}

impl SqliteStore {
    /// Opens the store in a file, making it and its folder where there are none (for their owner only), checks that it is not damaged, and
    /// brings its tables up to date.
    ///
    /// # Errors
    /// The file cannot be opened or written, it is damaged, or its tables are newer than this program.
    pub async fn open(file: &Path) -> Result<Self, StoreError> {
        make_private(file)?;
        let options = options(file).create_if_missing(true).journal_mode(SqliteJournalMode::Wal);
        let store = Self::connect(options, Some(file)).await?;
        tables::SQLITE
            .run(&store.pool)
            .await
            .map_err(StoreError::from)
            .map_err(StoreError::opening(&store.place))?;
        Ok(store)
    }

    /// Opens a store that must be there, to copy it: it is checked, and changed in nothing.
    ///
    /// # Errors
    /// It is not there, it is damaged, or its tables are not those of this program.
    pub async fn look(file: &Path) -> Result<Self, StoreError> {
        // Not by opening it: closing it again would let go of the locks that SQLite holds for this process.
        std::fs::metadata(file)
            .map_err(|source| StoreError::File { file: file.display().to_string(), source })?;
        let store = Self::connect(options(file), Some(file)).await?;
        crate::copy::check_version(&store).await.map_err(StoreError::opening(&store.place))?;
        Ok(store)
    }

    /// Opens a store in memory, gone when it is dropped.
    ///
    /// # Errors
    /// None that depend on the caller.
    pub async fn in_memory() -> Result<Self, StoreError> {
        let store = Self::connect(SqliteConnectOptions::from_str("sqlite::memory:")?, None).await?;
        tables::SQLITE.run(&store.pool).await?;
        Ok(store)
    }

    async fn connect(options: SqliteConnectOptions, file: Option<&Path>) -> Result<Self, StoreError> {
        let place = file.map_or("the memory".to_owned(), |file| file.display().to_string());
        let opened = async {
            // One connection: SQLite has one writer anyway, and a memory database belongs to its connection.
            let pool = SqlitePoolOptions::new().max_connections(1).idle_timeout(None).max_lifetime(None);
            let pool = pool.connect_with(options).await?;
            check(&pool).await?;
            Ok(pool)
        };
        Ok(Self {
            pool: opened.await.map_err(StoreError::opening(&place))?,
            place: place.into(),
            token: Arc::default(),
            taking: Arc::default(),
            lock: Arc::new(Lock { path: file.map(lock_file), locked: Mutex::default() }),
        })
    }

    /// Closes the file: all that was written is in it, and none stands beside it any more.
    pub async fn close(&self) {
        self.pool.close().await;
    }

    /// Takes the write lock at once: a transaction that reads first and writes later could find itself overtaken.
    pub(crate) async fn write(&self) -> Result<Transaction<'static, Sqlite>, sqlx::Error> {
        match self.pool.begin_with("BEGIN IMMEDIATE").await {
            // When the disk is full SQLite rolls back by itself, and the driver takes the transaction for open ever
            // after: only a new connection goes on.
            Err(sqlx::Error::InvalidSavePointStatement) => {
                self.pool.acquire().await?.close().await?;
                self.pool.begin_with("BEGIN IMMEDIATE").await
            }
            begun => begun,
        }
    }

    /// Whether no other process that took the account lives: then its lock is free, and is ours from now on. One lock for
    /// all tokens will do: two bots on one data directory are refused before they come here, so nobody stands by.
    pub(crate) async fn hold(&self, _token: i64) -> Result<bool, StoreError> {
        let Some(path) = &self.lock.path else { return Ok(true) };
        let mut locked = self.lock.locked.lock().await;
        if locked.is_none() {
            let error = |source| StoreError::File { file: path.display().to_string(), source };
            let file = private().open(path).map_err(error)?;
            *locked = file.try_lock().is_ok().then_some(file);
        }
        Ok(locked.is_some())
    }

    /// Never: SQLite has no way to tell.
    #[expect(clippy::unused_self, reason = "other engines listen")]
    pub(crate) fn wake(&self) -> std::future::Pending<()> {
        std::future::pending()
    }
}

impl Engine for SqliteStore {
    type Driver = Sqlite;
    // A write transaction is the only one there is.
    const FENCE: &'static str = sql::SERVES;
    const WAKE: Option<&'static str> = None;
    const DUE_ROOMS: &'static str = sql::due_rooms!("");
    const OUTBOX: &'static str = sql::outbox!("");
}

fn options(file: &Path) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(file)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        // What is deleted is overwritten: a person who is forgotten is not to be found in the file.
        .pragma("secure_delete", "ON")
        .busy_timeout(Duration::from_secs(10))
}

/// What is damaged in an SQLite file, of whatever tables; nothing where it is whole, or cannot be looked at now.
pub async fn damage(file: &Path) -> Option<String> {
    let options = options(file).busy_timeout(Duration::ZERO);
    let looked = async {
        let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
        let looked = check(&pool).await;
        pool.close().await;
        looked
    };
    match looked.await {
        Err(StoreError::Damaged(what)) => Some(what),
        _ => None,
    }
}

/// Looks through the whole file for torn or missing pages: some 0.1 s for 100 MB.
async fn check(pool: &SqlitePool) -> Result<(), StoreError> {
    let found: Vec<String> = sqlx::query_scalar("PRAGMA quick_check(3)").fetch_all(pool).await?;
    if found == ["ok"] { Ok(()) } else { Err(StoreError::Damaged(found.join("; "))) }
}

fn lock_file(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(".lock");
    name.into()
}

/// Makes the file, if there is none, and its folder, so that nobody else can read them.
fn make_private(file: &Path) -> Result<(), StoreError> {
    if file.exists() {
        return Ok(());
    }
    let place = file.display();
    let made = make_folder(file).and_then(|()| private().open(file));
    made.map(|_| ()).map_err(|source| StoreError::File { file: place.to_string(), source })
}

/// Makes the folder of a file, where there is none, for its owner only.
fn make_folder(file: &Path) -> std::io::Result<()> {
    let Some(folder) = file.parent().filter(|folder| !folder.as_os_str().is_empty()) else { return Ok(()) };
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

/// How a file is made that is its owner's alone.
pub(crate) fn private() -> std::fs::OpenOptions {
    let mut options = File::options();
    options.write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
}

#[cfg(test)]
mod tests {
    use sqlx::AssertSqlSafe;

    use super::*;
    use crate::{NewFact, NewOutgoing, Question, QuestionChange, Record, Recorded, Store};

    fn record() -> Record {
        let body = serde_json::json!("x".repeat(100_000));
        let fact = NewFact { event: "a".to_owned(), author: String::new(), at: 0, told: 0, body };
        let event = Some("a".to_owned());
        Record { room: "kitchen".to_owned(), event, facts: vec![fact], ..Record::default() }
    }

    async fn set(store: &SqliteStore, pragma: &'static str) {
        sqlx::query(pragma).execute(&store.pool).await.unwrap();
    }

    /// The engine's own faults, each forced by the setting of the connection that is there for it.
    #[tokio::test]
    async fn says_what_is_wrong_and_goes_on_when_it_has_passed() {
        let folder = tempfile::tempdir().unwrap();
        let store = SqliteStore::open(&folder.path().join("room.sqlite")).await.unwrap();
        store.confirm().await.unwrap();
        set(&store, "PRAGMA query_only = ON").await;
        let read_only = store.record(&record()).await.unwrap_err();
        assert!(matches!(read_only, StoreError::ReadOnly(_)), "{read_only:?}");
        set(&store, "PRAGMA query_only = OFF").await;

        set(&store, "PRAGMA max_page_count = 1").await;
        let full = store.record(&record()).await.unwrap_err();
        assert!(matches!(full, StoreError::Full(_)), "{full:?}");
        assert!(full.to_string().contains("disk is full"), "{full}");
        set(&store, "PRAGMA max_page_count = 1000000").await;

        assert!(!store.seen("kitchen", "a").await.unwrap());
        assert_eq!(store.record(&record()).await.unwrap(), Recorded::Kept);
    }

    #[tokio::test]
    async fn says_that_another_program_keeps_it_locked() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("room.sqlite");
        let store = SqliteStore::open(&file).await.unwrap();
        set(&store, "PRAGMA busy_timeout = 0").await;
        let other = SqliteStore::open(&file).await.unwrap();
        let held = other.pool.begin_with("BEGIN EXCLUSIVE").await.unwrap();
        let locked = store.record(&record()).await.unwrap_err();
        assert!(matches!(locked, StoreError::Locked(_)), "{locked:?}");
        drop(held);
        set(&other, "SELECT 1").await;
        assert_eq!(store.record(&record()).await.unwrap(), Recorded::Kept);
    }

    #[tokio::test]
    async fn a_row_that_cannot_be_read_stands_in_nobodys_way() {
        let store = SqliteStore::in_memory().await.unwrap();
        let row = |txn: &str| NewOutgoing { txn: txn.into(), cause: txn.into(), body: serde_json::json!({}) };
        let question = Question { body: serde_json::json!({}), until: 9 };
        let question = QuestionChange { person: "ana".into(), question: Some(question) };
        let outbox = vec![row("a"), row("b")];
        store.record(&Record { outbox, question: Some(question), ..record() }).await.unwrap();
        set(&store, "UPDATE outbox SET body = '{torn' WHERE txn = 'a'").await;
        set(&store, "UPDATE question SET body = ''").await;
        let bodies: Vec<_> = store.outbox(1, 9).await.unwrap().into_iter().map(|row| row.body).collect();
        assert_eq!(bodies, [serde_json::json!("{torn"), serde_json::json!({})]);
        let question = store.question("kitchen", "ana").await.unwrap();
        assert_eq!(question.map(|question| question.body), Some(serde_json::json!("")));
        // A fact is not passed over: the room would be another without it.
        set(&store, "UPDATE fact SET body = '{torn'").await;
        let facts = store.facts("kitchen", 0).await.unwrap_err();
        assert!(matches!(facts, StoreError::Inconsistent { .. }), "{facts:?}");
    }

    /// A process that is killed while it brings the tables up to date leaves them as they were before or as they are
    /// after, with all that is in them, and the next one goes on.
    #[tokio::test]
    async fn a_kill_in_a_migration_loses_nothing() {
        let (before, killed) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let file = before.path().join("room.sqlite");
        make_private(&file).unwrap();
        let options = options(&file).journal_mode(SqliteJournalMode::Wal);
        let store = SqliteStore::connect(options, Some(&file)).await.unwrap();
        let [first, rest @ ..] = &*tables::SQLITE.migrations else { panic!("there are no tables") };
        assert!(!rest.is_empty());
        sqlx::migrate::Migrator::with_migrations(vec![first.clone()]).run(&store.pool).await.unwrap();
        assert_eq!(store.record(&record()).await.unwrap(), Recorded::Kept);

        // No room for what is changed: it goes to the disk at once.
        set(&store, "PRAGMA cache_size = 1").await;
        let mut migrating = store.write().await.unwrap();
        for migration in rest {
            sqlx::raw_sql(migration.sql.clone()).execute(&mut *migrating).await.unwrap();
        }
        // A kill leaves the files as they are now; what the processes share in memory is gone.
        for name in ["room.sqlite", "room.sqlite-wal"] {
            std::fs::copy(before.path().join(name), killed.path().join(name)).unwrap();
        }
        let next = SqliteStore::open(&killed.path().join("room.sqlite")).await.unwrap();
        assert_eq!(next.record(&record()).await.unwrap(), Recorded::Seen);
        assert_eq!(next.facts("kitchen", 0).await.unwrap().len(), 1);
        crate::copy::check_version(&next).await.unwrap();
    }

    /// What is asked at every message and at every round looks rows up: it costs the same however many there are.
    #[tokio::test]
    async fn nothing_that_is_asked_often_walks_a_table() {
        let store = SqliteStore::in_memory().await.unwrap();
        let often = [
            sql::SEEN,
            sql::LAST_EVENT,
            sql::LAST_FACT,
            sql::FACTS,
            sql::OPEN_NUDGES,
            sql::NUDGE,
            sql::SAID,
            sql::LAST_SAID,
            sql::SENT_AS,
            sql::NEXT_DUE,
            sql::QUESTION,
            SqliteStore::DUE_ROOMS,
            SqliteStore::OUTBOX,
        ];
        for query in often {
            let steps: Vec<(i64, i64, i64, String)> =
                sqlx::query_as(AssertSqlSafe(format!("EXPLAIN QUERY PLAN {query}")))
                    .fetch_all(&store.pool)
                    .await
                    .unwrap();
            assert!(!steps.is_empty(), "{query}");
            for (.., step) in steps {
                // What a search before has found.
                let found = |of: &str| matches!(of, "d" | "due" | "w" | "t") || of.starts_with("(subquery");
                let walks = step.strip_prefix("SCAN ").is_some_and(|of| !found(of));
                assert!(!walks, "{step}: {query}");
            }
        }
    }
}
