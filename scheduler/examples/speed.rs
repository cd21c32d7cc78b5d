//! Measures the fold: ten years of facts, a further one, one of the past, a plan and a report.
//!
//! `cargo run --release -p branbell-scheduler --example speed`

use std::time::{Duration, Instant};

use branbell_scheduler::fact::{Fact, Place, Units, What};
use branbell_scheduler::{Room, plan, report};
use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

fn main() {
    for (years, direct) in [(1, true), (10, true), (1, false), (10, false)] {
        let facts = facts(years, direct);
        let end = facts.last().map_or_else(start, |fact| fact.at);
        let who = if direct { "one person" } else { "a shared room" };
        println!("{years} years, {who}, {} facts", facts.len());
        print("fold", 20, || Room::fold(&facts));
        let room = Room::fold(&facts);
        let past = scraps(facts.len(), end - TimeDelta::hours(40), "green");
        print_further(&room, facts.len(), end);
        print_on("apply two days back", 50, &room, |room| room.apply(&past));
        print("clone", 200, || room.clone());
        print("plan", 50, || plan(&room, end));
        print("report", 50, || report(&room, end));
    }
}

fn start() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2016, 1, 4, 18, 0, 0).single().unwrap_or_default()
}

/// Prints the median of some runs.
fn print<T>(name: &str, runs: usize, run: impl Fn() -> T) {
    let times = (0..runs).map(|_| {
        let before = Instant::now();
        let made = run();
        let time = before.elapsed();
        drop(made);
        time
    });
    print_median(name, times.collect());
}

fn print_on(name: &str, runs: usize, room: &Room, run: impl Fn(&mut Room)) {
    let times = (0..runs).map(|_| {
        let mut room = room.clone();
        let before = Instant::now();
        run(&mut room);
        before.elapsed()
    });
    print_median(name, times.collect());
}

/// A thousand lots one after the other in the same room: the median, and the mean with what its lists cost to grow.
fn print_further(room: &Room, known: usize, end: DateTime<Utc>) {
    let mut room = room.clone();
    let mut n = known;
    let mut times = Vec::new();
    for _ in 0..1_000 {
        n += 1;
        let fact = scraps(n, end + TimeDelta::minutes(i64::try_from(n - known).unwrap_or(0)), "green");
        let before = Instant::now();
        room.apply(&fact);
        times.push(before.elapsed());
    }
    let mean = times.iter().sum::<Duration>().as_secs_f64() / times.len() as f64;
    print_median("apply at the end", times);
    println!("  {:20} {:10.1} µs", "  its mean", mean * 1e6);
}

fn print_median(name: &str, mut times: Vec<Duration>) {
    times.sort();
    println!("  {name:20} {:10.1} µs", times[times.len() / 2].as_secs_f64() * 1e6);
}

fn scraps(n: usize, at: DateTime<Utc>, bin: &str) -> Fact {
    fact(n, at, What::Scraps { bin: bin.into(), ml: Some(1500.0), g: None, foods: vec![] })
}

fn fact(n: usize, at: DateTime<Utc>, what: What) -> Fact {
    Fact {
        seq: i64::try_from(n).unwrap_or(i64::MAX),
        event: format!("$event-{n}"),
        author: "ana".into(),
        at,
        told: at,
        what,
    }
}

/// Years of a busy kitchen: two lots a day with bran, a drain every other day, a level and a temperature a week, two bins
/// in turn. In a shared room somebody is asked for each drain, and another where nobody answers.
fn facts(years: i64, direct: bool) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut tell = |at, what| facts.push(fact(facts.len(), at, what));
    tell(start(), What::Opened { zone: Tz::Europe__Vienna, units: Units::Metric, direct });
    for person in ["ana", "bo", "cem"] {
        tell(start(), What::Member { person: person.into(), name: person.into(), steward: false });
    }
    tell(start(), What::PlotSet { plot: "south".into(), area_m2: Some(20.0) });
    for bin in ["green", "blue"] {
        tell(start(), What::BinSet { bin: bin.into(), capacity_ml: Some(19_000.0), tap: Some(true) });
    }
    for day in 0..years * 365 {
        let at = |hours: i64| start() + TimeDelta::days(day) + TimeDelta::hours(hours);
        let (bin, other) = if day / 16 % 2 == 0 { ("green", "blue") } else { ("blue", "green") };
        for hour in [0, 3] {
            let what = What::Scraps { bin: bin.into(), ml: Some(700.0), g: None, foods: vec![] };
            tell(at(hour), what);
            tell(at(hour), What::Bran { bin: bin.into(), ml: Some(15.0), g: None });
        }
        let asked = if !direct && day % 2 == 0 { &["ana", "bo"][..] } else { &[] };
        for person in asked {
            let nudge = format!("drain/{bin}/{}/{day}", day / 32);
            tell(at(3), What::Asked { person: (*person).into(), nudge, minutes: 5.0 });
        }
        if day % 2 == 0 {
            tell(at(4), What::Drained { bin: bin.into(), ml: 80.0, used: None, estimated: false });
        }
        if day % 7 == 0 {
            tell(at(4), What::Temperature { place: Place::Room, c: 20.0 });
            tell(at(4), What::Level { bin: bin.into(), fraction: 0.5 });
            tell(at(4), What::StarterBought { g: Some(60.0), ml: None });
        }
        if day % 16 == 15 {
            let plot = Some("south".into());
            tell(at(5), What::Buried { bin: other.into(), plot, depth_cm: None });
            tell(at(5), What::Sealed { bin: bin.into() });
        }
    }
    facts
}
