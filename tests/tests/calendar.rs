//! The calendar, read by programs that share no code with the one that wrote it (`calendar/read.py`).

#![expect(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use branbell::calendar::{Entry, entries, file};
use branbell::voice::Voice;
use branbell_scheduler::fact::{Fact, Food, Units, What};
use branbell_scheduler::state::Room;
use branbell_store::{NudgeRow, NudgeState};
use branbell_tests::python;
use chrono::{DateTime, TimeDelta, Timelike, Utc};
use chrono_tz::Tz;
use serde_json::Value;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/calendar");

/// What the independent readers find in a calendar.
fn read(text: &str) -> Vec<Value> {
    let requirements = Path::new(FOLDER).join("requirements.txt");
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("calendar");
    let mut reader = Command::new(python::environment(&folder, &requirements).unwrap())
        .arg(Path::new(FOLDER).join("read.py"))
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    reader.stdin.take().unwrap().write_all(text.as_bytes()).unwrap();
    let output = reader.wait_with_output().unwrap();
    assert!(output.status.success(), "the calendar is not sound, see above:\n{text}");
    serde_json::from_slice(&output.stdout).unwrap()
}

/// RFC 5545, section 3.1: lines end with CR LF and have at most 75 octets, and no control character is in them (3.3.11).
fn hold_lines(text: &str) {
    assert!(text.ends_with("\r\n"));
    for line in text.trim_end_matches("\r\n").split("\r\n") {
        assert!(line.len() <= 75, "{} octets: {line}", line.len());
        assert!(line.chars().all(|c| c == '\t' || !c.is_control()), "{line:?}");
    }
}

/// Both readers find the entries as they are, in the form that the standard asks for.
fn hold(entries: &[Entry], now: DateTime<Utc>) {
    let text = file(entries, now).unwrap();
    hold_lines(&text);
    let found = read(&text);
    assert_eq!(found.len(), entries.len());
    for (entry, found) in entries.iter().zip(&found) {
        assert_eq!(found["uid"], entry.uid.as_str());
        assert_eq!(found["starts"].as_f64(), Some(entry.starts.timestamp() as f64), "{entry:?}");
        assert_eq!(found["summary"], entry.summary.as_str());
        assert_eq!(found["description"], entry.description.as_str());
        assert_eq!(found["minutes"], 15.0);
        assert_eq!(found["blocks_time"], false);
    }
}

fn instant(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// A room of one person in Vienna where these things were told, an hour after each other.
fn room(start: &str, told: Vec<What>) -> Room {
    let member =
        What::Member { person: "@ana:example.org".to_owned(), name: "Ana".to_owned(), steward: true };
    let opened = What::Opened { zone: Tz::Europe__Vienna, units: Units::Metric, direct: true };
    let facts: Vec<Fact> = (1..)
        .zip([opened, member].into_iter().chain(told))
        .map(|(seq, what)| {
            let at = instant(start) + TimeDelta::hours(seq);
            Fact { seq, event: format!("${seq}"), author: "@ana:example.org".to_owned(), at, told: at, what }
        })
        .collect();
    Room::fold(&facts)
}

/// A bin of that name with scraps in it.
fn filling(bin: &str) -> Vec<What> {
    let bin = bin.to_owned();
    vec![
        What::BinSet { bin: bin.clone(), capacity_ml: Some(19_000.0), tap: Some(true) },
        What::Scraps { bin, ml: Some(6_000.0), g: None, foods: vec![Food::Fruit] },
    ]
}

const NAMES: [&str; 8] = [
    "green",
    "a, b; c\\d: \"e\"",
    "BEGIN:VEVENT",
    "line\r\nEND:VCALENDAR",
    "Küchenkübel für den Hof, mit Überlänge: ein Name, der in keine Zeile passt",
    "堆肥桶堆肥桶堆肥桶堆肥桶堆肥桶堆肥桶堆肥桶堆肥桶堆肥桶堆肥桶堆肥桶",
    "🪣👩‍🌾\u{202E}\u{0}\u{7}\u{85}\u{2028}",
    "^n 'quoted' %0A <b>&amp;</b>\ttab",
];

#[test]
fn odd_names_come_through() {
    let now = instant("2027-03-02T09:00:00Z");
    let told = NAMES.into_iter().flat_map(filling).collect();
    let room = room("2027-03-01T08:00:00Z", told);
    let entries = entries(&Voice::english(), "!kitchen:example.org", &room, &[], now);
    let drains = entries.iter().filter(|entry| entry.summary.starts_with("Drain ")).count();
    assert_eq!(drains, NAMES.len(), "{entries:#?}");
    hold(&entries, now);
}

/// Lines are folded at every length, with and without characters of several octets.
#[test]
fn every_length_is_folded() {
    let entry = |length: usize| Entry {
        uid: format!("{length}"),
        starts: instant("2027-03-02T09:00:00Z"),
        summary: "é".repeat(length),
        description: "x, 🪣;\n".chars().cycle().take(length).collect(),
    };
    let entries: Vec<Entry> = (1..250).map(entry).collect();
    hold(&entries, instant("2027-03-01T00:00:00Z"));
}

/// A nudge falls on the same hour of the wall clock before and after the clocks change (Vienna, 28 March 2027), and quiet
/// hours hold it on the day itself.
#[test]
fn the_clocks_change() {
    for (start, offset) in
        [("2027-03-24T06:30:00Z", 1), ("2027-03-26T06:30:00Z", 2), ("2027-10-30T06:30:00Z", 1)]
    {
        let now = instant(start) + TimeDelta::hours(5);
        let entries = entries(&Voice::english(), "!kitchen", &room(start, filling("green")), &[], now);
        let drain = entries.iter().find(|entry| entry.summary.starts_with("Drain")).unwrap();
        let local = drain.starts.with_timezone(&Tz::Europe__Vienna);
        assert_eq!(local.naive_local() - drain.starts.naive_utc(), TimeDelta::hours(offset), "{local}");
        assert!((7..22).contains(&local.hour()), "{local} is in the quiet hours");
        hold(&entries, now);
    }
}

/// The identity stays when the numbers move, and is another's in another room; what was answered is not planned any more,
/// what was put off is planned for then.
#[test]
fn follows_what_becomes_of_a_nudge() {
    let now = instant("2027-03-01T14:00:00Z");
    let room = room("2027-03-01T08:00:00Z", filling("green"));
    let voice = Voice::english();
    let entries = |id: &str, rows: &[NudgeRow], now| entries(&voice, id, &room, rows, now);
    let drain = |entries: Vec<Entry>| entries.into_iter().find(|entry| entry.summary.starts_with("Drain"));
    let planned = drain(entries("!kitchen", &[], now)).unwrap();
    let later = drain(entries("!kitchen", &[], now + TimeDelta::hours(3))).unwrap();
    assert_eq!(planned, later, "worded as of when it is due, whenever the calendar is made");
    assert_ne!(planned.uid, drain(entries("!cellar", &[], now)).unwrap().uid);
    let row = |state, next_at: Option<DateTime<Utc>>| NudgeRow {
        key: "drain/green/1/1".to_owned(),
        state,
        attempts: 1,
        due: 0,
        next_at: next_at.map(|at| at.timestamp_millis()),
    };
    assert_eq!(drain(entries("!kitchen", &[row(NudgeState::Answered, None)], now)), None);
    let then = planned.starts + TimeDelta::hours(26);
    let put_off = drain(entries("!kitchen", &[row(NudgeState::Sent, Some(then))], now)).unwrap();
    assert_eq!((put_off.starts, put_off.uid), (then, planned.uid));
}

/// A calendar holds at least one component (RFC 5545, section 3.6), so an empty plan has none.
#[test]
fn an_empty_plan_is_no_calendar() {
    assert_eq!(file(&[], instant("2027-03-01T00:00:00Z")), None);
}
