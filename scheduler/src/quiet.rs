//! The hours in which nothing is sent.

use std::fmt;
use std::str::FromStr;

use chrono::{DateTime, Days, NaiveDateTime, NaiveTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// Local hours in which nothing is sent, from the first minute (quiet) to the last (not quiet any more).
///
/// They may span midnight. Where both are the same there are none.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Quiet {
    /// When quiet begins.
    pub from: NaiveTime,
    /// When it is over.
    pub to: NaiveTime,
}

/// Quiet hours that cannot be read: they are written `22:00-07:00`.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("quiet hours are written like 22:00-07:00, not `{0}`")]
pub struct InvalidQuiet(String);

impl Quiet {
    /// No quiet hours at all.
    pub const OFF: Self = Self { from: NaiveTime::MIN, to: NaiveTime::MIN };

    /// Whether there are none.
    pub fn is_off(&self) -> bool {
        self.from == self.to
    }

    /// Whether a local time lies in quiet hours.
    pub fn covers(&self, local: NaiveTime) -> bool {
        if self.from <= self.to {
            self.from <= local && local < self.to
        } else {
            local >= self.from || local < self.to
        }
    }

    /// The first instant from `instant` on that is not in quiet hours.
    ///
    /// Clock changes are met as people meet them: where the end of quiet falls into hours that a change to summer time
    /// skips, the first instant after the gap; where it comes twice in autumn, the first time it comes, unless
    /// that is over.
    pub fn hold(&self, instant: DateTime<Utc>, zone: Tz) -> DateTime<Utc> {
        let mut held = instant;
        // At most a fold brings a second round: the end of quiet came, and the clock went back into it.
        for _ in 0..3 {
            let local = held.with_timezone(&zone).naive_local();
            if !self.covers(local.time()) {
                return held;
            }
            held = self.end_after(local, held, zone);
        }
        held
    }

    fn end_after(&self, local: NaiveDateTime, instant: DateTime<Utc>, zone: Tz) -> DateTime<Utc> {
        let today = local.date().and_time(self.to);
        let end = if today > local {
            today
        } else {
            local.date().checked_add_days(Days::new(1)).map_or(today, |day| day.and_time(self.to))
        };
        instant_of(end, instant, zone)
    }
}

/// The first instant after `after` at which clocks in `zone` show `local`, or the end of the gap that skips it.
fn instant_of(local: NaiveDateTime, after: DateTime<Utc>, zone: Tz) -> DateTime<Utc> {
    let candidates = zone.from_local_datetime(&local);
    [candidates.earliest(), candidates.latest()]
        .into_iter()
        .flatten()
        .map(|found| found.to_utc())
        .find(|found| *found > after)
        .unwrap_or_else(|| end_of_gap(local, after, zone))
}

/// The first whole minute whose local time is past `local`, looked for from an hour before the gap can begin.
///
/// The longest gap of the zone data is a day (Samoa skipped 30 December 2011).
fn end_of_gap(local: NaiveDateTime, after: DateTime<Utc>, zone: Tz) -> DateTime<Utc> {
    let offset = after.with_timezone(&zone).naive_local() - after.naive_utc();
    let guess = local.checked_sub_signed(offset).map_or(after, |naive| naive.and_utc());
    let start = guess.checked_sub_signed(TimeDelta::hours(25)).unwrap_or(guess).max(after);
    (0..=50 * 60)
        .filter_map(|minutes| start.checked_add_signed(TimeDelta::minutes(minutes)))
        .find(|instant| instant.with_timezone(&zone).naive_local() >= local)
        .unwrap_or(guess)
}

impl Default for Quiet {
    /// 21:30 to 07:30.
    fn default() -> Self {
        let time = |hour, minute| NaiveTime::from_hms_opt(hour, minute, 0).unwrap_or_default();
        Self { from: time(21, 30), to: time(7, 30) }
    }
}

impl fmt::Display for Quiet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}-{}", self.from.format("%H:%M"), self.to.format("%H:%M"))
    }
}

impl FromStr for Quiet {
    type Err = InvalidQuiet;

    /// Reads `22:00-07:00`.
    ///
    /// # Errors
    /// Where it is not two times of day with a hyphen between.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let time = |part: &str| NaiveTime::parse_from_str(part.trim(), "%H:%M").ok();
        text.split_once('-')
            .and_then(|(from, to)| Some(Self { from: time(from)?, to: time(to)? }))
            .ok_or_else(|| InvalidQuiet(text.to_owned()))
    }
}

impl Serialize for Quiet {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Quiet {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(de::Error::custom)
    }
}
