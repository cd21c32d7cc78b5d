//! The plan of a room as a calendar that other programs show (iCalendar, RFC 5545).
//!
//! Each nudge that is planned is an event of a quarter of an hour that blocks no time, with an alarm at its beginning. It
//! keeps its identity when it moves, so that a calendar that is read again moves it instead of showing it twice.
//!
//! A nudge is worded as it will be when it is due, with the quantities foreseen for that moment. Whose turn it is, is not
//! foreseen, and no name of a person stands in the calendar.

mod write;

use branbell_scheduler::plan::{self, Nudge};
use branbell_scheduler::state::Room;
use branbell_store::{NudgeRow, NudgeState};
use chrono::{DateTime, Utc};

use crate::dialogue::wording;
use crate::voice::Voice;

/// Something planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its identity, the same in every calendar of the room.
    pub uid: String,
    /// When to do it.
    pub starts: DateTime<Utc>,
    /// What to do, in a few words.
    pub summary: String,
    /// The same with all that belongs to it.
    pub description: String,
}

/// What is planned in a room, in order of time; `rows` tell which of the nudges were answered or put off.
pub fn entries(voice: &Voice, id: &str, room: &Room, rows: &[NudgeRow], now: DateTime<Utc>) -> Vec<Entry> {
    let row = |nudge: &Nudge| rows.iter().find(|row| row.key == nudge.key.0);
    let planned = plan::plan(room, now);
    let open = planned.iter().filter(|nudge| row(nudge).is_none_or(|row| row.state != NudgeState::Answered));
    let mut entries: Vec<Entry> = open
        .map(|nudge| {
            let put_off = row(nudge).and_then(|row| row.next_at).and_then(DateTime::from_timestamp_millis);
            let starts = put_off.unwrap_or_else(|| plan::send_at(room, nudge));
            entry(voice, id, room, nudge, starts)
        })
        .collect();
    entries.sort_by(|one, other| (one.starts, &one.uid).cmp(&(other.starts, &other.uid)));
    entries
}

fn entry(voice: &Voice, id: &str, room: &Room, nudge: &Nudge, starts: DateTime<Utc>) -> Entry {
    let foreseen = plan::plan(room, starts).into_iter().find(|foreseen| foreseen.key == nudge.key);
    let text = wording::nudge(voice, room, foreseen.as_ref().unwrap_or(nudge), None, starts);
    Entry { uid: write::uid(id, &nudge.key), starts, summary: text.head(), description: text.plain() }
}

/// The calendar file of these entries; none where there are none, because a calendar without anything in it is none (RFC
/// 5545, section 3.6). `now` is when it was made.
pub fn file(entries: &[Entry], now: DateTime<Utc>) -> Option<String> {
    (!entries.is_empty()).then(|| write::file(entries, now))
}
