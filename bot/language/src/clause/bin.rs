//! The bin that a word names, where the room has none of that name too: `drained the red one`, `sealed Kermit yesterday`.

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::message::Message;
use crate::name::NameKind;
use crate::text::{Kind, Text};

use super::{BinRef, Clause};

/// The bin that a token names: a known one, or one that the room does not have.
pub(crate) fn bin_at(
    text: &Text<'_>,
    at: usize,
    clause: &Clause,
    message: &Message,
) -> Option<(BinRef, usize)> {
    if let Some(name) = text.name(at, NameKind::Bin) {
        return Some((BinRef::Known(name.index), at + 1));
    }
    if text.tokens.get(at).is_some_and(|token| token.name.is_some()) {
        return None;
    }
    unknown_bin(text, at, clause, message).map(|name| (BinRef::Unknown(name), at + 1))
}

/// Verbs whose object is a bin, whatever it is called; among people only those that tell of nothing else.
fn is_done_to_bins(act: Act, direct: bool) -> bool {
    matches!(act, Act::Drain | Act::Seal | Act::Bury)
        || direct && matches!(act, Act::Clean | Act::Start | Act::Open | Act::Check)
}

/// `black is half full`, `brown smells sour`: a colour is told of as bins are.
fn is_told_of(text: &Text<'_>, at: usize, clause: &Clause) -> bool {
    let is = text.has(at + 1, Mark::Be) || text.is_act(at + 1, Act::Smell);
    let state = |at: usize| {
        text.senses(at)
            .iter()
            .any(|sense| matches!(sense, Sense::Level(_) | Sense::Share(_) | Sense::Smell(_)))
    };
    at == clause.from && is && (at + 2..clause.to).any(state)
}

/// `any update on black`
fn is_asked_after(text: &Text<'_>, at: usize, ends: bool) -> bool {
    // `how's black?`
    let before = at.wrapping_sub(1 + usize::from(text.is(at.wrapping_sub(1), Cue::TailS)));
    let topic = before.wrapping_sub(usize::from(text.has_any(before, &[Mark::About, Mark::In])));
    text.has_any(topic, &[Mark::Status, Mark::How])
        && (ends || text.is_act(at + 1, Act::Finish) || text.has(at + 1, Mark::Status))
}

/// `the red bin`, `bin 7`, `to red`, where the room has no such bin.
fn unknown_bin(text: &Text<'_>, at: usize, clause: &Clause, message: &Message) -> Option<String> {
    let token = text.tokens.get(at)?;
    if is_one_bin(text, at, message) {
        return behind_its_noun(text, at, clause, message);
    }
    if !token.is_word()
        || token.senses.iter().any(|s| matches!(s, Sense::Mark(mark) if *mark != Mark::KitchenPlace))
    {
        return None;
    }
    if !is_thing(text, at)
        && is_one_bin(text, at + 1, message)
        && (at == clause.from || !text.is_stop(at - 1))
    {
        return Some(text.words(at, at + 1));
    }
    // `drained the red one`
    let one = is_colour(text, at)
        && message.direct
        && text.is(at + 1, Cue::One)
        && text.has(at.wrapping_sub(1), Mark::The);
    if one {
        return Some(text.words(at, at + 1));
    }
    if is_of_a_series(text, at, message) {
        return Some(text.words(at, at + 2));
    }
    let named = !message.bins.is_empty() && stands_for_a_bin(text, at, clause, message);
    (named || colour_alone(text, at, clause, message)).then(|| text.words(at, at + 1))
}

/// The word for one bin, and for nothing else in a room of people: not `the fish tank`.
fn is_one_bin(text: &Text<'_>, at: usize, message: &Message) -> bool {
    text.is_matter(at, Matter::Bin)
        && text.is(at, Cue::OneBin)
        && (message.direct || !text.is(at, Cue::Vessel))
}

/// `bin 7`, `buried bin mbuni`: what stands behind the word at `at`, which means a bin.
fn behind_its_noun(text: &Text<'_>, at: usize, clause: &Clause, message: &Message) -> Option<String> {
    let next = at + 1;
    let stranger = text
        .tokens
        .get(next)
        .is_some_and(|token| token.is_word() && token.senses.is_empty() && token.name.is_none());
    let done = clause.verb.is_some_and(|verb| verb.at + 1 == at && is_done_to_bins(verb.act, message.direct));
    let called = done && stranger && !crate::lexicon::english().is_ordinary(text.word(next));
    let number = text.digits(next).is_some_and(|number| number.fract() == 0.0);
    // `fed the green bin 2 1/2 quarts`, `green bin 18C`
    let measures = crate::number::read(text, next).is_some_and(|number| {
        text.unit(number.next).is_some() || crate::amount::scale(text, number.next).is_some()
    });
    // `blue bin 97`
    let known = text.name(at.wrapping_sub(1), NameKind::Bin).is_some();
    let numbered = number
        && text.word(next).len() <= 2
        && !known
        && !measures
        && text.time_unit(at + 2).is_none()
        && !text.is_sign(at + 2, '%');
    ((called || numbered) && !message.bins.is_empty()).then(|| text.words(at, at + 2))
}

/// `C wing`, where the room has an A wing and a B wing; `unit 3`, where it has a unit 1.
fn is_of_a_series(text: &Text<'_>, at: usize, message: &Message) -> bool {
    let like = |alike: &dyn Fn(&str, &str) -> bool| {
        let names = message.bins.iter().map(|bin| crate::text::folded(&bin.name));
        names.filter(|name| name.split_once(' ').is_some_and(|(first, second)| alike(first, second))).count()
    };
    let lettered = text.word(at).len() <= 2 && like(&|_, noun| noun == text.word(at + 1)) > 1;
    let number = text.digits(at + 1).is_some_and(|number| number.fract() == 0.0);
    let digits = |word: &str| word.bytes().all(|b| b.is_ascii_digit());
    let numbered = number
        && text.unit(at + 2).is_none()
        && like(&|noun, number| noun == text.word(at) && digits(number)) > 0;
    lettered || numbered
}

fn is_colour(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|s| matches!(s, Sense::Colour(_)))
}

/// Whether a word means something that is told of bins. The yard is a place before it is a length.
fn is_thing(text: &Text<'_>, at: usize) -> bool {
    let place = text.has(at, Mark::KitchenPlace);
    text.senses(at).iter().any(|s| {
        !(place && matches!(s, Sense::Unit(_)))
            && matches!(
                s,
                Sense::Matter(_)
                    | Sense::Verb(..)
                    | Sense::Level(_)
                    | Sense::Kitchen(..)
                    | Sense::Unit(_)
                    | Sense::Vague
                    | Sense::Time(_)
            )
    })
}

/// Where a word stands in its clause.
#[expect(clippy::struct_excessive_bools, reason = "independent observations of the words around")]
struct Place {
    /// Nothing follows that belongs to it.
    ends: bool,
    /// `in`, `from`, `off of` before it.
    led: bool,
    /// A verb before it that is done to bins.
    after_verb: bool,
    /// `buried red in the herb bed`, `sealed Kermit yesterday`
    goes_on: bool,
    /// `drained 500 ml from the keller`
    from_the: bool,
    /// `drained 250 ml from Pluto`
    out_of: bool,
}

impl Place {
    fn of(text: &Text<'_>, at: usize, clause: &Clause, message: &Message) -> Self {
        let (before, prep) = (at.wrapping_sub(1), at.wrapping_sub(2));
        let after_verb =
            clause.verb.is_some_and(|v| v.at + 1 == at && is_done_to_bins(v.act, message.direct));
        let drained = clause.verb.filter(|verb| verb.act == Act::Drain);
        Self {
            ends: at + 1 >= clause.to || text.time(at + 1).is_some() || text.is(at + 1, Cue::LeadsClock),
            led: text.is(before, Cue::BinLed) || text.has(before, Mark::Of) && text.has(prep, Mark::From),
            after_verb,
            goes_on: after_verb
                && message.direct
                && (text.has_any(at + 1, &[Mark::In, Mark::From]) || text.time(at + 1).is_some()),
            from_the: text.has(before, Mark::The)
                && text.is(prep, Cue::FromOut)
                && drained.is_some()
                && prep >= clause.from,
            out_of: text.is(before, Cue::FromOut) && drained.is_some_and(|verb| verb.at < at),
        }
    }
}

/// `drained red`, `sealed black in the shed`
fn colour_alone(text: &Text<'_>, at: usize, clause: &Clause, message: &Message) -> bool {
    let place = Place::of(text, at, clause, message);
    is_colour(text, at)
        && (place.led || place.after_verb)
        && (place.ends
            || place.goes_on
            || matches!(text.kind(at + 1), Some(Kind::Number(_) | Kind::Stop(_)))
            || text.has(at + 1, Mark::And))
}

/// Whether a word stands where the room's bins are named: `drained 250 ml from Pluto`, `a litre of tea leaves into Doris`,
/// `any update on black`.
fn stands_for_a_bin(text: &Text<'_>, at: usize, clause: &Clause, message: &Message) -> bool {
    let place = Place::of(text, at, clause, message);
    let senseless = text.senses(at).is_empty();
    let (english, word) = (crate::lexicon::english(), text.word(at));
    let measured = (clause.from..at).any(|i| text.unit(i).is_some());
    // `1 lb in doris`, and not `we live in Leeds`
    let filled = english.is_proper(word) && measured && clause.verb.is_none_or(|verb| verb.act != Act::Buy);
    let strange = senseless && (!english.is_ordinary(word) || filled) && word.len() > 2;
    let into = text.is(at.wrapping_sub(1), Cue::IntoOrTo)
        && clause.verb.is_none_or(|verb| verb.act == Act::Add)
        && measured;
    // `drained 1 litre from elephant`
    let bare = place.out_of && message.direct && measured;
    let capital = text.tokens[at].capital && (place.out_of || into || place.after_verb && message.direct);
    let proper = senseless && (bare || capital);
    // `void deck drained liao`: the bin stands before the verb.
    let told = (clause.from..at).any(|i| text.name(i, NameKind::Bin).is_some());
    let strange_alone = (strange || proper)
        && (place.led || place.after_verb && !told || place.from_the)
        && (place.ends || place.goes_on);
    // `to the yard` may tell where somebody stood; `to yard` names a bin.
    let pipes = text.senses(at).iter().any(|s| matches!(s, Sense::Use(_)));
    let place_alone = text.has(at, Mark::KitchenPlace)
        && !pipes
        && place.ends
        && (place.from_the || text.is(at.wrapping_sub(1), Cue::IntoOrTo));
    let colour = is_colour(text, at) && message.direct;
    let asked_after = colour && is_asked_after(text, at, place.ends);
    strange_alone || place_alone || colour && is_told_of(text, at, clause) || asked_after
}
