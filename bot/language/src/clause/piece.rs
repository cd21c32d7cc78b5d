//! Pieces: measured things, times and levels as units, all else word by word.

use crate::amount::{self, Amount, Measured, Measures};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::number;
use crate::text::{Kind, Text};
use crate::time::{self, When};

/// A piece of a message.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Piece {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) kind: PieceKind,
}

/// What a piece is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum PieceKind {
    Amount(Amount),
    /// cm
    Length(f64),
    /// Square metres
    Area(f64),
    /// Celsius
    Temperature(f64),
    /// How full, 0 to 1
    Level(f64),
    /// A number without unit
    Count(f64),
    When(When),
    Word,
}

/// Cuts a text into pieces.
pub(crate) fn pieces(text: &Text<'_>, measures: Measures<'_>) -> Vec<Piece> {
    let mut out = Vec::with_capacity(text.tokens.len());
    let mut at = 0;
    while at < text.tokens.len() {
        let (kind, to) = piece(text, at, measures).unwrap_or((PieceKind::Word, at + 1));
        out.push(Piece { from: at, to: to.max(at + 1), kind });
        at = to.max(at + 1);
    }
    out
}

fn piece(text: &Text<'_>, at: usize, measures: Measures<'_>) -> Option<(PieceKind, usize)> {
    // `the blue one`
    let pronoun = text.is(at, Cue::One)
        && (text.tokens.get(at.wrapping_sub(1)).is_some_and(|token| token.name.is_some())
            || text.has_any(at.wrapping_sub(1), &[Mark::The, Mark::Generic]))
        // `from green one hour ago`
        && text.time_unit(at + 1).is_none();
    if text.is_stop(at) {
        return None;
    }
    let read = amount::read(text, at, measures);
    // `about 10 by 4 feet` is no time.
    let sides = || matches!(amount::read(text, at + 1, measures), Some((Measured::Area(_), _)));
    if text.is(at, Cue::About) && sides() {
        return None;
    }
    if pronoun && !matches!(read, Some((Measured::Amount(_) | Measured::Length(_), _))) {
        return None;
    }
    if let Some((level, to)) = level(text, at, read) {
        return Some((PieceKind::Level(level), to));
    }
    if let Some(to) = ratio(text, at) {
        return Some((PieceKind::Word, to));
    }
    // `sorry to everyone who wanted lunch`
    let eaten = text.is(at, Cue::Meal) && text.is(at.wrapping_sub(1), Cue::BeforeMeal);
    if reads_degrees(text, at) || eaten {
        return None;
    }
    // A bin called `sunset`
    if text.name(at, NameKind::Bin).is_some() && text.digits(at).is_none() {
        return None;
    }
    let kind = |thing| match thing {
        Measured::Amount(amount) => PieceKind::Amount(amount),
        Measured::Length(cm) => PieceKind::Length(cm),
        Measured::Area(area) => PieceKind::Area(area),
        Measured::Temperature(c) => PieceKind::Temperature(c),
        Measured::Share(share) => PieceKind::Level(share),
        Measured::Count(count) => PieceKind::Count(count),
    };
    // `last night's leftovers` were put in later.
    let owner = |to: usize| {
        // `today's entries:` is of today.
        let heading = (to + 1..to + 4).any(|at| text.is_word(at, ":") || text.is_word(at, "\n"));
        // `Tuesday's scraps were 5 cups`
        let told = text.is_matter(to + 1, Matter::Scraps) && text.has(to + 2, Mark::Be);
        // `Saturday's 3 quarts`
        let counted = text.digits(to + 1).is_some() || text.cardinal(to + 1).is_some();
        text.is(to, Cue::TailS) && !heading && !told && !counted
            || text.word(to.wrapping_sub(1)).ends_with("ys") && names_food(text, to)
    };
    let time =
        || time::read(text, at).filter(|(_, to)| !owner(*to)).map(|(when, to)| (PieceKind::When(when), to));
    match read {
        Some((Measured::Count(count), to)) => {
            time().filter(|_| !is_how_warm(text, at)).or(Some((PieceKind::Count(count), to)))
        }
        // `20 m ago`, `in 20 m`
        Some((Measured::Length(_), _)) => time().or_else(|| read.map(|(m, to)| (kind(m), to))),
        Some((thing, to)) => Some((kind(thing), to)),
        None => time(),
    }
}

fn names_food(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|s| matches!(s, Sense::Food(_) | Sense::Matter(Matter::Scraps)))
}

/// `1:100`, `1 to 100`, `1 part in 50`: how something is diluted, no amount; the token after it.
fn ratio(text: &Text<'_>, at: usize) -> Option<usize> {
    let one = text.digits(at)?;
    let part = at + 1 + usize::from(text.is(at + 1, Cue::Part));
    let joined = text.is_word(part, ":") && text.tokens[part].glued || text.is(part, Cue::PartJoint);
    let other = text.digits(part + 1).filter(|_| joined)?;
    let ends = text.unit(part + 2).is_none() && text.time(part + 2).is_none();
    (one.min(other) <= 1.0 && one.max(other) >= 10.0 && ends).then_some(part + 2)
}

/// `the kitchen's at 19`: what a place is at is no time of the clock.
fn reads_degrees(text: &Text<'_>, at: usize) -> bool {
    if !text.is(at, Cue::At) {
        return false;
    }
    let subject = |at: usize| {
        text.has_any(at, &[Mark::KitchenPlace, Mark::Temperature])
            || text.is_matter(at, Matter::Soil)
            || text.tokens.get(at).is_some_and(|token| token.name.is_some())
                && !text.has_any(at.wrapping_sub(1), &[Mark::From, Mark::In])
    };
    let place =
        subject(at.wrapping_sub(1)) || text.has(at.wrapping_sub(1), Mark::Be) && subject(at.wrapping_sub(2));
    // `shed's at 9, soil in the long bed is at 12`
    let from = (0..at).rev().find(|before| text.is_stop(*before) && !text.is_pause(*before)).unwrap_or(0);
    let soil = (from..text.tokens.len())
        .take_while(|i| *i < at || !text.is_stop(*i) || text.is_pause(*i))
        .any(|i| text.is_matter(i, Matter::Soil));
    let number = matches!(text.kind(at + 1), Some(Kind::Number(value)) if value.fract() != 0.0 || value >= 13.0 || soil)
        || text.is(at + 1, Cue::About);
    // `drained green at 7.15`
    let done = (0..at).rev().take_while(|before| !text.is_stop(*before)).any(|before| {
        text.verb(before).is_some_and(|(act, forms)| act != Act::Read && forms.has(Forms::PAST))
    });
    place
        && !done
        && number
        && (at + 2 >= text.tokens.len()
            || text.is_stop(at + 2)
            || soil && text.has(at + 2, Mark::In)
            || text.has_any(at + 2, &[Mark::Yet, Mark::And, Mark::But]))
}

/// `the garage was -4 this morning`: degrees, and no clock.
fn is_how_warm(text: &Text<'_>, at: usize) -> bool {
    let (_, number) = amount::sign(text, at.wrapping_sub(1));
    let be = if number == at { at.wrapping_sub(2) } else { at.wrapping_sub(1) };
    let place = |at: usize| text.has_any(at, &[Mark::KitchenPlace, Mark::Temperature]);
    // `quince tree soil 16.5, top bed 18 this morning`
    let soil = (0..be.min(at)).any(|i| text.is_matter(i, Matter::Soil));
    let bed = number != at && soil && text.name(be, NameKind::Plot).is_some();
    text.digits(at).is_some() && (bed || text.has(be, Mark::Be) && place(be.wrapping_sub(1)))
}

/// `half full`, `3/4 full`, `75 %`, `two thirds of the way up`, `nearly full`, `full`
///
/// `read` is what is measured there.
fn level(text: &Text<'_>, at: usize, read: Option<(Measured, usize)>) -> Option<(f64, usize)> {
    let of = |at: usize| text.sense(at, |s| if let Sense::Level(level) = s { Some(level) } else { None });
    if text.tokens[at].name.is_some() {
        return None;
    }
    if let Some(level) = of(at) {
        let amount = text.has(at, Mark::Size) && matches!(read, Some((Measured::Amount(_), _)));
        // `full of bees`
        let of = text.has(at + 1, Mark::Of) && level >= 0.9;
        return (!amount && !of).then_some((level, at + 1));
    }
    let number = number::read(text, at).filter(|number| number.value <= 1.0);
    let percent = || match read {
        Some((Measured::Share(share), to)) if share <= 1.0 => Some((share, to)),
        _ => None,
    };
    let (value, next) =
        number.filter(|n| n.share || n.value < 1.0).map(|n| (n.value, n.next)).or_else(percent)?;
    let value = (value * 100.0).round() / 100.0;
    if text.is(next, Cue::ShareFull) {
        return Some((value, next + 1));
    }
    if text.is(next, Cue::Empty) {
        return Some((1.0 - value, next + 1));
    }
    let after = |to: usize| Some((value, to + usize::from(text.is(to, Cue::FullUp))));
    if text.is(next, Cue::Of) && text.is(next + 1, Cue::Capacity) {
        return after(next + 2);
    }
    if text.is(next, Cue::Of) && text.is(next + 1, Cue::OfCapacity) && text.is(next + 2, Cue::WayFull) {
        return after(next + 3);
    }
    if text.is(next, Cue::The) && text.is(next + 1, Cue::Way) {
        return after(next + 2);
    }
    if stands_at(text, at, next) { Some((value, next)) } else { percent() }
}

/// `blue at two thirds`, `green is about half`: nothing follows that could be counted.
fn stands_at(text: &Text<'_>, at: usize, next: usize) -> bool {
    let before = at.wrapping_sub(1);
    let before = if text.has(before, Mark::About) { before.wrapping_sub(1) } else { before };
    let subject = before.wrapping_sub(1);
    // `green has reached two thirds`, `blue remains at a quarter`
    let reached = text.is(before, Cue::Reaches)
        && (0..before).rev().take(3).any(|at| text.name(at, NameKind::Bin).is_some());
    let remains = text.is(before, Cue::At)
        && text.is(subject, Cue::Remains)
        && text.name(subject.wrapping_sub(1), NameKind::Bin).is_some();
    let of_bin = reached
        || remains
        || text.is(before, Cue::At)
            && !text.has_any(subject, &[Mark::I, Mark::You])
            && text.tokens.get(subject).is_some_and(|token| {
                token.name.is_some()
                    || text.has_any(subject, &[Mark::Be, Mark::Up])
                    || token.senses.contains(&Sense::Matter(Matter::Bin))
            });
    // `blue 3/4, green: half`
    let colon = usize::from(matches!(text.word(before), ":" | "-"));
    let name = before.wrapping_sub(colon);
    let noun = usize::from(
        text.is_matter(name, Matter::Bin) && text.tokens.get(name).is_some_and(|token| token.name.is_none()),
    );
    let name = name.wrapping_sub(noun);
    let opens = name == 0
        || text.is_stop(name.wrapping_sub(1))
        || text.has_any(name.wrapping_sub(1), &[Mark::And, Mark::The]);
    let of_bin = of_bin || opens && text.name(name, NameKind::Bin).is_some();
    let ends = next >= text.tokens.len()
        || text.is_stop(next)
        || text.has_any(next, &[Mark::And, Mark::But, Mark::Then, Mark::Yet])
        || text.time(next).is_some_and(|word| !matches!(word, TimeWord::Past | TimeWord::To));
    (of_bin || is_level_of(text, at)) && ends
}

/// `level about half`, `level in green: two thirds`: what stands before a share at `at` says that it is how full a bin is.
fn is_level_of(text: &Text<'_>, at: usize) -> bool {
    let idle = |i: usize| {
        text.has_any(i, &[Mark::About, Mark::Be, Mark::In, Mark::The])
            || text.is(i, Cue::At)
            || text.is_word(i, ":")
            || text.is_matter(i, Matter::Bin)
            || text.name(i, NameKind::Bin).is_some()
    };
    let Some(noun) = (0..at).rev().find(|i| text.is(*i, Cue::LevelNoun) || !idle(*i)) else { return false };
    // `water level`, `bran level`
    let of_other = noun > 0 && text.tokens[noun - 1].is_word() && !idle(noun - 1);
    text.is(noun, Cue::LevelNoun) && !of_other && at - noun <= 5
}

/// Whether the number stands alone: in `two eggshells` it counts something else than the unit told before.
pub(crate) fn counts_nothing(text: &Text<'_>, at: usize) -> bool {
    let next = at + 1;
    text.is_stop(next)
        || !text.tokens.get(next).is_some_and(crate::text::Token::is_word)
        || text.has_any(next, &[Mark::From, Mark::In, Mark::And, Mark::Of])
        || text.time(next).is_some()
        || text.tokens[next].name.is_some()
}
