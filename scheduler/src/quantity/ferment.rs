//! Fermenting: how far a sealed batch is, and when it is ready.

mod course;

use chrono::{DateTime, TimeDelta, Utc};

use self::course::Course;
use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, When};
use crate::advice::advise;
use crate::growing::Growing;
use crate::state::{Batch, Bin, Check, Phase, Reading, Room};
use crate::units::{Celsius, Days, Fraction};

/// Cardinal temperatures of a lactic acid bacterium in a medium: lowest, best and highest for growth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cardinal {
    /// Below it nothing grows.
    pub lowest: Celsius,
    /// Where growth is fastest.
    pub best: Celsius,
    /// Above it nothing grows.
    pub highest: Celsius,
}

impl Cardinal {
    const fn new(lowest: f64, best: f64, highest: f64) -> Self {
        Self { lowest: Celsius(lowest), best: Celsius(best), highest: Celsius(highest) }
    }
}

/// *L. plantarum* in lactose-free milk, the middle of the published sets.
///
/// Source of the three sets: Matejčeková et al. 2019, J. Food Nutr. Res. 58(2).
pub const LACTOSE_FREE_MILK: Cardinal = Cardinal::new(5.4, 34.2, 41.4);
/// *L. plantarum* in MRS broth: the least slowed by cold.
pub const BROTH: Cardinal = Cardinal::new(2.0, 36.6, 41.0);
/// *L. plantarum* in milk: the most slowed by cold.
pub const MILK: Cardinal = Cardinal::new(7.8, 34.7, 41.0);

const SETS: [Cardinal; 3] = [LACTOSE_FREE_MILK, BROTH, MILK];

/// Days sealed at the reference temperature.
pub const DAYS_AT_REFERENCE: Constant = Constant::exact("days", 14.0, "d", Source::Practice);
/// The temperature at which the customary two weeks hold: our choice, the middle of what the trade advises.
pub const REFERENCE: Celsius = Celsius(22.0);
/// Plain scaling by growth rates overstates the cold: the customary times of sauerkraut at 22.5 and 17 °C differ by a
/// factor of 1.57, the model's by 1.84 to 2.42. Our own damping, not published.
pub const DAMPING: Constant =
    Constant::exact("damping", 0.75, "1", Source::Judgement("customary sauerkraut times"));
/// Fewest days, however warm.
pub const SHORTEST: Constant =
    Constant::exact("shortest", 10.0, "d", Source::Judgement("a week is the least that a book gives"));
/// Most days, however cold, while anything grows.
pub const LONGEST: Constant =
    Constant::exact("longest", 28.0, "d", Source::Judgement("twice the customary time"));
/// The temperature taken where none was ever told.
pub const ASSUMED: Constant =
    Constant::range("temperature", 21.0, (20.0, 22.0), "Cel", Source::Judgement("a room indoors"));
/// Batches differ by foods and packing: one in ten is done at this progress already, one in ten only at the upper.
pub const SPREAD: Constant = Constant::range(
    "done_at",
    1.0,
    (0.88, 1.25),
    "1",
    Source::Judgement("practice gives two weeks as from about 12 to 18 days"),
);
/// Below it moving the bin beats waiting.
pub const TOO_COLD: Celsius = Celsius(COLD.value);
/// The lower end of what the trade advises: 15 to 18 °C.
pub const COLD: Constant = Constant::range("cold", 15.0, (15.0, 18.0), "Cel", Source::Practice);

/// Growth at a temperature as a share of growth at the best one: the cardinal temperature model with inflection.
///
/// 0 outside the cardinal temperatures. Source: Rosso, Lobry, Flandrois 1993, J. Theor. Biol. 162(4) 447-463.
pub fn gamma(temperature: Celsius, set: &Cardinal) -> f64 {
    let (t, lowest, best, highest) = (temperature.0, set.lowest.0, set.best.0, set.highest.0);
    if !(t > lowest && t < highest) {
        return 0.0;
    }
    let above = (t - highest) * (t - lowest).powi(2);
    let below =
        (best - lowest) * ((best - lowest) * (t - best) - (best - highest) * (best + lowest - 2.0 * t));
    (above / below).clamp(0.0, 1.0)
}

/// Days a sealed batch takes at a temperature: `clamp(14 d * (gamma(22) / gamma(T)) ^ 0.75, 10 d, 28 d)`.
pub fn days_at(temperature: Celsius, set: &Cardinal) -> Days {
    let growth = gamma(temperature, set);
    if growth <= 0.0 {
        return Days(LONGEST.value);
    }
    let slower = (gamma(REFERENCE, set) / growth).powf(DAMPING.value);
    Days((DAYS_AT_REFERENCE.value * slower).clamp(SHORTEST.value, LONGEST.value))
}

static PROGRESS: Formula = Formula {
    id: "ferment.progress",
    expression: "sum(1 / days_at(temperature)) over elapsed",
    evaluate: |why| {
        let course = Course::new(why.points("temperature"));
        let elapsed = Days(why.value("elapsed"));
        let [value, one, other] = SETS.map(|set| course.progress(elapsed, &set).min(1.0));
        Estimate::between(one.min(other), value, one.max(other))
    },
};

static READY: Formula = Formula {
    id: "ferment.ready",
    expression: "first day with sum(1 / days_at(temperature)) = done_at",
    evaluate: |why| {
        let course = Course::new(why.points("temperature"));
        let [early, late] = ["warmer", "colder"].map(|name| match why.points(name) {
            [] => Course::new(why.points("temperature")),
            assumed => Course::new(assumed),
        });
        let of = |course: &Course, target: f64| SETS.map(|set| course.reaches(target, &set).get());
        let value = course.reaches(why.value("done_at"), &LACTOSE_FREE_MILK).get();
        let low = of(&early, why.low("done_at")).into_iter().fold(f64::INFINITY, f64::min);
        let high = of(&late, why.high("done_at")).into_iter().fold(0.0, f64::max);
        Estimate::between(low, value, high)
    },
};

static DAYS: Formula = Formula {
    id: "ferment.days",
    expression: "days_at(temperature) * done_at",
    evaluate: |why| {
        let at = |set: &Cardinal| days_at(Celsius(why.value("temperature")), set).get();
        let days = SETS.map(|set| at(&set));
        let [value, ..] = days;
        let (shortest, longest) =
            (days.into_iter().fold(value, f64::min), days.into_iter().fold(value, f64::max));
        Estimate::between(
            shortest * why.low("done_at"),
            value * why.value("done_at"),
            longest * why.high("done_at"),
        )
    },
};

/// The days that a batch sealed now takes, at the temperature read last or assumed.
pub fn days(room: &Room) -> Quantity<Days> {
    let why = Derivation::by(&DAYS);
    let why = match room.temperatures.last() {
        Some(reading) => why.told("temperature", reading.temperature, vec![reading.seq]),
        None => why.constant(&ASSUMED),
    };
    Quantity::of(why.constant(&SPREAD).narrowed_by([Narrows::Temperature]))
}

/// How a sealed batch stands.
#[derive(Clone, Debug)]
pub struct Ferment {
    /// How far it is: 1 is ready by the clock.
    pub progress: Quantity<Fraction>,
    /// When it is ready by the clock.
    pub ready: When,
    /// When it was sealed.
    pub sealed_at: DateTime<Utc>,
    /// Temperatures that went in; none: 21 °C was assumed.
    pub readings: usize,
    /// The mean temperature since sealing.
    pub mean: Celsius,
    /// The temperature at the moment, as read last or assumed.
    pub temperature: Celsius,
    /// Colder than the trade's lower end: advise to move the bin.
    pub is_cold: bool,
}

/// How the sealed batch of a bin stands; none where nothing is sealed in it.
pub fn ferment(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Ferment> {
    let batch = bin.sealed()?;
    let sealed_at = batch.sealed_at?;
    let readings = readings(room, bin, sealed_at);
    let points: Vec<(f64, f64)> = readings
        .iter()
        .map(|reading| (Days::of(reading.at - sealed_at).get(), reading.temperature.get()))
        .collect();
    let elapsed = Days::of(now - sealed_at).max(Days::ZERO);
    let course = with_temperature(Derivation::by(&PROGRESS), "temperature", &points, &readings, 0.0);
    let progress = Quantity::of(course.clock("elapsed", elapsed).narrowed_by([Narrows::Temperature]));
    let mut ready = Derivation::by(&READY).constant(&SPREAD);
    let shifts = [
        ("temperature", 0.0),
        ("warmer", ASSUMED.high - ASSUMED.value),
        ("colder", ASSUMED.low - ASSUMED.value),
    ];
    // Where it was read, nothing warmer or colder is thought of.
    for (name, shift) in shifts.into_iter().take(if points.is_empty() { shifts.len() } else { 1 }) {
        ready = with_temperature(ready, name, &points, &readings, shift);
    }
    let ready = When::after(sealed_at, ready.narrowed_by([Narrows::Temperature, Narrows::Check]));
    let profile = Course::new(progress.why.points("temperature"));
    let mean = profile.mean(elapsed);
    let temperature = profile.at(elapsed);
    let is_cold = temperature < TOO_COLD;
    Some(Ferment { progress, ready, sealed_at, readings: readings.len(), mean, temperature, is_cold })
}

/// The phase of a bin at a moment.
pub fn phase(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Phase {
    match &bin.batch {
        None if bin.spoilt => Phase::Discarded,
        None => Phase::Empty,
        Some(batch) if batch.sealed_at.is_none() => Phase::Filling,
        Some(batch) => {
            let is_done =
                ferment(room, bin, now).is_some_and(|ferment| ferment.progress.value >= Fraction(1.0));
            if is_done && !is_lost(batch) { Phase::Ready } else { Phase::Sealed }
        }
    }
}

/// Whether a check forbids using the batch, whatever the clock says.
pub fn is_lost(batch: &Batch) -> bool {
    lost_by(batch).is_some()
}

/// The check that forbids using the batch: the last such since it was sealed, or while it is filled the last of all and
/// those of a day before. What is seen in the same hour beside a rotten smell does not make it good.
pub fn lost_by(batch: &Batch) -> Option<&Check> {
    let forbids = |check: &&Check| advise(&check.signs).forbids_burying();
    if batch.sealed_at.is_some() {
        return batch.checks_since_sealing().rfind(forbids);
    }
    let last = batch.checks.last()?;
    let is_of_that_day = |check: &&Check| last.at - check.at < TimeDelta::days(1);
    batch.checks.iter().rev().take_while(is_of_that_day).find(forbids)
}

/// The check that tells against using the batch, whatever its phase: a bad one since it was sealed, or else the last of all. A lid
/// that was closed after it makes nothing good; a good check does.
pub fn spoilt_by(batch: &Batch) -> Option<&Check> {
    let forbids = |check: &&Check| advise(&check.signs).forbids_burying();
    lost_by(batch).or_else(|| batch.checks.last().filter(forbids))
}

/// The temperatures that tell about a bin since a moment: its own, and the room's where no own one was read within three
/// days of them. Of those before the moment only the last is needed.
///
/// So a reading of the room supersedes an older one of the bin: where the bin is now nobody else has told.
pub(crate) fn readings(room: &Room, bin: &Bin, since: DateTime<Utc>) -> Vec<Reading> {
    let own = &bin.temperatures;
    let is_told_for = |reading: &&Reading| {
        let next = own.partition_point(|own| own.at < reading.at);
        let near = own.from(next.saturating_sub(1)).take(2);
        near.map(|own| Days::of((own.at - reading.at).abs())).all(|apart| apart > OWN_READING_LASTS)
    };
    let is_before = |reading: &Reading| reading.at < since;
    let from_last_before = |of: &'_ Growing<Reading>| of.partition_point(is_before).saturating_sub(1);
    let rooms = room.temperatures.from(from_last_before(&room.temperatures)).filter(is_told_for);
    let mut all: Vec<Reading> = own.from(from_last_before(own)).chain(rooms).copied().collect();
    all.sort_by_key(|reading| reading.at);
    all.split_off(all.partition_point(is_before).saturating_sub(1))
}

/// A bin's own reading tells more than the room's for so long on either side. Later the room's is all that is known: the
/// bin may have been moved, or the season changed. Source: our judgement.
const OWN_READING_LASTS: Days = Days(3.0);

fn with_temperature(
    why: Derivation,
    name: &'static str,
    points: &[(f64, f64)],
    readings: &[Reading],
    shift_where_assumed: f64,
) -> Derivation {
    if points.is_empty() {
        let assumed = vec![(0.0, ASSUMED.value + shift_where_assumed)];
        why.course(name, assumed, ASSUMED.unit, Origin::Constant(ASSUMED.source))
    } else {
        let seqs = readings.iter().map(|reading| reading.seq).collect();
        why.course(name, points.to_vec(), ASSUMED.unit, Origin::Facts(seqs))
    }
}
