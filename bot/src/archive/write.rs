//! Writes an export.

use anyhow::Result;
use branbell_store::RoomRows;

use super::VERSION;
use super::line::{Format, Header, lines};

/// A room as a whole, as the bytes of `room.jsonl`.
///
/// # Errors
/// None that depend on the rows: whatever the store holds can be written.
pub fn write_room(room: &str, rows: &RoomRows) -> Result<Vec<u8>> {
    write(Format::Room, room, None, rows)
}

/// What concerns one person of a room, as the bytes of `person.jsonl`.
///
/// # Errors
/// None that depend on the rows.
pub fn write_person(room: &str, person: &str, rows: &RoomRows) -> Result<Vec<u8>> {
    write(Format::Person, room, Some(person.to_owned()), rows)
}

fn write(format: Format, room: &str, person: Option<String>, rows: &RoomRows) -> Result<Vec<u8>> {
    let mut body = Vec::new();
    let mut count = 0;
    for line in lines(rows) {
        serde_json::to_writer(&mut body, &line)?;
        body.push(b'\n');
        count += 1;
    }
    let header = Header {
        format,
        version: VERSION,
        room: room.to_owned(),
        person,
        last_event: rows.last_event.clone(),
        lines: count,
        sha256: String::new(),
    };
    let mut file = serde_json::to_vec(&header.sealed(&body)?)?;
    file.push(b'\n');
    file.append(&mut body);
    Ok(file)
}
