//! A pH strip held into the soil of a plot counts for more than the calendar.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

mod kitchen;

use branbell_scheduler::fact::What;
use branbell_scheduler::plan::{Nudge, NudgeKind, Numbers};
use branbell_scheduler::quantity::rest::{self, Rest};
use branbell_scheduler::units::Ph;
use branbell_scheduler::{plan, report};
use chrono::{DateTime, Utc};
use chrono_tz::Europe::Vienna;
use kitchen::{Kitchen, day};

/// Buried on day 1 in soil of 18 degrees: by the calendar from day 15, safe from day 22.
fn buried() -> Kitchen {
    let mut kitchen = Kitchen::with_green(Vienna, day(0.0));
    kitchen.plot(day(0.0), "south", 4.0);
    kitchen.scraps(day(0.0), "green", 10_000.0);
    kitchen.buried(day(1.0), "green", "south");
    kitchen.soil_temperature(day(1.0), "south", 18.0);
    kitchen
}

fn strip(kitchen: &mut Kitchen, days: f64, ph: f64) -> i64 {
    kitchen.tell(day(days), What::SoilPh { plot: "south".into(), ph })
}

fn rest_of(kitchen: &Kitchen, days: f64) -> Rest {
    let room = kitchen.room();
    rest::rest(&room, room.plot("south").unwrap(), day(days)).unwrap()
}

fn nudge(kitchen: &Kitchen, days: f64) -> Nudge {
    let planned = plan(&kitchen.room(), day(days)).into_iter();
    planned.rev().find(|nudge| nudge.kind == NudgeKind::Plant).unwrap()
}

fn dates(rest: &Rest) -> [DateTime<Utc>; 2] {
    [rest.over.early, rest.over.at]
}

#[test]
fn soil_that_is_sour_no_more_is_free_at_once() {
    let mut kitchen = buried();
    assert_eq!(dates(&rest_of(&kitchen, 9.0)), [day(15.0), day(22.0)]);
    let seq = strip(&mut kitchen, 9.0, 6.3);
    let rest = rest_of(&kitchen, 9.0);
    assert_eq!(dates(&rest), [day(9.0), day(9.0)]);
    assert!(rest.sour().is_none());
    assert!(rest.over.why.facts().contains(&seq));
    let nudge = nudge(&kitchen, 9.0);
    assert_eq!(nudge.due, day(9.0));
    assert!(matches!(nudge.numbers, Numbers::Plant { ph: Some(Ph(6.3)), .. }), "{nudge:?}");
    let state = report(&kitchen.room(), day(9.0));
    assert_eq!(state.plots[0].plant_safe, Some(day(9.0)));
}

/// What the calendar has set free is not held back because a strip says the same later.
#[test]
fn a_strip_that_agrees_with_the_calendar_moves_nothing() {
    let mut kitchen = buried();
    strip(&mut kitchen, 30.0, 6.0);
    assert_eq!(dates(&rest_of(&kitchen, 30.0)), [day(15.0), day(22.0)]);
}

#[test]
fn sour_soil_waits_for_the_next_strip() {
    let mut kitchen = buried();
    let early = strip(&mut kitchen, 3.0, 4.5);
    assert_eq!(
        dates(&rest_of(&kitchen, 3.0)),
        [day(15.0), day(22.0)],
        "the calendar is later than a week on"
    );
    assert_eq!(nudge(&kitchen, 3.0).key.0, format!("plant/south/1/{early}"));
    let late = strip(&mut kitchen, 21.0, 5.9);
    let rest = rest_of(&kitchen, 21.0);
    assert_eq!(dates(&rest), [day(28.0), day(28.0)]);
    assert_eq!(rest.sour().unwrap().seq, late);
    let put_off = nudge(&kitchen, 21.0);
    assert_eq!((put_off.due, put_off.key.0), (day(28.0), format!("plant/south/1/{late}")));
    strip(&mut kitchen, 25.0, 6.0);
    assert_eq!(rest_of(&kitchen, 25.0).over.at, day(22.0), "the last strip counts");
}

#[test]
fn a_strip_taken_back_leaves_the_calendar() {
    let mut kitchen = buried();
    let seq = strip(&mut kitchen, 9.0, 6.3);
    kitchen.undo(day(9.1), &[seq]);
    assert_eq!(dates(&rest_of(&kitchen, 9.2)), [day(15.0), day(22.0)]);
    assert_eq!(nudge(&kitchen, 9.2).key.0, "plant/south/1");
}

#[test]
fn a_strip_of_before_the_burial_says_nothing_of_it() {
    let mut kitchen = buried();
    strip(&mut kitchen, 0.5, 6.8);
    assert_eq!(dates(&rest_of(&kitchen, 2.0)), [day(15.0), day(22.0)]);
    strip(&mut kitchen, 9.0, 6.8);
    kitchen.scraps(day(10.0), "green", 5000.0);
    kitchen.buried(day(12.0), "green", "south");
    assert!(rest_of(&kitchen, 12.0).over.at > day(30.0), "what was buried since rests anew");
}

/// No strip shows less than 0 or more than 14: slips of the finger.
#[test]
fn what_no_strip_shows_is_not_taken_in() {
    let mut kitchen = buried();
    for ph in [-0.1, 14.1, 65.0, f64::NAN, f64::INFINITY] {
        strip(&mut kitchen, 9.0, ph);
    }
    assert_eq!(dates(&rest_of(&kitchen, 9.0)), [day(15.0), day(22.0)]);
    strip(&mut kitchen, 9.0, 14.0);
    assert_eq!(rest_of(&kitchen, 9.0).over.at, day(9.0));
}
