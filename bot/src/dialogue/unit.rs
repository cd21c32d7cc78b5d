//! An amount without its unit: which one is meant, with a guess where only one is likely.

use branbell_language::{Fact, FactKind, Reading, Unclear, UnclearAbout};
use branbell_scheduler::fact::Units;
use branbell_scheduler::state::Room;
use branbell_scheduler::units::Millilitres;

use super::question::{self, GAP};
use super::{Asked, Decision, Lacking, Occasion};
use crate::say;
use crate::voice::Measures;

/// Less may have been meant in cups or litres.
const LEAST_GUESSED: Millilitres = Millilitres(20.0);

/// Fills the question about the unit of a number: of the sentence with a gap in its place.
pub(super) fn ask(room: &Room, on: Occasion<'_>, gapped: Option<String>, asked: &mut Asked) {
    let (Some(gapped), Some(number)) = (gapped, &asked.said) else {
        asked.sentences = vec![format!("{} {GAP}", on.source.text)];
        return;
    };
    let with = |amount: &str| gapped.replacen(GAP, amount, 1);
    asked.sentences = vec![with(&format!("{number} {GAP}")), gapped.clone()];
    let in_ml = say!(on.voice, "amount-ml", number = number).plain();
    let reading = on.read(room, &with(&in_ml));
    asked.choices = choices(room, on, &reading);
    if room.units == Units::Metric
        && number.parse().is_ok_and(|ml| is_a_plain_drain(&reading, Millilitres(ml)))
    {
        asked.yes = Some(with(&in_ml));
    }
}

/// The question about the unit of a bin's size.
pub(super) fn of_size(room: &Room, on: Occasion<'_>, asked: &Asked, number: &str) -> Asked {
    let mut next = Asked { said: Some(number.to_owned()), lacking: Lacking::Unit, ..asked.clone() };
    ask(room, on, asked.sentences.first().cloned(), &mut next);
    next
}

/// The sentences that such an answer completes: a unit goes behind the number, an amount in its place.
pub(super) fn sentences<'a>(room: &Room, on: Occasion<'_>, asked: &'a Asked, answer: &str) -> &'a [String] {
    match &asked.sentences[..] {
        [behind @ .., in_place] if !behind.is_empty() => {
            if question::is_an_amount(room, on, answer) {
                std::slice::from_ref(in_place)
            } else {
                behind
            }
        }
        only => only,
    }
}

/// The guess was wrong: the question again, without it.
pub(super) fn without_guess(asked: &Asked) -> Decision {
    question::asking(Asked { yes: None, ..asked.clone() })
}

/// Whether the answer settled this number, and another one of the message lacks its unit too.
pub(super) fn is_another(asked: &Asked, unclear: &Unclear) -> bool {
    asked.lacking == Lacking::Unit && unclear.about == UnclearAbout::Unit && unclear.said != asked.said
}

/// Whether so much is a drain, and more than anybody measures in cups.
fn is_a_plain_drain(reading: &Reading, ml: Millilitres) -> bool {
    let is_it = |fact: &Fact| fact.kind == FactKind::Drained && fact.slots.ml == Some(ml.get());
    ml >= LEAST_GUESSED && reading.facts.iter().any(is_it)
}

/// The units in which such a thing is told in this room.
fn choices(room: &Room, on: Occasion<'_>, reading: &Reading) -> Vec<String> {
    let kind = reading.facts.last().map(|fact| fact.kind);
    let system = Measures(room.units).system();
    let units = match kind {
        Some(FactKind::Drained) => say!(on.voice, "unit-choices-liquid", system = system),
        Some(FactKind::BinSet) => say!(on.voice, "unit-choices-size", system = system),
        Some(FactKind::Bran) => say!(on.voice, "unit-choices-bran", system = system),
        _ => say!(on.voice, "unit-choices", system = system),
    };
    units.plain().split(", ").map(str::to_owned).collect()
}
