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
    let before = at.wrapping_sub(1);
    let topic = before.wrapping_sub(usize::from(text.has_any(before, &[Mark::About, Mark::In])));
    text.has_any(topic, &[Mark::Status, Mark::How])
        && (ends || text.is_act(at + 1, Act::Finish) || text.has(at + 1, Mark::Status))
}

/// `the red bin`, `bin 7`, `to red`, where the room has no such bin.
fn unknown_bin(text: &Text<'_>, at: usize, clause: &Clause, message: &Message) -> Option<String> {
    let token = text.tokens.get(at)?;
    let singular = |at: usize| {
        text.is_matter(at, Matter::Bin)
            && text.is(at, Cue::OneBin)
            // `the fish tank`
            && (message.direct || !text.is(at, Cue::Vessel))
    };
    if singular(at) {
        let number = text.tokens.get(at + 1).map(|next| next.kind);
        let count =
            matches!(number, Some(Kind::Number(v)) if v.fract() == 0.0) && text.word(at + 1).len() <= 2;
        // `buried bin mbuni`
        let next = at + 1;
        let stranger = text
            .tokens
            .get(next)
            .is_some_and(|token| token.is_word() && token.senses.is_empty() && token.name.is_none());
        let done =
            clause.verb.is_some_and(|verb| verb.at + 1 == at && is_done_to_bins(verb.act, message.direct));
        if done
            && stranger
            && !crate::lexicon::english().is_ordinary(text.word(next))
            && !message.bins.is_empty()
        {
            return Some(text.words(at, at + 2));
        }
        // `blue bin 97`
        let called = text.name(at.wrapping_sub(1), NameKind::Bin).is_some();
        return (count
            && !called
            && text.time_unit(at + 2).is_none()
            // `fed the green bin 2 1/2 quarts`, `green bin 18C`
            && crate::number::read(text, at + 1).is_none_or(|number| {
                text.unit(number.next).is_none() && crate::amount::scale(text, number.next).is_none()
            })
            && !text.is_sign(at + 2, '%')
            && !message.bins.is_empty())
        .then(|| text.words(at, at + 2));
    }
    if !token.is_word()
        || token.senses.iter().any(|s| matches!(s, Sense::Mark(mark) if *mark != Mark::KitchenPlace))
    {
        return None;
    }
    let colour = token.senses.iter().any(|s| matches!(s, Sense::Colour(_)));
    let (english, word) = (crate::lexicon::english(), text.word(at));
    // `1 lb in doris`, and not `we live in Leeds`
    let filled = || english.is_proper(word) && (clause.from..at).any(|i| text.unit(i).is_some());
    let strange = token.senses.is_empty() && (!english.is_ordinary(word) || filled()) && word.len() > 2;
    // The yard is a place before it is a length.
    let place = text.has(at, Mark::KitchenPlace);
    let thing = token.senses.iter().any(|s| {
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
    });
    if !thing && singular(at + 1) && (at == clause.from || !text.is_stop(at - 1)) {
        return Some(text.words(at, at + 1));
    }
    // `drained the red one`
    let one =
        colour && message.direct && text.is(at + 1, Cue::One) && text.has(at.wrapping_sub(1), Mark::The);
    if one {
        return Some(text.words(at, at + 1));
    }
    // `C wing`, where the room has an A wing and a B wing
    let sibling = |name: &crate::message::BinName| {
        let name = crate::text::folded(&name.name);
        name.split_once(' ').is_some_and(|(_, kind)| kind == text.word(at + 1))
    };
    if text.word(at).len() <= 2 && message.bins.iter().filter(|bin| sibling(bin)).count() > 1 {
        return Some(text.words(at, at + 2));
    }
    // `unit 3`, where the room has a unit 1
    let numbered = |name: &crate::message::BinName| {
        let name = crate::text::folded(&name.name);
        name.split_once(' ')
            .is_some_and(|(noun, number)| noun == text.word(at) && number.parse::<u32>().is_ok())
    };
    let number = text.digits(at + 1).is_some_and(|number| number.fract() == 0.0);
    if number && text.unit(at + 2).is_none() && message.bins.iter().any(numbered) {
        return Some(text.words(at, at + 2));
    }
    let ends = at + 1 >= clause.to || text.time(at + 1).is_some() || text.is(at + 1, Cue::LeadsClock);
    // `off of purple`
    let off_of = text.has(at.wrapping_sub(1), Mark::Of) && text.has(at.wrapping_sub(2), Mark::From);
    let led = text.is(at.wrapping_sub(1), Cue::BinLed) || off_of;
    let after_verb = clause.verb.is_some_and(|v| v.at + 1 == at && is_done_to_bins(v.act, message.direct));
    // `buried red in the herb bed`, `sealed Kermit yesterday`
    let goes_on = after_verb
        && message.direct
        && (text.has_any(at + 1, &[Mark::In, Mark::From]) || text.time(at + 1).is_some());
    let told_of = colour && message.direct && !message.bins.is_empty() && is_told_of(text, at, clause);
    let colour_alone = colour
        && (led || after_verb)
        && (ends
            || goes_on
            || matches!(text.kind(at + 1), Some(Kind::Number(_) | Kind::Stop(_)))
            || text.has(at + 1, Mark::And));
    // `drained 500 ml from the keller`
    let prep = at.wrapping_sub(2);
    let from_the = text.has(at.wrapping_sub(1), Mark::The)
        && text.is(prep, Cue::FromOut)
        && clause.verb.is_some_and(|verb| verb.act == Act::Drain)
        && prep >= clause.from;
    // `void deck drained liao`: the bin stands before the verb.
    let told = (clause.from..at).any(|i| text.name(i, NameKind::Bin).is_some());
    // `drained 250 ml from Pluto`, `sealed Pluto yesterday`, `a litre of tea leaves into Doris`
    let out_of = text.is(at.wrapping_sub(1), Cue::FromOut)
        && clause.verb.is_some_and(|verb| verb.act == Act::Drain && verb.at < at);
    let into = text.is(at.wrapping_sub(1), Cue::IntoOrTo)
        && clause.verb.is_none_or(|verb| verb.act == Act::Add)
        && (clause.from..at).any(|i| text.unit(i).is_some());
    // `drained 1 litre from elephant`
    let bare = out_of && message.direct && (clause.from..at).any(|i| text.unit(i).is_some());
    let capital = token.capital && (out_of || into || after_verb && message.direct);
    let proper = token.senses.is_empty() && (bare || capital);
    let strange_alone = (strange || proper)
        && (led || after_verb && !told || from_the)
        && (ends || goes_on)
        && !message.bins.is_empty();
    // `to the yard` may tell where somebody stood; `to yard` names a bin.
    let pipes = token.senses.iter().any(|s| matches!(s, Sense::Use(_)));
    let place_alone = place
        && !pipes
        && ends
        && (from_the || text.is(at.wrapping_sub(1), Cue::IntoOrTo))
        && !message.bins.is_empty();
    let asked_after = colour && message.direct && !message.bins.is_empty() && is_asked_after(text, at, ends);
    (colour_alone || strange_alone || place_alone || told_of || asked_after).then(|| text.words(at, at + 1))
}
