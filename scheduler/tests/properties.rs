//! What holds for any facts in any order.

#![expect(clippy::unwrap_used, reason = "a test may panic")]

mod kitchen;

use std::ops::Range;

use branbell_scheduler::fact::{
    Fact, Food, Lid, Moisture, Mould, Place, Setting, Signs, Smell, Units, Use, What,
};
use branbell_scheduler::quantity::{acid, bury};
use branbell_scheduler::units::{Centimetres, Fraction, Ph};
use branbell_scheduler::{Numbers, Quiet, Room, plan, report, send_at};
use chrono::{DateTime, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;
use kitchen::day;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::Value;

const ZONES: [Tz; 6] = [
    Tz::Europe__Vienna,
    Tz::Australia__Lord_Howe,
    Tz::America__New_York,
    Tz::Asia__Kolkata,
    Tz::Pacific__Apia,
    Tz::Africa__Casablanca,
];

fn zone() -> impl Strategy<Value = Tz> {
    select(ZONES.to_vec())
}

fn bin() -> impl Strategy<Value = String> {
    select(vec!["green".to_owned(), "blue".to_owned()])
}

fn plot() -> impl Strategy<Value = String> {
    select(vec!["herb bed".to_owned(), "south".to_owned()])
}

/// Amounts of a kitchen, and now and then nonsense.
fn amount() -> impl Strategy<Value = f64> {
    prop_oneof![
        20 => 0.0..5000.0,
        1 => select(vec![0.0, -3.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, 1e-300]),
    ]
}

fn signs() -> impl Strategy<Value = Signs> {
    (
        proptest::option::of(select(vec![
            Smell::SweetSour,
            Smell::Rotten,
            Smell::Ammonia,
            Smell::Alcohol,
            Smell::None,
        ])),
        proptest::option::of(select(vec![Mould::White, Mould::Green, Mould::Other, Mould::None])),
        proptest::option::of(select(vec![Moisture::Wet, Moisture::Dry, Moisture::Fine])),
        proptest::option::of(any::<bool>()),
        proptest::option::of(select(vec![Lid::Bulging, Lid::Leaking, Lid::Loose, Lid::Fine])),
    )
        .prop_map(|(smell, mould, moisture, pests, lid)| Signs { smell, mould, moisture, pests, lid })
}

fn foods() -> impl Strategy<Value = Vec<Food>> {
    proptest::collection::vec(
        select(vec![Food::Vegetable, Food::Meat, Food::Citrus, Food::Bread, Food::Liquid, Food::Coffee]),
        0..3,
    )
}

fn quiet() -> impl Strategy<Value = Quiet> {
    (0u32..1440, 0u32..1440).prop_map(|(from, to)| {
        let time = |minute: u32| NaiveTime::from_hms_opt(minute / 60, minute % 60, 0).unwrap();
        Quiet { from: time(from), to: time(to) }
    })
}

fn about_bins() -> impl Strategy<Value = What> {
    let amounts = || proptest::option::of(amount());
    prop_oneof![
        6 => (bin(), amounts(), amounts(), foods())
            .prop_map(|(bin, ml, g, foods)| What::Scraps { bin, ml, g, foods }),
        3 => (bin(), amounts(), amounts()).prop_map(|(bin, ml, g)| What::Bran { bin, ml, g }),
        2 => (bin(), amount(), any::<bool>()).prop_map(|(bin, ml, estimated)| What::Drained {
            bin, ml, used: Some(Use::Plants), estimated
        }),
        1 => bin().prop_map(|bin| What::Started { bin }),
        2 => bin().prop_map(|bin| What::Sealed { bin }),
        1 => (bin(), signs()).prop_map(|(bin, signs)| What::Checked { bin, signs }),
        1 => (bin(), -0.5..1.5).prop_map(|(bin, fraction)| What::Level { bin, fraction }),
        1 => (bin(), proptest::option::of(plot()), amounts())
            .prop_map(|(bin, plot, depth_cm)| What::Buried { bin, plot, depth_cm }),
        1 => bin().prop_map(|bin| What::Discarded { bin }),
        1 => bin().prop_map(|bin| What::Cleaned { bin }),
        1 => (bin(), amounts(), proptest::option::of(any::<bool>()))
            .prop_map(|(bin, capacity_ml, tap)| What::BinSet { bin, capacity_ml, tap }),
        1 => bin().prop_map(|bin| What::BinGone { bin }),
    ]
}

fn about_the_rest() -> impl Strategy<Value = What> {
    let amounts = || proptest::option::of(amount());
    let place = prop_oneof![Just(Place::Room), bin().prop_map(Place::Bin), plot().prop_map(Place::Plot)];
    prop_oneof![
        2 => (place, -60.0..90.0).prop_map(|(place, c)| What::Temperature { place, c }),
        1 => plot().prop_map(|plot| What::Planted { plot, crop: None }),
        1 => (plot(), -2.0..16.0).prop_map(|(plot, ph)| What::SoilPh { plot, ph }),
        1 => amount().prop_map(|g| What::StarterMade { g }),
        1 => (amounts(), amounts()).prop_map(|(g, ml)| What::StarterBought { g, ml }),
        1 => (amounts(), amounts()).prop_map(|(g, ml)| What::StarterStock { g, ml }),
        1 => (plot(), amounts()).prop_map(|(plot, area_m2)| What::PlotSet { plot, area_m2 }),
        1 => zone().prop_map(|zone| What::Opened { zone, units: Units::Us, direct: false }),
        1 => quiet().prop_map(|quiet| What::Setting { setting: Setting::Quiet(quiet) }),
        1 => select(vec![None, Some("0 0 18 * * SUN".to_owned()), Some("nonsense".to_owned())])
            .prop_map(|cron| What::Setting { setting: Setting::Digest(cron) }),
        1 => proptest::collection::vec(0i64..100, 1..4).prop_map(|seqs| What::Void { seqs }),
        1 => (0.0..100.0).prop_map(|until| What::Away { person: "ana".into(), until: Some(day(until)) }),
        1 => Just(What::Passed { person: "ana".into(), nudge: "drain/green/1/1".into() }),
        1 => Just(What::Member { person: "ana".into(), name: "Ana".into(), steward: true }),
    ]
}

fn moment() -> impl Strategy<Value = DateTime<Utc>> {
    prop_oneof![
        30 => (0.0..90.0).prop_map(day),
        1 => select(vec![DateTime::<Utc>::MIN_UTC, DateTime::<Utc>::MAX_UTC]),
    ]
}

/// Facts as they are told, most of them of moments in order.
fn facts() -> impl Strategy<Value = Vec<Fact>> {
    so_many_facts(1..60)
}

fn so_many_facts(count: Range<usize>) -> impl Strategy<Value = Vec<Fact>> {
    let what = prop_oneof![3 => about_bins(), 1 => about_the_rest()];
    proptest::collection::vec((what, moment()), count).prop_map(|told| {
        told.into_iter()
            .enumerate()
            .map(|(n, (what, at))| Fact {
                seq: i64::try_from(n).unwrap() + 1,
                event: format!("$e{n}"),
                author: "ana".into(),
                at,
                told: at,
                what,
            })
            .collect()
    })
}

/// Everything that can be seen of a room.
fn seen(room: &Room, now: DateTime<Utc>) -> String {
    serde_json::to_string(&(report(room, now), plan(room, now))).unwrap()
}

/// The names and numbers of a JSON value, all the way down.
fn numbers(value: &Value, name: &str, found: &mut Vec<(String, f64)>) {
    match value {
        Value::Number(number) => found.push((name.to_owned(), number.as_f64().unwrap())),
        Value::Array(all) => all.iter().for_each(|one| numbers(one, name, found)),
        Value::Object(all) => all.iter().for_each(|(name, one)| numbers(one, name, found)),
        _ => {}
    }
}

/// `..._early`, `..._at` or `..._safe`, `..._late` of an object, wherever they are, in order.
fn assert_ordered(value: &Value) {
    if let Value::Object(all) = value {
        let at = |name: &str| {
            all.get(name).and_then(Value::as_str).map(|text| text.parse::<DateTime<Utc>>().unwrap())
        };
        for stem in ["full", "ready", "out"] {
            let (early, middle, late) =
                (at(&format!("{stem}_early")), at(&format!("{stem}_at")), at(&format!("{stem}_late")));
            if early.is_some() || late.is_some() {
                assert!(early <= middle && middle <= late, "{stem} in {value}");
            }
        }
        assert!(at("plant_early") <= at("plant_safe"), "{value}");
        let number = |name: &str| all.get(name).and_then(Value::as_f64);
        if let Some(liquid) = number("liquid_ml").filter(|_| all.contains_key("water_ml")) {
            assert!((number("water_ml").unwrap() - 100.0 * liquid).abs() <= 1e-9 * liquid);
            assert!(number("liquid_ml_low") <= Some(liquid) && Some(liquid) <= number("liquid_ml_high"));
        }
    }
    match value {
        Value::Array(all) => all.iter().for_each(assert_ordered),
        Value::Object(all) => all.values().for_each(assert_ordered),
        _ => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn applying_one_by_one_is_folding(facts in facts(), now in moment()) {
        let mut room = Room::default();
        for fact in &facts {
            room.apply(fact);
        }
        prop_assert_eq!(seen(&room, now), seen(&Room::fold(&facts), now));
    }

    #[test]
    fn the_order_of_arrival_does_not_matter(
        (facts, shuffled) in facts().prop_flat_map(|facts| {
            (Just(facts.clone()), Just(facts).prop_shuffle())
        }),
        now in moment(),
    ) {
        let mut room = Room::default();
        for fact in &shuffled {
            room.apply(fact);
        }
        prop_assert_eq!(seen(&room, now), seen(&Room::fold(&facts), now));
    }

    #[test]
    fn planning_again_later_moves_nothing(facts in facts(), later in 0.0..30.0) {
        let room = Room::fold(&facts);
        let now = day(90.0);
        prop_assert_eq!(plan(&room, now), plan(&room, now));
        let dues = |now| {
            plan(&room, now)
                .into_iter()
                .filter(|nudge| !matches!(nudge.numbers, Numbers::Digest { .. }))
                .map(|nudge| (nudge.key, nudge.due))
                .collect::<Vec<_>>()
        };
        prop_assert_eq!(dues(now), dues(day(90.0 + later)));
    }

    #[test]
    fn keys_are_unique(facts in facts(), now in moment()) {
        let mut keys: Vec<_> = plan(&Room::fold(&facts), now).into_iter().map(|nudge| nudge.key).collect();
        let all = keys.len();
        keys.sort();
        keys.dedup();
        prop_assert_eq!(keys.len(), all);
    }

    #[test]
    fn nothing_is_sent_in_quiet_hours(facts in facts(), zone in zone(), quiet in quiet()) {
        let mut room = Room::fold(&facts);
        (room.zone, room.quiet) = (zone, quiet);
        for nudge in plan(&room, day(90.0)) {
            let at = send_at(&room, &nudge);
            prop_assert!(at >= nudge.due);
            prop_assert!(!quiet.covers(at.with_timezone(&zone).time()));
        }
    }

    #[test]
    fn quiet_hours_end_no_later_than_they_must(
        quiet in quiet(),
        zone in zone(),
        minute in 0i64..(3 * 365 * 1440),
    ) {
        let instant = day(0.0) + TimeDelta::minutes(minute);
        let held = quiet.hold(instant, zone);
        prop_assert!(held >= instant);
        prop_assert!(!quiet.covers(held.with_timezone(&zone).time()));
        // Every minute from the instant on until then is quiet.
        let minutes = (held - instant).num_minutes();
        for minute in 0..minutes {
            let between = instant + TimeDelta::minutes(minute);
            prop_assert!(quiet.covers(between.with_timezone(&zone).time()), "{between} of {instant} to {held}");
        }
    }

    #[test]
    fn numbers_are_finite_and_in_bounds(facts in facts(), now in moment()) {
        let room = Room::fold(&facts);
        let value = serde_json::to_value((report(&room, now), plan(&room, now))).unwrap();
        let nudges = serde_json::to_string(&plan(&room, now)).unwrap();
        for always_known in ["_ml\":null", "_g\":null", "_cm\":null", "days\":null", "progress\":null"] {
            prop_assert!(!nudges.contains(always_known), "{nudges}");
        }
        let mut found = Vec::new();
        numbers(&value, "", &mut found);
        for (name, number) in found {
            prop_assert!(number.is_finite() && number >= 0.0, "{name} is {number}");
            if name == "fraction" || name == "progress" {
                prop_assert!(number <= 1.0, "{name} is {number}");
            }
        }
        assert_ordered(&value);
    }

    /// What is asked with numbers of one's own: a pH, and a trench so wide and deep.
    #[test]
    fn what_is_asked_is_finite(facts in facts(), ph in amount(), width in amount(), depth in amount()) {
        let share = acid::undissociated(Ph(ph)).value;
        prop_assert!(Fraction::ZERO <= share && share <= Fraction(1.0), "{share:?}");
        let room = Room::fold(&facts);
        let cut = bury::Cut { width: Some(Centimetres(width)), depth: Some(Centimetres(depth)) };
        for trench in room.bins.iter().filter_map(|bin| bury::trench_in(&room, bin, cut)) {
            let (low, length, high) = (trench.length.low(), trench.length.value, trench.length.high());
            prop_assert!(length.get().is_finite() && low <= length && length <= high, "{trench:?}");
            prop_assert!(trench.spoil.value.get().is_finite() && trench.area.value.get() >= 0.0, "{trench:?}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn applying_to_a_long_log_is_folding(mut facts in so_many_facts(200..400), last in 0.0..90.0) {
        // Most facts are told in order, as in life; the rest speak of the past or undo.
        let (told_late, mut in_order) = (facts.split_off(180), facts);
        in_order.sort_by_key(|fact| fact.at);
        let mut room = Room::default();
        for fact in in_order.iter().chain(&told_late) {
            room.apply(fact);
        }
        let folded = Room::fold(in_order.iter().chain(&told_late));
        prop_assert_eq!(seen(&room, day(last)), seen(&folded, day(last)));
    }
}
