//! The bran: what is ready, what ferments, what was used.

use chrono::{DateTime, TimeDelta, Utc};

use crate::units::Grams;

/// How long bran ferments sealed before it can be used. Source: common practice, two weeks.
pub(crate) const BREWING: TimeDelta = TimeDelta::days(14);

/// The stock of bran and its comings and goings.
#[derive(Clone, Debug, Default)]
pub struct Starter {
    /// Ready bran at the last event; none until a stock, a purchase or a finished brew was told.
    pub(super) counted: Option<Grams>,
    /// What was made and had not been added to the stock at the last event.
    pub(super) brews: Vec<Brew>,
    /// What was used, in order of time.
    pub uses: Vec<(DateTime<Utc>, Grams)>,
    /// How often the stock was filled up: made, bought, or found to be more.
    pub supplies: u32,
    /// The facts on which the stock rests, since it was last counted.
    pub seqs: Vec<i64>,
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
        Some(self.counted.unwrap_or_default() + finished.iter().map(|brew| brew.mass).sum())
    }

    /// What is fermenting at that moment.
    pub fn brewing(&self, now: DateTime<Utc>) -> impl Iterator<Item = &Brew> {
        self.brews.iter().filter(move |brew| brew.ready_at() > now)
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
        self.seqs.push(seq);
    }

    pub(super) fn count(&mut self, seq: i64, at: DateTime<Utc>, mass: Grams) {
        self.settle(at);
        if self.counted.is_some_and(|before| mass > before) {
            self.supplies += 1;
        }
        self.counted = Some(mass);
        self.seqs = self.brews.iter().map(|brew| brew.seq).chain([seq]).collect();
    }

    pub(super) fn take(&mut self, seq: i64, at: DateTime<Utc>, mass: Grams) {
        self.settle(at);
        self.counted = self.counted.map(|before| before.less(mass));
        self.uses.push((at, mass));
        self.seqs.push(seq);
    }

    /// Adds to the stock what has finished by then.
    fn settle(&mut self, at: DateTime<Utc>) {
        self.counted = self.stock(at);
        self.brews.retain(|brew| brew.ready_at() > at);
    }
}
