//! The course of a temperature over the days since sealing, and the progress it gives.

use super::{Cardinal, LONGEST, days_at};
use crate::units::{Celsius, Days};

/// Temperatures at days, linear between readings, the nearest one before the first and after the last.
pub(super) struct Course<'a> {
    points: &'a [(f64, f64)],
}

/// Within a span of changing temperature, progress is summed in steps of at most this length: six hours.
const STEP: f64 = 0.25;

impl<'a> Course<'a> {
    /// The course through these points, which are in order of time.
    pub(super) fn new(points: &'a [(f64, f64)]) -> Self {
        Self { points }
    }

    /// The temperature at a day.
    pub(super) fn at(&self, day: Days) -> Celsius {
        let day = day.get();
        let next = self.points.partition_point(|(at, _)| *at <= day);
        let celsius = match (next.checked_sub(1).map(|last| self.points[last]), self.points.get(next)) {
            (Some((from, cold)), Some(&(to, warm))) => cold + (warm - cold) * (day - from) / (to - from),
            (Some((_, last)), None) => last,
            (None, Some(&(_, first))) => first,
            (None, None) => 0.0,
        };
        Celsius(celsius)
    }

    /// The sum of `1 / days_at(temperature)` from sealing to a day.
    pub(super) fn progress(&self, until: Days, set: &Cardinal) -> f64 {
        self.steps(until).map(|step| step.length / self.days_in(&step, set)).sum()
    }

    /// The day at which the progress reaches a target.
    pub(super) fn reaches(&self, target: f64, set: &Cardinal) -> Days {
        let mut sum = 0.0;
        for step in self.steps(Days(LONGEST.value * target)) {
            let days = self.days_in(&step, set);
            if sum + step.length / days >= target {
                return Days(step.from + (target - sum) * days);
            }
            sum += step.length / days;
        }
        Days(LONGEST.value * target)
    }

    /// The mean temperature from sealing to a day; that at sealing where no time has passed.
    pub(super) fn mean(&self, until: Days) -> Celsius {
        if until <= Days::ZERO {
            return self.at(Days::ZERO);
        }
        let sum: f64 = self.steps(until).map(|step| step.length * self.at(step.middle()).get()).sum();
        Celsius(sum / until.get())
    }

    fn days_in(&self, step: &Step, set: &Cardinal) -> f64 {
        days_at(self.at(step.middle()), set).get()
    }

    /// Steps from sealing to a day: short ones between readings, one long one before the first and after the last.
    fn steps(&self, until: Days) -> impl Iterator<Item = Step> {
        let until = until.get();
        let mut from = 0.0;
        std::iter::from_fn(move || {
            if from >= until {
                return None;
            }
            let next = self.points.partition_point(|(at, _)| *at <= from);
            let is_between = next > 0 && next < self.points.len();
            let reading = self.points.get(next).map_or(f64::INFINITY, |(at, _)| *at);
            let longest = if is_between { from + STEP } else { f64::INFINITY };
            let to = reading.min(longest).min(until);
            let step = Step { from, length: to - from };
            from = to;
            Some(step)
        })
    }
}

struct Step {
    from: f64,
    length: f64,
}

impl Step {
    fn middle(&self) -> Days {
        Days(self.from + self.length / 2.0)
    }
}
