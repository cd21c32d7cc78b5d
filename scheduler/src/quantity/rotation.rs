//! Rotation: how many bins a room needs, and the chance that all are full at once.

use super::{Constant, Derivation, Estimate, Formula, Quantity, Source};
use crate::units::{Days, Fraction};

/// Days to empty and wash a bin and have it ready.
pub const EMPTYING: Constant = Constant::exact("emptying", 1.0, "d", Source::Practice);

static BINS: Formula = Formula {
    id: "rotation.bins",
    expression: "ceil((filling + fermenting + emptying) / filling)",
    evaluate: |why| {
        let filling = why.value("filling");
        Estimate::exact(((filling + why.value("fermenting") + why.value("emptying")) / filling).ceil())
    },
};

/// Bins that a continuous kitchen needs, for days of filling one, of fermenting and of emptying.
pub fn bins_needed(filling: Days, fermenting: Days, emptying: Days) -> Quantity<Fraction> {
    Quantity::of(
        Derivation::by(&BINS)
            .asked("filling", filling.max(Days(0.1)))
            .asked("fermenting", fermenting.max(Days::ZERO))
            .asked("emptying", emptying.max(Days::ZERO)),
    )
}
