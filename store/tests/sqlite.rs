//! SQLite is a store.

#![expect(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

use branbell_store::{Archive, NewFact, Record, Recorded, SqliteStore, Store, StoreError};
use serde_json::json;
use tempfile::TempDir;

branbell_store::conformance!(SqliteStore::in_memory().await?, {
    let file = tempfile::tempdir().unwrap().keep().join("room.sqlite");
    (SqliteStore::open(&file).await?, SqliteStore::open(&file).await?)
});

fn place() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("room.sqlite");
    (folder, file)
}

fn record(event: &str, after: i64) -> Record {
    let fact = NewFact {
        event: event.to_owned(),
        author: "ana".to_owned(),
        at: 1,
        told: 1,
        body: json!({ "text": "x".repeat(1_000) }),
    };
    Record {
        room: "kitchen".to_owned(),
        event: Some(event.to_owned()),
        after,
        facts: vec![fact],
        ..Record::default()
    }
}

/// What was kept is there after the file is opened again.
#[tokio::test]
async fn outlives_its_process() -> Result<(), StoreError> {
    let (_folder, file) = place();
    assert_eq!(SqliteStore::open(&file).await?.record(&record("a", 0)).await?, Recorded::Kept);
    assert_eq!(SqliteStore::open(&file).await?.record(&record("a", 0)).await?, Recorded::Seen);
    Ok(())
}

/// Nobody else on the machine can read it, nor the files that stand beside it.
#[tokio::test]
async fn is_its_owners_alone() -> Result<(), StoreError> {
    let (folder, file) = place();
    let store = SqliteStore::open(&file).await?;
    store.record(&record("a", 0)).await?;
    let files: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap()).collect();
    assert!(files.len() >= 3, "{files:?}");
    for file in files {
        assert_eq!(file.metadata().unwrap().permissions().mode() & 0o777, 0o600, "{file:?}");
    }
    Ok(())
}

/// A folder that cannot be made is said so, with the name of the file.
#[tokio::test]
async fn names_the_file_that_cannot_be_opened() {
    let error = SqliteStore::open("/dev/null/at/all.sqlite".as_ref()).await.unwrap_err();
    assert!(error.to_string().contains("/dev/null/at/all.sqlite"), "{error}");
}

/// A hundred facts in a file that is closed.
async fn filled(file: &Path) -> Result<(), StoreError> {
    let store = SqliteStore::open(file).await?;
    for n in 0..100 {
        assert_eq!(store.record(&record(&n.to_string(), n)).await?, Recorded::Kept);
    }
    store.close().await;
    Ok(())
}

/// Opens a file that was damaged, and gives what is said about it; the file is left as it was found.
async fn complaint(file: &Path) -> String {
    let damaged = fs::read(file).unwrap();
    let error = SqliteStore::open(file).await.unwrap_err();
    let StoreError::Open { source, .. } = &error else { panic!("{error:?}") };
    assert!(matches!(**source, StoreError::Damaged(_)), "{error:?}");
    assert_eq!(fs::read(file).unwrap(), damaged);
    format!("{:#}", anyhow::Error::from(error))
}

/// A damaged file is found when it is opened, and what to do is said.
#[tokio::test]
async fn finds_damage() -> Result<(), StoreError> {
    let (_folder, file) = place();
    filled(&file).await?;
    let whole = fs::read(&file).unwrap();

    fs::write(&file, &whole[..whole.len() / 2]).unwrap();
    let said = complaint(&file).await;
    assert!(said.contains("room.sqlite") && said.contains("branbell restore"), "{said}");

    let mut torn = whole.clone();
    let page = 4_096;
    for torn in torn.chunks_mut(page).skip(1).step_by(2) {
        torn[..page / 2].fill(0);
    }
    fs::write(&file, torn).unwrap();
    complaint(&file).await;

    fs::write(&file, "this is no database, it is a shopping list".repeat(100)).unwrap();
    complaint(&file).await;

    fs::write(&file, whole).unwrap();
    assert_eq!(SqliteStore::open(&file).await?.facts("kitchen", 0).await?.len(), 100);
    Ok(())
}

/// Nothing of what was rewritten or removed is found in the file, nor in the log of writes beside it.
#[tokio::test]
async fn leaves_no_trace_of_what_is_forgotten() -> Result<(), StoreError> {
    let folder = tempfile::tempdir().unwrap();
    let found = |text: &str| {
        let files =
            fs::read_dir(folder.path()).unwrap().map(|entry| fs::read(entry.unwrap().path()).unwrap());
        files.into_iter().any(|bytes| bytes.windows(text.len()).any(|window| window == text.as_bytes()))
    };
    let store = SqliteStore::open(&folder.path().join("room.sqlite")).await?;
    let told = |name: &str| NewFact {
        event: "a".to_owned(),
        author: name.to_owned(),
        at: 0,
        told: 0,
        body: name.repeat(2_000).into(),
    };
    let facts = vec![told("canary"), told("sparrow")];
    store.record(&Record { room: "kitchen".to_owned(), facts, ..Record::default() }).await?;
    assert!(found("canary") && found("sparrow"));
    let before = store.rows("kitchen").await?.unwrap();
    let mut after = before.clone();
    "somebody".clone_into(&mut after.facts[0].author);
    after.facts[0].body = serde_json::Value::Null;
    assert!(store.rewrite("kitchen", &before, &after).await?);
    assert!(!found("canary") && found("sparrow"));
    assert!(store.remove("kitchen").await?);
    assert!(!found("sparrow"));
    Ok(())
}
