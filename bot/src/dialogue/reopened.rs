//! Scraps or bran told into a sealed bin. Opening a bin again starts its time anew, so it is asked about, never assumed: the
//! lot may have gone into another bin.

use branbell_language::{FactKind, Reading};
use branbell_scheduler::advice::advise;
use branbell_scheduler::fact::What;
use branbell_scheduler::state::{Batch, Room};
use chrono::{DateTime, TimeDelta, Utc};

use super::question::{self, Asked, Lacking};
use super::{Answer, Decision, Occasion, act};
use crate::say;
use crate::voice::Voice;

/// Bran told within a day of sealing is the layer that went on top then.
const TOP_LAYER: TimeDelta = TimeDelta::hours(24);

/// What became of a lot told into a sealed bin, as a person said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Went {
    /// The sealed bin.
    bin: String,
    /// Where the lot went: the same bin where it was opened again.
    into: String,
}

impl Went {
    /// What was told, in the bin where it went.
    pub(super) fn placed(&self, what: What) -> What {
        let moved = |bin: String| if bin == self.bin { self.into.clone() } else { bin };
        match what {
            What::Scraps { bin, ml, g, foods } => What::Scraps { bin: moved(bin), ml, g, foods },
            What::Bran { bin, ml, g } => What::Bran { bin: moved(bin), ml, g },
            other => other,
        }
    }

    /// Whether a person said that it went into this bin, sealed or not.
    fn is_into(&self, bin: &str) -> bool {
        self.into == bin
    }
}

/// The sealed bin that a lot or a layer would open again, where nobody has said that it was.
pub(super) fn sealed_bin(room: &Room, what: &What, at: DateTime<Utc>, went: Option<&Went>) -> Option<String> {
    let (What::Scraps { bin, .. } | What::Bran { bin, .. }) = what else { return None };
    let batch = room.bin(bin)?.sealed()?;
    let sealed = batch.sealed_at?;
    let is_a_top_layer =
        matches!(what, What::Bran { .. }) && (at - sealed <= TOP_LAYER || wants_bran(batch, sealed));
    let is_settled = at <= sealed || is_a_top_layer || went.is_some_and(|went| went.is_into(bin));
    (!is_settled).then(|| bin.clone())
}

/// Whether a check since sealing was answered with the advice to open the bin and do something.
fn wants_bran(batch: &Batch, sealed: DateTime<Utc>) -> bool {
    let since = batch.checks.iter().filter(|check| check.at >= sealed);
    since.map(|check| advise(&check.signs)).any(|advice| advice.is_dubious() || advice.forbids_burying())
}

/// The sealed bin that a lot opens again, so that its time starts anew.
pub(super) fn opened_by(room: &Room, what: &What, at: DateTime<Utc>) -> Option<String> {
    let What::Scraps { bin, .. } = what else { return None };
    let sealed = room.bin(bin)?.sealed()?.sealed_at?;
    (at > sealed).then(|| bin.clone())
}

/// The question whether the bin was opened again, or another one is meant.
pub(super) fn ask(room: &Room, on: Occasion<'_>, bin: &str) -> Asked {
    let others = room.bins_in_use().filter(|other| other.name != bin && other.sealed().is_none());
    Asked {
        said: Some(bin.to_owned()),
        choices: others.map(|other| other.name.clone()).collect(),
        waiting: vec![question::Waiting::of(on.source)],
        ..question::blank(Lacking::Reopened, on)
    }
}

/// What the message comes to as the answer; none where it is something of its own.
pub(super) fn complete(room: &Room, on: Occasion<'_>, asked: &Asked, reading: &Reading) -> Option<Decision> {
    let bin = asked.said.clone()?;
    let answer = on.source.text.trim().trim_end_matches(['.', '!']);
    let mut ahead = room.clone();
    let mut decision = Decision::default();
    let into = match &reading.facts[..] {
        // A bin that the room did not have yet: it is kept first.
        [new] if new.kind == FactKind::BinSet => {
            act(&mut ahead, on, reading, &mut decision);
            new.slots.bin.clone()
        }
        [only] if only.kind == FactKind::Amended => only.slots.bin.clone(),
        [] if reading.asks.is_empty() => match (said(on.voice, answer), &asked.choices[..]) {
            (Said::Yes, [only]) if asked.lacking == Lacking::Elsewhere => Some(only.clone()),
            (Said::Yes | Said::Opened, _) => Some(bin.clone()),
            (Said::NotThere, _) => named(room, on, answer),
            (Said::Nothing, _) => Some(named(room, on, answer)?),
        },
        _ => return None,
    };
    let Some(into) = into else { return Some(elsewhere(asked)) };
    let went = Went { bin, into };
    question::void_replaced(&mut ahead, on.heard, asked, &mut decision);
    for waiting in &asked.waiting {
        waiting.take_up(&mut ahead, on, Some(&went), &mut decision);
    }
    Some(decision)
}

/// What a short answer says of the bin.
enum Said {
    Opened,
    Yes,
    NotThere,
    Nothing,
}

fn said(voice: &Voice, answer: &str) -> Said {
    let answer = answer.to_lowercase();
    let words: Vec<&str> =
        answer.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let known = |id: &str, word: &str| voice.word(id).split_whitespace().any(|known| known == word);
    let any = |id: &str| words.iter().any(|word| known(id, word));
    if any("not-words") {
        Said::NotThere
    } else if any("opened-words") {
        Said::Opened
    } else if any("no-words") {
        Said::NotThere
    } else if words.first().is_some_and(|word| known("yes-words", word)) {
        Said::Yes
    } else {
        Said::Nothing
    }
}

/// The bin that an answer names: `blue`, `it went into blue`.
fn named(room: &Room, on: Occasion<'_>, answer: &str) -> Option<String> {
    let lot = say!(on.voice, "sentence-added", amount = "1 l").plain();
    let sentence = say!(on.voice, "sentence-in-bin", text = lot, answer = answer).plain();
    let mut message = on.message(room, &sentence);
    message.direct = true;
    let reading = branbell_language::read(&message);
    let mut lots = reading.facts.iter().filter(|fact| fact.kind == FactKind::Scraps);
    lots.find_map(|fact| fact.slots.bin.clone())
}

/// It went into another bin, and nobody said which.
fn elsewhere(asked: &Asked) -> Decision {
    if asked.lacking == Lacking::Elsewhere {
        return Decision { answers: vec![Answer::LetGo], ..Decision::default() };
    }
    let asked = Asked { lacking: Lacking::Elsewhere, ..asked.clone() };
    Decision { answers: vec![Answer::AskBack(asked.clone())], asked: Some(asked), ..Decision::default() }
}
