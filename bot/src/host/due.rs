//! What is due: nudges are worded when they are sent, with the numbers of that moment, and leave through the outbox.

use anyhow::Result;
use branbell_scheduler::deliver::{self, Outlet, REPEAT_AFTER, Wanted};
use branbell_scheduler::plan::{self, Nudge, NudgeKind, Subject};
use branbell_scheduler::state::Room;
use branbell_store::{Millis, NewOutgoing, NudgeRow, NudgeState, Record, Said, Store};
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::{Value, json};

use super::gallery::Gallery;
use super::known::Known;
use super::{Host, instant, message_row, said};
use crate::chat::{Message, Saying};
use crate::dialogue::{Answering, TAPS, topic, wording};

/// Rooms whose nudges are worded at a time: what is worded is sent before more is.
const BATCH: i64 = 100;

/// What marks the cause of a row as a nudge's key.
const NUDGE: &str = "nudge:";

impl<S: Store> Host<S> {
    /// Sends all that is due, and gives the next instant at which something will be.
    ///
    /// # Errors
    /// The store cannot be read or written. What was not sent stays due.
    pub async fn deliver(&self, outlet: &impl Outlet, now: DateTime<Utc>) -> Result<Option<DateTime<Utc>>> {
        let gallery = Gallery { host: self, outlet, now };
        loop {
            let rooms = self.store.due_rooms(now.timestamp_millis(), BATCH).await?;
            for room in &rooms {
                self.put_out_nudges(room, now).await?;
            }
            deliver::flush(&self.store, &gallery, now.timestamp_millis()).await?;
            if i64::try_from(rooms.len()).unwrap_or(BATCH) < BATCH {
                break;
            }
        }
        Ok(self.store.next_due().await?.map(instant))
    }

    /// Puts a room's due nudges into the outbox, in one transaction with what becomes of them.
    async fn put_out_nudges(&self, room: &str, now: DateTime<Utc>) -> Result<()> {
        let slot = self.room(room).await;
        let mut known = slot.lock().await;
        known.load(&self.store, room).await?;
        let nudges = plan::plan(&known.room, now);
        let rows = self.store.open_nudges(room).await?;
        let due = rows.iter().filter(|row| row.next_at.is_some_and(|at| at <= now.timestamp_millis()));
        let mut record = Record {
            room: room.to_owned(),
            now: now.timestamp_millis(),
            after: known.last_seq,
            ..Record::default()
        };
        for row in due {
            let nudge = nudges.iter().find(|nudge| nudge.key.0 == row.key);
            let (row, outgoing) = self.acted(&known, nudge, row, now)?;
            record.nudges.push(row);
            record.outbox.extend(outgoing);
        }
        // What comes round by the calendar is planned anew once it was said.
        let moved = self.changed_nudges(room, &known, now, Vec::new()).await?;
        let acted: Vec<String> = record.nudges.iter().map(|row| row.key.clone()).collect();
        record.nudges.extend(moved.into_iter().filter(|row| !acted.contains(&row.key)));
        self.keep(&mut known, &record).await?;
        Ok(())
    }

    /// What becomes of a row whose time has come, and what is sent.
    fn acted(
        &self,
        known: &Known,
        nudge: Option<&Nudge>,
        row: &NudgeRow,
        now: DateTime<Utc>,
    ) -> Result<(NudgeRow, Vec<NewOutgoing>)> {
        let room = &known.room;
        let Some(nudge) = nudge else {
            return Ok((NudgeRow { state: NudgeState::Settled, next_at: None, ..row.clone() }, Vec::new()));
        };
        // One that was put off comes when it was asked for, in quiet hours too.
        let first = row.attempts == 0;
        let send_at = if first { deliver::hold(room, nudge.due.max(now)) } else { deliver::heard(room, now) };
        // The store counts whole milliseconds, the model does not.
        if send_at.is_none_or(|at| millis(at) > millis(now)) {
            return Ok((
                NudgeRow { due: millis(nudge.due), next_at: send_at.map(millis), ..row.clone() },
                Vec::new(),
            ));
        }
        let repeat_at = deliver::hold(room, now + TimeDelta::milliseconds(REPEAT_AFTER));
        let sent = deliver::sent(&want(room, nudge), row, repeat_at.map(millis));
        Ok((sent.clone(), self.outgoing(room, nudge, sent.attempts, now)?))
    }

    /// The message of a nudge, and the reactions on it that stand ready for tapping.
    fn outgoing(
        &self,
        room: &Room,
        nudge: &Nudge,
        attempt: i64,
        now: DateTime<Utc>,
    ) -> Result<Vec<NewOutgoing>> {
        let attempts = usize::try_from(attempt).unwrap_or(1);
        let turn = if room.direct { None } else { room.turn_for(&nudge.key.0, attempts, now) };
        let text = wording::nudge(&self.voice, room, nudge, turn, now);
        let topic = topic::of_nudge(nudge.kind, nudge.subject.as_ref());
        let message = Message {
            to: turn.map(|person| person.id.clone()).into_iter().collect(),
            topic: topic.clone(),
            nudge: Some(tag(nudge)),
            ..said(&text)
        };
        let cause = format!("{NUDGE}{}", nudge.key.0);
        let txn = format!("{cause}:{attempt}");
        let mut rows = vec![message_row(txn.clone(), &cause, &message)?];
        if nudge.kind.wants_an_answer() {
            for (place, sign) in TAPS.iter().enumerate() {
                let body = serde_json::to_value(Saying::Reaction {
                    on: txn.clone(),
                    key: (*sign).to_owned(),
                    topic: topic.clone(),
                })?;
                rows.push(NewOutgoing { txn: format!("{txn}:tap{place}"), cause: cause.clone(), body });
            }
        }
        Ok(rows)
    }
}

/// A nudge as machines read it: in a season's lines, and in the outbox.
fn tag(nudge: &Nudge) -> Value {
    let mut tag = json!({ "kind": nudge.kind, "key": nudge.key, "due": nudge.due, "numbers": nudge.numbers });
    match &nudge.subject {
        Some(Subject::Bin(bin)) => tag["bin"] = json!(bin),
        Some(Subject::Plot(plot)) => tag["plot"] = json!(plot),
        None => {}
    }
    tag
}

/// The nudge that something of ours was, or stood on.
pub(super) fn answering(room: &Room, said: &Said, plainly: bool) -> Option<Answering> {
    let key = said.cause.strip_prefix(NUDGE)?;
    let (kind, rest) = key.split_once('/').unwrap_or((key, ""));
    let kind: NudgeKind = serde_json::from_value(kind.into()).ok()?;
    let names: Vec<&str> = match kind {
        NudgeKind::Plant => room.plots.iter().map(|plot| plot.name.as_str()).collect(),
        _ => room.bins.iter().map(|bin| bin.name.as_str()).collect(),
    };
    // A name may hold a slash itself: the longest that fits is meant.
    let fits = |name: &&str| {
        rest.strip_prefix(*name).is_some_and(|cycle| cycle.is_empty() || cycle.starts_with('/'))
    };
    let name = names.into_iter().filter(fits).max_by_key(|name| name.len()).map(str::to_owned);
    let subject = name.map(if kind == NudgeKind::Plant { Subject::Plot } else { Subject::Bin });
    Some(Answering { key: key.to_owned(), kind, subject, plainly })
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

/// What a nudge wants of people.
trait Wants {
    /// Somebody is to do something: reactions stand ready for tapping. The others only tell.
    fn wants_an_answer(self) -> bool;
    /// It is said again when nobody does it. Bran that was forgotten was said twice by then, and new bran is started
    /// weeks ahead: to say these again tomorrow would nag.
    fn cannot_wait(self) -> bool;
}

impl Wants for NudgeKind {
    fn wants_an_answer(self) -> bool {
        self.cannot_wait() || matches!(self, NudgeKind::Bran | NudgeKind::Starter)
    }

    fn cannot_wait(self) -> bool {
        matches!(self, NudgeKind::Drain | NudgeKind::Seal | NudgeKind::Check | NudgeKind::Bury)
    }
}
