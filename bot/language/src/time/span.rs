//! Lengths of time: `an hour and a half`, `2 days`, `half an hour`, `20m`.

use super::Span;
use crate::lexicon::{Cue, Mark, TimeUnit};
use crate::number;
use crate::text::Text;

/// Reads a length of time from token `at` on.
pub(crate) fn span(text: &Text<'_>, at: usize) -> Option<(Span, usize)> {
    let (count, next) = match number::read(text, at) {
        Some(number) if number.share => {
            let of = usize::from(text.is(number.next, Cue::Of));
            let article = usize::from(number::is_article(text, number.next + of));
            (number.value, number.next + of + article)
        }
        Some(number) => (number.value, number.next),
        None if number::is_article(text, at) || text.is(at, Cue::Another) => (1.0, at + 1),
        None => return None,
    };
    let next = if text.is_sign(next, '-') { next + 1 } else { next };
    if text.is(next, Cue::Good) || text.is(next, Cue::More) {
        return None;
    }
    let unit = text.time_unit(next).or_else(|| letter(text, next))?;
    let mut whole = Span { count, unit };
    let mut after = next + 1;
    // `an hour and a half`
    if text.has(after, Mark::And)
        && let Some(part) = number::read(text, after + 1).filter(|part| part.share)
        && text.time_unit(part.next).is_none()
    {
        whole.count += part.value;
        after = part.next;
    }
    // `1 hour 20 minutes`, `1 hour and 20 minutes`, `1h20`
    let from = after + usize::from(text.has(after, Mark::And));
    if let Some(number) = number::read(text, from)
        && let Some(smaller) = text.time_unit(number.next).or_else(|| letter(text, number.next))
        && let (Some(a), Some(b)) = (minutes_of(unit), minutes_of(smaller))
        && b < a
    {
        whole.count += number.value * b / a;
        after = number.next + 1;
    }
    Some((whole, after))
}

/// `h`, `m`, `d` glued or spaced after a number.
fn letter(text: &Text<'_>, at: usize) -> Option<TimeUnit> {
    Some(match text.word(at) {
        "h" => TimeUnit::Hour,
        "m" | "'" => TimeUnit::Minute,
        "d" => TimeUnit::Day,
        "w" => TimeUnit::Week,
        "s" => TimeUnit::Second,
        _ => return None,
    })
}

/// How many minutes a unit has, where all of its kind have as many.
pub(super) fn minutes_of(unit: TimeUnit) -> Option<f64> {
    Some(match unit {
        TimeUnit::Second => 1.0 / 60.0,
        TimeUnit::Minute => 1.0,
        TimeUnit::Hour => 60.0,
        TimeUnit::Day | TimeUnit::Night => 1_440.0,
        TimeUnit::Week => 10_080.0,
        TimeUnit::Fortnight => 20_160.0,
        TimeUnit::Month | TimeUnit::Year => return None,
    })
}
