//! Remarks that nobody asked for, and assumptions that are said to be such.

mod kitchen;

use branbell_scheduler::fact::What;
use branbell_scheduler::hints::{Hint, hints};
use branbell_scheduler::quantity::{fill, rest, rotation, starter};
use branbell_scheduler::report;
use branbell_scheduler::units::{Celsius, Days};
use chrono::{Datelike, TimeZone, Utc, Weekday};
use chrono_tz::Tz;
use kitchen::{Kitchen, day};

fn green() -> Kitchen {
    Kitchen::with_green(Tz::Europe__Vienna, day(0.0))
}

#[test]
fn a_cold_bin_is_better_moved() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 20_000.0);
    kitchen.sealed(day(1.0), "green");
    kitchen.room_temperature(day(1.0), 12.5);
    let cold = Hint::TooCold { bin: "green".into(), temperature: Celsius(12.5) };
    assert_eq!(hints(&kitchen.room(), day(2.0)), [cold]);
    // Thirty degrees are no reason to scold.
    kitchen.room_temperature(day(2.5), 30.0);
    assert!(hints(&kitchen.room(), day(3.0)).is_empty());
}

#[test]
fn a_bin_that_fills_for_long_is_too_large() {
    let mut kitchen = green();
    for d in 0..16 {
        kitchen.scraps(day(f64::from(d)), "green", 300.0);
    }
    let room = kitchen.room();
    assert!(hints(&room, day(14.0)).is_empty());
    assert_eq!(hints(&room, day(15.0)), [Hint::FillingLong { bin: "green".into(), days: Days(15.0) }]);
}

#[test]
fn without_a_tap_something_must_soak_the_liquid_up() {
    let mut kitchen = green();
    kitchen.tell(day(0.0), What::BinSet { bin: "green".into(), capacity_ml: None, tap: Some(false) });
    kitchen.scraps(day(0.1), "green", 300.0);
    assert_eq!(hints(&kitchen.room(), day(0.2)), [Hint::NoTap { bin: "green".into() }]);
}

#[test]
fn the_last_bin_to_fill_has_none_to_follow() {
    let mut kitchen = green();
    kitchen.bin(day(0.0), "blue", 19_000.0);
    kitchen.scraps(day(0.1), "green", 24_000.0);
    kitchen.sealed(day(1.0), "green");
    for d in 2..9 {
        kitchen.scraps(day(f64::from(d)), "blue", 2500.0);
    }
    let told = hints(&kitchen.room(), day(8.1));
    let [Hint::NoSpareBin { bin, full_at, free_at: Some(free_at) }] = told.as_slice() else {
        panic!("{told:?}");
    };
    assert!(bin == "blue" && full_at < free_at);
    kitchen.bin(day(8.2), "red", 19_000.0);
    assert!(hints(&kitchen.room(), day(8.3)).is_empty());
}

#[test]
fn a_plot_may_have_had_enough() {
    let mut kitchen = green();
    kitchen.plot(day(0.0), "pot", 1.0);
    kitchen.lot(day(0.1), "green", None, Some(5000.0), &[]);
    kitchen.sealed(day(1.0), "green");
    kitchen.buried(day(20.0), "green", "pot");
    let told = hints(&kitchen.room(), day(21.0));
    assert!(
        matches!(told.as_slice(), [Hint::PlotHasEnough { plot, load }] if plot == "pot" && load.get() > 29.9)
    );
}

/// Source: Council Directive 91/676/EEC, Annex II A: nothing is spread on frozen ground.
#[test]
fn nothing_counts_down_in_frozen_soil() {
    let mut kitchen = green();
    kitchen.plot(day(0.0), "south", 4.0);
    kitchen.scraps(day(0.0), "green", 10_000.0);
    kitchen.buried(day(1.0), "green", "south");
    kitchen.soil_temperature(day(1.0), "south", -2.0);
    kitchen.soil_temperature(day(31.0), "south", -2.0);
    let rest_of = |kitchen: &Kitchen, now| {
        let room = kitchen.room();
        rest::rest(&room, room.plot("south").unwrap(), now).unwrap()
    };
    let frozen = rest_of(&kitchen, day(32.0));
    assert!(frozen.is_frozen && !frozen.is_assumed);
    assert!(frozen.over.early > day(365.0));
    // A date two years ahead, for want of an end, is none.
    let told = &report(&kitchen.room(), day(32.0)).plots[0];
    assert_eq!((told.plant_early, told.plant_safe), (None, None));
    kitchen.soil_temperature(day(31.1), "south", 18.0);
    let thawed = rest_of(&kitchen, day(32.0));
    assert!(!thawed.is_frozen);
    assert!(thawed.over.at > day(30.8 + 21.0) && thawed.over.at < day(31.3 + 21.0), "{}", thawed.over.at);
    assert!(thawed.seedlings > thawed.over.at);
}

#[test]
fn soil_that_nobody_measured_is_as_the_season_has_it() {
    let rest_in = |zone: Tz| {
        let at = Utc.with_ymd_and_hms(2026, 7, 20, 8, 0, 0).unwrap();
        let mut kitchen = Kitchen::with_green(zone, at);
        kitchen.plot(at, "south", 4.0);
        kitchen.scraps(at, "green", 10_000.0);
        kitchen.buried(at, "green", "south");
        let room = kitchen.room();
        rest::rest(&room, room.plot("south").unwrap(), at).unwrap()
    };
    let (vienna, hobart, singapore) =
        (rest_in(Tz::Europe__Vienna), rest_in(Tz::Australia__Hobart), rest_in(Tz::Asia__Singapore));
    assert!(vienna.is_assumed && hobart.is_assumed && singapore.is_assumed);
    assert!(vienna.soil > Celsius(17.0) && hobart.soil < Celsius(5.0) && singapore.soil > Celsius(24.0));
    assert!(vienna.over.at < hobart.over.at);
}

/// A kitchen that cooks on weekends only fills its bin on a weekend.
#[test]
fn weekdays_are_learnt() {
    let mut kitchen = green();
    // 1 March 2026 is a Sunday.
    for d in 0..56 {
        if matches!(day(f64::from(d)).weekday(), Weekday::Sat | Weekday::Sun) {
            let bin = if d < 42 { "blue" } else { "green" };
            kitchen.scraps(day(f64::from(d) + 0.3), bin, 2400.0);
        }
        if d == 41 {
            kitchen.sealed(day(41.5), "blue");
        }
    }
    let room = kitchen.room();
    let monday = day(57.0);
    let full = fill::fill(&room, room.bin("green").unwrap(), monday).unwrap().full.unwrap();
    assert!(matches!(full.at.weekday(), Weekday::Sat | Weekday::Sun), "{}", full.at);
}

/// A remark is made once a batch: its key stays while the batch does.
#[test]
fn a_remark_is_known_by_its_batch() {
    let mut kitchen = green();
    for d in 0..20 {
        kitchen.scraps(day(f64::from(d)), "green", 300.0);
    }
    let keys = |kitchen: &Kitchen, now| {
        let room = kitchen.room();
        hints(&room, now).iter().map(|hint| hint.key(&room)).collect::<Vec<_>>()
    };
    assert_eq!(keys(&kitchen, day(16.0)), ["hint/filling_long/green/1"]);
    assert_eq!(keys(&kitchen, day(19.0)), ["hint/filling_long/green/1"]);
    kitchen.sealed(day(20.0), "green");
    kitchen.buried(day(40.0), "green", "south");
    for d in 41..60 {
        kitchen.scraps(day(f64::from(d)), "green", 300.0);
    }
    assert_eq!(keys(&kitchen, day(59.0)), ["hint/filling_long/green/2"]);
}

/// Who is away puts nothing in: bin and bran wait for them, and go on as before when they are back.
#[test]
fn nothing_fills_while_all_are_away() {
    let mut kitchen = green();
    kitchen.tell(day(0.0), What::StarterBought { g: Some(400.0), ml: None });
    for d in 0..8 {
        kitchen.scraps(day(f64::from(d)), "green", 1200.0);
        kitchen.bran(day(f64::from(d)), "green", 30.0);
    }
    let forecasts = |kitchen: &Kitchen, now| {
        let room = kitchen.room();
        let full = fill::fill(&room, room.bin("green").unwrap(), now).unwrap().full.unwrap();
        [full, starter::outlook(&room, now).unwrap().out.unwrap()]
    };
    let here = forecasts(&kitchen, day(7.1));
    let until = |until| What::Away { person: "ana".into(), until: Some(until) };
    kitchen.tell(day(7.1), until(day(21.1)));
    let away = forecasts(&kitchen, day(7.1));
    for (here, away) in here.iter().zip(&away) {
        let later = Days::of(away.at - here.at).get();
        assert!((13.0..15.0).contains(&later), "{later}");
        assert!(away.early > day(21.1) && away.early <= away.at && away.at <= away.late);
        let again = away.why.recompute().value;
        assert!((again - Days::of(away.at - away.from).get()).abs() < 1e-6);
    }
    // Back earlier than said.
    kitchen.tell(day(7.2), What::Back { person: "ana".into() });
    let back = forecasts(&kitchen, day(7.2));
    assert!(back.iter().zip(&here).all(|(back, here)| Days::of(back.at - here.at).get().abs() < 0.5));
}

/// Of two who fill a bin alike one goes away: it fills half as fast until they are back.
#[test]
fn it_fills_slower_while_one_of_several_is_away() {
    let mut kitchen = green();
    kitchen.tell(day(0.0), What::Member { person: "bo".into(), name: "bo".into(), steward: false });
    kitchen.tell(day(0.0), What::StarterBought { g: Some(400.0), ml: None });
    for d in 0..8 {
        kitchen.scraps(day(f64::from(d)), "green", 1200.0);
        kitchen.bran(day(f64::from(d)), "green", 30.0);
        if d % 2 == 1 {
            let lot = kitchen.facts.len() - 2;
            kitchen.facts[lot].author = "bo".into();
        }
    }
    let forecasts = |kitchen: &Kitchen, now| {
        let room = kitchen.room();
        let full = fill::fill(&room, room.bin("green").unwrap(), now).unwrap().full.unwrap();
        let rotation = rotation::rotation(&room, &[], now, 1).unwrap();
        let all_full = rotation.all_full;
        assert!((all_full.why.recompute().value - all_full.value.get()).abs() < 1e-12);
        (Days::of(full.at - now).get(), full, all_full.value.get())
    };
    let (alone, _, full_with_all) = forecasts(&kitchen, day(7.1));
    let away = |person: &str, days| What::Away { person: person.into(), until: Some(day(7.1 + days)) };
    kitchen.tell(day(7.1), away("bo", 40.0));
    let (later, full, full_with_one) = forecasts(&kitchen, day(7.1));
    assert!((1.7..2.3).contains(&(later / alone)), "{later} for {alone}");
    assert!(full.early <= full.at && full.at <= full.late);
    assert!((full.why.recompute().value - later).abs() < 1e-6);
    assert!(full_with_one <= full_with_all, "{full_with_one} {full_with_all}");
    // The other one goes too, for the whole month: no bin fills.
    kitchen.tell(day(7.1), away("ana", 40.0));
    let (_, full, without_anybody) = forecasts(&kitchen, day(7.1));
    assert!(full.early >= day(47.0));
    assert!(without_anybody < 1e-12, "{without_anybody}");
    // Who did not say until when is not foreseen to be away.
    let unsaid = |person: &str| What::Away { person: person.into(), until: None };
    kitchen.tell(day(7.1), What::Back { person: "ana".into() });
    kitchen.tell(day(7.1), unsaid("bo"));
    assert!((forecasts(&kitchen, day(7.1)).0 - alone).abs() < 1e-9);
}
