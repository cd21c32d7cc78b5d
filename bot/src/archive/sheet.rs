//! Facts as a sheet: CSV (RFC 4180) with a row a fact.
//!
//! First what every fact has: its place in the log, the moment it speaks of and the moment it was told (on the room's
//! clock), who told it, whether it still holds, and its kind. Then its slots, in canonical units, a column each; a slot within
//! a slot is named by both: `signs_mould`. At the end the moment in UTC, and the message.
//!
//! People name bins and plots, and a spreadsheet takes a cell that begins with `=` for a formula; such cells get an
//! apostrophe in front (Source: OWASP, "CSV Injection"). Numbers stay numbers.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::Result;
use branbell_scheduler::state::Room;
use branbell_store::{FactRow, Millis};
use chrono::{DateTime, TimeZone};
use serde_json::Value;

/// Tells spreadsheets that UTF-8 follows.
const BYTE_ORDER_MARK: &str = "\u{FEFF}";

/// The columns before the slots, and after them.
const BEFORE: [&str; 7] = ["seq", "at", "told", "author", "author_name", "holds", "kind"];
const AFTER: [&str; 2] = ["at_utc", "event"];

/// The sheet of these facts; `room` is their room as it is, and tells which of them hold.
///
/// # Errors
/// None that depend on the facts.
pub fn sheet(room: &Room, facts: &[FactRow]) -> Result<Vec<u8>> {
    let slots: Vec<BTreeMap<String, String>> = facts.iter().map(|fact| slots(&fact.body)).collect();
    let names: BTreeSet<&str> = slots.iter().flatten().map(|(name, _)| name.as_str()).collect();
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(BYTE_ORDER_MARK.into());
    writer.write_record(BEFORE.into_iter().chain(names.iter().copied()).chain(AFTER))?;
    for (fact, slots) in facts.iter().zip(&slots) {
        let of_slot = |name: &&str| slots.get(*name).cloned().unwrap_or_default();
        let [before, after] = of_fact(room, fact);
        writer.write_record(before.into_iter().chain(names.iter().map(of_slot)).chain(after))?;
    }
    Ok(writer.into_inner()?)
}

/// The cells before the slots, and after them.
fn of_fact(room: &Room, fact: &FactRow) -> [Vec<String>; 2] {
    let name = room.person(&fact.author).map_or("", |person| person.name.as_str());
    let kind = fact.body.get("kind").and_then(Value::as_str).unwrap_or_default();
    // Whether a void holds shows in the facts that it voids.
    let holds = match (kind, room.fact(fact.seq)) {
        ("void", _) => "",
        (_, Some(_)) => "true",
        (_, None) => "false",
    };
    let before = vec![
        fact.seq.to_string(),
        local(room, fact.at),
        local(room, fact.told),
        safe(&fact.author),
        safe(name),
        holds.to_owned(),
        safe(kind),
    ];
    [before, vec![utc(fact.at), safe(&fact.event)]]
}

fn slots(body: &Value) -> BTreeMap<String, String> {
    let mut cells = BTreeMap::new();
    for (name, value) in body.as_object().into_iter().flatten().filter(|(name, _)| *name != "kind") {
        spread(name, value, &mut cells);
    }
    cells
}

/// Puts a value into cells; what is not told has none.
fn spread(name: &str, value: &Value, cells: &mut BTreeMap<String, String>) {
    match value {
        Value::Null => {}
        Value::Object(slots) => {
            slots.iter().for_each(|(slot, value)| spread(&format!("{name}_{slot}"), value, cells));
        }
        Value::Array(items) => {
            let items: Vec<String> = items
                .iter()
                .map(|item| item.as_str().map_or_else(|| item.to_string(), str::to_owned))
                .collect();
            cells.insert(name.to_owned(), safe(&items.join(" ")));
        }
        Value::String(text) => _ = cells.insert(name.to_owned(), safe(text)),
        Value::Bool(_) | Value::Number(_) => _ = cells.insert(name.to_owned(), value.to_string()),
    }
}

/// A text that no spreadsheet takes for a formula.
fn safe(text: &str) -> String {
    let first = text.trim_start_matches([' ', '\u{A0}', '\u{3000}']).chars().next();
    let begins_a_formula =
        matches!(first, Some('=' | '+' | '-' | '@' | '\t' | '\r' | '\n' | '＝' | '＋' | '－' | '＠'));
    if begins_a_formula { format!("'{text}") } else { text.to_owned() }
}

fn local(room: &Room, instant: Millis) -> String {
    let local = room.zone.timestamp_millis_opt(instant).single();
    local.map_or_else(String::new, |local| local.format("%Y-%m-%d %H:%M:%S").to_string())
}

fn utc(instant: Millis) -> String {
    let utc = DateTime::from_timestamp_millis(instant);
    utc.map_or_else(String::new, |utc| utc.format("%Y-%m-%dT%H:%M:%SZ").to_string())
}
