//! What each fact does to a room.

use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};

use super::bin::{Batch, Bin, Check, Drain, End, Grave, Layer, Level, Lot, Reading};
use super::people::Person;
use super::plot::{Burial, Planting, Plot, Strip};
use super::rota::Offer;
use super::starter::Brew;
use super::{Digest, Room};
use crate::fact::{Fact, Place, Setting, What};
use crate::quantity::bran::BRAN_DENSITY;
use crate::quantity::{acid, density};
use crate::units::sane;
use crate::units::{Celsius, Centimetres, Density, Fraction, Grams, Millilitres, Ph, SquareMetres};

/// `started a new batch` within this time of the first lot of an open batch speaks of that batch.
const RESTATED: TimeDelta = TimeDelta::hours(24);

/// No amount a kitchen or a building deals with is larger, in ml, g, cm or square metres. What is told beyond it counts as so
/// much, so that every sum stays a number: who takes in what people say asks them instead.
pub const LARGEST: f64 = 1e8;

/// What a fact is about: its place in the log and its moment.
#[derive(Clone, Copy)]
struct Stamp {
    seq: i64,
    at: DateTime<Utc>,
}

impl Room {
    /// Takes in a fact that comes after all before it.
    pub(super) fn step(&mut self, fact: &Fact) {
        let stamp = Stamp { seq: fact.seq, at: sane(fact.at) };
        // That somebody was asked tells nothing of the bins.
        if !matches!(fact.what, What::Asked { .. }) {
            self.as_of = self.as_of.max(Some(stamp.at));
        }
        if is_work(&fact.what) {
            self.last_log = self.last_log.max(Some(sane(fact.told)));
        }
        self.credit(&fact.author, &fact.what, stamp.at);
        if matches!(fact.what, What::Scraps { .. })
            && let Some(person) = self.people.iter_mut().find(|person| person.id == fact.author)
        {
            person.lots = person.lots.saturating_add(1);
        }
        self.step_bins(stamp, &fact.what);
        self.step_stores(stamp, &fact.what);
        self.step_settings(stamp, &fact.what);
    }

    fn step_bins(&mut self, stamp: Stamp, what: &What) {
        match what {
            What::Scraps { bin, ml, g, foods } => {
                let told_volume = ml.map(|ml| Millilitres(amount(ml)));
                let told_mass = g.map(|g| Grams(amount(g)));
                let lot = Lot { seq: stamp.seq, at: stamp.at, told_volume, told_mass, foods: foods.clone() };
                self.weigh(&lot);
                self.bin_mut(bin, stamp.at).fill(stamp, lot);
            }
            What::Bran { bin, ml, g } => {
                let volume = bran_volume(*ml, *g);
                self.bin_mut(bin, stamp.at).open(stamp).brans.push(Layer {
                    seq: stamp.seq,
                    at: stamp.at,
                    volume,
                });
                self.starter.take(stamp.seq, stamp.at, volume * BRAN_DENSITY);
            }
            What::Drained { bin, ml, used, estimated } => {
                let drain = Drain {
                    seq: stamp.seq,
                    at: stamp.at,
                    volume: Millilitres(amount(*ml)),
                    used: *used,
                    estimated: *estimated,
                };
                self.bin_mut(bin, stamp.at).drain(stamp, drain);
            }
            What::Started { bin } => self.bin_mut(bin, stamp.at).begin(stamp),
            What::Sealed { bin } => self.bin_mut(bin, stamp.at).seal(stamp),
            What::Checked { bin, signs } => {
                let check = Check { seq: stamp.seq, at: stamp.at, signs: *signs };
                self.bin_mut(bin, stamp.at).check(stamp, check);
            }
            What::Level { bin, fraction } => {
                let density = self.density();
                self.bin_mut(bin, stamp.at).level(stamp, Fraction(share(*fraction)), density);
            }
            What::Buried { bin, plot, depth_cm } => self.bury(stamp, bin, plot.as_deref(), *depth_cm),
            What::Discarded { bin } => self.bin_mut(bin, stamp.at).discard(stamp),
            What::Cleaned { bin } => self.bin_mut(bin, stamp.at).clean(stamp),
            What::BinSet { bin, capacity_ml, tap } => {
                let bin = self.bin_mut(bin, stamp.at);
                if let Some(capacity) = capacity_ml.map(amount).filter(|ml| *ml > 0.0) {
                    bin.capacity = Some(Millilitres(capacity));
                }
                bin.tap = tap.or(bin.tap);
                bin.in_use = true;
            }
            What::BinGone { bin } => self.bin_mut(bin, stamp.at).in_use = false,
            _ => {}
        }
    }

    fn step_stores(&mut self, stamp: Stamp, what: &What) {
        match what {
            What::Temperature { place, c } => self.temperature(stamp, place, *c),
            What::SoilPh { plot, ph } if (0.0..=acid::MOST.get()).contains(ph) => {
                let strip = Strip { seq: stamp.seq, at: stamp.at, ph: Ph(*ph) };
                self.plot_mut(plot).strips.push(strip);
            }
            What::Planted { plot, crop } => {
                let planting = Planting { seq: stamp.seq, at: stamp.at, crop: crop.clone() };
                self.plot_mut(plot).plantings.push(planting);
            }
            What::StarterMade { g } => {
                self.starter.make(Brew { seq: stamp.seq, at: stamp.at, mass: Grams(amount(*g)) });
            }
            What::StarterBought { g, ml } => {
                self.starter.buy(stamp.seq, stamp.at, bran_mass(*ml, *g));
            }
            What::StarterStock { g, ml } => {
                self.starter.count(stamp.seq, stamp.at, bran_mass(*ml, *g));
            }
            What::PlotSet { plot, area_m2 } => {
                let plot = self.plot_mut(plot);
                if let Some(area) = area_m2.map(amount).filter(|area| *area > 0.0) {
                    plot.area = Some(SquareMetres(area));
                }
            }
            _ => {}
        }
    }

    fn step_settings(&mut self, stamp: Stamp, what: &What) {
        match what {
            What::Opened { zone, units, direct } => {
                self.zone = *zone;
                self.units = *units;
                self.direct = *direct;
            }
            What::Setting { setting } => match setting {
                Setting::Zone(zone) => self.zone = *zone,
                Setting::Units(units) => self.units = *units,
                Setting::Quiet(quiet) => self.quiet = *quiet,
                Setting::House { rule, holds } => {
                    self.house.insert(*rule, *holds);
                }
                Setting::Digest(cron) => {
                    self.digest =
                        cron.clone().map_or(Digest::Off, |cron| Digest::At { cron, since: stamp.at });
                }
            },
            What::MeasureSet { measure, ml } => {
                self.measures.insert(measure.clone(), Millilitres(amount(*ml)));
            }
            What::Member { person, name, steward } => {
                let person = self.person_mut(person, stamp.at);
                person.name.clone_from(name);
                person.steward = *steward;
                person.here = true;
            }
            What::Left { person } => self.person_mut(person, stamp.at).here = false,
            What::Away { person, until } => {
                let person = self.person_mut(person, stamp.at);
                person.away = true;
                person.away_until = until.map(sane);
            }
            What::Passed { person, nudge } => self.hand_on(person, nudge, stamp.at),
            What::Asked { person, nudge, minutes } => self.ask(person, nudge, amount(*minutes), stamp.at),
            What::Offered { person } => {
                self.offer = Some(Offer { person: person.clone(), at: stamp.at });
            }
            What::Took { person, nudge, until } => {
                self.take_over(person, nudge.as_deref(), sane(*until), stamp.at);
            }
            What::Back { person } => {
                self.last_back = self.last_back.max(Some(stamp.at));
                let person = self.person_mut(person, stamp.at);
                person.away = false;
                person.away_until = None;
            }
            _ => {}
        }
    }

    fn weigh(&mut self, lot: &Lot) {
        if let (Some(volume), Some(mass)) = (lot.told_volume, lot.told_mass)
            && volume > Millilitres::ZERO
            && mass > Grams::ZERO
        {
            self.weighed.lots += 1;
            self.weighed.volume += volume;
            self.weighed.mass += mass;
        }
    }

    fn density(&self) -> Density {
        density::of(self).value
    }

    fn bury(&mut self, stamp: Stamp, bin: &str, plot: Option<&str>, depth_cm: Option<f64>) {
        let grave = Grave {
            seq: stamp.seq,
            at: stamp.at,
            plot: plot.map(str::to_owned),
            depth: depth_cm.map(|cm| Centimetres(amount(cm))),
        };
        let batch = self.bin_mut(bin, stamp.at).bury(grave);
        if let Some(plot) = plot {
            let burial = Burial { seq: stamp.seq, at: stamp.at, bin: bin.to_owned(), batch };
            self.plot_mut(plot).burials.push(burial);
        }
    }

    fn temperature(&mut self, stamp: Stamp, place: &Place, c: f64) {
        if !is_a_reading(c) {
            return;
        }
        let reading = Reading { seq: stamp.seq, at: stamp.at, temperature: Celsius(c) };
        match place {
            Place::Room => self.temperatures.push(reading),
            Place::Bin(bin) => self.bin_mut(bin, stamp.at).temperatures.push(reading),
            Place::Plot(plot) => self.plot_mut(plot).temperatures.push(reading),
        }
    }

    fn bin_mut(&mut self, name: &str, since: DateTime<Utc>) -> &mut Bin {
        let place = self.bins.iter().position(|bin| bin.name == name).unwrap_or_else(|| {
            self.bins.push(Bin::new(name, since));
            self.bins.len() - 1
        });
        &mut self.bins[place]
    }

    fn plot_mut(&mut self, name: &str) -> &mut Plot {
        let place = self.plots.iter().position(|plot| plot.name == name).unwrap_or_else(|| {
            self.plots.push(Plot::new(name));
            self.plots.len() - 1
        });
        &mut self.plots[place]
    }

    fn person_mut(&mut self, id: &str, since: DateTime<Utc>) -> &mut Person {
        let place = self.people.iter().position(|person| person.id == id).unwrap_or_else(|| {
            self.people.push(Person {
                id: id.to_owned(),
                name: id.to_owned(),
                steward: false,
                here: true,
                away: false,
                away_until: None,
                turns: 0,
                last_turn: since,
                balance: 0.0,
                lots: 0,
                in_vain: 0.0,
            });
            self.people.len() - 1
        });
        &mut self.people[place]
    }
}

impl Bin {
    /// The batch in the bin; a new one where there is none.
    fn open(&mut self, stamp: Stamp) -> &mut Batch {
        self.spoilt = false;
        self.in_use = true;
        let number = u32::try_from(self.past.len() + 1).unwrap_or(u32::MAX);
        self.batch.get_or_insert_with(|| Batch::new(number, stamp.at))
    }

    /// Scraps into a sealed bin mean that it was opened again: its time starts when it is sealed the next time. What went in at
    /// the moment of sealing went in before.
    fn fill(&mut self, stamp: Stamp, lot: Lot) {
        let batch = self.open(stamp);
        batch.sealed_at = batch.sealed_at.filter(|sealed| stamp.at <= *sealed);
        batch.lots.push(lot);
    }

    fn begin(&mut self, stamp: Stamp) {
        let is_restated = self.batch.as_ref().is_some_and(|batch| {
            batch.is_untouched() && batch.sealed_at.is_none()
                || batch.sealed_at.is_none() && stamp.at - batch.started_at <= RESTATED
        });
        if !is_restated {
            self.end(End::Untold { at: stamp.at });
        }
        self.open(stamp);
    }

    fn drain(&mut self, stamp: Stamp, drain: Drain) {
        match (&mut self.batch, self.past.last_mut()) {
            (None, Some(last)) => Arc::make_mut(last).drains.push(drain),
            _ => self.open(stamp).drains.push(drain),
        }
    }

    /// Sealing again after a bad check starts the time anew; otherwise the first sealing stands.
    fn seal(&mut self, stamp: Stamp) {
        let batch = self.open(stamp);
        let is_rescued =
            batch.checks_since_sealing().any(|check| crate::advice::advise(&check.signs).forbids_burying());
        if batch.sealed_at.is_none() || is_rescued {
            batch.sealed_at = Some(stamp.at);
        }
    }

    fn check(&mut self, stamp: Stamp, check: Check) {
        if self.batch.is_some() || self.past.is_empty() {
            self.open(stamp).checks.push(check);
        }
    }

    fn level(&mut self, stamp: Stamp, fraction: Fraction, density: Density) {
        if self.batch.is_none() && fraction <= Fraction::ZERO {
            return;
        }
        let batch = self.open(stamp);
        let scraps = batch.scraps_volume(density);
        batch.levels.push(Level { seq: stamp.seq, at: stamp.at, fraction, scraps });
    }

    /// Buries what is in the bin, or a further part of what was; gives the batch's number.
    fn bury(&mut self, grave: Grave) -> Option<u32> {
        if self.batch.is_some() {
            self.end(End::Buried(vec![grave]));
            return self.past.last().map(|batch| batch.number);
        }
        let last = Arc::make_mut(self.past.last_mut()?);
        match &mut last.end {
            Some(End::Buried(graves)) => graves.push(grave),
            end => *end = Some(End::Buried(vec![grave])),
        }
        Some(last.number)
    }

    fn discard(&mut self, stamp: Stamp) {
        if self.batch.is_some() {
            self.end(End::Discarded { at: stamp.at });
        }
        self.spoilt = true;
    }

    fn clean(&mut self, stamp: Stamp) {
        self.spoilt = false;
        self.cleaned_at = Some(stamp.at);
    }

    fn end(&mut self, end: End) {
        if let Some(mut batch) = self.batch.take() {
            batch.end = Some(end);
            self.past.push(Arc::new(batch));
        }
    }
}

/// No kitchen, shed or soil is so cold or so hot.
const COLDEST: f64 = -40.0;
const HOTTEST: f64 = 80.0;

/// Whether somebody can have read this temperature, in degrees Celsius, where bins stand or are buried: others are slips of
/// the finger, and tell nothing.
pub fn is_a_reading(c: f64) -> bool {
    (COLDEST..=HOTTEST).contains(&c)
}

fn is_work(what: &What) -> bool {
    matches!(
        what,
        What::Scraps { .. }
            | What::Bran { .. }
            | What::Drained { .. }
            | What::Started { .. }
            | What::Sealed { .. }
            | What::Checked { .. }
            | What::Temperature { .. }
            | What::SoilPh { .. }
            | What::Level { .. }
            | What::Buried { .. }
            | What::Discarded { .. }
            | What::Planted { .. }
            | What::Cleaned { .. }
            | What::StarterMade { .. }
            | What::StarterBought { .. }
            | What::StarterStock { .. }
    )
}

fn bran_volume(ml: Option<f64>, g: Option<f64>) -> Millilitres {
    match (ml, g) {
        (Some(ml), _) => Millilitres(amount(ml)),
        (None, Some(g)) => Grams(amount(g)) / BRAN_DENSITY,
        (None, None) => Millilitres::ZERO,
    }
}

fn bran_mass(ml: Option<f64>, g: Option<f64>) -> Grams {
    match (ml, g) {
        (_, Some(g)) => Grams(amount(g)),
        (Some(ml), None) => Millilitres(amount(ml)) * BRAN_DENSITY,
        (None, None) => Grams::ZERO,
    }
}

/// An amount that is a number, not below nothing, and not beyond all measure.
fn amount(number: f64) -> f64 {
    if number.is_nan() { 0.0 } else { number.clamp(0.0, LARGEST) }
}

fn share(number: f64) -> f64 {
    if number.is_nan() { 0.0 } else { number.clamp(0.0, 1.0) }
}
