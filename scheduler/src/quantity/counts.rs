//! Counts with few data: the gamma-Poisson pair, as a table of its own for what is told in whole numbers.

use crate::units::Fraction;

/// Counts over periods whose rate is not known: the gamma-Poisson pair.
///
/// Source: Berry, slides on Bayesian statistics; CRAN glmbayes, chapter 02-S04.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counts {
    /// Shape of the gamma distribution of the rate: events seen, and those the prior is worth.
    pub shape: f64,
    /// Its rate: periods seen, and those the prior is worth.
    pub periods: f64,
}

impl Counts {
    /// After so many events in so many further periods.
    #[must_use]
    pub fn after(self, events: f64, periods: f64) -> Self {
        Self { shape: self.shape + events, periods: self.periods + periods }
    }

    /// Mean events in a period.
    pub fn mean(self) -> f64 {
        self.shape / self.periods
    }

    /// Mean and variance of the events of the next `periods`.
    pub fn next(self, periods: f64) -> (f64, f64) {
        let mean = periods * self.mean();
        (mean, mean * (1.0 + periods / self.periods))
    }

    /// The chance of at most `events` in the next `periods`: negative binomial.
    pub fn at_most(self, events: u32, periods: f64) -> Fraction {
        let success = self.periods / (self.periods + periods);
        let mut term = success.powf(self.shape);
        let mut sum = term;
        for event in 1..=events {
            let event = f64::from(event);
            term *= (self.shape + event - 1.0) / event * (1.0 - success);
            sum += term;
        }
        Fraction(sum.min(1.0))
    }
}
