//! Foods that a word names: which of them were put in, and which it only looks so.

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::reading::Food;
use crate::text::Text;

use super::Clause;

/// Whether a word of food tells what was put in.
pub(super) fn is_put_in(text: &Text<'_>, at: usize, clause: &Clause, food: Food) -> bool {
    let before = at.wrapping_sub(1);
    let class = match food {
        Food::Garden | Food::Other => is_food(text, before),
        // `mutton bones`
        Food::Meat | Food::Fish => text.senses(at + 1).contains(&Sense::Food(Food::Bone)),
        _ => false,
    };
    // `lettuce cores`
    let part = text.is(at, Cue::PartOfFood) && is_food(text, before);
    // `mince stew` is cooked
    let dish = food != Food::Cooked && text.is(at + 1, Cue::Dish);
    // `that leaves 600 g`
    let leaves = text.is(at, Cue::Leaves) && text.has_any(before, &[Mark::It, Mark::Which]);
    // `2 l of carrots, no meat`
    let without = text.is(before, Cue::No) || text.is(before, Cue::Without);
    // `275 ml for the potted lemon`: what it was given to
    let given = (at.saturating_sub(3)..at).any(|i| text.is(i, Cue::For) && text.has(i + 1, Mark::The))
        && clause.verb.is_none_or(|verb| verb.act == Act::Drain);
    // `in the old flour tin`
    let stored = text.is(at + 1, Cue::Store);
    // `the ducks are livid`
    let alive = text.is(at, Cue::Creatures) && text.has(before, Mark::The) && text.has(at + 1, Mark::Be);
    let left = text.has(at, Mark::Left) && of_bran(text);
    let earth = text.has_any(before, &[Mark::In]) && !text.is(before, Cue::Into);
    !(class || part || dish || leaves || without || given || stored || alive || left || earth)
        && !is_told_beside(text, at)
        && !beside_plot(text, at)
}

/// `bran stock`, `stock check: 1 kg of bran`
fn of_bran(text: &Text<'_>) -> bool {
    (0..text.tokens.len()).any(|at| text.is_matter(at, Matter::Bran))
}

pub(super) fn is_food(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)))
}

/// Acts done to the soil, where a part of a plot's name is enough.
pub(super) fn earthy(clause: &Clause) -> bool {
    clause.verb.is_some_and(|verb| matches!(verb.act, Act::Bury | Act::Plant)) || clause.asks
}

/// Whether the class of food lies in the word beside it: `leftover chicken` is meat, `leftover rice` cooked.
pub(crate) fn is_told_beside(text: &Text<'_>, at: usize) -> bool {
    let plain =
        |at: usize| text.senses(at).iter().any(|s| matches!(s, Sense::Food(Food::Grain | Food::Vegetable)));
    let cooked = |at: usize| text.is(at, Cue::Cooked);
    // `leftover rice and beans`
    let first = if at > 2 && text.has(at - 1, Mark::And) && plain(at - 2) { at - 2 } else { at };
    // `rice and beans leftovers`
    let last = if text.has(at + 1, Mark::And) && plain(at + 2) { at + 2 } else { at };
    cooked(at) && is_food(text, at + 1) && !plain(at + 1)
        || cooked(first.wrapping_sub(1)) && plain(at)
        || cooked(last + 1) && plain(at)
}

/// `tomato bed`, `lemon tree`: a place, not food.
fn beside_plot(text: &Text<'_>, at: usize) -> bool {
    text.is_matter(at + 1, Matter::Plot) || text.is(at + 1, Cue::Growing)
}
