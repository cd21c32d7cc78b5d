//! What a room is: the fold of its facts.
//!
//! The fold is total: it never refuses a fact and never panics. Facts are placed by the moment they speak of, then by
//! their place in the log; voided facts have no effect. A further fact at the end costs the same however long the log
//! is; one that speaks of the last days folds again from a remembered place before it, an older one from the beginning.

mod apply;
mod bin;
mod log;
mod people;
mod plot;
mod rota;
mod starter;

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, Utc};
use chrono_tz::Tz;

pub use apply::{LARGEST, is_a_reading};
pub use bin::{Batch, Bin, Check, Drain, End, Layer, Level, Lot, Phase, Reading};
pub use people::Person;
pub use plot::{Burial, Planting, Plot, Strip};
pub use rota::{Hands, Offer, StandIn, Taken, effort};
pub use starter::{Brew, Spoon, Starter};

use crate::fact::{Fact, HouseRule, Units};
use crate::growing::Growing;
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
    /// When the digest comes.
    pub digest: Digest,
    /// The rules of the house, as far as they were told.
    pub house: BTreeMap<HouseRule, bool>,
    /// The bins in the order in which they were first heard of, those no longer in use included.
    pub bins: Vec<Bin>,
    /// The plots in the order in which they were first heard of.
    pub plots: Vec<Plot>,
    /// The bran.
    pub starter: Starter,
    /// Who has been in the room, those who left included.
    pub people: Vec<Person>,
    /// In whose hands each nudge is of which there was talk lately.
    pub hands: BTreeMap<String, Hands>,
    /// The latest offer of a turn that nobody took.
    pub offer: Option<Offer>,
    /// Who goes before whom the next time.
    pub stand_ins: Vec<StandIn>,
    /// The room's own measures.
    pub measures: BTreeMap<String, Millilitres>,
    /// Temperatures of the room the bins stand in, in order of time.
    pub temperatures: Growing<Reading>,
    /// Lots that were told both by volume and by mass.
    pub weighed: Weighed,
    /// The latest moment at which somebody reported work on the bins.
    pub last_log: Option<DateTime<Utc>>,
    /// When somebody last said that they are back.
    pub last_back: Option<DateTime<Utc>>,
    /// The latest moment any fact speaks of.
    pub as_of: Option<DateTime<Utc>>,
    log: Log,
    /// How many facts of the log have been folded.
    folded: usize,
    /// The room at earlier places of its log, the latest last, each without its log.
    earlier: Vec<Arc<Room>>,
}

/// When the digest comes.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Digest {
    /// Nobody said: only where a nudge was said as often as it may be and something is still to do.
    #[default]
    Unsaid,
    /// Never.
    Off,
    /// At the times of a cron expression with seconds, in the room's zone: `0 0 18 * * SUN`.
    At {
        /// The expression.
        cron: String,
        /// Since when.
        since: DateTime<Utc>,
    },
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
            digest: Digest::default(),
            house: BTreeMap::new(),
            bins: Vec::new(),
            plots: Vec::new(),
            starter: Starter::default(),
            people: Vec::new(),
            hands: BTreeMap::new(),
            offer: None,
            stand_ins: Vec::new(),
            measures: BTreeMap::new(),
            temperatures: Growing::default(),
            weighed: Weighed::default(),
            last_log: None,
            last_back: None,
            as_of: None,
            log: Log::default(),
            folded: 0,
            earlier: Vec::new(),
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
        let changed = self.log.take(fact);
        if changed + 1 < self.log.len() || changed < self.folded {
            self.go_back(changed);
        }
        self.go_on();
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
        let mut room = Self { log, ..Self::default() };
        room.go_on();
        room
    }

    /// Folds what has not been folded, and remembers the room now and then.
    fn go_on(&mut self) {
        while self.folded < self.log.len() {
            if let Some(fact) = self.log.at(self.folded).cloned() {
                self.step(&fact);
            }
            self.folded += 1;
            let is_near_the_end = self.log.len() - self.folded < KEPT * STRIDE;
            if self.folded.is_multiple_of(STRIDE) && is_near_the_end {
                self.remember();
            }
        }
    }

    /// Keeps the room as it is at this place of its log, and forgets an older one.
    fn remember(&mut self) {
        let earlier = std::mem::take(&mut self.earlier);
        let log = std::mem::take(&mut self.log);
        let now = Arc::new(self.clone());
        self.log = log;
        self.earlier = earlier.into_iter().rev().take(KEPT - 1).rev().chain([now]).collect();
    }

    /// Goes back to the latest remembered room that saw nothing of a place, or to the beginning.
    fn go_back(&mut self, place: usize) {
        let log = std::mem::take(&mut self.log);
        let mut earlier = std::mem::take(&mut self.earlier);
        earlier.retain(|room| room.folded <= place);
        *self = earlier.last().map_or_else(Self::default, |room| Self::clone(room));
        self.log = log;
        self.earlier = earlier;
    }
}

/// The room is remembered every so many facts, and so many times: a fact of the last week or so is folded from there.
const STRIDE: usize = 64;
const KEPT: usize = 3;
