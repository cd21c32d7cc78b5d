//! Lots that go together: what only goes on with the last one is part of it.

use crate::amount::{Amount, AmountSize};
use crate::clause::Lot;
use crate::lexicon::Matter;

use crate::fact::Event;

/// Adds a lot to an event: foods without amount go to the lot before.
pub(in crate::fact) fn add_lot(event: &mut Event, lot: Lot) {
    if !event.counts() {
        event.bins.extend(lot.bins);
        return;
    }
    join_lot(&mut event.lots, lot);
}

/// Adds a lot to others: what only goes on with the last one becomes part of it.
pub(in crate::fact) fn join_lot(lots: &mut Vec<Lot>, lot: Lot) {
    if let Some(last) = lots.last_mut() {
        // `2 litres and a bit of bran`: the litres are not of bran.
        let beside = lot.matter == Some(Matter::Bran)
            && lot.amount.is_none()
            && last.matter.is_none()
            && last.amount.is_some_and(|amount| !amount.small);
        // `the peel in green, 2 l, and the coffee in blue, 1 l`
        let elsewhere = last.amount.is_some()
            && !lot.bins.is_empty()
            && !last.bins.is_empty()
            && lot.bins != last.bins
            && !lot.foods.is_empty();
        let same = (lot.amount.is_none() || last.amount.is_none()) && !beside && !elsewhere;
        let both = last.amount.is_some()
            && last.also.is_none()
            && lot.amount.is_some()
            && last.foods.is_empty()
            && last.matter.is_none()
            && last.bins.is_empty()
            && dimension(last) != dimension(&lot);
        if both {
            last.also = lot.amount;
        }
        if same {
            last.amount = last.amount.or(lot.amount);
            last.also = last.also.or(lot.also);
        }
        if same || both {
            last.matter = last.matter.or(lot.matter);
            last.foods.extend(lot.foods);
            last.bins.extend(lot.bins);
            last.each |= lot.each;
            return;
        }
    }
    lots.push(lot);
}

fn dimension(lot: &Lot) -> bool {
    lot.amount.is_some_and(is_mass)
}

pub(super) fn is_mass(amount: Amount) -> bool {
    matches!(amount.size, AmountSize::Grams(_) | AmountSize::Ounces(..))
}

/// `bran on green and blue, a handful each`: so much in each of an event's bins.
pub(super) fn measure_each(event: &mut Event, each: &Lot) {
    let mut measured = each.clone();
    for lot in event.lots.drain(..) {
        event.bins.extend(lot.bins);
        measured.matter = measured.matter.or(lot.matter);
        measured.foods.extend(lot.foods);
    }
    event.vague = false;
    event.lots.push(measured);
}
