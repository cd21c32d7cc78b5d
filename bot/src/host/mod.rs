//! Where everything meets: takes in what people do, keeps it, and sends what is due. Whatever carries the chat calls this.
//!
//! One message is one transaction: its facts, the reply in the outbox, the changed nudges, the event taken in.

mod asked;
mod due;
mod forgetting;
mod gallery;
mod heard;
pub(crate) mod known;
mod rows;
mod threads;

use std::collections::HashMap;
use std::sync::Arc;

use anyhow::Result;
use branbell_scheduler::fact::What;
use branbell_scheduler::hints::Hint;
use branbell_scheduler::state::Room;
use branbell_store::{Archive, Millis, NewFact, NudgeRow, Record, Recorded};
use chrono::{DateTime, TimeZone, Utc};
use tokio::sync::{Mutex, Notify};

use crate::chat::{Deed, Exhibit, Incoming, Message, Person, RoomInfo};
use crate::dialogue::{self, NudgeChange};
use crate::voice::Voice;
use known::Known;
use rows::{fact_row, message_row, question, remarked, reply_row, said, stray_key};

/// The bot, without its chat.
pub struct Host<S> {
    store: S,
    voice: Voice,
    rooms: Mutex<HashMap<String, Arc<Mutex<Known>>>>,
    wake: Notify,
}

impl<S: Archive> Host<S> {
    /// A host over a store.
    pub fn new(store: S) -> Self {
        Self { store, voice: Voice::english(), rooms: Mutex::default(), wake: Notify::new() }
    }

    /// The bot as it is after a new start: all that it knows is what the store holds.
    #[must_use]
    pub(crate) fn anew(&self) -> Self
    where
        S: Clone,
    {
        Self::new(self.store.clone())
    }

    /// How it talks.
    pub fn voice(&self) -> &Voice {
        &self.voice
    }

    /// Resolves when something was put into the outbox, or the plan changed.
    pub async fn woken(&self) {
        tokio::select! {
            () = self.wake.notified() => {}
            () = self.store.woken() => {}
        }
    }

    /// Notes a room and its people, and greets it, once. Call it when the bot joins, and when the people change.
    ///
    /// # Errors
    /// The store cannot be read or written.
    pub async fn open(&self, info: &RoomInfo, now: DateTime<Utc>) -> Result<()> {
        let slot = self.room(&info.room).await;
        let mut known = slot.lock().await;
        known.load(&self.store, &info.room).await?;
        let news = news(&known, info);
        if news.is_empty() {
            return Ok(());
        }
        let is_new = known.last_seq == 0;
        let facts: Vec<NewFact> =
            news.into_iter().map(|what| fact_row("", "", now, now, &what)).collect::<Result<_>>()?;
        known.apply(&facts)?;
        let greeting = is_new.then(|| dialogue::wording::greeting(&self.voice, &known.room, now));
        let outbox =
            greeting.map(|text| message_row("greeting".to_owned(), "greeting", &said(&text))).transpose()?;
        let record = Record {
            room: info.room.clone(),
            now: now.timestamp_millis(),
            after: known.last_seq - i64::try_from(facts.len())?,
            nudges: self.changed_nudges(&info.room, &known, now, Vec::new()).await?,
            outbox: outbox.into_iter().collect(),
            facts,
            ..Record::default()
        };
        self.keep(&mut known, &record).await?;
        Ok(())
    }

    /// Takes an event in, exactly once however often it comes.
    ///
    /// # Errors
    /// The store cannot be read or written: nothing of the event was kept, and it may come again.
    pub async fn take(&self, incoming: &Incoming, now: DateTime<Utc>) -> Result<()> {
        if self.store.seen(&incoming.room, &incoming.event).await? {
            return Ok(());
        }
        let slot = self.room(&incoming.room).await;
        let mut known = slot.lock().await;
        // Another process may have added facts meanwhile: then what was decided is decided anew.
        loop {
            known.load(&self.store, &incoming.room).await?;
            // A homeserver may tell any time: nothing was said to us before we were there.
            let sent = known.opened.map_or(incoming.sent, |opened| incoming.sent.max(opened));
            let (thread, deed) = (self.thread(incoming).await?, incoming.deed.as_it_looks());
            let incoming = Incoming { sent, thread, deed, ..incoming.clone() };
            let record = self.decide(&mut known, &incoming, now).await?;
            if self.keep(&mut known, &record).await? != Recorded::Overtaken {
                return Ok(());
            }
        }
    }

    /// Whether anything was kept of a room.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn is_known(&self, room: &str) -> Result<bool> {
        let slot = self.room(room).await;
        let mut known = slot.lock().await;
        known.load(&self.store, room).await?;
        Ok(known.opened.is_some())
    }

    /// A room goes on under another id, with all that was kept of it. False: both ids have a history of their own, and
    /// nothing changed.
    ///
    /// # Errors
    /// The store cannot be written.
    pub async fn move_room(&self, from: &str, to: &str) -> Result<bool> {
        let (old, new) = (self.room(from).await, self.room(to).await);
        let (mut old, mut new) = (old.lock().await, new.lock().await);
        let moved = self.store.rename(from, to).await?;
        old.forget();
        new.forget();
        self.wake.notify_one();
        Ok(moved)
    }

    /// Whether an event was taken in, readable.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn has_taken(&self, room: &str, event: &str) -> Result<bool> {
        Ok(self.store.seen(room, event).await?)
    }

    /// The last event taken in from a room: page back to it on start and after a gap.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn last_taken(&self, room: &str) -> Result<Option<String>> {
        Ok(self.store.last_event(room).await?)
    }

    /// Messages that could not be decrypted when they came: event and raw form. Taking the event in again, readable,
    /// removes it.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn unread(&self, room: &str) -> Result<Vec<(String, String)>> {
        Ok(self.store.unread(room).await?)
    }

    /// Our own event was seen in the room with its transaction id: the row is sent. A nudge that stands in the room and not
    /// in the store, because an older backup was restored, is noted, so that it is not said again. (What answers a message
    /// is written anew when that is read again, which is before its echo.)
    ///
    /// # Errors
    /// The store cannot be read or written.
    pub async fn echoed(&self, room: &str, txn: &str, event: &str, at: DateTime<Utc>) -> Result<()> {
        self.store.echoed(room, txn, event).await?;
        if let Some(cause) = due::cause_of(txn)
            && self.store.said(room, event).await?.is_none()
        {
            let row = message_row(txn.to_owned(), &cause, &Message::default())?;
            self.store.recall(room, &row, event, at.timestamp_millis()).await?;
        }
        Ok(())
    }

    /// The next instant at which something is due.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn next_due(&self) -> Result<Option<DateTime<Utc>>> {
        Ok(self.store.next_due().await?.map(instant))
    }

    /// Looks at a room as it is known.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn known<T>(&self, room: &str, look: impl FnOnce(&Room) -> T) -> Result<T> {
        let slot = self.room(room).await;
        let mut known = slot.lock().await;
        known.load(&self.store, room).await?;
        Ok(look(&known.room))
    }

    /// Whether an event of the room is something that we said.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn is_ours(&self, room: &str, event: &str) -> Result<bool> {
        Ok(self.store.said(room, event).await?.is_some())
    }

    /// The event that a row of the outbox became.
    ///
    /// # Errors
    /// The store cannot be read.
    pub async fn sent_as(&self, room: &str, txn: &str) -> Result<Option<String>> {
        Ok(self.store.sent_as(room, txn).await?)
    }

    async fn room(&self, room: &str) -> Arc<Mutex<Known>> {
        self.rooms.lock().await.entry(room.to_owned()).or_default().clone()
    }

    /// Keeps a record whose facts `known` has already taken in; where it is not kept, `known` is read anew next time.
    async fn keep(&self, known: &mut Known, record: &Record) -> Result<Recorded> {
        let recorded = self.store.record(record).await;
        if !matches!(recorded, Ok(Recorded::Kept)) {
            known.forget();
        }
        let recorded = recorded?;
        if recorded == Recorded::Kept && !(record.outbox.is_empty() && record.nudges.is_empty()) {
            self.wake.notify_one();
        }
        Ok(recorded)
    }

    async fn decide(&self, known: &mut Known, incoming: &Incoming, now: DateTime<Utc>) -> Result<Record> {
        let base = Record {
            room: incoming.room.clone(),
            event: Some(incoming.event.clone()),
            now: now.timestamp_millis(),
            after: known.last_seq,
            deleted: incoming.deed.deletes().map(str::to_owned),
            ..Record::default()
        };
        match &incoming.deed {
            Deed::Unreadable { raw } => return Ok(Record { unread: Some(raw.clone()), ..base }),
            Deed::TooLong { .. } if incoming.direct => {
                let text = dialogue::wording::too_long(&self.voice);
                return Ok(Record { outbox: vec![reply_row(incoming, said(&text))?], ..base });
            }
            Deed::Other | Deed::TooLong { .. } => return Ok(base),
            Deed::Lost { others } => {
                let text = dialogue::wording::lost(&self.voice, others + 1);
                return Ok(Record { outbox: vec![reply_row(incoming, said(&text))?], ..base });
            }
            _ => {}
        }
        let bereft = self.bereft(incoming).await?;
        let heard = self.heard(known, incoming, now).await?;
        let had_question = heard.asked.is_some();
        let strays = heard.to_the_point && !dialogue::keeps_to_the_point(&known.room, &self.voice, &heard);
        let from = if strays { self.store.last_said(&incoming.room).await? } else { None };
        let strayed = from.map(|said| remarked(stray_key(&said), now));
        let mut decision = dialogue::decide(&known.room, &self.voice, &heard, now);
        let base = if decision.forgets_sender {
            self.forget_person(known, &incoming.room, &incoming.sender, now).await?;
            Record { after: known.last_seq, ..base }
        } else {
            base
        };
        let facts = decision.facts.iter();
        let facts = facts.map(|told| {
            let author = told.author.as_ref().unwrap_or(&incoming.sender);
            let first = told.first_told.unwrap_or(incoming.sent);
            fact_row(&told.event, author, told.at, first, &told.what)
        });
        let facts: Vec<NewFact> = facts.collect::<Result<_>>()?;
        known.apply(&facts)?;
        decision.remarks =
            self.unsaid(&known.room, &incoming.room, dialogue::remarks(&known.room, &decision, now)).await?;
        let remarked = decision.remarks.iter().map(|hint| remarked(hint.key(&known.room), now));
        let remarked: Vec<NudgeRow> = remarked.collect();
        let answered = decision.nudges.clone();
        let text = dialogue::wording::reply(&self.voice, &known.room, &decision, now);
        let topic = decision.topic(&known.room, now);
        let picture = dialogue::wording::picture(&decision).map(Exhibit::Of);
        let message = Message { topic, picture, ..said(&text) };
        let outbox = (!text.is_empty()).then(|| reply_row(incoming, message)).transpose()?;
        let question = match bereft {
            Some(person) => Some(question(&person, None)),
            None => (had_question || decision.asked.is_some())
                .then(|| question(&incoming.sender, decision.asked.as_ref())),
        };
        let moved = !facts.is_empty() || !decision.nudges.is_empty();
        let changed =
            if moved { self.changed_nudges(&incoming.room, known, now, answered).await? } else { Vec::new() };
        Ok(Record {
            nudges: changed.into_iter().chain(remarked).chain(strayed).collect(),
            outbox: outbox.into_iter().collect(),
            question: question.transpose()?,
            facts,
            ..base
        })
    }

    /// Those of the remarks that were never made in this room.
    async fn unsaid(&self, known: &Room, room: &str, remarks: Vec<Hint>) -> Result<Vec<Hint>> {
        let mut unsaid = Vec::new();
        for hint in remarks {
            if self.store.nudge(room, &hint.key(known)).await?.is_none() {
                unsaid.push(hint);
            }
        }
        Ok(unsaid)
    }

    /// The nudges that change: those that somebody answered, and those that the facts add, move or settle.
    async fn changed_nudges(
        &self,
        room: &str,
        known: &Known,
        now: DateTime<Utc>,
        answered: Vec<(String, NudgeChange)>,
    ) -> Result<Vec<NudgeRow>> {
        use branbell_scheduler::deliver;
        let wanted = due::wanted(&known.room, now);
        let mut rows = self.store.open_nudges(room).await?;
        for nudge in
            wanted.iter().filter(|nudge| rows.iter().all(|row| row.key != nudge.key)).collect::<Vec<_>>()
        {
            rows.extend(self.store.nudge(room, &nudge.key).await?);
        }
        let mut changed = Vec::new();
        for (key, change) in answered {
            let wanted = wanted.iter().find(|nudge| nudge.key == key);
            // What makes it due may say it at once, before it was ever planned.
            if let Some(wanted) = wanted.filter(|_| rows.iter().all(|row| row.key != key)) {
                rows.extend(deliver::reconcile(std::slice::from_ref(wanted), &[], now.timestamp_millis()));
            }
            let Some(row) = rows.iter_mut().find(|row| row.key == key) else { continue };
            *row = match (change, wanted) {
                (NudgeChange::PutOff(until), _) => deliver::put_off(row, until.timestamp_millis()),
                (NudgeChange::Answered, _) => deliver::answered(row),
                (NudgeChange::Said, Some(wanted)) => {
                    deliver::sent(wanted, row, due::repeat_at(&known.room, now))
                }
                (NudgeChange::Said, None) => continue,
            };
            changed.push(row.clone());
        }
        changed.extend(deliver::reconcile(&wanted, &rows, now.timestamp_millis()));
        Ok(changed)
    }
}

/// What is new in a room's people.
fn news(known: &Known, info: &RoomInfo) -> Vec<What> {
    let room = &known.room;
    let opened = (known.last_seq == 0 || room.direct != info.direct).then(|| {
        // The zone and the measures are the room's own once it is open.
        let (zone, units) =
            if known.last_seq == 0 { (info.zone, info.units) } else { (room.zone, room.units) };
        What::Opened { zone, units, direct: info.direct }
    });
    let is_known = |person: &&Person| {
        room.person(&person.id)
            .is_some_and(|known| known.here && known.name == person.name && known.steward == person.steward)
    };
    let came = info.people.iter().filter(|person| !is_known(person));
    let came = came.map(|person| What::Member {
        person: person.id.clone(),
        name: person.name.clone(),
        steward: person.steward,
    });
    let gone = room
        .people
        .iter()
        .filter(|known| known.here && info.people.iter().all(|person| person.id != known.id));
    let left = gone.map(|known| What::Left { person: known.id.clone() });
    opened.into_iter().chain(came).chain(left).collect()
}

/// An instant of the store; the earliest there is where it lies outside the calendar.
fn instant(millis: Millis) -> DateTime<Utc> {
    Utc.timestamp_millis_opt(millis).single().unwrap_or(DateTime::<Utc>::MIN_UTC)
}
