//! Days: weekdays, dates in words and digits, `last Tuesday`, `the 3rd`, `next week`.

use super::{Date, Which};
use crate::lexicon::{Cue, Mark, Sense, TimeUnit, TimeWord};
use crate::number;
use crate::text::{Kind, Text};

/// Reads a day from token `at` on; `led` where a word like `on` or `until` stands before it.
pub(super) fn date(text: &Text<'_>, at: usize, led: bool) -> Option<(Date, usize)> {
    match text.kind(at)? {
        Kind::Date(year, month, day) if year >= 1000 => {
            return Some((Date::Calendar(Some(year.cast_signed()), month, day), at + 1));
        }
        Kind::Date(a, b, year) => {
            return Some((
                Date::Triple(a, b, if year < 100 { year.cast_signed() + 2000 } else { year.cast_signed() }),
                at + 1,
            ));
        }
        // Nobody writes 6/1 for six.
        Kind::Pair(a, b)
            if !measured(text, at + 1) && (led || (a >= b || !divides_measures(b)) && a <= 31 && b <= 31) =>
        {
            return Some((Date::Pair(a, b), at + 1));
        }
        Kind::Number(_) if led && !measured(text, at + 1) => {
            if let Some((day, month)) = dotted(text.word(at)) {
                return Some((Date::Calendar(None, month, day), at + 1));
            }
        }
        _ => {}
    }
    // `christmas leftovers` are no time.
    // `New Year's Eve I put 2 litres in`
    let food = text.senses(at + 1).iter().any(|sense| matches!(sense, Sense::Food(_)));
    let told = text.word(at).contains(' ') && !food && !text.is(at + 1, Cue::TailS);
    // `leftovers from xmas dinner`
    let meal = text.is(at + 1, Cue::Meal);
    let led_to = !meal && led || told || text.is(at.wrapping_sub(1), Cue::ClockLead);
    if let Some(TimeWord::Feast(month, day)) = text.time(at).filter(|_| led_to) {
        return Some((Date::Calendar(None, month, day), at + 1));
    }
    relative(text, at)
        .or_else(|| in_words(text, at))
        .or_else(|| weekday(text, at, led))
        .or_else(|| day_of_month(text, at, led))
}

/// `3.7` after `on`: the third of July.
fn dotted(word: &str) -> Option<(u32, u32)> {
    let (day, month) = word.split_once('.')?;
    let (day, month) = (day.parse().ok()?, month.parse().ok()?);
    ((1..=31).contains(&day) && (1..=12).contains(&month)).then_some((day, month))
}

/// Nobody measures in fifths of a dozen: `5/12` is a date.
fn divides_measures(under: u32) -> bool {
    matches!(under, 2..=6 | 8 | 10)
}

fn measured(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|s| matches!(s, Sense::Unit(_) | Sense::Kitchen(..) | Sense::Level(_)))
        || text.is_sign(at, '%')
}

/// `yesterday`, `next week`, `the weekend`, `the end of the month`
fn relative(text: &Text<'_>, at: usize) -> Option<(Date, usize)> {
    if let Some(TimeWord::Day(days)) = text.time(at) {
        return Some((Date::Days(days), at + 1));
    }
    let from = at + usize::from(text.is(at, Cue::The));
    if text.is(from, Cue::Weekend) {
        return Some((Date::Weekend, from + 1));
    }
    if text.is(from, Cue::End) {
        let unit = (from + 1..from + 4).find(|i| text.time_unit(*i).is_some())?;
        return match text.time_unit(unit)? {
            TimeUnit::Month => Some((Date::EndOfMonth, unit + 1)),
            TimeUnit::Week => Some((Date::EndOfWeek, unit + 1)),
            _ => None,
        };
    }
    if text.is_time(from, TimeWord::Next) {
        return match text.time_unit(from + 1)? {
            TimeUnit::Week => Some((Date::NextWeek, from + 2)),
            TimeUnit::Month => Some((Date::NextMonth, from + 2)),
            _ => None,
        };
    }
    None
}

/// `3 March`, `March 3rd, 2026`, `the 3rd of March`
fn in_words(text: &Text<'_>, at: usize) -> Option<(Date, usize)> {
    let at = at + usize::from(text.is(at, Cue::The));
    if let Some((day, next)) = day_number(text, at) {
        let of = next + usize::from(text.is(next, Cue::Of));
        if let Some(month) = month(text, of) {
            let (year, after) = year(text, of + 1);
            return Some((Date::Calendar(year, month, day), after));
        }
    }
    let month = month(text, at)?;
    let from = at + 1 + usize::from(text.is_stop(at + 1) && text.word(at + 1) == ".");
    let from = from + usize::from(text.is(from, Cue::The));
    let (day, next) = day_number(text, from)?;
    let (year, after) = year(text, next);
    Some((Date::Calendar(year, month, day), after))
}

fn month(text: &Text<'_>, at: usize) -> Option<u32> {
    text.sense(at, |s| if let Sense::Time(TimeWord::Month(month)) = s { Some(month) } else { None })
}

fn day_number(text: &Text<'_>, at: usize) -> Option<(u32, usize)> {
    let ordinal = text.sense(at, |s| if let Sense::Ordinal(day) = s { Some(day) } else { None });
    let (day, next) = match text.kind(at)? {
        Kind::Ordinal(day) => (day, at + 1),
        Kind::Number(value) if value.fract() == 0.0 && text.word(at).len() <= 2 => (value as u32, at + 1),
        _ if ordinal.is_some() => (ordinal?, at + 1),
        _ => {
            let number = number::read(text, at).filter(|n| !n.share && n.value.fract() == 0.0)?;
            (number.value as u32, number.next)
        }
    };
    let measured = text.unit(next).is_some();
    // The 35th of June is meant as a day, and cannot be placed.
    let named = text.is(next, Cue::Of) || month(text, next).is_some();
    ((1..=31).contains(&day) || named && day < 100).then_some((day, next)).filter(|_| !measured)
}

/// A year after a date, with or without a comma.
fn year(text: &Text<'_>, at: usize) -> (Option<i32>, usize) {
    let from = at + usize::from(text.is_pause(at));
    match text.digits(from) {
        Some(year) if (1990.0..2100.0).contains(&year) && text.unit(from + 1).is_none() => {
            (Some(year as i32), from + 1)
        }
        _ => (None, at),
    }
}

/// `Tuesday`, `last Tue`, `this Friday`, `the Saturday`
fn weekday(text: &Text<'_>, at: usize, led: bool) -> Option<(Date, usize)> {
    if text.is(at, Cue::LastWeek) {
        let from = at + 1 + usize::from(text.is(at + 1, Cue::On));
        let day =
            text.sense(from, |s| if let Sense::Time(TimeWord::Weekday(day)) = s { Some(day) } else { None })?;
        return Some((Date::Weekday(day, Which::WeekBefore), from + 1));
    }
    let (which, from) = match text.time(at) {
        _ if text.is_time(at, TimeWord::Last) => (Which::Last, at + 1),
        _ if text.is_time(at, TimeWord::This) => (Which::This, at + 1),
        _ if text.is_time(at, TimeWord::Next) => (Which::Next, at + 1),
        _ => (Which::Plain, at),
    };
    let day =
        text.sense(from, |s| if let Sense::Time(TimeWord::Weekday(day)) = s { Some(day) } else { None })?;
    let certain = led || which != Which::Plain || !text.is(from, Cue::ShortDay);
    let sunshine = text.is(from, Cue::Sun) && text.is(from.wrapping_sub(1), Cue::NoSunday);
    let verb = text.is(from, Cue::Sat) && text.is(from + 1, Cue::NoSaturday);
    (!sunshine && !verb && (certain || text.tokens.len() > 1)).then(|| {
        // `Tuesday 3 March` is one day told twice
        let week = from + 1 + usize::from(text.is(from + 1, Cue::Of));
        if text.is(week, Cue::LastWeek) {
            return (Date::Weekday(day, Which::WeekBefore), week + 1);
        }
        // `Sun 5/7`
        let pair = || match text.kind(from + 1) {
            Some(Kind::Pair(a, b)) if !measured(text, from + 2) => Some((Date::Pair(a, b), from + 2)),
            _ => None,
        };
        in_words(text, from + 1).or_else(pair).unwrap_or((Date::Weekday(day, which), from + 1))
    })
}

/// `on the 3rd`, `the 14th`
fn day_of_month(text: &Text<'_>, at: usize, led: bool) -> Option<(Date, usize)> {
    let from = at + usize::from(text.is(at, Cue::The));
    let (led, digits) = (led || from > at, matches!(text.kind(from)?, Kind::Ordinal(_)));
    let ordinal = text.sense(from, |s| if let Sense::Ordinal(day) = s { Some(day) } else { None });
    let day = match text.kind(from)? {
        Kind::Ordinal(day) => day,
        _ => ordinal?,
    };
    // `until the nineteenth so whose turn is it`
    let goes_on = text.has_any(from + 1, &[Mark::And, Mark::But, Mark::I, Mark::Whose, Mark::Then])
        || text.is(from + 1, Cue::So);
    let noun = text.tokens.get(from + 1).is_some_and(crate::text::Token::is_word) && !digits && !goes_on;
    // The 45th is meant as a day too, and cannot be placed.
    let next = text.tokens.get(from + 1);
    let alone = next.is_none_or(|next| !next.is_word()) && day < 100;
    (led && !noun && (alone || (1..=31).contains(&day))).then_some((Date::DayOfMonth(day), from + 1))
}
