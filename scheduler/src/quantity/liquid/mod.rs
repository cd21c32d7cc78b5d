//! Liquid: how much waits to be drained.
//!
//! Scraps let their liquid go over days: of a lot's liquid, `1 - exp(-t / release)` has come after a time `t`. A room
//! learns from its drains how much a litre gives, how fast, and how much one drain differs from the next. Before the
//! first drain the customary yield holds, all of it released.

mod learning;

use chrono::{DateTime, Utc};

use self::learning::Learnt;
use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, density};
use crate::state::{Batch, Bin, Room};
use crate::units::{Millilitres, MillilitresPerLitre, Unit};

/// Liquid from a litre of scraps. No measured value was found; a dry bin is no failed one.
pub const YIELD: Constant =
    Constant::range("yield", 60.0, (0.0, 150.0), MillilitresPerLitre::CODE, Source::Practice);

/// More than this no scraps give: of stored food waste 61 % was still solid after two weeks, at up to 1 kg/l.
pub const MOST: Constant = Constant::exact(
    "most",
    390.0,
    MillilitresPerLitre::CODE,
    Source::Published("Degueurce et al. 2019: at most 390 g/kg, gas included"),
);

static CUSTOMARY: Formula = Formula {
    id: "liquid.customary",
    expression: "yield * scraps",
    evaluate: |why| {
        let litres = why.value("scraps") / 1000.0;
        Estimate::between(why.low("yield") * litres, why.value("yield") * litres, why.high("yield") * litres)
    },
};

static LEARNT: Formula = Formula {
    id: "liquid.learnt",
    expression: "median of yield * released over the release times that fit the room's drains",
    evaluate: |why| {
        let most = (why.value("most") * why.value("scraps") / 1000.0 - why.value("drained")).max(0.0);
        let found = Learnt::from_terms(why).waiting(why.points("released"));
        let fits = |volume: f64| volume.min(most);
        Estimate::between(
            fits(found.low.unwrap_or_default()),
            fits(found.value),
            fits(found.high.unwrap_or_default()),
        )
    },
};

/// What a room has learnt of its liquid, to be asked about bins and moments.
pub struct Liquid<'a> {
    room: &'a Room,
    learnt: Learnt,
}

impl<'a> Liquid<'a> {
    /// What the room has learnt.
    pub fn of(room: &'a Room) -> Self {
        Self { room, learnt: Learnt::of(room) }
    }

    /// What waits to be drained from a bin at a moment; none where it is empty.
    pub fn waiting(&self, bin: &Bin, now: DateTime<Utc>) -> Option<Quantity<Millilitres>> {
        let batch = bin.batch.as_ref()?;
        Some(Quantity::of(if self.learnt.is_empty() {
            customary(self.room, batch)
        } else {
            taught(self.room, batch, &self.learnt, now)
        }))
    }
}

/// What waits to be drained from a bin at a moment; none where it is empty.
pub fn waiting(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Quantity<Millilitres>> {
    Liquid::of(room).waiting(bin, now)
}

fn customary(room: &Room, batch: &Batch) -> Derivation {
    let density = density::of(room).value;
    let last = batch.drains.last().map(|drain| (drain.at, drain.seq));
    let since: Vec<_> =
        batch.lots.iter().filter(|lot| last.is_none_or(|last| (lot.at, lot.seq) > last)).collect();
    let scraps = since.iter().map(|lot| lot.volume(density)).sum::<Millilitres>();
    Derivation::by(&CUSTOMARY)
        .constant(&YIELD)
        .told("scraps", scraps, since.iter().map(|lot| lot.seq).collect())
        .narrowed_by([Narrows::Drains])
}

fn taught(room: &Room, batch: &Batch, learnt: &Learnt, now: DateTime<Utc>) -> Derivation {
    let density = density::of(room).value;
    let lots =
        batch.lots.iter().map(|lot| lot.seq).chain(batch.drains.last().map(|drain| drain.seq)).collect();
    let scraps = batch.lots.iter().map(|lot| lot.seq).collect();
    let drains = batch.drains.iter().map(|drain| drain.seq).collect();
    learnt
        .explain(Derivation::by(&LEARNT))
        .course("released", learning::released(batch, density, now), "L", Origin::Facts(lots))
        .constant(&MOST)
        .told("scraps", batch.scraps_volume(density), scraps)
        .told("drained", batch.drained(), drains)
        .narrowed_by([Narrows::Drains])
}

/// What a litre of scraps gives in this room: the customary value until the first drain was told.
pub fn yield_of(room: &Room) -> Quantity<MillilitresPerLitre> {
    static CUSTOM: Formula =
        Formula { id: "liquid.yield", expression: "yield", evaluate: |why| why.estimate("yield") };
    static TAUGHT: Formula = Formula {
        id: "liquid.yield_learnt",
        expression: "median of yield over the release times that fit the room's drains",
        evaluate: |why| Learnt::from_terms(why).per_litre(),
    };
    let learnt = Learnt::of(room);
    if learnt.is_empty() {
        return Quantity::of(Derivation::by(&CUSTOM).constant(&YIELD).narrowed_by([Narrows::Drains]));
    }
    Quantity::of(learnt.explain(Derivation::by(&TAUGHT)).narrowed_by([Narrows::Drains]))
}
