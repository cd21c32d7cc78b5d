//! Which instant a told time is, in the room's zone.

use chrono::{
    DateTime, Datelike, Days, Duration, FixedOffset, LocalResult, Months, NaiveDate, NaiveDateTime,
    NaiveTime, TimeZone, Timelike, Weekday,
};
use chrono_tz::Tz;

use super::clock::is_on_a_clock;
use super::{Bound, Clock, Date, Flag, Part, Span, Toward, When, Which};
use crate::lexicon::TimeUnit;
use crate::message::Units;
use crate::reading::Precision;

/// The hours at which an evening and a night are placed.
const EVENING: u32 = 19;
const NIGHT: u32 = 21;

/// Where a told time lies: a report is of the past, a promise of the future.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Direction {
    Past,
    Future,
}

/// An instant and how exactly it was told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Moment {
    pub(crate) at: DateTime<FixedOffset>,
    pub(crate) precision: Precision,
}

/// What came of placing a time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Placed {
    /// Just now, or no time at all.
    Now,
    At(Moment),
    /// So many minutes from now.
    Minutes(f64),
    /// Lies ahead where it must lie behind.
    Ahead,
    /// Cannot be placed.
    Unclear,
}

/// The present moment in the room's zone.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Zoned {
    pub(crate) now: DateTime<Tz>,
    pub(crate) units: Units,
}

/// Some 95 years: nobody means more, and the calendar holds it.
const MOST_MINUTES: f64 = 5e7;
/// A clock may be a little ahead of the message's.
const SLACK: Duration = Duration::minutes(5);

impl Zoned {
    /// Whether `3/14` has its month first: in the United States, and with the old measures elsewhere in America.
    fn tells_month_first(&self) -> bool {
        let in_america = || self.now.timezone().name().starts_with("America/");
        self.units == Units::Us || self.units == Units::Imperial && in_america()
    }

    fn today(&self) -> NaiveDate {
        self.now.date_naive()
    }

    /// The instant of a local time. A time that the clocks skip counts from before the gap (so it lands as much later);
    /// one that comes twice is the first.
    fn instant(&self, local: NaiveDateTime) -> DateTime<FixedOffset> {
        let zone = self.now.timezone();
        match zone.from_local_datetime(&local) {
            LocalResult::Single(at) | LocalResult::Ambiguous(at, _) => at.fixed_offset(),
            LocalResult::None => {
                let before = zone.from_local_datetime(&(local - Duration::hours(3))).earliest();
                before.map_or_else(|| self.now.fixed_offset(), |at| (at + Duration::hours(3)).fixed_offset())
            }
        }
    }

    fn on(&self, date: NaiveDate, hour: u32, minute: u32) -> DateTime<FixedOffset> {
        let time = NaiveTime::from_hms_opt(hour, minute, 0).unwrap_or(NaiveTime::MIN);
        self.instant(date.and_time(time))
    }

    /// Places a time in the given direction.
    pub(crate) fn place(&self, when: &When, direction: Direction) -> Placed {
        match when.flag {
            Some(Flag::Now) => return Placed::Now,
            Some(Flag::Vague | Flag::Old) => return Placed::Unclear,
            Some(Flag::Earlier) if when.date.is_none() && when.clock.is_none() && when.part.is_none() => {
                return Placed::Now;
            }
            _ => {}
        }
        if when.clock.is_some_and(|clock| !is_on_a_clock(clock.hour, clock.minute)) {
            return Placed::Unclear;
        }
        let date = match when.span {
            Some((span, toward)) => match self.counted(span, toward) {
                Counted::Moment(placed) => return placed,
                Counted::Date(date) => Some(date),
            },
            None => match when.date {
                Some(date) => match self.date(date, direction) {
                    Some(date) => Some(date),
                    None => return Placed::Unclear,
                },
                None => None,
            },
        };
        let moment = match (date, when.clock, when.part) {
            (None, None, None) => return Placed::Now,
            (Some(date), None, None) => Moment { at: self.on(date, 12, 0), precision: Precision::Day },
            (date, None, Some(part)) => self.part(date, part, direction),
            (None, Some(clock), None) => self.clock(clock, direction),
            (Some(date), Some(clock), None) => self.clock_on(date, clock, direction),
            (date, Some(clock), Some(part)) => self.clock_in_part(date, clock, part, direction),
        };
        self.checked(moment, direction, when.bound)
    }

    /// A report of the future is none.
    fn checked(&self, moment: Moment, direction: Direction, bound: Option<Bound>) -> Placed {
        let ahead = match moment.precision {
            Precision::Minute => moment.at > self.now + SLACK,
            Precision::Part | Precision::Day => {
                moment.at.with_timezone(&self.now.timezone()).date_naive() > self.today()
            }
        };
        if ahead && direction == Direction::Past && bound != Some(Bound::Until) {
            Placed::Ahead
        } else {
            Placed::At(moment)
        }
    }

    fn counted(&self, span: Span, toward: Toward) -> Counted {
        let sign = if toward == Toward::Back { -1 } else { 1 };
        let days = |per: f64| {
            let days = (span.count * per).round() as i64 * sign;
            Counted::Date(self.today() + Duration::days(days.clamp(-40_000, 40_000)))
        };
        let months = |per: f64| {
            let count = Months::new((span.count * per).round().clamp(0.0, 1_200.0) as u32);
            let date = if sign < 0 {
                self.today().checked_sub_months(count)
            } else {
                self.today().checked_add_months(count)
            };
            Counted::Date(date.unwrap_or_else(|| self.today()))
        };
        match span.unit {
            TimeUnit::Second | TimeUnit::Minute | TimeUnit::Hour => {
                let minutes = span.count * super::span::minutes_of(span.unit).unwrap_or(1.0);
                if sign > 0 {
                    return Counted::Moment(Placed::Minutes(minutes));
                }
                let at = self.now - Duration::seconds((minutes.min(MOST_MINUTES) * 60.0).round() as i64);
                Counted::Moment(Placed::At(Moment { at: at.fixed_offset(), precision: Precision::Minute }))
            }
            TimeUnit::Day => days(1.0),
            TimeUnit::Night => {
                let date = self.today() + Duration::days(sign * (span.count.round() as i64).clamp(0, 40_000));
                let moment = Moment { at: self.on(date, 21, 0), precision: Precision::Part };
                Counted::Moment(Placed::At(moment))
            }
            TimeUnit::Week => days(7.0),
            TimeUnit::Fortnight => days(14.0),
            TimeUnit::Month => months(1.0),
            TimeUnit::Year => months(12.0),
        }
    }

    fn date(&self, date: Date, direction: Direction) -> Option<NaiveDate> {
        let today = self.today();
        let future = direction == Direction::Future;
        Some(match date {
            Date::Days(days) => today + Duration::days(days),
            Date::Weekday(day, which) => self.weekday(day, which, future),
            Date::Calendar(Some(year), month, day) => NaiveDate::from_ymd_opt(year, month, day)?,
            Date::Calendar(None, month, day) => nearest_year(today, month, day, future)?,
            Date::DayOfMonth(day) => nearest_month(today, day, future)?,
            Date::Pair(a, b) => {
                let us = self.tells_month_first();
                let (month, day) = if us { (a, b) } else { (b, a) };
                nearest_year(today, month, day, future).or_else(|| nearest_year(today, day, month, future))?
            }
            Date::Triple(a, b, year) => {
                let (month, day) = if self.tells_month_first() { (a, b) } else { (b, a) };
                let (told, swapped) =
                    (NaiveDate::from_ymd_opt(year, month, day), NaiveDate::from_ymd_opt(year, day, month));
                let fits = |date: &NaiveDate| future || *date <= today;
                told.filter(fits).or(swapped.filter(fits)).or(told).or(swapped)?
            }
            Date::Weekend if future => next_weekday(today, Weekday::Sat),
            Date::EndOfWeek if future => next_weekday(today, Weekday::Sun),
            Date::NextWeek => next_weekday(today, Weekday::Mon),
            Date::EndOfMonth | Date::NextMonth => {
                let first = today.with_day(1)?.checked_add_months(Months::new(1))?;
                if date == Date::NextMonth { first } else { first - Days::new(1) }
            }
            Date::Weekend | Date::EndOfWeek => return None,
        })
    }

    fn weekday(&self, day: Weekday, which: Which, future: bool) -> NaiveDate {
        let today = self.today();
        let ahead = which == Which::Next || (future && which != Which::Last);
        if ahead {
            return next_weekday(today, day);
        }
        if which == Which::WeekBefore {
            let monday = today - Duration::days(i64::from(today.weekday().num_days_from_monday()) + 7);
            return monday + Duration::days(i64::from(day.num_days_from_monday()));
        }
        if which == Which::This && today.weekday() == day {
            return today;
        }
        let back = (7 + today.weekday().num_days_from_monday() - day.num_days_from_monday()) % 7;
        today - Duration::days(i64::from(if back == 0 { 7 } else { back }))
    }

    fn part(&self, date: Option<NaiveDate>, part: Part, direction: Direction) -> Moment {
        let today = self.today();
        // `after dinner`, said in the evening: later that evening.
        let goes_on = direction == Direction::Future
            && part.hour == EVENING
            && (EVENING..NIGHT).contains(&self.now.hour());
        let part_hour = if goes_on && date.is_none_or(|date| date == today) { NIGHT } else { part.hour };
        let date = date.unwrap_or_else(|| {
            let hour = i64::from(self.now.hour());
            let begins = i64::from(part_hour);
            match direction {
                Direction::Past if !part.today && begins - hour > 3 => today - Days::new(1),
                Direction::Future if !part.today && begins <= hour => today + Days::new(1),
                _ => today,
            }
        });
        Moment { at: self.on(date, part_hour, part.minute), precision: Precision::Part }
    }

    /// The latest such time not after now, or the first after it.
    fn clock(&self, clock: Clock, direction: Direction) -> Moment {
        let days: &[i64] = if direction == Direction::Past { &[0, -1] } else { &[0, 1] };
        let mut found: Option<DateTime<FixedOffset>> = None;
        for day in days {
            for hour in hours(clock) {
                let at = self.on(self.today() + Duration::days(*day), hour, clock.minute);
                let better = match direction {
                    Direction::Past => at <= self.now + SLACK && found.is_none_or(|known| at > known),
                    Direction::Future => at > self.now && found.is_none_or(|known| at < known),
                };
                if better {
                    found = Some(at);
                }
            }
        }
        let at = found.unwrap_or_else(|| self.on(self.today(), clock.hour, clock.minute));
        Moment { at, precision: Precision::Minute }
    }

    fn clock_on(&self, date: NaiveDate, clock: Clock, direction: Direction) -> Moment {
        let mut options: Vec<DateTime<FixedOffset>> =
            hours(clock).map(|hour| self.on(date, hour, clock.minute)).collect();
        options.sort_unstable();
        let at = match direction {
            Direction::Past => options.iter().rev().find(|at| **at <= self.now + SLACK).or(options.first()),
            Direction::Future => options.iter().find(|at| **at > self.now).or(options.last()),
        };
        Moment {
            at: at.copied().unwrap_or_else(|| self.on(date, clock.hour, clock.minute)),
            precision: Precision::Minute,
        }
    }

    /// `7 in the evening`, `last night at 1`: the part decides the half of the day.
    fn clock_in_part(
        &self,
        date: Option<NaiveDate>,
        clock: Clock,
        part: Part,
        direction: Direction,
    ) -> Moment {
        let noonish = part.hour == 12;
        let hour = if clock.certain {
            clock.hour
        } else if part.hour < 12 || (part.hour == 21 && (clock.hour == 12 || clock.hour < 5)) {
            clock.hour % 12
        } else if noonish && (10..12).contains(&clock.hour) {
            clock.hour
        } else {
            clock.hour % 12 + 12
        };
        let after_midnight = part.hour == 21 && hour < 6;
        let exact = Clock { hour, minute: clock.minute, certain: true };
        let date = match date {
            Some(date) => date,
            None if part.today => self.today(),
            None if after_midnight => return self.clock(exact, direction),
            None => return self.clock(exact, direction),
        };
        // The small hours of a night belong to the next date.
        let date = if after_midnight && part.night { date + Days::new(1) } else { date };
        Moment { at: self.on(date, hour, clock.minute), precision: Precision::Minute }
    }

    /// Where a length of time that begins at `from` (or now) ends; `None` where minutes say it better.
    pub(crate) fn end_of(&self, span: Span, from: Option<Moment>) -> Moment {
        let start = from.map_or(self.now, |moment| moment.at.with_timezone(&self.now.timezone()));
        let there = Zoned { now: start, units: self.units };
        match there.counted(span, Toward::Ahead) {
            Counted::Date(date) => Moment { at: self.on(date, 12, 0), precision: Precision::Day },
            Counted::Moment(Placed::Minutes(minutes)) => Moment {
                at: (start + Duration::seconds((minutes.min(MOST_MINUTES) * 60.0) as i64)).fixed_offset(),
                precision: Precision::Minute,
            },
            Counted::Moment(Placed::At(moment)) => moment,
            Counted::Moment(_) => Moment { at: start.fixed_offset(), precision: Precision::Minute },
        }
    }
}

enum Counted {
    Moment(Placed),
    Date(NaiveDate),
}

/// The hours of the day that a clock time can be.
fn hours(clock: Clock) -> impl Iterator<Item = u32> {
    let other = if clock.certain || clock.hour > 12 { None } else { Some((clock.hour + 12) % 24) };
    std::iter::once(clock.hour % 24).chain(other)
}

fn next_weekday(today: NaiveDate, day: Weekday) -> NaiveDate {
    let ahead = (7 + day.num_days_from_monday() - today.weekday().num_days_from_monday()) % 7;
    today + Duration::days(i64::from(if ahead == 0 { 7 } else { ahead }))
}

/// The year in which a date lies nearest in the direction: a report's not after today, a promise's not before it.
fn nearest_year(today: NaiveDate, month: u32, day: u32, future: bool) -> Option<NaiveDate> {
    let years = if future { [0, 1, 2, 3, 4] } else { [0, -1, -2, -3, -4] };
    years
        .iter()
        .filter_map(|shift| NaiveDate::from_ymd_opt(today.year() + shift, month, day))
        .find(|date| if future { *date >= today } else { *date <= today })
}

/// The month in which a day of the month lies nearest in the direction.
fn nearest_month(today: NaiveDate, day: u32, future: bool) -> Option<NaiveDate> {
    let first = today.with_day(1)?;
    (0..4)
        .filter_map(|n| {
            if future {
                first.checked_add_months(Months::new(n))
            } else {
                first.checked_sub_months(Months::new(n))
            }
        })
        .filter_map(|month| month.with_day(day))
        .find(|date| if future { *date >= today } else { *date <= today })
}
