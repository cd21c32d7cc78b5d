//! Where the parts of one drain went: `300 ml, half to the roses, half down the sink`.

use crate::clause::{BinRef, Clause, destination};
use crate::lexicon::{Cue, Mark};
use crate::number;
use crate::reading::{FactKind, Use};
use crate::scene::Scene;

use super::{Builder, Event};

/// A part of what was drained.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Portion {
    Share(f64),
    /// ml
    Millilitres(f64),
    /// A number in the unit of the whole.
    Count(f64),
    /// What is left of the whole.
    Rest,
}

/// Takes a clause that only tells where parts of the liquid just drained went.
pub(super) fn take(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let clause = &scene.clauses[index];
    let Some(current) = builder.current else { return false };
    let whole = |event: &Event| {
        event.kind == FactKind::Drained && event.lots.iter().filter(|lot| lot.amount.is_some()).count() == 1
    };
    let begun = !builder.events[current].portions.is_empty();
    if !whole(&builder.events[current]) || builder.events[current].sentence != clause.sentence && !begun {
        return false;
    }
    let portions = portions(scene, clause);
    if portions.is_empty() {
        return false;
    }
    scene.note("parts of a drain", clause.from, clause.to);
    let event = &mut builder.events[current];
    event.portions.extend(portions);
    event.clauses.1 = index;
    true
}

/// The parts and their destinations that a clause tells, where it opens with one.
fn portions(scene: &Scene<'_>, clause: &Clause) -> Vec<(Portion, Use)> {
    let starts: Vec<(usize, Portion)> =
        (clause.from..clause.to).filter_map(|at| Some((at, portion(scene, at)?))).collect();
    if starts.first().is_none_or(|(at, _)| *at > clause.from + 1) {
        return Vec::new();
    }
    let end = |i: usize| starts.get(i + 1).map_or(clause.to, |(at, _)| *at);
    starts
        .iter()
        .enumerate()
        .filter_map(|(i, (at, portion))| {
            let part = Clause { from: *at, to: end(i), ..clause.clone() };
            Some((*portion, destination(&scene.text, &part)?))
        })
        .collect()
}

/// `half`, `100 ml`, `100`, `the rest` at a token.
fn portion(scene: &Scene<'_>, at: usize) -> Option<Portion> {
    let text = &scene.text;
    if text.is(at, Cue::Rest) || text.is(at, Cue::Other) && text.is(at + 1, Cue::Half) {
        return Some(Portion::Rest);
    }
    // `the other half` is one part
    if text.is(at.wrapping_sub(1), Cue::Other) || text.digits(at.wrapping_sub(1)).is_some() {
        return None;
    }
    let number = number::read(text, at).filter(|_| !text.has(at, Mark::A))?;
    if number.share {
        return Some(Portion::Share(number.value));
    }
    let amount = scene.pieces.iter().find(|piece| piece.from == at).and_then(|piece| match piece.kind {
        crate::clause::PieceKind::Amount(amount) => scene.size(amount, true, None).0,
        _ => None,
    });
    amount.map(Portion::Millilitres).or(Some(Portion::Count(number.value)))
}

/// The parts in millilitres with where each went, where together they are the whole.
pub(super) fn shares(scene: &Scene<'_>, event: &Event, bin: Option<&BinRef>) -> Option<Vec<(f64, Use)>> {
    let amount = event.lots.iter().find_map(|lot| lot.amount)?;
    let whole = scene.size(amount, true, bin).0?;
    let size = |portion: Portion| match portion {
        Portion::Share(share) => Some(whole * share),
        Portion::Millilitres(ml) => Some(ml),
        Portion::Count(count) => scene.size(amount.of_count(count), true, bin).0,
        Portion::Rest => None,
    };
    let told: f64 = event.portions.iter().filter_map(|(portion, _)| size(*portion)).sum();
    let rests = event.portions.iter().filter(|(portion, _)| *portion == Portion::Rest).count();
    let rest = whole - told;
    let adds_up = if rests == 1 { rest > 0.0 } else { rests == 0 && rest.abs() <= whole * 0.01 };
    adds_up.then(|| {
        event.portions.iter().map(|(portion, use_)| (size(*portion).unwrap_or(rest), *use_)).collect()
    })
}
