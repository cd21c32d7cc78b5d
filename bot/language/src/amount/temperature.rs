//! Temperatures: `17 degrees`, `64F`, `21.5 °C`, `minus 1 degree`.

use super::unit::{Unit, celsius};
use super::{Measured, is_cup};
use crate::lexicon::Cue;
use crate::message::Units;
use crate::number;
use crate::text::{Kind, Text};

/// Reads a temperature with its sign of degrees from token `at` on.
pub(super) fn read(text: &Text<'_>, at: usize, units: Units) -> Option<(Measured, usize)> {
    let (sign, from) = sign(text, at);
    let first = number::read(text, from)?;
    let mut value = sign * first.value;
    let next = first.next;
    if (text.is_sign(next, '-') || text.is(next, Cue::DegreesJoint))
        && let Some(second) = number::read(text, next + 1)
        && second.value > first.value
    {
        let after = scale(text, second.next)?;
        value = f64::midpoint(value, second.value);
        return Some((Measured::Temperature(in_celsius(value, after.0, units)), after.1));
    }
    let (scale, after) = scale(text, next)?;
    Some((Measured::Temperature(in_celsius(value, scale, units)), after))
}

/// A sign before a number: `minus`, `-`, with no other number before it.
pub(crate) fn sign(text: &Text<'_>, at: usize) -> (f64, usize) {
    let glued_sign = text.is_sign(at, '-')
        && !text.tokens[at].glued
        && text.tokens.get(at + 1).is_some_and(|token| token.glued);
    if glued_sign || text.is(at, Cue::Minus) { (-1.0, at + 1) } else { (1.0, at) }
}

/// The scale at token `at`, and the token after it.
pub(crate) fn scale(text: &Text<'_>, at: usize) -> Option<(Unit, usize)> {
    let letter = |at: usize| match text.word(at) {
        "c" if text.kind(at) == Some(Kind::Word) => Some(Unit::Celsius),
        "f" => Some(Unit::Fahrenheit),
        _ => text.unit(at).filter(|unit| matches!(unit, Unit::Celsius | Unit::Fahrenheit)),
    };
    if text.is_sign(at, '°') || text.unit(at) == Some(Unit::Degree) {
        return Some(letter(at + 1).map_or((Unit::Degree, at + 1), |unit| (unit, at + 2)));
    }
    let cup = text.is(at, Cue::LetterC) && is_cup(text, at);
    letter(at).filter(|_| !cup).map(|unit| (unit, at + 1))
}

/// A bare degree is Fahrenheit in a US room.
pub(crate) fn in_celsius(value: f64, scale: Unit, units: Units) -> f64 {
    match scale {
        Unit::Fahrenheit => celsius(value),
        Unit::Degree if units == Units::Us => celsius(value),
        _ => value,
    }
}
