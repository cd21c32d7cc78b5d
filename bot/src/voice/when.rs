//! Moments as people say them, in the room's zone.

use chrono::{DateTime, Datelike, NaiveDate, Timelike, Utc};
use chrono_tz::Tz;

use super::Voice;
use crate::say;

/// Says moments, seen from now.
#[derive(Clone, Copy)]
pub struct Calendar<'a> {
    /// The words.
    pub voice: &'a Voice,
    /// The room's zone.
    pub zone: Tz,
    /// Now.
    pub now: DateTime<Utc>,
}

impl Calendar<'_> {
    /// A day: `today`, `tomorrow`, `Thu 4 June`, `4 June 2027`.
    pub fn day(&self, instant: DateTime<Utc>) -> String {
        let (day, today) = (self.date_of(instant), self.date_of(self.now));
        match day.signed_duration_since(today).num_days() {
            0 => self.voice.word("today"),
            1 => self.voice.word("tomorrow"),
            -1 => self.voice.word("yesterday"),
            -300..=300 => {
                say!(self.voice, "weekday-date", weekday = self.weekday(day), date = self.month_day(day))
                    .plain()
            }
            _ => say!(self.voice, "date-year", date = self.month_day(day), year = day.year().to_string())
                .plain(),
        }
    }

    /// A day with its weekday and its year, whatever day it is now: `Thu 4 June 2026`.
    pub fn date(&self, instant: DateTime<Utc>) -> String {
        let day = self.date_of(instant);
        let date = say!(self.voice, "date-year", date = self.month_day(day), year = day.year().to_string());
        say!(self.voice, "weekday-date", weekday = self.weekday(day), date = date).plain()
    }

    /// A day in little room: `4 Jun`.
    pub fn short(&self, instant: DateTime<Utc>) -> String {
        let day = self.date_of(instant);
        say!(self.voice, "month-day", day = day.day().to_string(), month = self.month(day)).plain()
    }

    /// A month in little room: `Jun`.
    pub fn month(&self, day: NaiveDate) -> String {
        self.listed("months-short", day.month0() as usize)
    }

    /// A span of days, without repeating the month: `2 to 8 June`.
    pub fn span(&self, from: DateTime<Utc>, to: DateTime<Utc>) -> String {
        let (first, last) = (self.date_of(from), self.date_of(to));
        if first == last {
            return self.day(from);
        }
        let same_month = (first.month(), first.year()) == (last.month(), last.year());
        let from = if same_month { first.day().to_string() } else { self.month_day(first) };
        let mut to = self.month_day(last);
        if last.year() != first.year() {
            to = say!(self.voice, "date-year", date = to, year = last.year().to_string()).plain();
        }
        say!(self.voice, "span", from = from, to = to).plain()
    }

    /// A moment: `18:05` today, else with its day.
    pub fn moment(&self, instant: DateTime<Utc>) -> String {
        let local = instant.with_timezone(&self.zone);
        let clock = format!("{:02}:{:02}", local.hour(), local.minute());
        if local.date_naive() == self.date_of(self.now) {
            return clock;
        }
        say!(self.voice, "day-clock", day = self.day(instant), clock = clock).plain()
    }

    /// When something comes: `at 18:05` today, else with its day.
    pub fn at(&self, instant: DateTime<Utc>) -> String {
        let local = instant.with_timezone(&self.zone);
        let clock = format!("{:02}:{:02}", local.hour(), local.minute());
        if local.date_naive() == self.date_of(self.now) {
            return say!(self.voice, "at-clock", clock = clock).plain();
        }
        say!(self.voice, "day-at-clock", day = self.day(instant), clock = clock).plain()
    }

    fn date_of(&self, instant: DateTime<Utc>) -> NaiveDate {
        instant.with_timezone(&self.zone).date_naive()
    }

    fn month_day(&self, day: NaiveDate) -> String {
        let month = self.listed("months", day.month0() as usize);
        say!(self.voice, "month-day", day = day.day().to_string(), month = month).plain()
    }

    fn weekday(&self, day: NaiveDate) -> String {
        self.listed("weekdays", day.weekday().num_days_from_monday() as usize)
    }

    fn listed(&self, id: &str, place: usize) -> String {
        self.voice.word(id).split_whitespace().nth(place).unwrap_or_default().to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn instant(text: &str) -> DateTime<Utc> {
        DateTime::parse_from_rfc3339(text).unwrap().to_utc()
    }

    #[test]
    fn speaks_of_days_in_the_rooms_zone() {
        let voice = Voice::english();
        let calendar =
            Calendar { voice: &voice, zone: Tz::Europe__Vienna, now: instant("2026-05-30T23:30:00Z") };
        let days =
            ["2026-05-31T10:00:00Z", "2026-05-31T22:30:00Z", "2026-06-04T10:00:00Z", "2027-06-04T10:00:00Z"];
        let said = days.map(|day| calendar.day(instant(day)));
        assert_eq!(said, ["today", "tomorrow", "Thu 4 June", "4 June 2027"]);
        let span = |from, to| calendar.span(instant(from), instant(to));
        assert_eq!(span("2026-06-02T10:00:00Z", "2026-06-08T10:00:00Z"), "2 to 8 June");
        assert_eq!(span("2026-06-28T10:00:00Z", "2026-07-03T10:00:00Z"), "28 June to 3 July");
        assert_eq!(span("2026-12-28T10:00:00Z", "2027-01-03T10:00:00Z"), "28 December to 3 January 2027");
        assert_eq!(calendar.moment(instant("2026-05-31T16:05:00Z")), "18:05");
        assert_eq!(calendar.moment(instant("2026-06-04T16:05:00Z")), "Thu 4 June, 18:05");
    }
}
