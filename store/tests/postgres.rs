//! PostgreSQL is a store.

#![expect(clippy::unwrap_used, reason = "what fails here fails the test")]

use branbell_store::{PostgresStore, StoreError};
use branbell_tests::postgres::{fresh_account, shared};

async fn open(account: &str) -> Result<PostgresStore, StoreError> {
    PostgresStore::open(&shared().unwrap().url(), account).await
}

branbell_store::conformance!(open(&fresh_account()).await?, {
    let account = fresh_account();
    (open(&account).await?, open(&account).await?)
});
