//! SQLite is a store.

use branbell_store::{Record, Recorded, SqliteStore, Store, StoreError};

branbell_store::conformance!(SqliteStore::in_memory().await?);

/// What was kept is there after the file is opened again.
#[tokio::test]
async fn outlives_its_process() -> Result<(), StoreError> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("room.sqlite");
    let record = Record { room: "kitchen".to_owned(), event: Some("a".to_owned()), ..Record::default() };
    assert_eq!(SqliteStore::open(&file).await?.record(&record).await?, Recorded::Kept);
    assert_eq!(SqliteStore::open(&file).await?.record(&record).await?, Recorded::Seen);
    Ok(())
}

/// A folder that is not there is said so, with its name.
#[tokio::test]
async fn names_the_file_that_cannot_be_opened() {
    let error = SqliteStore::open("/nowhere/at/all.sqlite".as_ref()).await.unwrap_err();
    assert!(error.to_string().contains("/nowhere/at/all.sqlite"), "{error}");
}
