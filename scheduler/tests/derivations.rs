//! Every number of every nudge has a derivation, and the derivation alone gives the number again.

mod kitchen;

use std::collections::BTreeSet;

use branbell_scheduler::fact::{Food, Place, Setting, What};
use branbell_scheduler::plan::{NudgeKind, why};
use branbell_scheduler::quantity::{
    Derivation, Origin, bury, density, dilution, ferment, fill, liquid, nitrogen, rest, starter, tally,
};
use branbell_scheduler::units::{Days, Millilitres};
use branbell_scheduler::{Room, plan};
use chrono::{DateTime, Utc};
use chrono_tz::Europe::Vienna;
use kitchen::{Kitchen, assert_close, day};
use serde_json::Value;

/// A kitchen in which, at one moment or another, every kind of nudge is planned.
fn busy() -> Kitchen {
    let mut kitchen = Kitchen::with_green(Vienna, day(0.0));
    kitchen.bin(day(0.0), "blue", 15_000.0);
    kitchen.plot(day(0.0), "herb bed", 6.0);
    kitchen.set(day(0.0), Setting::Digest(Some("0 0 18 * * SUN".into())));
    kitchen.tell(day(0.0), What::StarterBought { g: Some(400.0), ml: None });
    for d in 0..30 {
        let (bin, at) = (if d < 12 { "green" } else { "blue" }, day(f64::from(d)));
        let foods = [&[][..], &[Food::Vegetable], &[Food::Meat, Food::Bread]][d as usize % 3];
        let g = (d % 5 == 0).then_some(700.0);
        kitchen.lot(at, bin, Some(if d < 12 { 2200.0 } else { 700.0 }), g, foods);
        kitchen.bran(at, bin, 30.0);
        if d % 2 == 1 {
            kitchen.drained(day(f64::from(d) + 0.3), bin, 90.0);
        }
        if d == 6 {
            kitchen.level(day(6.2), "green", 0.5);
            kitchen.room_temperature(day(6.2), 19.0);
        }
        if d == 11 {
            kitchen.level(day(11.1), "green", 1.0);
            kitchen.sealed(day(11.2), "green");
        }
        if d == 16 {
            kitchen.tell(day(16.2), What::Temperature { place: Place::Bin("green".into()), c: 23.5 });
        }
        if d == 27 {
            kitchen.buried(day(27.2), "green", "herb bed");
            kitchen.soil_temperature(day(27.4), "herb bed", 14.0);
        }
        if d == 28 {
            kitchen.tell(day(28.3), What::SoilPh { plot: "herb bed".into(), ph: 5.2 });
        }
    }
    kitchen
}

/// The room and the moment after each fact.
fn moments(kitchen: &Kitchen) -> impl Iterator<Item = (Room, DateTime<Utc>)> {
    let mut room = Room::default();
    kitchen.facts.iter().map(move |fact| {
        room.apply(fact);
        (room.clone(), fact.at)
    })
}

#[test]
fn numbers_of_nudges_come_from_their_derivations() {
    let kitchen = busy();
    let mut kinds = BTreeSet::new();
    for (room, at) in moments(&kitchen) {
        for now in [at, at + Days(2.1).span()] {
            for nudge in plan(&room, now) {
                kinds.insert(nudge.kind);
                let Value::Object(numbers) = serde_json::to_value(&nudge.numbers).unwrap() else { panic!() };
                let explained = why(&room, &nudge, now);
                for (key, value) in numbers.iter().filter(|(key, _)| *key != "plot") {
                    let one = explained.iter().find(|one| one.key == key);
                    let one = one.unwrap_or_else(|| panic!("{key} of {} has no derivation", nudge.key));
                    let found = one.recompute();
                    match (value, one.from) {
                        (Value::Number(number), _) => assert_close(found, number.as_f64().unwrap(), 1e-9),
                        (Value::String(moment), Some(from)) => {
                            let moment: DateTime<Utc> = moment.parse().unwrap();
                            assert!(
                                (from + Days(found).span() - moment).num_milliseconds().abs() <= 1,
                                "{key}"
                            );
                        }
                        other => panic!("{key}: {other:?}"),
                    }
                    assert_sound(&one.why);
                }
            }
        }
    }
    let all = [
        NudgeKind::Drain,
        NudgeKind::Bran,
        NudgeKind::Full,
        NudgeKind::Seal,
        NudgeKind::Check,
        NudgeKind::Bury,
        NudgeKind::Plant,
        NudgeKind::Starter,
        NudgeKind::Idle,
        NudgeKind::Digest,
    ];
    assert_eq!(kinds, BTreeSet::from(all));
}

/// The answers that are no nudges: each recomputes, and names facts of the room only.
#[test]
fn numbers_of_answers_come_from_their_derivations() {
    let kitchen = busy();
    for (room, now) in moments(&kitchen).skip(3) {
        let mut all: Vec<(f64, Derivation)> = Vec::new();
        let mut add = |value: f64, why: &Derivation| all.push((value, why.clone()));
        for bin in &room.bins {
            if let Some(fill) = fill::fill(&room, bin, now) {
                add(fill.occupied.value.get(), &fill.occupied.why);
            }
            if let Some(waiting) = liquid::waiting(&room, bin, now) {
                add(waiting.value.get(), &waiting.why);
            }
            if let Some(ferment) = ferment::ferment(&room, bin, now) {
                add(ferment.progress.value.get(), &ferment.progress.why);
            }
            if let Some(trench) = bury::trench(&room, bin) {
                add(trench.spoil.value.get(), &trench.spoil.why);
                add(trench.area.value.get(), &trench.area.why);
                add(trench.container.value.get(), &trench.container.why);
            }
        }
        for plot in &room.plots {
            if let Some(load) = nitrogen::load(&room, plot, now) {
                add(load.value.get(), &load.why);
            }
            if let Some(rest) = rest::rest(&room, plot, now) {
                add(Days::of(rest.over.at - rest.over.from).get(), &rest.over.why);
            }
        }
        let density = density::of(&room);
        add(density.value.get(), &density.why);
        let litre = liquid::yield_of(&room);
        add(litre.value.get(), &litre.why);
        if let Some(outlook) = starter::outlook(&room, now) {
            add(outlook.stock.value.get(), &outlook.stock.why);
            for quantity in outlook.reorder_at.iter().chain(&outlook.make) {
                add(quantity.value.get(), &quantity.why);
            }
        }
        let tally = tally::tally(&room, None, now);
        add(tally.kept_out.value.get(), &tally.kept_out.why);
        add(tally.bran.get(), &tally.bran_why);
        let dilution = dilution::dilute(Millilitres(150.0));
        add(dilution.area.value.get(), &dilution.area.why);
        for (value, why) in all {
            assert!((why.recompute().value - value).abs() <= 1e-6 * value.abs().max(1e-3), "{why:?}");
            assert!(why.facts().iter().all(|seq| room.fact(*seq).is_some()), "{why:?}");
            assert_sound(&why);
        }
    }
}

/// Terms are finite, and every one that the formula names is there and the other way round.
fn assert_sound(why: &Derivation) {
    assert!(!why.formula.id.is_empty() && !why.formula.expression.is_empty());
    let estimate = why.recompute();
    assert!(estimate.value.is_finite(), "{why:?}");
    if let (Some(low), Some(high)) = (estimate.low, estimate.high) {
        assert!(low <= estimate.value && estimate.value <= high, "{why:?}");
    }
    for term in &why.terms {
        if let Origin::Derived(inner) = &term.origin {
            assert_sound(inner);
        }
    }
}
