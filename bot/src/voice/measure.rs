//! Numbers in the room's units, rounded as a kitchen can use them. The exact values stay in the model.

use branbell_scheduler::fact::Units;
use branbell_scheduler::units::{
    self, Celsius, Centimetres, Density, Fraction, Grams, GramsPerSquareMetre, Millilitres,
    MillilitresPerLitre, SquareMetres,
};

/// Millilitres of a US gallon (231 cubic inches, NIST Handbook 44, Appendix C).
const US_GALLON: f64 = 3_785.411_784;
/// Millilitres of an imperial gallon (Weights and Measures Act 1985, Schedule 1).
const IMPERIAL_GALLON: f64 = 4_546.09;
/// Grams of a pound (International yard and pound agreement, 1959).
const POUND: f64 = 453.592_37;
/// Centimetres of an inch (the same agreement).
const INCH: f64 = 2.54;

/// Writes amounts in one system of units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measures(pub Units);

/// A unit to write an amount in: its size, its name, and the steps it is rounded to.
struct Unit<Q> {
    size: Q,
    name: &'static str,
    step: f64,
}

const fn unit<Q: Copy>(size: Q, name: &'static str, step: f64) -> Unit<Q> {
    Unit { size, name, step }
}

impl<Q: units::Unit> Unit<Q> {
    /// How many of it an amount is.
    fn count(&self, amount: Q) -> f64 {
        amount.get() / self.size.get()
    }
}

impl Measures {
    /// The name of the system, by which texts choose their words.
    pub fn system(self) -> &'static str {
        match self.0 {
            Units::Metric => "metric",
            Units::Us => "us",
            Units::Imperial => "imperial",
        }
    }

    /// A volume.
    pub fn volume(self, ml: Millilitres) -> String {
        write(ml, self.volumes())
    }

    /// A volume that is expected, not measured: two figures are all it is worth.
    pub fn about_volume(self, ml: Millilitres) -> String {
        let ml = two_figures(ml);
        let unit = unit_for(ml, self.volumes());
        let step = unit.size * rough_step(unit, unit.count(ml));
        write(step * (ml / step).round(), self.volumes())
    }

    /// A span of volumes: `110 to 260 ml`.
    pub fn volume_span(self, low: Millilitres, high: Millilitres) -> String {
        span(low, high, self.volumes())
    }

    /// A span of masses: `6 to 15 kg`.
    pub fn mass_span(self, low: Grams, high: Grams) -> String {
        span(low, high, self.masses())
    }

    /// A volume in the unit in which another is said: the marks of a scale all speak one unit.
    pub fn volume_like(self, ml: Millilitres, other: Millilitres) -> String {
        write_in(ml, unit_for(other, self.volumes()))
    }

    /// A mass in the unit in which another is said.
    pub fn mass_like(self, g: Grams, other: Grams) -> String {
        write_in(g, unit_for(other, self.masses()))
    }

    /// The size of the unit in which a volume is said.
    pub fn volume_unit(self, ml: Millilitres) -> Millilitres {
        unit_for(ml, self.volumes()).size
    }

    /// The size of the unit in which a mass is said.
    pub fn mass_unit(self, g: Grams) -> Grams {
        unit_for(g, self.masses()).size
    }

    fn volumes(self) -> &'static [Unit<Millilitres>] {
        const METRIC: &[Unit<Millilitres>] =
            &[unit(Millilitres(1.0), "ml", 0.0), unit(Millilitres(1000.0), "l", 0.1)];
        const US: &[Unit<Millilitres>] = &[
            unit(Millilitres(US_GALLON / 768.0), "tsp", 0.5),
            unit(Millilitres(US_GALLON / 128.0), "fl oz", 0.5),
            unit(Millilitres(US_GALLON / 16.0), "cups", 0.25),
            unit(Millilitres(US_GALLON / 4.0), "qt", 0.25),
            unit(Millilitres(US_GALLON), "gal", 0.1),
        ];
        const IMPERIAL: &[Unit<Millilitres>] = &[
            unit(Millilitres(IMPERIAL_GALLON / 768.0), "tsp", 0.5),
            unit(Millilitres(IMPERIAL_GALLON / 160.0), "fl oz", 0.5),
            unit(Millilitres(IMPERIAL_GALLON / 8.0), "pt", 0.25),
            unit(Millilitres(IMPERIAL_GALLON), "gal", 0.1),
        ];
        match self.0 {
            Units::Metric => METRIC,
            Units::Us => US,
            Units::Imperial => IMPERIAL,
        }
    }

    fn masses(self) -> &'static [Unit<Grams>] {
        const METRIC: &[Unit<Grams>] = &[unit(Grams(1.0), "g", 0.0), unit(Grams(1000.0), "kg", 0.1)];
        const CUSTOMARY: &[Unit<Grams>] =
            &[unit(Grams(POUND / 16.0), "oz", 0.5), unit(Grams(POUND), "lb", 0.25)];
        match self.0 {
            Units::Metric => METRIC,
            Units::Us | Units::Imperial => CUSTOMARY,
        }
    }

    /// So much of so much in one unit: `9 of 19 l`.
    pub fn share(self, part: Millilitres, whole: Millilitres) -> (String, String) {
        let litre = match self.0 {
            Units::Metric => unit(Millilitres(1000.0), "l", 0.1),
            Units::Us => unit(Millilitres(US_GALLON), "gal", 0.1),
            Units::Imperial => unit(Millilitres(IMPERIAL_GALLON), "gal", 0.1),
        };
        // What is in it is worked out, and not known to the twentieth of a litre.
        let part = (litre.count(part) / litre.step + 1e-9).round() * litre.step;
        (number(part, litre.step), format!("{} {}", number(litre.count(whole), litre.step), litre.name))
    }

    /// Bran to be put on: in spoons and half spoons while that is what one measures with.
    pub fn bran(self, ml: Millilitres) -> String {
        self.spoons(ml, (ml / self.spoon() * 2.0).round() / 2.0)
    }

    /// A span of bran: `2 to 4 tbsp`.
    pub fn bran_span(self, low: Millilitres, high: Millilitres) -> String {
        let (low, high) = (self.bran(low), self.bran(high));
        match (low.split_once(' '), high.split_once(' ')) {
            (Some((number, unit)), Some((_, other))) if unit == other => format!("{number} to {high}"),
            _ => format!("{low} to {high}"),
        }
    }

    /// Bran that somebody told: a quarter of a spoon is kept as it was told; nobody measures a fifth of one.
    pub fn bran_told(self, ml: Millilitres) -> String {
        let spoons = ml / self.spoon();
        let quarters = (spoons * 4.0).round() / 4.0;
        if (spoons - quarters).abs() < 1e-6 { self.spoons(ml, quarters) } else { self.bran(ml) }
    }

    /// The size of a tablespoon.
    fn spoon(self) -> Millilitres {
        Millilitres(match self.0 {
            Units::Metric => 15.0,
            Units::Us => US_GALLON / 256.0,
            // 5/8 fluid ounce: a convention, not a legal unit.
            Units::Imperial => IMPERIAL_GALLON / 256.0,
        })
    }

    /// So much bran in spoons, which were `rounded`, or as a volume where it is too many of them.
    fn spoons(self, ml: Millilitres, rounded: f64) -> String {
        if ml / self.spoon() > 16.0 {
            self.volume(ml)
        } else {
            format!("{} tbsp", number(rounded.max(0.5), 0.5))
        }
    }

    /// A mass.
    pub fn mass(self, g: Grams) -> String {
        write(g, self.masses())
    }

    /// A temperature.
    pub fn temperature(self, Celsius(c): Celsius) -> String {
        match self.0 {
            Units::Us => format!("{} °F", number(c * 1.8 + 32.0, 1.0)),
            Units::Metric | Units::Imperial => format!("{} °C", number(c, 0.5)),
        }
    }

    /// A difference of temperatures.
    pub fn warmer(self, Celsius(c): Celsius) -> String {
        match self.0 {
            Units::Us => format!("{} °F", number(c * 1.8, 1.0)),
            Units::Metric | Units::Imperial => format!("{} °C", number(c, 0.5)),
        }
    }

    /// A bulk density.
    pub fn density(self, Density(g_ml): Density) -> String {
        match self.gallon() {
            Some((gallon, _)) => format!("{} lb/gal", plain(g_ml * gallon / POUND)),
            None => format!("{} kg/l", plain(g_ml)),
        }
    }

    /// A dose or a yield by volume.
    pub fn dose(self, MillilitresPerLitre(ml_l): MillilitresPerLitre) -> String {
        match self.gallon() {
            Some((_, fluid_ounces)) => format!("{} fl oz/gal", plain(ml_l * fluid_ounces / 1000.0)),
            None => format!("{} ml/l", plain(ml_l)),
        }
    }

    /// The room's gallon, ml, and how many fluid ounces it has; none where it measures in litres.
    fn gallon(self) -> Option<(f64, f64)> {
        match self.0 {
            Units::Metric => None,
            Units::Us => Some((US_GALLON, 128.0)),
            Units::Imperial => Some((IMPERIAL_GALLON, 160.0)),
        }
    }

    /// A length.
    pub fn length(self, Centimetres(cm): Centimetres) -> String {
        match self.0 {
            Units::Metric if cm >= 200.0 => format!("{} m", number(cm / 100.0, 0.1)),
            Units::Metric => format!("{} cm", number(cm, if cm < 20.0 { 0.5 } else { 5.0 })),
            Units::Us | Units::Imperial if cm >= 24.0 * INCH => {
                format!("{} ft", number(cm / (12.0 * INCH), 0.5))
            }
            Units::Us | Units::Imperial => format!("{} in", number(cm / INCH, 1.0)),
        }
    }

    /// A load of nitrogen on the ground: in the measures in which gardeners dose fertiliser.
    pub fn load(self, GramsPerSquareMetre(g_m2): GramsPerSquareMetre) -> String {
        let square_foot = (INCH * 0.12).powi(2);
        match self.0 {
            Units::Metric => format!("{} g/m²", number(g_m2, 1.0)),
            Units::Us => format!("{} lb/1000 sq ft", number(g_m2 * square_foot * 1000.0 / POUND, 0.1)),
            Units::Imperial => format!("{} oz/sq yd", number(g_m2 * square_foot * 9.0 / (POUND / 16.0), 0.1)),
        }
    }

    /// An area.
    pub fn area(self, m2: SquareMetres) -> String {
        write(m2, self.areas())
    }

    /// An area that is expected, not measured.
    pub fn about_area(self, m2: SquareMetres) -> String {
        write(two_figures(m2), self.areas())
    }

    /// A span of areas: `55 to 140 m²`.
    pub fn area_span(self, low: SquareMetres, high: SquareMetres) -> String {
        span(low, high, self.areas())
    }

    fn areas(self) -> &'static [Unit<SquareMetres>] {
        const METRIC: &[Unit<SquareMetres>] = &[unit(SquareMetres(1.0), "m²", 0.1)];
        const CUSTOMARY: &[Unit<SquareMetres>] =
            &[unit(SquareMetres(INCH * INCH * 0.12 * 0.12), "sq ft", 1.0)];
        match self.0 {
            Units::Metric => METRIC,
            Units::Us | Units::Imperial => CUSTOMARY,
        }
    }
}

/// The largest unit of which the amount holds at least one, else the smallest.
fn unit_for<Q: units::Unit>(amount: Q, units: &[Unit<Q>]) -> &Unit<Q> {
    units.iter().rev().find(|unit| amount.get() >= unit.size.get() * 0.999).unwrap_or(&units[0])
}

/// The amount in the unit that suits it.
fn write<Q: units::Unit>(amount: Q, units: &[Unit<Q>]) -> String {
    write_in(amount, unit_for(amount, units))
}

fn write_in<Q: units::Unit>(amount: Q, unit: &Unit<Q>) -> String {
    let count = unit.count(amount);
    let step = if unit.step > 0.0 { unit.step } else { fine_step(count) };
    // What is little is not said as nothing, nor as twice as much.
    let number = number(count, if count < 2.0 * step { step.min(0.1) } else { step });
    format!("{number} {}", name_for(unit, &number))
}

/// `cup` for 1, else `cups`.
fn name_for<Q>(unit: &Unit<Q>, number: &str) -> &'static str {
    if number == "1" { unit.name.trim_end_matches('s') } else { unit.name }
}

/// A low end of less than this part of the high one is said as nought.
const NEXT_TO_NOTHING: f64 = 20.0;

/// Both ends in the unit that suits the high one, which is named once.
fn span<Q: units::Unit>(low: Q, high: Q, units: &[Unit<Q>]) -> String {
    // `1 to 140 ml` claims to know that there is something.
    let low = if low.get() < high.get() / NEXT_TO_NOTHING { Q::new(0.0) } else { low };
    let unit = unit_for(two_figures(high), units);
    let end = |amount: Q| {
        let count = unit.count(two_figures(amount));
        number(count, rough_step(unit, count))
    };
    let (low, high) = (end(low), end(high));
    format!("{low} to {high} {}", name_for(unit, &high))
}

/// Rounded to two figures.
fn two_figures<Q: units::Unit>(amount: Q) -> Q {
    let value = amount.get();
    if value.abs() < 1e-9 || !value.is_finite() {
        return Q::new(0.0);
    }
    let step = 10_f64.powf(value.abs().log10().floor() - 1.0);
    Q::new((value / step).round() * step)
}

/// Two to three figures of a small unit: 7 ml, 85 ml, 150 ml, 380 ml.
fn fine_step(count: f64) -> f64 {
    if count < 20.0 {
        1.0
    } else if count < 100.0 {
        5.0
    } else {
        10.0
    }
}

/// Of what is only expected nobody knows the last millilitre: 7 ml, 15 ml, 85 ml.
fn rough_step<Q>(unit: &Unit<Q>, count: f64) -> f64 {
    if unit.step > 0.0 {
        unit.step
    } else if count < 10.0 {
        1.0
    } else {
        fine_step(count).max(5.0)
    }
}

/// How far something is that goes by the clock: `about 45 %` of it, and to the per cent just before the end.
pub fn about_percent(Fraction(share): Fraction) -> i64 {
    let rough = (share * 20.0).round() as i64 * 5;
    if rough < 100 { rough } else { (share * 100.0).round() as i64 }
}

/// A bare number, three figures.
pub(crate) fn plain(value: f64) -> String {
    let magnitude = value.abs().max(1e-4).log10().floor();
    let decimals = (2.0 - magnitude).clamp(0.0, 6.0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A number to the nearest step, without needless zeros; to a finer step where the number is finer than that by intent
/// (1.25 l is said as 1.25, not 1.3). Large numbers lose their decimals.
fn number(value: f64, step: f64) -> String {
    let meant = (value * 100.0).round() / 100.0;
    let is_exact = (value - meant).abs() < 1e-6 && (meant * 20.0).fract().abs() < 1e-6;
    let rounded = if step < 1.0 && value >= 100.0 {
        value.round()
    } else if step < 1.0 && value >= 10.0 {
        (value * 2.0).round() / 2.0
    } else if is_exact && step < 1.0 {
        meant
    } else {
        (value / step).round() * step
    };
    let text = format!("{rounded:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    const METRIC: Measures = Measures(Units::Metric);
    const US: Measures = Measures(Units::Us);
    const IMPERIAL: Measures = Measures(Units::Imperial);

    #[test]
    fn says_what_a_kitchen_can_measure() {
        let said =
            [3000.0, 1250.0, 150.0, 568.26, 18_000.0, 7.0, 83.0].map(|ml| METRIC.volume(Millilitres(ml)));
        assert_eq!(said, ["3 l", "1.25 l", "150 ml", "570 ml", "18 l", "7 ml", "85 ml"]);
        assert_eq!(
            METRIC.share(Millilitres(9000.0), Millilitres(19_000.0)),
            ("9".to_owned(), "19 l".to_owned())
        );
        assert_eq!(
            METRIC.share(Millilitres(3160.0), Millilitres(15_000.0)),
            ("3.2".to_owned(), "15 l".to_owned())
        );
        assert_eq!(METRIC.mass(Grams(1200.0)), "1.2 kg");
        assert_eq!(
            [250.0, 15_500.0, 157_500.0].map(|g| METRIC.mass(Grams(g))),
            ["250 g", "15.5 kg", "158 kg"]
        );
        assert_eq!(
            [
                METRIC.length(Centimetres(7.5)),
                METRIC.length(Centimetres(48.0)),
                METRIC.length(Centimetres(260.0))
            ],
            ["7.5 cm", "50 cm", "2.6 m"]
        );
    }

    #[test]
    fn speaks_customary_units() {
        let said = [29.573_529_562_5, 236.588_236_5, 473.176_473, 1_892.705_892]
            .map(|ml| US.volume(Millilitres(ml)));
        assert_eq!(said, ["1 fl oz", "1 cup", "2 cups", "2 qt"]);
        assert_eq!(
            [IMPERIAL.volume(Millilitres(568.261_25)), IMPERIAL.volume(Millilitres(9092.18))],
            ["1 pt", "2 gal"]
        );
        assert_eq!([US.mass(Grams(453.592_37)), US.mass(Grams(226.796_185))], ["1 lb", "8 oz"]);
        assert_eq!([US.temperature(Celsius(20.0)), METRIC.temperature(Celsius(17.25))], ["68 °F", "17.5 °C"]);
        assert_eq!([US.area(SquareMetres(9.290_304)), US.length(Centimetres(25.4))], ["100 sq ft", "10 in"]);
        assert_eq!([US.volume(Millilitres(10.0)), IMPERIAL.volume(Millilitres(12.0))], ["2 tsp", "2 tsp"]);
        assert_eq!(
            [US.mass(Grams(6.2)), US.mass(Grams(0.0)), METRIC.mass(Grams(0.3))],
            ["0.2 oz", "0 oz", "0.3 g"]
        );
        assert_eq!([US.warmer(Celsius(10.0)), IMPERIAL.warmer(Celsius(10.0))], ["18 °F", "10 °C"]);
        // US EPA 2016: 3.8 lb/gal are 0.4553 kg/l.
        assert_eq!([US.density(Density(0.4553)), METRIC.density(Density(0.5))], ["3.8 lb/gal", "0.5 kg/l"]);
        assert_eq!(
            [US.dose(MillilitresPerLitre(15.0)), IMPERIAL.dose(MillilitresPerLitre(15.0))],
            ["1.92 fl oz/gal", "2.4 fl oz/gal"]
        );
    }

    #[test]
    fn names_the_unit_of_a_span_once() {
        let said = [(0.0, 533.0), (112.0, 258.0), (900.0, 1_480.0)]
            .map(|(low, high)| METRIC.volume_span(Millilitres(low), Millilitres(high)));
        assert_eq!(said, ["0 to 530 ml", "110 to 260 ml", "0.9 to 1.5 l"]);
        assert_eq!(METRIC.mass_span(Grams(6_150.0), Grams(14_480.0)), "6.2 to 14 kg");
        assert_eq!(
            [METRIC.about_volume(Millilitres(24_480.0)), METRIC.about_volume(Millilitres(183.0))],
            ["24 l", "180 ml"]
        );
    }

    #[test]
    fn measures_bran_in_spoons() {
        assert_eq!(
            [METRIC.bran(Millilitres(45.0)), METRIC.bran(Millilitres(29.6)), METRIC.bran(Millilitres(22.0))],
            ["3 tbsp", "2 tbsp", "1.5 tbsp"]
        );
        let spans = [(30.0, 60.0), (150.0, 300.0)]
            .map(|(low, high)| METRIC.bran_span(Millilitres(low), Millilitres(high)));
        assert_eq!(spans, ["2 to 4 tbsp", "10 tbsp to 300 ml"]);
        assert_eq!(
            [METRIC.bran(Millilitres(33.75)), METRIC.bran_told(Millilitres(33.75))],
            ["2.5 tbsp", "2.25 tbsp"]
        );
        assert_eq!(
            [US.bran(Millilitres(29.57)), METRIC.bran(Millilitres(300.0)), METRIC.bran(Millilitres(1.0))],
            ["2 tbsp", "300 ml", "0.5 tbsp"]
        );
    }

    proptest::proptest! {
        #[test]
        fn every_number_can_be_said(value in -1e7..1e7_f64) {
            for measures in [METRIC, US, IMPERIAL] {
                for said in [
                    measures.volume(Millilitres(value)),
                    measures.mass(Grams(value)),
                    measures.length(Centimetres(value)),
                    measures.temperature(Celsius(value)),
                ] {
                    let figures: f64 = said.split(' ').next().unwrap().parse().unwrap();
                    proptest::prop_assert!(figures.is_finite());
                }
            }
        }
    }
}
