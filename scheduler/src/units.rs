//! Units as types, so that a litre never meets a gram.
//!
//! Each wraps one `f64` and serialises as that number. Arithmetic exists only where it makes sense: like with like,
//! with a bare factor, and the few products and quotients the trade uses (`Millilitres * Density = Grams`).

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};

/// A number with a unit.
pub trait Unit: Copy + PartialOrd {
    /// The unit's code in UCUM, the unified code for units of measure.
    const CODE: &'static str;
    /// Gives the number its unit.
    fn new(number: f64) -> Self;
    /// The number without its unit.
    fn get(self) -> f64;
}

macro_rules! units {
    ($($(#[$doc:meta])* $name:ident = $code:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(0.0);
            /// The number without its unit.
            pub const fn get(self) -> f64 { self.0 }
            /// The larger of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
            /// The smaller of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
            /// The nearest value from `low` to `high`; `low` where they are out of order.
            #[must_use]
            pub fn clamp(self, low: Self, high: Self) -> Self { self.min(high).max(low) }
            /// This much less `other`, but never below nothing.
            #[must_use]
            pub fn less(self, other: Self) -> Self { Self((self.0 - other.0).max(0.0)) }
        }
        impl Unit for $name {
            const CODE: &'static str = $code;
            fn new(number: f64) -> Self { Self(number) }
            fn get(self) -> f64 { self.0 }
        }
        impl Add for $name { type Output = Self; fn add(self, other: Self) -> Self { Self(self.0 + other.0) } }
        impl Sub for $name { type Output = Self; fn sub(self, other: Self) -> Self { Self(self.0 - other.0) } }
        impl AddAssign for $name { fn add_assign(&mut self, other: Self) { self.0 += other.0; } }
        impl SubAssign for $name { fn sub_assign(&mut self, other: Self) { self.0 -= other.0; } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, factor: f64) -> Self { Self(self.0 * factor) } }
        impl Div<f64> for $name { type Output = Self; fn div(self, divisor: f64) -> Self { Self(self.0 / divisor) } }
        impl Div for $name { type Output = f64; fn div(self, other: Self) -> f64 { self.0 / other.0 } }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self { // The standard sum of nothing is minus zero, and would be written so.
                Self(all.fold(0.0, |sum, one| sum + one.0)) }
        }
    )*};
}

units! {
    /// A volume.
    Millilitres = "mL";
    /// A mass.
    Grams = "g";
    /// A temperature, or a difference of two.
    Celsius = "Cel";
    /// A length of time.
    Days = "d";
    /// A length.
    Centimetres = "cm";
    /// An area.
    SquareMetres = "m2";
    /// Bulk density.
    Density = "g/mL";
    /// A content by mass.
    GramsPerKilogram = "g/kg";
    /// A load on the ground.
    GramsPerSquareMetre = "g/m2";
    /// Use in a day.
    GramsPerDay = "g/d";
    /// A yield or a dose by volume.
    MillilitresPerLitre = "mL/L";
    /// How sour something is.
    Ph = "[pH]";
    /// A share of a whole.
    Fraction = "1";
}

impl Mul<Density> for Millilitres {
    type Output = Grams;
    fn mul(self, density: Density) -> Grams {
        Grams(self.0 * density.0)
    }
}

impl Div<Density> for Grams {
    type Output = Millilitres;
    fn div(self, density: Density) -> Millilitres {
        Millilitres(self.0 / density.0)
    }
}

impl Div<Millilitres> for Grams {
    type Output = Density;
    fn div(self, volume: Millilitres) -> Density {
        Density(self.0 / volume.0)
    }
}

impl Mul<GramsPerKilogram> for Grams {
    type Output = Grams;
    fn mul(self, content: GramsPerKilogram) -> Grams {
        Grams(self.0 * content.0 / 1000.0)
    }
}

impl Mul<MillilitresPerLitre> for Millilitres {
    type Output = Millilitres;
    fn mul(self, dose: MillilitresPerLitre) -> Millilitres {
        Millilitres(self.0 * dose.0 / 1000.0)
    }
}

impl Mul<SquareMetres> for GramsPerSquareMetre {
    type Output = Grams;
    fn mul(self, area: SquareMetres) -> Grams {
        Grams(self.0 * area.0)
    }
}

impl Div<SquareMetres> for Grams {
    type Output = GramsPerSquareMetre;
    fn div(self, area: SquareMetres) -> GramsPerSquareMetre {
        GramsPerSquareMetre(self.0 / area.0)
    }
}

impl Days {
    /// The days of a span of time.
    pub fn of(span: TimeDelta) -> Self {
        Self(span.num_milliseconds() as f64 / MILLISECONDS_A_DAY)
    }

    /// The span of time, to the millisecond, of at most a century either way.
    pub fn span(self) -> TimeDelta {
        let days = if self.0.is_nan() { 0.0 } else { self.0.clamp(-CENTURY, CENTURY) };
        TimeDelta::milliseconds((days * MILLISECONDS_A_DAY).round() as i64)
    }
}

/// A moment within a thousand years of 1970, so that no arithmetic on it overflows.
pub(crate) fn sane(at: DateTime<Utc>) -> DateTime<Utc> {
    const MILLENNIUM: i64 = 1000 * 365 * 86_400;
    let earliest = DateTime::from_timestamp(-MILLENNIUM, 0).unwrap_or_default();
    let latest = DateTime::from_timestamp(MILLENNIUM, 0).unwrap_or_default();
    at.clamp(earliest, latest)
}

const MILLISECONDS_A_DAY: f64 = 86_400_000.0;
const CENTURY: f64 = 36_525.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn products_keep_their_units() {
        assert_eq!(Millilitres(30.0) * Density(0.245), Grams(7.35));
        assert_eq!(Grams(7500.0) * GramsPerKilogram(6.0), Grams(45.0));
        assert_eq!(Grams(45.0) / SquareMetres(2.0), GramsPerSquareMetre(22.5));
        assert_eq!(Millilitres(3000.0) * MillilitresPerLitre(60.0), Millilitres(180.0));
    }

    #[test]
    fn less_stops_at_nothing() {
        assert_eq!(Grams(3.0).less(Grams(5.0)), Grams::ZERO);
    }

    #[test]
    fn a_span_of_nonsense_is_bounded() {
        assert_eq!(Days(f64::NAN).span(), TimeDelta::zero());
        assert_eq!(Days(f64::INFINITY).span(), Days(CENTURY).span());
    }
}
