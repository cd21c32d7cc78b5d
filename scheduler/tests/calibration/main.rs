//! Calibration: kitchens with their own random processes, which the model does not know, play seasons. The model's
//! middle 80 % must cover what happens 75 to 85 times in a hundred, and its median error must stay near that of an ideal
//! forecaster, who reads the same messages but knows the processes and the noise.
//!
//! `cargo test -p branbell-scheduler --release --test calibration -- --nocapture` prints the table; `SEASONS=2000` plays more.

#![expect(clippy::unwrap_used, reason = "a test may panic")]

mod ideal;
mod kitchen;
mod play;
mod warmth;

use std::fmt;

use branbell_scheduler::Room;
use branbell_scheduler::quantity::{When, ferment, fill, liquid, starter};
use branbell_scheduler::units::Days;
use kitchen::Tells;
use play::{Moment, Season};

/// Seasons played where the environment does not tell.
const SEASONS: u64 = 200;

/// How a forecast did, in the unit of what it forecasts.
#[derive(Default)]
struct Score {
    covered: usize,
    errors: Vec<f64>,
    of_ideal: Vec<f64>,
    of_prior: Vec<f64>,
    signed: Vec<f64>,
}

impl Score {
    fn add(&mut self, truth: f64, (low, value, high): (f64, f64, f64), ideal: f64, prior: f64) {
        self.covered += usize::from(low <= truth && truth <= high);
        self.errors.push((value - truth).abs());
        self.signed.push(value - truth);
        self.of_ideal.push((ideal - truth).abs());
        self.of_prior.push((prior - truth).abs());
    }

    fn coverage(&self) -> f64 {
        self.covered as f64 / self.errors.len() as f64
    }

    fn ratio(&self) -> f64 {
        median(&self.errors) / median(&self.of_ideal)
    }
}

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "n {:5}  covered {:4.1} %  median error {:7.3}  ideal {:7.3}  ratio {:4.2}  prior {:7.3}  bias {:6.3}  \
             mean error {:7.3}  ideal {:7.3}",
            self.errors.len(),
            100.0 * self.coverage(),
            median(&self.errors),
            median(&self.of_ideal),
            self.ratio(),
            median(&self.of_prior),
            median(&self.signed),
            mean(&self.errors),
            mean(&self.of_ideal),
        )
    }
}

fn median(all: &[f64]) -> f64 {
    let mut sorted = all.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
}

/// Where moments come a day apart the median leaps from one day to two; the mean does not.
fn mean(all: &[f64]) -> f64 {
    all.iter().sum::<f64>() / all.len() as f64
}

#[derive(Default)]
struct Scores {
    full: Score,
    full_steady: [Score; 4],
    full_by_batch: [Score; 4],
    /// First batches beside an ideal that does not know the kitchen's habits either: steady ones, and all.
    full_learnt: [Score; 2],
    /// Kitchens that weigh their scraps.
    full_weighed: Score,
    liquid: Score,
    liquid_first: Score,
    bran: Score,
    bran_all_known: Score,
    /// Where nobody reads a thermometer, and where somebody does.
    ready: [Score; 2],
}

#[test]
fn forecasts_are_calibrated() {
    let seasons = std::env::var("SEASONS").ok().and_then(|all| all.parse().ok()).unwrap_or(SEASONS);
    let mut scores = Scores::default();
    for seed in 0..seasons {
        play(&Season::play(seed), &mut scores);
    }
    println!("{seasons} seasons");
    println!("full, days      {}", scores.full);
    for (number, score) in scores.full_steady.iter().enumerate() {
        println!("  steady {}      {score}", number + 1);
    }
    for (number, score) in scores.full_by_batch.iter().enumerate() {
        println!("  batch {}       {score}", number + 1);
    }
    let [steady, all] = &scores.full_learnt;
    println!("  1, habits learnt by the ideal too: steady\n                {steady}\n  the same, all {all}");
    println!("  weighed       {}", scores.full_weighed);
    println!("liquid, share   {}", scores.liquid);
    println!("  first drain   {}", scores.liquid_first);
    println!("bran, days      {}", scores.bran);
    println!("  rate known    {}", scores.bran_all_known);
    let [assumed, read] = &scores.ready;
    println!("ready, days: thermometer read\n                {read}\n  not read      {assumed}");
    for (name, score) in [("full", &scores.full), ("liquid", &scores.liquid), ("bran", &scores.bran)] {
        assert!((0.75..=0.85).contains(&score.coverage()), "{name}: {score}");
        assert!(score.ratio() <= 1.3, "{name}: {score}");
        assert!(median(&score.errors) < median(&score.of_prior), "{name}: {score}");
    }
    // Medians of whole days leap: the means tell how near it comes to what can be known.
    let [_, learnt] = &scores.full_learnt;
    assert!(mean(&learnt.errors) <= 1.3 * mean(&learnt.of_ideal), "first batches: {learnt}");
    // A thermometer tells more than two weeks by custom.
    assert!(median(&read.errors) < median(&read.of_prior), "ready: {read}");
    let [first, _, third, _] = &scores.full_by_batch;
    assert!(median(&third.errors) < median(&first.errors), "{third} after {first}");
}

/// Tells a season to the model, and asks it at each moment of interest.
fn play(season: &Season, scores: &mut Scores) {
    let mut room = Room::default();
    let mut told = 0;
    for moment in &season.moments {
        let until = moment.told();
        for fact in &season.facts[told..until] {
            room.apply(fact);
        }
        told = until;
        match moment {
            Moment::HalfFull { batch, at, full_at, bin, .. } => {
                let Some(full) =
                    room.bin(bin).and_then(|bin| fill::fill(&room, bin, *at)).and_then(|fill| fill.full)
                else {
                    continue;
                };
                let truth = days(*full_at, *at);
                let ideal = ideal::full(season, moment);
                let prior = ideal::full_by_custom(season, moment);
                let found = in_days(&full, *at);
                scores.full.add(truth, found, ideal, prior);
                if season.kitchen.is_steady {
                    scores.full_steady[(*batch).min(3)].add(truth, found, ideal, prior);
                }
                scores.full_by_batch[(*batch).min(3)].add(truth, found, ideal, prior);
                if season.kitchen.tells == Tells::Mass {
                    scores.full_weighed.add(truth, found, ideal, prior);
                }
                if *batch == 0 {
                    let learnt = ideal::first_full_learnt(season, moment);
                    scores.full_learnt[1].add(truth, found, learnt, prior);
                    if season.kitchen.is_steady {
                        scores.full_learnt[0].add(truth, found, learnt, prior);
                    }
                }
            }
            Moment::Drain { at, bin, truth, number, .. } => {
                let Some(waiting) = room.bin(bin).and_then(|bin| liquid::waiting(&room, bin, *at)) else {
                    continue;
                };
                let ideal = ideal::liquid(season, moment);
                let prior = ideal::liquid_by_custom(season, moment);
                let share = |ml: f64| ml / truth;
                let found =
                    (share(waiting.low().get()), share(waiting.value.get()), share(waiting.high().get()));
                let score = if *number == 0 { &mut scores.liquid_first } else { &mut scores.liquid };
                score.add(1.0, found, share(ideal), share(prior));
            }
            Moment::Ready { at, ready_at, bin, expected, is_read, .. } => {
                let Some(ferment) = room.bin(bin).and_then(|bin| ferment::ferment(&room, bin, *at)) else {
                    continue;
                };
                let found = in_days(&ferment.ready, *at);
                let by_custom = ferment::DAYS_AT_REFERENCE.value;
                scores.ready[usize::from(*is_read)].add(days(*ready_at, *at), found, *expected, by_custom);
            }
            Moment::Bran { at, out_at, .. } => {
                let Some(out) = starter::outlook(&room, *at).and_then(|outlook| outlook.out) else {
                    continue;
                };
                let ideal = ideal::bran(season, moment);
                let prior = ideal::bran_by_custom(season, moment);
                let (truth, found) = (days(*out_at, *at), in_days(&out, *at));
                scores.bran.add(truth, found, ideal, prior);
                scores.bran_all_known.add(truth, found, ideal::bran_all_known(season, moment), prior);
            }
        }
    }
}

fn days(at: chrono::DateTime<chrono::Utc>, from: chrono::DateTime<chrono::Utc>) -> f64 {
    Days::of(at - from).get()
}

fn in_days(when: &When, from: chrono::DateTime<chrono::Utc>) -> (f64, f64, f64) {
    (days(when.early, from), days(when.at, from), days(when.late, from))
}
