//! The bran: what is ready, what ferments, what was used.

use chrono::{DateTime, TimeDelta, Utc};

use crate::growing::Growing;
use crate::units::Grams;

/// How long bran ferments sealed before it can be used: [`crate::quantity::starter::BREWING`].
pub(crate) const BREWING: TimeDelta = TimeDelta::days(14);

/// Spoons are heaped or level by about this share.
const SPOON_DEVIATION: f64 = 0.15;
/// From count to count they change by this share.
const SPOON_DRIFT: f64 = 0.08;
/// A count of the stock by eye or by a kitchen scale is off by this share.
const EYE: f64 = 0.06;
/// Less use between two counts tells nothing.
const TELLING_USE: Grams = Grams(50.0);

/// The stock of bran and its comings and goings.
#[derive(Clone, Debug, Default)]
pub struct Starter {
    /// Ready bran at the last event; none until a stock, a purchase or a finished brew was told.
    pub(super) counted: Option<Grams>,
    /// What was made and had not been added to the stock at the last event.
    pub(super) brews: Vec<Brew>,
    /// What was used as told, in order of time.
    pub uses: Growing<(DateTime<Utc>, Grams)>,
    /// What was used as told since the last count.
    pub(crate) used_since: Grams,
    /// What had been counted then, and came since.
    pub(crate) supplied_since: Grams,
    /// What counts told of the spoons: use as told, use as counted, and what the counts were taken from.
    pub(crate) counts: Growing<Count>,
    /// How often the stock was filled up: made, bought, or found to be more.
    pub supplies: u32,
    /// The facts on which the stock rests, since it was last counted.
    pub seqs: Growing<i64>,
}

/// Two counts of the stock, and the use between them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Count {
    /// Use as told.
    pub(crate) told: Grams,
    /// Use by the counts.
    pub(crate) counted: Grams,
    /// What there was to use from: the larger, the less a count by eye tells.
    pub(crate) supply: Grams,
}

/// How much bran a spoonful told really is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spoon {
    /// Bran used for bran told.
    pub mean: f64,
    /// Standard deviation of that.
    pub deviation: f64,
    /// How many counts told it.
    pub counts: usize,
}

/// Bran that ferments.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Brew {
    /// The fact that told it.
    pub seq: i64,
    /// When it was made.
    pub at: DateTime<Utc>,
    /// How much dry bran.
    pub mass: Grams,
}

impl Brew {
    /// When it can be used.
    pub fn ready_at(&self) -> DateTime<Utc> {
        self.at + BREWING
    }
}

impl Starter {
    /// Ready bran at that moment; none where no stock was ever told.
    pub fn stock(&self, now: DateTime<Utc>) -> Option<Grams> {
        let finished: Vec<_> = self.brews.iter().filter(|brew| brew.ready_at() <= now).collect();
        if self.counted.is_none() && finished.is_empty() {
            return None;
        }
        let counted = self.counted.unwrap_or_default().less(self.spoon_error());
        Some(counted + finished.iter().map(|brew| brew.mass).sum())
    }

    /// What is fermenting at that moment.
    pub fn brewing(&self, now: DateTime<Utc>) -> impl Iterator<Item = &Brew> {
        self.brews.iter().filter(move |brew| brew.ready_at() > now)
    }

    /// What went beyond what was told since the last count, by how heaped the spoons were between earlier counts.
    fn spoon_error(&self) -> Grams {
        self.used_since * (self.spoon().mean - 1.0)
    }

    /// Bran really used for bran told, by the counts: the normal posterior of a factor.
    pub fn spoon(&self) -> Spoon {
        let (mut mean, mut precision) = (1.0, SPOON_DEVIATION.powi(-2));
        for count in self.counts.iter().rev().take(6) {
            let error = SPOON_DRIFT + EYE * (count.supply / count.told);
            let weight = error.powi(-2);
            precision += weight;
            mean += weight / precision * (count.counted / count.told - mean);
        }
        Spoon { mean: mean.clamp(0.5, 2.0), deviation: precision.powf(-0.5), counts: self.counts.len() }
    }

    pub(super) fn make(&mut self, brew: Brew) {
        self.settle(brew.at);
        self.supplies += 1;
        self.brews.push(brew);
        self.seqs.push(brew.seq);
    }

    pub(super) fn buy(&mut self, seq: i64, at: DateTime<Utc>, mass: Grams) {
        self.settle(at);
        self.supplies += 1;
        self.counted = Some(self.counted.unwrap_or_default() + mass);
        self.supplied_since += mass;
        self.seqs.push(seq);
    }

    pub(super) fn count(&mut self, seq: i64, at: DateTime<Utc>, mass: Grams) {
        self.settle(at);
        if self.counted.is_some_and(|before| mass > before) {
            self.supplies += 1;
        }
        let counted = self.supplied_since - mass;
        if self.counted.is_some() && self.used_since > TELLING_USE && counted > Grams::ZERO {
            self.counts.push(Count { told: self.used_since, counted, supply: self.supplied_since });
        }
        self.counted = Some(mass);
        (self.used_since, self.supplied_since) = (Grams::ZERO, mass);
        self.seqs = self.brews.iter().map(|brew| brew.seq).chain([seq]).collect();
    }

    pub(super) fn take(&mut self, seq: i64, at: DateTime<Utc>, mass: Grams) {
        self.settle(at);
        self.counted = self.counted.map(|before| before.less(mass));
        if self.counted.is_some() {
            self.used_since += mass;
        }
        self.uses.push((at, mass));
        self.seqs.push(seq);
    }

    /// Adds to the stock what has finished by then.
    fn settle(&mut self, at: DateTime<Utc>) {
        let finished: Grams =
            self.brews.iter().filter(|brew| brew.ready_at() <= at).map(|brew| brew.mass).sum();
        if finished > Grams::ZERO {
            self.counted = Some(self.counted.unwrap_or_default() + finished);
            self.supplied_since += finished;
        }
        self.brews.retain(|brew| brew.ready_at() > at);
    }
}
