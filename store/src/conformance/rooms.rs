//! Whole rooms: taken elsewhere, rewritten, called otherwise, removed.

use serde_json::json;

use super::{Outcome, event, fact, nudge, row};
use crate::{Archive, NudgeRow, NudgeState, OutboxRow, Question, QuestionChange, Record, RoomRows, Store};

/// A room goes on under another id with all that was kept of it; a room that is there is not written over.
pub async fn gives_a_room_another_id(store: impl Archive) -> Outcome {
    furnish(&store, "kitchen").await?;
    furnish(&store, "cellar").await?;
    let (kitchen, cellar) = (store.rows("kitchen").await?, store.rows("cellar").await?);
    // An answer was put off, because the room was closed: under its new id it waits no longer.
    let closed = store.outbox(1_000, 10).await?.into_iter().find(|row| row.room == "kitchen");
    store.put_off(closed.expect("it was put there").seq, 300_000).await?;
    let tried = |rows: RoomRows| {
        let outbox = rows.outbox.into_iter();
        let outbox = outbox.map(|row| OutboxRow { tries: i64::from(row.event.is_none()), ..row }).collect();
        RoomRows { last_event: None, outbox, ..rows }
    };
    let kitchen = kitchen.map(tried);
    assert!(!store.rename("kitchen", "cellar").await?);
    assert!(store.rows("kitchen").await?.is_some());
    assert_eq!(store.rows("cellar").await?, cellar);
    // The second time there is nothing left to do.
    for _ in 0..2 {
        assert!(store.rename("kitchen", "new kitchen").await?);
        assert_eq!(store.rows("new kitchen").await?, kitchen);
        assert_eq!((store.rows("kitchen").await?, store.rows("cellar").await?), (None, cellar.clone()));
    }
    assert_eq!(store.rooms().await?, ["cellar", "new kitchen"]);
    let waiting = store.outbox(1_000, 10).await?.into_iter().find(|row| row.room == "new kitchen");
    assert_eq!(waiting.map(|row| row.txn).as_deref(), Some("t1"));
    Ok(())
}

/// A room with something in each of its tables, sent and unsent, open and closed.
async fn furnish(store: &impl Store, room: &str) -> Outcome {
    let question = Question { body: json!({ "which": 0.1 }), until: 90 };
    let record = Record {
        facts: vec![fact("b", 1), fact("b", 2)],
        outbox: vec![row("t2"), row("t1")],
        nudges: vec![nudge("b", Some(60)), NudgeRow { state: NudgeState::Answered, ..nudge("a", None) }],
        question: Some(QuestionChange { person: "ana".to_owned(), question: Some(question) }),
        ..event(room, "b", 0)
    };
    store.record(&record).await?;
    store.record(&Record { unread: Some("{}".to_owned()), ..event(room, "a", 2) }).await?;
    let first =
        store.outbox(1_000, 10).await?.into_iter().find(|row| row.room == room).expect("it was put there");
    store.sent(first.seq, "$1").await
}

/// All of a room, given to another store, makes the same room there; one that is there already is left alone.
pub async fn takes_a_room_elsewhere(store: impl Archive) -> Outcome {
    assert_eq!(store.rows("kitchen").await?, None);
    furnish(&store, "kitchen").await?;
    let rows = store.rows("kitchen").await?.expect("it is there");
    assert_eq!((rows.last_event.as_deref(), rows.events.len(), rows.facts.len()), (Some("a"), 2, 2));
    assert_eq!(rows.nudges.iter().map(|nudge| nudge.key.as_str()).collect::<Vec<_>>(), ["a", "b"]);
    let outbox = rows.outbox.iter().map(|row| (row.txn.as_str(), row.event.as_deref(), row.next_at));
    assert_eq!(outbox.collect::<Vec<_>>(), [("t2", Some("$1"), None), ("t1", None, Some(1_000))]);
    assert_eq!((rows.questions.len(), rows.unread.len()), (1, 1));
    assert!(store.add("cellar", &rows).await?);
    assert_eq!(store.rows("cellar").await?.as_ref(), Some(&rows));
    let other = RoomRows { facts: Vec::new(), ..rows.clone() };
    assert!(!store.add("cellar", &other).await?);
    assert_eq!(store.rows("cellar").await?, Some(rows));
    let left = store.outbox(1_000, 10).await?;
    assert_eq!(left.iter().map(|row| row.room.as_str()).collect::<Vec<_>>(), ["kitchen", "cellar"]);
    Ok(())
}

/// What was read is what is replaced, or nothing is; another room notices nothing.
pub async fn rewrites_only_what_stands_as_it_was_seen(store: impl Archive) -> Outcome {
    furnish(&store, "kitchen").await?;
    furnish(&store, "cellar").await?;
    let before = store.rows("kitchen").await?.expect("it is there");
    let mut after = before.clone();
    "somebody".clone_into(&mut after.facts[1].author);
    after.facts.push(crate::FactRow { seq: 3, ..after.facts[0].clone() });
    "t9".clone_into(&mut after.outbox[0].txn);
    after.outbox[0].body = json!({});
    after.questions.clear();
    after.unread.clear();
    store.record(&event("kitchen", "c", 2)).await?;
    assert!(!store.rewrite("kitchen", &before, &after).await?);
    let seen = store.rows("kitchen").await?.expect("it is there");
    assert_eq!(seen.facts, before.facts);
    let (last_event, events) = (seen.last_event.clone(), seen.events.clone());
    let after = RoomRows { last_event, events, ..after };
    assert!(store.rewrite("kitchen", &seen, &after).await?);
    assert_eq!(store.rows("kitchen").await?, Some(after));
    assert_eq!(store.rows("cellar").await?, Some(before));
    Ok(())
}

/// A room that is removed is gone, and can begin anew; another room notices nothing.
pub async fn removes_one_room(store: impl Archive) -> Outcome {
    furnish(&store, "kitchen").await?;
    furnish(&store, "cellar").await?;
    let cellar = store.rows("cellar").await?;
    assert!(store.remove("kitchen").await?);
    assert!(!store.remove("kitchen").await?);
    assert_eq!(store.rooms().await?, ["cellar"]);
    assert_eq!((store.rows("kitchen").await?, store.rows("cellar").await?), (None, cellar));
    furnish(&store, "kitchen").await
}
