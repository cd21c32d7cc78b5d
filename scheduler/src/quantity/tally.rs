//! Tally: what was kept out of the rubbish.

use chrono::{DateTime, Utc};

use super::{Constant, Derivation, Estimate, Formula, Narrows, Quantity, Source, bury, density};
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

/// Where the rubbish would have gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Disposal {
    /// A landfill in the United States.
    Landfill,
    /// Incineration: the saving is about nil.
    Incineration,
}

const HUB: Source =
    Source::Published("US EPA GHG Emission Factors Hub 2026, Table 9 (WARM), tonnes CO2e a short ton");
/// Grams in a short ton, and in a metric one. Source: NIST SP 811.
const PER_SHORT_TON: f64 = 1000.0 / 907.184_74;
/// Food waste put into a landfill: 0.68 t `CO2e` a short ton.
pub const LANDFILLED: Constant = Constant::exact("disposed", 0.68 * PER_SHORT_TON, "kg/kg", HUB);
/// Food waste burnt: 0.05 t `CO2e` a short ton.
pub const COMBUSTED: Constant = Constant::exact("disposed", 0.05 * PER_SHORT_TON, "kg/kg", HUB);
/// Food waste composted: 0.11 t `CO2e` a short ton. For home fermenting there is no published factor.
pub const COMPOSTED: Constant = Constant::exact("composted", 0.11 * PER_SHORT_TON, "kg/kg", HUB);

/// At most: foods differ seven-fold, and burying fermented scraps was never measured.
static CO2E: Formula = Formula {
    id: "tally.co2e",
    expression: "(disposed - composted) * kept_out, and from nothing up to that",
    evaluate: |why| {
        let saved = |mass: f64| ((why.value("disposed") - why.value("composted")) * mass).max(0.0);
        Estimate::between(0.0, saved(why.value("kept_out")), saved(why.high("kept_out")))
    },
};

/// Carbon dioxide equivalents that were saved, up to: against a way of disposal, as if composted. For reporting on
/// request only; it says nothing of storage, and not wasting food saves far more.
pub fn co2e(kept_out: &Quantity<Grams>, disposal: Disposal) -> Quantity<Grams> {
    let disposed = match disposal {
        Disposal::Landfill => &LANDFILLED,
        Disposal::Incineration => &COMBUSTED,
    };
    let why = Derivation::by(&CO2E).quantity("kept_out", kept_out).constant(disposed).constant(&COMPOSTED);
    Quantity::of(why.narrowed_by([Narrows::Weights, Narrows::Foods]))
}

static SCRAPS: Formula = Formula {
    id: "tally.scraps",
    expression: "volume + weighed / density",
    evaluate: |why| Estimate::exact(why.value("volume") + why.value("weighed") / why.value("density")),
};

static EARTH: Formula = Formula {
    id: "tally.earth",
    expression: "(1 + soil_parts) * sum(fermented)",
    evaluate: |why| {
        let (fermented, parts) = (why.sum("fermented"), 1.0 + why.value("soil_parts"));
        let with_soil = |volume: f64| volume * parts;
        let bound = |bound: Option<f64>| with_soil(bound.unwrap_or(fermented.value));
        Estimate::between(bound(fermented.low), with_soil(fermented.value), bound(fermented.high))
    },
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
    /// Earth made: what was buried, with the soil mixed in.
    pub earth: Quantity<Millilitres>,
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
    let mut earth = Derivation::by(&EARTH).constant(&bury::SOIL);
    for (bin, batch) in room.bins.iter().flat_map(|bin| bin.batches().map(move |batch| (bin, batch))) {
        let drains = batch.drains.iter().filter(|drain| is_in(drain.at));
        drained.extend(drains.map(|drain| (drain.seq, drain.volume)));
        let layers = batch.brans.iter().filter(|layer| is_in(layer.at));
        bran.extend(layers.map(|layer| (layer.seq, layer.volume)));
        match (&batch.end, batch.ended_at()) {
            (Some(End::Buried(_)), Some(at)) if is_in(at) => {
                batches += 1;
                earth = earth.quantity("fermented", &bury::fermented(room, bin, batch));
            }
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
        earth: Quantity::of(earth.narrowed_by([Narrows::Level])),
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
