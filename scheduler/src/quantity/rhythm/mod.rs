//! Rhythm: how much goes in (or is used) in a day, by weekday and hour, and when a total will have been reached.
//!
//! Amounts come in lots. Their total over a time is taken as a gamma-Poisson process in units of its dispersion: after a
//! total of `x` in `t` days, with a prior of `x0` in `t0`, the mean a day is `(x + x0) / (t + t0)` and its relative
//! variance `dispersion / (x + x0)`. Source: the conjugate update of counts, shape + events, rate + periods (Berry;
//! CRAN glmbayes). Weekdays and hours are shares of the mean, drawn to equal shares while the data are few.

mod day;

use chrono::{DateTime, Datelike, Timelike, Utc};
use chrono_tz::Tz;
use statrs::distribution::{ContinuousCDF, Normal};

use self::day::{Day, hours, passed, share_by};
use super::{Derivation, Estimate, Origin, Source};
use crate::state::Room;
use crate::units::Days;

/// Amounts at moments, in order of time.
pub(super) type Events = Vec<(DateTime<Utc>, f64)>;

/// What is taken for granted before a room has told much.
pub(super) struct Prior {
    /// Amount a day.
    pub(super) per_day: f64,
    /// Days of observation this is worth.
    pub(super) weight: f64,
    /// Amount of a lot.
    pub(super) lot: f64,
    /// Where it comes from.
    pub(super) source: Source,
}

/// How a total grows.
#[derive(Clone, Debug)]
pub(super) struct Rhythm {
    /// Mean amount a day.
    pub(super) per_day: f64,
    /// Relative standard deviation of that mean.
    pub(super) doubt: f64,
    /// Variance of a total over its mean.
    pub(super) dispersion: f64,
    /// Shares of the weekdays from Monday on; their mean is 1.
    weekdays: [f64; 7],
    /// Share of a day's amount that has come by the end of each hour.
    hours: [f64; 24],
    /// Share of today's amount that has come: by the hour, and by what was told today.
    passed: f64,
    /// Days from now for which nobody is there to add anything.
    away: f64,
    /// Those who are away while others are here: days until each is back, and their share of what comes.
    absent: Vec<(f64, f64)>,
    observations: usize,
    source: Source,
}

/// What each person's absence takes away.
const SHARED: Source =
    Source::Judgement("by the lots that each has told, as if each had told ten equal ones before");

/// A total of lots is skewed: its median is below its mean by this share of its dispersion. For lots at random whose
/// sizes spread by a half it is a sixth of the third cumulant over the second (Cornish & Fisher 1938; from memory).
const SKEW: f64 = 0.2;
/// The rhythm itself changes from month to month by about this share.
const DRIFT: f64 = 0.08;
/// The prior of the dispersion is worth so many days.
const DISPERSION_WEIGHT: f64 = 3.0;
/// Prior variance of a weekday's share, and its worth in weeks.
const WEEKDAY_VARIANCE: f64 = 0.06;
const WEEKDAY_WEIGHT: f64 = 3.0;
impl Rhythm {
    /// The rhythm of events up to a moment, on the clock of a zone.
    pub(super) fn of(events: &Events, prior: &Prior, now: DateTime<Utc>, zone: Tz) -> Self {
        let hours = hours(events, zone);
        let passed = passed(events, &hours, now, zone);
        let days = Day::all(events, passed, now, zone);
        let days_observed: f64 = days.iter().map(|day| day.weight * day.exposure).sum();
        let amount: f64 = days.iter().map(|day| day.weight * day.amount).sum();
        let per_day =
            ((amount + prior.per_day * prior.weight) / (days_observed + prior.weight)).max(f64::MIN_POSITIVE);
        let lot_dispersion = lot_dispersion(events, prior);
        let mut rhythm = Self {
            per_day,
            doubt: 0.0,
            dispersion: lot_dispersion,
            weekdays: [1.0; 7],
            hours,
            passed,
            away: 0.0,
            absent: Vec::new(),
            observations: events.len(),
            source: prior.source,
        };
        rhythm.weekdays = rhythm.weekdays(&days);
        rhythm.dispersion = rhythm.dispersion(&days, lot_dispersion);
        let seen = per_day * (days_observed + prior.weight);
        rhythm.doubt = (rhythm.dispersion / seen + DRIFT * DRIFT).sqrt().min(1.0);
        rhythm
    }

    /// The rhythm of those who are there: nothing comes before somebody is, and less while some of them are away.
    ///
    /// Of those who did not say until when they are away nothing is foreseen.
    pub(super) fn of_those_here(self, room: &Room, now: DateTime<Utc>) -> Self {
        let days_until = |back: DateTime<Utc>| Days::of(back - now).get().max(0.0);
        let away = room.somebody_here(now).map_or(0.0, days_until);
        let absent = room.shares_of_absent(now).into_iter();
        let absent = absent.map(|(back, share)| (days_until(back), share.get()));
        Self { away, absent: absent.filter(|(back, _)| *back > away).collect(), ..self }
    }

    /// The share of a usual day's amount that comes on a day counted from today, `now` of which has passed: 1 where all
    /// are there.
    pub(super) fn attendance(&self, day: usize, now: f64) -> f64 {
        let gone = |(back, share): &(f64, f64)| share * (now + back - day as f64).clamp(0.0, 1.0);
        (1.0 - self.absent.iter().map(gone).sum::<f64>()).clamp(0.0, 1.0)
    }

    /// Whole days from now on which nothing comes, as nobody is there.
    pub(super) fn days_away(&self) -> usize {
        self.away.round() as usize
    }

    /// Adds the rhythm's terms to a derivation, under its own names.
    pub(super) fn explain(
        &self,
        why: Derivation,
        unit: &'static str,
        now: DateTime<Utc>,
        zone: Tz,
    ) -> Derivation {
        let local = now.with_timezone(&zone);
        let start = f64::from(local.weekday().num_days_from_monday())
            + f64::from(local.num_seconds_from_midnight()) / 86_400.0;
        let learnt = || Origin::Learnt { observations: self.observations, prior: self.source };
        let band = 1.0 + Z_80 * self.doubt;
        let per_day = Estimate::between(self.per_day / band, self.per_day, self.per_day * band);
        let numbered =
            |shares: &[f64]| shares.iter().enumerate().map(|(n, share)| (n as f64, *share)).collect();
        let why = if self.away > 0.0 { why.clock("away", Days(self.away)) } else { why };
        let why = if self.absent.is_empty() {
            why
        } else {
            why.course("absent", self.absent.clone(), "1", Origin::Constant(SHARED))
        };
        why.term("per_day", per_day, unit, learnt())
            .term("doubt", Estimate::exact(self.doubt), "1", learnt())
            .term("dispersion", Estimate::exact(self.dispersion), unit, learnt())
            .course("weekdays", numbered(&self.weekdays), "1", learnt())
            .course("hours", numbered(&self.hours), "1", learnt())
            .term("passed", Estimate::exact(self.passed), "1", learnt())
            .term("start", Estimate::exact(start), "d", Origin::Clock)
    }

    /// The rhythm that a derivation was given.
    pub(super) fn from_terms(why: &Derivation) -> Self {
        let mut weekdays = [1.0; 7];
        let mut hours = [1.0; 24];
        for (share, (_, told)) in weekdays.iter_mut().zip(why.points("weekdays")) {
            *share = *told;
        }
        for (share, (_, told)) in hours.iter_mut().zip(why.points("hours")) {
            *share = *told;
        }
        Self {
            per_day: why.value("per_day"),
            doubt: why.value("doubt"),
            dispersion: why.value("dispersion"),
            weekdays,
            hours,
            passed: why.value("passed"),
            away: why.value("away"),
            absent: why.points("absent").to_vec(),
            observations: 0,
            source: Source::Practice,
        }
    }

    /// The days until a total is reached, with the middle 80 %. Needs are the possible amounts still wanted, each with its
    /// weight; `start` is the weekday and its part passed.
    pub(super) fn reaches(&self, needs: &[(f64, f64)], start: f64, longest: Days) -> Estimate {
        let at = |chance: f64| self.reaches_with(chance, needs, start, longest);
        Estimate::between(at(EARLY), at(0.5), at(LATE))
    }

    /// The days until a total has been reached with the given chance.
    pub(super) fn reaches_with(&self, chance: f64, needs: &[(f64, f64)], start: f64, longest: Days) -> f64 {
        self.days_for(self.expected_for(needs, chance, longest), start, longest)
    }

    /// The expected amount at which a needed one has been reached with the given chance.
    fn expected_for(&self, needs: &[(f64, f64)], chance: f64, longest: Days) -> f64 {
        let all: f64 = needs.iter().map(|(weight, _)| weight).sum();
        let chance_at = |expected: f64| {
            let reached = needs.iter().map(|(weight, need)| weight * self.chance_of(*need, expected));
            reached.sum::<f64>() / all
        };
        let (mut low, mut high) = (0.0, self.per_day * longest.get());
        for _ in 0..40 {
            let middle = f64::midpoint(low, high);
            if chance_at(middle) < chance { low = middle } else { high = middle }
        }
        high
    }

    /// The chance that a total has reached a need when so much was expected.
    fn chance_of(&self, need: f64, expected: f64) -> f64 {
        if need <= 0.0 {
            return 1.0;
        }
        let variance = self.dispersion * expected + (self.doubt * expected).powi(2);
        let off = (expected - need - SKEW * self.dispersion) / variance.sqrt().max(f64::MIN_POSITIVE);
        Normal::standard().cdf(off)
    }

    /// The days after which so much is expected, from a weekday and its part passed.
    fn days_for(&self, expected: f64, start: f64, longest: Days) -> f64 {
        if expected <= 1e-9 * self.per_day * longest.get() {
            return 0.0;
        }
        let (first, now) = (start.floor(), start.fract());
        let mut missing = expected;
        // The day on which it goes on: today, or the day when somebody comes back.
        let (back, since) = ((now + self.away).floor() as usize, (now + self.away).fract());
        let mut from = if back == 0 { self.passed } else { share_by(&self.hours, since) };
        for day in back..=(longest.get() as usize).max(back) {
            let usual = self.per_day * self.weekdays[(first as usize + day) % 7];
            let whole = usual * self.attendance(day, now);
            let here = whole * (1.0 - from);
            if missing <= here {
                let share = if here > 0.0 { missing / here } else { 0.0 };
                let by_now = if day == back { share_by(&self.hours, since) } else { 0.0 };
                let part = self.part_with(by_now + share * (1.0 - by_now));
                return (day as f64 + part - now).clamp(0.0, longest.get());
            }
            missing -= here;
            from = 0.0;
        }
        longest.get()
    }

    /// The part of the day by which a share of its amount has come.
    fn part_with(&self, share: f64) -> f64 {
        let hour = self.hours.partition_point(|by| *by < share).min(23);
        let before = hour.checked_sub(1).map_or(0.0, |hour| self.hours[hour]);
        let width = self.hours[hour] - before;
        let within = if width > 0.0 { ((share - before) / width).clamp(0.0, 1.0) } else { 1.0 };
        (hour as f64 + within) / 24.0
    }

    fn weekdays(&self, days: &[Day]) -> [f64; 7] {
        let mut seen = [(0.0, 0.0); 7];
        for day in days {
            let (exposure, amount) = &mut seen[day.weekday];
            *exposure += day.weight * day.exposure;
            *amount += day.weight * day.amount;
        }
        let raw = seen
            .map(|(exposure, amount)| (exposure, amount / (exposure * self.per_day).max(f64::MIN_POSITIVE)));
        let noise = self.dispersion / self.per_day;
        let weeks = seen.iter().map(|(exposure, _)| exposure).sum::<f64>() / 7.0;
        let between = raw
            .iter()
            .filter(|(exposure, _)| *exposure > 0.5)
            .map(|(exposure, share)| (share - 1.0).powi(2) - noise / exposure)
            .sum::<f64>()
            / 7.0;
        let variance =
            ((WEEKDAY_VARIANCE * WEEKDAY_WEIGHT + between * weeks) / (WEEKDAY_WEIGHT + weeks)).max(0.005);
        let strength = noise / variance;
        let shares =
            raw.map(
                |(exposure, share)| {
                    if exposure > 0.0 { (exposure * share + strength) / (exposure + strength) } else { 1.0 }
                },
            );
        let mean = shares.iter().sum::<f64>() / 7.0;
        shares.map(|share| share / mean)
    }

    /// The dispersion of whole days about their expectation, drawn to that of independent lots while days are few.
    fn dispersion(&self, days: &[Day], of_lots: f64) -> f64 {
        let whole = days.iter().filter(|day| day.exposure >= 1.0).skip(1);
        let (mut squares, mut expected, mut count) = (0.0, 0.0, 0.0);
        for day in whole {
            let mean = self.per_day * self.weekdays[day.weekday];
            squares += day.weight * (day.amount - mean).powi(2);
            expected += day.weight * mean;
            count += day.weight;
        }
        let of_days = if expected > 0.0 { squares / expected } else { of_lots };
        (of_lots * DISPERSION_WEIGHT + of_days * count) / (DISPERSION_WEIGHT + count)
    }
}

/// The ends of the middle 80 %.
pub(super) const EARLY: f64 = 0.1;
pub(super) const LATE: f64 = 0.9;
/// Standard deviations to either end of the middle 80 % of a normal distribution.
pub(super) const Z_80: f64 = 1.281_551_565_545;

/// The middle value and weight of five equal slices of a normal distribution about `mean`.
pub(super) fn five_slices(mean: f64, deviation: f64) -> [(f64, f64); 5] {
    // Gauss-Hermite nodes and weights for the standard normal distribution.
    [
        (0.011_257, -2.856_970),
        (0.222_076, -1.355_626),
        (0.533_333, 0.0),
        (0.222_076, 1.355_626),
        (0.011_257, 2.856_970),
    ]
    .map(|(weight, off)| (weight, mean + off * deviation))
}

/// The variance of a total of independent lots over its mean: the mean of their squares over their mean.
fn lot_dispersion(events: &Events, prior: &Prior) -> f64 {
    const WORTH: f64 = 2.0;
    let recent = events.iter().rev().take(60).map(|(_, amount)| *amount);
    let (sum, squares) =
        recent.fold((0.0, 0.0), |(sum, squares), amount| (sum + amount, squares + amount * amount));
    (squares + WORTH * prior.lot.powi(2) * 1.3) / (sum + WORTH * prior.lot)
}
