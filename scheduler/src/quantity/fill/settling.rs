//! Settling: what share of the volume as added the scraps take up after pressing.
//!
//! A batch has its own share, near that of the room's other batches; level reports tell it, with their own error. Both
//! the share and what was in the bin before the log began are found by linear regression with normal priors.

use super::super::rhythm::{Z_80, five_slices};
use super::super::{Constant, Derivation, Estimate, Origin, Source, density};
use super::{CALLED_FULL, FILL_LINE};
use crate::state::{Batch, Bin, Level, Room};
use crate::units::{Fraction, Millilitres, Unit};

/// Settled volume over volume as added, pressed layer by layer.
pub const SETTLED: Constant = Constant::range("settled", 0.7, (0.5, 0.85), "1", Source::Practice);

/// A room's share differs from the customary one by so much (standard deviation; practice gives 0.5 to 0.85).
const BETWEEN_ROOMS: f64 = 0.1;
/// A batch's share differs from the room's by so much.
const BETWEEN_BATCHES: f64 = 0.055;
/// The room's share changes from batch to batch by so much.
const DRIFT: f64 = 0.015;
/// A report by eye is off by so much of the bin's height.
const EYE: f64 = 0.05;
/// Full is told with less error: from the fill line to the lid.
const EYE_AT_FULL: f64 = 0.03;
/// A report is a surprise beyond so many standard deviations.
const SURPRISE: f64 = 1.7;
/// Loose scraps of 0.235 kg/l cannot be pressed denser than ground ones of 1.0.
///
/// Source: US EPA 2016 (396 lb/yd³) and JTI 2001.
const DENSEST: f64 = 0.235;
/// Nothing swells on pressing; what seems to is the error of the eye, up to this.
const LOOSEST: f64 = 1.1;
/// Of a bin that was in use before its log began, nothing is known: about half.
const UNKNOWN_BASE: (f64, f64) = (0.5, 0.3);
/// A sealed bin of which nothing else was told was about full.
const SEALED_BASE: (f64, f64) = (FILL_LINE.value, 0.07);
/// Scraps that were forgotten to be told.
const FORGOTTEN: f64 = 0.02;

/// The room's settled share, from all batches but one that had their level told: its mean and standard deviation, and how
/// many batches told it.
fn of_room(room: &Room, but: &Batch, in_bin: &Bin) -> (Estimate, Origin) {
    of_batches(room, |bin, batch| {
        (bin.name != in_bin.name || batch.number != but.number) && batch.started_at <= but.started_at
    })
}

/// The settled share to expect of a batch that is not begun.
pub(super) fn of_new_batch(room: &Room) -> f64 {
    of_batches(room, |_, _| true).0.value
}

fn of_batches(room: &Room, is_meant: impl Fn(&Bin, &Batch) -> bool) -> (Estimate, Origin) {
    let mut told: Vec<(&Batch, Millilitres)> = room
        .bins
        .iter()
        .filter_map(|bin| bin.capacity.map(|capacity| (bin, capacity)))
        .flat_map(|(bin, capacity)| {
            bin.batches().rev().take(LOOK_BACK).map(move |batch| (bin, batch, capacity))
        })
        .filter(|(bin, batch, _)| is_meant(bin, batch))
        .map(|(_, batch, capacity)| (batch, capacity))
        .filter(|(batch, _)| batch.levels.iter().any(is_telling))
        .collect();
    told.sort_by_key(|(batch, _)| batch.started_at);
    let (mut mean, mut variance) = (SETTLED.value, BETWEEN_ROOMS.powi(2));
    let shares: Vec<(f64, f64)> =
        told.iter().filter_map(|(batch, capacity)| of_levels(batch, *capacity)).collect();
    for (share, error) in &shares {
        variance += DRIFT.powi(2);
        let gain = variance / (variance + error + BETWEEN_BATCHES.powi(2));
        mean += gain * (share - mean);
        variance *= 1.0 - gain;
    }
    let spread = Z_80 * (variance + BETWEEN_BATCHES.powi(2)).sqrt();
    let origin = match shares.len() {
        0 => Origin::Constant(SETTLED.source),
        observations => Origin::Learnt { observations, prior: SETTLED.source },
    };
    (Estimate::between(mean - spread, mean, mean + spread), origin)
}

/// Older batches tell nothing that newer ones do not tell better.
const LOOK_BACK: usize = 12;

fn is_telling(level: &Level) -> bool {
    level.scraps > Millilitres(500.0) && level.fraction > Fraction(0.1)
}

/// The share that a batch's own level reports give, and its variance; none where it is beyond what can be, for then not
/// all scraps were told.
fn of_levels(batch: &Batch, capacity: Millilitres) -> Option<(f64, f64)> {
    let (mut products, mut squares) = (0.0, 0.0);
    for level in batch.levels.iter().filter(|level| is_telling(level)) {
        let (height, error) = height(level);
        let scraps = level.scraps / capacity;
        products += scraps * height.get() / error.powi(2);
        squares += (scraps / error).powi(2);
    }
    let share = products / squares;
    (DENSEST..=LOOSEST).contains(&share).then(|| (share.min(1.0), 1.0 / squares))
}

/// The height a report tells, and its error: a person's `full` means the fill line or beyond.
fn height(level: &Level) -> (Fraction, f64) {
    if level.fraction >= Fraction(1.0) { (CALLED_FULL, EYE_AT_FULL) } else { (level.fraction, EYE) }
}

/// Adds the terms that tell how full a bin is: its size, what went in, the settled share, the levels told.
pub(super) fn explain(why: Derivation, room: &Room, bin: &Bin, batch: &Batch) -> Derivation {
    let density = density::of(room).value;
    let capacity = bin.capacity.unwrap_or_default();
    let (settled, origin) = of_room(room, batch, bin);
    let seqs = batch.lots.iter().map(|lot| lot.seq).collect();
    let why = why
        .told("capacity", capacity, Vec::new())
        .told("scraps", batch.scraps_volume(density), seqs)
        .term(SETTLED.name, settled, SETTLED.unit, origin);
    let levels: Vec<&Level> = batch.levels.iter().filter(|_| bin.capacity.is_some()).collect();
    let (base, deviation) = base(batch);
    let base_range = Estimate::between(
        (base - Z_80 * deviation) * capacity.get(),
        base * capacity.get(),
        (base + Z_80 * deviation) * capacity.get(),
    );
    let before = Source::Judgement("what was in the bin before its log began");
    let origin = || Origin::Facts(levels.iter().map(|level| level.seq).collect());
    let course = |of: fn(&Level) -> f64| {
        levels.iter().map(|level| (level.scraps.get(), of(level) * capacity.get())).collect::<Vec<_>>()
    };
    why.term("base", base_range, Millilitres::CODE, Origin::Constant(before))
        .course("levels", course(|level| height(level).0.get()), Millilitres::CODE, origin())
        .course("errors", course(|level| height(level).1), Millilitres::CODE, origin())
}

fn base(batch: &Batch) -> (f64, f64) {
    match (batch.levels.first(), batch.lots.first()) {
        (Some(level), Some(lot)) if (level.at, level.seq) < (lot.at, lot.seq) => UNKNOWN_BASE,
        (Some(_), None) => UNKNOWN_BASE,
        (None, None) if batch.sealed_at.is_some() => SEALED_BASE,
        _ => (0.0, FORGOTTEN),
    }
}

/// What the terms say of a batch: base and share with their covariance.
pub(super) struct Settling {
    capacity: f64,
    scraps: f64,
    base: f64,
    share: f64,
    base_variance: f64,
    share_variance: f64,
    covariance: f64,
}

impl Settling {
    /// The regression over the terms that [`explain`] gave.
    pub(super) fn from_terms(why: &Derivation) -> Self {
        let deviation = |name: &str| (why.high(name) - why.low(name)) / (2.0 * Z_80);
        let mut found = Self {
            capacity: why.value("capacity"),
            scraps: why.value("scraps"),
            base: why.value("base"),
            share: why.value(SETTLED.name),
            base_variance: deviation("base").powi(2),
            share_variance: deviation(SETTLED.name).powi(2),
            covariance: 0.0,
        };
        for ((scraps, height), (_, error)) in why.points("levels").iter().zip(why.points("errors")) {
            found.observe(*scraps, *height, error.powi(2));
        }
        found
    }

    /// Takes in a height told when so much had gone in: one step of recursive least squares.
    ///
    /// Where the height is far from what was expected, scraps were forgotten to be told, or taken out: then the eye is
    /// right, and the base makes up for it.
    fn observe(&mut self, scraps: f64, height: f64, error: f64) {
        let off = height - self.base - self.share * scraps;
        let expected = self.occupied_variance_at(scraps) + error;
        if off.powi(2) > SURPRISE.powi(2) * expected {
            self.base_variance += off.powi(2) - expected;
        }
        let to_base = self.base_variance + scraps * self.covariance;
        let to_share = self.covariance + scraps * self.share_variance;
        let variance = to_base + scraps * to_share + error;
        if variance <= 0.0 {
            return;
        }
        self.base += to_base / variance * off;
        self.share = (self.share + to_share / variance * off).clamp(DENSEST, 1.0);
        self.base_variance -= to_base * to_base / variance;
        self.covariance -= to_base * to_share / variance;
        self.share_variance -= to_share * to_share / variance;
    }

    /// The volume taken up, never more than fits.
    pub(super) fn occupied(&self) -> Estimate {
        let most = if self.capacity > 0.0 { self.capacity } else { f64::INFINITY };
        let value = self.base + self.share * self.scraps;
        let spread = Z_80 * self.occupied_variance_at(self.scraps).max(0.0).sqrt();
        let fits = |volume: f64| volume.clamp(0.0, most);
        Estimate::between(fits(value - spread), fits(value), fits(value + spread))
    }

    fn occupied_variance_at(&self, scraps: f64) -> f64 {
        self.base_variance + 2.0 * scraps * self.covariance + scraps * scraps * self.share_variance
    }

    /// Possible volumes still to go in until a share of the bin is taken up, each with its weight.
    pub(super) fn needs(&self, line: f64) -> Vec<(f64, f64)> {
        let deviation = self.share_variance.max(0.0).sqrt();
        let slope = if self.share_variance > 0.0 { self.covariance / self.share_variance } else { 0.0 };
        five_slices(self.share, deviation)
            .map(|(weight, share)| {
                let share = share.clamp(DENSEST, 1.0);
                let base = self.base + slope * (share - self.share);
                (weight, ((line * self.capacity - base) / share - self.scraps).max(0.0))
            })
            .to_vec()
    }
}
