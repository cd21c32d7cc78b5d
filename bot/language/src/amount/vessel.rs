//! The words around a vessel that something is measured by: `ice cream tub`, `two bags of 1 kg`, `a bowl full of`.

use crate::lexicon::{Cue, Mark, Sense};
use crate::name::NameKind;
use crate::text::Text;

use super::{AmountSize, Measured, Measures, read};

pub(super) fn past_sizes(text: &Text<'_>, mut at: usize) -> usize {
    while (text.has(at, Mark::Size) || text.is(at, Cue::Fresh)) && text.unit(at).is_none() {
        at += 1;
    }
    at
}

/// `ice cream tub`, `salad bowl`: what a vessel is made for is not what it holds.
pub(super) fn past_contents(text: &Text<'_>, at: usize) -> usize {
    let food = text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)));
    if food && text.senses(at + 1).iter().any(|s| matches!(s, Sense::Kitchen(..))) { at + 1 } else { at }
}

pub(super) fn vessel_follows(text: &Text<'_>, at: usize) -> bool {
    text.senses(at)
        .iter()
        .any(|s| matches!(s, Sense::Kitchen(..) | Sense::Level(_)) || *s == Sense::Mark(Mark::Size))
        || text.name(at, NameKind::Measure).is_some()
}

/// `two bags of 1 kg`: the vessel's size is told.
pub(super) fn vessel_of(
    text: &Text<'_>,
    one: AmountSize,
    at: usize,
    measures: Measures<'_>,
) -> (AmountSize, usize) {
    let told = text.has(at, Mark::Of).then(|| read(text, at + 1, measures)).flatten();
    match told {
        Some((Measured::Amount(amount), next)) if !amount.vessel => (amount.size, next),
        _ => (one, at),
    }
}

pub(super) fn full_after(text: &Text<'_>, at: usize) -> usize {
    if text.is(at, Cue::Full) && (text.has(at + 1, Mark::Of) || text.has(at + 1, Mark::In)) {
        at + 1
    } else {
        at
    }
}
