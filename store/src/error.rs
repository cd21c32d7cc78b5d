/// What can go wrong with the store, by what to do about it. An error tells its own part; its sources tell the rest.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The database could not be opened or reached.
    #[error("the store {place} cannot be opened")]
    Open {
        /// Where it should be.
        place: String,
        /// Why not.
        source: Box<StoreError>,
    },
    /// A place that is none.
    #[error("{place:?} is no place for a store: {reason}")]
    Place {
        /// What was given, without a password.
        place: String,
        /// What is expected.
        reason: String,
    },
    /// Its tables are not those of this program.
    #[error("its tables were made by another version of this program ({0}): use that version or a newer one")]
    Version(String),
    /// Another process serves the account.
    #[error("another branbell serves {place}: stop it first, or let this one stand by")]
    Held {
        /// Where the store lies.
        place: String,
    },
    /// Another process took over; this one must not go on.
    #[error("another branbell has taken over meanwhile: nothing of this was kept, and this one stops")]
    FencedOff,
    /// It cannot be written.
    #[error(
        "it is read-only and nothing of this was kept: let this user write its file and folder, or its tables ({0})"
    )]
    ReadOnly(sqlx::Error),
    /// There is no room left.
    #[error("the disk is full and nothing of this was kept: make room, then it goes on by itself ({0})")]
    Full(sqlx::Error),
    /// Another program keeps it locked.
    #[error("another program keeps it locked and nothing of this was kept: close that program ({0})")]
    Locked(sqlx::Error),
    /// What is stored is damaged.
    #[error(
        "it is damaged: {0}. Nothing was changed. Put it aside (it may still be readable in part), and fetch the last \
         backup with `branbell restore`; what was said since is read from the rooms again"
    )]
    Damaged(String),
    /// A statement failed; nothing of its transaction was kept.
    #[error("the database failed, and nothing of this was kept: {0}")]
    Database(sqlx::Error),
    /// What is stored makes no sense.
    #[error("the store holds {what} that cannot be read")]
    Inconsistent {
        /// The row.
        what: String,
        /// Why not.
        source: serde_json::Error,
    },
    /// A copy has to begin with nothing.
    #[error("{place} holds something already, and nothing is written over: choose an empty one")]
    NotEmpty {
        /// Where the store lies.
        place: String,
    },
    /// A copy differs from what was copied.
    #[error("the copy of the table {table} differs from what was copied, so it was not kept: try again")]
    Differs {
        /// The table.
        table: &'static str,
    },
    /// A file cannot be opened or made.
    #[error("the file {file} cannot be used")]
    File {
        /// The file.
        file: String,
        /// Why not.
        source: std::io::Error,
    },
}

impl StoreError {
    /// Whether this process has lost the account for good, and must stop.
    pub fn is_lost(&self) -> bool {
        matches!(self, StoreError::FencedOff)
    }

    pub(crate) fn opening(place: &impl ToString) -> impl FnOnce(StoreError) -> StoreError {
        let place = place.to_string();
        move |source| StoreError::Open { place, source: Box::new(source) }
    }
}

/// Sorts what a driver says by what to do about it.
impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        let sort = error.as_database_error().and_then(|error| {
            if error.try_downcast_ref::<sqlx::sqlite::SqliteError>().is_some() {
                error.code().and_then(|code| sqlite_fault(&code))
            } else {
                error.code().and_then(|code| postgres_fault(&code))
            }
        });
        match sort {
            Some(Fault::ReadOnly) => StoreError::ReadOnly(error),
            Some(Fault::Full) => StoreError::Full(error),
            Some(Fault::Locked) => StoreError::Locked(error),
            Some(Fault::Damaged) => StoreError::Damaged(error.to_string()),
            None => StoreError::Database(error),
        }
    }
}

impl From<sqlx::migrate::MigrateError> for StoreError {
    fn from(error: sqlx::migrate::MigrateError) -> Self {
        use sqlx::migrate::MigrateError::{Execute, ExecuteMigration};
        match error {
            Execute(error) | ExecuteMigration(error, _) => error.into(),
            other => StoreError::Version(other.to_string()),
        }
    }
}

enum Fault {
    ReadOnly,
    Full,
    Locked,
    Damaged,
}

/// Source: <https://www.sqlite.org/rescode.html>; the low byte of an extended code is the primary one.
fn sqlite_fault(code: &str) -> Option<Fault> {
    match code.parse::<i32>().ok()? & 0xff {
        5 | 6 => Some(Fault::Locked),    // BUSY, LOCKED
        8 => Some(Fault::ReadOnly),      // READONLY
        11 | 26 => Some(Fault::Damaged), // CORRUPT, NOTADB
        13 => Some(Fault::Full),         // FULL
        _ => None,
    }
}

/// Source: PostgreSQL 15, appendix A, "PostgreSQL Error Codes".
fn postgres_fault(code: &str) -> Option<Fault> {
    match code {
        "25006" | "42501" => Some(Fault::ReadOnly), // read_only_sql_transaction, insufficient_privilege
        "53100" => Some(Fault::Full),               // disk_full
        "55P03" => Some(Fault::Locked),             // lock_not_available
        "XX001" | "XX002" => Some(Fault::Damaged),  // data_corrupted, index_corrupted
        _ => None,
    }
}
