//! The lines of an export.

use branbell_store::{EventRow, FactRow, NudgeRow, OutboxRow, QuestionRow, RoomRows, UnreadRow};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// The first line.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Header {
    /// What the file holds.
    pub(super) format: Format,
    /// In which form.
    pub(super) version: u32,
    /// Of which room.
    pub(super) room: String,
    /// Of which person, where it is about one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(super) person: Option<String>,
    /// The newest event taken in.
    pub(super) last_event: Option<String>,
    /// How many lines follow.
    pub(super) lines: usize,
    /// The SHA-256 of the whole file with this value left empty, in hexadecimal digits.
    pub(super) sha256: String,
}

impl Header {
    /// The header with the checksum that it and the lines behind it have.
    pub(super) fn sealed(mut self, body: &[u8]) -> serde_json::Result<Self> {
        self.sha256.clear();
        let mut hash = Sha256::new_with_prefix(serde_json::to_vec(&self)?);
        hash.update(b"\n");
        hash.update(body);
        self.sha256 = format!("{:x}", hash.finalize());
        Ok(self)
    }
}

/// What a file holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Format {
    /// A room as a whole.
    #[serde(rename = "branbell-room")]
    Room,
    /// What concerns one person.
    #[serde(rename = "branbell-person")]
    Person,
}

/// Any further line.
#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Line {
    /// A message taken in.
    Event(EventRow),
    /// A fact.
    Fact(FactRow),
    /// A nudge.
    Nudge(NudgeRow),
    /// A question that waits for its answer.
    Question(QuestionRow),
    /// What was said, or is to be.
    Outgoing(OutboxRow),
    /// A message that cannot be decrypted yet.
    Unread(UnreadRow),
}

/// A room's rows as lines, always in the same order.
pub(super) fn lines(rows: &RoomRows) -> impl Iterator<Item = Line> {
    let events = rows.events.iter().cloned().map(Line::Event);
    let facts = rows.facts.iter().cloned().map(Line::Fact);
    let nudges = rows.nudges.iter().cloned().map(Line::Nudge);
    let questions = rows.questions.iter().cloned().map(Line::Question);
    let outbox = rows.outbox.iter().cloned().map(Line::Outgoing);
    let unread = rows.unread.iter().cloned().map(Line::Unread);
    events.chain(facts).chain(nudges).chain(questions).chain(outbox).chain(unread)
}
