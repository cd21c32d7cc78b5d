//! What a room's drains teach: the yield of a litre, the time of release, and the spread from drain to drain.
//!
//! The logarithm of a drain is that of the yield plus that of the litres released since the one before, with a normal
//! error. For each of several release times yield and error have a normal-inverse-gamma posterior in closed form; the
//! release times are weighed by how well they fit. Source: the conjugate update of the normal distribution with unknown
//! mean and variance (Gelman et al., Bayesian Data Analysis, ch. 3; from memory).

use chrono::{DateTime, Utc};
use statrs::distribution::{ContinuousCDF, Normal};
use statrs::function::gamma::ln_gamma;

use super::YIELD;
use crate::quantity::rhythm::Z_80;
use crate::quantity::{Derivation, Estimate, Origin, density};
use crate::state::{Batch, Room};
use crate::units::{Days, Density};

/// Release times that are tried, in days, with what is thought of them before any drain.
const RELEASES: [(f64, f64); 7] =
    [(0.25, 0.10), (0.7, 0.15), (1.2, 0.20), (2.0, 0.20), (3.0, 0.15), (4.5, 0.12), (7.0, 0.08)];

/// Customary yield as a logarithm: its uncertainty is worth so many drains.
const YIELD_WORTH: f64 = 0.15;
/// Drains differ by about a seventh; the guess is worth three drains.
const SPREAD_SHAPE: f64 = 1.5;
const SPREAD_SCALE: f64 = 0.14 * 0.14 * SPREAD_SHAPE;
/// An older drain counts less than the next by this factor: foods and packing change.
const FADES: f64 = 0.96;
/// So many drains are looked back on.
const LOOK_BACK: usize = 30;
/// A drain of nothing still tells that there was less than this, in ml.
const TRACE: f64 = 5.0;
/// Less than this released, in litres, and the drain tells nothing of the yield.
const TOO_LITTLE: f64 = 0.15;

/// What a room's drains teach, for each release time.
pub(super) struct Learnt {
    observations: usize,
    releases: Vec<Posterior>,
}

/// The posterior for one release time.
#[derive(Clone, Copy)]
struct Posterior {
    release: f64,
    weight: f64,
    log_yield: f64,
    /// Scale of the predictive distribution of a drain.
    scale: f64,
    /// Scale of the distribution of the yield itself.
    yield_scale: f64,
    degrees: f64,
}

/// Litres whose liquid has come since the last drain, for each release time.
pub(super) fn released(batch: &Batch, density: Density, now: DateTime<Utc>) -> Vec<(f64, f64)> {
    let moments: Vec<_> = batch.drains.iter().map(|drain| drain.at).chain([now]).collect();
    RELEASES
        .iter()
        .map(|(release, _)| {
            (*release, released_by(batch, density, &moments, *release).last().copied().unwrap_or(0.0))
        })
        .collect()
}

/// Litres whose liquid has come by each moment since the one before it.
///
/// What has gone in by two moments, and what of it is still held back at either, tell what came between them; what is held
/// back fades with the release time, so one pass over lots and moments is enough.
fn released_by(batch: &Batch, density: Density, moments: &[DateTime<Utc>], release: f64) -> Vec<f64> {
    let mut lots = batch.lots.iter().peekable();
    let Some(first) = lots.peek() else { return vec![0.0; moments.len()] };
    let (mut held, mut since) = (0.0, first.at);
    let mut fade = |held: &mut f64, at: DateTime<Utc>| {
        *held *= (-Days::of(at - since).get().max(0.0) / release).exp();
        since = since.max(at);
    };
    let mut came = Vec::with_capacity(moments.len());
    for moment in moments {
        let mut there = held;
        while let Some(lot) = lots.next_if(|lot| lot.at <= *moment) {
            let litres = lot.volume(density).get() / 1000.0;
            fade(&mut held, lot.at);
            held += litres;
            there += litres;
        }
        fade(&mut held, *moment);
        came.push((there - held).max(0.0));
    }
    came
}

impl Learnt {
    /// What the room's drains teach.
    pub(super) fn of(room: &Room) -> Self {
        let density = density::of(room).value;
        let mut batches: Vec<&Batch> = room
            .bins
            .iter()
            .flat_map(|bin| bin.batches().rev().take(LOOK_BACK))
            .filter(|batch| !batch.drains.is_empty())
            .collect();
        batches.sort_by_key(|batch| std::cmp::Reverse(batch.drains.last().map(|drain| drain.at)));
        batches.truncate(LOOK_BACK);
        let mut releases: Vec<Posterior> = Vec::with_capacity(RELEASES.len());
        let mut observations = 0;
        for (release, prior) in RELEASES {
            let told = log_yields(&batches, density, release);
            observations = observations.max(told.len());
            releases.push(Posterior::of(release, prior, &told));
        }
        // Each release time is weighed by how well it explains the drains, in logarithms.
        let best = releases.iter().map(|one| one.weight).fold(f64::NEG_INFINITY, f64::max);
        for one in &mut releases {
            one.weight = (one.weight - best).exp();
        }
        let all: f64 = releases.iter().map(|one| one.weight).sum();
        for one in &mut releases {
            one.weight /= all;
        }
        Self { observations, releases }
    }

    /// Whether no drain has taught anything.
    pub(super) fn is_empty(&self) -> bool {
        self.observations == 0
    }

    /// Adds what was learnt to a derivation.
    pub(super) fn explain(&self, why: Derivation) -> Derivation {
        let learnt = || Origin::Learnt { observations: self.observations, prior: YIELD.source };
        let course =
            |of: fn(&Posterior) -> f64| self.releases.iter().map(|one| (one.release, of(one))).collect();
        why.course("weights", course(|one| one.weight), "1", learnt())
            .course("log_yield", course(|one| one.log_yield), "1", learnt())
            .course("scale", course(|one| one.scale), "1", learnt())
            .course("yield_scale", course(|one| one.yield_scale), "1", learnt())
            .course("degrees", course(|one| one.degrees), "1", learnt())
    }

    /// What a derivation was told.
    pub(super) fn from_terms(why: &Derivation) -> Self {
        let value = |name: &str, place: usize| why.points(name).get(place).map_or(0.0, |(_, value)| *value);
        let releases = why.points("weights").iter().enumerate().map(|(place, (release, weight))| Posterior {
            release: *release,
            weight: *weight,
            log_yield: value("log_yield", place),
            scale: value("scale", place),
            yield_scale: value("yield_scale", place),
            degrees: value("degrees", place),
        });
        Self { observations: 0, releases: releases.collect() }
    }

    /// What a drain of these litres released would give, in millilitres.
    pub(super) fn waiting(&self, released: &[(f64, f64)]) -> Estimate {
        let parts: Vec<_> = self
            .releases
            .iter()
            .zip(released)
            .filter(|(one, (_, litres))| one.weight > 1e-6 && *litres > 1e-6)
            .map(|(one, (_, litres))| (one, one.log_yield + litres.ln(), one.scale))
            .collect();
        mixture(&parts)
    }

    /// The yield of a litre, in millilitres.
    pub(super) fn per_litre(&self) -> Estimate {
        let parts: Vec<_> = self.releases.iter().map(|one| (one, one.log_yield, one.yield_scale)).collect();
        mixture(&parts)
    }
}

/// What the latest drains tell of the yield, as logarithms, the oldest first. The batches come with the latest first.
fn log_yields(batches: &[&Batch], density: Density, release: f64) -> Vec<f64> {
    let mut told: Vec<(DateTime<Utc>, f64)> = Vec::with_capacity(2 * LOOK_BACK);
    for batch in batches {
        if told.len() >= LOOK_BACK {
            break;
        }
        let moments: Vec<_> = batch.drains.iter().map(|drain| drain.at).collect();
        let litres = released_by(batch, density, &moments, release);
        let measured = batch.drains.iter().zip(litres).filter(|(drain, litres)| {
            // Nobody measured an estimated one.
            !drain.estimated && *litres > TOO_LITTLE
        });
        told.extend(
            measured.map(|(drain, litres)| (drain.at, (drain.volume.get().max(TRACE) / litres).ln())),
        );
    }
    told.sort_by_key(|(at, _)| *at);
    let latest = told.len().saturating_sub(LOOK_BACK);
    told[latest..].iter().map(|(_, yielded)| *yielded).collect()
}

impl Posterior {
    /// The posterior after drains that tell these logarithms, the oldest first; its weight is still a logarithm.
    fn of(release: f64, prior: f64, told: &[f64]) -> Self {
        let weights: Vec<f64> = (0..told.len()).rev().map(|age| FADES.powf(age as f64)).collect();
        let count: f64 = weights.iter().sum();
        let start = YIELD.value.ln();
        let mean = if count > 0.0 {
            weights.iter().zip(told).map(|(weight, one)| weight * one).sum::<f64>() / count
        } else {
            start
        };
        let squares: f64 = weights.iter().zip(told).map(|(weight, one)| weight * (one - mean).powi(2)).sum();
        let worth = YIELD_WORTH + count;
        let shape = SPREAD_SHAPE + count / 2.0;
        let scale =
            SPREAD_SCALE + squares / 2.0 + YIELD_WORTH * count * (mean - start).powi(2) / (2.0 * worth);
        let evidence =
            ln_gamma(shape) - shape * scale.ln() + SPREAD_SHAPE * SPREAD_SCALE.ln() - 0.5 * worth.ln();
        Self {
            release,
            weight: prior.ln() + evidence,
            log_yield: (YIELD_WORTH * start + count * mean) / worth,
            scale: (scale / shape * (1.0 + 1.0 / worth)).sqrt(),
            yield_scale: (scale / shape / worth).sqrt(),
            degrees: 2.0 * shape,
        }
    }
}

/// Median and middle 80 % of a mixture of log-t distributions: each with its place and scale.
///
/// A t distribution is taken as the normal one with the same middle 80 %: `t(0.9) = z + (z³ + z) / 4n` to first order.
/// Source: Cornish & Fisher 1938; from memory.
fn mixture(parts: &[(&Posterior, f64, f64)]) -> Estimate {
    let all: f64 = parts.iter().map(|(one, ..)| one.weight).sum();
    if all <= 0.0 {
        return Estimate::between(0.0, 0.0, 0.0);
    }
    let normals: Vec<(f64, f64, f64)> = parts
        .iter()
        .map(|(one, place, scale)| {
            let wider = 1.0 + (Z_80 * Z_80 + 1.0) / (4.0 * one.degrees);
            (one.weight / all, *place, scale * wider)
        })
        .collect();
    let standard = Normal::standard();
    let below = |at: f64| -> f64 {
        normals.iter().map(|(weight, place, scale)| weight * standard.cdf((at - place) / scale)).sum()
    };
    let quantile = |share: f64| {
        let mut low =
            normals.iter().map(|(_, place, scale)| place - 6.0 * scale).fold(f64::INFINITY, f64::min);
        let mut high =
            normals.iter().map(|(_, place, scale)| place + 6.0 * scale).fold(f64::NEG_INFINITY, f64::max);
        for _ in 0..32 {
            let middle = f64::midpoint(low, high);
            if below(middle) < share { low = middle } else { high = middle }
        }
        high.exp()
    };
    Estimate::between(quantile(0.1), quantile(0.5), quantile(0.9))
}
