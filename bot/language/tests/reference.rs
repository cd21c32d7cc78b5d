//! The reader beside general-purpose reference libraries. The tables under `tests/reference/` were made by the scripts
//! beside them, which name the library, its licence and how to make them again.
#![allow(
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    missing_docs,
    unreachable_pub,
    reason = "a test may fail loudly"
)]

use std::collections::BTreeMap;

use branbell_language::{Message, Precision, Units, read};
use chrono::NaiveDateTime;
use chrono_tz::Tz;

fn message(text: String, now: NaiveDateTime) -> Message {
    // A zone without clock changes: the library speaks of local time only.
    let zone = Tz::Africa__Nairobi;
    let now = now.and_local_timezone(zone).single().unwrap().fixed_offset();
    Message {
        text,
        now,
        zone,
        units: Units::Metric,
        bins: Vec::new(),
        plots: Vec::new(),
        measures: BTreeMap::new(),
        direct: true,
        reply_to: None,
        id: None,
    }
}

fn noon() -> NaiveDateTime {
    "2026-06-10T12:00:00".parse().unwrap()
}

/// The grams that `added <words> grams of peelings` is read as.
fn grams(words: &str) -> Option<f64> {
    read(&message(format!("added {words} grams of peelings"), noon())).facts.first()?.slots.g
}

#[test]
fn every_integer_to_ten_thousand_is_read_as_num2words_spells_it() {
    let table = include_str!("reference/cardinals.txt");
    let (coded, samples) = table.split_once("#\n").unwrap();
    let (mut words, mut count) = (String::new(), 0);
    for (number, line) in coded.lines().enumerate() {
        let (shared, rest) = line.split_once(' ').unwrap();
        words.truncate(shared.parse().unwrap());
        words.push_str(rest);
        assert_eq!(grams(&words), Some(number as f64), "{words}");
        count += 1;
    }
    assert_eq!(count, 10_001);
    for line in samples.lines() {
        let (number, words) = line.split_once(' ').unwrap();
        assert_eq!(grams(words), number.parse().ok(), "{words}");
    }
}

#[test]
fn fractions_add_to_integers() {
    for (words, value) in
        [("a half", 0.5), ("a third", 1.0 / 3.0), ("two thirds", 2.0 / 3.0), ("three quarters", 0.75)]
    {
        for (whole, number) in [("two", 2.0), ("twelve", 12.0), ("ninety-nine", 99.0)] {
            let got = grams(&format!("{whole} and {words}")).unwrap();
            assert!((got - number - value).abs() < 1e-9, "{whole} and {words}: {got}");
        }
    }
}

/// Where dateparser and the contract speak of the same thing they must agree; where the contract rules otherwise, the
/// reason is listed.
#[test]
fn times_are_placed_as_dateparser_places_them() {
    let (mut compared, mut differences) = (0, Vec::new());
    for line in include_str!("reference/times.tsv").lines() {
        let columns: Vec<&str> = line.split('\t').collect();
        let [now, expression, want, grain] = columns[..] else { panic!("{line}") };
        let parse = |text: &str| NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").unwrap();
        let (now, want) = (parse(now), parse(want));
        let weekday_today = now.format("%a").to_string().to_lowercase();
        // The contract: a bare weekday in a report is the latest one before today; the library takes today.
        if expression.to_lowercase().starts_with(&format!("on {weekday_today}")) {
            continue;
        }
        compared += 1;
        let reading = read(&message(format!("drained 200 ml {expression}"), now));
        let slots = reading.facts.first().map(|fact| fact.slots.clone()).unwrap_or_default();
        let got = slots.at.map(|at| at.naive_local());
        let same = match (grain, got) {
            ("minute", Some(got)) => got == want && slots.precision == Some(Precision::Minute),
            (_, Some(got)) => got.date() == want.date(),
            (_, None) => false,
        };
        if !same {
            differences.push(format!("{expression} at {now}: {got:?}, not {want}"));
        }
    }
    assert!(compared > 150, "{compared}");
    assert!(differences.is_empty(), "{differences:#?}");
}
