//! Asking back, once, and what a short answer then stands for.
//!
//! A question remembers whole sentences with a gap (`drained {} from green`). The answer fills the gap, and the ear reads
//! the sentence as if it had been said at once: spelling, units and names are understood there and nowhere else.

mod complete;
mod several;

use branbell_language::{FactKind, Unclear};
use branbell_scheduler::fact::{HouseRule, What};
use branbell_scheduler::plan::NudgeKind;
use branbell_scheduler::state::Room;
use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};

use super::fill::{Lacks, Missing};
use super::{Decision, Heard, Occasion, Source, act, naming, reopened, unit};
use crate::say;
use crate::voice::Text;

pub(super) use complete::{asking, complete, completed, is_no, is_yes, void_replaced};

/// An unanswered question is dropped after a day, without a record.
const PATIENCE: TimeDelta = TimeDelta::days(1);

/// In a group, a longer message than this is not taken for the answer to a question.
const MOST_WORDS: usize = 5;

/// Where the answer goes.
pub(super) const GAP: &str = "{}";

/// A question that waits for a person's answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Asked {
    /// What is missing.
    pub lacking: Lacking,
    /// The message that it is about.
    pub event: String,
    /// When that was sent.
    pub sent: DateTime<Utc>,
    /// The moment that the answer's fact speaks of, where that was told already.
    #[serde(default)]
    pub at: Option<DateTime<Utc>>,
    /// What could be meant.
    pub choices: Vec<String>,
    /// The word that could not be used.
    #[serde(default)]
    pub said: Option<String>,
    /// Sentences with a gap for the answer, the likeliest first.
    pub sentences: Vec<String>,
    /// The sentence that a yes stands for.
    #[serde(default)]
    pub yes: Option<String>,
    /// What was told before the room has its first bin, or into a sealed one.
    #[serde(default)]
    pub waiting: Vec<Waiting>,
    /// The nudges that the choices stand for.
    #[serde(default)]
    pub nudges: Vec<String>,
    /// The facts that the answer's takes the place of.
    #[serde(default)]
    pub replaces: Vec<i64>,
    /// Other drains whose amount was expected only: it is asked of one after the other.
    #[serde(default)]
    pub then: Vec<i64>,
    /// When it is dropped.
    pub until: DateTime<Utc>,
}

/// A message that waits for the answer as a whole, to be taken up again then.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Waiting {
    /// The message.
    pub event: String,
    /// When it was sent.
    pub sent: DateTime<Utc>,
    /// Its words.
    pub text: String,
}

impl Waiting {
    pub(super) fn of(source: Source<'_>) -> Self {
        Self { event: source.event.to_owned(), sent: source.sent, text: source.text.to_owned() }
    }

    /// Takes the message up, now that the answer has come.
    pub(super) fn take_up(
        &self,
        ahead: &mut Room,
        on: Occasion<'_>,
        went: Option<&reopened::Went>,
        decision: &mut Decision,
    ) {
        let on = on.of(Source { event: &self.event, text: &self.text, sent: self.sent, again: true, went });
        act(ahead, on, &on.read(ahead, &self.text), decision);
    }
}

/// What a message lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the names say it")]
pub enum Lacking {
    Bin,
    /// What a new bin is called.
    Name,
    Plot,
    /// What a pH strip shows.
    Ph,
    Amount,
    Unit,
    Time,
    Meaning,
    Size,
    Drained,
    Scraps,
    Liquid,
    /// Whether a sealed bin was opened again.
    Reopened,
    /// Where it went, if not into the sealed bin.
    Elsewhere,
    /// Whether somebody really wants to be forgotten.
    Forgetting,
    /// Whether a rule of the house holds.
    House(HouseRule),
    /// Which of several pieces of work was done.
    Which,
}

/// The question about what stayed unclear in a message.
pub(super) fn unclear(room: &Room, on: Occasion<'_>, unclear: &Unclear) -> Asked {
    let text = on.source.text;
    let bins: Vec<String> = room.bins_in_use().map(|bin| bin.name.clone()).collect();
    let replaced = unclear.said.as_deref().and_then(|said| in_place_of(text, said));
    let behind = format!("{text} {GAP}");
    let mut asked = blank(unclear.into(), on);
    asked.said.clone_from(&unclear.said);
    match asked.lacking {
        Lacking::Bin if bins.is_empty() => return missing(on, &Missing::NoBins),
        Lacking::Bin => {
            asked.sentences = replaced.into_iter().chain([behind]).collect();
            asked.choices = bins;
        }
        Lacking::Unit => unit::ask(room, on, replaced, &mut asked),
        Lacking::Amount | Lacking::Time => asked.sentences = replaced.into_iter().chain([behind]).collect(),
        _ => {
            asked.sentences = vec![behind, format!("{GAP} {text}")];
            asked.said = Some(text.to_owned());
            of_what(room, on, text, &mut asked);
        }
    }
    asked
}

/// A bare amount is asked about with the likeliest guess: liquid where a drain is due, else scraps.
fn of_what(room: &Room, on: Occasion<'_>, text: &str, asked: &mut Asked) {
    let Occasion { voice, heard, .. } = on;
    // Before there is a bin, an amount is as likely its size.
    if text.contains(", ") || room.bins_in_use().next().is_none() {
        return;
    }
    let scraps = say!(voice, "sentence-added", amount = text.trim()).plain();
    if !is_an_amount(room, on, text) {
        return;
    }
    let waiting =
        heard.answering.as_ref().is_some_and(|answering| answering.kind() == Some(NudgeKind::Drain));
    let liquid = say!(voice, "sentence-drained", amount = text.trim()).plain();
    (asked.lacking, asked.yes) =
        if waiting { (Lacking::Liquid, Some(liquid)) } else { (Lacking::Scraps, Some(scraps)) };
    asked.said = Some(text.trim().to_owned());
    asked.sentences.insert(0, say!(voice, "sentence-amount-of", amount = text.trim(), answer = GAP).plain());
}

/// Whether these words are an amount, with its unit.
pub(super) fn is_an_amount(room: &Room, on: Occasion<'_>, words: &str) -> bool {
    let scraps = say!(on.voice, "sentence-added", amount = words.trim()).plain();
    let reading = on.read(room, &scraps);
    reading.unclear.is_none() && matches!(&reading.facts[..], [fact] if fact.kind == FactKind::Scraps)
}

/// The question about what the room's state does not decide.
pub(super) fn missing(on: Occasion<'_>, missing: &Missing) -> Asked {
    let Occasion { voice, heard, source, .. } = on;
    let mut asked = blank(missing.into(), on);
    let behind = |id: &str| say!(voice, id, text = Text::of_words(source.text.trim()), answer = GAP).plain();
    match missing {
        Missing::Bin(bins) => {
            asked.sentences = vec![behind("sentence-in-bin"), format!("{} {GAP}", source.text)];
            asked.choices.clone_from(bins);
        }
        Missing::NoBins => {
            asked.sentences = vec![say!(voice, "sentence-new-bin", answer = GAP).plain()];
            asked.waiting = waiting_so_far(heard).chain([Waiting::of(source)]).collect();
            // It is told of the bin whose name we wait for.
            if let Some(open) = heard.asked.as_ref().filter(|open| open.lacking == Lacking::Name) {
                (asked.lacking, asked.sentences) = (Lacking::Name, open.sentences.clone());
            }
        }
        Missing::Name { ml, tap } => {
            asked.sentences = vec![naming::sentence(voice, GAP, *ml, *tap)];
            asked.waiting = waiting_so_far(heard).collect();
        }
        Missing::Plot(plots) => {
            asked.sentences = vec![behind("sentence-in-plot"), format!("{} {GAP}", source.text)];
            asked.choices.clone_from(plots);
        }
        Missing::Size { bin, tap } => {
            let sized = say!(voice, "sentence-bin-size", bin = bin, answer = GAP).plain();
            asked.sentences = vec![naming::with(voice, sized, None, *tap)];
            asked.said = Some(bin.clone());
        }
        Missing::Area { plot } => {
            asked.sentences = vec![say!(voice, "sentence-bed-size", plot = plot, answer = GAP).plain()];
            asked.said = Some(plot.clone());
        }
        Missing::Fitting { bin, kind, at } => {
            let id = match kind {
                FactKind::Drained => "sentence-drained-from",
                FactKind::Bran => "sentence-bran-on",
                _ => "sentence-added-to",
            };
            asked.sentences = vec![say!(voice, id, bin = bin, answer = GAP).plain()];
            (asked.said, asked.at) = (Some(bin.clone()), Some(*at));
        }
        Missing::Amount => asked.sentences = vec![format!("{} {GAP}", source.text)],
    }
    asked
}

/// What was told before and waits for the room's first bin.
fn waiting_so_far<'h>(heard: &'h Heard<'_>) -> impl Iterator<Item = Waiting> + 'h {
    let open = heard.asked.iter().filter(|asked| matches!(asked.lacking, Lacking::Bin | Lacking::Name));
    open.flat_map(|asked| asked.waiting.clone())
}

/// The question about what a kept fact would be better with.
pub(super) fn afterwards(room: &Room, on: Occasion<'_>, lacks: Lacks, seq: i64) -> Asked {
    let voice = on.voice;
    let mut asked = blank(Lacking::Size, on);
    let Some(fact) = room.fact(seq) else { return asked };
    asked.at = Some(fact.at);
    match (lacks, &fact.what) {
        (Lacks::Size, What::BinSet { bin, .. }) => {
            asked.sentences = vec![say!(voice, "sentence-bin-size", bin = bin, answer = GAP).plain()];
        }
        (Lacks::Drained, What::Drained { bin, .. }) => {
            asked.lacking = Lacking::Drained;
            asked.sentences = vec![say!(voice, "sentence-drained-from", bin = bin, answer = GAP).plain()];
            asked.said = Some(bin.clone());
            asked.replaces = vec![seq];
        }
        (Lacks::Plot, What::Buried { bin, .. }) => {
            asked.lacking = Lacking::Plot;
            asked.sentences = vec![say!(voice, "sentence-buried", bin = bin, answer = GAP).plain()];
            asked.choices = room.plots.iter().map(|plot| plot.name.clone()).collect();
            asked.replaces = vec![seq];
        }
        _ => {}
    }
    asked
}

pub(super) fn blank(lacking: Lacking, on: Occasion<'_>) -> Asked {
    Asked {
        lacking,
        event: on.source.event.to_owned(),
        sent: on.source.sent,
        at: None,
        choices: Vec::new(),
        said: None,
        sentences: Vec::new(),
        yes: None,
        waiting: Vec::new(),
        nudges: Vec::new(),
        replaces: Vec::new(),
        then: Vec::new(),
        until: on.now + PATIENCE,
    }
}

/// The text with a gap where the word stands.
fn in_place_of(text: &str, said: &str) -> Option<String> {
    let at = text.find(said)?;
    Some(format!("{}{GAP}{}", &text[..at], &text[at + said.len()..]))
}
