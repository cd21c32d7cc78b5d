//! Whatever a room holds can be taken elsewhere and back, and a person can be taken out of it.

#![expect(clippy::unwrap_used, reason = "what fails here fails the test")]

mod rooms;

use branbell::archive::{self, forget, of_person, read_room, sheet, write_person, write_room};
use branbell_store::{Archive, FactRow, RoomRows, SqliteStore};
use chrono::DateTime;
use proptest::prelude::*;
use rooms::{NAMES, PERSON, room};
use serde_json::json;

fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(future)
}

/// The rows after a way through a store of their own.
async fn through_a_store(rows: &RoomRows) -> RoomRows {
    let store = SqliteStore::in_memory().await.unwrap();
    assert!(store.add("kitchen", rows).await.unwrap());
    store.rows("kitchen").await.unwrap().unwrap()
}

/// A room as the program understands it, to compare it with another.
fn understood(rows: &RoomRows) -> String {
    let room = archive::room(&rows.facts).unwrap();
    let holding: Vec<_> = room.facts().collect();
    let of_bins = (&room.bins, &room.starter, &room.weighed, &room.temperatures, &room.measures);
    let of_room = (room.zone, room.units, room.direct, room.quiet, &room.digest, &room.plots, &room.people);
    format!("{:?}", (of_bins, of_room, room.last_log, room.as_of, holding))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    /// Export, import, export: the same bytes, and the same room.
    #[test]
    fn nothing_is_lost_on_the_way(rows in room()) {
        let kept = run(through_a_store(&rows));
        prop_assert_eq!(&kept, &rows);
        let first = write_room("!kitchen:example.org", &kept).unwrap();
        let (room, read) = read_room(&first).unwrap();
        let again = run(through_a_store(&read));
        let second = write_room(&room, &again).unwrap();
        prop_assert_eq!(first, second);
        prop_assert_eq!(understood(&rows), understood(&again));
    }

    /// Whatever becomes of a file, nothing else is read out of it than what was written.
    #[test]
    fn damage_is_found(rows in room(), place in any::<prop::sample::Index>(), with in any::<u8>(), cut in any::<bool>()) {
        let whole = write_room("kitchen", &rows).unwrap();
        let mut file = whole.clone();
        let place = place.index(file.len());
        if cut { file.truncate(place) } else { file[place] = with }
        match read_room(&file) {
            Ok((room, read)) => prop_assert_eq!((room.as_str(), read), ("kitchen", rows)),
            Err(error) => prop_assert!(!error.to_string().is_empty()),
        }
    }

    /// No bytes at all make the reader fall.
    #[test]
    fn any_bytes_are_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(read_room(&bytes).is_err());
    }

    /// Who is forgotten is nowhere any more, and the bins do not notice.
    #[test]
    fn who_is_forgotten_is_gone(rows in room()) {
        let now = DateTime::from_timestamp_millis(4_102_444_800_000).unwrap();
        let Some(forgotten) = forget(&rows, PERSON, now).unwrap() else {
            prop_assert!(of_person(&rows, PERSON).is_none());
            return Ok(());
        };
        let text = String::from_utf8(write_room("kitchen", &forgotten.rows).unwrap()).unwrap();
        prop_assert!(!text.contains(PERSON), "{}", text);
        for name in NAMES.iter().filter(|name| rows.facts.iter().any(|fact| fact.body["name"] == **name)) {
            let shown = name.trim_end_matches('\u{202E}');
            prop_assert!(!text.contains(shown), "{} in {}", name, text);
        }
        prop_assert_eq!(of_person(&forgotten.rows, PERSON), None);
        let (before, after) = (archive::room(&rows.facts).unwrap(), archive::room(&forgotten.rows.facts).unwrap());
        prop_assert_eq!(format!("{:?}", before.bins), format!("{:?}", after.bins));
        prop_assert_eq!(format!("{:?}", before.plots), format!("{:?}", after.plots));
        prop_assert_eq!(before.people.len(), after.people.len());
        prop_assert!(after.people.iter().all(|person| person.id != forgotten.stand_in || !person.here));
        let kept = forgotten.rows.facts.iter().filter(|fact| fact.author == forgotten.stand_in);
        prop_assert_eq!(kept.count(), rows.facts.iter().filter(|fact| fact.author == PERSON).count());
    }

    /// What is given to a person is theirs, and all that is theirs.
    #[test]
    fn a_person_gets_their_own(rows in room()) {
        let Some(theirs) = of_person(&rows, PERSON) else { return Ok(()) };
        let is_theirs = |fact: &FactRow| fact.author == PERSON || fact.body["person"] == PERSON;
        let expected: Vec<FactRow> = rows.facts.iter().filter(|fact| is_theirs(fact)).cloned().collect();
        prop_assert_eq!(&theirs.facts, &expected);
        prop_assert!(theirs.questions.iter().all(|question| question.person == PERSON));
        let file = write_person("kitchen", PERSON, &theirs).unwrap();
        let refused = format!("{:#}", read_room(&file).unwrap_err());
        prop_assert!(refused.contains("one person"), "{}", refused);
    }

    /// Every sheet is a table, and no cell of it begins a formula.
    #[test]
    fn a_sheet_is_a_table_without_formulas(rows in room()) {
        let known = archive::room(&rows.facts).unwrap();
        let sheet = sheet::sheet(&known, &rows.facts).unwrap();
        let text = sheet.strip_prefix("\u{FEFF}".as_bytes()).unwrap();
        let mut reader = csv::Reader::from_reader(text);
        let width = reader.headers().unwrap().len();
        let records: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().unwrap();
        prop_assert_eq!(records.len(), rows.facts.len());
        for cell in records.iter().flatten() {
            prop_assert!(!cell.starts_with(['=', '+', '@', '\t', '\r', '\n']), "{:?}", cell);
            prop_assert!(!cell.starts_with('-') || cell.parse::<f64>().is_ok(), "{:?}", cell);
        }
        prop_assert!(records.iter().all(|record| record.len() == width));
    }
}

/// A small room in words.
fn small() -> RoomRows {
    let fact = |seq, author: &str, event: &str, body| FactRow {
        seq,
        event: event.to_owned(),
        author: author.to_owned(),
        at: 1_774_746_000_000 + seq * 3_600_000,
        told: 1_774_746_000_000 + seq * 3_600_000,
        body,
    };
    let member = |person: &str, name: &str| json!({ "kind": "member", "person": person, "name": name, "steward": true });
    RoomRows {
        facts: vec![
            fact(
                1,
                "",
                "",
                json!({ "kind": "opened", "zone": "Europe/Vienna", "units": "metric", "direct": false }),
            ),
            fact(2, "", "", member(PERSON, NAMES[0])),
            fact(
                3,
                PERSON,
                "$a",
                json!({ "kind": "bin_set", "bin": "=1+1", "capacity_ml": 19000.0, "tap": true }),
            ),
            fact(
                4,
                PERSON,
                "$b",
                json!({ "kind": "scraps", "bin": "=1+1", "ml": 3000.0, "g": null, "foods": ["fruit", "meat"] }),
            ),
            fact(5, PERSON, "$c", json!({ "kind": "temperature", "place": { "bin": "=1+1" }, "c": -2.5 })),
            fact(6, PERSON, "$d", json!({ "kind": "void", "seqs": [4] })),
            fact(
                7,
                "@bo:example.org",
                "$e",
                json!({ "kind": "checked", "bin": "=1+1", "signs": { "smell": "sweet_sour", "mould": null, "moisture": null, "pests": false, "lid": null } }),
            ),
        ],
        ..RoomRows::default()
    }
}

#[test]
fn the_form_of_the_lines_stays() {
    let rows = RoomRows {
        last_event: Some("$d".to_owned()),
        events: vec![branbell_store::EventRow { event: "$d".to_owned(), taken: 7 }],
        nudges: vec![branbell_store::NudgeRow {
            key: "drain/green/1/1".to_owned(),
            state: branbell_store::NudgeState::Sent,
            attempts: 1,
            due: 5,
            next_at: Some(9),
        }],
        outbox: vec![branbell_store::OutboxRow {
            txn: "reply:$d".to_owned(),
            cause: "$d".to_owned(),
            body: json!({ "reaction": { "on": "reply:$c", "key": "✅" } }),
            created: 7,
            tries: 0,
            next_at: None,
            event: Some("$e".to_owned()),
            failure: None,
        }],
        unread: vec![branbell_store::UnreadRow { event: "$u".to_owned(), raw: "{}".to_owned() }],
        ..small()
    };
    insta::assert_snapshot!(String::from_utf8(write_room("!kitchen:example.org", &rows).unwrap()).unwrap());
}

#[test]
fn the_form_of_the_sheet_stays() {
    let rows = small();
    let sheet = sheet::sheet(&archive::room(&rows.facts).unwrap(), &rows.facts).unwrap();
    insta::assert_snapshot!(
        String::from_utf8(sheet).unwrap().trim_start_matches('\u{FEFF}').replace("\r\n", "\n")
    );
}

/// Each kind of damage is told in a sentence that names its place.
#[test]
fn a_refusal_says_what_and_where() {
    let whole = String::from_utf8(write_room("kitchen", &small()).unwrap()).unwrap();
    let lines: Vec<&str> = whole.lines().collect();
    let without_the_last = lines[..lines.len() - 1].join("\n");
    let twice = RoomRows {
        events: vec![branbell_store::EventRow { event: "$a".to_owned(), taken: 1 }; 2],
        ..RoomRows::default()
    };
    let twice = String::from_utf8(write_room("kitchen", &twice).unwrap()).unwrap();
    let files = [
        ("nothing", String::new()),
        ("a text", "Dear diary,\nI fed the bin.\n".to_owned()),
        ("another JSON", "{\"format\":\"something-else\"}\n".to_owned()),
        ("a later form", whole.replacen("\"version\":1", "\"version\":2", 1)),
        ("cut off within a line", whole[..whole.len() - 9].to_owned()),
        ("cut off between lines", without_the_last + "\n"),
        ("a line more", whole.clone() + lines[1] + "\n"),
        ("an unknown kind of fact", whole.replacen("\"scraps\"", "\"scrips\"", 1)),
        ("a row without a value", whole.replacen("\"author\":\"@bo:example.org\",", "", 1)),
        ("a row twice", twice),
        ("a fact left out", whole.replacen("\"seq\":4", "\"seq\":5", 1)),
        ("another number", whole.replacen("3000.0", "9000.0", 1)),
        ("another room", whole.replacen("\"kitchen\"", "\"kitchin\"", 1)),
    ];
    let told: Vec<String> = files
        .iter()
        .map(|(what, file)| format!("{what}: {:#}", read_room(file.as_bytes()).unwrap_err()))
        .collect();
    insta::assert_snapshot!(told.join("\n"));
}

/// The person's words, id and name are gone from what was said to them, and the others' are not.
#[test]
fn forgets_in_what_was_said() {
    let message = |text: &str, to: &[&str]| json!({ "message": { "text": text, "html": text, "to": to } });
    let said = |txn: &str, cause: &str, next_at, body| branbell_store::OutboxRow {
        txn: txn.to_owned(),
        cause: cause.to_owned(),
        body,
        created: 0,
        tries: 0,
        next_at,
        event: None,
        failure: None,
    };
    let rows = RoomRows {
        outbox: vec![
            said("reply:$b", "$b", None, message("3 l in green. Thank you, Mira.", &[])),
            said(
                "nudge:drain:1",
                "nudge:drain",
                None,
                message("Mira: drain Miracle, Bo.", &[PERSON, "@bo:example.org"]),
            ),
            said("reply:$c", "$c", Some(5), message("-2.5 °C at green.", &[])),
        ],
        ..small()
    };
    let forgotten = forget(&rows, PERSON, DateTime::UNIX_EPOCH).unwrap().unwrap();
    let body = |place: usize| serde_json::to_string(&forgotten.rows.outbox[place].body).unwrap();
    assert!(body(0).contains("Thank you, somebody."), "{}", body(0));
    assert!(body(1).contains("somebody: drain Miracle, Bo."), "{}", body(1));
    assert!(!body(1).contains("mira:") && body(1).contains("@bo:example.org"), "{}", body(1));
    let txns: Vec<&str> = forgotten.rows.outbox.iter().map(|row| row.txn.as_str()).collect();
    assert_eq!(
        txns,
        ["reply:somebody-1/2", "nudge:drain:1", "reply:$c"],
        "one that is still to be sent keeps its id"
    );
    let facts: Vec<(&str, &str)> =
        forgotten.rows.facts.iter().map(|fact| (fact.author.as_str(), fact.event.as_str())).collect();
    assert_eq!(
        facts[2..6],
        [
            ("somebody-1", "somebody-1/1"),
            ("somebody-1", "somebody-1/2"),
            ("somebody-1", "somebody-1/3"),
            ("somebody-1", "somebody-1/4")
        ]
    );
    assert_eq!(facts[6], ("@bo:example.org", "$e"));
    assert_eq!(forgotten.rows.facts[7].body, json!({ "kind": "left", "person": "somebody-1" }));
    assert_eq!(forgotten.facts, 4);
    assert!(forget(&rows, "@nobody:example.org", DateTime::UNIX_EPOCH).unwrap().is_none());
    assert!(forget(&rows, "", DateTime::UNIX_EPOCH).unwrap().is_none(), "the bot's own notes are nobody's");
}
