//! What is due: nudges are worded when they are sent, with the numbers of that moment, and leave through the outbox.

use anyhow::Result;
use branbell_scheduler::deliver::{self, MOST_SENDS, Outlet, REPEAT_AFTER, Wanted};
use branbell_scheduler::fact::What;
use branbell_scheduler::hints::Hint;
use branbell_scheduler::plan::{self, Nudge, NudgeKind, Subject, next_turn};
use branbell_scheduler::state::{Digest, Person, Room};
use branbell_store::{Archive, Millis, NewFact, NewOutgoing, NudgeRow, NudgeState, Record, StoreError};
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::{Value, json};
use tracing::error;

use super::gallery::Gallery;
use super::{Host, fact_row, instant, message_row, remarked};
use crate::chat::{Message, Saying};
use crate::dialogue::{TAPS, Topic, remarks_beside, wording};
use crate::voice::Text;

/// Rooms whose nudges are worded at a time: what is worded is sent before more is.
const BATCH: i64 = 100;

/// What marks the cause of a row as the keys of nudges, one a line.
const NUDGE: &str = "nudge:";

/// What becomes due so soon after something that is sent goes with it: one message, one look at the phone.
const TOGETHER: TimeDelta = TimeDelta::hours(2);

/// A room whose facts cannot be read is looked at again after this long.
const LOOK_AGAIN: TimeDelta = TimeDelta::seconds(30);

/// A nudge that is sent now.
struct Sent<'a> {
    nudge: &'a Nudge,
    row: NudgeRow,
    /// What is worth a remark beside it and was never said.
    remarks: Vec<Hint>,
}

impl<S: Archive> Host<S> {
    /// Sends all that is due, and gives the next instant at which something will be. A room whose facts cannot be read keeps
    /// silent, and no other.
    ///
    /// # Errors
    /// The store cannot be read or written. What was not sent stays due.
    pub async fn deliver(&self, outlet: &impl Outlet, now: DateTime<Utc>) -> Result<Option<DateTime<Utc>>> {
        let gallery = Gallery { host: self, outlet, now };
        let mut again = None;
        loop {
            let rooms = self.store.due_rooms(now.timestamp_millis(), BATCH).await?;
            for room in &rooms {
                if let Err(error) = self.put_out_nudges(room, now).await {
                    if !is_of_the_room(&error) {
                        return Err(error);
                    }
                    error!(room, "its nudges wait: {error:#}");
                    again = Some(now + LOOK_AGAIN);
                }
            }
            deliver::flush(&self.store, &gallery, now.timestamp_millis()).await?;
            if i64::try_from(rooms.len()).unwrap_or(BATCH) < BATCH {
                break;
            }
        }
        // What waits in such a room is due all the time.
        Ok(self.store.next_due().await?.map(instant).max(again))
    }

    /// Puts a room's due nudges into the outbox as one message, in one transaction with what becomes of them.
    async fn put_out_nudges(&self, room: &str, now: DateTime<Utc>) -> Result<()> {
        let slot = self.room(room).await;
        let mut known = slot.lock().await;
        known.load(&self.store, room).await?;
        let nudges = plan::plan(&known.room, now);
        let rows = self.store.open_nudges(room).await?;
        let (mut changed, mut due) = due(&known.room, &nudges, &rows, now);
        let remarked = self.add_remarks(&known.room, room, &mut due, now).await?;
        let outgoing = self.outgoing(&known.room, &due, now)?;
        let facts = asked(&known.room, &due, now)?;
        changed.extend(due.into_iter().map(|sent| sent.row));
        let after = known.last_seq;
        known.apply(&facts)?;
        // What comes round by the calendar is planned anew once it was said.
        let moved = self.changed_nudges(room, &known, now, Vec::new()).await?;
        let acted: Vec<String> = changed.iter().map(|row| row.key.clone()).collect();
        changed.extend(moved.into_iter().filter(|row| !acted.contains(&row.key)));
        changed.extend(remarked);
        let record = Record {
            room: room.to_owned(),
            now: now.timestamp_millis(),
            after,
            facts,
            nudges: changed,
            outbox: outgoing,
            ..Record::default()
        };
        self.keep(&mut known, &record).await?;
        Ok(())
    }

    /// Puts beside each nudge what is worth a remark and was never said in this room, and gives the rows that keep it said.
    async fn add_remarks(
        &self,
        known: &Room,
        room: &str,
        sent: &mut [Sent<'_>],
        now: DateTime<Utc>,
    ) -> Result<Vec<NudgeRow>> {
        let mut rows: Vec<NudgeRow> = Vec::new();
        for sent in sent {
            let remarks = remarks_beside(known, sent.nudge, now);
            for hint in self.unsaid(known, room, remarks).await? {
                let key = hint.key(known);
                if rows.iter().all(|row| row.key != key) {
                    rows.push(remarked(key, now));
                    sent.remarks.push(hint);
                }
            }
        }
        Ok(rows)
    }

    /// The message of nudges that are sent together, and the reactions on it that stand ready for tapping.
    fn outgoing(&self, room: &Room, sent: &[Sent<'_>], now: DateTime<Utc>) -> Result<Vec<NewOutgoing>> {
        let Some(first) = sent.first() else { return Ok(Vec::new()) };
        let mut message = Message { topic: Topic::of_nudge(first.nudge), ..Message::default() };
        let mut whole = Text::default();
        let mut named: Option<&str> = None;
        for Sent { nudge, remarks, .. } in sent {
            let turn = next_turn(room, nudge, now);
            // A name stands before the first line that is meant for its bearer.
            let is_new = turn.filter(|person| named != Some(person.id.as_str()));
            named = turn.map(|person| person.id.as_str());
            let remarks = remarks.iter().map(|hint| wording::remark(&self.voice, room, hint, now));
            let text = wording::nudge(&self.voice, room, nudge, is_new, now);
            let text = remarks.fold(text, |text, remark| text.newline(&remark));
            message.nudges.push(tag(nudge, &text, turn));
            message.to.extend(is_new.map(|person| person.id.clone()));
            whole = whole.newline(&text);
        }
        let message = Message { text: whole.plain(), html: whole.html(), ..message };
        let keys: Vec<&str> = sent.iter().map(|sent| sent.nudge.key.0.as_str()).collect();
        let cause = format!("{NUDGE}{}", keys.join("\n"));
        let txn = format!("{NUDGE}{}:{}", first.nudge.key.0, first.row.attempts);
        let mut rows = vec![message_row(txn.clone(), &cause, &message)?];
        if sent.iter().any(|sent| sent.nudge.kind.is_work()) {
            for (place, sign) in TAPS.iter().enumerate() {
                let topic = message.topic.clone();
                let saying = Saying::Reaction { on: txn.clone(), key: (*sign).to_owned(), topic };
                let body = serde_json::to_value(saying)?;
                rows.push(NewOutgoing { txn: format!("{txn}:tap{place}"), cause: cause.clone(), body });
            }
        }
        Ok(rows)
    }
}

/// Whether what went wrong lies in what is kept of one room, and not in the store.
fn is_of_the_room(error: &anyhow::Error) -> bool {
    error.downcast_ref().is_none_or(|error| matches!(error, StoreError::Inconsistent { .. }))
}

/// The rows whose time has come: those that change and are not said, and those that are said now, in the order of the
/// message. What would be said soon after goes with them.
fn due<'a>(
    room: &Room,
    nudges: &'a [Nudge],
    rows: &[NudgeRow],
    now: DateTime<Utc>,
) -> (Vec<NudgeRow>, Vec<Sent<'a>>) {
    let (mut changed, mut sent) = (Vec::new(), Vec::new());
    let is_due_by = |row: &&NudgeRow, by: DateTime<Utc>| row.next_at.is_some_and(|at| at <= millis(by));
    for row in rows.iter().filter(|row| is_due_by(row, now)) {
        match nudges.iter().find(|nudge| nudge.key.0 == row.key) {
            None => changed.push(NudgeRow { state: NudgeState::Settled, next_at: None, ..row.clone() }),
            Some(nudge) if is_needless(room, nudge, rows) => changed.push(remarked(row.key.clone(), now)),
            Some(nudge) => match due_at(room, nudge, row, now) {
                // The store counts whole milliseconds, the model does not.
                Some(at) if millis(at) <= millis(now) => sent.push(said_now(room, nudge, row, now)),
                at => {
                    let next_at = at.map(millis);
                    changed.push(NudgeRow { due: millis(nudge.due), next_at, ..row.clone() });
                }
            },
        }
    }
    if !sent.is_empty() && deliver::hold(room, now) == Some(now) {
        let soon = rows.iter().filter(|row| is_due_by(row, now + TOGETHER) && !is_due_by(row, now));
        let soon = soon.filter(|row| row.attempts == 0);
        let soon = soon.filter_map(|row| Some((nudges.iter().find(|nudge| nudge.key.0 == row.key)?, row)));
        let soon = soon.filter(|(nudge, _)| nudge.kind.may_come_early());
        sent.extend(soon.map(|(nudge, row)| said_now(room, nudge, row, now)));
    }
    let turn = |sent: &Sent<'_>| next_turn(room, sent.nudge, now).map(|person| person.id.clone());
    sent.sort_by_cached_key(|sent| (turn(sent), sent.nudge.due, sent.nudge.key.clone()));
    (changed, sent)
}

/// Whether it is the digest of a room that never spoke of one, and nothing was left to it: whoever answered or put off what is
/// to be done needs no word about it.
fn is_needless(room: &Room, nudge: &Nudge, rows: &[NudgeRow]) -> bool {
    let is_left = |row: &NudgeRow| row.attempts >= MOST_SENDS && row.next_at.is_none();
    nudge.kind == NudgeKind::Digest && room.digest == Digest::Unsaid && !rows.iter().any(is_left)
}

/// When a row whose time has come may be said. One that was put off comes when it was asked for, in quiet hours too.
fn due_at(room: &Room, nudge: &Nudge, row: &NudgeRow, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
    if row.attempts == 0 { deliver::hold(room, nudge.due.max(now)) } else { deliver::heard(room, now) }
}

fn said_now<'a>(room: &Room, nudge: &'a Nudge, row: &NudgeRow, now: DateTime<Utc>) -> Sent<'a> {
    let row = deliver::sent(&want(room, nudge), row, repeat_at(room, now));
    Sent { nudge, row, remarks: Vec::new() }
}

/// When something that is said now is said again, if nobody answers.
pub(super) fn repeat_at(room: &Room, now: DateTime<Utc>) -> Option<Millis> {
    deliver::hold(room, now + TimeDelta::milliseconds(REPEAT_AFTER)).map(millis)
}

/// To whom work was put, where that is new.
fn asked(room: &Room, sent: &[Sent<'_>], now: DateTime<Utc>) -> Result<Vec<NewFact>> {
    let work = sent.iter().map(|sent| sent.nudge).filter(|nudge| nudge.kind.is_turns_work());
    let put = work.filter_map(|nudge| {
        let person = next_turn(room, nudge, now)?.id.clone();
        (room.asked(&nudge.key.0) != Some(&person)).then(|| What::Asked {
            person,
            nudge: nudge.key.0.clone(),
            minutes: nudge.kind.effort(),
        })
    });
    put.map(|what| fact_row("", "", now, now, &what)).collect()
}

/// A nudge as machines read it, with its own words and whose turn it is: in a season's lines, and in the outbox.
fn tag(nudge: &Nudge, text: &Text, turn: Option<&Person>) -> Value {
    let mut tag = json!({ "kind": nudge.kind, "key": nudge.key, "due": nudge.due, "numbers": nudge.numbers });
    match &nudge.subject {
        Some(Subject::Bin(bin)) => tag["bin"] = json!(bin),
        Some(Subject::Plot(plot)) => tag["plot"] = json!(plot),
        None => {}
    }
    tag["text"] = json!(text.plain());
    tag["to"] = json!(turn.map(|person| &person.id));
    tag
}

/// The keys of the nudges that a row of the outbox was, or stood on.
pub(super) fn keys(cause: &str) -> impl Iterator<Item = &str> {
    cause.strip_prefix(NUDGE).into_iter().flat_map(str::lines)
}

/// The cause of a nudge's message, as far as its transaction id tells: of several nudges in one message only the first.
pub(super) fn cause_of(txn: &str) -> Option<String> {
    let (cause, attempt) = txn.rsplit_once(':')?;
    (cause.starts_with(NUDGE) && attempt.parse::<u32>().is_ok()).then(|| cause.to_owned())
}

/// What the plan wants of a room's nudges.
pub(super) fn wanted(room: &Room, now: DateTime<Utc>) -> Vec<Wanted> {
    plan::plan(room, now).iter().map(|nudge| want(room, nudge)).collect()
}

fn want(room: &Room, nudge: &Nudge) -> Wanted {
    Wanted {
        key: nudge.key.0.clone(),
        due: millis(nudge.due),
        send_at: deliver::hold(room, nudge.due).map(millis),
        repeats: nudge.kind.cannot_wait(),
    }
}

fn millis(instant: DateTime<Utc>) -> Millis {
    instant.timestamp_millis()
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;

    use branbell_scheduler::deliver::SendError;
    use branbell_scheduler::fact::Units;
    use branbell_store::{Outgoing, SqliteStore, Store};
    use chrono_tz::Tz;

    use super::*;
    use crate::chat::{Deed, Incoming, Person, RoomInfo};

    /// Keeps where it sent what.
    #[derive(Default)]
    struct Post(Mutex<Vec<(String, String)>>);

    impl Outlet for Post {
        async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
            self.0.lock().unwrap().push((row.room.clone(), row.txn.clone()));
            Ok(row.txn.clone())
        }
    }

    #[tokio::test]
    async fn a_room_that_cannot_be_read_keeps_no_other_silent() {
        let at = |hour: i64| DateTime::from_timestamp(1_800_000_000 + hour * 3_600, 0).unwrap();
        let store = SqliteStore::in_memory().await.unwrap();
        let host = Host::new(store.clone());
        for room in ["broken", "whole"] {
            let people = vec![Person { id: "ana".into(), name: "ana".into(), steward: true }];
            let (zone, units) = (Tz::Europe__Vienna, Units::Metric);
            host.open(&RoomInfo { room: room.into(), direct: true, zone, units, people }, at(0))
                .await
                .unwrap();
            for text in ["new bin green, 19 litres", "added 6 litres and 8 tbsp bran"] {
                let (deed, event) =
                    (Deed::Say { text: text.into(), reply_to: None }, format!("{room}{text}"));
                let sender = "ana".into();
                let incoming = Incoming {
                    room: room.into(),
                    event,
                    sender,
                    sent: at(0),
                    direct: true,
                    thread: None,
                    deed,
                };
                host.take(&incoming, at(0)).await.unwrap();
            }
        }
        let after = store.facts("broken", 0).await.unwrap().len();
        let body = json!({ "kind": "of a later version" });
        let fact = NewFact { event: "x".into(), author: "ana".into(), at: 0, told: 0, body };
        let (room, after) = ("broken".into(), i64::try_from(after).unwrap());
        store.record(&Record { room, after, facts: vec![fact], ..Record::default() }).await.unwrap();

        let (host, post) = (Host::new(store), Post::default());
        let late = at(24 * 5);
        assert_eq!(host.deliver(&post, late).await.unwrap(), Some(late + LOOK_AGAIN));
        let sent = post.0.lock().unwrap();
        let nudged = |room: &str| sent.iter().any(|(to, txn)| to == room && txn.starts_with(NUDGE));
        assert!(nudged("whole") && !nudged("broken"), "{sent:?}");
    }
}
