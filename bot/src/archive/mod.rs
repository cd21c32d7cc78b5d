//! The form of an export: what a room keeps, as files that other programs can read, and that [`read_room`] takes back.
//!
//! Two files:
//!
//! - `room.jsonl`: everything, losslessly. The first line tells what it is: `{"format":"branbell-room","version":1,…}` with
//!   the room, the newest event taken in, the number of lines that follow and a checksum of the whole. Each further line
//!   holds one row under its kind: `event` (a message taken in), `fact`, `nudge`, `question` (one that waits for its
//!   answer), `outgoing` (what was said, or is to be) or `unread` (a message that cannot be decrypted yet). Instants are
//!   milliseconds since 1970-01-01T00:00:00Z. The same room always gives the same bytes.
//! - `facts.csv`: the facts, a row each, for spreadsheets (RFC 4180, UTF-8 with a byte order mark); see [`sheet`].
//!
//! What concerns one person is written in the same way, as `person.jsonl` (format `branbell-person`).

use anyhow::Result;
use branbell_scheduler::fact::Fact;
use branbell_scheduler::state::Room;
use branbell_store::FactRow;

use crate::host::known;

mod forget;
mod line;
mod person;
mod read;
pub mod sheet;
mod write;

pub use forget::{Forgotten, forget};
pub use person::of_person;
pub use read::read_room;
pub use write::{write_person, write_room};

/// The room that these facts make.
///
/// # Errors
/// One of them says what this program does not understand.
pub fn room(facts: &[FactRow]) -> Result<Room> {
    let facts: Vec<Fact> = facts.iter().cloned().map(known::fact).collect::<Result<_>>()?;
    Ok(Room::fold(&facts))
}

/// The version of the form that is written, and the only one that is read.
const VERSION: u32 = 1;
