//! What each word of such a list does in it.

use crate::amount::{self, Amount, AmountSize, Measured, Measures};
use crate::clause::PieceKind;
use crate::lexicon::{Act, Cue, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;
use crate::text::{Kind, Stop};

/// What a word or a measured thing does in the list.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Part {
    /// `we have`, `there's`, `set up`: it is told that there is something.
    Has,
    /// `holds`, `takes`, `is`
    Holds,
    Noun(Noun),
    Count(f64),
    /// Millilitres
    Size(f64),
    /// Square metres
    Area(f64),
    Tap(bool),
    Name(Name),
    /// `under the sink`: where it stands or lies.
    Place,
    /// A comma, an `and`.
    Break,
    Filler,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Noun {
    pub(super) kind: FactKind,
    pub(super) plural: bool,
    pub(super) at: usize,
}

#[derive(Debug, Clone, PartialEq)]
pub(super) struct Name {
    pub(super) words: String,
    /// Told with `called`, after a colon, in quotes.
    pub(super) given: bool,
}

/// The parts of a sentence, where every word has one.
pub(super) fn parts(scene: &Scene<'_>, from: usize, to: usize) -> Option<Vec<Part>> {
    let mut out = Vec::new();
    let mut at = from;
    while at < to {
        let (part, next) = part(scene, at, to, &out)?;
        out.push(part);
        at = next;
    }
    Some(out)
}

fn part(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> Option<(Part, usize)> {
    let text = &scene.text;
    if let Some(found) = tap(scene, at, to) {
        return Some(found);
    }
    if let Some(found) = called(scene, at, to) {
        return Some(found);
    }
    // In `new bin binas` nobody means `bins`.
    if text.tokens[at].corrected && stands_as_name(scene, at, to, before) {
        return Some((Part::Name(Name { words: text.words(at, at + 1), given: false }), at + 1));
    }
    if let Some(noun) = noun(scene, at) {
        return Some((Part::Noun(noun), at + 1));
    }
    if let Some(found) = several(scene, at) {
        return Some(found);
    }
    // `a third bin`: one more, no share of anything.
    if text.has(at, Mark::A) && text.has(at + 1, Mark::OrdinalBin) && noun(scene, at + 2).is_some() {
        return Some((Part::Has, at + 2));
    }
    let piece = scene.pieces.iter().find(|piece| piece.from == at)?;
    match piece.kind {
        PieceKind::Amount(amount) => match amount.size {
            AmountSize::Millilitres(ml) if !amount.vessel => return Some((Part::Size(ml), piece.to)),
            // `two buckets`
            AmountSize::Buckets(count) => {
                let noun = Noun { kind: FactKind::BinSet, plural: count > 1.0, at: piece.to - 1 };
                return Some((Part::Noun(noun), piece.to));
            }
            _ => return None,
        },
        PieceKind::Area(area) => return Some((Part::Area(area), piece.to)),
        // `red1` is one name.
        PieceKind::Count(count) if text.tokens[at].name.is_none() && !text.tokens[at].glued => {
            return Some((Part::Count(count), piece.to));
        }
        PieceKind::When(_) if text.is_time(at, TimeWord::Now) => return Some((Part::Filler, piece.to)),
        PieceKind::Word | PieceKind::Count(_) => {}
        _ => return None,
    }
    if let Some(end) = aside(scene, at, to) {
        return Some((Part::Break, end));
    }
    let ends = text.kind(at) == Some(Kind::Stop(Stop::Full)) && text.has(at + 1, Mark::It);
    if text.is_pause(at) || text.is_sign(at, '-') || ends {
        return Some((Part::Break, at + 1));
    }
    // `no tap on red`
    if text.has(at, Mark::In) && text.name(at + 1, NameKind::Bin).is_some() {
        return Some((Part::Filler, at + 1));
    }
    if let Some(next) = place(scene, at, to) {
        return Some((Part::Place, next));
    }
    if let Some(found) = listed(scene, at, to, before) {
        return Some(found);
    }
    word(scene, at).map(|part| (part, at + 1))
}

/// `(the children voted)`: nothing of the list in brackets; the token after them.
fn aside(scene: &Scene<'_>, at: usize, to: usize) -> Option<usize> {
    let text = &scene.text;
    let end = (at + 1..to).find(|i| text.is_word(*i, ")")).unwrap_or(to);
    let of_list = |i: usize| {
        noun(scene, i).is_some() || text.is_matter(i, Matter::Tap) || text.tokens[i].name.is_some()
    };
    let measured = scene
        .pieces
        .iter()
        .any(|piece| piece.from > at && piece.to <= end && !matches!(piece.kind, PieceKind::Word));
    (text.is_word(at, "(") && end > at + 2 && !measured && !(at + 1..end).any(of_list))
        .then_some((end + 1).min(to))
}

/// `two 15 l bins`: how many, and the size of each behind it.
fn several(scene: &Scene<'_>, at: usize) -> Option<(Part, usize)> {
    let text = &scene.text;
    let piece = scene.pieces.iter().find(|piece| piece.from < at + 2 && piece.to > at + 1)?;
    if !matches!(piece.kind, PieceKind::Amount(_)) {
        return None;
    }
    let number = |at: usize| text.digits(at).or_else(|| text.cardinal(at));
    let count = number(at).filter(|_| number(at + 1).is_some());
    if let Some(count) = count {
        return Some((Part::Count(count), at + 1));
    }
    // The size itself, whose piece begins with the count.
    if piece.from == at || number(at).is_none() {
        return None;
    }
    match amount::read(text, at, Measures::of(scene.message)) {
        Some((Measured::Amount(Amount { size: AmountSize::Millilitres(ml), vessel: false, .. }), next)) => {
            Some((Part::Size(ml), next))
        }
        _ => None,
    }
}

/// `bin`, `buckets`, `raised bed`; not where it is the room's own name for something.
fn noun(scene: &Scene<'_>, at: usize) -> Option<Noun> {
    let text = &scene.text;
    if text.tokens.get(at)?.name.is_some_and(|name| name.kind != NameKind::Measure) {
        return None;
    }
    let plural = text.word(at).ends_with('s');
    let kind = if text.is_matter(at, Matter::Bin) {
        FactKind::BinSet
    } else if text.is_matter(at, Matter::Plot) {
        FactKind::PlotSet
    } else {
        return None;
    };
    Some(Noun { kind, plural, at })
}

/// `with a tap`, `no tap`, `has a spigot`, `tapless`
fn tap(scene: &Scene<'_>, at: usize, to: usize) -> Option<(Part, usize)> {
    let text = &scene.text;
    let led = |at: usize| {
        text.has_any(
            at,
            &[
                Mark::With,
                Mark::Have,
                Mark::No,
                Mark::Not,
                Mark::OutOf,
                Mark::A,
                Mark::And,
                Mark::It,
                Mark::New,
            ],
        ) || text.is(at, Cue::AroundTap)
    };
    let tap = (at..to.min(at + 5)).find(|i| !led(*i)).filter(|i| text.is_matter(*i, Matter::Tap))?;
    let less = text.is(tap + 1, Cue::Less);
    let none = less
        || (at..tap)
            .any(|i| text.has_any(i, &[Mark::No, Mark::Not, Mark::OutOf]) || text.is(i, Cue::Without));
    Some((Part::Tap(!none), tap + 1 + usize::from(less)))
}

/// `called spot`, `name is spot`, `call it spot`, `call the bin fred`, `"the beast"`
fn called(scene: &Scene<'_>, at: usize, to: usize) -> Option<(Part, usize)> {
    let text = &scene.text;
    let quote = |at: usize| text.is_sign(at, '"') || text.is_sign(at, '\'') && !text.is(at, Cue::TailS);
    if quote(at) {
        let end = (at + 1..to).find(|i| quote(*i))?;
        let name = Name { words: text.words(at + 1, end), given: true };
        return (end > at + 1).then_some((Part::Name(name), end + 1));
    }
    // `my name is Ruth`
    let of_person = text.has(at.wrapping_sub(1), Mark::I) && text.is(at, Cue::NameWord);
    let names = !of_person && text.is_act(at, Act::Call) && !text.is(at, Cue::Renames)
        || !of_person && text.is(at, Cue::Named);
    if !names {
        return None;
    }
    let skipped = |at: usize| {
        text.has_any(at, &[Mark::It, Mark::Be, Mark::Of])
            || text.is_word(at, ":")
            || text.is(at, Cue::Is)
            || (text.has(at, Mark::The) || text.has(at, Mark::I)) && noun(scene, at + 1).is_some()
            || noun(scene, at).is_some() && text.has(at.wrapping_sub(1), Mark::The)
    };
    let start = (at + 1..to).find(|i| !skipped(*i))?;
    if quote(start) {
        return called(scene, start, to);
    }
    name_from(scene, start, to, true).map(|(words, end)| (Part::Name(Name { words, given: true }), end))
}

/// A name where the list has one: after a noun, a break or a size, or before a noun.
fn listed(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> Option<(Part, usize)> {
    let text = &scene.text;
    // In `new bin binac` the name is a new one, however like it is to `binab`.
    let is_new = text.tokens[at].corrected && before.contains(&Part::Has);
    if let Some(name) = text.tokens[at].name.filter(|_| !is_new) {
        let words = match name.kind {
            NameKind::Bin => scene.bin_name(name.index),
            NameKind::Plot => scene.message.plots.get(name.index)?.clone(),
            NameKind::Measure => return None,
        };
        return Some((Part::Name(Name { words, given: false }), at + 1));
    }
    // `bins A and B`
    let lone = text.tokens[at].capital
        && text.word(at).len() == 1
        && before.iter().any(|part| matches!(part, Part::Noun(noun) if noun.plural));
    if lone || stands_as_name(scene, at, to, before) {
        return Some((Part::Name(Name { words: text.words(at, at + 1), given: false }), at + 1));
    }
    let (words, end) = name_from(scene, at, to, false)?;
    let bed = noun(scene, end).filter(|noun| noun.kind == FactKind::PlotSet && end < to);
    // `veggie bed`: the noun is of the name.
    let words = if bed.is_some() { text.words(at, end + 1) } else { words };
    Some((Part::Name(Name { words, given: false }), end))
}

/// `new bin: right, 12 l`, `new bin little 5 l`: whatever the word means, here it is how the bin is called.
fn stands_as_name(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> bool {
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
            ],
        )
        || text.time(at).is_some()
        || text.is_act(at, Act::Hold)
        || text.is_act(at, Act::Call)
        || text.is(at, Cue::SetupFiller) && text.has(at + 1, Mark::With);
    let measured = |at: usize| {
        scene
            .pieces
            .iter()
            .any(|piece| piece.from == at && matches!(piece.kind, PieceKind::Amount(_) | PieceKind::Area(_)))
    };
    let ends = at + 1 >= to
        || text.is_stop(at + 1)
        || text.has(at + 1, Mark::And)
        || measured(at + 1)
        || tap(scene, at + 1, to).is_some();
    let meant = text.tokens[at].corrected || !own && noun(scene, at).is_none();
    awaited && ends && meant && text.tokens[at].is_word() && !measured(at)
}

/// The words of a name from `at` on, and the token after them.
fn name_from(scene: &Scene<'_>, at: usize, to: usize, given: bool) -> Option<(String, usize)> {
    let text = &scene.text;
    let ends = |i: usize| {
        text.is_stop(i)
            || text.has_any(i, &[Mark::And, Mark::With, Mark::No, Mark::Be, Mark::Have, Mark::But, Mark::It])
            || scene.pieces.iter().any(|piece| piece.from == i && !matches!(piece.kind, PieceKind::Word))
            || noun(scene, i).is_some_and(|noun| !(given && i > at && noun.kind == FactKind::PlotSet))
                && !(text.tokens[i].corrected && i == at)
            || text.is_act(i, Act::Hold)
            || text.has(i, Mark::In) && !given
            || text.is_matter(i, Matter::Tap)
            || text.is(i, Cue::EndsName)
    };
    let end = (at..to).find(|i| ends(*i)).unwrap_or(to);
    // `Brian's measuring`
    if text.is(end, Cue::TailS) {
        return None;
    }
    let fits = (at..end).all(|i| given && text.tokens[i].is_word() || is_free(scene, i));
    (end > at && end - at <= 3 && fits).then(|| (text.words(at, end), end))
}

/// A word that has no part of its own in a list, as names have.
fn is_free(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    text.tokens[at].is_word()
        && word(scene, at).is_none()
        && text.senses(at).iter().all(|sense| {
            matches!(sense, Sense::Colour(_) | Sense::Food(_) | Sense::Use(_))
                || matches!(sense, Sense::Mark(Mark::KitchenPlace | Mark::Left | Mark::OrdinalBin))
        })
}

/// `under the sink`, `in the cellar`, `by the fence`; the token after it.
fn place(scene: &Scene<'_>, at: usize, to: usize) -> Option<usize> {
    let text = &scene.text;
    if text.is(at, Cue::Whereabouts) {
        return Some(at + 1);
    }
    if text.has(at, Mark::KitchenPlace) && text.is(at, Cue::AtPlace) {
        return Some(at + 1);
    }
    if !text.has(at, Mark::In) || text.has(at, Mark::From) {
        return None;
    }
    let start = at + 1 + usize::from(text.has_any(at + 1, &[Mark::The, Mark::I, Mark::A]));
    let ends = |i: usize| {
        i >= to
            || text.is_stop(i)
            || text.has_any(i, &[Mark::And, Mark::With, Mark::Be, Mark::No])
            || scene.pieces.iter().any(|piece| piece.from == i && piece.kind != PieceKind::Word)
            || text.is_act(i, Act::Call)
    };
    let end = (start..=to).find(|i| ends(*i))?;
    let words =
        (start..end).all(|i| text.tokens[i].is_word() && text.tokens[i].name.is_none_or(|name| !name.whole));
    (end > start && end - start <= 2 && words).then_some(end)
}

fn word(scene: &Scene<'_>, at: usize) -> Option<Part> {
    let text = &scene.text;
    if text.has_any(at, &[Mark::Not, Mark::Will, Mark::Can, Mark::If, Mark::Do]) {
        return None;
    }
    if text.has_any(at, &[Mark::New]) || text.is(at, Cue::AnotherThere) {
        return Some(Part::Has);
    }
    if text.is_act(at, Act::Hold) || text.is(at, Cue::HoldsWord) {
        return Some(Part::Holds);
    }
    let has = text.has(at, Mark::Have)
        || [Act::Get, Act::Buy, Act::Set, Act::Use].iter().any(|act| text.is_act(at, *act))
        // `add a bin`; who feeds one has it.
        || text.is_act(at, Act::Add) && text.is(at, Cue::Adds)
        || text.is_act(at, Act::Start) && text.is(at, Cue::SetsUp)
        || text.is(at, Cue::Has);
    if has {
        return Some(Part::Has);
    }
    if text.has(at, Mark::And) {
        return Some(Part::Break);
    }
    let filler = text.has_any(
        at,
        &[
            Mark::I,
            Mark::It,
            Mark::A,
            Mark::The,
            Mark::Hello,
            Mark::Please,
            Mark::Yes,
            Mark::Bot,
            Mark::Each,
            Mark::Size,
            Mark::Of,
            Mark::OrdinalBin,
            Mark::Be,
            Mark::With,
            Mark::Then,
            Mark::About,
            Mark::Thanks,
            Mark::Which,
        ],
    ) || text.is_time(at, TimeWord::Now)
        || text.is(at, Cue::SetupFiller);
    filler.then_some(Part::Filler)
}
