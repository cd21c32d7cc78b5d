//! Acid: what a pH strip says of a bin and of a plot.

use super::{Constant, Derivation, Estimate, Formula, Quantity, Source};
use crate::units::{Fraction, Ph, Unit};

/// Where half of the lactic acid is dissociated.
pub const PKA: Constant =
    Constant::exact("pka", 3.86, Ph::CODE, Source::Memory("lactic acid in water at 25 °C"));

/// What sealed food scraps come to; the liquid of a bin is at about 4.
pub const SOUR: Constant = Constant::range(
    "sour",
    4.0,
    (4.0, 5.0),
    Ph::CODE,
    Source::Published("Malmén, Ringmar, Thyselius 2001, JTI-rapport Kretslopp & Avfall 24"),
);

/// What household food scraps are at as collected, before anything ferments on purpose.
pub const RAW: Constant = Constant::range(
    "raw",
    5.4,
    (4.7, 6.1),
    Ph::CODE,
    Source::Published("Sundberg et al. 2011, Bioresour. Technol. 102(3) 2859-2867"),
);

/// Soil that most plants grow in.
pub const SOIL: Constant = Constant::range("soil", 6.5, (6.0, 7.0), Ph::CODE, Source::Practice);

/// No strip shows more.
pub const MOST: Ph = Ph(14.0);

/// Where a strip showed sour soil it is held in again after this time.
pub const AGAIN: Constant = Constant::exact("again", 7.0, "d", Source::Practice);

static UNDISSOCIATED: Formula = Formula {
    id: "acid.undissociated",
    expression: "1 / (1 + 10 ^ (ph - pka))",
    evaluate: |why| Estimate::exact(1.0 / (1.0 + 10f64.powf(why.value("ph") - why.value("pka")))),
};

/// How a bin's contents or liquid stand by their pH.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Souring {
    /// Sourer than any scraps are by themselves.
    Sour,
    /// Where sealed scraps may be, and fresh ones too.
    Between,
    /// Not sour.
    Not,
}

/// What a pH means in a bin.
pub fn in_bin(ph: Ph) -> Souring {
    if ph.get() < RAW.low {
        Souring::Sour
    } else if ph.get() <= SOUR.high {
        Souring::Between
    } else {
        Souring::Not
    }
}

/// Whether a plot is too sour yet for what is to grow there.
pub fn is_sour_soil(ph: Ph) -> bool {
    ph.get() < SOIL.low
}

/// The share of lactic acid that is not dissociated at a pH that a strip can show, which is what keeps rot down and in the end
/// stops the bacteria themselves.
pub fn undissociated(ph: Ph) -> Quantity<Fraction> {
    let shown = ph.clamp(Ph(0.0), MOST);
    Quantity::of(Derivation::by(&UNDISSOCIATED).asked("ph", shown).constant(&PKA))
}
