//! Diluting drained liquid for plants.

use super::{Constant, Derivation, Estimate, Formula, Quantity, Source};
use crate::units::{Millilitres, SquareMetres, Unit};

/// Parts of water to one part of liquid. Weaker is safer: pages read have 1:200 and 1:300 too.
pub const RATIO: Constant = Constant::range("ratio", 100.0, (100.0, 300.0), "1", Source::Practice);

/// A watering can of the common size.
pub const CAN: Constant = Constant::exact("can", 10_000.0, Millilitres::CODE, Source::Practice);

/// Watering of a bed: litres on a square metre at once.
pub const WATERING: Constant = Constant::range("watering", 5.0, (2.0, 10.0), "L/m2", Source::Practice);

static WATER: Formula = Formula {
    id: "dilution.water",
    expression: "ratio * liquid",
    evaluate: |why| Estimate::exact(why.value("ratio") * why.value("liquid")),
};

static CANS: Formula = Formula {
    id: "dilution.cans",
    expression: "(water + liquid) / can",
    evaluate: |why| Estimate::exact((why.value("water") + why.value("liquid")) / why.value("can")),
};

static AREA: Formula = Formula {
    id: "dilution.area",
    expression: "(water + liquid) / watering",
    evaluate: |why| {
        let litres = (why.value("water") + why.value("liquid")) / 1000.0;
        Estimate::between(
            litres / why.high("watering"),
            litres / why.value("watering"),
            litres / why.low("watering"),
        )
    },
};

/// What to do with drained liquid.
#[derive(Clone, Debug)]
pub struct Dilution {
    /// The liquid.
    pub liquid: Millilitres,
    /// Parts of water to one part of liquid.
    pub ratio: f64,
    /// The water to go with it.
    pub water: Quantity<Millilitres>,
    /// How many cans of ten litres the mixture fills.
    pub cans: Quantity<crate::units::Fraction>,
    /// The bed it waters.
    pub area: Quantity<SquareMetres>,
}

/// Water for so much liquid, at the customary ratio.
pub fn dilute(liquid: Millilitres) -> Dilution {
    dilute_to(liquid, RATIO.value)
}

/// Water for so much liquid, at so many parts of water to one; never stronger than the customary ratio.
pub fn dilute_to(liquid: Millilitres, ratio: f64) -> Dilution {
    let mut parts = RATIO;
    parts.value = if ratio.is_finite() { ratio.max(RATIO.value) } else { RATIO.value };
    let water = Quantity::of(Derivation::by(&WATER).constant(&parts).asked("liquid", liquid));
    let with_water = |formula| Derivation::by(formula).quantity("water", &water).asked("liquid", liquid);
    Dilution {
        liquid,
        ratio: parts.value,
        cans: Quantity::of(with_water(&CANS).constant(&CAN)),
        area: Quantity::of(with_water(&AREA).constant(&WATERING)),
        water,
    }
}
