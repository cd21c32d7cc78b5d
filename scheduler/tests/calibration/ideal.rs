//! The ideal forecaster: it reads the same messages, but knows the kitchen's processes and their noise.
//! And the customary values, without learning, to be better than.

use branbell_scheduler::fact::{Fact, What};
use chrono::{DateTime, Utc};
use rand::{RngExt, SeedableRng};
use rand_distr::{Beta, Distribution, Gamma};
use rand_pcg::Pcg64;
use statrs::function::gamma::ln_gamma;

use crate::kitchen::{
    BATCH_SETTLING, BRAN_DENSITY, Kitchen, LAYER_NOISE, LINE, LOT_NOISE, SETTLED, SPOONS, STOCK_NOISE,
    normal, start,
};
use crate::median;
use crate::play::{Moment, Season, released};

/// Futures that are played.
const FUTURES: usize = 201;

/// Days from the start, as the kitchen counts them.
fn since_start(at: DateTime<Utc>) -> f64 {
    (at - start()).as_seconds_f64() / 86_400.0
}

/// Plays the kitchen on from a moment until `is_done` says so of a lot; gives the days that took.
fn play_on(
    kitchen: &Kitchen,
    rng: &mut Pcg64,
    from: f64,
    mut is_done: impl FnMut(&mut Pcg64, f64) -> bool,
) -> f64 {
    for day in (from as usize)..(from as usize + 400) {
        for (hour, volume) in kitchen.day(day % 7, rng) {
            let at = day as f64 + hour / 24.0;
            if at > from && is_done(rng, volume) {
                return at - from;
            }
        }
    }
    400.0
}

/// A batch's settled share after its levels: mean and standard deviation.
fn with_levels(kitchen: &Kitchen, mean: f64, deviation: f64, levels: &[(f64, f64)]) -> (f64, f64) {
    let (mut mean, mut precision) = (mean, deviation.powi(-2));
    let grain = if kitchen.in_quarters { 0.25 } else { 0.05 };
    let eye = kitchen.eye.hypot(grain / 12f64.sqrt());
    for (volume, level) in levels {
        let weight = (volume / kitchen.capacity / eye).powi(2);
        mean += weight / (precision + weight) * (level * kitchen.capacity / volume - mean);
        precision += weight;
    }
    (mean, precision.powf(-0.5))
}

/// Days until full: the batch's settling from its levels, the rest by playing on.
pub(crate) fn full(season: &Season, moment: &Moment) -> f64 {
    let Moment::HalfFull { at, volume, levels, .. } = moment else { return f64::NAN };
    let kitchen = &season.kitchen;
    let mut rng = Pcg64::seed_from_u64(season.seed ^ 0x00f0_11ed);
    let (mean, deviation) = with_levels(kitchen, kitchen.settled, BATCH_SETTLING, levels);
    let lots = (volume / kitchen.lot).max(1.0);
    let futures: Vec<f64> = (0..FUTURES)
        .map(|_| {
            // At this moment the level is known to lie from a half to the line, but not where.
            let settled = normal(&mut rng, mean, deviation);
            let mut level =
                settled * volume * normal(&mut rng, 1.0, LOT_NOISE / lots.sqrt()) / kitchen.capacity;
            play_on(kitchen, &mut rng, since_start(*at), |_, lot| {
                level += settled * lot / kitchen.capacity;
                level >= LINE
            })
        })
        .collect();
    median(&futures)
}

/// Kitchens that are thought of.
const KITCHENS: usize = 4000;

/// Lots told on working days or at weekends: how many, their sum and the sum of their logarithms, and the days.
#[derive(Clone, Copy, Default)]
struct Told {
    lots: f64,
    sum: f64,
    logs: f64,
    days: f64,
}

/// Days until a kitchen's first bin is full, for one who knows how kitchens differ, the processes and the noise, but not this
/// kitchen: rate, lots, weekends and settling are learnt from what was told.
pub(crate) fn first_full_learnt(season: &Season, moment: &Moment) -> f64 {
    let Moment::HalfFull { at, volume, levels, told, .. } = moment else { return f64::NAN };
    let mut rng = Pcg64::seed_from_u64(season.seed ^ 0x001e_a217);
    let seen = lots_told(&season.facts[..*told], since_start(*at), &season.kitchen);
    let thought: Vec<Kitchen> = std::iter::repeat_with(|| Kitchen::of(&mut rng))
        .filter(|kitchen| kitchen.is_steady == season.kitchen.is_steady)
        .map(|kitchen| kitchen.with_bins_of(season.kitchen.capacity))
        .take(KITCHENS)
        .collect();
    let likely: Vec<f64> = thought.iter().map(|kitchen| log_likelihood(kitchen, &seen)).collect();
    let most = likely.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut sum = 0.0;
    let sums: Vec<f64> = likely
        .iter()
        .map(|likely| {
            sum += (likely - most).exp();
            sum
        })
        .collect();
    let known = &season.kitchen;
    let (mean, deviation) = with_levels(known, SETTLED.0, SETTLED.1.hypot(BATCH_SETTLING), levels);
    let futures: Vec<f64> = (0..FUTURES)
        .map(|_| {
            let drawn = rng.random_range(0.0..sum);
            let kitchen = &thought[sums.partition_point(|sum| *sum <= drawn).min(KITCHENS - 1)];
            let settled = normal(&mut rng, mean, deviation);
            let lots = (volume / kitchen.lot).max(1.0);
            let noise = normal(&mut rng, 1.0, LOT_NOISE / lots.sqrt());
            let mut level = settled * volume * noise / known.capacity;
            play_on(kitchen, &mut rng, since_start(*at), |_, lot| {
                level += settled * lot / known.capacity;
                level >= LINE
            })
        })
        .collect();
    median(&futures)
}

/// What was told by a moment, of working days and of weekends; how dense the scraps are is known.
fn lots_told(facts: &[Fact], until: f64, kitchen: &Kitchen) -> [Told; 2] {
    let mut seen = [Told::default(); 2];
    for day in 0..=until as usize {
        let passed = if kitchen.is_steady { 1.0 } else { ((until - day as f64) * 24.0 - 8.0) / 13.0 };
        seen[usize::from(day % 7 >= 5)].days += passed.clamp(0.0, 1.0);
    }
    for fact in facts {
        if let What::Scraps { ml, g, .. } = &fact.what
            && let Some(ml) = ml.or(g.map(|g| g / kitchen.density))
        {
            let told = &mut seen[usize::from(since_start(fact.at) as usize % 7 >= 5)];
            told.lots += 1.0;
            told.sum += ml;
            told.logs += ml.ln();
        }
    }
    seen
}

/// How likely a kitchen tells that, but for what is the same for all.
fn log_likelihood(kitchen: &Kitchen, seen: &[Told; 2]) -> f64 {
    let spread = kitchen.lot_spread.hypot(LOT_NOISE);
    let form = spread.powi(-2);
    let of = |told: &Told, share: f64| {
        let (counted, size) = if kitchen.is_steady {
            let none = (told.days - told.lots).max(0.0);
            (told.lots * kitchen.rate.ln() + none * (1.0 - kitchen.rate).ln(), share)
        } else {
            let mean = kitchen.rate * share;
            (told.lots * mean.ln() - mean * told.days, 1.0)
        };
        let scale = kitchen.lot * size / form;
        let sized =
            (form - 1.0) * told.logs - told.sum / scale - told.lots * (form * scale.ln() + ln_gamma(form));
        counted + sized
    };
    of(&seen[0], kitchen.weekdays[0]) + of(&seen[1], kitchen.weekdays[6])
}

/// Days until full by custom: a settled share of 0.7 and a usual household.
pub(crate) fn full_by_custom(season: &Season, moment: &Moment) -> f64 {
    let Moment::HalfFull { volume, .. } = moment else { return f64::NAN };
    (season.kitchen.capacity * LINE / 0.7 - volume).max(0.0) / 870.0
}

/// What waits to be drained.
pub(crate) fn liquid(season: &Season, moment: &Moment) -> f64 {
    let Moment::Drain { lots, last, at, .. } = moment else { return f64::NAN };
    let litres: f64 = lots
        .iter()
        .map(|(lot, told)| told / 1000.0 * released(*lot, *last, *at, season.kitchen.release))
        .sum();
    season.kitchen.per_litre * litres
}

/// What waits by custom: 60 ml for each litre since the last drain.
pub(crate) fn liquid_by_custom(_: &Season, moment: &Moment) -> f64 {
    let Moment::Drain { lots, last, .. } = moment else { return f64::NAN };
    60.0 * lots
        .iter()
        .filter(|(at, _)| last.is_none_or(|last| *at > last))
        .map(|(_, ml)| ml / 1000.0)
        .sum::<f64>()
}

/// Days until the bran is used up, for one who knows the kitchen, its rate and spoons included, as nobody can.
pub(crate) fn bran_all_known(season: &Season, moment: &Moment) -> f64 {
    bran_for(season, moment, |_| (season.kitchen.rate, season.kitchen.spoon))
}

/// Days until the bran is used up, for one who knows the processes and the noise, and learns rate and spoons from what was
/// told.
pub(crate) fn bran(season: &Season, moment: &Moment) -> f64 {
    let Moment::Bran { lots, days, .. } = moment else { return f64::NAN };
    bran_for(season, moment, |rng| {
        let rate = if season.kitchen.is_steady {
            // Between 0.6 and 0.95, each as likely.
            Beta::new(lots + 1.0, days - lots.min(*days) + 1.0).unwrap().sample(rng).clamp(0.6, 0.95)
        } else {
            // About 0.9 with a spread of a half.
            Gamma::new(lots + 4.0, 1.0 / (days + 4.0 / 0.9)).unwrap().sample(rng).clamp(0.3, 3.0)
        };
        (rate, normal(rng, 1.0, SPOONS))
    })
}

fn bran_for(season: &Season, moment: &Moment, mut habits: impl FnMut(&mut Pcg64) -> (f64, f64)) -> f64 {
    let Moment::Bran { at, stock, used, .. } = moment else { return f64::NAN };
    let mut rng = Pcg64::seed_from_u64(season.seed ^ 0x00b2_a11d);
    let futures: Vec<f64> = (0..FUTURES)
        .map(|_| {
            let (rate, spoon) = habits(&mut rng);
            let kitchen = Kitchen { rate, ..season.kitchen.clone() };
            let mut left = stock / normal(&mut rng, 1.0, STOCK_NOISE) - used * spoon;
            play_on(&kitchen, &mut rng, since_start(*at), |rng, lot| {
                let ml = (lot / 1000.0 * kitchen.bran_per_litre / 15.0).round().max(1.0) * 15.0;
                left -= ml * BRAN_DENSITY * spoon * normal(rng, 1.0, LAYER_NOISE).max(0.3);
                left <= 0.0
            })
        })
        .collect();
    median(&futures)
}

/// Days until the bran is used up by custom: a usual household.
pub(crate) fn bran_by_custom(_: &Season, moment: &Moment) -> f64 {
    let Moment::Bran { stock, used, .. } = moment else { return f64::NAN };
    (stock - used).max(0.0) / 3.2
}
