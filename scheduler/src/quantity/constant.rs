//! Constants beside their sources.

use super::Estimate;

/// Where a constant came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// Published: author, year, title or table.
    Published(&'static str),
    /// Common practice, no source.
    Practice,
    /// Published, but quoted from memory.
    Memory(&'static str),
    /// Our own judgement, with its reason.
    Judgement(&'static str),
}

/// A constant beside its source.
#[derive(Clone, Copy, Debug)]
pub struct Constant {
    /// Its name in formulas.
    pub name: &'static str,
    /// The value used.
    pub value: f64,
    /// The lower end of what is published or customary.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The UCUM code of its unit.
    pub unit: &'static str,
    /// Where it came from.
    pub source: Source,
}

impl Constant {
    /// A constant without a range.
    pub const fn exact(name: &'static str, value: f64, unit: &'static str, source: Source) -> Self {
        Self { name, value, low: value, high: value, unit, source }
    }

    /// A constant with the range that is published or customary.
    pub const fn range(
        name: &'static str,
        value: f64,
        (low, high): (f64, f64),
        unit: &'static str,
        source: Source,
    ) -> Self {
        Self { name, value, low, high, unit, source }
    }

    pub(super) fn estimate(&self) -> Estimate {
        if self.low < self.high {
            Estimate::between(self.low, self.value, self.high)
        } else {
            Estimate::exact(self.value)
        }
    }
}
