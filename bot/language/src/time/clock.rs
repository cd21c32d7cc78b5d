//! Times on the clock: `18:30`, `7pm`, `at 7`, `half six`, `quarter to nine`, `ten past 8`, `0715`.

use super::Clock;
use crate::lexicon::{Cue, Sense, TimeWord};
use crate::number;
use crate::text::{Kind, Text};

/// Reads a clock time from token `at` on; `led` where a word like `at` stands before it.
pub(super) fn clock(text: &Text<'_>, at: usize, led: bool) -> Option<(Clock, usize)> {
    face(text, at, led)
        .or_else(|| spoken(text, at, led))
        .or_else(|| hour_alone(text, at, led))
        .or_else(|| military(text, at, led))
}

/// `7.30` behind a day or a part of it: `today morning 7.30`.
pub(super) fn clock_behind_day(text: &Text<'_>, at: usize) -> Option<(Clock, usize)> {
    let (hour, minute) = dotted(text, at).filter(|_| !followed_by_unit(text, at + 1))?;
    let ends = at + 1 >= text.tokens.len() || text.is_stop(at + 1);
    let (clock, next) = half_of_day(text, Clock { hour, minute, certain: hour > 12 }, at + 1);
    (ends || next > at + 1).then_some((clock, next))
}

/// Whether a clock can show it.
pub(super) const fn is_on_a_clock(hour: u32, minute: u32) -> bool {
    hour < 24 && minute < 60
}

/// `18:30`, `7.30 pm`
fn face(text: &Text<'_>, at: usize, led: bool) -> Option<(Clock, usize)> {
    let Kind::Clock { hour, minute, certain } = text.kind(at)? else { return None };
    // `25:00` is a time where `at` says so; else it may be a ratio or a score.
    if !(led || is_on_a_clock(hour, minute)) {
        return None;
    }
    Some(half_of_day(text, Clock { hour, minute, certain }, past_oclock(text, at + 1)))
}

/// `half six`, `half past six`, `quarter to nine`, `ten past 8`, `20 minutes to 5`
fn spoken(text: &Text<'_>, at: usize, led: bool) -> Option<(Clock, usize)> {
    let (minutes, round, next) =
        match text.sense(at, |s| if let Sense::Share(part) = s { Some(part) } else { None }) {
            Some(part) if part <= 0.5 && (part * 60.0).rem_euclid(15.0) < 1e-9 => (part * 60.0, true, at + 1),
            _ if number::is_article(text, at) && text.is(at + 1, Cue::Quarter) => (15.0, true, at + 2),
            _ => {
                let number = number::read(text, at)?;
                let named = text.is(number.next, Cue::Minutes);
                let round = named || (number.value % 5.0 == 0.0 && number.value < 30.0 && number.value > 0.0);
                (number.value, round, number.next + usize::from(named))
            }
        };
    let to = text.is_time(next, TimeWord::To) && !text.is(next, Cue::Before);
    let past = text.is_time(next, TimeWord::Past) && !text.is(next, Cue::Gone);
    let half_six = !to && !past && text.is(at, Cue::Half);
    if !(to || past || half_six) || !(round || led) || !(1.0..=30.0).contains(&minutes) {
        return None;
    }
    let (hour, certain, after) = hour(text, next + usize::from(to || past))?;
    if followed_by_unit(text, after) {
        return None;
    }
    let total = (hour * 60 + if to { 1_440 - minutes as u32 } else { minutes as u32 }) % 1_440;
    let clock = Clock { hour: total / 60, minute: total % 60, certain };
    // `quarter to 1`: 0:45 or 12:45
    Some(half_of_day(
        text,
        if certain { clock } else { Clock { hour: clock.hour % 12, ..clock } },
        past_oclock(text, after),
    ))
}

/// The hour at a token: value, whether its half of the day is certain, next token.
fn hour(text: &Text<'_>, at: usize) -> Option<(u32, bool, usize)> {
    if text.is_time(at, TimeWord::Midnight) {
        return Some((0, true, at + 1));
    }
    if text.is(at, Cue::Noon) {
        return Some((12, true, at + 1));
    }
    let number = number::read(text, at)?;
    let whole = !number.share && number.value.fract() == 0.0 && (0.0..=24.0).contains(&number.value);
    whole.then_some((number.value as u32 % 24, number.value > 12.0 || number.value == 0.0, number.next))
}

/// `at 7`, `7 o'clock`, `seven thirty`, `7ish`, `7pm`
fn hour_alone(text: &Text<'_>, at: usize, led: bool) -> Option<(Clock, usize)> {
    if matches!(text.kind(at)?, Kind::Number(_)) && text.word(at).len() > 2 && !text.word(at).contains('.') {
        return None;
    }
    let dotted = dotted(text, at);
    let (hour, certain, mut next) = dotted
        .map(|(hour, _)| (hour, hour > 12, at + 1))
        .or_else(|| hour(text, at))
        .or_else(|| heard_hour(text, at).filter(|_| led))?;
    let mut minute = dotted.map_or(0, |(_, minute)| minute);
    if dotted.is_none()
        && let Some((told, after)) = spoken_minutes(text, next, hour)
    {
        (minute, next) = (told, after);
    }
    let ish = text.is(next, Cue::Ish) || (text.is_sign(next, '-') && text.is(next + 1, Cue::Ish));
    if ish {
        next += if text.is_sign(next, '-') { 2 } else { 1 };
    }
    // `at 18 hrs`, and not `2 hrs`
    let lasts = text.is(next, Cue::Hours) && !led;
    let hours_end = if lasts { next } else { past_oclock(text, next) };
    let oclock = hours_end > next;
    let (clock, after) = half_of_day(text, Clock { hour, minute, certain }, hours_end);
    let told = after > hours_end || oclock || ish || (minute > 0 && dotted.is_none() && led);
    // `10.30 last night`
    let night = dotted.is_some() && text.time(after) == Some(TimeWord::LastNight);
    let part = night || part_follows(text, after);
    if followed_by_unit(text, after) || !(told || part || led) {
        return None;
    }
    Some((clock, after))
}

/// `at for thirty`: what dictation makes of an hour, before its minutes.
fn heard_hour(text: &Text<'_>, at: usize) -> Option<(u32, bool, usize)> {
    let hour = text.heard(at)? as u32;
    spoken_minutes(text, at + 1, hour).map(|_| (hour, false, at + 1))
}

/// `7.30` after `at`: a clock face with a point.
fn dotted(text: &Text<'_>, at: usize) -> Option<(u32, u32)> {
    let (hour, minute) = text.word(at).split_once('.')?;
    let (hour, length, minute) = (hour.parse().ok()?, minute.len(), minute.parse().ok()?);
    (length == 2 && hour < 24 && minute < 60).then_some((hour, minute))
}

/// `seven thirty`, `six fifteen`, `eight oh five`
fn spoken_minutes(text: &Text<'_>, at: usize, hour: u32) -> Option<(u32, usize)> {
    if hour > 24 || text.digits(at).is_some() {
        return None;
    }
    if text.is(at, Cue::Oh) {
        return text.cardinal(at + 1).filter(|m| *m < 10.0).map(|m| (m as u32, at + 2));
    }
    let tens = text.cardinal(at).filter(|m| (10.0..60.0).contains(m))?;
    let ones = text.cardinal(at + 1).filter(|one| *one < 10.0 && tens >= 20.0 && tens % 10.0 == 0.0);
    let (minute, next) = ones.map_or((tens, at + 1), |one| (tens + one, at + 2));
    (!followed_by_unit(text, next)).then_some((minute as u32, next))
}

/// `0715`, `at 1830`, `1830 hrs`
fn military(text: &Text<'_>, at: usize, led: bool) -> Option<(Clock, usize)> {
    let value = text.digits(at)?;
    let digits = text.word(at);
    let face = (3..=4).contains(&digits.len()) && digits.bytes().all(|b| b.is_ascii_digit());
    let (hour, minute) = (value as u32 / 100, value as u32 % 100);
    let hours = past_oclock(text, at + 1);
    let certain = hour > 12 || digits.starts_with('0');
    let oclock = hours > at + 1 || text.is(at + 1, Cue::Hours);
    let hours = if oclock { at + 2 } else { hours };
    if !face || hour > 23 || minute > 59 || (!oclock && followed_by_unit(text, at + 1)) {
        return None;
    }
    let (clock, after) = half_of_day(text, Clock { hour, minute, certain }, hours);
    (led || hours > at + 1 || after > hours || (digits.len() == 4 && digits.starts_with('0')))
        .then_some((clock, after))
}

fn past_oclock(text: &Text<'_>, at: usize) -> usize {
    if text.is_time(at, TimeWord::Oclock)
        || (text.is(at, Cue::HoursAfter) && text.word(at.wrapping_sub(1)).len() == 4)
    {
        at + 1
    } else {
        at
    }
}

/// Applies `am` or `pm` where it follows.
fn half_of_day(text: &Text<'_>, clock: Clock, at: usize) -> (Clock, usize) {
    let letter = |word: &str| text.tokens.get(at).is_some_and(|token| token.glued) && text.is_word(at, word);
    let (am, pm) =
        (text.is_time(at, TimeWord::Am) || letter("a"), text.is_time(at, TimeWord::Pm) || letter("p"));
    if !(am || pm) || clock.hour > 12 || (clock.hour == 0 && clock.certain) {
        return (clock, at);
    }
    let dot = usize::from(text.is_stop(at + 1) && text.word(at + 1) == "." && text.word(at).contains('.'));
    (Clock { hour: clock.hour % 12 + if pm { 12 } else { 0 }, certain: true, ..clock }, at + 1 + dot)
}

/// `in the evening`, `this morning`, `at night`
fn part_follows(text: &Text<'_>, at: usize) -> bool {
    // `9.30 tonight`
    if text.time(at) == Some(TimeWord::Tonight) {
        return true;
    }
    let from = at + usize::from(text.is(at, Cue::PartLed));
    let from = from + usize::from(text.is(from, Cue::TheOrThis));
    from > at && matches!(text.time(from), Some(TimeWord::Part(..)))
}

/// A number that measures something is no time.
fn followed_by_unit(text: &Text<'_>, at: usize) -> bool {
    // `about two of bran`
    if text.is(at, Cue::Of) {
        return true;
    }
    let scale = text.is(at, Cue::DegreeLetter) && text.kind(at) == Some(Kind::Word);
    scale
        || text.is_sign(at, '%')
        || text.is_sign(at, '°')
        || text.is_sign(at, '/')
        || text.senses(at).iter().any(|s| {
            matches!(s, Sense::Unit(_)) && !text.is(at, Cue::In)
                || matches!(s, Sense::Kitchen(..) | Sense::Share(_) | Sense::Scale(_))
                || matches!(s, Sense::Time(TimeWord::Unit(_)))
        })
}
