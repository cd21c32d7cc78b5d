//! Tally: what was kept out of the rubbish.

use chrono::{DateTime, Utc};

use super::{Derivation, Estimate, Formula, Narrows, Origin, Quantity, density};
use crate::state::{End, Lot, Room};
use crate::units::{Grams, Millilitres};

static KEPT_OUT: Formula = Formula {
    id: "tally.kept_out",
    expression: "weighed + density * volume",
    evaluate: |why| {
        let at = |density: f64| why.value("weighed") + density * why.value("volume");
        Estimate::between(at(why.low("density")), at(why.value("density")), at(why.high("density")))
    },
};

/// What happened in a span of time.
#[derive(Clone, Debug)]
pub struct Tally {
    /// What went in and so was kept out of the rubbish, that of batches later thrown away apart.
    pub kept_out: Quantity<Grams>,
    /// The volume that went in.
    pub scraps: Millilitres,
    /// Batches buried.
    pub batches: u32,
    /// Batches thrown away.
    pub discarded: u32,
    /// Liquid drained.
    pub drained: Millilitres,
    /// Bran used.
    pub bran: Millilitres,
}

/// What happened from a moment (always, where none is given) until another.
pub fn tally(room: &Room, from: Option<DateTime<Utc>>, until: DateTime<Utc>) -> Tally {
    let is_in = |at: DateTime<Utc>| from.is_none_or(|from| at >= from) && at <= until;
    let density = density::of(room);
    let mut lots: Vec<&Lot> = Vec::new();
    let (mut batches, mut discarded) = (0, 0);
    let (mut drained, mut bran) = (Millilitres::ZERO, Millilitres::ZERO);
    for batch in room.bins.iter().flat_map(crate::state::Bin::batches) {
        drained += batch.drains.iter().filter(|drain| is_in(drain.at)).map(|drain| drain.volume).sum();
        bran += batch.brans.iter().filter(|layer| is_in(layer.at)).map(|layer| layer.volume).sum();
        match (&batch.end, batch.ended_at()) {
            (Some(End::Buried(_)), Some(at)) if is_in(at) => batches += 1,
            (Some(End::Discarded { .. }), Some(at)) if is_in(at) => discarded += 1,
            _ => {}
        }
        lots.extend(batch.lots.iter().filter(|lot| is_in(lot.at)));
    }
    let weighed = lots.iter().filter_map(|lot| lot.told_mass).sum::<Grams>();
    let by_volume = |lot: &&&Lot| lot.told_mass.is_none();
    let volume = lots.iter().filter(by_volume).filter_map(|lot| lot.told_volume).sum::<Millilitres>();
    let seqs =
        |told: &dyn Fn(&&&Lot) -> bool| lots.iter().filter(told).map(|lot| lot.seq).collect::<Vec<_>>();
    let why = Derivation::by(&KEPT_OUT)
        .term(
            "weighed",
            Estimate::exact(weighed.get()),
            "g",
            Origin::Facts(seqs(&|lot| lot.told_mass.is_some())),
        )
        .term("volume", Estimate::exact(volume.get()), "mL", Origin::Facts(seqs(&by_volume)))
        .quantity("density", &density)
        .narrowed_by([Narrows::Weights]);
    Tally {
        kept_out: Quantity::of(why),
        scraps: lots.iter().map(|lot| lot.volume(density.value)).sum(),
        batches,
        discarded,
        drained,
        bran,
    }
}
