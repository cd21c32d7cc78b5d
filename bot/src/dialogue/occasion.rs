//! What does not change while a message is taken in.

use branbell_language::{Message, Reading};
use branbell_scheduler::fact::{self, What};
use branbell_scheduler::state::Room;
use chrono::{DateTime, Utc};

use super::{Heard, hearing, reopened};
use crate::voice::Voice;

/// What is said with, what was heard, what tells it, and when.
#[derive(Clone, Copy)]
pub(super) struct Occasion<'a> {
    pub(super) voice: &'a Voice,
    pub(super) heard: &'a Heard<'a>,
    pub(super) source: Source<'a>,
    pub(super) now: DateTime<Utc>,
}

/// Where facts come from: the message that tells them.
#[derive(Clone, Copy)]
pub(super) struct Source<'a> {
    pub(super) event: &'a str,
    pub(super) text: &'a str,
    pub(super) sent: DateTime<Utc>,
    /// It is read again, for our question is answered now: what was kept of it the first time stays.
    pub(super) again: bool,
    /// Where what was told into a sealed bin went.
    pub(super) went: Option<&'a reopened::Went>,
}

impl<'a> Occasion<'a> {
    /// What was heard tells it, in these words.
    pub(super) fn new(voice: &'a Voice, heard: &'a Heard<'a>, text: &'a str, now: DateTime<Utc>) -> Self {
        let incoming = heard.incoming;
        let source = Source { event: &incoming.event, text, sent: incoming.sent, again: false, went: None };
        Self { voice, heard, source, now }
    }

    /// Another message tells it.
    pub(super) fn of<'b>(self, source: Source<'b>) -> Occasion<'b>
    where
        'a: 'b,
    {
        Occasion { source, ..self }
    }

    /// What a sentence of ours says that stands for what was heard.
    pub(super) fn read(&self, room: &Room, sentence: &str) -> Reading {
        let mut message = self.message(room, sentence);
        message.direct = true;
        branbell_language::read(&message)
    }

    /// A sentence as the ear takes it, sent with what tells it.
    pub(super) fn message(&self, room: &Room, sentence: &str) -> Message {
        hearing::message(room, self.heard, sentence, self.source.sent)
    }
}

impl Source<'_> {
    /// What was told, in the bin where it went.
    pub(super) fn placed(&self, what: What) -> What {
        match self.went {
            Some(went) => went.placed(what),
            None => what,
        }
    }

    /// Whether this was kept when the message was read the first time.
    pub(super) fn has_told(&self, room: &Room, what: &What, at: DateTime<Utc>) -> bool {
        let is_it = |fact: &fact::Fact| fact.event == self.event && fact.at == at && fact.what == *what;
        self.again && room.facts().rev().any(is_it)
    }
}
