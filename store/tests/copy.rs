//! What is carried over is the same afterwards, whatever the engines, and nothing is ever written over.

#![expect(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use branbell_store::copy::{Carried, backup, carry, restore};
use branbell_store::{
    NewFact, NewOutgoing, NudgeRow, NudgeState, Place, PostgresStore, Question, QuestionChange, Record,
    Recorded, SqliteStore, Store, StoreError,
};
use branbell_tests::postgres::{fresh_account, shared};
use serde_json::json;

/// Rooms, and facts in each: more than are read at a time.
const ROOMS: i64 = 3;
const FACTS: i64 = 340;

fn postgres() -> Place {
    Place::Postgres { url: shared().unwrap().url(), account: fresh_account() }
}

fn record(room: i64, event: i64) -> Record {
    let id = format!("${event}");
    let body = json!({ "text": format!("ü\u{0}🪱 {event}") });
    Record {
        room: format!("room {room}"),
        event: Some(id.clone()),
        now: event,
        after: event,
        facts: vec![NewFact {
            event: id.clone(),
            author: "ana".to_owned(),
            at: event,
            told: event,
            body: body.clone(),
        }],
        outbox: vec![NewOutgoing { txn: id.clone(), cause: id.clone(), body: body.clone() }],
        nudges: vec![NudgeRow {
            key: format!("drain/{event}"),
            state: NudgeState::Sent,
            attempts: 1,
            due: event,
            next_at: (event % 2 == 0).then_some(event),
        }],
        question: Some(QuestionChange {
            person: format!("ana {event}"),
            question: Some(Question { body, until: event }),
        }),
        unread: None,
        deleted: None,
    }
}

/// Something in every table.
async fn fill(store: impl Store) -> Result<(), StoreError> {
    for room in 0..ROOMS {
        for event in 0..FACTS {
            assert_eq!(store.record(&record(room, event)).await?, Recorded::Kept);
        }
        let sealed = Record {
            unread: Some("{}".to_owned()),
            event: Some("$sealed".to_owned()),
            ..record(room, FACTS)
        };
        let sealed = Record { facts: Vec::new(), outbox: Vec::new(), ..sealed };
        assert_eq!(store.record(&sealed).await?, Recorded::Kept);
    }
    let rows = store.outbox(FACTS, 10).await?;
    store.sent(rows[0].seq, "$out").await?;
    store.give_up(rows[1].seq, "the room is gone").await
}

async fn filled(place: &Place) -> Result<(), StoreError> {
    match place {
        Place::Sqlite(file) => fill(SqliteStore::open(file).await?).await,
        Place::Postgres { url, account } => fill(PostgresStore::open(url, account).await?).await,
    }
}

/// Goes on where the store that was carried over left off.
async fn go_on(store: impl Store) -> Result<(), StoreError> {
    assert_eq!(store.record(&record(0, 0)).await?, Recorded::Seen);
    let next = Record { event: Some("$next".to_owned()), ..record(0, FACTS) };
    assert_eq!(store.record(&next).await?, Recorded::Kept);
    let rows = store.outbox(FACTS, 10_000).await?;
    assert_eq!(i64::try_from(rows.len()).unwrap(), ROOMS * FACTS - 2 + 1);
    let last = rows.iter().rfind(|row| row.room == "room 0").map(|row| row.seq);
    assert_eq!(rows.iter().map(|row| row.seq).max(), last, "what is written now leaves its room last");
    assert_eq!(store.said("room 0", "$out").await?.unwrap().txn, "$0");
    Ok(())
}

async fn went_on(place: &Place) -> Result<(), StoreError> {
    match place {
        Place::Sqlite(file) => go_on(SqliteStore::open(file).await?).await,
        Place::Postgres { url, account } => go_on(PostgresStore::open(url, account).await?).await,
    }
}

fn rows(carried: &[Carried]) -> Vec<(&str, u64)> {
    carried.iter().map(|carried| (carried.table, carried.rows)).collect()
}

/// A server lets go of a process that has ended in its own time.
async fn carried(from: &Place, to: &Place) -> Result<Vec<Carried>, StoreError> {
    loop {
        match carry(from, to).await {
            Err(StoreError::Held { .. }) => tokio::task::yield_now().await,
            carried => return carried,
        }
    }
}

fn sqlite(folder: &Path, name: &str) -> Place {
    Place::Sqlite(folder.join(name))
}

/// The files that a store consists of, and what stands beside them under its name.
fn files(folder: &Path, name: &str) -> Vec<String> {
    let files = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut files: Vec<_> = files.filter(|file| file.starts_with(name)).collect();
    files.sort();
    files
}

/// From SQLite to PostgreSQL and back: the same by number and checksum each time, and the store goes on from there.
#[tokio::test]
async fn moves_either_way() -> Result<(), StoreError> {
    let folder = tempfile::tempdir().unwrap();
    let (first, second, third) = (sqlite(folder.path(), "a"), postgres(), sqlite(folder.path(), "b"));
    filled(&first).await?;
    let there = carried(&first, &second).await?;
    let back = carried(&second, &third).await?;
    assert_eq!(there, back);
    let (facts, rooms) = ((ROOMS * FACTS) as u64, ROOMS as u64);
    let wanted = [
        ("room", rooms),
        ("event", facts + rooms),
        ("fact", facts),
        ("nudge", facts + rooms),
        ("outbox", facts),
        ("question", facts + rooms),
        ("unread", rooms),
    ];
    assert_eq!(rows(&there), wanted);
    for name in ["a", "b"] {
        assert_eq!(
            files(folder.path(), name),
            [name, &format!("{name}.lock")],
            "the file alone holds all of it"
        );
    }
    went_on(&second).await?;
    went_on(&third).await
}

/// A store that holds anything is not written over, and one that is served is not moved.
#[tokio::test]
async fn refuses_what_would_lose_something() -> Result<(), StoreError> {
    let folder = tempfile::tempdir().unwrap();
    for full in [sqlite(folder.path(), "full"), postgres()] {
        filled(&full).await?;
        for other in [sqlite(folder.path(), "other"), postgres()] {
            if let Place::Sqlite(file) = &other {
                SqliteStore::open(file).await?.record(&record(0, 0)).await?;
            }
            if let Place::Postgres { url, account } = &other {
                PostgresStore::open(url, account).await?.record(&record(0, 0)).await?;
            }
            let refused = carried(&other, &full).await.unwrap_err();
            assert!(matches!(refused, StoreError::NotEmpty { .. }), "{refused:?}");
        }
        fs::remove_file(folder.path().join("other")).unwrap();
        went_on(&full).await?;
    }
    let served = SqliteStore::open(&folder.path().join("served")).await?;
    served.confirm().await?;
    let refused = carry(&sqlite(folder.path(), "served"), &postgres()).await.unwrap_err();
    assert!(matches!(refused, StoreError::Held { .. }), "{refused:?}");
    let missing = carry(&sqlite(folder.path(), "missing"), &postgres()).await.unwrap_err();
    assert!(matches!(missing, StoreError::File { .. }), "{missing:?}");
    assert!(!folder.path().join("missing").exists());
    Ok(())
}

/// A backup is made while the store is written, is of one moment, stands alone in one private file, and is restored to
/// either engine.
#[tokio::test]
async fn backs_up_while_it_is_served() -> Result<(), StoreError> {
    let folder = tempfile::tempdir().unwrap();
    let source = folder.path().join("served");
    let store = SqliteStore::open(&source).await?;
    store.record(&record(0, 0)).await?;
    let file = folder.path().join("backup");
    let writing = async {
        for event in 1..FACTS {
            store.record(&record(0, event)).await?;
        }
        Ok::<(), StoreError>(())
    };
    let source = Place::Sqlite(source);
    let (copied, written) = tokio::join!(backup(&source, &file), writing);
    written?;
    let copied = copied?;
    let facts = copied.iter().find(|table| table.table == "fact").unwrap().rows;
    for table in copied.iter().filter(|table| !["room", "unread"].contains(&table.table)) {
        assert_eq!(table.rows, facts, "{} is of another moment", table.table);
    }
    assert_eq!(fs::metadata(&file).unwrap().permissions().mode() & 0o777, 0o600);
    assert_eq!(files(folder.path(), "backup"), ["backup"]);

    let whole = fs::read(&file).unwrap();
    let refused = backup(&source, &file).await.unwrap_err();
    assert!(matches!(refused, StoreError::File { .. }), "{refused:?}");
    for place in [sqlite(folder.path(), "restored"), postgres()] {
        assert_eq!(restore(&file, &place).await?, copied);
        let refused = restore(&file, &place).await.unwrap_err();
        assert!(matches!(refused, StoreError::NotEmpty { .. } | StoreError::Held { .. }), "{refused:?}");
    }
    assert_eq!(fs::read(&file).unwrap(), whole);
    assert_eq!(files(folder.path(), "backup"), ["backup"]);
    assert_eq!(files(folder.path(), "restored"), ["restored", "restored.lock"]);
    Ok(())
}

/// What cannot be backed up leaves no file behind.
#[tokio::test]
async fn leaves_no_half_backup() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("backup");
    let failed = backup(&sqlite(folder.path(), "missing"), &file).await.unwrap_err();
    assert!(matches!(failed, StoreError::File { .. }), "{failed:?}");
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);
}

/// Both engines have the same tables and columns, of the same kinds, and a copy carries every one of them.
#[tokio::test]
async fn engines_have_the_same_tables() -> Result<(), StoreError> {
    let lite = SqliteStore::in_memory().await?.columns().await?;
    let Place::Postgres { url, account } = postgres() else { unreachable!() };
    let postgres = PostgresStore::open(&url, &account).await?.columns().await?;
    assert_eq!(lite, postgres);
    let mut carried = branbell_store::copy::columns();
    carried.extend(lite.iter().filter(|column| column.table == "keeper").cloned());
    carried.sort();
    assert_eq!(lite, carried);
    Ok(())
}
