//! Bins and the batches in them.

use std::sync::Arc;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::fact::{Food, Signs, Use};
use crate::growing::Growing;
use crate::units::{Celsius, Centimetres, Density, Fraction, Grams, Millilitres};

/// A bin.
#[derive(Clone, Debug)]
pub struct Bin {
    /// Its name.
    pub name: String,
    /// Its size, where told.
    pub capacity: Option<Millilitres>,
    /// Whether it has a tap, where told.
    pub tap: Option<bool>,
    /// Whether it is in use.
    pub in_use: bool,
    /// What is in it.
    pub batch: Option<Batch>,
    /// What was in it, in order; the batch with number `n` is at `n - 1`.
    pub past: Growing<Arc<Batch>>,
    /// Whether its last batch was thrown away and it has not been washed or used since.
    pub spoilt: bool,
    /// Temperatures read in or at it, in order of time.
    pub temperatures: Growing<Reading>,
    /// When it was last washed.
    pub cleaned_at: Option<DateTime<Utc>>,
    /// When it was first heard of.
    pub since: DateTime<Utc>,
}

/// What a bin is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Phase {
    /// Nothing in it.
    Empty,
    /// Scraps go in.
    Filling,
    /// Closed for fermenting.
    Sealed,
    /// Fermented, by the clock and with no bad check since sealing.
    Ready,
    /// Its batch was thrown away; it wants washing.
    Discarded,
}

/// One filling of a bin, from the first layer to its end.
#[derive(Clone, Debug)]
pub struct Batch {
    /// Counted from 1 in its bin.
    pub number: u32,
    /// When it was begun.
    pub started_at: DateTime<Utc>,
    /// When it was closed for fermenting.
    pub sealed_at: Option<DateTime<Utc>>,
    /// What went in.
    pub lots: Vec<Lot>,
    /// The bran that went in.
    pub brans: Vec<Layer>,
    /// The liquid that was drained.
    pub drains: Vec<Drain>,
    /// How full it was.
    pub levels: Vec<Level>,
    /// What was seen and smelled.
    pub checks: Vec<Check>,
    /// How it ended.
    pub end: Option<End>,
}

/// A lot of scraps.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// The fact that told it.
    pub seq: i64,
    /// When it went in.
    pub at: DateTime<Utc>,
    /// Its volume as told.
    pub told_volume: Option<Millilitres>,
    /// Its mass as told.
    pub told_mass: Option<Grams>,
    /// What it was, where told.
    pub foods: Vec<Food>,
}

/// A layer of bran.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// The fact that told it.
    pub seq: i64,
    /// When it went in.
    pub at: DateTime<Utc>,
    /// Its volume.
    pub volume: Millilitres,
}

/// Liquid drained.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drain {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// How much.
    pub volume: Millilitres,
    /// Where it went.
    pub used: Option<Use>,
    /// Nobody measured; it was taken to be what was expected.
    pub estimated: bool,
}

/// A report how full a bin is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// As told; `1` is somebody's `full`.
    pub fraction: Fraction,
    /// What had gone in by then.
    pub scraps: Millilitres,
}

/// A look and a smell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Check {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// What was found.
    pub signs: Signs,
}

/// A temperature that was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// How warm.
    pub temperature: Celsius,
}

/// How a batch ended.
#[derive(Clone, Debug, PartialEq)]
pub enum End {
    /// Into the ground; in several parts where it was told several times.
    Buried(Vec<Grave>),
    /// Thrown away.
    Discarded {
        /// When.
        at: DateTime<Utc>,
    },
    /// A new batch was begun in the bin, and nobody told what became of this one.
    Untold {
        /// When the new one began.
        at: DateTime<Utc>,
    },
}

/// Where a batch, or a part of it, went into the ground.
#[derive(Clone, Debug, PartialEq)]
pub struct Grave {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// Where, if told.
    pub plot: Option<String>,
    /// How deep, if told.
    pub depth: Option<Centimetres>,
}

impl Bin {
    pub(super) fn new(name: &str, since: DateTime<Utc>) -> Self {
        Self {
            name: name.to_owned(),
            capacity: None,
            tap: None,
            in_use: true,
            batch: None,
            past: Growing::default(),
            spoilt: false,
            temperatures: Growing::default(),
            cleaned_at: None,
            since,
        }
    }

    /// The batch in the bin, where it is still being filled.
    pub fn filling(&self) -> Option<&Batch> {
        self.batch.as_ref().filter(|batch| batch.sealed_at.is_none())
    }

    /// The batch in the bin, where it is closed for fermenting, ready or not.
    pub fn sealed(&self) -> Option<&Batch> {
        self.batch.as_ref().filter(|batch| batch.sealed_at.is_some())
    }

    /// The batch of that number, in the bin or past.
    pub fn batch_numbered(&self, number: u32) -> Option<&Batch> {
        let past = usize::try_from(number).ok().and_then(|n| self.past.get(n.checked_sub(1)?));
        past.map(Arc::as_ref).or_else(|| self.batch.as_ref().filter(|batch| batch.number == number))
    }

    /// All batches, the present one last.
    pub fn batches(&self) -> impl DoubleEndedIterator<Item = &Batch> {
        self.past.iter().map(Arc::as_ref).chain(self.batch.as_ref())
    }
}

impl Batch {
    pub(super) fn new(number: u32, started_at: DateTime<Utc>) -> Self {
        Self {
            number,
            started_at,
            sealed_at: None,
            lots: Vec::new(),
            brans: Vec::new(),
            drains: Vec::new(),
            levels: Vec::new(),
            checks: Vec::new(),
            end: None,
        }
    }

    /// Whether nothing is known to have gone in.
    pub fn is_untouched(&self) -> bool {
        self.lots.is_empty() && self.brans.is_empty() && self.levels.is_empty() && self.drains.is_empty()
    }

    /// The volume that went in: as told, or the mass by the density.
    pub fn scraps_volume(&self, density: Density) -> Millilitres {
        self.lots.iter().map(|lot| lot.volume(density)).sum()
    }

    /// The mass that went in: as told, or the volume by the density.
    pub fn scraps_mass(&self, density: Density) -> Grams {
        self.lots.iter().map(|lot| lot.mass(density)).sum()
    }

    /// The bran that went in.
    pub fn bran(&self) -> Millilitres {
        self.brans.iter().map(|layer| layer.volume).sum()
    }

    /// The liquid that came out.
    pub fn drained(&self) -> Millilitres {
        self.drains.iter().map(|drain| drain.volume).sum()
    }

    /// The checks since it was sealed.
    pub fn checks_since_sealing(&self) -> impl DoubleEndedIterator<Item = &Check> {
        let sealed = self.sealed_at;
        self.checks.iter().filter(move |check| sealed.is_some_and(|sealed| check.at >= sealed))
    }

    /// When it ended, where it has.
    pub fn ended_at(&self) -> Option<DateTime<Utc>> {
        match self.end.as_ref()? {
            End::Buried(graves) => graves.first().map(|grave| grave.at),
            End::Discarded { at } | End::Untold { at } => Some(*at),
        }
    }

    /// Whether it was buried.
    pub fn is_buried(&self) -> bool {
        matches!(self.end, Some(End::Buried(_)))
    }
}

impl Lot {
    /// Its volume: as told, or its mass by the density.
    pub fn volume(&self, density: Density) -> Millilitres {
        self.told_volume.or_else(|| self.told_mass.map(|mass| mass / density)).unwrap_or(Millilitres::ZERO)
    }

    /// Its mass: as told, or its volume by the density.
    pub fn mass(&self, density: Density) -> Grams {
        self.told_mass.or_else(|| self.told_volume.map(|volume| volume * density)).unwrap_or(Grams::ZERO)
    }
}
