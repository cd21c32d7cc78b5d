//! PostgreSQL: one database for several accounts, each in a schema of its own, reached over several connections.

use std::str::FromStr;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use sqlx::postgres::{PgConnectOptions, PgListener, PgPool, PgPoolOptions};
use sqlx::{AssertSqlSafe, Connection, PgConnection, Postgres, Transaction};
use tokio::sync::Mutex;

use crate::backend::Engine;
use crate::{Place, StoreError, sql, tables};

/// Connections of one process. Rooms are written side by side; more than a machine has cores for gains little.
const CONNECTIONS: u32 = 8;

/// The longest name of a schema, in bytes. Source: PostgreSQL 15, 4.1.1, "Identifiers and Key Words".
const LONGEST_NAME: usize = 63;

/// Set for each connection: a process that is paused within a transaction loses it, and with it its locks, before a
/// standby gives the process up; and no statement waits for a lock for ever.
const SETTINGS: [(&str, &str); 2] = [("idle_in_transaction_session_timeout", "3s"), ("lock_timeout", "8s")];

/// The store on PostgreSQL.
#[derive(Clone, Debug)]
pub struct PostgresStore {
    pub(crate) pool: PgPool,
    pub(crate) place: Arc<str>,
    pub(crate) token: Arc<AtomicI64>,
    pub(crate) taking: Arc<Mutex<()>>,
    options: Arc<PgConnectOptions>,
    /// The connection whose session lock says that this process lives, and the token that it is for.
    lock: Arc<Mutex<Option<(i64, PgConnection)>>>,
    listener: Arc<Mutex<Option<PgListener>>>,
}

impl PostgresStore {
    /// Opens an account's store in a database, making it where there is none, and brings its tables up to date.
    ///
    /// # Errors
    /// The database cannot be reached or written, the account is no name for a schema, or its tables are newer than this
    /// program.
    pub async fn open(url: &str, account: &str) -> Result<Self, StoreError> {
        let store = Self::connect(url, account).await?;
        let migrated = async {
            // Only what is missing: whoever owns the database may have made the schema, and may allow no other.
            let known = "SELECT 1 FROM pg_namespace WHERE nspname = $1";
            let known = sqlx::query(known).bind(account).fetch_optional(&store.pool).await?;
            if known.is_none() {
                let make = format!("CREATE SCHEMA IF NOT EXISTS {}", quoted(account));
                sqlx::query(AssertSqlSafe(make)).execute(&store.pool).await?;
            }
            tables::POSTGRES.run(&store.pool).await?;
            Ok(())
        };
        migrated.await.map_err(StoreError::opening(&store.place))?;
        Ok(store)
    }

    /// Opens a store that must be there, to copy it: it is changed in nothing.
    ///
    /// # Errors
    /// It is not there, or its tables are not those of this program.
    pub async fn look(url: &str, account: &str) -> Result<Self, StoreError> {
        let store = Self::connect(url, account).await?;
        crate::copy::check_version(&store).await.map_err(StoreError::opening(&store.place))?;
        Ok(store)
    }

    async fn connect(url: &str, account: &str) -> Result<Self, StoreError> {
        let place = Place::Postgres { url: url.to_owned(), account: account.to_owned() }.to_string();
        if account.is_empty() || account.len() > LONGEST_NAME || account.contains('\0') {
            let reason = format!("an account's name has 1 to {LONGEST_NAME} bytes");
            return Err(StoreError::Place { place, reason });
        }
        let opened = async {
            let options = PgConnectOptions::from_str(url)?.application_name("branbell").options(SETTINGS);
            let options = options.options([("search_path", quoted(account))]);
            let pool = PgPoolOptions::new().max_connections(CONNECTIONS);
            let pool = pool.acquire_timeout(Duration::from_secs(10)).connect_with(options.clone()).await?;
            Ok((pool, Arc::new(options)))
        };
        let (pool, options) = opened.await.map_err(StoreError::opening(&place))?;
        Ok(Self {
            pool,
            place: place.into(),
            token: Arc::default(),
            taking: Arc::default(),
            options,
            lock: Arc::default(),
            listener: Arc::default(),
        })
    }

    pub(crate) async fn write(&self) -> Result<Transaction<'static, Postgres>, sqlx::Error> {
        self.pool.begin().await
    }

    /// Whether no other process lives that serves under this token: then its session lock is free, and is ours from now
    /// on. The server lets go of it when the connection of its process ends, however it ends. Each token has a lock of its
    /// own, so that whoever takes over from a silent process has one at once, while that process still holds the old one.
    pub(crate) async fn hold(&self, token: i64) -> Result<bool, StoreError> {
        let mut lock = self.lock.lock().await;
        if let Some((held, connection)) = lock.as_mut()
            && *held == token
            && connection.ping().await.is_ok()
        {
            return Ok(true);
        }
        let mut connection = PgConnection::connect_with(&self.options).await?;
        // The table's own number tells accounts apart, whatever their names.
        let try_lock =
            "SELECT pg_try_advisory_lock(('keeper'::regclass::oid::bigint << 32) + $1 % (1::bigint << 32))";
        let locked = sqlx::query_scalar(try_lock).bind(token).fetch_one(&mut connection).await?;
        *lock = if locked { Some((token, connection)) } else { None };
        Ok(locked)
    }

    /// Resolves when another process notifies; what this one did itself it knows.
    pub(crate) async fn wake(&self) {
        let mut listener = self.listener.lock().await;
        if listener.is_none() {
            match self.listen().await {
                // From now on nothing is missed; what came before is there to be looked at.
                Ok(listening) => *listener = Some(listening),
                Err(_) => tokio::time::sleep(crate::standing::LOOK).await,
            }
            return;
        }
        while let Some(listening) = listener.as_mut() {
            match listening.try_recv().await {
                Ok(Some(note)) if note.payload() == self.token.load(Ordering::Acquire).to_string() => {}
                Ok(_) => return,
                Err(_) => *listener = None,
            }
        }
    }

    async fn listen(&self) -> Result<PgListener, sqlx::Error> {
        let channel: String =
            sqlx::query_scalar("SELECT 'branbell ' || 'keeper'::regclass::oid").fetch_one(&self.pool).await?;
        let mut listener = PgListener::connect_with(&self.pool).await?;
        listener.listen(&channel).await?;
        Ok(listener)
    }
}

impl Engine for PostgresStore {
    type Driver = Postgres;
    // The lock is the weakest that a raise of the token waits for, and that answers to standbys do not wait for.
    const FENCE: &'static str = "SELECT 1 FROM keeper WHERE token = $1 FOR KEY SHARE";
    const WAKE: Option<&'static str> =
        Some("SELECT pg_notify('branbell ' || 'keeper'::regclass::oid, $1::bigint::text)");
    const DUE_ROOMS: &'static str = sql::due_rooms!(" FOR UPDATE OF r SKIP LOCKED");
    const OUTBOX: &'static str = sql::outbox!(" FOR UPDATE OF r SKIP LOCKED");
}

/// A name as SQL quotes it.
fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

#[cfg(test)]
mod tests {
    use branbell_tests::postgres::{fresh_account, shared};

    use super::*;
    use crate::{NewOutgoing, NudgeRow, NudgeState, Record, Recorded, Store, Taken};

    /// As on SQLite: changes of tables are kept with their transaction or not at all.
    #[tokio::test]
    async fn a_kill_in_a_migration_loses_nothing() {
        let (url, account) = (shared().unwrap().url(), fresh_account());
        let store = PostgresStore::connect(&url, &account).await.unwrap();
        let make = format!("CREATE SCHEMA {}", quoted(&account));
        sqlx::query(AssertSqlSafe(make)).execute(&store.pool).await.unwrap();
        let [first, rest @ ..] = &*tables::POSTGRES.migrations else { panic!("there are no tables") };
        assert!(!rest.is_empty());
        sqlx::migrate::Migrator::with_migrations(vec![first.clone()]).run(&store.pool).await.unwrap();
        let record = Record { room: "kitchen".to_owned(), event: Some("a".to_owned()), ..Record::default() };
        assert_eq!(store.record(&record).await.unwrap(), Recorded::Kept);

        let mut migrating = PgConnection::connect_with(&store.options).await.unwrap();
        sqlx::raw_sql("BEGIN").execute(&mut migrating).await.unwrap();
        for migration in rest {
            sqlx::raw_sql(migration.sql.clone()).execute(&mut migrating).await.unwrap();
        }
        drop((migrating, store));
        let next = PostgresStore::open(&url, &account).await.unwrap();
        while next.take(None).await.unwrap() != Taken::Ours {}
        assert_eq!(next.record(&record).await.unwrap(), Recorded::Seen);
        crate::copy::check_version(&next).await.unwrap();
    }

    /// A claim does not wait for a room that is being written just then: it goes on with the others.
    #[tokio::test]
    async fn a_claim_passes_over_a_room_that_is_being_written() {
        let store = PostgresStore::open(&shared().unwrap().url(), &fresh_account()).await.unwrap();
        for room in ["cellar", "kitchen"] {
            let row = NewOutgoing { txn: "t".to_owned(), cause: "c".to_owned(), body: "b".into() };
            let (state, due) = (NudgeState::Planned, 0);
            let nudge = NudgeRow { key: "drain".to_owned(), state, attempts: 0, due, next_at: Some(due) };
            let (outbox, nudges) = (vec![row], vec![nudge]);
            let record = Record { room: room.to_owned(), outbox, nudges, ..Record::default() };
            assert_eq!(store.record(&record).await.unwrap(), Recorded::Kept);
        }
        let claims = async || {
            let rows = store.outbox(1, 10).await.unwrap().into_iter().map(|row| row.room).collect::<Vec<_>>();
            (rows, store.due_rooms(1, 10).await.unwrap())
        };
        let mut writing = store.begin().await.unwrap();
        sqlx::query(sql::OPEN_ROOM).bind("cellar").execute(&mut *writing).await.unwrap();
        assert_eq!(claims().await, (vec!["kitchen".to_owned()], vec!["kitchen".to_owned()]));
        writing.commit().await.unwrap();
        let both = vec!["cellar".to_owned(), "kitchen".to_owned()];
        assert_eq!(claims().await, (both.clone(), both));
    }

    /// A process that is paused in the middle of a transaction holds nobody up: the server ends the transaction, and what
    /// it was about to keep is gone.
    #[tokio::test]
    async fn a_pause_within_a_transaction_holds_nobody_up() {
        let (url, account) = (shared().unwrap().url(), fresh_account());
        let one = PostgresStore::open(&url, &account).await.unwrap();
        let other = PostgresStore::open(&url, &account).await.unwrap();
        let mut paused = one.begin().await.unwrap();
        sqlx::query(sql::OPEN_ROOM).bind("kitchen").execute(&mut *paused).await.unwrap();
        let Taken::Others(silent) = other.take(None).await.unwrap() else { panic!("it is served") };
        assert_eq!(other.take(Some(silent)).await.unwrap(), Taken::Ours);
        assert!(paused.commit().await.is_err());
        assert_eq!(other.rooms().await.unwrap(), Vec::<String>::new());
    }
}
