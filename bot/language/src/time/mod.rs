//! Times: what people write, and which instant that is in the room's zone.

mod calendar;
mod clock;
mod parse;
mod resolve;
mod span;

use crate::lexicon::{Day, TimeUnit};

pub(crate) use parse::read;
pub(crate) use resolve::{Direction, Moment, Placed, Zoned};
pub(crate) use span::span;

/// A time as told, before it is placed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct When {
    pub(crate) date: Option<Date>,
    pub(crate) clock: Option<Clock>,
    pub(crate) part: Option<Part>,
    pub(crate) span: Option<(Span, Toward)>,
    pub(crate) bound: Option<Bound>,
    pub(crate) flag: Option<Flag>,
}

/// A day as told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Date {
    /// From today.
    Days(i64),
    Weekday(Day, Which),
    /// Year where told, month, day.
    Calendar(Option<i32>, u32, u32),
    DayOfMonth(u32),
    /// `3/14`: which is the month depends on the room.
    Pair(u32, u32),
    /// `14/3/2026` with the same doubt.
    Triple(u32, u32, i32),
    /// The weekend, the end of the week or the month, next week.
    Weekend,
    EndOfWeek,
    EndOfMonth,
    NextWeek,
    NextMonth,
}

/// `last`, `this`, `next` before a weekday.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Which {
    Plain,
    Last,
    This,
    Next,
    /// `Tuesday last week`
    WeekBefore,
}

/// A time on the clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Clock {
    pub(crate) hour: u32,
    pub(crate) minute: u32,
    /// The half of the day is certain.
    pub(crate) certain: bool,
}

/// A part of the day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Part {
    pub(crate) hour: u32,
    pub(crate) minute: u32,
    /// `last night`, `tonight`: the night belongs to the evening it begins in.
    pub(crate) night: bool,
    /// `this morning`, `tonight`: today's.
    pub(crate) today: bool,
}

/// A length of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    pub(crate) count: f64,
    pub(crate) unit: TimeUnit,
}

/// In which direction a length of time is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Toward {
    /// `ago`
    Back,
    /// `in an hour`
    Ahead,
    /// `for a week`
    During,
}

/// `until`, `since`, `from`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Bound {
    Until,
    Since,
}

/// Times that are none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Flag {
    Now,
    Vague,
    Old,
    Earlier,
}

impl When {
    /// Both together, where they do not contradict: `yesterday` and `at 7`.
    pub(crate) fn and(self, other: Self) -> Option<Self> {
        #[expect(
            clippy::option_option,
            reason = "the outer one says whether they agree, the inner one whether there is any"
        )]
        fn one<T>(a: Option<T>, b: Option<T>) -> Option<Option<T>> {
            if a.is_some() && b.is_some() { None } else { Some(a.or(b)) }
        }
        Some(Self {
            date: one(self.date, other.date)?,
            clock: one(self.clock, other.clock)?,
            part: one(self.part, other.part)?,
            span: one(self.span, other.span)?,
            bound: one(self.bound, other.bound)?,
            flag: one(self.flag, other.flag)?,
        })
    }

    /// Whether it says when something was (and is no bound or duration).
    pub(crate) fn is_moment(&self) -> bool {
        self.bound.is_none() && !matches!(self.span, Some((_, Toward::During)))
    }
}
