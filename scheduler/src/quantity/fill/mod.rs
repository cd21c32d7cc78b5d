//! Filling: how full a bin is after pressing and settling, and when it will be full.

use chrono::{DateTime, Utc};

mod settling;

pub use self::settling::SETTLED;
use self::settling::Settling;
use super::rhythm::{Events, Prior, Rhythm};
use super::{Constant, Derivation, Estimate, Formula, Narrows, Quantity, Source, When, density};
use crate::state::{Batch, Bin, Room};
use crate::units::{Days, Fraction, Millilitres};

/// Full: a tenth of the height stays free, for sealed ground scraps rise about 30 % in their first days.
///
/// Source: Malmén, Ringmar, Thyselius 2001, JTI-rapport Kretslopp & Avfall 24; books say to pack to the lid.
pub const FILL_LINE: Constant = Constant::exact(
    "fill_line",
    0.9,
    "1",
    Source::Judgement("sealed scraps rise in their first days (JTI 2001)"),
);

/// Somebody's `full` means the fill line or beyond, from 0.9 to 1: most say it just beyond.
pub const CALLED_FULL: Fraction = Fraction(SAID_FULL.value);
const SAID_FULL: Constant = Constant::range("said_full", 0.94, (0.9, 1.0), "1", Source::Practice);

/// Where the height of a bin of unknown size that was called full came from.
pub(crate) fn called_full_why() -> Derivation {
    Derivation::of_constant(&SAID_FULL)
}

static OCCUPIED: Formula = Formula {
    id: "fill.occupied",
    expression: "min(base + settled * scraps, capacity), settled and base by regression on levels",
    evaluate: |why| Settling::from_terms(why).occupied(),
};

static FRACTION: Formula = Formula {
    id: "fill.fraction",
    expression: "occupied / capacity",
    evaluate: |why| {
        let share = |occupied: f64| (occupied / why.value("capacity")).clamp(0.0, 1.0);
        Estimate::between(
            share(why.low("occupied")),
            share(why.value("occupied")),
            share(why.high("occupied")),
        )
    },
};

static FULL: Formula = Formula {
    id: "fill.full",
    expression: "day on which (fill_line * capacity - base) / settled - scraps has come, at per_day by weekdays and hours",
    evaluate: |why| {
        let needs = Settling::from_terms(why).needs(why.value("fill_line"));
        Rhythm::from_terms(why).reaches(&needs, why.value("start"), LONGEST)
    },
};

/// No forecast goes further: what would be full later is said to be full then.
pub const LONGEST: Days = Days(365.0);

/// How full a bin is.
#[derive(Clone, Debug)]
pub struct Fill {
    /// The volume the scraps take up.
    pub occupied: Quantity<Millilitres>,
    /// Its share of the bin; none where the bin's size is not known.
    pub fraction: Option<Quantity<Fraction>>,
    /// When the fill line is reached; none where nothing is filling, or nothing can be said.
    pub full: Option<When>,
}

/// How full a bin is; none where it is empty.
pub fn fill(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Fill> {
    let batch = bin.batch.as_ref()?;
    let occupied = occupied(room, bin, batch);
    let fraction = bin.capacity.map(|capacity| {
        let why = Derivation::by(&FRACTION).quantity("occupied", &occupied);
        Quantity::of(why.told("capacity", capacity, Vec::new()))
    });
    let full = full(room, bin, now);
    Some(Fill { occupied, fraction, full })
}

/// Whether the batch has reached the fill line, by the numbers or by somebody's word, and when it did.
pub fn reached(room: &Room, bin: &Bin) -> Option<DateTime<Utc>> {
    let (batch, capacity) = (bin.filling()?, bin.capacity);
    let called = batch.levels.iter().find(|level| level.fraction.0 >= FILL_LINE.value).map(|level| level.at);
    let density = density::of(room).value;
    let counted =
        capacity.filter(|capacity| occupied(room, bin, batch).value >= *capacity * FILL_LINE.value).and_then(
            |_| batch.lots.iter().rfind(|lot| lot.volume(density) > Millilitres::ZERO).map(|lot| lot.at),
        );
    [called, counted].into_iter().flatten().min()
}

/// The volume the scraps of a batch take up: what went in times the settled share, corrected by the levels told.
pub fn occupied(room: &Room, bin: &Bin, batch: &Batch) -> Quantity<Millilitres> {
    let why = settling::explain(Derivation::by(&OCCUPIED), room, bin, batch);
    Quantity::of(why.narrowed_by([Narrows::Level]))
}

/// When a filling bin reaches the fill line; none where its size is not known or nothing was told.
fn full(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<When> {
    bin.capacity?;
    let batch = bin.filling().filter(|batch| !batch.lots.is_empty())?;
    let why = settling::explain(Derivation::by(&FULL).constant(&FILL_LINE), room, bin, batch);
    let why = rhythm(room, bin, now).explain(why, "mL/d", now, room.zone);
    Some(When::after(now, why.narrowed_by([Narrows::MoreWeeks, Narrows::Level])))
}

/// The rhythm in which a bin fills: that of the room, or the bin's own where several are filled side by side.
fn rhythm(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Rhythm {
    let since = bin.filling().map_or(now, |batch| batch.started_at);
    // Bins that took nothing since this one was begun are being replaced by it.
    let is_beside = |other: &Bin| {
        other.name != bin.name
            && other.filling().and_then(|batch| batch.lots.last()).is_some_and(|lot| lot.at > since)
    };
    if room.bins_in_use().any(is_beside) {
        rhythm_of(room, lots_of(room, std::iter::once(bin), now), now)
    } else {
        rhythm_of(room, lots_of(room, room.bins.iter(), now), now)
    }
}

/// The rhythm of all that a room puts in; none where it told nothing yet.
pub(super) fn rhythm_of_room(room: &Room, now: DateTime<Utc>) -> Option<Rhythm> {
    let lots = lots_of(room, room.bins.iter(), now);
    (!lots.is_empty()).then(|| rhythm_of(room, lots, now))
}

/// The volume as added that fills a bin of this size.
pub(super) fn holds(room: &Room, capacity: Millilitres) -> Millilitres {
    capacity * FILL_LINE.value / settling::of_new_batch(room)
}

fn lots_of<'a>(room: &Room, bins: impl Iterator<Item = &'a Bin>, now: DateTime<Utc>) -> Events {
    let density = density::of(room).value;
    bins.flat_map(|bin| bin.batches().rev().take(RECENT_BATCHES))
        .flat_map(|batch| batch.lots.iter().map(|lot| (lot.at, lot.volume(density).get())))
        .filter(|(at, volume)| *at <= now && *volume > 0.0)
        .collect()
}

fn rhythm_of(room: &Room, mut lots: Events, now: DateTime<Utc>) -> Rhythm {
    lots.sort_by_key(|(at, _)| *at);
    let people = room.people.iter().filter(|person| person.here).count().clamp(1, MOST_HOUSEHOLDS);
    let per_day = HOUSEHOLD.value * people as f64;
    let prior = Prior { per_day, weight: PRIOR_DAYS, lot: LOT, source: HOUSEHOLD.source };
    Rhythm::of(&lots, &prior, now, room.zone).of_those_here(room, now)
}

/// In a building most of those who are in the room put little into the bins.
const MOST_HOUSEHOLDS: usize = 4;

/// Batches older than these are out of the rhythm's window, save in the slowest rooms.
const RECENT_BATCHES: usize = 16;

/// Scraps a day of one who tells: 79 kg a person and year, half a kilogram a litre, for a household of two.
pub const HOUSEHOLD: Constant = Constant::exact(
    "household",
    870.0,
    "mL/d",
    Source::Published("UNEP Food Waste Index Report 2024: 79 kg a person and year"),
);
/// The prior of a room's rhythm is worth two days: rooms differ by more than ten times.
const PRIOR_DAYS: f64 = 2.0;
/// A lot before any was told: a caddy half full.
const LOT: f64 = 2000.0;
