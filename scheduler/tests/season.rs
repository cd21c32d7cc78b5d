//! Seasons: what a practitioner would expect to be told, and when.

mod kitchen;

use branbell_scheduler::fact::{Food, Moisture, Mould, Place, Setting, Signs, Smell, What};
use branbell_scheduler::plan::NudgeKind;
use branbell_scheduler::quantity::ferment;
use branbell_scheduler::units::{Fraction, Grams, Millilitres};
use branbell_scheduler::{Nudge, Numbers, Phase, Room, plan, report, send_at};
use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Europe::Vienna;
use kitchen::{Kitchen, assert_close, day};

fn green() -> Kitchen {
    Kitchen::with_green(Vienna, day(0.0))
}

fn find(room: &Room, now: DateTime<Utc>, kind: NudgeKind) -> Option<Nudge> {
    plan(room, now).into_iter().find(|nudge| nudge.kind == kind)
}

#[test]
fn three_litres_owe_bran_and_liquid() {
    let mut kitchen = green();
    kitchen.scraps(day(0.1), "green", 3000.0);
    let report = report(&kitchen.room(), day(0.2));
    let bin = &report.bins[0];
    assert_eq!(bin.phase, Phase::Filling);
    assert_eq!(bin.scraps_ml, Millilitres(3000.0));
    assert_eq!(bin.scraps_g, Grams(1500.0));
    assert_close(bin.occupied_ml.get(), 2100.0, 1e-9);
    assert_close(bin.fraction.unwrap().get(), 2100.0 / 19_000.0, 1e-9);
    // 30 ml on the floor and 15 ml a litre.
    assert_close(bin.bran_owed_ml.get(), 75.0, 1e-9);
    assert_close(report.tally.kept_out_g.get(), 1500.0, 1e-9);
}

#[test]
fn meat_takes_twice_the_bran() {
    let mut kitchen = green();
    kitchen.lot(day(0.1), "green", Some(2000.0), None, &[Food::Meat]);
    kitchen.lot(day(0.2), "green", Some(1000.0), None, &[Food::Vegetable]);
    kitchen.bran(day(0.2), "green", 60.0);
    assert_close(
        report(&kitchen.room(), day(0.3)).bins[0].bran_owed_ml.get(),
        30.0 + 60.0 + 15.0 - 60.0,
        1e-9,
    );
}

#[test]
fn drain_is_due_two_days_after_the_last() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 3000.0);
    let nudge = find(&kitchen.room(), day(1.0), NudgeKind::Drain).unwrap();
    assert_eq!(nudge.due, day(2.0));
    assert_eq!(nudge.key.0, "drain/green/1/1");
    kitchen.drained(day(2.1), "green", 150.0);
    kitchen.scraps(day(2.2), "green", 2000.0);
    let nudge = find(&kitchen.room(), day(3.0), NudgeKind::Drain).unwrap();
    assert_eq!(nudge.due, day(4.1));
    assert_eq!(nudge.key.0, "drain/green/1/2");
    let Numbers::Drain { liquid_ml, water_ml, .. } = nudge.numbers else { panic!("{nudge:?}") };
    assert_eq!(water_ml, liquid_ml * 100.0);
}

#[test]
fn a_bin_without_tap_is_not_drained() {
    let mut kitchen = green();
    kitchen.tell(day(0.0), What::BinSet { bin: "green".into(), capacity_ml: None, tap: Some(false) });
    kitchen.scraps(day(0.1), "green", 3000.0);
    assert_eq!(find(&kitchen.room(), day(5.0), NudgeKind::Drain), None);
}

#[test]
fn a_bin_of_unknown_size_is_never_said_to_be_full() {
    let mut kitchen = green();
    kitchen.tell(day(0.0), What::BinSet { bin: "grey".into(), capacity_ml: None, tap: None });
    for d in 0..12 {
        kitchen.scraps(day(f64::from(d)), "grey", 2000.0);
    }
    let room = kitchen.room();
    assert_eq!(find(&room, day(12.0), NudgeKind::Full), None);
    assert_eq!(find(&room, day(12.0), NudgeKind::Seal), None);
    kitchen.level(day(12.0), "grey", 1.0);
    assert_eq!(
        find(&kitchen.room(), day(12.0), NudgeKind::Seal).unwrap().due,
        day(12.0) + TimeDelta::hours(2)
    );
}

#[test]
fn one_cycle_from_the_first_lot_to_planting() {
    let mut kitchen = green();
    kitchen.plot(day(0.0), "herb bed", 4.0);
    for d in 0..9 {
        kitchen.scraps(day(f64::from(d)), "green", 3000.0);
        kitchen.bran(day(f64::from(d)), "green", 60.0);
    }
    let seal = find(&kitchen.room(), day(8.1), NudgeKind::Seal).unwrap();
    assert_eq!(seal.due, day(8.0) + TimeDelta::hours(2));
    kitchen.sealed(day(8.2), "green");
    kitchen.room_temperature(day(9.0), 22.0);
    let room = kitchen.room();
    assert_eq!(find(&room, day(9.0), NudgeKind::Check).unwrap().due, day(15.2));
    let bury = find(&room, day(9.0), NudgeKind::Bury).unwrap();
    assert_close((bury.due - day(8.2)).as_seconds_f64() / 86_400.0, 14.0, 1e-6);
    kitchen.checked(day(15.3), "green", Signs { smell: Some(Smell::SweetSour), ..Signs::default() });
    assert_eq!(report(&kitchen.room(), day(22.3)).bins[0].phase, Phase::Ready);
    let Numbers::Bury { fermented_ml, soil_ml, trench_length_cm, plot, .. } =
        find(&kitchen.room(), day(22.3), NudgeKind::Bury).unwrap().numbers
    else {
        panic!()
    };
    assert_eq!(plot.as_deref(), Some("herb bed"));
    assert_eq!(soil_ml, fermented_ml);
    assert_close(trench_length_cm.get(), 2.0 * fermented_ml.get() / (30.0 * 17.5), 1e-9);
    kitchen.soil_temperature(day(22.5), "herb bed", 18.0);
    kitchen.buried(day(22.5), "green", "herb bed");
    let room = kitchen.room();
    let report = report(&room, day(23.0));
    assert_eq!(report.bins[0].phase, Phase::Empty);
    assert_eq!(report.tally.batches, 1);
    let plant = find(&room, day(23.0), NudgeKind::Plant).unwrap();
    assert_close((plant.due - day(22.5)).as_seconds_f64() / 86_400.0, 21.0, 1e-6);
    assert_eq!(plant.key.0, "plant/herb bed/1");
    kitchen.tell(day(44.0), What::Planted { plot: "herb bed".into(), crop: None });
    assert_eq!(find(&kitchen.room(), day(44.1), NudgeKind::Plant), None);
}

#[test]
fn green_mould_overrides_the_clock() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 20_000.0);
    kitchen.sealed(day(1.0), "green");
    kitchen.checked(day(8.0), "green", Signs { mould: Some(Mould::Green), ..Signs::default() });
    let room = kitchen.room();
    assert_eq!(report(&room, day(40.0)).bins[0].phase, Phase::Sealed);
    assert_eq!(find(&room, day(40.0), NudgeKind::Bury), None);
    kitchen.tell(day(40.0), What::Discarded { bin: "green".into() });
    assert_eq!(report(&kitchen.room(), day(40.1)).bins[0].phase, Phase::Discarded);
    kitchen.tell(day(41.0), What::Cleaned { bin: "green".into() });
    let report = report(&kitchen.room(), day(41.1));
    assert_eq!(report.bins[0].phase, Phase::Empty);
    assert_eq!((report.tally.batches, report.tally.discarded), (0, 1));
}

#[test]
fn a_wet_check_is_looked_at_again_after_three_days() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 20_000.0);
    kitchen.sealed(day(1.0), "green");
    kitchen.checked(day(8.0), "green", Signs { moisture: Some(Moisture::Wet), ..Signs::default() });
    let check = find(&kitchen.room(), day(8.1), NudgeKind::Check).unwrap();
    assert_eq!((check.due, check.key.0.as_str()), (day(11.0), "check/green/1/2"));
}

#[test]
fn of_a_sealed_bin_of_unknown_size_a_look_is_due_when_it_is_ready() {
    let mut kitchen = green();
    kitchen.tell(day(0.0), What::BinSet { bin: "grey".into(), capacity_ml: None, tap: None });
    kitchen.sealed(day(1.0), "grey");
    kitchen.room_temperature(day(1.0), 22.0);
    let first = find(&kitchen.room(), day(1.1), NudgeKind::Check).unwrap();
    assert_eq!((first.due, first.key.0.as_str()), (day(8.0), "check/grey/1/1"));
    kitchen.checked(day(8.5), "grey", Signs { smell: Some(Smell::SweetSour), ..Signs::default() });
    let room = kitchen.room();
    let last = find(&room, day(9.0), NudgeKind::Check).unwrap();
    assert_eq!((last.due, last.key.0.as_str()), (day(15.5), "check/grey/1/2"));
    assert_eq!(find(&room, day(20.0), NudgeKind::Bury), None);
}

#[test]
fn a_sealed_bin_goes_on_being_drained_while_liquid_comes() {
    let mut kitchen = green();
    // Scraps that give 60 ml a litre, of which a part in e is still to come after two days.
    let (mut held, mut there) = (0.0, 0.0);
    for d in 0..9 {
        held = held * f64::exp(-0.5) + 2.5;
        there += 2.5;
        kitchen.scraps(day(f64::from(d)), "green", 2500.0);
        if d % 2 == 0 {
            kitchen.drained(
                day(f64::from(d) + 1e-3),
                "green",
                (60.0 * (there - held) / 10.0_f64).round() * 10.0,
            );
            there = held;
        }
    }
    kitchen.sealed(day(8.5), "green");
    let room = kitchen.room();
    let nudge = find(&room, day(8.6), NudgeKind::Drain).unwrap();
    assert!(nudge.due >= day(10.0) && nudge.due < day(11.0), "{nudge:?}");
    // When it no longer gives anything, it is left alone.
    for (at, ml) in [(10.5, 220.0), (12.5, 80.0), (14.5, 30.0), (18.5, 10.0)] {
        kitchen.drained(day(at), "green", ml);
    }
    assert_eq!(find(&kitchen.room(), day(18.6), NudgeKind::Drain), None);
}

#[test]
fn a_cold_kitchen_takes_longer() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 20_000.0);
    kitchen.sealed(day(1.0), "green");
    kitchen.room_temperature(day(1.0), 15.0);
    let bury = find(&kitchen.room(), day(2.0), NudgeKind::Bury).unwrap();
    assert_close((bury.due - day(1.0)).as_seconds_f64() / 86_400.0, 28.0, 1e-6);
}

#[test]
fn bran_runs_low_in_time_to_make_more() {
    let mut kitchen = green();
    kitchen.tell(day(0.0), What::StarterBought { g: Some(1000.0), ml: None });
    for d in 0..28 {
        kitchen.bran(day(f64::from(d)), "green", 50.0);
    }
    let room = kitchen.room();
    let report = report(&room, day(27.0));
    assert_close(report.starter.g.unwrap().get(), 1000.0 - 28.0 * 12.25, 1e-9);
    let nudge = find(&room, day(27.0), NudgeKind::Starter).unwrap();
    let Numbers::Starter { out_at, out_early, out_late, make_g, inoculant_ml, molasses_ml, water_ml, .. } =
        nudge.numbers
    else {
        panic!()
    };
    assert!(out_early < out_at && out_at < out_late);
    // A new lot, dried, is there before the old one is used up.
    assert!(nudge.due + TimeDelta::days(17) < out_at);
    let liquids = inoculant_ml + water_ml;
    assert_close(liquids.get() / make_g.get(), 0.5, 0.05);
    assert_eq!(molasses_ml, inoculant_ml);
}

#[test]
fn out_of_bran_is_said_at_once() {
    let mut kitchen = green();
    for d in 0..10 {
        kitchen.bran(day(f64::from(d)), "green", 50.0);
    }
    assert_eq!(find(&kitchen.room(), day(9.1), NudgeKind::Starter), None);
    kitchen.tell(day(9.2), What::StarterStock { g: Some(0.0), ml: None });
    assert_eq!(find(&kitchen.room(), day(9.3), NudgeKind::Starter).unwrap().due, day(9.2));
}

#[test]
fn silence_is_asked_about_once() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 2000.0);
    let idle = find(&kitchen.room(), day(6.0), NudgeKind::Idle).unwrap();
    assert_eq!(idle.due, day(5.0));
    assert_eq!(find(&kitchen.room(), day(9.0), NudgeKind::Idle).unwrap().key, idle.key);
    // Who comes back has a day to look first.
    kitchen.tell(day(0.5), What::Away { person: "ana".into(), until: Some(day(12.0)) });
    assert_eq!(find(&kitchen.room(), day(6.0), NudgeKind::Idle).unwrap().due, day(13.0));
    kitchen.tell(day(10.0), What::Back { person: "ana".into() });
    assert_eq!(find(&kitchen.room(), day(11.0), NudgeKind::Idle).unwrap().due, day(11.0));
}

#[test]
fn the_digest_comes_by_the_rooms_clock_over_the_change_to_summer_time() {
    let mut kitchen = green();
    kitchen.set(day(0.5), Setting::Digest(Some("0 0 18 * * SUN".into())));
    kitchen.scraps(day(24.0), "green", 2000.0);
    let room = kitchen.room();
    let of = |now| {
        plan(&room, now).into_iter().filter(|nudge| nudge.kind == NudgeKind::Digest).collect::<Vec<_>>()
    };
    let next = of(day(21.0));
    assert_eq!(next.len(), 1);
    // 22 March is still winter time, 29 March is summer time.
    assert_eq!(next[0].due, Utc.with_ymd_and_hms(2026, 3, 22, 17, 0, 0).unwrap());
    let due = Utc.with_ymd_and_hms(2026, 3, 29, 16, 0, 0).unwrap();
    let both = of(due + TimeDelta::hours(1));
    assert_eq!((both.len(), both[0].due), (2, due));
    assert_eq!(
        both[0].numbers,
        Numbers::Digest {
            kept_out_g: Grams(1000.0),
            scraps_ml: Millilitres(2000.0),
            drained_ml: Millilitres::ZERO
        }
    );
}

#[test]
fn quiet_hours_hold_a_nudge_until_morning() {
    let mut kitchen = green();
    let evening = Utc.with_ymd_and_hms(2026, 3, 28, 20, 0, 0).unwrap();
    kitchen.scraps(evening, "green", 2000.0);
    let room = kitchen.room();
    let bran = find(&room, evening, NudgeKind::Bran).unwrap();
    // Held over the night in which clocks go forward: 07:30 in Vienna is 05:30 UTC then.
    assert_eq!(send_at(&room, &bran), Utc.with_ymd_and_hms(2026, 3, 29, 5, 30, 0).unwrap());
}

#[test]
fn undoing_takes_a_lot_out_and_undoing_that_puts_it_back() {
    let mut kitchen = green();
    kitchen.scraps(day(0.1), "green", 3000.0);
    let wrong = kitchen.scraps(day(0.2), "green", 2000.0);
    let undo = kitchen.undo(day(0.3), &[wrong]);
    let scraps = |kitchen: &Kitchen| report(&kitchen.room(), day(1.0)).bins[0].scraps_ml;
    assert_eq!(scraps(&kitchen), Millilitres(3000.0));
    kitchen.undo(day(0.4), &[undo]);
    assert_eq!(scraps(&kitchen), Millilitres(5000.0));
}

#[test]
fn an_eye_is_believed_where_scraps_were_not_told() {
    let mut kitchen = green();
    kitchen.scraps(day(0.1), "green", 9000.0);
    let fraction = |kitchen: &Kitchen| report(&kitchen.room(), day(1.0)).bins[0].fraction.unwrap().get();
    assert_close(fraction(&kitchen), 0.7 * 9.0 / 19.0, 1e-9);
    kitchen.level(day(0.2), "green", 0.5);
    assert!((fraction(&kitchen) - 0.5).abs() < 0.04, "{}", fraction(&kitchen));
    kitchen.level(day(0.3), "green", 1.0);
    assert!(fraction(&kitchen) > 0.9, "{}", fraction(&kitchen));
    kitchen.level(day(0.4), "green", 0.25);
    assert!((fraction(&kitchen) - 0.25).abs() < 0.06, "{}", fraction(&kitchen));
}

#[test]
fn a_full_bin_never_holds_more_than_fits() {
    let mut kitchen = green();
    kitchen.scraps(day(0.1), "green", 1e9);
    let bin = &report(&kitchen.room(), day(1.0)).bins[0];
    assert_eq!(bin.occupied_ml, Millilitres(19_000.0));
    assert_eq!(bin.fraction, Some(Fraction(1.0)));
}

#[test]
fn a_lost_batch_is_only_asked_after() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 15_000.0);
    kitchen.tell(day(1.0), What::Sealed { bin: "green".into() });
    let bad = Signs { mould: Some(Mould::Green), ..Signs::default() };
    kitchen.tell(day(4.0), What::Checked { bin: "green".into(), signs: bad });
    let of_green = |nudge: &Nudge| !matches!(nudge.kind, NudgeKind::Idle | NudgeKind::Starter);
    let nudges: Vec<Nudge> = plan(&kitchen.room(), day(5.0)).into_iter().filter(of_green).collect();
    assert_eq!(nudges.iter().map(|nudge| nudge.kind).collect::<Vec<_>>(), [NudgeKind::Check]);
    assert_eq!(nudges[0].due, day(7.0));
    kitchen.tell(day(7.5), What::Discarded { bin: "green".into() });
    assert!(plan(&kitchen.room(), day(8.0)).iter().all(|nudge| !of_green(nudge)));
}

/// A bin's own thermometer is believed for three days; then a later reading of the room supersedes it.
#[test]
fn a_later_reading_of_the_room_supersedes_one_of_the_bin() {
    let cold = |c, at| {
        let mut kitchen = green();
        kitchen.scraps(day(0.0), "green", 9000.0);
        kitchen.sealed(day(1.0), "green");
        kitchen.tell(day(2.0), What::Temperature { place: Place::Bin("green".into()), c: 12.0 });
        kitchen.room_temperature(day(at), c);
        kitchen.room()
    };
    let ferment = |room: &Room| ferment::ferment(room, room.bin("green").unwrap(), day(17.0)).unwrap();
    let (near, moved) = (ferment(&cold(19.0, 4.0)), ferment(&cold(19.0, 16.0)));
    assert!(near.is_cold && near.readings == 1, "the room may well be warmer than the bin");
    assert!(!moved.is_cold && moved.readings == 2);
    assert!(moved.ready.at < near.ready.at);
    assert!((moved.progress.why.recompute().value - moved.progress.value.get()).abs() < 1e-12);
}

/// A lid that is closed on what is lost makes nothing good; by the clock it ferments, and a good check tells otherwise.
#[test]
fn what_was_lost_before_it_was_sealed_is_told_by_its_last_check() {
    let mut kitchen = green();
    kitchen.scraps(day(0.0), "green", 10_000.0);
    kitchen.checked(day(1.0), "green", Signs { mould: Some(Mould::Black), ..Signs::default() });
    kitchen.sealed(day(1.1), "green");
    let spoilt = |kitchen: &Kitchen| {
        let room = kitchen.room();
        let batch = room.bin("green").unwrap().batch.as_ref().unwrap();
        (ferment::is_lost(batch), ferment::spoilt_by(batch).map(|check| check.at))
    };
    assert_eq!(spoilt(&kitchen), (false, Some(day(1.0))));
    kitchen.checked(day(4.0), "green", Signs { smell: Some(Smell::SweetSour), ..Signs::default() });
    assert_eq!(spoilt(&kitchen), (false, None));
    kitchen.checked(day(5.0), "green", Signs { smell: Some(Smell::Rotten), ..Signs::default() });
    assert_eq!(spoilt(&kitchen), (true, Some(day(5.0))));
}

/// The next drain is due by age or by volume, whichever comes first: ten litres in a morning give 600 ml, which is
/// drained after a day, three litres after two.
///
/// Source: every other day by a gardening page and a book excerpt; half a litre of sump, 3 % of a large bin, is common practice, no source.
#[test]
fn a_sump_that_fills_is_drained_before_its_time() {
    for (ml, days) in [(3000.0, 2.0), (10_000.0, 1.0)] {
        let mut kitchen = green();
        kitchen.scraps(day(0.0), "green", ml);
        let drain = find(&kitchen.room(), day(0.1), NudgeKind::Drain).unwrap();
        assert_eq!(drain.due, day(days), "{ml} ml");
    }
}
