//! Rotation: how many bins a room needs, and the chance that all are full at once.

use chrono::{DateTime, Utc};
use rand::SeedableRng;
use rand_distr::{Distribution, Gamma, LogNormal, Triangular};
use rand_pcg::Pcg64;

use super::rhythm::Rhythm;
use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, ferment, fill};
use crate::state::{Bin, Room};
use crate::units::{Days, Fraction, Millilitres};

/// Days to empty and wash a bin and have it ready.
pub const EMPTYING: Constant = Constant::exact("emptying", 1.0, "d", Source::Practice);
/// How far ahead the chance looks.
pub const MONTH: Constant =
    Constant::exact("month", 30.0, "d", Source::Judgement("time enough to get a bin"));
/// Futures that are played to find a chance: one of a half is then known to about three in a hundred.
pub const FUTURES: Constant = Constant::exact("futures", 400.0, "1", Source::Judgement("precise to 0.03"));

const SAME_FUTURES: Source = Source::Judgement("asked again, the same futures");

static BINS: Formula = Formula {
    id: "rotation.bins",
    expression: "ceil((filling + fermenting + emptying) / filling)",
    evaluate: |why| {
        let filling = why.value("filling");
        let bins = |fermenting: f64| ((filling + fermenting + why.value("emptying")) / filling).ceil();
        match why.estimate("fermenting") {
            Estimate { value, low: Some(low), high: Some(high) } => {
                Estimate::between(bins(low), bins(value), bins(high))
            }
            Estimate { value, .. } => Estimate::exact(bins(value)),
        }
    },
};

static FILLING: Formula = Formula {
    id: "rotation.filling",
    expression: "mean of room in bins / per_day",
    evaluate: |why| {
        let bins = why.points("holds");
        let mean = bins.iter().map(|(_, holds)| holds).sum::<f64>() / bins.len().max(1) as f64;
        let days = |per_day: f64| (mean / per_day).clamp(SHORTEST_FILLING, LONGEST_FILLING);
        Estimate::between(days(why.high("per_day")), days(why.value("per_day")), days(why.low("per_day")))
    },
};

static ALL_FULL: Formula = Formula {
    id: "rotation.all_full",
    expression: "share of futures in which within a month no bin takes scraps; who is away puts nothing in",
    evaluate: |why| {
        let mut rng = Pcg64::seed_from_u64(why.value("seed") as u64);
        let futures = why.value("futures") as usize;
        let full = (0..futures).filter(|_| Future::of(why).fills_up(why, &mut rng)).count();
        Estimate::exact(full as f64 / futures.max(1) as f64)
    },
};

/// Filling never takes less or more, in days.
const SHORTEST_FILLING: f64 = 0.1;
const LONGEST_FILLING: f64 = 1000.0;

/// How the bins of a room go round.
#[derive(Clone, Debug)]
pub struct Rotation {
    /// Bins that were counted.
    pub bins: usize,
    /// Days to fill one.
    pub filling: Quantity<Days>,
    /// Days to ferment one.
    pub fermenting: Quantity<Days>,
    /// Bins that never leave the room without one.
    pub needed: Quantity<Fraction>,
    /// The chance that within a month all are full at once.
    pub all_full: Quantity<Fraction>,
}

/// Bins that a continuous kitchen needs, for days of filling one, of fermenting and of emptying.
pub fn bins_needed(filling: Days, fermenting: Days, emptying: Days) -> Quantity<Fraction> {
    Quantity::of(
        Derivation::by(&BINS)
            .asked("filling", filling.max(Days(SHORTEST_FILLING)))
            .asked("fermenting", fermenting.max(Days::ZERO))
            .asked("emptying", emptying.max(Days::ZERO)),
    )
}

/// How the bins of a room go round, with further bins of these sizes where the question is `what if`; none where nothing
/// has been told of scraps, or the size of no bin is known. The seed gives the futures: the same one, the same answer.
pub fn rotation(room: &Room, further: &[Millilitres], now: DateTime<Utc>, seed: u32) -> Option<Rotation> {
    let rhythm = fill::rhythm_of_room(room, now)?;
    let bins: Vec<&Bin> = room.bins_in_use().filter(|bin| bin.capacity.is_some()).collect();
    let fermenting = ferment::days(room);
    let mut state = Slots::default();
    for bin in &bins {
        state.add_bin(room, bin, now);
    }
    for capacity in further {
        let holds = fill::holds(room, *capacity);
        state.add(holds, holds, Days::ZERO);
    }
    if state.holds.is_empty() {
        return None;
    }
    let lots = bins.iter().filter_map(|bin| bin.batch.as_ref()).flat_map(|batch| &batch.lots);
    let seqs: Vec<i64> = lots.map(|lot| lot.seq).collect();
    let told = || Origin::Facts(seqs.clone());
    let by_rhythm = |formula| rhythm.explain(Derivation::by(formula), "mL/d", now, room.zone);
    let filling: Quantity<Days> = Quantity::of(
        by_rhythm(&FILLING)
            .course("holds", state.holds.clone(), "mL", told())
            .narrowed_by([Narrows::MoreWeeks]),
    );
    let needed = Derivation::by(&BINS)
        .quantity("filling", &filling)
        .quantity("fermenting", &fermenting)
        .constant(&EMPTYING);
    let bins = state.holds.len();
    let all_full = by_rhythm(&ALL_FULL)
        .course("holds", state.holds, "mL", told())
        .course("space", state.space, "mL", told())
        .course("free_in", state.free_in, "d", told())
        .quantity("fermenting", &fermenting)
        .term("seed", Estimate::exact(f64::from(seed)), "1", Origin::Constant(SAME_FUTURES))
        .constant(&ferment::SPREAD)
        .constant(&EMPTYING)
        .constant(&MONTH)
        .constant(&FUTURES);
    Some(Rotation {
        bins,
        filling,
        fermenting,
        needed: Quantity::of(needed),
        all_full: Quantity::of(all_full.narrowed_by([Narrows::MoreWeeks])),
    })
}

/// The bins as courses: what each holds, what still fits, and in how many days it can be filled again.
#[derive(Default)]
struct Slots {
    holds: Vec<(f64, f64)>,
    space: Vec<(f64, f64)>,
    free_in: Vec<(f64, f64)>,
}

impl Slots {
    fn add(&mut self, holds: Millilitres, space: Millilitres, free_in: Days) {
        let place = self.holds.len() as f64;
        self.holds.push((place, holds.get()));
        self.space.push((place, space.get()));
        self.free_in.push((place, free_in.get()));
    }

    fn add_bin(&mut self, room: &Room, bin: &Bin, now: DateTime<Utc>) {
        let Some(capacity) = bin.capacity else { return };
        let holds = fill::holds(room, capacity);
        match ferment::ferment(room, bin, now) {
            Some(ferment) => {
                let left = Days::of(ferment.ready.at - now).max(Days::ZERO) + Days(EMPTYING.value);
                self.add(holds, Millilitres::ZERO, left);
            }
            None => {
                let taken = fill::fill(room, bin, now).and_then(|fill| fill.fraction);
                let share = taken.map_or(0.0, |taken| taken.value.get() / fill::FILL_LINE.value).min(1.0);
                self.add(holds, holds * (1.0 - share), Days::ZERO);
            }
        }
    }
}

/// One future: a month of days over the bins.
struct Future {
    space: Vec<f64>,
    free_at: Vec<f64>,
}

impl Future {
    fn of(why: &Derivation) -> Self {
        let values = |name: &str| why.points(name).iter().map(|(_, value)| *value).collect();
        Self { space: values("space"), free_at: values("free_in") }
    }

    /// Whether within the month scraps find no bin.
    fn fills_up(mut self, why: &Derivation, rng: &mut Pcg64) -> bool {
        let rhythm = Rhythm::from_terms(why);
        let usual = rhythm.per_day * LogNormal::new(0.0, rhythm.doubt).map_or(1.0, |doubt| doubt.sample(rng));
        let part_passed = why.value("start").fract();
        for day in rhythm.days_away()..(why.value("month") as usize) {
            let per_day = usual * rhythm.attendance(day, part_passed);
            let Ok(amounts) = Gamma::new((per_day / rhythm.dispersion).max(0.01), rhythm.dispersion.max(1.0))
            else {
                return false;
            };
            if !self.take(amounts.sample(rng), day as f64, why, rng) {
                return true;
            }
        }
        false
    }

    /// Puts a day's scraps into the fullest bin that takes some, and seals what is full; false where they find none.
    fn take(&mut self, mut amount: f64, day: f64, why: &Derivation, rng: &mut Pcg64) -> bool {
        while amount > 0.0 {
            for place in 0..self.space.len() {
                if self.space[place] <= 0.0 && self.free_at[place] <= day {
                    self.space[place] = why.points("holds")[place].1;
                }
            }
            let open = (0..self.space.len())
                .filter(|place| self.space[*place] > 0.0 && self.free_at[*place] <= day)
                .min_by(|one, other| self.space[*one].total_cmp(&self.space[*other]));
            let Some(place) = open else { return false };
            let taken = amount.min(self.space[place]);
            amount -= taken;
            self.space[place] -= taken;
            if self.space[place] <= 0.0 {
                self.space[place] = 0.0;
                self.free_at[place] = day + ferments(why, rng) + why.value("emptying");
            }
        }
        true
    }
}

/// The days a batch ferments: about as the clock has it, within the spread of batches.
fn ferments(why: &Derivation, rng: &mut Pcg64) -> f64 {
    let spread = Triangular::new(why.low("done_at"), why.high("done_at"), why.value("done_at"));
    why.value("fermenting") * spread.map_or(1.0, |spread| spread.sample(rng))
}
