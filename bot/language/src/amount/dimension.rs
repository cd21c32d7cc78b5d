//! Lengths and areas: `25 cm`, `5 ft 6`, `3 by 1.2 metres`, `4x8 ft`.

use super::Measured;
use super::unit::Size;
use crate::lexicon::{Cue, Mark};
use crate::message::Units;
use crate::number;
use crate::text::Text;

/// Reads an area told as two lengths from token `at` on.
pub(super) fn read(text: &Text<'_>, at: usize, units: Units) -> Option<(Measured, usize)> {
    let (first, first_unit, next) = side(text, at, units)?;
    let extent = |at: usize| at + usize::from(text.is(at, Cue::Breadth));
    let joint = extent(next);
    let by = text.is(joint, Cue::ByOrTimes) || text.is_sign(joint, 'x') || text.is_sign(joint, '*');
    // `4 m long and 1.5 m wide`
    let told = joint > next && (text.is(joint, Cue::And) || text.is_pause(joint));
    if !by && !told {
        return None;
    }
    let (second, second_unit, after) = side(text, joint + 1, units)?;
    let end = extent(after);
    if !by && end == after {
        return None;
    }
    let unit = second_unit.or(first_unit)?;
    let area = first * first_unit.unwrap_or(unit) * second * second_unit.unwrap_or(unit) / 10_000.0;
    Some((Measured::Area(area), end))
}

/// One side: number, centimetres in its unit if it has one, next token.
fn side(text: &Text<'_>, at: usize, units: Units) -> Option<(f64, Option<f64>, usize)> {
    let (value, next) = match number::read(text, at) {
        Some(number) => (number.value, number.next),
        // `twelve feet by for feet`
        None if text.heard(at).is_some_and(|value| value > 2.0)
            && length_unit(text, at + 1, units).is_some() =>
        {
            (text.heard(at).unwrap_or_default(), at + 1)
        }
        None if number::is_article(text, at) && length_unit(text, at + 1, units).is_some() => (1.0, at + 1),
        None => return None,
    };
    let Some((cm, after)) = length_unit(text, next, units) else { return Some((value, None, next)) };
    // `a metre and a half by two`, `5 ft 6 in by 3 ft`
    let rest = number::read(text, after).and_then(|number| {
        Some((
            number.value * length_unit(text, number.next, units)?.0,
            length_unit(text, number.next, units)?.1,
        ))
    });
    if (text.is(after, Cue::And) || text.is(after, Cue::AndClipped))
        && let Some(part) = number::read(text, after + 1).filter(|part| part.share)
    {
        return Some((value + part.value, Some(cm), part.next));
    }
    // `four foot six`, `1 metre 20`
    if let Some((part, end)) = bare_part(text, after, cm) {
        return Some((value + part / cm, Some(cm), end));
    }
    Some(match rest {
        Some((smaller, end)) if smaller < cm => (value + smaller / cm, Some(cm), end),
        _ => (value, Some(cm), after),
    })
}

/// A number behind a length without a unit of its own: inches behind feet, centimetres behind metres.
fn bare_part(text: &Text<'_>, at: usize, cm: f64) -> Option<(f64, usize)> {
    const FOOT: f64 = 30.48;
    const METRE: f64 = 100.0;
    let number = number::read(text, at).filter(|number| number.value.fract() == 0.0)?;
    let alone = text.unit(number.next).is_none() && !text.is_sign(number.next, '"');
    let part = if (cm - FOOT).abs() < 1e-9 && number.value < 12.0 {
        number.value * 2.54
    } else if (cm - METRE).abs() < 1e-9 && (10.0..METRE).contains(&number.value) {
        number.value
    } else {
        return None;
    };
    alone.then_some((part, number.next))
}

fn length_unit(text: &Text<'_>, at: usize, units: Units) -> Option<(f64, usize)> {
    if text.tokens.get(at).is_some_and(|token| token.glued) {
        if text.is_sign(at, '"') {
            return Some((2.54, at + 1));
        }
        if text.is_sign(at, '\'') {
            return Some((30.48, at + 1));
        }
    }
    // `in` is an inch only where the sides of something are told.
    let glued = text.tokens.get(at)?.glued;
    // `18 ft x 30 in`
    let side = at > 1
        && (text.is(at - 2, Cue::ByOrTimes) || text.is_sign(at - 2, 'x'))
        && (at + 1 >= text.tokens.len() || text.is_stop(at + 1));
    // `1 ft 8 in deep`
    let down = text.has(at + 1, Mark::Down);
    if text.is(at, Cue::In) && (glued || side || down || text.is(at + 1, Cue::By)) {
        return Some((2.54, at + 1));
    }
    match text.unit(at)?.size(units) {
        Size::Centimetres(cm) => Some((cm, at + 1)),
        _ => None,
    }
}

/// A length with a smaller one after it: `5 ft 6 in`.
pub(super) fn compound(text: &Text<'_>, cm: f64, next: usize, units: Units) -> (Measured, usize) {
    let joined = usize::from(text.is(next, Cue::And) || text.is(next, Cue::AndClipped));
    if let Some(number) = number::read(text, next + joined)
        && let Some((unit, after)) = length_unit(text, number.next, units)
        && number.value * unit < cm
    {
        return (Measured::Length(cm + number.value * unit), after);
    }
    (Measured::Length(cm), next)
}
