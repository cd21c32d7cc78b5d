//! The season that a kitchen plays: what was told, and what was true.

use branbell_scheduler::fact::{Fact, Place, Units, What};
use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Europe::Vienna;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

use crate::kitchen::{
    BATCH_SETTLING, BRAN_DENSITY, DENSITY_NOISE, Kitchen, LAYER_NOISE, LINE, LOT_NOISE, STOCK_NOISE, Tells,
    between, log_normal, normal, start,
};
use crate::warmth::Warmth;

/// A moment at which the model is asked.
#[derive(Debug)]
pub(crate) enum Moment {
    HalfFull {
        told: usize,
        batch: usize,
        bin: String,
        at: DateTime<Utc>,
        full_at: DateTime<Utc>,
        /// Volume as told so far, and levels told with it.
        volume: f64,
        levels: Vec<(f64, f64)>,
    },
    Drain {
        told: usize,
        number: usize,
        bin: String,
        at: DateTime<Utc>,
        truth: f64,
        /// Lots as told since the batch began, and the drain before.
        lots: Vec<(DateTime<Utc>, f64)>,
        last: Option<DateTime<Utc>>,
    },
    Bran {
        told: usize,
        at: DateTime<Utc>,
        out_at: DateTime<Utc>,
        /// The stock as told last, and bran told as used since, in grams.
        stock: f64,
        used: f64,
        /// Lots told in how many days.
        lots: f64,
        days: f64,
    },
    Ready {
        told: usize,
        bin: String,
        at: DateTime<Utc>,
        ready_at: DateTime<Utc>,
        /// Days that one expects who knows the place.
        expected: f64,
        /// Whether somebody reads a thermometer.
        is_read: bool,
    },
}

impl Moment {
    /// How many facts had been told by then.
    pub(crate) fn told(&self) -> usize {
        match self {
            Self::HalfFull { told, .. }
            | Self::Drain { told, .. }
            | Self::Bran { told, .. }
            | Self::Ready { told, .. } => *told,
        }
    }
}

/// A season as played: what was told, and what was true.
pub(crate) struct Season {
    pub(crate) kitchen: Kitchen,
    pub(crate) facts: Vec<Fact>,
    pub(crate) moments: Vec<Moment>,
    pub(crate) seed: u64,
}

/// A batch being played.
struct Batch {
    number: usize,
    bin: String,
    settled: f64,
    volume: f64,
    told: f64,
    lots: Vec<(DateTime<Utc>, f64, f64)>,
    levels: Vec<(f64, f64)>,
    last_drain: Option<DateTime<Utc>>,
    half: Option<usize>,
}

struct Play {
    season: Season,
    rng: Pcg64,
    /// Chances of the scales: apart, so that who weighs nothing plays as if there were none.
    scales: Pcg64,
    warmth: Warmth,
    batch: Batch,
    stock: f64,
    stock_told: f64,
    used_told: f64,
    bran_asked: Option<usize>,
    is_out: bool,
    next_level: f64,
    next_drain: f64,
    next_count: f64,
    drains: usize,
}

impl Season {
    /// Plays a season: four batches, or until the bran is used up.
    pub(crate) fn play(seed: u64) -> Self {
        let mut rng = Pcg64::seed_from_u64(seed);
        let mut scales = Pcg64::seed_from_u64(seed ^ 0x05ca_1e50);
        let kitchen = Kitchen::of(&mut rng).with_scales(&mut scales);
        let stock = between(&mut rng, 35.0, 110.0)
            * kitchen.rate
            * kitchen.lot
            * kitchen.bran_per_litre
            * BRAN_DENSITY
            / 1000.0;
        let season = Self { kitchen, facts: Vec::new(), moments: Vec::new(), seed };
        let batch = Batch::new(0, season.kitchen.settled);
        let mut play = Play {
            season,
            rng,
            scales,
            warmth: Warmth::of(seed),
            batch,
            stock,
            stock_told: 0.0,
            used_told: 0.0,
            bran_asked: None,
            is_out: false,
            next_level: 4.0,
            next_drain: 2.0,
            next_count: 20.0,
            drains: 0,
        };
        play.open();
        for day in 0..400 {
            play.day(day);
            if play.batch.number >= 4 && play.is_out {
                break;
            }
        }
        play.finish()
    }
}

impl Batch {
    fn new(number: usize, settled: f64) -> Self {
        Self {
            number,
            bin: ["green", "blue", "red", "grey"][number % 4].to_owned(),
            settled,
            volume: 0.0,
            told: 0.0,
            lots: Vec::new(),
            levels: Vec::new(),
            last_drain: None,
            half: None,
        }
    }
}

impl Play {
    fn tell(&mut self, at: DateTime<Utc>, what: What) {
        let seq = i64::try_from(self.season.facts.len()).unwrap() + 1;
        self.season.facts.push(Fact {
            seq,
            event: format!("${seq}"),
            author: "ana".into(),
            at,
            told: at,
            what,
        });
    }

    fn open(&mut self) {
        let at = start();
        self.tell(at, What::Opened { zone: Vienna, units: Units::Metric, direct: true });
        for bin in ["green", "blue", "red", "grey"] {
            let capacity_ml = Some(self.season.kitchen.capacity);
            self.tell(at, What::BinSet { bin: bin.into(), capacity_ml, tap: Some(true) });
        }
        self.count_stock(at);
        let settled = self.season.kitchen.settled;
        self.batch.settled = normal(&mut self.rng, settled, BATCH_SETTLING);
    }

    fn count_stock(&mut self, at: DateTime<Utc>) {
        let told = (self.stock * normal(&mut self.rng, 1.0, STOCK_NOISE) / 10.0).round() * 10.0;
        self.tell(at, What::StarterStock { g: Some(told.max(0.0)), ml: None });
        (self.stock_told, self.used_told) = (told.max(0.0), 0.0);
    }

    fn day(&mut self, day: usize) {
        let at = |hour: f64| start() + TimeDelta::seconds(((day as f64 * 24.0 + hour) * 3600.0) as i64);
        let (read, done) = self.warmth.day(day);
        for (moment, part) in done {
            if let Moment::Ready { ready_at, .. } = &mut self.season.moments[moment] {
                *ready_at = at(part * 24.0);
            }
        }
        if let Some(c) = read {
            self.tell(at(6.9), What::Temperature { place: Place::Room, c });
        }
        if day == 30 && !self.is_out {
            self.bran_asked = Some(self.season.moments.len());
            let told = self.season.facts.len();
            let (stock, used) = (self.stock_told, self.used_told);
            let lots =
                self.season.facts.iter().filter(|fact| matches!(fact.what, What::Scraps { .. })).count();
            self.season.moments.push(Moment::Bran {
                told,
                at: at(7.0),
                out_at: at(7.0),
                stock,
                used,
                lots: lots as f64,
                days: day as f64,
            });
        }
        if day as f64 >= self.next_count && !self.is_out {
            self.count_stock(at(7.5));
            self.next_count += between(&mut self.rng, 15.0, 60.0);
        }
        if day as f64 >= self.next_drain {
            self.drain(at(7.8));
            self.next_drain = day as f64 + [2.0, 2.0, 2.0, 3.0, 4.0][self.rng.random_range(0..5)];
        }
        // Local time in Vienna is an hour ahead in winter: the habits are kept by the sun, the model meets the zone.
        for (hour, volume) in self.season.kitchen.clone().day(day % 7, &mut self.rng) {
            self.lot(at(hour), volume);
        }
        if day as f64 >= self.next_level && self.batch.volume > 0.0 {
            self.level(at(21.5));
            self.next_level = day as f64 + between(&mut self.rng, 4.0, 9.0);
        }
    }

    fn lot(&mut self, at: DateTime<Utc>, volume: f64) {
        let grain = if self.season.kitchen.lot > 1000.0 { 250.0 } else { 50.0 };
        let told = (volume * normal(&mut self.rng, 1.0, LOT_NOISE) / grain).round().max(1.0) * grain;
        let bin = self.batch.bin.clone();
        let (ml, g) = self.told_as(volume, told);
        self.tell(at, What::Scraps { bin: bin.clone(), ml, g, foods: vec![] });
        // Who knows how dense the scraps are reads the volume from the mass.
        let told = ml.or(g.map(|g| g / self.season.kitchen.density)).unwrap_or(told);
        self.batch.volume += volume;
        self.batch.told += told;
        self.batch.lots.push((at, volume, told));
        self.bran(at, &bin, told);
        let fraction = self.batch.settled * self.batch.volume / self.season.kitchen.capacity;
        if fraction >= LINE {
            self.full(at + TimeDelta::minutes(5));
        } else if fraction >= 0.5 && self.batch.half.is_none() {
            self.batch.half = Some(self.season.moments.len());
            let moment = Moment::HalfFull {
                told: self.season.facts.len(),
                batch: self.batch.number,
                bin,
                at: at + TimeDelta::minutes(2),
                full_at: at,
                volume: self.batch.told,
                levels: self.batch.levels.clone(),
            };
            self.season.moments.push(moment);
        }
    }

    /// A lot as it is told, by volume or by mass.
    fn told_as(&mut self, volume: f64, told: f64) -> (Option<f64>, Option<f64>) {
        let tells = self.season.kitchen.tells;
        if tells == Tells::Volume {
            return (Some(told), None);
        }
        let density = self.season.kitchen.density * normal(&mut self.scales, 1.0, DENSITY_NOISE);
        let g = (volume * density / 10.0).round().max(1.0) * 10.0;
        let is_both = self.scales.random_bool(0.25);
        match tells {
            Tells::Mass if !is_both => (None, Some(g)),
            Tells::Both if !is_both => (Some(told), None),
            _ => (Some(told), Some(g)),
        }
    }

    fn bran(&mut self, at: DateTime<Utc>, bin: &str, told: f64) {
        let ml = (told / 1000.0 * self.season.kitchen.bran_per_litre / 15.0).round().max(1.0) * 15.0;
        if self.is_out {
            return;
        }
        self.tell(at + TimeDelta::minutes(1), What::Bran { bin: bin.into(), ml: Some(ml), g: None });
        self.used_told += ml * BRAN_DENSITY;
        self.stock -=
            ml * BRAN_DENSITY * self.season.kitchen.spoon * normal(&mut self.rng, 1.0, LAYER_NOISE).max(0.3);
        if self.stock <= 0.0 {
            self.is_out = true;
            if let Some(asked) = self.bran_asked
                && let Moment::Bran { out_at, .. } = &mut self.season.moments[asked]
            {
                *out_at = at;
            }
        }
    }

    fn full(&mut self, at: DateTime<Utc>) {
        if let Some(half) = self.batch.half
            && let Moment::HalfFull { full_at, .. } = &mut self.season.moments[half]
        {
            *full_at = at - TimeDelta::minutes(5);
        }
        let bin = self.batch.bin.clone();
        if self.rng.random_bool(0.8) {
            self.tell(at, What::Level { bin: bin.clone(), fraction: 1.0 });
        }
        self.tell(at, What::Sealed { bin: bin.clone() });
        self.warmth.seal(self.season.moments.len());
        self.season.moments.push(Moment::Ready {
            told: self.season.facts.len(),
            bin,
            at,
            ready_at: at,
            expected: self.warmth.expected(),
            is_read: self.warmth.is_read,
        });
        let settled = self.season.kitchen.settled;
        self.batch = Batch::new(self.batch.number + 1, normal(&mut self.rng, settled, BATCH_SETTLING));
        let bin = self.batch.bin.clone();
        if self.batch.number >= 4 {
            self.tell(at, What::Buried { bin, plot: None, depth_cm: None });
        }
    }

    fn level(&mut self, at: DateTime<Utc>) {
        let truth = self.batch.settled * self.batch.volume / self.season.kitchen.capacity;
        let seen = (truth + normal(&mut self.rng, 0.0, self.season.kitchen.eye)).clamp(0.02, 0.97);
        let told = if self.season.kitchen.in_quarters {
            (seen * 4.0).round() / 4.0
        } else {
            (seen * 20.0).round() / 20.0
        };
        if told > 0.0 && told < 1.0 {
            self.batch.levels.push((self.batch.told, told));
            let bin = self.batch.bin.clone();
            self.tell(at, What::Level { bin, fraction: told });
        }
    }

    fn drain(&mut self, at: DateTime<Utc>) {
        let kitchen = &self.season.kitchen;
        let released: f64 = self
            .batch
            .lots
            .iter()
            .map(|(lot, volume, _)| {
                volume / 1000.0 * released(*lot, self.batch.last_drain, at, kitchen.release)
            })
            .sum();
        if released < 0.2 {
            return;
        }
        let truth = kitchen.per_litre * released * log_normal(&mut self.rng, 1.0, kitchen.drain_noise);
        let bin = self.batch.bin.clone();
        self.season.moments.push(Moment::Drain {
            told: self.season.facts.len(),
            number: self.drains,
            bin: bin.clone(),
            at,
            truth,
            lots: self.batch.lots.iter().map(|(at, _, told)| (*at, *told)).collect(),
            last: self.batch.last_drain,
        });
        let ml = (truth / 10.0).round() * 10.0;
        self.tell(at, What::Drained { bin, ml, used: None, estimated: false });
        self.batch.last_drain = Some(at);
        self.drains += 1;
    }

    /// What was not decided by the end was not asked.
    fn finish(mut self) -> Season {
        let is_out = self.is_out;
        self.season.moments.retain(|moment| match moment {
            Moment::HalfFull { at, full_at, .. } => full_at >= at,
            Moment::Drain { .. } => true,
            Moment::Bran { at, out_at, .. } => is_out && out_at > at,
            Moment::Ready { at, ready_at, .. } => ready_at > at,
        });
        self.season
    }
}

/// The share of a lot's liquid that came between the last drain and now.
pub(crate) fn released(
    lot: DateTime<Utc>,
    last: Option<DateTime<Utc>>,
    now: DateTime<Utc>,
    release: f64,
) -> f64 {
    let kept = |at: DateTime<Utc>| (-(at - lot).as_seconds_f64() / 86_400.0 / release).exp();
    last.filter(|last| *last > lot).map_or(1.0, kept) - kept(now)
}
