//! Liquid: how much waits to be drained.

use chrono::{DateTime, Utc};

use super::{Constant, Derivation, Estimate, Formula, Narrows, Quantity, Source, density};
use crate::state::{Bin, Room};
use crate::units::{Millilitres, MillilitresPerLitre, Unit};

/// Liquid from a litre of scraps. No measured value was found; a dry bin is no failed one.
pub const YIELD: Constant =
    Constant::range("yield", 60.0, (0.0, 150.0), MillilitresPerLitre::CODE, Source::Practice);

static WAITING: Formula = Formula {
    id: "liquid.waiting",
    expression: "yield * scraps",
    evaluate: |why| {
        let litres = why.value("scraps") / 1000.0;
        Estimate::between(why.low("yield") * litres, why.value("yield") * litres, why.high("yield") * litres)
    },
};

/// What waits to be drained from a bin; none where it is empty.
pub fn waiting(room: &Room, bin: &Bin, _now: DateTime<Utc>) -> Option<Quantity<Millilitres>> {
    let batch = bin.batch.as_ref()?;
    let density = density::of(room).value;
    let last = batch.drains.last().map(|drain| (drain.at, drain.seq));
    let since: Vec<_> =
        batch.lots.iter().filter(|lot| last.is_none_or(|last| (lot.at, lot.seq) > last)).collect();
    let scraps = since.iter().map(|lot| lot.volume(density)).sum::<Millilitres>();
    let why = Derivation::by(&WAITING)
        .constant(&YIELD)
        .told("scraps", scraps, since.iter().map(|lot| lot.seq).collect())
        .narrowed_by([Narrows::Drains]);
    Some(Quantity::of(why))
}
