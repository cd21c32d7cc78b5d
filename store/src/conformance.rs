//! What every store must do, whatever its engine. A store's own test calls `conformance!` with a way to make a fresh one.

#![expect(
    clippy::missing_errors_doc,
    clippy::missing_panics_doc,
    reason = "each is a test: it fails with what it found"
)]

use serde_json::json;

use crate::{
    NewFact, NewOutgoing, NudgeRow, NudgeState, Question, QuestionChange, Record, Recorded, Store, StoreError,
};

/// Makes a test of each behaviour, on a store that `$make` (an async expression) gives.
#[macro_export]
macro_rules! conformance {
    ($make:expr) => {
        $crate::conformance!(@each $make;
            takes_an_event_once, keeps_all_or_nothing, numbers_facts_by_room, refuses_to_be_overtaken,
            keeps_rooms_apart, sends_in_order_and_once, holds_a_room_back_behind_its_oldest_row,
            adds_a_transaction_once, wakes_for_what_is_next, changes_nudges_in_place, asks_one_question_a_person,
            reads_a_message_when_its_key_comes);
    };
    (@each $make:expr; $($name:ident),+) => {
        $(#[tokio::test]
        async fn $name() -> Result<(), $crate::StoreError> {
            $crate::conformance::$name($make).await
        })+
    };
}

type Outcome = Result<(), StoreError>;

fn event(room: &str, event: &str, after: i64) -> Record {
    Record { room: room.to_owned(), event: Some(event.to_owned()), now: 1_000, after, ..Record::default() }
}

fn fact(event: &str, n: i64) -> NewFact {
    NewFact { event: event.to_owned(), author: "ana".to_owned(), at: n, told: n, body: json!({ "n": n }) }
}

fn row(txn: &str) -> NewOutgoing {
    NewOutgoing { txn: txn.to_owned(), cause: format!("because of {txn}"), body: json!({ "text": txn }) }
}

fn nudge(key: &str, next_at: Option<i64>) -> NudgeRow {
    NudgeRow { key: key.to_owned(), state: NudgeState::Planned, attempts: 0, due: 50, next_at }
}

/// An event that comes again changes nothing, and the last event stays the newest.
pub async fn takes_an_event_once(store: impl Store) -> Outcome {
    let first = Record { facts: vec![fact("e1", 1)], outbox: vec![row("t1")], ..event("kitchen", "e1", 0) };
    assert_eq!(store.record(&first).await?, Recorded::Kept);
    assert!(store.seen("kitchen", "e1").await?);
    assert!(!store.seen("kitchen", "e2").await?);
    assert_eq!(store.record(&event("kitchen", "e2", 1)).await?, Recorded::Kept);
    assert_eq!(store.record(&Record { after: 1, ..first }).await?, Recorded::Seen);
    assert_eq!(store.facts("kitchen", 0).await?.len(), 1);
    assert_eq!(store.outbox(1_000, 10).await?.len(), 1);
    assert_eq!(store.last_event("kitchen").await?.as_deref(), Some("e2"));
    assert_eq!(store.last_event("cellar").await?, None);
    Ok(())
}

/// Everything that a record holds is there afterwards, as it was given.
pub async fn keeps_all_or_nothing(store: impl Store) -> Outcome {
    let question = Question { body: json!({ "which": "bin" }), until: 90 };
    let record = Record {
        facts: vec![fact("e1", 7)],
        outbox: vec![row("t1")],
        nudges: vec![nudge("drain/green/1/0", Some(60))],
        question: Some(QuestionChange { person: "ana".to_owned(), question: Some(question.clone()) }),
        ..event("kitchen", "e1", 0)
    };
    assert_eq!(store.record(&Record { after: 3, ..record.clone() }).await?, Recorded::Overtaken);
    assert!(!store.seen("kitchen", "e1").await?);
    assert_eq!(store.rooms().await?, Vec::<String>::new());
    assert_eq!(store.next_due().await?, None);

    assert_eq!(store.record(&record).await?, Recorded::Kept);
    let facts = store.facts("kitchen", 0).await?;
    assert_eq!((facts[0].seq, facts[0].at, &facts[0].body), (1, 7, &json!({ "n": 7 })));
    assert_eq!((facts[0].event.as_str(), facts[0].author.as_str()), ("e1", "ana"));
    assert_eq!(store.open_nudges("kitchen").await?, record.nudges);
    assert_eq!(store.question("kitchen", "ana").await?, Some(question));
    assert_eq!(store.outbox(1_000, 10).await?[0].body, json!({ "text": "t1" }));
    assert_eq!(store.rooms().await?, ["kitchen"]);
    Ok(())
}

/// Facts are numbered from 1 in each room, and can be read from any place on.
pub async fn numbers_facts_by_room(store: impl Store) -> Outcome {
    store.record(&Record { facts: vec![fact("a", 1), fact("a", 2)], ..event("kitchen", "a", 0) }).await?;
    store.record(&Record { facts: vec![fact("b", 3)], ..event("cellar", "b", 0) }).await?;
    store.record(&Record { facts: vec![fact("c", 4)], ..event("kitchen", "c", 2) }).await?;
    let seqs =
        |rows: Vec<crate::FactRow>| rows.into_iter().map(|fact| (fact.seq, fact.at)).collect::<Vec<_>>();
    assert_eq!(seqs(store.facts("kitchen", 0).await?), [(1, 1), (2, 2), (3, 4)]);
    assert_eq!(seqs(store.facts("kitchen", 2).await?), [(3, 4)]);
    assert_eq!(seqs(store.facts("cellar", 0).await?), [(1, 3)]);
    Ok(())
}

/// A record that was decided on old facts is refused, and its event can be taken in later.
pub async fn refuses_to_be_overtaken(store: impl Store) -> Outcome {
    store.record(&Record { facts: vec![fact("a", 1)], ..event("kitchen", "a", 0) }).await?;
    let late = Record { facts: vec![fact("b", 2)], ..event("kitchen", "b", 0) };
    assert_eq!(store.record(&late).await?, Recorded::Overtaken);
    assert_eq!(store.facts("kitchen", 0).await?.len(), 1);
    assert_eq!(store.record(&Record { after: 1, ..late }).await?, Recorded::Kept);
    Ok(())
}

/// The same event id, transaction id, nudge key and person in another room are other things.
pub async fn keeps_rooms_apart(store: impl Store) -> Outcome {
    let question = |text: &str| Question { body: json!(text), until: 90 };
    for room in ["kitchen", "cellar"] {
        let record = Record {
            facts: vec![fact("same", 1)],
            outbox: vec![row("same")],
            nudges: vec![nudge("same", Some(if room == "cellar" { 70 } else { 60 }))],
            question: Some(QuestionChange { person: "ana".to_owned(), question: Some(question(room)) }),
            ..event(room, "same", 0)
        };
        assert_eq!(store.record(&record).await?, Recorded::Kept);
    }
    let rows = store.outbox(1_000, 10).await?;
    assert_eq!(rows.iter().map(|row| row.room.as_str()).collect::<Vec<_>>(), ["kitchen", "cellar"]);
    store.sent(rows[0].seq, "out").await?;
    assert_eq!(store.sent_as("kitchen", "same").await?.as_deref(), Some("out"));
    assert_eq!(store.sent_as("cellar", "same").await?, None);
    assert!(store.said("kitchen", "out").await?.is_some());
    assert_eq!(store.said("cellar", "out").await?, None);
    assert_eq!(store.question("kitchen", "ana").await?, Some(question("kitchen")));
    assert_eq!(store.nudge("cellar", "same").await?.and_then(|row| row.next_at), Some(70));
    assert_eq!(store.due_rooms(60).await?, ["kitchen"]);
    Ok(())
}

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
    assert_eq!(txns(store.outbox(1_000, 10).await?), ["t3"]);
    let rows = store.outbox(5_000, 10).await?;
    assert_eq!(rows[0].tries, 1);
    assert_eq!(txns(rows), ["t1", "t2", "t3"]);
    store.give_up(first.seq, "the room is gone").await?;
    assert_eq!(txns(store.outbox(5_000, 10).await?), ["t2", "t3"]);
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

/// The next instant of interest is the earliest of the outbox and the nudges.
pub async fn wakes_for_what_is_next(store: impl Store) -> Outcome {
    assert_eq!(store.next_due().await?, None);
    let nudges = vec![nudge("a", Some(3_000)), nudge("b", Some(2_000)), nudge("c", None)];
    store.record(&Record { outbox: vec![row("t1")], nudges, ..event("kitchen", "a", 0) }).await?;
    assert_eq!(store.next_due().await?, Some(1_000));
    let seq = store.outbox(1_000, 1).await?[0].seq;
    store.sent(seq, "$1").await?;
    assert_eq!(store.next_due().await?, Some(2_000));
    assert_eq!(store.due_rooms(1_999).await?, Vec::<String>::new());
    assert_eq!(store.due_rooms(2_000).await?, ["kitchen"]);
    Ok(())
}

/// A nudge is put over itself; closed ones are no longer open, and are still found by key.
pub async fn changes_nudges_in_place(store: impl Store) -> Outcome {
    let put = async |row: NudgeRow| {
        let record = Record { room: "kitchen".to_owned(), nudges: vec![row], ..Record::default() };
        store.record(&record).await
    };
    put(nudge("drain/green/1/0", Some(60))).await?;
    let sent = NudgeRow {
        state: NudgeState::Sent,
        attempts: 1,
        next_at: Some(90),
        ..nudge("drain/green/1/0", None)
    };
    put(sent.clone()).await?;
    assert_eq!(store.open_nudges("kitchen").await?, std::slice::from_ref(&sent));
    for state in [NudgeState::Settled, NudgeState::Answered] {
        let closed = NudgeRow { state, next_at: None, ..sent.clone() };
        put(closed.clone()).await?;
        assert_eq!(store.open_nudges("kitchen").await?, []);
        assert_eq!(store.nudge("kitchen", "drain/green/1/0").await?, Some(closed));
    }
    assert_eq!(store.nudge("kitchen", "seal/green/1").await?, None);
    Ok(())
}

/// A new question takes the old one's place; an answer removes it.
pub async fn asks_one_question_a_person(store: impl Store) -> Outcome {
    let ask = async |event_id: &str, person: &str, question: Option<Question>| {
        let change = QuestionChange { person: person.to_owned(), question };
        store.record(&Record { question: Some(change), ..event("kitchen", event_id, 0) }).await
    };
    let question = |n: i64| Question { body: json!(n), until: n };
    ask("a", "ana", Some(question(1))).await?;
    ask("b", "ben", Some(question(2))).await?;
    ask("c", "ana", Some(question(3))).await?;
    assert_eq!(store.question("kitchen", "ana").await?, Some(question(3)));
    ask("d", "ana", None).await?;
    assert_eq!(store.question("kitchen", "ana").await?, None);
    assert_eq!(store.question("kitchen", "ben").await?, Some(question(2)));
    Ok(())
}

/// A message that cannot be decrypted is kept and counts as taken in; when its key comes it is read, once.
pub async fn reads_a_message_when_its_key_comes(store: impl Store) -> Outcome {
    let sealed = Record { unread: Some("{\"c\":1}".to_owned()), ..event("kitchen", "a", 0) };
    assert_eq!(store.record(&sealed).await?, Recorded::Kept);
    assert_eq!(store.record(&sealed).await?, Recorded::Seen);
    assert_eq!(store.unread("kitchen").await?, [("a".to_owned(), "{\"c\":1}".to_owned())]);
    assert!(!store.seen("kitchen", "a").await?);
    store.record(&event("kitchen", "b", 0)).await?;
    let readable = Record { facts: vec![fact("a", 1)], ..event("kitchen", "a", 0) };
    assert_eq!(store.record(&readable).await?, Recorded::Kept);
    assert_eq!(store.record(&readable).await?, Recorded::Seen);
    assert_eq!(store.unread("kitchen").await?, []);
    assert_eq!(store.facts("kitchen", 0).await?.len(), 1);
    assert_eq!(store.last_event("kitchen").await?.as_deref(), Some("b"), "it is still an old message");
    Ok(())
}
