//! What a reading of an amount comes to, in canonical units as far as the words alone decide.

use std::collections::BTreeMap;

use crate::message::{Message, Units};

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Measured {
    Amount(Amount),
    /// cm
    Length(f64),
    /// Square metres.
    Area(f64),
    /// Celsius.
    Temperature(f64),
    /// Of a whole, 0 to 1.
    Share(f64),
    /// A number without a unit.
    Count(f64),
}

/// A volume or a mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Amount {
    pub(crate) size: AmountSize,
    /// One of the unit or vessel it was counted in.
    pub(crate) one: AmountSize,
    /// `the caddy`: perhaps a thing and no amount.
    pub(crate) definite: bool,
    /// Spoons and sprinkles: more likely bran than scraps.
    pub(crate) small: bool,
    /// Counted in vessels rather than in units of measure.
    pub(crate) vessel: bool,
}

/// How much, as far as known without the rest of the message.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum AmountSize {
    Millilitres(f64),
    Grams(f64),
    /// Ounces: grams, or millilitres after a liquid.
    Ounces(f64, f64),
    /// Times the capacity of the bin that is meant.
    Buckets(f64),
}

impl Amount {
    /// As many of the same unit: in `300 ml from tui and 450 from weka` the 450 are millilitres.
    pub(crate) fn of_count(self, count: f64) -> Self {
        Self { size: self.one.times(count), ..self }
    }

    /// How many vessels it is; `None` where it is no vessel.
    pub(crate) fn vessels(self) -> Option<f64> {
        self.count().filter(|_| self.vessel)
    }

    /// How many of its unit it is.
    pub(crate) fn count(self) -> Option<f64> {
        let count = match (self.size, self.one) {
            (AmountSize::Millilitres(all), AmountSize::Millilitres(one))
            | (AmountSize::Grams(all), AmountSize::Grams(one))
            | (AmountSize::Ounces(all, _), AmountSize::Ounces(one, _))
            | (AmountSize::Buckets(all), AmountSize::Buckets(one)) => all / one,
            _ => return None,
        };
        count.is_finite().then_some(count)
    }

    /// So many times as much.
    pub(crate) fn times(self, factor: f64) -> Self {
        Self { size: self.size.times(factor), ..self }
    }
}

impl AmountSize {
    pub(super) fn times(self, factor: f64) -> Self {
        match self {
            Self::Millilitres(ml) => Self::Millilitres(ml * factor),
            Self::Grams(g) => Self::Grams(g * factor),
            Self::Ounces(g, ml) => Self::Ounces(g * factor, ml * factor),
            Self::Buckets(n) => Self::Buckets(n * factor),
        }
    }

    pub(super) fn plus(self, other: Self) -> Option<Self> {
        Some(match (self, other) {
            (Self::Millilitres(a), Self::Millilitres(b) | Self::Ounces(_, b)) => Self::Millilitres(a + b),
            (Self::Grams(a), Self::Grams(b) | Self::Ounces(b, _)) => Self::Grams(a + b),
            _ => return None,
        })
    }

    pub(super) fn is_more_than(self, other: Self) -> bool {
        match (self, other) {
            (Self::Millilitres(a), Self::Millilitres(b) | Self::Ounces(_, b))
            | (Self::Grams(a), Self::Grams(b) | Self::Ounces(b, _)) => a > b,
            _ => false,
        }
    }
}

/// What the size of a measure depends on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Measures<'m> {
    pub(crate) units: Units,
    pub(crate) own: &'m BTreeMap<String, f64>,
}

impl<'m> Measures<'m> {
    /// The measures of the message's room.
    pub(crate) fn of(message: &'m Message) -> Self {
        Self { units: message.units, own: &message.measures }
    }
}
