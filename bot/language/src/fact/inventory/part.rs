//! What each word of such a list does in it.

use crate::amount::{self, Amount, AmountSize, Measured, Measures};
use crate::clause::{Clause, PieceKind};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;
use crate::text::{Kind, Stop};
use crate::time::{Bound, Date, Toward, When, Which};

use super::name::{called, headed, listed, numbered, stands_as_name};
use super::thing::{noun, tap};

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

impl Part {
    /// Whether it tells a name, a size, an area or a tap.
    pub(super) fn tells(&self) -> bool {
        matches!(self, Self::Name(_) | Self::Size(_) | Self::Area(_) | Self::Tap(_))
    }
}

/// The parts of a sentence, and the token up to which every word has one: its end, or that of one of its clauses. `before` are those of
/// the sentences before it.
pub(super) fn parts(
    scene: &Scene<'_>,
    from: usize,
    to: usize,
    before: &[Part],
) -> Option<(Vec<Part>, usize)> {
    let mut all = before.to_vec();
    let mut starts = Vec::new();
    let mut at = from;
    while at < to {
        if let Some((part, next)) = part(scene, at, to, &all) {
            all.push(part);
            starts.push(at);
            at = next;
            continue;
        }
        let clause = scene.clauses.iter().rfind(|clause| clause.from > from && clause.from <= at)?;
        starts.retain(|start| *start < clause.from);
        all.truncate(before.len() + starts.len());
        if !is_idle(scene, clause) {
            return Some((all.split_off(before.len()), clause.from));
        }
        at = clause.to.max(at + 1);
    }
    Some((all.split_off(before.len()), to))
}

/// `so no more tipping`, `the old one was tiny`: a clause that says nothing of what is kept.
fn is_idle(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let kept = |at: usize| {
        text.tokens[at].name.is_some()
            || text.matter(at).is_some()
            || text.is(at, Cue::Revert)
            || text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)))
    };
    let measured = scene.pieces.iter().any(|piece| {
        piece.from >= clause.from
            && piece.to <= clause.to
            && !matches!(piece.kind, PieceKind::Word | PieceKind::When(_))
    });
    let passes = [Act::Go, Act::Get, Act::Take, Act::Say, Act::Make, Act::Use];
    let acts = clause.verb.is_some_and(|verb| verb.forms.has(Forms::PAST) && !passes.contains(&verb.act));
    !clause.asks
        && !measured
        && !acts
        && !(clause.from..clause.to).any(kept)
        && super::super::symptoms(scene, clause).is_none()
}

fn part(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> Option<(Part, usize)> {
    let text = &scene.text;
    if let Some(found) = tap(scene, at, to).or_else(|| like_another(scene, at, to)) {
        return Some(found);
    }
    if let Some(found) = called(scene, at, to).or_else(|| headed(scene, at, to, before)) {
        return Some(found);
    }
    // In `new bin binas` nobody means `bins`.
    if text.tokens[at].corrected && stands_as_name(scene, at, to, before) {
        return Some((Part::Name(Name { words: text.words(at, at + 1), given: false }), at + 1));
    }
    // `new bin: bin 6, 40 litres`
    let awaited = matches!(before, [.., Part::Noun(_) | Part::Place, Part::Break])
        || matches!(before, [.., Part::Noun(_)]) && text.has(at, Mark::KitchenPlace);
    if let Some(end) = numbered(scene, at, to).filter(|_| awaited) {
        return Some((Part::Name(Name { words: text.words(at, end), given: true }), end));
    }
    if let Some(noun) = noun(scene, at) {
        return Some((Part::Noun(noun), at + 1));
    }
    if let Some(found) = several(scene, at) {
        return Some(found);
    }
    // `a third bin`: one more, no share of anything.
    let ordinal = at + usize::from(text.has(at, Mark::A));
    if text.has(ordinal, Mark::OrdinalBin) && noun(scene, ordinal + 1).is_some() {
        return Some((Part::Has, ordinal + 1));
    }
    // `the green one 20`
    if text.is(at, Cue::One) && matches!(before, [.., Part::Name(_)]) {
        return Some((Part::Filler, at + 1));
    }
    if let Some(next) = number(scene, at, to, before) {
        return Some((Part::Filler, next));
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
        // `blue is 16 litres, green 20`
        PieceKind::Count(count) if matches!(before.last(), Some(Part::Name(_))) => {
            return size_of_count(scene, at, count).map(|ml| (Part::Size(ml), piece.to));
        }
        PieceKind::Count(count) if text.tokens[at].name.is_none() && !text.tokens[at].glued => {
            return Some((Part::Count(count), piece.to));
        }
        // `arrived today`
        PieceKind::When(when) if is_past(&when) => {
            return Some((Part::Filler, piece.to));
        }
        PieceKind::Word | PieceKind::Count(_) => {}
        _ => return None,
    }
    if let Some(end) = aside(scene, at, to) {
        return Some((Part::Break, end));
    }
    let ends = text.kind(at) == Some(Kind::Stop(Stop::Full)) && text.has(at + 1, Mark::It);
    if text.is_sign(at, '@') && text.has(at + 1, Mark::Bot) {
        return Some((Part::Filler, at + 1));
    }
    if text.is_pause(at) || text.is_sign(at, '-') || text.is_sign(at, '=') || ends {
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

/// Whether a time told is none to come.
fn is_past(when: &When) -> bool {
    let ahead = match when.date {
        Some(Date::Days(days)) => days > 0,
        Some(Date::Weekday(_, which)) => which == Which::Next,
        Some(Date::NextWeek | Date::NextMonth) => true,
        _ => false,
    };
    (when.is_moment() || when.bound == Some(Bound::Since))
        && !ahead
        && !matches!(when.span, Some((_, Toward::Ahead)))
}

/// `bin number three arrived`: which it is by number, where the name is told elsewhere; the token after it.
fn number(scene: &Scene<'_>, at: usize, to: usize, before: &[Part]) -> Option<usize> {
    let text = &scene.text;
    let told = text.is(at, Cue::NumberSign)
        && matches!(before.last(), Some(Part::Noun(_)))
        && (text.digits(at + 1).is_some() || text.cardinal(at + 1).is_some());
    (told && at + 2 < to && text.tokens[at + 2].is_word()).then_some(at + 2)
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

/// `same size as green`, `as big as green`: as much as that bin holds.
fn like_another(scene: &Scene<'_>, at: usize, to: usize) -> Option<(Part, usize)> {
    let text = &scene.text;
    let same = at + usize::from(text.has(at, Mark::The));
    let size = text.is(same, Cue::Same) && (text.is(same + 1, Cue::Sized) || text.is(same + 1, Cue::Volume));
    let joint = if size { same + 2 } else { at + 2 };
    let compares = size || text.is(at, Cue::As) && text.has(at + 1, Mark::Size);
    let bin = (joint + 1..to.min(joint + 3)).find(|at| text.name(*at, NameKind::Bin).is_some())?;
    let plain = (joint + 1..bin).all(|at| text.has(at, Mark::The));
    let capacity = scene.message.bins.get(text.name(bin, NameKind::Bin)?.index)?.capacity_ml?;
    (compares && text.is(joint, Cue::As) && plain).then_some((Part::Size(capacity), bin + 1))
}

/// A number in the unit of the size told before it, millilitres.
fn size_of_count(scene: &Scene<'_>, at: usize, count: f64) -> Option<f64> {
    let mut before = scene.pieces.iter().rev().filter(|piece| piece.from < at);
    let amount = before
        .find_map(|piece| if let PieceKind::Amount(amount) = piece.kind { Some(amount) } else { None })?;
    let AmountSize::Millilitres(ml) = amount.of_count(count).size else { return None };
    Some(ml)
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

/// `under the sink`, `in the cellar`, `by the fence`; the token after it.
fn place(scene: &Scene<'_>, at: usize, to: usize) -> Option<usize> {
    let text = &scene.text;
    if text.is(at, Cue::Whereabouts) {
        return Some(at + 1);
    }
    if text.has(at, Mark::KitchenPlace) && text.is(at, Cue::AtPlace) {
        return Some(at + 1);
    }
    // `out the front`, `down the back`
    let outside =
        (text.has_any(at, &[Mark::Down, Mark::Up]) || text.is(at, Cue::Out)) && text.has(at + 1, Mark::The);
    if !(text.has_any(at, &[Mark::In, Mark::From]) || outside) {
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
    // `new bin in: deck`
    let alone = text.is(at, Cue::In) && end == at + 1 && text.is_stop(end);
    (alone || end > start && end - start <= 2 && words).then_some(end)
}

/// `started a new bed`, `started using a new bin called Rex`: what is new is the thing, no batch in it.
fn begins_with_new(scene: &Scene<'_>, at: usize) -> bool {
    let new = at + 1 + usize::from(scene.text.is_act(at + 1, Act::Use));
    scene.text.has(new, Mark::New)
        && noun(scene, new + 1)
            .is_some_and(|noun| noun.kind == FactKind::PlotSet || scene.text.is_act(noun.at + 1, Act::Call))
}

pub(super) fn word(scene: &Scene<'_>, at: usize) -> Option<Part> {
    let text = &scene.text;
    // `let's call it Pearl`
    if text.has(at, Mark::Will) && (at + 1..at + 3).any(|i| text.is_act(i, Act::Call)) {
        return Some(Part::Filler);
    }
    if text.has_any(at, &[Mark::Not, Mark::Will, Mark::Can, Mark::If, Mark::Do]) {
        return None;
    }
    if text.has_any(at, &[Mark::New]) || text.is(at, Cue::AnotherThere) {
        return Some(Part::Has);
    }
    if text.is_act(at, Act::Hold) || text.is(at, Cue::HoldsWord) {
        return Some(Part::Holds);
    }
    let acquires = [Act::Get, Act::Buy, Act::Set, Act::Use];
    // `new bin Pearl, added 3 litres`: into it
    let measured = scene.pieces.iter().any(|piece| {
        piece.from == at + 1 && matches!(piece.kind, PieceKind::Amount(_)) && noun(scene, piece.to).is_none()
    });
    let has = text.has(at, Mark::Have)
        || acquires.iter().any(|act| text.is_act(at, *act)) && !measured
        // `add a bin`; who feeds one has it.
        || text.is_act(at, Act::Add) && text.is(at, Cue::Adds) && !measured
        || text.is_act(at, Act::Give) && text.is(at + 1, Cue::MineOrUs)
        || text.is_act(at, Act::Start) && (text.is(at, Cue::SetsUp) || begins_with_new(scene, at))
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
            Mark::Old,
            Mark::Of,
            Mark::OrdinalBin,
            Mark::Be,
            Mark::With,
            Mark::Then,
            Mark::About,
            Mark::Thanks,
            Mark::Which,
            Mark::Down,
        ],
    ) || text.is_time(at, TimeWord::Now)
        || text.is(at, Cue::SetupFiller);
    filler.then_some(Part::Filler)
}
