//! A room as a whole: to take it elsewhere, to take a person out of it, to remove it.

use std::future::Future;

use serde::{Deserialize, Serialize};

use crate::backend::{RawFact, RawNudge, fact, json, nudge};
use crate::copy::Carry;
use crate::{FactRow, Millis, NudgeRow, SqliteStore, Store, StoreError, sql};

/// All that is kept of a room. Each list is in an order that does not depend on the engine: the facts and the outbox as
/// they were added, the others by their key.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RoomRows {
    /// The newest event taken in.
    pub last_event: Option<String>,
    /// The events taken in.
    pub events: Vec<EventRow>,
    /// The facts.
    pub facts: Vec<FactRow>,
    /// The nudges, closed ones included.
    pub nudges: Vec<NudgeRow>,
    /// The questions that wait for an answer.
    pub questions: Vec<QuestionRow>,
    /// What was sent, is to be sent, or was given up.
    pub outbox: Vec<OutboxRow>,
    /// Messages that cannot be decrypted yet.
    pub unread: Vec<UnreadRow>,
}

/// An event taken in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventRow {
    /// Its id.
    pub event: String,
    /// When it was taken in.
    pub taken: Millis,
}

/// A question that waits for a person's answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct QuestionRow {
    /// The person.
    pub person: String,
    /// What was asked.
    pub body: serde_json::Value,
    /// When it is dropped.
    pub until: Millis,
}

/// A row of the outbox, with what became of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OutboxRow {
    /// The transaction id.
    pub txn: String,
    /// What it is about: an event, or a nudge's key.
    pub cause: String,
    /// What is sent.
    pub body: serde_json::Value,
    /// When it was written.
    pub created: Millis,
    /// How often it was tried in vain.
    pub tries: i64,
    /// When to send it; none: sent, or given up.
    pub next_at: Option<Millis>,
    /// What it became in the room.
    pub event: Option<String>,
    /// Why it was given up.
    pub failure: Option<String>,
}

/// A message that cannot be decrypted yet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnreadRow {
    /// Its event.
    pub event: String,
    /// As it came.
    pub raw: String,
}

/// Rooms as a whole.
pub trait Archive: Store {
    /// All that is kept of a room, as of one moment; none where there is no such room.
    fn rows(&self, room: &str) -> impl Future<Output = Result<Option<RoomRows>, StoreError>> + Send;

    /// Adds a room with all its rows, in one transaction. False: there is a room of that name, and nothing changed.
    fn add(&self, room: &str, rows: &RoomRows) -> impl Future<Output = Result<bool, StoreError>> + Send;

    /// Puts `after` in the place of `before`, in one transaction, and leaves no trace of the old rows in the files. False:
    /// the room no longer stood as in `before`, and nothing changed. Nudges and events taken in stay as they are.
    ///
    /// This is the one exception to the rule that facts are only added: it is there for people who want to be forgotten,
    /// which no added fact can do.
    fn rewrite(
        &self,
        room: &str,
        before: &RoomRows,
        after: &RoomRows,
    ) -> impl Future<Output = Result<bool, StoreError>> + Send;

    /// Removes a room and all that is kept of it, in one transaction, and leaves no trace of it in the file. False: there
    /// was no such room.
    fn remove(&self, room: &str) -> impl Future<Output = Result<bool, StoreError>> + Send;
}

type RawOutbox = (String, String, String, Millis, i64, Option<Millis>, Option<String>, Option<String>);

fn outbox_row(raw: RawOutbox) -> Result<OutboxRow, StoreError> {
    let (txn, cause, body, created, tries, next_at, event, failure) = raw;
    let body = json(&body, || format!("message {txn}"))?;
    Ok(OutboxRow { txn, cause, body, created, tries, next_at, event, failure })
}

fn question_row((person, body, until): (String, String, Millis)) -> Result<QuestionRow, StoreError> {
    Ok(QuestionRow { body: json(&body, || "a question".to_owned())?, person, until })
}

/// Writes [`Archive`] for an engine; `$scrub` clears what was deleted out of its files, where deleting does not.
macro_rules! implement_archive {
    ($store:ty, $connection:ty, $scrub:expr) => {
        impl $store {
            async fn read(room: &str, connection: &mut $connection) -> Result<Option<RoomRows>, StoreError> {
                let last_event = sqlx::query_scalar::<_, Option<String>>(sql::LAST_EVENT).bind(room);
                let Some(last_event) = last_event.fetch_optional(&mut *connection).await? else {
                    return Ok(None);
                };
                let events = sqlx::query_as::<_, (String, Millis)>(sql::EVENTS).bind(room);
                let events = events.fetch_all(&mut *connection).await?;
                let facts = sqlx::query_as::<_, RawFact>(sql::FACTS).bind(room).bind(0_i64);
                let facts = facts.fetch_all(&mut *connection).await?;
                let nudges = sqlx::query_as::<_, RawNudge>(sql::NUDGES).bind(room);
                let nudges = nudges.fetch_all(&mut *connection).await?;
                let questions = sqlx::query_as(sql::QUESTIONS).bind(room);
                let questions = questions.fetch_all(&mut *connection).await?;
                let outbox = sqlx::query_as(sql::WHOLE_OUTBOX).bind(room);
                let outbox = outbox.fetch_all(&mut *connection).await?;
                let unread = sqlx::query_as::<_, (String, String)>(sql::UNREAD).bind(room);
                let unread = unread.fetch_all(&mut *connection).await?;
                Ok(Some(RoomRows {
                    last_event,
                    events: events.into_iter().map(|(event, taken)| EventRow { event, taken }).collect(),
                    facts: facts.into_iter().map(fact).collect::<Result<_, _>>()?,
                    nudges: nudges.into_iter().map(nudge).collect(),
                    questions: questions.into_iter().map(question_row).collect::<Result<_, _>>()?,
                    outbox: outbox.into_iter().map(outbox_row).collect::<Result<_, _>>()?,
                    unread: unread.into_iter().map(|(event, raw)| UnreadRow { event, raw }).collect(),
                }))
            }

            async fn scrub(&self) -> Result<(), StoreError> {
                let scrub: Option<&'static str> = $scrub;
                if let Some(statement) = scrub {
                    sqlx::query(statement).execute(&self.pool).await?;
                }
                Ok(())
            }

            /// Writes what [`Archive::rewrite`] may change, beside the outbox.
            async fn write_told(
                room: &str,
                rows: &RoomRows,
                connection: &mut $connection,
            ) -> Result<(), StoreError> {
                for fact in &rows.facts {
                    let query = sqlx::query(sql::ADD_FACT).bind(room).bind(fact.seq).bind(&fact.event);
                    let query = query.bind(&fact.author).bind(fact.at).bind(fact.told);
                    query.bind(fact.body.to_string()).execute(&mut *connection).await?;
                }
                for question in &rows.questions {
                    let query = sqlx::query(sql::PUT_QUESTION).bind(room).bind(&question.person);
                    let query = query.bind(question.body.to_string()).bind(question.until);
                    query.execute(&mut *connection).await?;
                }
                for UnreadRow { event, raw } in &rows.unread {
                    let query = sqlx::query(sql::KEEP_UNREAD).bind(room).bind(event).bind(raw);
                    let query = query.bind(i64::from($crate::MOST_UNREAD));
                    query.execute(&mut *connection).await?;
                }
                Ok(())
            }
        }

        impl Archive for $store {
            async fn rows(&self, room: &str) -> Result<Option<RoomRows>, StoreError> {
                Self::read(room, &mut *self.reading().await?).await
            }

            async fn add(&self, room: &str, rows: &RoomRows) -> Result<bool, StoreError> {
                let mut tx = self.begin().await?;
                let query = sqlx::query(sql::ADD_ROOM).bind(room).bind(&rows.last_event);
                if query.execute(&mut *tx).await?.rows_affected() == 0 {
                    return Ok(false);
                }
                for EventRow { event, taken } in &rows.events {
                    let query = sqlx::query(sql::TAKE_EVENT).bind(room).bind(event).bind(taken);
                    query.execute(&mut *tx).await?;
                }
                for nudge in &rows.nudges {
                    let query = sqlx::query(sql::PUT_NUDGE).bind(room).bind(&nudge.key);
                    let query = query.bind(nudge.state.word()).bind(nudge.attempts).bind(nudge.due);
                    query.bind(nudge.next_at).execute(&mut *tx).await?;
                }
                for row in &rows.outbox {
                    let query = sqlx::query(sql::ADD_OUTBOX_ROW).bind(room).bind(&row.txn).bind(&row.cause);
                    let query = query.bind(row.body.to_string()).bind(row.created).bind(row.tries);
                    let query = query.bind(row.next_at).bind(&row.event).bind(&row.failure);
                    query.execute(&mut *tx).await?;
                }
                Self::write_told(room, rows, &mut *tx).await?;
                tx.commit().await?;
                Ok(true)
            }

            async fn rewrite(
                &self,
                room: &str,
                before: &RoomRows,
                after: &RoomRows,
            ) -> Result<bool, StoreError> {
                let mut tx = self.begin().await?;
                if Self::read(room, &mut *tx).await?.as_ref() != Some(before) {
                    return Ok(false);
                }
                for table in sql::DELETE_TOLD {
                    sqlx::query(table).bind(room).execute(&mut *tx).await?;
                }
                Self::write_told(room, after, &mut *tx).await?;
                for (old, new) in before.outbox.iter().zip(&after.outbox) {
                    let query = sqlx::query(sql::REWRITE_OUTGOING).bind(room).bind(&old.txn).bind(&new.txn);
                    query.bind(&new.cause).bind(new.body.to_string()).execute(&mut *tx).await?;
                }
                tx.commit().await?;
                self.scrub().await?;
                Ok(true)
            }

            async fn remove(&self, room: &str) -> Result<bool, StoreError> {
                let mut tx = self.begin().await?;
                for table in sql::DELETE_TOLD.into_iter().chain(sql::DELETE_REST) {
                    sqlx::query(table).bind(room).execute(&mut *tx).await?;
                }
                let was_there = sqlx::query(sql::DELETE_ROOM).bind(room).execute(&mut *tx).await?;
                tx.commit().await?;
                self.scrub().await?;
                Ok(was_there.rows_affected() == 1)
            }
        }
    };
}

// The log of writes beside the file still holds the old pages.
implement_archive!(SqliteStore, sqlx::SqliteConnection, Some("PRAGMA wal_checkpoint(TRUNCATE)"));

// It clears its files by itself, when it vacuums.
#[cfg(feature = "postgres")]
implement_archive!(crate::PostgresStore, sqlx::PgConnection, None);
