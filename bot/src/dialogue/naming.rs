//! A bin told without its name: what it is called is asked once, and what was told of it is kept until then.

use std::borrow::Cow;

use branbell_language::{Fact, FactKind, Reading, Slots};
use branbell_scheduler::state::Room;

use super::fill::Missing;
use super::question::{Asked, Lacking, completed};
use super::{Decision, Occasion};
use crate::say;
use crate::voice::Voice;

/// The fact, with the bin's name where it sizes a bin that it does not name.
///
/// # Errors
/// That the name is missing, or which of several bins it is.
pub(super) fn named<'f>(room: &Room, on: Occasion<'_>, fact: &'f Fact) -> Result<Cow<'f, Fact>, Missing> {
    if fact.kind != FactKind::BinSet || fact.slots.bin.is_some() {
        return Ok(Cow::Borrowed(fact));
    }
    let bin = Some(unnamed(room, on, &fact.slots)?);
    Ok(Cow::Owned(Fact { kind: fact.kind, slots: Slots { bin, ..fact.slots.clone() } }))
}

/// The bin that a size or a tap without a name is told of: the only one, or the only one of which no size is known.
///
/// # Errors
/// That its name is missing, or which of several bins it is.
fn unnamed(room: &Room, on: Occasion<'_>, slots: &Slots) -> Result<String, Missing> {
    let bins: Vec<_> = room.bins_in_use().collect();
    let sizeless: Vec<_> = bins.iter().filter(|bin| bin.capacity.is_none()).collect();
    let words: Vec<String> = on.source.text.to_lowercase().split_whitespace().map(str::to_owned).collect();
    let is_new =
        on.voice.word("another-bin-words").split(", ").any(|new| words.iter().any(|word| word == new));
    match (&bins[..], &sizeless[..]) {
        _ if is_new => Err(without_name(slots)),
        ([], _) => Err(without_name(slots)),
        ([only], _) => Ok(only.name.clone()),
        (_, [only]) if slots.capacity_ml.is_some() => Ok(only.name.clone()),
        _ => Err(Missing::Bin(bins.iter().map(|bin| bin.name.clone()).collect())),
    }
}

fn without_name(slots: &Slots) -> Missing {
    Missing::Name { ml: slots.capacity_ml.map(|ml| ml.clamp(0.0, 1e9).round() as u32), tap: slots.tap }
}

/// The sentence that a name completes.
pub(super) fn sentence(voice: &Voice, gap: &str, ml: Option<u32>, tap: Option<bool>) -> String {
    let named = say!(voice, "sentence-new-bin", answer = gap).plain();
    with(voice, named, ml, tap)
}

/// The sentence of a bin, with its size and its tap as far as they were told.
pub(super) fn with(voice: &Voice, mut sentence: String, ml: Option<u32>, tap: Option<bool>) -> String {
    if let Some(ml) = ml {
        sentence = say!(voice, "sentence-with-size", text = sentence, ml = i64::from(ml)).plain();
    }
    match tap {
        Some(true) => say!(voice, "sentence-with-tap", text = sentence).plain(),
        Some(false) => say!(voice, "sentence-without-tap", text = sentence).plain(),
        None => sentence,
    }
}

/// What a message comes to as the answer to what the bin is called; none where it is something of its own.
pub(super) fn complete(room: &Room, on: Occasion<'_>, asked: &Asked, reading: &Reading) -> Option<Decision> {
    let [Fact { kind: FactKind::BinSet, slots }] = &reading.facts[..] else { return None };
    let told = asked.sentences.first()?;
    match (&slots.bin, slots.capacity_ml) {
        // `call it spot`
        (Some(name), None) => {
            let named = told.replacen(super::question::GAP, name, 1);
            completed(room, on, asked, &with(on.voice, named, None, slots.tap))
        }
        // `it has no tap`: more of the same bin
        (None, _) => {
            let Missing::Name { ml, tap } = without_name(slots) else { return None };
            let sentences = vec![with(on.voice, told.clone(), ml, tap)];
            let mut decision = Decision::default();
            decision.ask_back(Asked { lacking: Lacking::Name, sentences, ..asked.clone() });
            Some(decision)
        }
        _ => None,
    }
}
