//! The things of such a list: bins, plots, and the taps of bins.

use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;

use super::part::{Noun, Part};

/// `bin`, `buckets`, `raised bed`; not where it is the room's own name for something.
pub(super) fn noun(scene: &Scene<'_>, at: usize) -> Option<Noun> {
    let text = &scene.text;
    if text.tokens.get(at)?.name.is_some_and(|name| name.kind != NameKind::Measure) {
        return None;
    }
    let plural = text.word(at).ends_with('s');
    let kind = if text.is_matter(at, Matter::Bin) {
        FactKind::BinSet
    } else if text.is_matter(at, Matter::Plot) {
        FactKind::PlotSet
    } else {
        stands_for(scene, at)?
    };
    Some(Noun { kind, plural, at })
}

/// `new one: deck, 25 l`: a bin or a plot, whichever is spoken of.
fn stands_for(scene: &Scene<'_>, at: usize) -> Option<FactKind> {
    let text = &scene.text;
    let one =
        text.is(at, Cue::One) && text.has_any(at.wrapping_sub(1), &[Mark::New, Mark::Size, Mark::OrdinalBin]);
    let kind = |i: usize| {
        if text.is_matter(i, Matter::Bin) || text.name(i, NameKind::Bin).is_some() {
            Some(FactKind::BinSet)
        } else {
            text.is_matter(i, Matter::Plot).then_some(FactKind::PlotSet)
        }
    };
    // `Pearl's a new one, 18 litres`
    let of_name = at > 1 && text.has(at - 1, Mark::New) && text.has(at - 2, Mark::Be);
    if one { (0..at).rev().find_map(kind).or(of_name.then_some(FactKind::BinSet)) } else { None }
}

/// `with a tap`, `no tap`, `has a spigot`, `tapless`
pub(super) fn tap(scene: &Scene<'_>, at: usize, to: usize) -> Option<(Part, usize)> {
    let text = &scene.text;
    let led = |at: usize| {
        text.has_any(
            at,
            &[
                Mark::With,
                Mark::Have,
                Mark::No,
                Mark::Not,
                Mark::OutOf,
                Mark::A,
                Mark::And,
                Mark::It,
                Mark::New,
            ],
        ) || text.is(at, Cue::AroundTap)
            || text.is_act(at, Act::Get)
    };
    if text.is(at, Cue::Tapless) {
        return Some((Part::Tap(false), at + 1));
    }
    let tap = (at..to.min(at + 5)).find(|i| !led(*i)).filter(|i| text.is_matter(*i, Matter::Tap))?;
    // `tap: none`
    if text.is_word(tap + 1, ":") && text.has_any(tap + 2, &[Mark::No, Mark::Yes]) && tap + 2 < to {
        return Some((Part::Tap(text.has(tap + 2, Mark::Yes)), tap + 3));
    }
    let less = text.is(tap + 1, Cue::Less);
    let none = less
        || (at..tap)
            .any(|i| text.has_any(i, &[Mark::No, Mark::Not, Mark::OutOf]) || text.is(i, Cue::Without));
    Some((Part::Tap(!none), tap + 1 + usize::from(less || text.is(tap + 1, Cue::AfterTap))))
}
