//! What every store must do, whatever its engine. A store's own test calls `conformance!` with a way to make a fresh one.

#![expect(
    clippy::missing_errors_doc,
    clippy::missing_panics_doc,
    reason = "each is a test: it fails with what it found"
)]

use serde_json::json;

use crate::{
    Archive, MOST_UNREAD, NewFact, NewOutgoing, NudgeRow, NudgeState, OutboxRow, Question, QuestionChange,
    Record, Recorded, RoomRows, Store, StoreError, Taken,
};

/// Makes a test of each behaviour, on a store that `$make` (an async expression) gives, and of each that concerns several
/// processes, on the two handles of one store that `$pair` gives, each as a process of its own would have it.
#[macro_export]
macro_rules! conformance {
    ($make:expr, $pair:expr) => {
        $crate::conformance!(@pair $pair;
            serves_an_account_from_one_process, hands_over_when_its_holder_is_gone,
            shuts_out_whoever_was_taken_for_gone, keeps_an_account_whose_holder_answers);
        $crate::conformance!(@each $make;
            takes_an_event_once, keeps_all_or_nothing, numbers_facts_by_room, refuses_to_be_overtaken,
            keeps_rooms_apart, sends_in_order_and_once, holds_a_room_back_behind_its_oldest_row,
            gives_each_room_its_turn,
            adds_a_transaction_once, recalls_what_went_out, wakes_for_what_is_next, changes_nudges_in_place, asks_one_question_a_person,
            reads_a_message_when_its_key_comes, drops_what_was_deleted_unread, keeps_so_many_unread_messages_of_a_room,
            lets_records_of_a_room_follow_each_other, keeps_every_text,
            sorts_by_bytes, gives_a_room_another_id, claims_the_longest_due_first, takes_a_room_elsewhere,
            rewrites_only_what_stands_as_it_was_seen, removes_one_room);
    };
    (@pair $pair:expr; $($name:ident),+) => {
        $(#[tokio::test]
        async fn $name() -> Result<(), $crate::StoreError> {
            let (one, other) = $pair;
            $crate::conformance::$name(one, other).await
        })+
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
    let written = store.written("cellar", "same").await?.map(|said| (said.txn, said.created));
    assert_eq!(written, Some(("same".to_owned(), 1_000)), "what was not sent is written all the same");
    assert_eq!(store.written("cellar", "other").await?, None);
    assert_eq!(store.written("attic", "same").await?, None);
    let rows = store.outbox(1_000, 10).await?;
    assert_eq!(rows.iter().map(|row| row.room.as_str()).collect::<Vec<_>>(), ["kitchen", "cellar"]);
    store.sent(rows[0].seq, "out").await?;
    assert_eq!(store.sent_as("kitchen", "same").await?.as_deref(), Some("out"));
    assert_eq!(store.sent_as("cellar", "same").await?, None);
    assert!(store.said("kitchen", "out").await?.is_some());
    assert_eq!(store.said("cellar", "out").await?, None);
    assert_eq!(store.question("kitchen", "ana").await?, Some(question("kitchen")));
    assert_eq!(store.nudge("cellar", "same").await?.and_then(|row| row.next_at), Some(70));
    assert_eq!(store.due_rooms(60, 10).await?, ["kitchen"]);
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
    let waiting = [("ana".to_owned(), question(3)), ("ben".to_owned(), question(2))];
    assert_eq!(store.questions("kitchen").await?, waiting);
    assert_eq!(store.questions("cellar").await?, []);
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

/// A message that is deleted before its key comes leaves nothing behind, and is not read any more.
pub async fn drops_what_was_deleted_unread(store: impl Store) -> Outcome {
    let sealed = |name: &str| Record { unread: Some("{}".to_owned()), ..event("kitchen", name, 0) };
    store.record(&sealed("a")).await?;
    store.record(&sealed("b")).await?;
    store.record(&Record { deleted: Some("a".to_owned()), ..event("kitchen", "c", 0) }).await?;
    assert_eq!(store.unread("kitchen").await?, [("b".to_owned(), "{}".to_owned())]);
    assert!(store.seen("kitchen", "a").await?);
    assert_eq!(store.record(&event("kitchen", "a", 0)).await?, Recorded::Seen);
    Ok(())
}

/// Nobody fills the store with what cannot be read: what comes beyond the most that are kept is taken in all the same.
pub async fn keeps_so_many_unread_messages_of_a_room(store: impl Store) -> Outcome {
    let sealed = |room, name: &str| Record { unread: Some("{}".to_owned()), ..event(room, name, 0) };
    for place in 0..=MOST_UNREAD {
        assert_eq!(store.record(&sealed("kitchen", &place.to_string())).await?, Recorded::Kept);
    }
    assert_eq!(store.unread("kitchen").await?.len(), MOST_UNREAD as usize);
    assert!(store.seen("kitchen", &MOST_UNREAD.to_string()).await?);
    store.record(&sealed("cellar", "a")).await?;
    assert_eq!(store.unread("cellar").await?.len(), 1, "each room has its own");
    Ok(())
}

/// Of two records for one room at the same time one is kept, and the other is told that it was overtaken.
pub async fn lets_records_of_a_room_follow_each_other(store: impl Store) -> Outcome {
    for round in 0..20 {
        let record = |name: &str| {
            let id = format!("{name}{round}");
            Record { facts: vec![fact(&id, round)], outbox: vec![row(&id)], ..event("kitchen", &id, round) }
        };
        let (one, other) = (record("a"), record("b"));
        let (one, other) = tokio::join!(store.record(&one), store.record(&other));
        let (one, other) = (one?, other?);
        let kept = matches!(
            (one, other),
            (Recorded::Kept, Recorded::Overtaken) | (Recorded::Overtaken, Recorded::Kept)
        );
        assert!(kept, "round {round}: {one:?}, {other:?}");
    }
    let seqs: Vec<_> = store.facts("kitchen", 0).await?.into_iter().map(|fact| fact.seq).collect();
    assert_eq!(seqs, (1..=20).collect::<Vec<_>>());
    assert_eq!(store.outbox(1_000, 100).await?.len(), 20);
    Ok(())
}

/// Whatever people write comes back as it was: zero bytes, signs of any script, a message as long as an event may be.
pub async fn keeps_every_text(store: impl Store) -> Outcome {
    let texts = ["\0", "a\u{202e}b\u{2069}", "🪱 ½ Kübel\r\n\t'\"\\;--", "", &"ü".repeat(32_000), "$1 %s {}"];
    // Source: Matrix specification 1.11, appendix "Common identifier format": 255 bytes at most.
    let room = format!("!{}:example.org", "k".repeat(242));
    for (n, text) in (0..).zip(texts) {
        let id = format!("${n}{}", "é".repeat(126));
        let body = json!({ "text": text, text: n });
        let record = Record {
            facts: vec![NewFact {
                body: body.clone(),
                author: format!("@{text}:x").replace('\0', ""),
                ..fact(&id, n)
            }],
            outbox: vec![NewOutgoing { body: body.clone(), ..row(&id) }],
            ..event(&room, &id, n)
        };
        assert_eq!(store.record(&record).await?, Recorded::Kept);
        let facts = store.facts(&room, n).await?;
        assert_eq!((&facts[0].body, &facts[0].event), (&body, &id));
        assert_eq!(store.last_said(&room).await?.map(|said| said.body), Some(body));
        assert!(store.seen(&room, &id).await?);
    }
    Ok(())
}

/// Names sort by their bytes, whatever language the database speaks.
pub async fn sorts_by_bytes(store: impl Store) -> Outcome {
    let names = ["A", "Z", "_", "a", "z", "ä", "🪱"];
    for name in names.iter().rev() {
        let nudges = names.iter().map(|name| nudge(name, Some(10))).collect();
        store.record(&Record { room: (*name).to_owned(), nudges, ..Record::default() }).await?;
    }
    assert_eq!(store.rooms().await?, names);
    assert_eq!(store.due_rooms(10, 100).await?, names);
    let keys: Vec<_> = store.open_nudges("a").await?.into_iter().map(|nudge| nudge.key).collect();
    assert_eq!(keys, names);
    Ok(())
}

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

/// While one process serves the account another can look, but neither write nor claim; it can only ask to take over.
pub async fn serves_an_account_from_one_process(one: impl Store, other: impl Store) -> Outcome {
    let record = Record { outbox: vec![row("t1")], ..event("kitchen", "a", 0) };
    assert_eq!(one.record(&record).await?, Recorded::Kept, "who writes first serves");
    assert_eq!(one.take(None).await?, Taken::Ours);
    assert!(other.seen("kitchen", "a").await?);
    let held = |outcome: Result<(), StoreError>| {
        assert!(matches!(outcome, Err(StoreError::Held { .. })), "{outcome:?}");
    };
    held(other.record(&event("kitchen", "b", 0)).await.map(drop));
    held(other.outbox(1_000, 10).await.map(drop));
    held(other.due_rooms(1_000, 10).await.map(drop));
    held(other.sent(1, "$1").await);
    held(other.confirm().await);
    held(other.beat().await);
    assert!(matches!(other.take(None).await?, Taken::Others(_)));
    assert!(!one.seen("kitchen", "b").await?);
    assert_eq!(one.outbox(1_000, 10).await?.len(), 1);
    one.confirm().await
}

/// When the process that serves ends, another can take over at once.
pub async fn hands_over_when_its_holder_is_gone(one: impl Store, other: impl Store) -> Outcome {
    one.record(&event("kitchen", "a", 0)).await?;
    assert!(matches!(other.take(None).await?, Taken::Others(_)));
    drop(one);
    // A server learns of it by itself, in its own time.
    while other.take(None).await? != Taken::Ours {
        tokio::task::yield_now().await;
    }
    assert_eq!(other.record(&event("kitchen", "b", 0)).await?, Recorded::Kept);
    assert!(other.seen("kitchen", "a").await?);
    Ok(())
}

/// A process that was paused for so long that another took over can write, claim and send nothing when it comes back, and
/// is told so by an error of its own.
pub async fn shuts_out_whoever_was_taken_for_gone(one: impl Store, other: impl Store) -> Outcome {
    let record = Record { facts: vec![fact("a", 1)], outbox: vec![row("t1")], ..event("kitchen", "a", 0) };
    one.record(&record).await?;
    let seq = one.outbox(1_000, 10).await?[0].seq;
    let Taken::Others(silent) = other.take(None).await? else { panic!("it is served") };
    assert_eq!(other.take(Some(silent)).await?, Taken::Ours);

    let lost = |outcome: Result<(), StoreError>| assert!(outcome.is_err_and(|error| error.is_lost()));
    lost(one.record(&event("kitchen", "b", 1)).await.map(drop));
    lost(one.sent(seq, "$stale").await);
    lost(one.put_off(seq, 9_000).await);
    lost(one.give_up(seq, "stale").await);
    lost(one.echoed("kitchen", "t1", "$stale").await);
    lost(one.outbox(1_000, 10).await.map(drop));
    lost(one.due_rooms(1_000, 10).await.map(drop));
    lost(one.confirm().await);
    lost(one.beat().await);
    lost(one.take(None).await.map(drop));

    let rows = other.outbox(1_000, 10).await?;
    assert_eq!((rows.len(), rows[0].tries), (1, 0), "nothing of it was kept");
    assert!(!other.seen("kitchen", "b").await?);
    assert_eq!(other.record(&event("kitchen", "b", 1)).await?, Recorded::Kept);
    other.sent(seq, "$1").await?;
    other.beat().await
}

/// A lease that was answered meanwhile is no proof that its holder is gone.
pub async fn keeps_an_account_whose_holder_answers(one: impl Store, other: impl Store) -> Outcome {
    one.record(&event("kitchen", "a", 0)).await?;
    let Taken::Others(first) = other.take(None).await? else { panic!("it is served") };
    one.beat().await?;
    let Taken::Others(second) = other.take(Some(first)).await? else { panic!("it answered") };
    assert_ne!(second, first);
    // Nobody asked since the last answer was given but this one: an answer is written for it.
    one.beat().await?;
    assert!(matches!(other.take(Some(second)).await?, Taken::Others(_)));
    one.confirm().await
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
