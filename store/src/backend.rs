//! The store's behaviour, once for every engine: the engines differ in how they are opened and locked, not in this.

use std::sync::atomic::Ordering;

use crate::{FactRow, Lease, NudgeRow, NudgeState, Outgoing, Question, Said, StoreError, Taken};

pub(crate) type RawFact = (i64, String, String, i64, i64, String);
pub(crate) type RawNudge = (String, String, i64, i64, Option<i64>);
pub(crate) type RawOutgoing = (i64, String, String, i64, i64, String);
pub(crate) type RawSaid = (String, String, i64, String);

pub(crate) fn fact((seq, event, author, at, told, body): RawFact) -> Result<FactRow, StoreError> {
    Ok(FactRow { body: json(&body, || format!("fact {seq}"))?, seq, event, author, at, told })
}

pub(crate) fn nudge((key, state, attempts, due, next_at): RawNudge) -> NudgeRow {
    NudgeRow { key, state: NudgeState::from_word(&state), attempts, due, next_at }
}

pub(crate) fn outgoing((seq, room, txn, created, tries, body): RawOutgoing) -> Outgoing {
    Outgoing { body: form(body), seq, room, txn, created, tries }
}

pub(crate) fn said((txn, cause, created, body): RawSaid) -> Said {
    Said { body: form(body), txn, cause, created }
}

pub(crate) fn question((body, until): (String, i64)) -> Question {
    Question { body: form(body), until }
}

/// What a row holds besides facts. What cannot be read stays as it is: whoever knows the form then passes over that row, and
/// it stands in nobody's way.
fn form(body: String) -> serde_json::Value {
    serde_json::from_str(&body).unwrap_or(serde_json::Value::String(body))
}

pub(crate) fn json(text: &str, what: impl Fn() -> String) -> Result<serde_json::Value, StoreError> {
    serde_json::from_str(text).map_err(|source| StoreError::Inconsistent { what: what(), source })
}

impl NudgeState {
    pub(crate) fn word(self) -> &'static str {
        match self {
            NudgeState::Planned => "planned",
            NudgeState::Sent => "sent",
            NudgeState::Settled => "settled",
            NudgeState::Answered => "answered",
        }
    }

    /// A word that is none of ours closes the nudge: never nag because of a damaged row.
    fn from_word(word: &str) -> Self {
        match word {
            "planned" => NudgeState::Planned,
            "sent" => NudgeState::Sent,
            "settled" => NudgeState::Settled,
            _ => NudgeState::Answered,
        }
    }
}

/// Writes [`Store`](crate::Store) for an engine. What it has of its own:
///
/// - `pool`, and `place`, where the store lies, for messages
/// - `token`, under which this handle serves the account, 0 before it does
/// - `write()`, a transaction that may write
/// - `FENCE`, a statement that gives a row if `$1` is still the token that serves, and keeps it so until the end of the
///   transaction
/// - `hold(token)`: whether nobody else's process that serves under the token lives; then this one is seen to
/// - `woken()`, and `WAKE`, a statement that wakes other processes, where there is one
/// - `DUE_ROOMS` and `OUTBOX`, the claims
macro_rules! implement_store {
    ($store:ty) => {
        impl $store {
            /// A transaction that may write for the account, and that nobody can overtake who takes over.
            pub(crate) async fn begin(
                &self,
            ) -> Result<sqlx::Transaction<'static, <$store as Engine>::Driver>, StoreError> {
                let token = self.serving().await?;
                let mut tx = self.write().await?;
                let serves =
                    sqlx::query(<$store as Engine>::FENCE).bind(token).fetch_optional(&mut *tx).await?;
                serves.map(|_| tx).ok_or(StoreError::FencedOff)
            }

            /// Wakes other processes. Not within a transaction: PostgreSQL commits those that notify one after the
            /// other, each with its own wait for the disk. One that is lost is made up for by looking now and then.
            async fn announce(&self) {
                if let Some(wake) = <$store as Engine>::WAKE {
                    let token = self.token.load(Ordering::Acquire);
                    let _ = sqlx::query(wake).bind(token).execute(&self.pool).await;
                }
            }

            /// The token of this handle, which takes the account if it has none yet.
            async fn serving(&self) -> Result<i64, StoreError> {
                use $crate::Store;
                match self.token.load(Ordering::Acquire) {
                    0 => match self.take(None).await? {
                        Taken::Ours => Ok(self.token.load(Ordering::Acquire)),
                        Taken::Others(_) => Err(StoreError::Held { place: self.place.to_string() }),
                    },
                    token => Ok(token),
                }
            }
        }

        impl $crate::Store for $store {
            async fn take(&self, stale: Option<Lease>) -> Result<Taken, StoreError> {
                use $crate::sql;
                let _turn = self.taking.lock().await;
                let token = self.token.load(Ordering::Acquire);
                let mut tx = self.write().await?;
                let (serving, answered): (i64, i64) = sqlx::query_as(sql::LEASE).fetch_one(&mut *tx).await?;
                match token {
                    0 => {}
                    token if token == serving => return Ok(Taken::Ours),
                    _ => return Err(StoreError::FencedOff),
                }
                let lease = Lease { token: serving, answered };
                let may = self.hold(serving).await? || stale == Some(lease);
                let query = sqlx::query(sql::TAKE).bind(serving).bind(answered);
                if may && query.execute(&mut *tx).await?.rows_affected() == 1 {
                    // Before anybody can see the new token: whoever serves under it is seen to live.
                    self.hold(serving + 1).await?;
                    tx.commit().await?;
                    self.token.store(serving + 1, Ordering::Release);
                    self.announce().await;
                    return Ok(Taken::Ours);
                }
                sqlx::query(sql::ASK).execute(&mut *tx).await?;
                tx.commit().await?;
                Ok(Taken::Others(lease))
            }

            async fn beat(&self) -> Result<(), StoreError> {
                let token = self.serving().await?;
                // The connection may have been lost, or the one before may have held on to it until now.
                self.hold(token).await?;
                sqlx::query($crate::sql::ANSWER).bind(token).execute(&self.pool).await?;
                self.confirm().await
            }

            async fn confirm(&self) -> Result<(), StoreError> {
                let token = self.serving().await?;
                let serves = sqlx::query($crate::sql::SERVES).bind(token).fetch_optional(&self.pool).await?;
                serves.map(|_| ()).ok_or(StoreError::FencedOff)
            }

            async fn woken(&self) {
                self.wake().await;
            }

            async fn record(&self, record: &$crate::Record) -> Result<$crate::Recorded, StoreError> {
                use $crate::{Recorded, sql};
                let room = record.room.as_str();
                let mut tx = self.begin().await?;
                sqlx::query(sql::OPEN_ROOM).bind(room).execute(&mut *tx).await?;
                if let Some(event) = record.event.as_deref() {
                    let new = sqlx::query(sql::TAKE_EVENT).bind(room).bind(event).bind(record.now);
                    let new = new.execute(&mut *tx).await?.rows_affected() == 1;
                    // A message that could not be decrypted was noted as taken in; its text comes later, once.
                    let readable = record.unread.is_none();
                    let late = !new
                        && readable
                        && sqlx::query(sql::DROP_UNREAD)
                            .bind(room)
                            .bind(event)
                            .execute(&mut *tx)
                            .await?
                            .rows_affected()
                            == 1;
                    if !new && !late {
                        // Not left to the drop, which lets go of the room's lock a little later.
                        tx.rollback().await?;
                        return Ok(Recorded::Seen);
                    }
                    if new {
                        sqlx::query(sql::SET_LAST_EVENT).bind(room).bind(event).execute(&mut *tx).await?;
                    }
                    if let Some(raw) = record.unread.as_deref() {
                        sqlx::query(sql::KEEP_UNREAD)
                            .bind(room)
                            .bind(event)
                            .bind(raw)
                            .bind(i64::from($crate::MOST_UNREAD))
                            .execute(&mut *tx)
                            .await?;
                    }
                }
                if let Some(deleted) = record.deleted.as_deref() {
                    sqlx::query(sql::DROP_UNREAD).bind(room).bind(deleted).execute(&mut *tx).await?;
                }
                let last: i64 = sqlx::query_scalar(sql::LAST_FACT).bind(room).fetch_one(&mut *tx).await?;
                if last != record.after {
                    tx.rollback().await?;
                    return Ok(Recorded::Overtaken);
                }
                for (seq, fact) in (last + 1..).zip(&record.facts) {
                    let query = sqlx::query(sql::ADD_FACT).bind(room).bind(seq);
                    let query = query.bind(&fact.event).bind(&fact.author).bind(fact.at).bind(fact.told);
                    query.bind(fact.body.to_string()).execute(&mut *tx).await?;
                }
                for row in &record.outbox {
                    let query = sqlx::query(sql::ADD_OUTGOING).bind(room).bind(&row.txn).bind(&row.cause);
                    query.bind(row.body.to_string()).bind(record.now).execute(&mut *tx).await?;
                }
                for nudge in &record.nudges {
                    let query =
                        sqlx::query(sql::PUT_NUDGE).bind(room).bind(&nudge.key).bind(nudge.state.word());
                    query.bind(nudge.attempts).bind(nudge.due).bind(nudge.next_at).execute(&mut *tx).await?;
                }
                if let Some(change) = &record.question {
                    match &change.question {
                        Some(question) => {
                            let query = sqlx::query(sql::PUT_QUESTION).bind(room).bind(&change.person);
                            query
                                .bind(question.body.to_string())
                                .bind(question.until)
                                .execute(&mut *tx)
                                .await?
                        }
                        None => {
                            sqlx::query(sql::DROP_QUESTION)
                                .bind(room)
                                .bind(&change.person)
                                .execute(&mut *tx)
                                .await?
                        }
                    };
                }
                tx.commit().await?;
                if !(record.outbox.is_empty() && record.nudges.is_empty()) {
                    self.announce().await;
                }
                Ok(Recorded::Kept)
            }

            async fn seen(&self, room: &str, event: &str) -> Result<bool, StoreError> {
                let query = sqlx::query($crate::sql::SEEN).bind(room).bind(event);
                Ok(query.fetch_optional(&self.pool).await?.is_some())
            }

            async fn rooms(&self) -> Result<Vec<String>, StoreError> {
                Ok(sqlx::query_scalar($crate::sql::ROOMS).fetch_all(&self.pool).await?)
            }

            async fn rename(&self, room: &str, to: &str) -> Result<bool, StoreError> {
                use $crate::sql;
                let mut tx = self.begin().await?;
                if sqlx::query(sql::IS_ROOM).bind(room).fetch_optional(&mut *tx).await?.is_none() {
                    return Ok(true);
                }
                let added = sqlx::query(sql::ADD_ROOM).bind(to).bind(None::<String>);
                if added.execute(&mut *tx).await?.rows_affected() == 0 {
                    return Ok(false);
                }
                for table in sql::RENAME {
                    sqlx::query(table).bind(room).bind(to).execute(&mut *tx).await?;
                }
                sqlx::query(sql::DELETE_ROOM).bind(room).execute(&mut *tx).await?;
                tx.commit().await?;
                Ok(true)
            }

            async fn last_event(&self, room: &str) -> Result<Option<String>, StoreError> {
                let query = sqlx::query_scalar::<_, Option<String>>($crate::sql::LAST_EVENT).bind(room);
                Ok(query.fetch_optional(&self.pool).await?.flatten())
            }

            async fn facts(&self, room: &str, after: i64) -> Result<Vec<FactRow>, StoreError> {
                let query = sqlx::query_as::<_, RawFact>($crate::sql::FACTS).bind(room).bind(after);
                query.fetch_all(&self.pool).await?.into_iter().map(fact).collect()
            }

            async fn open_nudges(&self, room: &str) -> Result<Vec<NudgeRow>, StoreError> {
                let query = sqlx::query_as::<_, RawNudge>($crate::sql::OPEN_NUDGES).bind(room);
                Ok(query.fetch_all(&self.pool).await?.into_iter().map(nudge).collect())
            }

            async fn nudge(&self, room: &str, key: &str) -> Result<Option<NudgeRow>, StoreError> {
                let query = sqlx::query_as::<_, RawNudge>($crate::sql::NUDGE).bind(room).bind(key);
                Ok(query.fetch_optional(&self.pool).await?.map(nudge))
            }

            async fn due_rooms(&self, now: $crate::Millis, limit: i64) -> Result<Vec<String>, StoreError> {
                let mut tx = self.begin().await?;
                let query = sqlx::query_scalar(<$store as Engine>::DUE_ROOMS).bind(now).bind(limit);
                let rooms = query.fetch_all(&mut *tx).await?;
                tx.commit().await?;
                Ok(rooms)
            }

            async fn outbox(&self, now: $crate::Millis, limit: i64) -> Result<Vec<Outgoing>, StoreError> {
                let mut tx = self.begin().await?;
                let query =
                    sqlx::query_as::<_, RawOutgoing>(<$store as Engine>::OUTBOX).bind(now).bind(limit);
                let rows = query.fetch_all(&mut *tx).await?;
                tx.commit().await?;
                Ok(rows.into_iter().map(outgoing).collect())
            }

            async fn sent(&self, seq: i64, event: &str) -> Result<(), StoreError> {
                let mut tx = self.begin().await?;
                sqlx::query($crate::sql::SENT).bind(seq).bind(event).execute(&mut *tx).await?;
                Ok(tx.commit().await?)
            }

            async fn put_off(&self, seq: i64, next_at: $crate::Millis) -> Result<(), StoreError> {
                let mut tx = self.begin().await?;
                sqlx::query($crate::sql::PUT_OFF).bind(seq).bind(next_at).execute(&mut *tx).await?;
                Ok(tx.commit().await?)
            }

            async fn give_up(&self, seq: i64, failure: &str) -> Result<(), StoreError> {
                let mut tx = self.begin().await?;
                sqlx::query($crate::sql::GIVE_UP).bind(seq).bind(failure).execute(&mut *tx).await?;
                Ok(tx.commit().await?)
            }

            async fn next_due(&self) -> Result<Option<$crate::Millis>, StoreError> {
                Ok(sqlx::query_scalar($crate::sql::NEXT_DUE).fetch_one(&self.pool).await?)
            }

            async fn echoed(&self, room: &str, txn: &str, event: &str) -> Result<(), StoreError> {
                let mut tx = self.begin().await?;
                sqlx::query($crate::sql::ECHOED).bind(room).bind(txn).bind(event).execute(&mut *tx).await?;
                Ok(tx.commit().await?)
            }

            async fn recall(
                &self,
                room: &str,
                row: &$crate::NewOutgoing,
                event: &str,
                at: $crate::Millis,
            ) -> Result<(), StoreError> {
                let mut tx = self.begin().await?;
                let query = sqlx::query($crate::sql::RECALL).bind(room).bind(&row.txn).bind(&row.cause);
                let query = query.bind(row.body.to_string()).bind(at).bind(event);
                query.execute(&mut *tx).await?;
                Ok(tx.commit().await?)
            }

            async fn sent_as(&self, room: &str, txn: &str) -> Result<Option<String>, StoreError> {
                let query =
                    sqlx::query_scalar::<_, Option<String>>($crate::sql::SENT_AS).bind(room).bind(txn);
                Ok(query.fetch_optional(&self.pool).await?.flatten())
            }

            async fn written(&self, room: &str, txn: &str) -> Result<Option<Said>, StoreError> {
                let query = sqlx::query_as($crate::sql::WRITTEN).bind(room).bind(txn);
                Ok(query.fetch_optional(&self.pool).await?.map(said))
            }

            async fn said(&self, room: &str, event: &str) -> Result<Option<Said>, StoreError> {
                let query = sqlx::query_as($crate::sql::SAID).bind(room).bind(event);
                Ok(query.fetch_optional(&self.pool).await?.map(said))
            }

            async fn last_said(&self, room: &str) -> Result<Option<Said>, StoreError> {
                let query = sqlx::query_as($crate::sql::LAST_SAID).bind(room);
                Ok(query.fetch_optional(&self.pool).await?.map(said))
            }

            async fn question(&self, room: &str, person: &str) -> Result<Option<Question>, StoreError> {
                let query = sqlx::query_as($crate::sql::QUESTION).bind(room).bind(person);
                Ok(query.fetch_optional(&self.pool).await?.map(question))
            }

            async fn questions(&self, room: &str) -> Result<Vec<(String, Question)>, StoreError> {
                let query = sqlx::query_as::<_, (String, String, i64)>($crate::sql::QUESTIONS).bind(room);
                let rows = query.fetch_all(&self.pool).await?.into_iter();
                Ok(rows.map(|(person, body, until)| (person, question((body, until)))).collect())
            }

            async fn unread(&self, room: &str) -> Result<Vec<(String, String)>, StoreError> {
                Ok(sqlx::query_as($crate::sql::UNREAD).bind(room).fetch_all(&self.pool).await?)
            }
        }
    };
}

/// What an engine has of its own; see `implement_store`.
pub(crate) trait Engine {
    type Driver: sqlx::Database;
    const FENCE: &'static str;
    const WAKE: Option<&'static str>;
    const DUE_ROOMS: &'static str;
    const OUTBOX: &'static str;
}

use crate::sqlite::SqliteStore;
implement_store!(SqliteStore);

#[cfg(feature = "postgres")]
use crate::postgres::PostgresStore;
#[cfg(feature = "postgres")]
implement_store!(PostgresStore);
