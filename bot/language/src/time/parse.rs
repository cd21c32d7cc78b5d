//! Puts the components of a time together: `yesterday` `at 7` `in the evening`.

use super::calendar::date;
use super::clock::{clock, clock_behind_day};
use super::span::span;
use super::{Bound, Date, Flag, Part, Toward, When};
use crate::lexicon::{Cue, CueSet, Forms, Mark, Sense, TimeUnit, TimeWord};
use crate::number;
use crate::text::{Kind, Text};

/// Words that begin a time without being one.
const BEGIN: CueSet = CueSet::of(&[
    Cue::After,
    Cue::Another,
    Cue::EarlyLate,
    Cue::End,
    Cue::For,
    Cue::LastWeek,
    Cue::LeadsClock,
    Cue::LeadsPart,
    Cue::Noon,
    Cue::Nought,
    Cue::On,
    Cue::Point,
    Cue::The,
    Cue::To,
    Cue::Weekend,
    Cue::WithinSpan,
]);

/// Whether a time can begin with token `at`: a glance, which spares most words a closer look.
fn begins(text: &Text<'_>, at: usize) -> bool {
    text.tokens.get(at).is_some_and(|token| {
        !token.is_word()
            || token.senses.is_numeric()
            || token.senses.time().is_some()
            || token.senses.has(Mark::About.bit())
            || token.senses.iter().any(|sense| matches!(sense, Sense::Ordinal(_)))
            || token.cues.meets(&BEGIN)
    })
}

/// Reads the time that begins at token `at`, as far as it goes.
pub(crate) fn read(text: &Text<'_>, at: usize) -> Option<(When, usize)> {
    if is_any_day(text, at) {
        return None;
    }
    if begins(text, at) {
        return moment(text, at);
    }
    debug_assert_eq!(moment(text, at), None, "what begins here is not told in `begins`");
    None
}

/// `like a dance hall on a sunday`: any of them, and no moment.
fn is_any_day(text: &Text<'_>, at: usize) -> bool {
    let led = text.has(at.wrapping_sub(1), Mark::A) && text.has(at.wrapping_sub(2), Mark::In);
    led && matches!(text.time(at), Some(TimeWord::Weekday(_) | TimeWord::Part(..)))
}

fn moment(text: &Text<'_>, at: usize) -> Option<(When, usize)> {
    let (bound, from) = bound(text, at);
    // `since 5 days`
    if bound == Some(Bound::Since)
        && let Some((span, next)) = span(text, from)
    {
        return Some((When { span: Some((span, Toward::Back)), bound, ..When::default() }, next));
    }
    // `from 10 to 17 July`
    let first = from + usize::from(text.is(from, Cue::From));
    if let Some((last, next)) = days(text, first) {
        return Some((When { date: Some(last), bound: Some(Bound::Until), ..When::default() }, next));
    }
    let (mut when, mut next) = component(text, from, bound.is_some())?;
    loop {
        let pause = usize::from(text.is_pause(next) && matches!(text.word(next), "," | ":"));
        let behind = when.clock.is_none() && (when.date.is_some() || when.part.is_some());
        let dotted = |at| clock_behind_day(text, at).filter(|_| behind);
        let dotted = |at| dotted(at).map(|(clock, to)| (When { clock: Some(clock), ..When::default() }, to));
        let Some((more, after)) = component(text, next + pause, false).or_else(|| dotted(next + pause))
        else {
            break;
        };
        let complements = (when.date.is_some() || when.part.is_some() || when.clock.is_some())
            && more.flag.is_none()
            && more.bound.is_none()
            && more.span.is_none();
        let back = matches!(when.span, Some((_, Toward::Back))) && more.clock.is_some();
        match when.and(more) {
            Some(both) if complements || back => (when, next) = (both, after),
            _ => break,
        }
    }
    // `last night`'s clock must not be taken for a bound of its own
    when.bound = bound;
    Some((when, next))
}

/// `3-10 april`, `april 3rd to 10th`: the last of some days.
fn days(text: &Text<'_>, at: usize) -> Option<(Date, usize)> {
    let day = |at: usize| match text.kind(at)? {
        Kind::Number(value) if value.fract() == 0.0 && (1.0..=31.0).contains(&value) => Some(value as u32),
        Kind::Ordinal(day) => Some(day),
        _ => None,
    };
    let month = |at: usize| match text.time(at)? {
        TimeWord::Month(month) => Some(month),
        _ => None,
    };
    let joint = |at: usize| text.is_sign(at, '-') || text.is(at, Cue::UntilJoint);
    let first = at + usize::from(month(at).is_some());
    let last = first + 2;
    if !(day(first)? < day(last)? && joint(first + 1)) {
        return None;
    }
    let of = usize::from(text.is(last + 1, Cue::Of));
    match month(at) {
        Some(month) => Some((Date::Calendar(None, month, day(last)?), last + 1)),
        None => Some((Date::Calendar(None, month(last + 1 + of)?, day(last)?), last + 2 + of)),
    }
}

/// `until`, `till`, `by`, `since`
fn bound(text: &Text<'_>, at: usize) -> (Option<Bound>, usize) {
    let ordinal = text.is(at + 1, Cue::The) && matches!(text.kind(at + 2), Some(Kind::Ordinal(_)));
    if text.is_time(at, TimeWord::Until)
        || (text.is(at, Cue::To) && (ordinal || looks_like_day(text, at + 1)))
    {
        let after = at + 1 + usize::from(text.is(at + 1, Cue::ClockLead));
        return (Some(Bound::Until), after);
    }
    if text.is_time(at, TimeWord::Since) && !text.is(at, Cue::Starting) {
        return (Some(Bound::Since), at + 1);
    }
    (None, at)
}

fn looks_like_day(text: &Text<'_>, at: usize) -> bool {
    let dated = text.time(at + 1).is_some_and(|word| matches!(word, TimeWord::Month(_)))
        && date(text, at, true).is_some();
    let digits = matches!(text.kind(at), Some(Kind::Pair(..) | Kind::Date(..) | Kind::Ordinal(_)));
    dated
        || digits
        || matches!(text.time(at), Some(TimeWord::Weekday(_) | TimeWord::Month(_) | TimeWord::Day(_)))
}

/// One component: a day, a clock time, a part of the day, a length of time.
fn component(text: &Text<'_>, at: usize, bounded: bool) -> Option<(When, usize)> {
    let week_before = text.is(at, Cue::LastWeek).then(|| date(text, at, false)).flatten();
    if let Some((date, next)) = week_before {
        return Some((When { date: Some(date), ..When::default() }, next));
    }
    if let Some(found) = flag(text, at).or_else(|| counted(text, at)) {
        return Some(found);
    }
    let lead = lead(text, at);
    let from = at + usize::from(lead != Lead::None);
    let days = lead == Lead::Day || bounded || text.is(at, Cue::From);
    let clocks = lead == Lead::Clock || bounded;
    if let Some((part, next)) = part(text, from, lead) {
        return Some((part, next));
    }
    if (lead != Lead::Clock || text.is(at, Cue::AnyLead))
        && let Some((date, next)) = date(text, from, days)
    {
        return Some((When { date: Some(date), ..When::default() }, next));
    }
    // `from 3 to 12` is no time of the clock.
    let (clock, next) = clock(text, from, clocks && !text.is(at, Cue::From))?;
    let rough = text.is(at, Cue::Rough);
    let bare = next == from + 1 && text.digits(from).or_else(|| text.cardinal(from)).is_some();
    // `like 12 to 14 inches`
    let ranges = text.is(next, Cue::UntilJoint) && number::read(text, next + 1).is_some();
    (!(rough && bare) || ends_phrase(text, next) && !ranges)
        .then_some((When { clock: Some(clock), ..When::default() }, next))
}

/// Whether nothing follows that the number could count.
fn ends_phrase(text: &Text<'_>, at: usize) -> bool {
    at >= text.tokens.len()
        || text.is_stop(at)
        || text.has_any(at, &[Mark::And, Mark::In, Mark::From, Mark::But, Mark::I])
        || text.time(at).is_some()
        || text.verb(at).is_some_and(|(_, forms)| forms.has(Forms::PAST))
}

/// What stands before a day or a clock time.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Lead {
    None,
    Clock,
    Day,
    /// `in the morning`
    Part,
}

fn lead(text: &Text<'_>, at: usize) -> Lead {
    if text.is(at, Cue::LeadsClock) && !text.is(at + 1, Cue::RoughOf) {
        Lead::Clock
    } else if text.is(at, Cue::On) {
        Lead::Day
    } else if text.is(at, Cue::LeadsPart) {
        Lead::Part
    } else {
        Lead::None
    }
}

fn flag(text: &Text<'_>, at: usize) -> Option<(When, usize)> {
    let flag = |flag| Some((When { flag: Some(flag), ..When::default() }, at + 1));
    if text.time_unit(at).is_some() && text.is_time(at + 1, TimeWord::Ago) {
        return Some((When { flag: Some(Flag::Vague), ..When::default() }, at + 2));
    }
    match text.time(at)? {
        TimeWord::Now => flag(Flag::Now),
        TimeWord::Vague => flag(Flag::Vague),
        TimeWord::Old => flag(Flag::Old),
        TimeWord::Earlier if text.is(at, Cue::SaysEarlier) => flag(Flag::Earlier),
        _ => None,
    }
}

/// `this morning`, `in the evening`, `at noon`, `tonight`, `last night`, `at midnight`
fn part(text: &Text<'_>, at: usize, lead: Lead) -> Option<(When, usize)> {
    let this = text.is_time(at, TimeWord::This);
    let last = text.is_time(at, TimeWord::Last);
    let the = text.is(at, Cue::The);
    let from = at + usize::from(this || last || the);
    let from = from + usize::from(text.is(from, Cue::EarlyLate));
    // `from the lunch boxes`
    if text.is(from, Cue::Meal) && the {
        return None;
    }
    let part = |hour, minute, night, today| Part { hour, minute, night, today };
    let told = match text.time(from)? {
        TimeWord::Part(hour, minute) if last => {
            let when = When {
                part: Some(part(hour, minute, hour == 21, false)),
                date: Some(Date::Days(-1)),
                ..When::default()
            };
            return Some((when, from + 1));
        }
        TimeWord::Part(hour, minute) => part(hour, minute, false, this),
        TimeWord::Tonight => part(21, 0, true, true),
        TimeWord::LastNight => {
            let when =
                When { part: Some(part(21, 0, true, false)), date: Some(Date::Days(-1)), ..When::default() };
            return Some((when, from + 1));
        }
        TimeWord::Midnight => {
            let clock = super::Clock { hour: 0, minute: 0, certain: true };
            return Some((When { clock: Some(clock), ..When::default() }, from + 1));
        }
        TimeWord::Am if this || follows_day(text, at) => part(8, 0, false, true),
        TimeWord::Pm if this || follows_day(text, at) => part(15, 0, false, true),
        _ => return None,
    };
    let bare = lead == Lead::None && !this && !the && text.is(from, Cue::PartOfDay);
    let after_day = text.time(at.wrapping_sub(1)).is_some() || text.is_stop(at.wrapping_sub(1)) || at == 0;
    // `evening! fed the blue one`
    let greets = bare && at == 0 && text.is_stop(from + 1) && !matches!(text.word(from + 1), ":" | ";" | "-");
    if bare && !after_day || greets {
        return None;
    }
    Some((When { part: Some(told), ..When::default() }, from + 1))
}

/// `yesterday pm`
fn follows_day(text: &Text<'_>, at: usize) -> bool {
    matches!(text.time(at.wrapping_sub(1)), Some(TimeWord::Day(_) | TimeWord::Weekday(_)))
}

/// `two days ago`, `in an hour`, `for a week`, `a week from now`
fn counted(text: &Text<'_>, at: usize) -> Option<(When, usize)> {
    // `opened it after two weeks` tells how long it took.
    let took = text.is(at, Cue::After)
        && (0..at).any(|i| text.verb(i).is_some_and(|(_, forms)| forms.has(Forms::PAST)));
    let ahead = text.is(at, Cue::WithinSpan) && !took;
    let during = text.is(at, Cue::For);
    let from = at + usize::from(ahead || during);
    let from = from
        + usize::from(
            text.has_any(from, &[Mark::About])
                && text.digits(from).is_none()
                && text.cardinal(from).is_none(),
        );
    let from = from
        + usize::from(
            (ahead || during) && text.is(from, Cue::TheOrAnother) && text.is_time(from + 1, TimeWord::Next),
        );
    let from = from + usize::from((ahead || during) && text.is_time(from, TimeWord::Next));
    let (span, next) = span(text, from)?;
    let when = |toward, next| Some((When { span: Some((span, toward)), ..When::default() }, next));
    if !ahead && !during {
        if text.is_time(next, TimeWord::Ago)
            || text.is(next, Cue::BackAgo)
            || text.is(next, Cue::Prior)
            || text.is(next, Cue::Since)
        {
            return when(Toward::Back, next + 1);
        }
        let from_now = text.is(next, Cue::FromNow)
            && (text.is(next, Cue::Hence)
                || text.is(next + 1, Cue::Now)
                || text.is_time(next + 1, TimeWord::Now));
        if from_now {
            return when(Toward::Ahead, next + if text.is(next, Cue::Hence) { 1 } else { 2 });
        }
        return None;
    }
    let next = next + usize::from(text.is(next, Cue::TailS));
    let next = next + usize::from(text.is(next, Cue::Time) || text.is(next, Cue::Times));
    if during {
        when(Toward::During, next)
    } else if span.unit == TimeUnit::Year || span.count > 0.0 {
        when(Toward::Ahead, next)
    } else {
        None
    }
}
