/// What can go wrong with the store, by what to do about it.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The database could not be opened or reached.
    #[error("the store {place} cannot be opened: {source}")]
    Open {
        /// Where it should be.
        place: String,
        /// What the driver said.
        source: sqlx::Error,
    },
    /// Its tables could not be brought up to date.
    #[error("the store's tables cannot be brought up to date: {0}")]
    Migrate(#[from] sqlx::migrate::MigrateError),
    /// A statement failed; nothing of its transaction was kept.
    #[error("the store failed, and nothing of this was kept: {0}")]
    Database(#[from] sqlx::Error),
    /// What is stored makes no sense.
    #[error("the store holds {what} that cannot be read: {source}")]
    Inconsistent {
        /// The row.
        what: String,
        /// Why not.
        source: serde_json::Error,
    },
}
