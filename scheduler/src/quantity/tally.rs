//! Tally: what was kept out of the rubbish.

use chrono::{DateTime, Utc};

use super::{Derivation, Estimate, Formula, Narrows, Quantity, density};
use crate::state::{End, Lot, Room};
use crate::units::{Density, Grams, Millilitres};

static KEPT_OUT: Formula = Formula {
    id: "tally.kept_out",
    expression: "weighed + density * volume",
    evaluate: |why| {
        let at = |density: f64| why.value("weighed") + density * why.value("volume");
        Estimate::between(at(why.low("density")), at(why.value("density")), at(why.high("density")))
    },
};

static SCRAPS: Formula = Formula {
    id: "tally.scraps",
    expression: "volume + weighed / density",
    evaluate: |why| Estimate::exact(why.value("volume") + why.value("weighed") / why.value("density")),
};

static SUM: Formula =
    Formula { id: "tally.sum", expression: "volume", evaluate: |why| why.estimate("volume") };

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
    /// Where the volume came from.
    pub scraps_why: Derivation,
    /// Where the liquid came from.
    pub drained_why: Derivation,
    /// Where the bran came from.
    pub bran_why: Derivation,
}

/// What happened from a moment (always, where none is given) until another.
pub fn tally(room: &Room, from: Option<DateTime<Utc>>, until: DateTime<Utc>) -> Tally {
    let is_in = |at: DateTime<Utc>| from.is_none_or(|from| at >= from) && at <= until;
    let density = density::of(room);
    let mut lots: Vec<&Lot> = Vec::new();
    let (mut batches, mut discarded) = (0, 0);
    let (mut drained, mut bran) = (Vec::new(), Vec::new());
    for batch in room.bins.iter().flat_map(crate::state::Bin::batches) {
        let drains = batch.drains.iter().filter(|drain| is_in(drain.at));
        drained.extend(drains.map(|drain| (drain.seq, drain.volume)));
        let layers = batch.brans.iter().filter(|layer| is_in(layer.at));
        bran.extend(layers.map(|layer| (layer.seq, layer.volume)));
        match (&batch.end, batch.ended_at()) {
            (Some(End::Buried(_)), Some(at)) if is_in(at) => batches += 1,
            (Some(End::Discarded { .. }), Some(at)) if is_in(at) => discarded += 1,
            _ => {}
        }
        lots.extend(batch.lots.iter().filter(|lot| is_in(lot.at)));
    }
    let kept_out = Quantity::of(kept_out(&lots, &density));
    let scraps = Quantity::<Millilitres>::of(scraps(&lots, &density));
    Tally {
        scraps: scraps.value,
        scraps_why: scraps.why,
        drained: drained.iter().map(|(_, volume)| *volume).sum(),
        drained_why: sum(&drained),
        bran: bran.iter().map(|(_, volume)| *volume).sum(),
        bran_why: sum(&bran),
        kept_out,
        batches,
        discarded,
    }
}

fn kept_out(lots: &[&Lot], density: &Quantity<Density>) -> Derivation {
    let (weighed, measured): (Vec<&Lot>, Vec<&Lot>) = lots.iter().partition(|lot| lot.told_mass.is_some());
    let mass = weighed.iter().filter_map(|lot| lot.told_mass).sum::<Grams>();
    let volume = measured.iter().filter_map(|lot| lot.told_volume).sum::<Millilitres>();
    Derivation::by(&KEPT_OUT)
        .told("weighed", mass, seqs(&weighed))
        .told("volume", volume, seqs(&measured))
        .quantity("density", density)
        .narrowed_by([Narrows::Weights])
}

fn scraps(lots: &[&Lot], density: &Quantity<Density>) -> Derivation {
    let (measured, weighed): (Vec<&Lot>, Vec<&Lot>) = lots.iter().partition(|lot| lot.told_volume.is_some());
    let volume = measured.iter().filter_map(|lot| lot.told_volume).sum::<Millilitres>();
    let mass = weighed.iter().filter_map(|lot| lot.told_mass).sum::<Grams>();
    Derivation::by(&SCRAPS)
        .told("volume", volume, seqs(&measured))
        .told("weighed", mass, seqs(&weighed))
        .quantity("density", density)
}

fn sum(told: &[(i64, Millilitres)]) -> Derivation {
    let volume = told.iter().map(|(_, volume)| *volume).sum::<Millilitres>();
    Derivation::by(&SUM).told("volume", volume, told.iter().map(|(seq, _)| *seq).collect())
}

fn seqs(lots: &[&Lot]) -> Vec<i64> {
    lots.iter().map(|lot| lot.seq).collect()
}
