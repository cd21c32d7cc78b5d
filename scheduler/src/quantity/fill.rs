//! Filling: how full a bin is after pressing and settling, and when it will be full.

use chrono::{DateTime, Utc};

use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, When, density};
use crate::state::{Batch, Bin, Level, Room};
use crate::units::{Days, Density, Fraction, Millilitres};

/// Settled volume over volume as added, pressed layer by layer.
pub const SETTLED: Constant = Constant::range("settled", 0.7, (0.5, 0.85), "1", Source::Practice);

/// Full: a tenth of the height stays free, for sealed ground scraps rise about 30 % in their first days.
///
/// Source: Malmén, Ringmar, Thyselius 2001, JTI-rapport Kretslopp & Avfall 24; books say to pack to the lid.
pub const FILL_LINE: Constant = Constant::exact(
    "fill_line",
    0.9,
    "1",
    Source::Judgement("sealed scraps rise in their first days (JTI 2001)"),
);

/// Somebody's `full` means the fill line or beyond, from 0.9 to 1.
pub const CALLED_FULL: Fraction = Fraction(0.95);

static OCCUPIED: Formula = Formula {
    id: "fill.occupied",
    expression: "min(level * capacity + settled * scraps_since, capacity)",
    evaluate: |why| {
        let capacity = match why.value("capacity") {
            known if known > 0.0 => known,
            _ => f64::INFINITY,
        };
        let base = why.value("level") * why.value("capacity");
        let fills = |settled: f64| (base + settled * why.value("scraps_since")).min(capacity);
        Estimate::between(fills(why.low("settled")), fills(why.value("settled")), fills(why.high("settled")))
    },
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
    expression: "(fill_line * capacity - occupied) / settled / per_day",
    evaluate: |why| {
        let needed = |occupied: f64, settled: f64, per_day: f64| {
            let space = (why.value("fill_line") * why.value("capacity") - occupied).max(0.0);
            (space / settled / per_day).min(LONGEST)
        };
        Estimate::between(
            needed(why.value("occupied"), why.value("settled"), why.high("per_day")),
            needed(why.value("occupied"), why.value("settled"), why.value("per_day")),
            needed(why.value("occupied"), why.value("settled"), why.low("per_day")),
        )
    },
};

/// No forecast goes further, in days.
const LONGEST: f64 = 365.0;

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
    let full = bin.filling().and_then(|_| full(room, bin, &occupied, now));
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

/// The volume the scraps of a batch take up: the last level told, and what went in since.
pub fn occupied(room: &Room, bin: &Bin, batch: &Batch) -> Quantity<Millilitres> {
    let density = density::of(room).value;
    let told = batch.levels.last().filter(|_| bin.capacity.is_some());
    let since = scraps_since(batch, told, density);
    let level = told.map_or(Fraction::ZERO, level_of);
    let why = Derivation::by(&OCCUPIED)
        .told("level", level, told.map(|level| level.seq).into_iter().collect())
        .told("capacity", bin.capacity.unwrap_or_default(), Vec::new())
        .constant(&SETTLED)
        .told("scraps_since", since, batch.lots.iter().map(|lot| lot.seq).collect());
    Quantity::of(why.narrowed_by([Narrows::Level]))
}

fn scraps_since(batch: &Batch, told: Option<&Level>, density: Density) -> Millilitres {
    batch
        .lots
        .iter()
        .filter(|lot| told.is_none_or(|level| (lot.at, lot.seq) > (level.at, level.seq)))
        .map(|lot| lot.volume(density))
        .sum()
}

fn level_of(level: &Level) -> Fraction {
    if level.fraction >= Fraction(1.0) { CALLED_FULL } else { level.fraction }
}

fn full(room: &Room, bin: &Bin, occupied: &Quantity<Millilitres>, now: DateTime<Utc>) -> Option<When> {
    let capacity = bin.capacity?;
    let batch = bin.filling()?;
    let first = batch.lots.first()?;
    let volume = batch.scraps_volume(density::of(room).value);
    let days = Days::of(now - first.at).max(Days(1.0));
    let per_day = (volume.get() / days.get()).max(1.0);
    let origin = Origin::Facts(batch.lots.iter().map(|lot| lot.seq).collect());
    let why = Derivation::by(&FULL)
        .constant(&FILL_LINE)
        .told("capacity", capacity, Vec::new())
        .quantity("occupied", occupied)
        .constant(&SETTLED)
        .term("per_day", Estimate::between(per_day * 0.7, per_day, per_day * 1.4), "mL/d", origin);
    Some(When::after(now, why.narrowed_by([Narrows::MoreWeeks, Narrows::Level])))
}
