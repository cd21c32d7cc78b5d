//! Answers: a number with its unit or a moment, its range, and where it came from.

use chrono::{DateTime, Utc};

use super::Derivation;
use crate::units::{Days, Unit};

/// A number with its unit, its middle 80 % where it is uncertain, and where it came from.
#[derive(Clone, Debug)]
pub struct Quantity<U> {
    /// The value: the median of a forecast.
    pub value: U,
    /// The lower end of the middle 80 %, or of the range that practice gives; none for what is exact.
    pub low: Option<U>,
    /// The upper end.
    pub high: Option<U>,
    /// Where it came from.
    pub why: Derivation,
}

impl<U: Unit> Quantity<U> {
    /// Evaluates the derivation.
    pub fn of(why: Derivation) -> Self {
        let estimate = why.recompute();
        Self {
            value: U::new(estimate.value),
            low: estimate.low.map(U::new),
            high: estimate.high.map(U::new),
            why,
        }
    }

    /// The lower end; the value itself where it is exact.
    pub fn low(&self) -> U {
        self.low.unwrap_or(self.value)
    }

    /// The upper end; the value itself where it is exact.
    pub fn high(&self) -> U {
        self.high.unwrap_or(self.value)
    }
}

/// A forecast moment, with the middle 80 %.
#[derive(Clone, Debug)]
pub struct When {
    /// The median.
    pub at: DateTime<Utc>,
    /// One in ten comes earlier.
    pub early: DateTime<Utc>,
    /// One in ten comes later.
    pub late: DateTime<Utc>,
    /// Where it came from; its number is in days after `from`.
    pub why: Derivation,
    /// The moment from which the days count.
    pub from: DateTime<Utc>,
}

impl When {
    /// Evaluates the derivation, whose number is days after `from`.
    pub fn after(from: DateTime<Utc>, why: Derivation) -> Self {
        let days = why.recompute();
        let at = |days: f64| from + Days(days).span();
        Self {
            at: at(days.value),
            early: at(days.low.unwrap_or(days.value)),
            late: at(days.high.unwrap_or(days.value)),
            why,
            from,
        }
    }
}
