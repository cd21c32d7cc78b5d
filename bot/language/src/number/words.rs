//! Numbers in words: `two hundred and fifty`, `a dozen`, `one point five`, `twenty-five`.

use super::{Number, is_article, past_hyphen};
use crate::lexicon::{Cue, Mark, Sense};
use crate::text::{Kind, Text};

/// Reads number words from token `at` on.
pub(super) fn read(text: &Text<'_>, at: usize) -> Option<Number> {
    // `oh point five`, `point five`
    let zero = usize::from(text.is(at, Cue::Nought));
    if text.is(at + zero, Cue::Point) && text.cardinal(at + zero + 1).is_some() {
        let number = decimals(text, Number { value: 0.0, next: at + zero, share: false });
        return (number.next > at + zero).then_some(number);
    }
    let mut next = at;
    let mut total = 0.0;
    let mut group = None;
    if is_article(text, at) {
        let after = at + 1;
        if text.senses(after).contains(&Sense::Pair) {
            return Some(Number { value: 2.0, next: past_of(text, after + 1), share: false });
        }
        text.scale(after)?;
        group = Some(1.0);
        next = after;
    } else if text.senses(at).contains(&Sense::Pair) {
        return Some(Number { value: 2.0, next: past_of(text, at + 1), share: false });
    } else if let Some(scale) = text.scale(at).filter(|_| !text.is(at, Cue::Grand)) {
        // `hundred grams`, `dozen eggs`
        return Some(Number { value: scale, next: at + 1, share: false });
    }
    let mut last = f64::INFINITY;
    loop {
        let here = if group.is_some() { past_hyphen(text, next) } else { next };
        if let Some(value) = text.cardinal(here) {
            // `twenty five` adds up, `five six` are two numbers.
            if group.is_some()
                && !(value < 100.0
                    && last >= 20.0
                    && value < last
                    && (last < 100.0 || value > 0.0)
                    && (last >= 100.0 || value < 10.0))
            {
                break;
            }
            group = Some(group.unwrap_or(0.0) + value);
            last = value;
            next = here + 1;
        } else if let (Some(scale), Some(value)) = (text.scale(here), group) {
            let value = if value == 0.0 { 1.0 } else { value };
            if scale >= 1000.0 {
                total += value * scale;
                group = Some(0.0);
            } else {
                let (above, unit) = (value - value % 100.0, value % 100.0);
                group = Some(above + unit * scale);
            }
            last = scale;
            next = here + 1;
        } else if last >= 1000.0
            && last.is_finite()
            && text.word(here) == ","
            && text.cardinal(here + 1).is_some()
        {
            // `one thousand, two hundred`
            next = here + 1;
        } else if last >= 100.0
            && last.is_finite()
            && (text.is(here, Cue::And) || text.is(here, Cue::AndClipped))
            && text.cardinal(here + 1).is_some_and(|v| v < 100.0)
        {
            next = here + 1;
        } else {
            break;
        }
    }
    let value = total + group?;
    Some(decimals(text, Number { value, next, share: false }))
}

/// `point five`, `point two five`
fn decimals(text: &Text<'_>, number: Number) -> Number {
    if !text.is(number.next, Cue::Point) {
        return number;
    }
    let (mut value, mut next, mut place) = (number.value, number.next + 1, 0.1);
    while let Some(digit) = text.cardinal(next).or_else(|| text.digits(next)).filter(|digit| *digit < 10.0) {
        value += digit * place;
        place /= 10.0;
        next += 1;
    }
    if next == number.next + 1 {
        return match text.tokens.get(next).map(|token| token.kind) {
            Some(Kind::Number(v)) if v >= 10.0 => Number {
                value: value + v / 10f64.powf(text.word(next).len() as f64),
                next: next + 1,
                share: false,
            },
            _ => match text.cardinal(next) {
                Some(tens) if tens < 100.0 => {
                    Number { value: value + tens / 100.0, next: next + 1, share: false }
                }
                _ => number,
            },
        };
    }
    Number { value, next, share: false }
}

fn past_of(text: &Text<'_>, at: usize) -> usize {
    if text.has(at, Mark::Of) { at + 1 } else { at }
}
