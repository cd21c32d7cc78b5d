//! Numbers: digits, words, fractions and mixtures of them.

mod words;

use crate::lexicon::{Cue, Mark, Sense};
use crate::text::{Kind, Text};

/// A number, and the token after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Number {
    pub(crate) value: f64,
    pub(crate) next: usize,
    /// A share of one (`half`, `three quarters`), so that `of a` may follow.
    pub(crate) share: bool,
}

/// Reads the number that begins at token `at`.
pub(crate) fn read(text: &Text<'_>, at: usize) -> Option<Number> {
    let token = text.tokens.get(at)?;
    let pointed = text.is(at, Cue::Point) || text.is(at + 1, Cue::Point);
    if !(pointed || token.senses.is_numeric() || matches!(token.kind, Kind::Number(_) | Kind::Pair(..))) {
        return None;
    }
    let number = share(text, at).or_else(|| whole(text, at))?;
    Some(if number.share { number } else { mixture(text, number) })
}

pub(crate) fn is_article(text: &Text<'_>, at: usize) -> bool {
    text.has(at, Mark::A)
}

/// Skips a hyphen between two parts of a number.
fn past_hyphen(text: &Text<'_>, at: usize) -> usize {
    match text.tokens.get(at).zip(text.tokens.get(at + 1)) {
        Some((sign, after)) if sign.kind == Kind::Sign('-') && sign.glued && after.glued => at + 1,
        _ => at,
    }
}

/// `1 / 2 cup`, `3 / 4 full`: with room around the stroke, where a unit or a level says that it is no date.
fn spaced(text: &Text<'_>, at: usize) -> Option<Number> {
    let (over, under) = (text.digits(at)?, text.digits(at + 2)?);
    let plausible =
        over > 0.0 && over < under && under <= 16.0 && over.fract() == 0.0 && under.fract() == 0.0;
    let measures = text
        .senses(at + 3)
        .iter()
        .any(|sense| matches!(sense, Sense::Unit(_) | Sense::Kitchen(..) | Sense::Level(_)));
    (text.is_sign(at + 1, '/') && plausible && measures).then(|| Number {
        value: over / under,
        next: at + 3,
        share: true,
    })
}

/// `half`, `a third`, `three quarters`, `2 thirds`, `1/2`.
fn share(text: &Text<'_>, at: usize) -> Option<Number> {
    if let Some(spaced) = spaced(text, at) {
        return Some(spaced);
    }
    if let Some(Kind::Pair(over, under)) = text.tokens.get(at).map(|token| token.kind) {
        let plausible = (2..=16).contains(&under) && over > 0 && over < 100;
        return plausible.then(|| Number {
            value: f64::from(over) / f64::from(under),
            next: at + 1,
            share: over < under,
        });
    }
    let (count, from) = if is_article(text, at) {
        (1.0, at + 1)
    } else {
        match text.tokens.get(at)?.kind {
            Kind::Number(value) if value.fract() == 0.0 => (value, at + 1),
            _ => match (text.cardinal(at), text.heard(at)) {
                (Some(value), _) => (value, at + 1),
                // `to thirds full`
                (None, Some(value)) if text.word(at + 1).ends_with('s') => (value, at + 1),
                _ => (1.0, at),
            },
        }
    };
    let from = past_hyphen(text, from);
    let part = text
        .senses(from)
        .iter()
        .find_map(|sense| if let Sense::Share(part) = sense { Some(*part) } else { None })?;
    if !(count > 0.0 && count < 16.0) {
        return None;
    }
    // `half a dozen`
    let scaled = from + 1 + usize::from(is_article(text, from + 1));
    if let Some(scale) = text.scale(scaled) {
        return Some(Number { value: count * part * scale, next: scaled + 1, share: false });
    }
    Some(Number { value: count * part, next: from + 1, share: true })
}

/// A number without its fraction.
fn whole(text: &Text<'_>, at: usize) -> Option<Number> {
    let token = text.tokens.get(at)?;
    if let Kind::Number(value) = token.kind {
        // `23 point 5`
        if let (true, Some(Kind::Number(tenths))) = (text.is(at + 1, Cue::Point), text.kind(at + 2))
            && value.fract() == 0.0
            && text.word(at + 2).len() == 1
        {
            return Some(Number { value: value + tenths / 10.0, next: at + 3, share: false });
        }
        if let Some(number) = spaced_thousands(text, at, value) {
            return Some(number);
        }
        let scaled = text.scale(at + 1).map_or((value, at + 1), |scale| (value * scale, at + 2));
        return Some(Number { value: scaled.0, next: scaled.1, share: false });
    }
    words::read(text, at)
}

/// `1 200 ml`: a space as the sign of thousands (ISO 80000-1), where a unit follows.
fn spaced_thousands(text: &Text<'_>, at: usize, value: f64) -> Option<Number> {
    let Kind::Number(rest) = text.tokens.get(at + 1)?.kind else { return None };
    let fits = text.word(at + 1).len() == 3 && text.word(at + 1).bytes().all(|b| b.is_ascii_digit());
    let unit = text.senses(at + 2).iter().any(|sense| matches!(sense, Sense::Unit(_)));
    (fits && unit && value.fract() == 0.0 && (1.0..1000.0).contains(&value) && text.word(at).len() <= 3)
        .then_some(Number { value: value * 1000.0 + rest, next: at + 2, share: false })
}

/// Adds `1/2`, `½`, `and a half`, `and three quarters` to a whole number.
fn mixture(text: &Text<'_>, number: Number) -> Number {
    if number.value.fract() != 0.0 {
        return number;
    }
    // `one in three quarter cups`: what dictation makes of `and`
    let heard = text.is(number.next, Cue::In)
        && share(text, number.next + 1)
            .is_some_and(|part| text.unit(part.next).is_some() && text.word(part.next).ends_with('s'));
    // `one an a half`
    let clipped = text.is(number.next, Cue::AndClipped) && text.has(number.next + 1, Mark::A);
    let joined = heard || clipped || text.has(number.next, Mark::And) && !text.is_stop(number.next);
    let from = if joined { number.next + 1 } else { past_hyphen(text, number.next) };
    let fraction = match text.tokens.get(from).map(|token| token.kind) {
        Some(Kind::Number(value)) if value < 1.0 && value > 0.0 && !text.word(from).starts_with('0') => {
            Some((value, from + 1))
        }
        Some(Kind::Pair(..)) => {
            share(text, from).filter(|part| part.share).map(|part| (part.value, part.next))
        }
        _ if joined => share(text, from)
            .filter(|part| part.share && !text.has(part.next, Mark::A))
            .map(|part| (part.value, part.next)),
        _ => None,
    };
    // In `2 and half a cup` the half is of the cup; in `2 and a half cups` it is of the number.
    match fraction {
        Some((part, next)) if !text.is(next, Cue::Of) || text.is(from, Cue::LetterA) => {
            Number { value: number.value + part, next, share: false }
        }
        _ => number,
    }
}
