//! What a number of one unit comes to, with the smaller units that follow: `3 lb 4 oz`, `1 kilo 200`.

use crate::lexicon::{Cue, Mark, Matter};
use crate::message::Units;
use crate::number;
use crate::text::Text;

use super::{
    Amount, AmountSize, Counted, Measured, Measures, Size, Unit, counted, dimension, names_stuff, unit,
};

/// The measured thing of one unit, with smaller units that follow: `3 lb 4 oz`.
pub(super) fn sized(
    text: &Text<'_>,
    size: Size,
    value: f64,
    unit: Unit,
    next: usize,
    measures: Measures<'_>,
) -> (Measured, usize) {
    let small = matches!(unit, Unit::Tablespoon | Unit::Teaspoon | Unit::Dessertspoon);
    let unit_size = one(unit, measures.units);
    let amount = |size| {
        Measured::Amount(Amount {
            size,
            one: unit_size.unwrap_or(size),
            definite: false,
            small,
            vessel: false,
        })
    };
    let size = match size {
        Size::Millilitres(ml) => AmountSize::Millilitres(value * ml),
        Size::Grams(g) => AmountSize::Grams(value * g),
        Size::Either(g, ml) => AmountSize::Ounces(value * g, value * ml),
        Size::Centimetres(cm) => return dimension::compound(text, value * cm, next, measures.units),
        Size::SquareMetres(area) => return (Measured::Area(value * area), next),
        Size::Degrees | Size::Celsius => return (Measured::Temperature(value), next),
        Size::Fahrenheit => return (Measured::Temperature(unit::celsius(value)), next),
        Size::Share(share) => return (Measured::Share(value * share), next),
    };
    // `a cup plus three tablespoons`
    let added = text.is(next, Cue::Plus) || text.is_sign(next, '+');
    let joined = added || text.is(next, Cue::And);
    // `1 kilo 200`
    let thousandths = text
        .digits(next)
        .filter(|_| text.word(next).len() == 3 && counted(text, next + 1, measures).is_none());
    if let (Unit::Kilogram | Unit::Litre, Some(rest), AmountSize::Grams(one) | AmountSize::Millilitres(one)) =
        (unit, thousandths, size)
    {
        let whole = if unit == Unit::Litre {
            AmountSize::Millilitres(one + rest)
        } else {
            AmountSize::Grams(one + rest)
        };
        return (amount(whole), next + 1);
    }
    let rest = number::read(text, next + usize::from(joined)).and_then(|number| {
        let (Counted::Unit(smaller), after) = counted(text, number.next, measures)? else { return None };
        let Measured::Amount(rest) = sized_alone(smaller.size(measures.units), number.value)? else {
            return None;
        };
        let pair = matches!(
            (unit, smaller),
            (Unit::Pound, Unit::Ounce)
                | (Unit::Kilogram, Unit::Gram)
                | (Unit::Litre, Unit::Millilitre)
                | (Unit::Stone, Unit::Pound)
        );
        let lesser = unit_size.is_some_and(|one_bigger| one_bigger.is_more_than(rest.size))
            && !(joined && is_dose(text, rest.size, after));
        (lesser && (pair || added || !joined) && !names_stuff_between(text, next, number.next))
            .then_some((size.plus(rest.size)?, after))
    });
    match rest {
        Some((whole, after)) => (amount(whole), after),
        None => (amount(size), next),
    }
}

/// `3 litres and 60 ml bran`, and behind that `2 litres and 30 ml`: a dose of its own, and no fraction of the litres.
fn is_dose(text: &Text<'_>, size: AmountSize, after: usize) -> bool {
    let of = after + usize::from(text.has(after, Mark::Of));
    let (AmountSize::Millilitres(amount) | AmountSize::Grams(amount)) = size else { return false };
    let told = || (0..after).any(|at| text.is_matter(at, Matter::Bran));
    amount <= MOST_OF_A_DOSE && (text.is_matter(of, Matter::Bran) || told())
}

/// What a layer takes of bran at most, in ml or g.
const MOST_OF_A_DOSE: f64 = 100.0;

fn names_stuff_between(text: &Text<'_>, from: usize, to: usize) -> bool {
    (from..to).any(|at| names_stuff(text, at))
}

fn one(unit: Unit, units: Units) -> Option<AmountSize> {
    match sized_alone(unit.size(units), 1.0)? {
        Measured::Amount(amount) => Some(amount.size),
        _ => None,
    }
}

fn sized_alone(size: Size, value: f64) -> Option<Measured> {
    let size = match size {
        Size::Millilitres(ml) => AmountSize::Millilitres(value * ml),
        Size::Grams(g) => AmountSize::Grams(value * g),
        Size::Either(g, ml) => AmountSize::Ounces(value * g, value * ml),
        _ => return None,
    };
    Some(Measured::Amount(Amount { size, one: size, definite: false, small: false, vessel: false }))
}
