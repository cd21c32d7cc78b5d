//! Bulk density of scraps: kilograms from litres, and back.

use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source};
use crate::state::Room;
use crate::units::{Density, Unit};

/// Loose mixed scraps in a caddy. Published values run from 0.235 (US EPA 2016, 396 lb/yd³) to 1.0 (ground).
pub const DENSITY: Constant = Constant::range("density", 0.5, (0.3, 0.7), Density::CODE, Source::Practice);

static DEFAULT: Formula =
    Formula { id: "density.default", expression: "density", evaluate: |why| why.estimate("density") };

/// The mean of so many lots is as much nearer as their root has it, where a room's lots differ no more than rooms do.
static LEARNT: Formula = Formula {
    id: "density.learnt",
    expression: "mass / volume, each way by custom's share of it / sqrt(lots)",
    evaluate: |why| {
        let mean = why.value("mass") / why.value("volume");
        let off = (why.high("custom") - why.low("custom")) / (2.0 * why.value("custom"));
        let off = off / why.value("lots").max(1.0).sqrt();
        Estimate::between(mean * (1.0 - off), mean, mean * (1.0 + off))
    },
};

/// The room's density: its own once three lots were told both by volume and by mass, else the customary one.
pub fn of(room: &Room) -> Quantity<Density> {
    if room.weighed.density().is_none() {
        return Quantity::of(Derivation::by(&DEFAULT).constant(&DENSITY).narrowed_by([Narrows::Weights]));
    }
    let learnt = || Origin::Learnt { observations: room.weighed.lots, prior: DENSITY.source };
    let mass = Estimate::exact(room.weighed.mass.get());
    let volume = Estimate::exact(room.weighed.volume.get());
    let lots = Estimate::exact(room.weighed.lots as f64);
    let why = Derivation::by(&LEARNT)
        .term("mass", mass, "g", learnt())
        .term("volume", volume, "mL", learnt())
        .term("lots", lots, "1", learnt())
        .constant(&Constant { name: "custom", ..DENSITY });
    Quantity::of(why.narrowed_by([Narrows::Weights]))
}
