//! What is taken in: an event once, its facts in order, all of a record or nothing of it.

use serde_json::json;

use super::{Outcome, event, fact, nudge, row};
use crate::{NewFact, NewOutgoing, NudgeRow, NudgeState, Question, QuestionChange, Record, Recorded, Store};

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
