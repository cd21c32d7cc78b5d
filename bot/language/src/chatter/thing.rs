//! What is spoken of among people: a bin of the room's, or another thing.

use crate::fact::Event;
use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::reading::FactKind;
use crate::scene::Scene;

/// `we buried them`, of nothing that the clause names.
pub(super) fn buried_them(scene: &Scene<'_>, clause: &crate::clause::Clause) -> bool {
    let named = (clause.from..clause.to).any(|at| scene.text.tokens[at].name.is_some());
    clause.verb.is_some_and(|verb| scene.text.is(verb.at + 1, Cue::Them)) && !named
}

/// Whether the clauses of an event say `bin` or the like.
pub(super) fn has_bin_noun(scene: &Scene<'_>, event: &Event) -> bool {
    let clauses = event.clauses.0..=event.clauses.1;
    // `opened the attic one, smells fine`: the bin may stand earlier in the sentence.
    let nearby = |clause: &&crate::clause::Clause| {
        clause.sentence == event.sentence && clause.from <= scene.clauses[event.clauses.1].from
    };
    (event.kind == FactKind::Checked
        && scene
            .clauses
            .iter()
            .filter(nearby)
            .any(|clause| (clause.from..clause.to).any(|at| is_the_one(scene, at))))
        || clauses
            .clone()
            .filter_map(|i| scene.clauses.get(i))
            .any(|clause| (clause.from..clause.to).any(|at| is_bin(scene, at)))
}

/// `6 l in gate and 7 tbsp bran`: whether the sentence tells of a measured lot in one of the bins.
pub(super) fn fills_a_bin(scene: &Scene<'_>, sentence: usize) -> bool {
    scene.clauses.iter().zip(&scene.gists).any(|(clause, gist)| {
        clause.sentence == sentence
            && !clause.asks
            && gist
                .lots
                .iter()
                .any(|lot| lot.amount.is_some() && !(lot.bins.is_empty() && gist.bins.is_empty()))
    })
}

/// Whether the sentence tells of adding.
pub(super) fn adds(scene: &Scene<'_>, sentence: usize) -> bool {
    scene
        .clauses
        .iter()
        .any(|clause| clause.sentence == sentence && clause.verb.is_some_and(|verb| verb.act == Act::Add))
}

/// `organ fund stands at two thirds`: the name only tells which thing of another sort is meant.
pub(super) fn names_another_thing(scene: &Scene<'_>, clause: &crate::clause::Clause) -> bool {
    let text = &scene.text;
    (clause.from..clause.to).any(|at| {
        let thing = |at: usize| {
            at < clause.to
                && text.tokens[at].is_word()
                && text.senses(at).is_empty()
                && text.tokens[at].name.is_none()
                && !text.word(at).ends_with("ly")
                && crate::lexicon::english().is_ordinary(text.word(at))
        };
        // `Lily's mum`
        let noun = at + 1 + usize::from(text.is(at + 1, Cue::TailS));
        text.tokens[at].name.is_some()
            && (thing(noun) || noun > at + 1 && text.has_any(noun, &[Mark::Other, Mark::Someone]))
            && (noun + 1..clause.to.min(noun + 3))
                .any(|i| text.has(i, Mark::Be) || text.verb(i).is_some() || text.is(i, Cue::Stands))
            && !text.is(noun, Cue::NoAttribute)
    })
}

/// `in the lobby`: where it lies for people to take.
pub(super) fn lies_there(scene: &Scene<'_>, clause: &crate::clause::Clause) -> bool {
    let text = &scene.text;
    let sentence = scene.clauses.iter().filter(|other| other.sentence == clause.sentence);
    let mut at = sentence.flat_map(|other| other.from..other.to);
    at.any(|at| text.has(at, Mark::KitchenPlace) && text.has_any(at.wrapping_sub(1), &[Mark::The]))
}

/// `added 5 litres` and not a word more: what else would be added here?
pub(super) fn added_bare(scene: &Scene<'_>, event: &Event) -> bool {
    let clause = &scene.clauses[event.clauses.0];
    let text = &scene.text;
    let added = clause.verb.is_some_and(|verb| verb.act == Act::Add && text.is(verb.at, Cue::Adds));
    let strange = (clause.from..clause.to).any(|at| is_strange(scene, at));
    added
        && !strange
        && event
            .lots
            .iter()
            .all(|lot| lot.foods.is_empty() && lot.matter.is_none_or(|matter| matter != Matter::Liquid))
}

/// `I put in 3 litres of banana skins`: in what, if not in the bins that the room is about?
pub(super) fn put_in_by_me(scene: &Scene<'_>, event: &Event) -> bool {
    let clause = &scene.clauses[event.clauses.0];
    let text = &scene.text;
    let Some(verb) = clause.verb.filter(|verb| verb.act == Act::Add) else { return false };
    let strange = (clause.from..clause.to).any(|at| is_strange(scene, at));
    let measured = event.lots.iter().any(|lot| lot.amount.is_some() && !lot.foods.is_empty());
    text.is(verb.at + 1, Cue::In) && text.has(verb.at.wrapping_sub(1), Mark::I) && measured && !strange
}

/// `drained 300 ml this morning`: a measure of liquid and nothing else that it could be.
pub(super) fn drained_bare(scene: &Scene<'_>, event: &Event) -> bool {
    let clause = &scene.clauses[event.clauses.0];
    let drains = clause.verb.is_some_and(|verb| verb.act == Act::Drain);
    let measured = event.lots.iter().any(|lot| lot.amount.is_some());
    let it = clause.verb.is_some_and(|verb| scene.text.is(verb.at + 1, Cue::It));
    // `the tank was bulging, so I drained 2 gallons from it`: from what is no bin
    let from_it = (clause.from..clause.to)
        .any(|at| scene.text.has(at, Mark::From) && scene.text.has(at + 1, Mark::It) && clause.from > 0);
    drains
        && !from_it
        && (measured
            || it && scene.clauses.iter().all(|other| other.verb.is_none() || other.verb == clause.verb))
        && event.lots.iter().all(|lot| lot.foods.is_empty())
        && !(clause.from..clause.to).any(|at| is_strange(scene, at))
}

/// `drained the radiator, half a bucket of brown water`: what was drained is a part of the house.
pub(super) fn drains_another_thing(scene: &Scene<'_>, event: &Event) -> bool {
    let text = &scene.text;
    let thing = |at: usize| {
        is_strange(scene, at) || text.has(at, Mark::KitchenPlace) && text.tokens[at].name.is_none()
    };
    let drains = |clause: &crate::clause::Clause| {
        clause.verb.is_some_and(|verb| {
            verb.act == Act::Drain
                && verb.at + 2 < clause.to
                && text.has(verb.at + 1, Mark::The)
                && thing(verb.at + 2)
        })
    };
    scene.clauses.iter().any(|clause| clause.sentence == event.sentence && drains(clause))
}

/// A word that has nothing to do with the bins.
pub(crate) fn is_strange(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    text.tokens.get(at).is_some_and(|token| token.is_word() && token.name.is_none())
        && (text.senses(at).is_empty() || text.is_matter(at, Matter::Water))
}

/// More than the bin can hold: not this bin.
pub(super) fn overflows(scene: &Scene<'_>, event: &Event) -> bool {
    event.lots.iter().any(|lot| {
        let bin = lot.bins.first().or(event.bins.first());
        let bins = &scene.message.bins;
        let capacity = match bin {
            Some(crate::clause::BinRef::Known(index)) => bins.get(*index).and_then(|bin| bin.capacity_ml),
            Some(crate::clause::BinRef::Unknown(_) | crate::clause::BinRef::Undecided) => None,
            // `drained the rain barrels, 50 gallons`
            None => bins.iter().filter_map(|bin| bin.capacity_ml).reduce(f64::max),
        };
        let ml = lot.amount.and_then(|amount| scene.size(amount, true, bin).0);
        capacity.zip(ml).is_some_and(|(capacity, ml)| ml > 2.0 * capacity)
    })
}

/// `the attic one`
fn is_the_one(scene: &Scene<'_>, at: usize) -> bool {
    at > 0 && scene.text.is(at, Cue::One) && scene.text.tokens[at - 1].name.is_some()
}

/// The words for a bin that hardly mean anything else. The bin store is none, nor is what is to be let alone (`nothing to do
/// with our bins`, `leave the bins alone`), nor the kitchen bin, where no bin is called so.
fn is_bin(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    let place = |at: usize| text.has(at, Mark::KitchenPlace) && text.tokens[at].name.is_none();
    let elsewhere = text.has(at, Mark::KitchenPlace) || at > 0 && place(at - 1);
    let let_alone = (at.saturating_sub(5)..at).any(|i| text.is(i, Cue::Nothing) || text.is(i, Cue::Lets));
    let proper = text.is(at, Cue::BinProper) && !elsewhere;
    is_the_one(scene, at) || proper && !is_measure(scene, at) && !let_alone
}

/// `half a bucket of black water`: how much, and no bin.
fn is_measure(scene: &Scene<'_>, at: usize) -> bool {
    scene.pieces.iter().any(|piece| {
        piece.from < at && at < piece.to && matches!(piece.kind, crate::clause::PieceKind::Amount(_))
    })
}
