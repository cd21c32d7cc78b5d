//! Units by their exact definitions.
//!
//! Sources: US gallon 231 cubic inches and pound 453.59237 g (NIST Handbook 44, appendix C; international yard and
//! pound agreement of 1959); imperial gallon 4.54609 l (UK Weights and Measures Act 1985, schedule 1). The metric cup
//! (250 ml) and spoons (15, 5 ml), and the imperial cup (1/2 pint), tablespoon (5/8 fl oz) and teaspoon (a third of it)
//! are conventions of kitchens.

use crate::message::Units;

const CUBIC_INCH_ML: f64 = 16.387_064;
const US_GALLON_ML: f64 = 231.0 * CUBIC_INCH_ML;
const IMPERIAL_GALLON_ML: f64 = 4_546.09;
const POUND_G: f64 = 453.592_37;
const INCH_CM: f64 = 2.54;

/// A unit of measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Unit {
    Millilitre,
    Centilitre,
    Decilitre,
    Litre,
    CubicMetre,
    CubicInch,
    CubicFoot,
    Cup,
    Tablespoon,
    Teaspoon,
    Dessertspoon,
    FluidOunce,
    Ounce,
    Pint,
    Quart,
    Gallon,
    Gill,
    /// One of the volumes above, of a system that is told: `4 imperial gallons`.
    UsCup,
    UsFluidOunce,
    UsPint,
    UsQuart,
    UsGallon,
    ImperialFluidOunce,
    ImperialPint,
    ImperialQuart,
    ImperialGallon,
    Milligram,
    Gram,
    Kilogram,
    Pound,
    Stone,
    Millimetre,
    Centimetre,
    Metre,
    Inch,
    Foot,
    Yard,
    SquareMetre,
    SquareCentimetre,
    SquareFoot,
    SquareYard,
    Degree,
    Celsius,
    Fahrenheit,
    Percent,
}

/// What a unit measures, and how much of the canonical unit it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Size {
    Millilitres(f64),
    Grams(f64),
    /// Ounces of weight, or fluid after a liquid: grams and millilitres.
    Either(f64, f64),
    Centimetres(f64),
    SquareMetres(f64),
    /// A temperature; the room decides which scale a bare degree is.
    Degrees,
    Celsius,
    Fahrenheit,
    /// Of a whole.
    Share(f64),
}

impl Unit {
    /// The unit of that name in the data.
    pub(crate) fn named(name: &str) -> Option<Self> {
        Some(match name {
            "ml" => Self::Millilitre,
            "cl" => Self::Centilitre,
            "dl" => Self::Decilitre,
            "l" => Self::Litre,
            "m3" => Self::CubicMetre,
            "in3" => Self::CubicInch,
            "ft3" => Self::CubicFoot,
            "cup" => Self::Cup,
            "tbsp" => Self::Tablespoon,
            "tsp" => Self::Teaspoon,
            "dsp" => Self::Dessertspoon,
            "floz" => Self::FluidOunce,
            "oz" => Self::Ounce,
            "pint" => Self::Pint,
            "quart" => Self::Quart,
            "gallon" => Self::Gallon,
            "gill" => Self::Gill,
            "us_cup" => Self::UsCup,
            "us_floz" => Self::UsFluidOunce,
            "us_pint" => Self::UsPint,
            "us_quart" => Self::UsQuart,
            "us_gallon" => Self::UsGallon,
            "imperial_floz" => Self::ImperialFluidOunce,
            "imperial_pint" => Self::ImperialPint,
            "imperial_quart" => Self::ImperialQuart,
            "imperial_gallon" => Self::ImperialGallon,
            "mg" => Self::Milligram,
            "g" => Self::Gram,
            "kg" => Self::Kilogram,
            "lb" => Self::Pound,
            "stone" => Self::Stone,
            "mm" => Self::Millimetre,
            "cm" => Self::Centimetre,
            "m" => Self::Metre,
            "in" => Self::Inch,
            "ft" => Self::Foot,
            "yd" => Self::Yard,
            "m2" => Self::SquareMetre,
            "cm2" => Self::SquareCentimetre,
            "ft2" => Self::SquareFoot,
            "yd2" => Self::SquareYard,
            "deg" => Self::Degree,
            "c" => Self::Celsius,
            "f" => Self::Fahrenheit,
            "percent" => Self::Percent,
            _ => return None,
        })
    }

    /// Whether it is of the metric system, or of the customary ones; `None` where all have it.
    pub(crate) fn is_metric(self) -> Option<bool> {
        match self {
            Self::Millilitre
            | Self::Centilitre
            | Self::Decilitre
            | Self::Litre
            | Self::Gram
            | Self::Kilogram => Some(true),
            Self::FluidOunce | Self::Ounce | Self::Pint | Self::Quart | Self::Gallon | Self::Pound => {
                Some(false)
            }
            _ => None,
        }
    }

    /// Its size in a room that measures in `units`.
    pub(crate) fn size(self, units: Units) -> Size {
        let us = units == Units::Us;
        let gallon = if us { US_GALLON_ML } else { IMPERIAL_GALLON_ML };
        let fluid_ounce = gallon / if us { 128.0 } else { 160.0 };
        let ounce = POUND_G / 16.0;
        let tablespoon = match units {
            Units::Metric => 15.0,
            Units::Us => fluid_ounce / 2.0,
            Units::Imperial => fluid_ounce * 5.0 / 8.0,
        };
        match self {
            Self::Millilitre => Size::Millilitres(1.0),
            Self::Centilitre => Size::Millilitres(10.0),
            Self::Decilitre => Size::Millilitres(100.0),
            Self::Litre => Size::Millilitres(1_000.0),
            Self::CubicMetre => Size::Millilitres(1e6),
            Self::CubicInch => Size::Millilitres(CUBIC_INCH_ML),
            Self::CubicFoot => Size::Millilitres(1_728.0 * CUBIC_INCH_ML),
            Self::Cup => Size::Millilitres(if units == Units::Metric { 250.0 } else { gallon / 16.0 }),
            Self::Tablespoon => Size::Millilitres(tablespoon),
            Self::Teaspoon => Size::Millilitres(tablespoon / 3.0),
            Self::Dessertspoon => Size::Millilitres(tablespoon * 2.0 / 3.0),
            Self::FluidOunce => Size::Millilitres(fluid_ounce),
            Self::Ounce => Size::Either(ounce, fluid_ounce),
            Self::Pint => Size::Millilitres(gallon / 8.0),
            Self::Quart => Size::Millilitres(gallon / 4.0),
            Self::Gallon => Size::Millilitres(gallon),
            Self::Gill => Size::Millilitres(gallon / 32.0),
            Self::UsCup => Self::Cup.size(Units::Us),
            Self::UsFluidOunce => Self::FluidOunce.size(Units::Us),
            Self::UsPint => Self::Pint.size(Units::Us),
            Self::UsQuart => Self::Quart.size(Units::Us),
            Self::UsGallon => Self::Gallon.size(Units::Us),
            Self::ImperialFluidOunce => Self::FluidOunce.size(Units::Imperial),
            Self::ImperialPint => Self::Pint.size(Units::Imperial),
            Self::ImperialQuart => Self::Quart.size(Units::Imperial),
            Self::ImperialGallon => Self::Gallon.size(Units::Imperial),
            Self::Milligram => Size::Grams(0.001),
            Self::Gram => Size::Grams(1.0),
            Self::Kilogram => Size::Grams(1_000.0),
            Self::Pound => Size::Grams(POUND_G),
            Self::Stone => Size::Grams(14.0 * POUND_G),
            Self::Millimetre => Size::Centimetres(0.1),
            Self::Centimetre => Size::Centimetres(1.0),
            Self::Metre => Size::Centimetres(100.0),
            Self::Inch => Size::Centimetres(INCH_CM),
            Self::Foot => Size::Centimetres(12.0 * INCH_CM),
            Self::Yard => Size::Centimetres(36.0 * INCH_CM),
            Self::SquareMetre => Size::SquareMetres(1.0),
            Self::SquareCentimetre => Size::SquareMetres(1e-4),
            Self::SquareFoot => Size::SquareMetres((12.0 * INCH_CM / 100.0).powi(2)),
            Self::SquareYard => Size::SquareMetres((36.0 * INCH_CM / 100.0).powi(2)),
            Self::Degree => Size::Degrees,
            Self::Celsius => Size::Celsius,
            Self::Fahrenheit => Size::Fahrenheit,
            Self::Percent => Size::Share(0.01),
        }
    }
}

/// Degrees Fahrenheit in Celsius.
pub(crate) fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ml(unit: Unit, units: Units) -> f64 {
        match unit.size(units) {
            Size::Millilitres(ml) | Size::Either(_, ml) => ml,
            other => panic!("{unit:?} is {other:?}"),
        }
    }

    fn same(a: f64, b: f64) {
        assert!((a - b).abs() <= 1e-9 * b.abs(), "{a} is not {b}");
    }

    /// NIST Handbook 44, appendix C: 1 gallon = 3.785411784 l exactly; quart, pint, cup, fluid ounce by halves and sixteenths.
    #[test]
    fn us_customary_volumes_are_exact() {
        same(ml(Unit::Gallon, Units::Us), 3_785.411_784);
        same(ml(Unit::Quart, Units::Us), 946.352_946);
        same(ml(Unit::Pint, Units::Us), 473.176_473);
        same(ml(Unit::Cup, Units::Us), 236.588_236_5);
        same(ml(Unit::FluidOunce, Units::Us), 29.573_529_562_5);
        same(ml(Unit::Tablespoon, Units::Us), 14.786_764_781_25);
        same(ml(Unit::Teaspoon, Units::Us), 4.928_921_593_75);
        same(ml(Unit::CubicFoot, Units::Us), 28_316.846_592);
    }

    /// UK Weights and Measures Act 1985, schedule 1: gallon 4.54609 cubic decimetres, pint 0.56826125, fluid ounce
    /// 28.4130625 ml; cup and spoons as the contract has them.
    #[test]
    fn imperial_volumes_are_exact() {
        for units in [Units::Imperial, Units::Metric] {
            same(ml(Unit::Gallon, units), 4_546.09);
            same(ml(Unit::Quart, units), 1_136.522_5);
            same(ml(Unit::Pint, units), 568.261_25);
            same(ml(Unit::FluidOunce, units), 28.413_062_5);
            same(ml(Unit::Gill, units), 142.065_312_5);
        }
        same(ml(Unit::Cup, Units::Imperial), 284.130_625);
        same(ml(Unit::Tablespoon, Units::Imperial), 17.758_164_062_5);
        same(ml(Unit::Teaspoon, Units::Imperial), 5.919_388_020_833_333);
        same(ml(Unit::Cup, Units::Metric), 250.0);
        same(ml(Unit::Tablespoon, Units::Metric), 15.0);
        same(ml(Unit::Teaspoon, Units::Metric), 5.0);
    }

    /// International yard and pound agreement of 1959: pound 0.45359237 kg, yard 0.9144 m.
    #[test]
    fn masses_lengths_and_areas_are_exact() {
        assert_eq!(Unit::Pound.size(Units::Us), Size::Grams(453.592_37));
        assert_eq!(Unit::Ounce.size(Units::Us), Size::Either(28.349_523_125, 29.573_529_562_5));
        assert_eq!(Unit::Foot.size(Units::Metric), Size::Centimetres(30.48));
        assert_eq!(Unit::Yard.size(Units::Metric), Size::Centimetres(91.44));
        let Size::SquareMetres(square_foot) = Unit::SquareFoot.size(Units::Us) else { panic!() };
        same(square_foot, 0.092_903_04);
        same(celsius(64.0), 17.777_777_777_777_78);
        same(celsius(212.0), 100.0);
    }
}
