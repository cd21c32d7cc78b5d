//! Takes a person out of what a room keeps.
//!
//! Their facts stay, because they say what is in the bins; who told them does not. In the place of the person stands
//! `somebody-1`: as the author of their facts, and where facts are about them. The messages that told the facts are no longer
//! named, so that nobody who has the room's history can look the facts up in it. In what the bot has said, their names and
//! mentions are gone. Their waiting question and what could not be decrypted yet, both words of theirs, are dropped.
//!
//! What stays as it was: the ids of the messages that were taken in, so that none is taken in again; and what people wrote into
//! the names of bins and plots.

use std::collections::HashMap;

use anyhow::Result;
use branbell_scheduler::fact::What;
use branbell_store::{FactRow, OutboxRow, RoomRows};
use chrono::{DateTime, Utc};
use serde::Deserialize;
use serde_json::Value;

use super::person::{Trace, about, finds, in_html, what};
use super::room;
use crate::chat::{Message, Saying};

/// What a person who is forgotten is called.
const STAND_IN: &str = "somebody";

/// A room without a person.
#[derive(Clone, Debug, PartialEq)]
pub struct Forgotten {
    /// Its rows.
    pub rows: RoomRows,
    /// Who stands in the place of the person.
    pub stand_in: String,
    /// How many facts they had told.
    pub facts: usize,
}

/// The room without a person; none where it never heard of them.
///
/// # Errors
/// A fact says what this program does not understand.
pub fn forget(rows: &RoomRows, person: &str, now: DateTime<Utc>) -> Result<Option<Forgotten>> {
    let Some(trace) = Trace::of(rows, person) else { return Ok(None) };
    let stand_in = free_stand_in(rows);
    let forgetting = Forgetting { messages: stand_ins(rows, &trace, &stand_in), stand_in, trace };
    let mut after = rows.clone();
    for fact in &mut after.facts {
        forgetting.fact(fact)?;
    }
    if room(&after.facts)?.person(&forgetting.stand_in).is_some_and(|person| person.here) {
        after.facts.push(left(&after.facts, &forgetting.stand_in, now)?);
    }
    for row in &mut after.outbox {
        forgetting.outgoing(row)?;
    }
    after.questions.retain(|question| question.person != person);
    after.unread.retain(|unread| !forgetting.trace.wrote(unread));
    let facts = rows.facts.iter().filter(|fact| fact.author == person).count();
    Ok(Some(Forgotten { rows: after, stand_in: forgetting.stand_in, facts }))
}

struct Forgetting<'a> {
    trace: Trace<'a>,
    stand_in: String,
    /// What stands in the place of their messages.
    messages: HashMap<&'a str, String>,
}

impl Forgetting<'_> {
    fn fact(&self, fact: &mut FactRow) -> Result<()> {
        if fact.author == self.trace.person {
            fact.author.clone_from(&self.stand_in);
        }
        if let Some(message) = self.messages.get(fact.event.as_str()) {
            fact.event.clone_from(message);
        }
        let Some(mut what) = what(fact) else { return Ok(()) };
        if let Some(about) = about(&mut what)
            && about.person == self.trace.person
        {
            about.person.clone_from(&self.stand_in);
            if let Some(name) = about.name {
                STAND_IN.clone_into(name);
            }
            fact.body = serde_json::to_value(&what)?;
        }
        Ok(())
    }

    fn outgoing(&self, row: &mut OutboxRow) -> Result<()> {
        let Ok(Saying::Message(mut message)) = Saying::deserialize(&row.body) else { return Ok(()) };
        let before = message.clone();
        message.to.retain(|to| to != self.trace.person);
        self.unname(&mut message);
        // What is still to be sent needs its transaction id, and the message that it answers.
        if row.next_at.is_none()
            && let Some(stand_in) = self.messages.get(row.cause.as_str())
        {
            row.txn = format!("reply:{stand_in}");
            row.cause.clone_from(stand_in);
            message.re = message.re.map(|_| stand_in.clone());
        }
        if message != before {
            row.body = serde_json::to_value(Saying::Message(message))?;
        }
        Ok(())
    }

    fn unname(&self, message: &mut Message) {
        let names = self.trace.names.iter().map(String::as_str).chain([self.trace.person]);
        for name in names {
            message.text = replaced(&message.text, name);
            message.html = replaced(&message.html, &in_html(name));
        }
    }
}

/// The text with the stand-in where the word stands by itself.
fn replaced(text: &str, word: &str) -> String {
    let mut new = String::with_capacity(text.len());
    let mut done = 0;
    for at in finds(text, word).collect::<Vec<_>>() {
        new.push_str(&text[done..at]);
        new.push_str(STAND_IN);
        done = at + word.len();
    }
    new.push_str(&text[done..]);
    new
}

/// An id that nobody has in the room: `somebody-1`, `somebody-2`, …
fn free_stand_in(rows: &RoomRows) -> String {
    let is_taken = |id: &str| {
        let is_about = |fact| {
            what(fact).is_some_and(|mut what| about(&mut what).is_some_and(|about| about.person == id))
        };
        rows.facts.iter().any(|fact| fact.author == id || is_about(fact))
    };
    let mut ids = (1..).map(|number: usize| format!("{STAND_IN}-{number}"));
    ids.find(|id| !is_taken(id)).unwrap_or_default()
}

/// What stands in the place of each message in which the person told something, in the order in which they were told.
fn stand_ins<'a>(rows: &'a RoomRows, trace: &Trace<'_>, stand_in: &str) -> HashMap<&'a str, String> {
    let mut stand_ins = HashMap::new();
    for fact in rows.facts.iter().filter(|fact| trace.messages.contains(fact.event.as_str())) {
        let next = stand_ins.len() + 1;
        stand_ins.entry(fact.event.as_str()).or_insert_with(|| format!("{stand_in}/{next}"));
    }
    stand_ins
}

/// The fact that the stand-in is not in the room: nobody's turn falls to it.
fn left(facts: &[FactRow], stand_in: &str, now: DateTime<Utc>) -> Result<FactRow> {
    let seq = facts.last().map_or(0, |fact| fact.seq) + 1;
    let body: Value = serde_json::to_value(What::Left { person: stand_in.to_owned() })?;
    let now = now.timestamp_millis();
    Ok(FactRow { seq, event: String::new(), author: String::new(), at: now, told: now, body })
}
