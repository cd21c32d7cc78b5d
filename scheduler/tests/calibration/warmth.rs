//! How warm it is where the bins stand, and how fast what is sealed there ferments. It has chances of its own, so that all else
//! in a season is as it would be without it.
//!
//! The law of growth is not the model's: the square of the degrees above a lowest temperature (Ratkowsky 1982), of lowest
//! temperatures as published for lactic acid bacteria, 0.4 to 7 °C.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::kitchen::{between, log_normal, normal};

/// From one day to the next so much of the warmth is left.
const STEADY: f64 = 0.8;
/// Days about the mean of the place.
const DAYS: f64 = 1.5;
/// Batches of one kitchen differ by foods and packing.
const BATCHES: f64 = 0.1;

/// A kitchen's place and what ferments there.
pub(crate) struct Warmth {
    rng: Pcg64,
    mean: f64,
    today: f64,
    lowest: f64,
    /// How much of the law of growth is left of it in a bin.
    damping: f64,
    /// Days that a batch takes at 22 °C.
    days: f64,
    /// Whether somebody reads a thermometer.
    pub(crate) is_read: bool,
    next_reading: f64,
    sealed: Vec<Sealed>,
}

/// A batch that ferments.
struct Sealed {
    /// Its moment of interest.
    moment: usize,
    /// How much of it is still to be done, of 1.
    left: f64,
}

impl Warmth {
    pub(crate) fn of(seed: u64) -> Self {
        let mut rng = Pcg64::seed_from_u64(seed ^ 0x3a97_0e11);
        let mean = between(&mut rng, 16.0, 26.0);
        Self {
            mean,
            today: mean,
            lowest: between(&mut rng, 0.4, 7.0),
            damping: between(&mut rng, 0.6, 0.9),
            days: log_normal(&mut rng, 14.0, 0.1),
            is_read: rng.random_bool(0.6),
            next_reading: 0.0,
            sealed: Vec::new(),
            rng,
        }
    }

    /// A day goes by: what is read on a thermometer, where somebody looks, and the batches that are done on it, each with the
    /// part of the day.
    pub(crate) fn day(&mut self, day: usize) -> (Option<f64>, Vec<(usize, f64)>) {
        let off = (self.today - self.mean) * STEADY;
        self.today = self.mean + off + normal(&mut self.rng, 0.0, DAYS * (1.0 - STEADY * STEADY).sqrt());
        let step = 1.0 / self.days_at(self.today);
        let mut done = Vec::new();
        self.sealed.retain_mut(|sealed| {
            if sealed.left <= step {
                done.push((sealed.moment, sealed.left / step));
            }
            sealed.left -= step;
            sealed.left > 0.0
        });
        if !self.is_read || (day as f64) < self.next_reading {
            return (None, done);
        }
        self.next_reading = day as f64 + between(&mut self.rng, 3.0, 12.0);
        let read = self.today + normal(&mut self.rng, 0.0, 0.5);
        (Some((read * 2.0).round() / 2.0), done)
    }

    /// Closes a batch, from the next day on.
    pub(crate) fn seal(&mut self, moment: usize) {
        let left = log_normal(&mut self.rng, 1.0, BATCHES);
        self.sealed.push(Sealed { moment, left });
    }

    /// The days of a batch at a temperature.
    fn days_at(&self, c: f64) -> f64 {
        let slower = (22.0 - self.lowest) / (c - self.lowest).max(1.0);
        self.days * slower.powf(2.0 * self.damping)
    }

    /// The days that one expects of a batch who knows the place and what lives in it.
    pub(crate) fn expected(&self) -> f64 {
        self.days_at(self.mean)
    }
}
