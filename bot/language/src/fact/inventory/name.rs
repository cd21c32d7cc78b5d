//! How a bin or plot of such a list is called.

use crate::clause::PieceKind;
use crate::lexicon::{Act, Cue, Forms, Mark, Sense};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;

use super::part::{Name, Part, word};
use super::thing::{noun, tap};
use crate::lexicon::Matter;

/// `called spot`, `name is spot`, `call it spot`, `call the bin fred`, `"the beast"`
pub(super) fn called(scene: &Scene<'_>, at: usize, to: usize) -> Option<(Part, usize)> {
    let text = &scene.text;
    let quote = |at: usize| text.is_sign(at, '"') || text.is_sign(at, '\'') && !text.is(at, Cue::TailS);
    if quote(at) {
        let end = (at + 1..to).find(|i| quote(*i))?;
        let name = Name { words: text.words(at + 1, end), given: true };
        return (end > at + 1).then_some((Part::Name(name), end + 1));
    }
    // `my name is Ruth`
    let of_person =
        text.has(at.wrapping_sub(1), Mark::I) && text.is(at, Cue::NameWord) && text.has(at + 1, Mark::Be);
    let names = !of_person && text.is_act(at, Act::Call) && !text.is(at, Cue::Renames)
        || !of_person && text.is(at, Cue::Named);
    if !names {
        return None;
    }
    let led = |at: usize| text.has_any(at, &[Mark::The, Mark::I, Mark::A, Mark::New, Mark::Old]);
    // `call the new bin Basil`, `the name of our bin is Basil`
    let thing = |at: usize| {
        let noun = (at..to).find(|i| !led(*i)).and_then(|i| noun(scene, i));
        noun.is_some_and(|noun| noun.at > at || led(at.wrapping_sub(1)))
    };
    let skipped = |at: usize| {
        text.has_any(at, &[Mark::It, Mark::Be, Mark::Of])
            || text.is_word(at, ":")
            || text.is(at, Cue::Is)
            || thing(at)
    };
    // `call my sister`
    if text.has(at + 1, Mark::I)
        && noun(scene, at + 2).is_none()
        && text.verb(at).is_some_and(|(_, forms)| forms.has(Forms::BASE))
    {
        return None;
    }
    let Some(start) = (at + 1..to).find(|i| !skipped(*i)).filter(|start| !text.is_stop(*start)) else {
        // `Basil is the name of the new bin`
        return text.is(at, Cue::NameWord).then_some((Part::Filler, at + 1));
    };
    if quote(start) {
        return called(scene, start, to);
    }
    name_from(scene, start, to, true).map(|(words, end)| (Part::Name(Name { words, given: true }), end))
}

/// A name where the list has one: after a noun, a break or a size, or before a noun.
pub(super) fn listed(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> Option<(Part, usize)> {
    let text = &scene.text;
    // `new bin green2`
    let glued = text.digits(at + 1).is_some() && text.tokens[at + 1].glued && text.tokens[at].is_word();
    if glued && at + 1 < to {
        return Some((Part::Name(Name { words: text.words(at, at + 2), given: false }), at + 2));
    }
    // In `new bin binac` the name is a new one, however like it is to `binab`, and `bay 4` is another one than `bay 3`.
    let is_new = text.tokens[at].corrected && before.contains(&Part::Has);
    if let Some(name) = text.tokens[at]
        .name
        .filter(|name| !is_new && (name.whole || !goes_on_anew(scene, at, to, before)))
        .filter(|name| name.whole || past_number(scene, at + 1, to).is_none())
    {
        let words = match name.kind {
            NameKind::Bin => scene.bin_name(name.index),
            NameKind::Plot => scene.message.plots.get(name.index)?.clone(),
            NameKind::Measure => return None,
        };
        return Some((Part::Name(Name { words, given: false }), at + 1));
    }
    // `bins A and B`
    if let Some(end) = titled(scene, at, to, before) {
        return Some((Part::Name(Name { words: text.words(at, end), given: true }), end));
    }
    let lone = text.tokens[at].capital
        && text.word(at).len() == 1
        && before.iter().any(|part| matches!(part, Part::Noun(noun) if noun.plural));
    if lone || stands_as_name(scene, at, to, before) {
        return Some((Part::Name(Name { words: text.words(at, at + 1), given: false }), at + 1));
    }
    let (words, end) = name_from(scene, at, to, false)?;
    // `happy about it`
    let goes_on = matches!(word(scene, end), Some(Part::Filler)) && end < to && text.tokens[end].is_word();
    if goes_on && before.iter().any(|part| matches!(part, Part::Name(_))) {
        return None;
    }
    // `a colleague donated a bin`
    if text.has(at.wrapping_sub(1), Mark::A) && noun(scene, end).is_none() {
        return None;
    }
    let bed = noun(scene, end).filter(|noun| noun.kind == FactKind::PlotSet && end < to);
    // `veggie bed`: the noun is of the name.
    let words = if bed.is_some() { text.words(at, end + 1) } else { words };
    Some((Part::Name(Name { words, given: false }), end))
}

/// `new plot: okra square`, where the room has an `okra row`: another name that begins alike.
fn goes_on_anew(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> bool {
    let text = &scene.text;
    let next = at + 1;
    before.contains(&Part::Has)
        && next < to
        && text.tokens[next].is_word()
        && word(scene, next).is_none()
        && noun(scene, next).is_none()
}

/// `new bin: wash house, 28 litres`: two or three plain words between the colon and a stop, whatever they mean.
pub(super) fn headed(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> Option<(Part, usize)> {
    let text = &scene.text;
    let function = [
        Mark::I,
        Mark::It,
        Mark::A,
        Mark::The,
        Mark::Be,
        Mark::Have,
        Mark::With,
        Mark::Each,
        Mark::And,
        Mark::No,
        Mark::Not,
        Mark::In,
        Mark::From,
        Mark::Of,
        Mark::Please,
        Mark::Thanks,
        Mark::About,
    ];
    let plain = |i: usize| {
        let token = &text.tokens[i];
        token.is_word()
            && token.name.is_none()
            && !text.has_any(i, &function)
            && text.time(i).is_none()
            && text.unit(i).is_none()
            && text.cardinal(i).is_none()
            && noun(scene, i).is_none()
            && tap(scene, i, to).is_none()
            && ![Act::Call, Act::Hold, Act::Get, Act::Set].iter().any(|act| text.is_act(i, *act))
    };
    let end = (at..to).find(|i| !plain(*i)).unwrap_or(to);
    let awaited = matches!(before, [.., Part::Noun(_), Part::Break]) && text.is_word(at.wrapping_sub(1), ":");
    let awaited = awaited && before.contains(&Part::Has);
    let several = (2..=3).contains(&(end - at)) || end == at + 1 && text.word(at).contains(' ');
    let named = awaited && several && (end >= to || text.is_stop(end));
    named.then(|| (Part::Name(Name { words: text.words(at, end), given: true }), end))
}

/// `new bin: Big Blue`: words with capitals, whatever they mean; the token after them.
fn titled(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> Option<usize> {
    let text = &scene.text;
    let function =
        [Mark::Be, Mark::Have, Mark::With, Mark::No, Mark::Not, Mark::I, Mark::It, Mark::And, Mark::About];
    let capital = |at: usize| {
        text.tokens[at].capital
            && text.tokens[at].is_word()
            && !text.has_any(at, &function)
            && !text.is_act(at, Act::Hold)
    };
    let end = (at..to).find(|i| !capital(*i)).unwrap_or(to);
    let awaited = matches!(before, [.., Part::Noun(_)] | [.., Part::Noun(_), Part::Break]);
    (awaited && (2..=3).contains(&(end - at)) && (end >= to || text.is_stop(end))).then_some(end)
}

/// `new bin: right, 12 l`, `new bin little 5 l`: whatever the word means, here it is how the bin is called.
pub(super) fn stands_as_name(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> bool {
    let text = &scene.text;
    let awaited = matches!(before.last(), Some(Part::Noun(_)))
        || matches!(before.last(), Some(Part::Break))
            && before.iter().any(|part| matches!(part, Part::Noun(_)));
    let polite = text.has_any(at, &[Mark::Hello, Mark::Laugh, Mark::Yes]) && !text.is(at, Cue::Right);
    let own = polite
        || text.has_any(
            at,
            &[
                Mark::I,
                Mark::It,
                Mark::A,
                Mark::The,
                Mark::Be,
                Mark::Have,
                Mark::With,
                Mark::Each,
                Mark::And,
                Mark::No,
                Mark::Not,
                Mark::In,
                Mark::Please,
                Mark::Thanks,
                Mark::About,
                Mark::Ready,
            ],
        )
        || text.time(at).is_some()
        || text.is_act(at, Act::Hold)
        || text.is_act(at, Act::Call)
        || text.is_act(at, Act::Go)
        || text.is(at, Cue::HoldsWord)
        // `the new bin arrived`
        || text.is(at, Cue::Arrives) && matches!(before.last(), Some(Part::Noun(_)))
        || text.is(at, Cue::SetupFiller) && text.has(at + 1, Mark::With);
    let measured = |at: usize| {
        scene
            .pieces
            .iter()
            .any(|piece| piece.from == at && matches!(piece.kind, PieceKind::Amount(_) | PieceKind::Area(_)))
    };
    let ends = at + 1 >= to
        || text.is_stop(at + 1)
        || text.is_sign(at + 1, '-') && !text.tokens[at + 1].glued
        || text.has(at + 1, Mark::And)
        || measured(at + 1)
        || tap(scene, at + 1, to).is_some();
    // `new bin set up: Nori`
    let heads = text.is_word(at + 1, ":") && text.verb(at).is_some();
    let meant = !heads && text.tokens[at].corrected || !heads && !own && noun(scene, at).is_none();
    awaited && ends && meant && text.tokens[at].is_word() && !measured(at)
}

/// The words of a name from `at` on, and the token after them.
fn name_from(scene: &Scene<'_>, at: usize, to: usize, given: bool) -> Option<(String, usize)> {
    let text = &scene.text;
    if let Some(end) = numbered(scene, at, to) {
        return Some((text.words(at, end), end));
    }
    // `lean-to`
    let glued = |i: usize| i < to && text.tokens[i].glued;
    if text.is_sign(at + 1, '-') && glued(at + 1) && glued(at + 2) && text.tokens[at + 2].is_word() {
        return Some((text.words(at, at + 3), at + 3));
    }
    let ends = |i: usize| {
        text.is_stop(i)
            || text.is_sign(i, '-') && !text.tokens[i].glued
            || text.has_any(i, &[Mark::And, Mark::With, Mark::No, Mark::Be, Mark::Have, Mark::But, Mark::It])
            || scene.pieces.iter().any(|piece| piece.from == i && !matches!(piece.kind, PieceKind::Word))
            || noun(scene, i).is_some_and(|noun| !(given && i > at && noun.kind == FactKind::PlotSet))
                && !(text.tokens[i].corrected && i == at)
            || text.is_act(i, Act::Hold)
            || text.has(i, Mark::In) && !given
            || i > at && !given && word(scene, i).is_some()
            || text.is_matter(i, Matter::Tap)
            || text.is(i, Cue::EndsName)
    };
    let end = (at..to).find(|i| ends(*i)).unwrap_or(to);
    // `bay 4`: the number is of the name.
    let (words, end) = (end, if end > at { past_number(scene, end, to).unwrap_or(end) } else { end });
    // `Brian's measuring`
    if text.is(end, Cue::TailS) {
        return None;
    }
    let fits = (at..words).all(|i| given && text.tokens[i].is_word() || is_free(scene, i));
    (end > at && end - at <= 3 && fits).then(|| (text.words(at, end), end))
}

/// `bed 12`, `no 4`: a name that is a number with its noun; the token after it.
pub(super) fn numbered(scene: &Scene<'_>, at: usize, to: usize) -> Option<usize> {
    let plot = |at: usize| noun(scene, at).is_some_and(|noun| noun.kind == FactKind::PlotSet && !noun.plural);
    // `corner bed`
    if plot(at) && plot(at + 1) && at + 1 < to {
        return Some(at + 2);
    }
    let led = noun(scene, at).is_some_and(|noun| !noun.plural)
        || scene.text.is(at, Cue::NumberSign)
        || scene.text.has(at, Mark::KitchenPlace);
    past_number(scene, at + 1, to).filter(|_| led)
}

/// The token after a number that stands alone.
fn past_number(scene: &Scene<'_>, at: usize, to: usize) -> Option<usize> {
    let text = &scene.text;
    let piece = |at: usize| scene.pieces.iter().find(|piece| piece.from == at).map(|piece| piece.kind);
    let whole = matches!(piece(at), Some(PieceKind::Count(count)) if count.fract() == 0.0)
        && (text.digits(at).is_some() || text.cardinal(at).is_some());
    let next = piece(at + 1);
    let ends = at + 1 >= to
        || text.is_stop(at + 1)
        || text.has(at + 1, Mark::And)
        || next.is_some_and(|kind| kind != PieceKind::Word);
    (at < to && whole && ends).then_some(at + 1)
}

/// A word that has no part of its own in a list, as names have.
fn is_free(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    text.tokens[at].is_word()
        && word(scene, at).is_none()
        && !text.is(at, Cue::Replaced)
        && text.senses(at).iter().all(|sense| {
            matches!(sense, Sense::Colour(_) | Sense::Food(_) | Sense::Use(_))
                || matches!(sense, Sense::Mark(Mark::KitchenPlace | Mark::Left | Mark::OrdinalBin))
        })
}
