//! Ten years of facts folded, and one fact more on the first day and after ten years. `cargo bench -p branbell-scheduler`.

use branbell_scheduler::Room;
use branbell_scheduler::fact::{Fact, Food, Signs, Smell, Units, What};
use chrono::{DateTime, TimeDelta, Utc};
use divan::Bencher;
use divan::counter::ItemsCount;

/// What ten years of a busy kitchen come to.
const TEN_YEARS: usize = 20_000;

fn main() {
    divan::main();
}

/// Facts in the order of a kitchen's days: a lot with its bran each day, liquid every other, a batch every three weeks.
fn facts(count: usize) -> Vec<Fact> {
    let start: DateTime<Utc> = DateTime::from_timestamp(1_800_000_000, 0).unwrap_or_default();
    let opened = What::Opened { zone: chrono_tz::Europe::Vienna, units: Units::Metric, direct: true };
    let bins = ["green", "blue"].map(|bin| What::BinSet {
        bin: bin.to_owned(),
        capacity_ml: Some(19_000.0),
        tap: Some(true),
    });
    let setup = std::iter::once(opened).chain(bins).map(|what| (0, what));
    let days = (0..).flat_map(|day| on_day(day).into_iter().map(move |what| (day, what)));
    let told = setup.chain(days).take(count);
    (1..)
        .zip(told)
        .map(|(seq, (day, what))| {
            let at = start + TimeDelta::hours(24 * day);
            Fact { seq, event: format!("$e{seq}"), author: "ana".to_owned(), at, told: at, what }
        })
        .collect()
}

fn on_day(day: i64) -> Vec<What> {
    let bin = if day / 21 % 2 == 0 { "green" } else { "blue" }.to_owned();
    let lot = What::Scraps { bin: bin.clone(), ml: Some(1_200.0), g: None, foods: vec![Food::Vegetable] };
    let bran = What::Bran { bin: bin.clone(), ml: Some(30.0), g: None };
    let drained = What::Drained { bin: bin.clone(), ml: 140.0, used: None, estimated: false };
    let signs = Signs { smell: Some(Smell::SweetSour), ..Signs::default() };
    match day % 21 {
        0 => vec![What::Started { bin }, lot, bran],
        20 => vec![
            lot,
            bran,
            What::Sealed { bin: bin.clone() },
            What::Checked { bin: bin.clone(), signs },
            What::Buried { bin, plot: None, depth_cm: None },
        ],
        odd if odd % 2 == 1 => vec![drained, lot, bran],
        _ => vec![lot, bran],
    }
}

#[divan::bench]
fn ten_years(bencher: Bencher<'_, '_>) {
    let facts = facts(TEN_YEARS);
    bencher.counter(ItemsCount::new(facts.len())).bench(|| Room::fold(&facts));
}

/// A thousand facts on top of those of so many days.
#[divan::bench(args = [1_000, TEN_YEARS])]
fn a_thousand_more(bencher: Bencher<'_, '_>, known: usize) {
    let facts = facts(known + 1_000);
    bencher.counter(ItemsCount::new(1_000_usize)).with_inputs(|| Room::fold(&facts[..known])).bench_values(
        |mut room| {
            facts[known..].iter().for_each(|fact| room.apply(fact));
            room
        },
    );
}
