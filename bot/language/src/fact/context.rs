//! What is told around a verb, in its clause and in those beside it: `400 g left`, `started a lot of bran, 1.5 kg`.

use crate::amount::AmountSize;
use crate::clause::{Clause, Gist, Lot};
use crate::lexicon::{Act, Forms, Mark};
use crate::reading::Lid;

use super::Builder;

pub(super) fn weighed(gist: &Gist) -> bool {
    let grams = |lot: &Lot| lot.amount.is_some_and(|amount| matches!(amount.size, AmountSize::Grams(_)));
    gist.lots.iter().any(grams)
}

pub(super) fn left(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    (clause.from..clause.to)
        .any(|at| builder.scene.text.has(at, Mark::Left) && builder.scene.text.tokens[at].name.is_none())
}

/// `started a lot of bran, 1.5 kg`: how much is told in a clause of its own.
pub(super) fn measured_after(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let scene = builder.scene;
    scene.clauses.iter().zip(&scene.gists).any(|(other, gist)| {
        other.from > clause.from
            && other.sentence == clause.sentence
            && other.verb.is_none()
            && gist
                .lots
                .iter()
                .any(|lot| lot.amount.is_some() && lot.matter.is_none() && lot.foods.is_empty())
    })
}

/// Whether it was just told that a lid was loose.
pub(super) fn was_off(builder: &Builder<'_, '_>) -> bool {
    builder.current.is_some_and(|at| builder.events[at].slots.lid == Some(Lid::Loose))
}

/// Whether the next clause tells of a drain as the moment of this one.
pub(super) fn drains_then(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let scene = builder.scene;
    let next =
        scene.clauses.iter().find(|other| other.from >= clause.to && other.sentence == clause.sentence);
    next.is_some_and(|next| {
        let when = (clause.from..=next.from).any(|at| scene.text.has(at, Mark::When));
        when && next.verb.is_some_and(|verb| verb.act == Act::Drain && verb.forms.has(Forms::PAST))
    })
}

pub(super) fn after_have(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    clause.verb.is_some_and(|verb| (clause.from..verb.at).any(|at| text.has(at, Mark::Have)))
}

pub(super) fn scene_has(builder: &Builder<'_, '_>, clause: &Clause, marks: &[Mark]) -> bool {
    (clause.from..clause.to).any(|at| builder.scene.text.has_any(at, marks))
}
