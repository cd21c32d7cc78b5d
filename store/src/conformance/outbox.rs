//! What leaves: in order, once, each room in its turn.

use serde_json::json;

use super::{Outcome, event, nudge, row};
use crate::{NewOutgoing, Record, Recorded, Store};

/// Rows leave in the order they were written; a sent row does not leave again.
pub async fn sends_in_order_and_once(store: impl Store) -> Outcome {
    store.record(&Record { outbox: vec![row("t1"), row("t2")], ..event("kitchen", "a", 0) }).await?;
    let rows = store.outbox(1_000, 10).await?;
    assert_eq!(rows.iter().map(|row| row.txn.as_str()).collect::<Vec<_>>(), ["t1", "t2"]);
    assert_eq!(store.outbox(1_000, 1).await?.len(), 1);
    assert_eq!(store.outbox(999, 10).await?, [], "not before it was written");
    store.sent(rows[0].seq, "$1").await?;
    assert_eq!(store.outbox(1_000, 10).await?.len(), 1);
    store.echoed("kitchen", "t2", "$2").await?;
    store.echoed("kitchen", "t1", "$other").await?;
    assert_eq!(store.outbox(9_000, 10).await?, []);
    assert_eq!(store.sent_as("kitchen", "t1").await?.as_deref(), Some("$1"), "what was first seen stands");
    let said = store.said("kitchen", "$2").await?.map(|said| (said.txn, said.cause));
    assert_eq!(said, Some(("t2".to_owned(), "because of t2".to_owned())));
    assert_eq!(store.last_said("kitchen").await?.map(|said| said.txn).as_deref(), Some("t2"));
    assert_eq!(store.last_said("cellar").await?, None);
    Ok(())
}

/// While a room's oldest row waits for another try, its later rows wait too, and other rooms do not.
pub async fn holds_a_room_back_behind_its_oldest_row(store: impl Store) -> Outcome {
    store.record(&Record { outbox: vec![row("t1"), row("t2")], ..event("kitchen", "a", 0) }).await?;
    store.record(&Record { outbox: vec![row("t3")], ..event("cellar", "a", 0) }).await?;
    let first = store.outbox(1_000, 10).await?.remove(0);
    store.put_off(first.seq, 5_000).await?;
    let txns = |rows: Vec<crate::Outgoing>| rows.into_iter().map(|row| row.txn).collect::<Vec<_>>();
    let rows = store.outbox(1_000, 10).await?;
    store.sent(rows[0].seq, "$3").await?;
    assert_eq!(txns(rows), ["t3"]);
    assert_eq!(store.next_due().await?, Some(5_000), "what is held back does not wake anybody");
    let rows = store.outbox(5_000, 10).await?;
    assert_eq!(rows[0].tries, 1);
    assert_eq!(txns(rows), ["t1", "t2"]);
    store.give_up(first.seq, "the room is gone").await?;
    assert_eq!(txns(store.outbox(5_000, 10).await?), ["t2"]);
    Ok(())
}

/// However much waits to leave in one room, the others take turns with it; a room that was turned away comes first.
pub async fn gives_each_room_its_turn(store: impl Store) -> Outcome {
    let flood: Vec<_> = (0..200).map(|place| row(&format!("t{place}"))).collect();
    store.record(&Record { outbox: flood, ..event("flooded", "a", 0) }).await?;
    for room in ["attic", "cellar"] {
        store.record(&Record { outbox: vec![row(room), row("next")], ..event(room, "a", 0) }).await?;
    }
    let rows = store.outbox(1_000, 7).await?;
    let turns: Vec<_> = rows.iter().map(|row| (row.room.as_str(), row.txn.as_str())).collect();
    let first = [("flooded", "t0"), ("attic", "attic"), ("cellar", "cellar")];
    assert_eq!(turns[..3], first);
    assert_eq!(turns[3..], [("flooded", "t1"), ("attic", "next"), ("cellar", "next"), ("flooded", "t2")]);
    store.sent(rows[0].seq, "$1").await?;
    store.put_off(rows[2].seq, 1_000).await?;
    let rooms: Vec<_> = store.outbox(1_000, 3).await?.into_iter().map(|row| row.room).collect();
    assert_eq!(rooms, ["cellar", "flooded", "attic"]);
    Ok(())
}

/// The same transaction id in the same room adds nothing, whoever writes it again.
pub async fn adds_a_transaction_once(store: impl Store) -> Outcome {
    store.record(&Record { outbox: vec![row("t1")], ..event("kitchen", "a", 0) }).await?;
    let again = NewOutgoing { body: json!({ "text": "other" }), ..row("t1") };
    let due = Record { room: "kitchen".to_owned(), now: 2_000, outbox: vec![again], ..Record::default() };
    assert_eq!(store.record(&due).await?, Recorded::Kept);
    let rows = store.outbox(9_000, 10).await?;
    assert_eq!((rows.len(), &rows[0].body), (1, &json!({ "text": "t1" })));
    Ok(())
}

/// What went out and is in no outbox, because the store is older than that, is noted and not sent again.
pub async fn recalls_what_went_out(store: impl Store) -> Outcome {
    store.record(&Record { outbox: vec![row("t1")], ..event("kitchen", "a", 0) }).await?;
    store.recall("kitchen", &row("t2"), "$2", 7).await?;
    store.recall("kitchen", &row("t1"), "$1", 7).await?;
    let said = store.said("kitchen", "$2").await?.expect("it stands in the room");
    assert_eq!((said.txn.as_str(), said.cause.as_str(), said.created), ("t2", "because of t2", 7));
    // What is written later under the same id is known to have gone out.
    store.record(&Record { outbox: vec![row("t2")], ..event("kitchen", "b", 0) }).await?;
    let waiting: Vec<_> = store.outbox(1_000, 10).await?.into_iter().map(|row| row.txn).collect();
    assert_eq!(waiting, ["t1"]);
    Ok(())
}

/// The next instant of interest is the earliest of the outbox and the nudges.
pub async fn wakes_for_what_is_next(store: impl Store) -> Outcome {
    assert_eq!(store.next_due().await?, None);
    let nudges = vec![nudge("a", Some(3_000)), nudge("b", Some(2_000)), nudge("c", None)];
    store.record(&Record { outbox: vec![row("t1")], nudges, ..event("kitchen", "a", 0) }).await?;
    assert_eq!(store.next_due().await?, Some(1_000));
    let seq = store.outbox(1_000, 1).await?[0].seq;
    store.sent(seq, "$1").await?;
    assert_eq!(store.next_due().await?, Some(2_000));
    assert_eq!(store.due_rooms(1_999, 10).await?, Vec::<String>::new());
    assert_eq!(store.due_rooms(2_000, 10).await?, ["kitchen"]);
    Ok(())
}

/// A claim takes the rooms that have been due for longest, each once, and no more than were asked for.
pub async fn claims_the_longest_due_first(store: impl Store) -> Outcome {
    for (room, due) in [("attic", 30), ("cellar", 10), ("kitchen", 20), ("yard", 40)] {
        let nudges = vec![nudge("a", Some(due)), nudge("b", Some(due + 1)), nudge("c", None)];
        store.record(&Record { room: room.to_owned(), nudges, ..Record::default() }).await?;
    }
    assert_eq!(store.due_rooms(39, 2).await?, ["cellar", "kitchen"]);
    assert_eq!(store.due_rooms(39, 10).await?, ["cellar", "kitchen", "attic"]);
    assert_eq!(store.due_rooms(9, 10).await?, Vec::<String>::new());
    Ok(())
}
