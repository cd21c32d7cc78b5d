//! What a room keeps of one person.

use std::collections::HashSet;

use branbell_scheduler::fact::What;
use branbell_store::{FactRow, OutboxRow, RoomRows, UnreadRow};
use serde::Deserialize;
use serde_json::Value;

use crate::chat::Saying;
use crate::voice::{Text, tame};

/// The rows that concern a person: the facts that they told or that are about them, the messages that told those, a question
/// that waits for them, what was said to them or names them, and messages of theirs that cannot be read yet. None where the
/// room never heard of them.
pub fn of_person(rows: &RoomRows, person: &str) -> Option<RoomRows> {
    let trace = Trace::of(rows, person)?;
    let mut theirs = rows.clone();
    theirs.last_event = None;
    theirs.nudges.clear();
    theirs.facts.retain(|fact| trace.concerns(fact));
    theirs.events.retain(|event| trace.messages.contains(event.event.as_str()));
    theirs.questions.retain(|question| question.person == person);
    theirs.outbox.retain(|row| trace.is_said_to(row));
    theirs.unread.retain(|unread| trace.wrote(unread));
    Some(theirs)
}

/// By what a person is found in a room's rows.
pub(super) struct Trace<'a> {
    /// Their id.
    pub(super) person: &'a str,
    /// The names they have gone by, the longest first.
    pub(super) names: Vec<String>,
    /// The messages in which they told facts.
    pub(super) messages: HashSet<&'a str>,
}

impl<'a> Trace<'a> {
    /// None where nothing is of them or about them.
    pub(super) fn of(rows: &'a RoomRows, person: &'a str) -> Option<Self> {
        // Nobody tells what the bot itself notes: who came, who left.
        if person.is_empty() {
            return None;
        }
        let mut names = HashSet::new();
        let mut messages = HashSet::new();
        let mut is_known = rows.questions.iter().any(|question| question.person == person);
        for fact in &rows.facts {
            if fact.author == person {
                is_known = true;
                messages.insert(fact.event.as_str());
            }
            if let Some(mut what) = what(fact)
                && let Some(about) = about(&mut what)
                && about.person == person
            {
                is_known = true;
                names.extend(about.name.map(|name| tame(name)).filter(|name| !name.trim().is_empty()));
            }
        }
        let mut names: Vec<String> = names.into_iter().collect();
        names.sort_by(|one, other| (other.len(), one).cmp(&(one.len(), other)));
        let trace = Self { person, names, messages };
        (is_known || rows.unread.iter().any(|unread| trace.wrote(unread))).then_some(trace)
    }

    fn concerns(&self, fact: &FactRow) -> bool {
        let is_about = |mut what: What| about(&mut what).is_some_and(|about| about.person == self.person);
        fact.author == self.person || what(fact).is_some_and(is_about)
    }

    fn is_said_to(&self, row: &OutboxRow) -> bool {
        let Ok(Saying::Message(message)) = Saying::deserialize(&row.body) else { return false };
        self.messages.contains(row.cause.as_str())
            || message.to.iter().any(|to| to == self.person)
            || self.names.iter().any(|name| finds(&message.text, name).next().is_some())
    }

    /// Whether an undecrypted message is theirs: its envelope names its sender.
    pub(super) fn wrote(&self, unread: &UnreadRow) -> bool {
        unread.raw.contains(&Value::from(self.person).to_string())
    }
}

/// Whom a fact is about.
pub(super) struct About<'a> {
    pub(super) person: &'a mut String,
    pub(super) name: Option<&'a mut String>,
}

/// Whom a fact is about, beside who told it. A new kind of fact has to say it here.
pub(super) fn about(what: &mut What) -> Option<About<'_>> {
    match what {
        What::Member { person, name, .. } => Some(About { person, name: Some(name) }),
        What::Left { person }
        | What::Away { person, .. }
        | What::Back { person }
        | What::Passed { person, .. }
        | What::Asked { person, .. }
        | What::Offered { person }
        | What::Took { person, .. } => Some(About { person, name: None }),
        What::Opened { .. }
        | What::Scraps { .. }
        | What::Bran { .. }
        | What::Drained { .. }
        | What::Started { .. }
        | What::Sealed { .. }
        | What::Checked { .. }
        | What::Temperature { .. }
        | What::SoilPh { .. }
        | What::Level { .. }
        | What::Buried { .. }
        | What::Discarded { .. }
        | What::Planted { .. }
        | What::Cleaned { .. }
        | What::StarterMade { .. }
        | What::StarterBought { .. }
        | What::StarterStock { .. }
        | What::BinSet { .. }
        | What::BinGone { .. }
        | What::PlotSet { .. }
        | What::MeasureSet { .. }
        | What::Setting { .. }
        | What::Void { .. } => None,
    }
}

/// What a fact says, where this program understands it.
pub(super) fn what(fact: &FactRow) -> Option<What> {
    What::deserialize(&fact.body).ok()
}

/// Where a word stands in a text, by itself: `Ana` is not in `Anabel`.
pub(super) fn finds<'a>(text: &'a str, word: &'a str) -> impl Iterator<Item = usize> + 'a {
    let touches = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    text.match_indices(word).map(|(at, _)| at).filter(move |at| {
        let (before, after) = (&text[..*at], &text[at + word.len()..]);
        let begins = !(touches(before.chars().next_back()) && touches(word.chars().next()));
        let ends = !(touches(after.chars().next()) && touches(word.chars().next_back()));
        begins && ends
    })
}

/// As it stands in the HTML of a message.
pub(super) fn in_html(name: &str) -> String {
    Text::of_words(name).html()
}
