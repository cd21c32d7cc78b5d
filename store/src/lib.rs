#![doc = include_str!("../README.md")]

mod archive;
mod backend;
#[cfg(feature = "conformance")]
pub mod conformance;
pub mod copy;
mod error;
mod place;
#[cfg(feature = "postgres")]
mod postgres;
mod sql;
mod sqlite;
pub mod standing;
mod tables;

use std::future::Future;

use serde::{Deserialize, Serialize};

pub use archive::{Archive, EventRow, OutboxRow, QuestionRow, RoomRows, UnreadRow};
pub use error::StoreError;
pub use place::Place;
#[cfg(feature = "postgres")]
pub use postgres::PostgresStore;
pub use sqlite::{SqliteStore, damage};
pub use standing::{Lease, Taken};

/// Milliseconds since 1970-01-01T00:00:00Z.
pub type Millis = i64;

/// So many messages that cannot be decrypted yet are kept of a room; those that come beyond are taken in and never read.
pub const MOST_UNREAD: u32 = 1_000;

/// A fact as it lies in the store.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FactRow {
    /// Its place in the room's log, from 1.
    pub seq: i64,
    /// The message that told it.
    pub event: String,
    /// Who told it.
    pub author: String,
    /// The moment it speaks of.
    pub at: Millis,
    /// The moment it was told.
    pub told: Millis,
    /// What it says.
    pub body: serde_json::Value,
}

/// A fact to be added; its `seq` is the next of the room.
#[derive(Clone, Debug, PartialEq)]
pub struct NewFact {
    /// The message that tells it.
    pub event: String,
    /// Who tells it.
    pub author: String,
    /// The moment it speaks of.
    pub at: Millis,
    /// The moment it is told.
    pub told: Millis,
    /// What it says.
    pub body: serde_json::Value,
}

/// Where a nudge stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum NudgeState {
    /// Will be sent when it is due.
    Planned,
    /// Was sent, and waits for an answer.
    Sent,
    /// The facts made it needless; planned again, it comes back.
    Settled,
    /// Somebody answered it; it does not come back.
    Answered,
}

/// A nudge as it lies in the store.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NudgeRow {
    /// Kind, subject and cycle.
    pub key: String,
    /// Where it stands.
    pub state: NudgeState,
    /// How often it was sent.
    pub attempts: i64,
    /// When it is due by the model.
    pub due: Millis,
    /// When to act on it next, if ever.
    pub next_at: Option<Millis>,
}

/// A row of the outbox that is to be sent.
#[derive(Clone, Debug, PartialEq)]
pub struct Outgoing {
    /// Its place in the outbox.
    pub seq: i64,
    /// The room it goes to.
    pub room: String,
    /// The transaction id: a function of its cause, so that sending it again is harmless.
    pub txn: String,
    /// When it was written.
    pub created: Millis,
    /// How often it was tried.
    pub tries: i64,
    /// What to send; the transport knows its form.
    pub body: serde_json::Value,
}

/// A row to be put into the outbox. A transaction id that is there already adds nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct NewOutgoing {
    /// The transaction id, a function of the cause.
    pub txn: String,
    /// What it is about: an event, or a nudge's key.
    pub cause: String,
    /// What to send.
    pub body: serde_json::Value,
}

/// Something of ours that stands in a room, or is about to.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// Its transaction id.
    pub txn: String,
    /// What it was about.
    pub cause: String,
    /// When it was written.
    pub created: Millis,
    /// What was sent.
    pub body: serde_json::Value,
}

/// A question that waits for a person's answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// What was asked; the dialogue knows its form.
    pub body: serde_json::Value,
    /// When it is dropped.
    pub until: Millis,
}

/// What becomes of a person's waiting question.
#[derive(Clone, Debug, PartialEq)]
pub struct QuestionChange {
    /// The person.
    pub person: String,
    /// The new question, or none.
    pub question: Option<Question>,
}

/// All that one cause (a message, or a nudge that is due) changes: kept together or not at all.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// The room.
    pub room: String,
    /// The event taken in, where it was one.
    pub event: Option<String>,
    /// Now.
    pub now: Millis,
    /// The last fact that was known when this was decided: where others came meanwhile, nothing is kept.
    pub after: i64,
    /// Facts to add.
    pub facts: Vec<NewFact>,
    /// What to send.
    pub outbox: Vec<NewOutgoing>,
    /// Nudges, new or changed.
    pub nudges: Vec<NudgeRow>,
    /// A question asked or answered.
    pub question: Option<QuestionChange>,
    /// The event as it came, where it cannot be decrypted yet; [`MOST_UNREAD`] of a room are kept.
    pub unread: Option<String>,
    /// An event that was deleted: what was kept of it until its key comes is gone.
    pub deleted: Option<String>,
}

/// What came of a [`Record`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Recorded {
    /// It is kept.
    Kept,
    /// The event was taken in before: nothing changed.
    Seen,
    /// Facts arrived meanwhile: nothing changed; look again and decide anew.
    Overtaken,
}

/// The store of one account. Every call names its room, except those that look for what is due.
///
/// An account is served by one process at a time (see [`standing`]): a handle takes it at its first write, if nobody
/// serves it, and every write and claim makes sure in its own transaction that nobody took over meanwhile.
///
/// # Errors
/// Each call may fail with any [`StoreError`] that concerns the database. Those that write or claim fail with
/// [`StoreError::Held`] while another process serves the account, and with [`StoreError::FencedOff`] for good once
/// another took over; [`StoreError::is_lost`] tells the latter from what may pass.
pub trait Store: Send + Sync + 'static {
    /// Takes the account: if nobody serves it, or if whoever does still stands as in `stale`, a lease that was looked at
    /// long enough to know that its holder answers no more.
    fn take(&self, stale: Option<Lease>) -> impl Future<Output = Result<Taken, StoreError>> + Send;
    /// Answers those that stand by, and makes sure that nobody took over. Writes only where somebody asked.
    fn beat(&self) -> impl Future<Output = Result<(), StoreError>> + Send;
    /// Makes sure that nobody took over: call it before anything leaves the process.
    fn confirm(&self) -> impl Future<Output = Result<(), StoreError>> + Send;
    /// Resolves when another process has put something into the outbox, moved a nudge or taken over. It may resolve for
    /// nothing, and on SQLite it never does: look now and then all the same.
    fn woken(&self) -> impl Future<Output = ()> + Send;
    /// Keeps a record, in one transaction.
    fn record(&self, record: &Record) -> impl Future<Output = Result<Recorded, StoreError>> + Send;
    /// Whether this event was taken in, other than as not yet readable.
    fn seen(&self, room: &str, event: &str) -> impl Future<Output = Result<bool, StoreError>> + Send;
    /// The rooms.
    fn rooms(&self) -> impl Future<Output = Result<Vec<String>, StoreError>> + Send;
    /// Gives a room another id, under which all of it goes on, in one transaction. The newest event taken in is forgotten:
    /// it stands in no timeline of the new id. False: there are rooms of both ids, and nothing changed.
    fn rename(&self, room: &str, to: &str) -> impl Future<Output = Result<bool, StoreError>> + Send;
    /// The newest event taken in.
    fn last_event(&self, room: &str) -> impl Future<Output = Result<Option<String>, StoreError>> + Send;
    /// A room's facts after the given one, in order.
    fn facts(&self, room: &str, after: i64) -> impl Future<Output = Result<Vec<FactRow>, StoreError>> + Send;
    /// The nudges that are planned, or sent and not answered.
    fn open_nudges(&self, room: &str) -> impl Future<Output = Result<Vec<NudgeRow>, StoreError>> + Send;
    /// One nudge.
    fn nudge(
        &self,
        room: &str,
        key: &str,
    ) -> impl Future<Output = Result<Option<NudgeRow>, StoreError>> + Send;
    /// Claims rooms that have a nudge to act on, the longest due first.
    fn due_rooms(
        &self,
        now: Millis,
        limit: i64,
    ) -> impl Future<Output = Result<Vec<String>, StoreError>> + Send;
    /// Claims what is to be sent now: the oldest of each room, then the next of each. A room whose oldest row waits, waits:
    /// order within a room is kept. Nothing waits for more than a day: that would be the work of a clock that was ahead.
    fn outbox(
        &self,
        now: Millis,
        limit: i64,
    ) -> impl Future<Output = Result<Vec<Outgoing>, StoreError>> + Send;
    /// A row became this event.
    fn sent(&self, seq: i64, event: &str) -> impl Future<Output = Result<(), StoreError>> + Send;
    /// A row is to be tried again at `next_at`.
    fn put_off(&self, seq: i64, next_at: Millis) -> impl Future<Output = Result<(), StoreError>> + Send;
    /// A row will never go.
    fn give_up(&self, seq: i64, failure: &str) -> impl Future<Output = Result<(), StoreError>> + Send;
    /// The next instant at which something is to be sent or acted on.
    fn next_due(&self) -> impl Future<Output = Result<Option<Millis>, StoreError>> + Send;
    /// The row with this transaction id became this event, as seen in the room.
    fn echoed(
        &self,
        room: &str,
        txn: &str,
        event: &str,
    ) -> impl Future<Output = Result<(), StoreError>> + Send;
    /// Notes a row of the outbox that is missing though it went out and stands in a known room as this event: the store is
    /// older than what it once held. It is not sent again; a transaction id that is there already adds nothing.
    fn recall(
        &self,
        room: &str,
        row: &NewOutgoing,
        event: &str,
        at: Millis,
    ) -> impl Future<Output = Result<(), StoreError>> + Send;
    /// The event that a row became.
    fn sent_as(
        &self,
        room: &str,
        txn: &str,
    ) -> impl Future<Output = Result<Option<String>, StoreError>> + Send;
    /// What the outbox holds under this transaction id, sent or not.
    fn written(&self, room: &str, txn: &str)
    -> impl Future<Output = Result<Option<Said>, StoreError>> + Send;
    /// What we said as this event.
    fn said(&self, room: &str, event: &str) -> impl Future<Output = Result<Option<Said>, StoreError>> + Send;
    /// The newest thing we said.
    fn last_said(&self, room: &str) -> impl Future<Output = Result<Option<Said>, StoreError>> + Send;
    /// The question that waits for a person.
    fn question(
        &self,
        room: &str,
        person: &str,
    ) -> impl Future<Output = Result<Option<Question>, StoreError>> + Send;
    /// The questions that wait in a room, by person.
    fn questions(
        &self,
        room: &str,
    ) -> impl Future<Output = Result<Vec<(String, Question)>, StoreError>> + Send;
    /// Messages that could not be decrypted yet: event and raw form.
    fn unread(&self, room: &str) -> impl Future<Output = Result<Vec<(String, String)>, StoreError>> + Send;
}
