//! What a room is: the fold of its facts.
//!
//! The fold is total: it never refuses a fact and never panics. Facts are placed by the moment they speak of, then by
//! their place in the log; voided facts have no effect. A further fact at the end costs the same however long the log
//! is; one that speaks of the past folds the log again from there.

mod apply;
mod bin;
mod log;
mod people;
mod plot;
mod starter;

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

pub use bin::{Batch, Bin, Check, Drain, End, Layer, Level, Lot, Phase, Reading};
pub use people::Person;
pub use plot::{Burial, Planting, Plot};
pub use starter::{Brew, Spoon, Starter};

use crate::fact::{Fact, Units};
use crate::quiet::Quiet;
use crate::units::{Density, Grams, Millilitres};
use log::Log;

/// A room as its facts have left it.
#[derive(Clone, Debug)]
pub struct Room {
    /// Its time zone; UTC until told.
    pub zone: Tz,
    /// The measures it speaks.
    pub units: Units,
    /// Whether it is one-to-one.
    pub direct: bool,
    /// The hours in which nothing is sent.
    pub quiet: Quiet,
    /// When the digest comes; off unless set.
    pub digest: Option<Digest>,
    /// The bins in the order in which they were first heard of, those no longer in use included.
    pub bins: Vec<Bin>,
    /// The plots in the order in which they were first heard of.
    pub plots: Vec<Plot>,
    /// The bran.
    pub starter: Starter,
    /// Who has been in the room, those who left included.
    pub people: Vec<Person>,
    /// The room's own measures.
    pub measures: BTreeMap<String, Millilitres>,
    /// Temperatures of the room the bins stand in, in order of time.
    pub temperatures: Vec<Reading>,
    /// Lots that were told both by volume and by mass.
    pub weighed: Weighed,
    /// The latest moment at which somebody reported work on the bins.
    pub last_log: Option<DateTime<Utc>>,
    /// The latest moment any fact speaks of.
    pub as_of: Option<DateTime<Utc>>,
    log: Log,
}

/// When the digest comes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Digest {
    /// A cron expression with seconds, in the room's zone: `0 0 18 * * SUN`.
    pub cron: String,
    /// Since when.
    pub since: DateTime<Utc>,
}

/// Lots that were told both by volume and by mass, summed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Weighed {
    /// How many.
    pub lots: usize,
    /// Their volume.
    pub volume: Millilitres,
    /// Their mass.
    pub mass: Grams,
}

impl Weighed {
    /// The mean density, once three lots have both.
    pub fn density(&self) -> Option<Density> {
        (self.lots >= 3 && self.volume > Millilitres::ZERO && self.mass > Grams::ZERO)
            .then(|| self.mass / self.volume)
    }
}

impl Default for Room {
    fn default() -> Self {
        Self {
            zone: Tz::UTC,
            units: Units::default(),
            direct: true,
            quiet: Quiet::default(),
            digest: None,
            bins: Vec::new(),
            plots: Vec::new(),
            starter: Starter::default(),
            people: Vec::new(),
            measures: BTreeMap::new(),
            temperatures: Vec::new(),
            weighed: Weighed::default(),
            last_log: None,
            as_of: None,
            log: Log::default(),
        }
    }
}

impl Room {
    /// The room after these facts, given in any order.
    pub fn fold<'a>(facts: impl IntoIterator<Item = &'a Fact>) -> Self {
        Self::of(Log::of(facts.into_iter().cloned()))
    }

    /// Takes a further fact in.
    pub fn apply(&mut self, fact: &Fact) {
        if let Some(fact) = self.log.take(fact) {
            self.step(&fact);
        } else {
            *self = Self::of(std::mem::take(&mut self.log));
        }
    }

    /// The facts that hold, in the order in which they are placed.
    pub fn facts(&self) -> impl DoubleEndedIterator<Item = &Fact> {
        self.log.holding()
    }

    /// The fact at that place in the log, where it holds.
    pub fn fact(&self, seq: i64) -> Option<&Fact> {
        self.log.holding().rfind(|fact| fact.seq == seq)
    }

    /// The bin of that name, one no longer in use included.
    pub fn bin(&self, name: &str) -> Option<&Bin> {
        self.bins.iter().find(|bin| bin.name == name)
    }

    /// The bins in use.
    pub fn bins_in_use(&self) -> impl Iterator<Item = &Bin> {
        self.bins.iter().filter(|bin| bin.in_use)
    }

    /// The plot of that name.
    pub fn plot(&self, name: &str) -> Option<&Plot> {
        self.plots.iter().find(|plot| plot.name == name)
    }

    /// The person of that id.
    pub fn person(&self, id: &str) -> Option<&Person> {
        self.people.iter().find(|person| person.id == id)
    }

    fn of(log: Log) -> Self {
        let mut room = Self::default();
        for fact in log.holding() {
            room.step(fact);
        }
        room.log = log;
        room
    }
}
