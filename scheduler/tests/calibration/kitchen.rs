//! A kitchen with its own habits.

use chrono::{DateTime, TimeZone, Utc};
use rand::{Rng, RngExt};
use rand_distr::{Distribution, Gamma, LogNormal, Normal, Poisson};

pub(crate) const LINE: f64 = 0.9;
/// Lots as told are off by this share.
pub(crate) const LOT_NOISE: f64 = 0.08;
/// Settled share: its mean, and how much kitchens differ.
pub(crate) const SETTLED: (f64, f64) = (0.7, 0.08);
/// From batch to batch scraps settle differently by so much.
pub(crate) const BATCH_SETTLING: f64 = 0.04;
/// Real bran for bran told, from layer to layer.
pub(crate) const LAYER_NOISE: f64 = 0.1;
/// Spoons are heaped or level, from kitchen to kitchen, by so much.
pub(crate) const SPOONS: f64 = 0.12;
/// A stock as told is off by this share.
pub(crate) const STOCK_NOISE: f64 = 0.05;
pub(crate) const BRAN_DENSITY: f64 = 0.245;
/// From lot to lot scraps are as dense as the kitchen's mean, off by this share.
pub(crate) const DENSITY_NOISE: f64 = 0.1;

/// What is true of a kitchen, and what the model has to find out.
#[derive(Clone, Debug)]
pub(crate) struct Kitchen {
    pub(crate) is_steady: bool,
    /// Lots a day on a mean day; the chance of one where steady.
    pub(crate) rate: f64,
    pub(crate) weekdays: [f64; 7],
    pub(crate) lot: f64,
    pub(crate) lot_spread: f64,
    pub(crate) capacity: f64,
    pub(crate) settled: f64,
    /// Error of a level by eye, and whether it is told in quarters.
    pub(crate) eye: f64,
    pub(crate) in_quarters: bool,
    pub(crate) per_litre: f64,
    pub(crate) release: f64,
    pub(crate) drain_noise: f64,
    pub(crate) bran_per_litre: f64,
    pub(crate) spoon: f64,
    /// Kilograms of a litre of scraps.
    pub(crate) density: f64,
    pub(crate) tells: Tells,
}

/// How a kitchen tells its lots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Tells {
    /// By volume.
    Volume,
    /// By volume, and now and then by mass, too.
    Both,
    /// By mass, and now and then by volume, too.
    Mass,
}

pub(crate) fn start() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 1, 5, 0, 0, 0).unwrap()
}

pub(crate) fn between(rng: &mut impl Rng, low: f64, high: f64) -> f64 {
    rng.random_range(low..high)
}

pub(crate) fn log_normal(rng: &mut impl Rng, median: f64, spread: f64) -> f64 {
    LogNormal::new(median.ln(), spread).unwrap().sample(rng)
}

pub(crate) fn normal(rng: &mut impl Rng, mean: f64, deviation: f64) -> f64 {
    Normal::new(mean, deviation).unwrap().sample(rng)
}

impl Kitchen {
    pub(crate) fn of(rng: &mut impl Rng) -> Self {
        let is_steady = rng.random_bool(0.4);
        let weekend = between(rng, 0.6, 2.0);
        let mut weekdays = [1.0, 1.0, 1.0, 1.0, 1.0, weekend, weekend];
        let mean = weekdays.iter().sum::<f64>() / 7.0;
        weekdays = weekdays.map(|share| share / mean);
        let rate =
            if is_steady { between(rng, 0.6, 0.95) } else { log_normal(rng, 0.9, 0.5).clamp(0.3, 3.0) };
        let capacity = [12_000.0, 15_000.0, 19_000.0, 25_000.0][rng.random_range(0..4)];
        let fills_in = between(rng, 9.0, 28.0);
        let lot = (capacity * LINE / 0.7 / fills_in / rate).clamp(200.0, 6000.0);
        Self {
            is_steady,
            rate,
            weekdays,
            lot,
            lot_spread: if is_steady { between(rng, 0.15, 0.4) } else { between(rng, 0.3, 0.7) },
            capacity,
            settled: normal(rng, SETTLED.0, SETTLED.1).clamp(0.45, 0.95),
            eye: between(rng, 0.02, 0.07),
            in_quarters: rng.random_bool(0.4),
            per_litre: log_normal(rng, 60.0, 0.6).clamp(8.0, 200.0),
            release: between(rng, 0.8, 4.0),
            drain_noise: between(rng, 0.08, 0.25),
            bran_per_litre: between(rng, 14.0, 26.0),
            spoon: normal(rng, 1.0, SPOONS).clamp(0.7, 1.4),
            density: 0.5,
            tells: Tells::Volume,
        }
    }

    /// The same habits with scales of its own, and their use.
    pub(crate) fn with_scales(self, scales: &mut impl Rng) -> Self {
        let tells = [Tells::Volume, Tells::Volume, Tells::Volume, Tells::Both, Tells::Mass];
        let density = log_normal(scales, 0.5, 0.25).clamp(0.3, 0.8);
        Self { density, tells: tells[scales.random_range(0..tells.len())], ..self }
    }

    /// The same habits with bins of another size: it takes as long to fill them.
    pub(crate) fn with_bins_of(self, capacity: f64) -> Self {
        let lot = (self.lot * capacity / self.capacity).clamp(200.0, 6000.0);
        Self { lot, capacity, ..self }
    }

    /// The lots of a day: hour and true volume.
    pub(crate) fn day(&self, weekday: usize, rng: &mut impl Rng) -> Vec<(f64, f64)> {
        let share = self.weekdays[weekday];
        let (count, size) = if self.is_steady {
            (usize::from(rng.random_bool(self.rate)), share)
        } else {
            (Poisson::new(self.rate * share).unwrap().sample(rng) as usize, 1.0)
        };
        let form = self.lot_spread.powi(-2);
        let volumes = Gamma::new(form, self.lot * size / form).unwrap();
        let mut lots: Vec<(f64, f64)> = (0..count)
            .map(|_| {
                let hour = if self.is_steady { between(rng, 18.5, 20.5) } else { between(rng, 8.0, 21.0) };
                (hour, volumes.sample(rng).max(50.0))
            })
            .collect();
        lots.sort_by(|one, other| one.0.total_cmp(&other.0));
        lots
    }
}
