//! Whether an amount of bran is what there is: `bran is 300 g`, `1 kg of bran left`, `400 g in the cupboard`.

use crate::clause::{Clause, Gist, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};

use super::context::{left, scene_has};
use super::{Builder, names};

/// `in the cupboard`, `in a tin`: where bran is kept.
fn is_kept(text: &crate::text::Text<'_>, at: usize) -> bool {
    let place =
        text.senses(at).iter().any(|s| matches!(s, Sense::Kitchen(..) | Sense::Mark(Mark::KitchenPlace)))
            || text.is(at, Cue::Store);
    let article = text.has_any(at.wrapping_sub(1), &[Mark::The, Mark::A, Mark::I]);
    place && (text.is(at.wrapping_sub(2), Cue::In) || text.is(at.wrapping_sub(2), Cue::On)) && article
}

/// Whether an earlier clause of the sentence says what bran there is: `bran's nearly gone, 50 g`, `weighed the bran, 640 g`.
pub(super) fn says_bran(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let scene = builder.scene;
    scene.clauses.iter().any(|other| {
        other.sentence == clause.sentence
            && other.from < clause.from
            && names(scene, other, Matter::Bran)
            && (left(builder, clause)
                || left(builder, other)
                || runs_low(builder, other)
                || names_there(builder, other)
                || weighs(builder, other))
    })
}

/// `bran's low`, `nearly gone`
fn runs_low(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    scene_has(builder, clause, &[Mark::DownTo])
        || (clause.from..clause.to).any(|at| text.is(at, Cue::RunningLow))
}

/// `weighed the bran`, `the bran bucket weighs`
fn weighs(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    (clause.from..clause.to).any(|at| text.is_act(at, Act::Tape) && text.is(at, Cue::Weighs))
}

/// Whether an amount of bran is what there is, and not what was used.
pub(super) fn is_stock(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let (scene, text) = (builder.scene, &builder.scene.text);
    let heading = scene.clauses.iter().any(|other| {
        other.sentence == clause.sentence
            && other.from < clause.from
            && text.is_word(other.to, ":")
            && (other.from..other.to).any(|at| {
                text.has(at, Mark::Left) && text.tokens[at].name.is_none() || text.is(at, Cue::InStock)
            })
    });
    let last =
        |at: usize| text.is(at, Cue::OnGround) && text.has(at + 1, Mark::I) && text.is(at + 2, Cue::Last);
    let stocked = (clause.from..clause.to).any(|at| {
        text.is(at, Cue::StockLevel) && text.unit(at + 1).is_none() || text.is(at, Cue::InStock) || last(at)
    }) || weighs(builder, clause) && binless(gist);
    let bran = (clause.from..clause.to).find(|at| text.is_matter(*at, Matter::Bran));
    // `bran is 300 g`
    let is_so = binless(gist)
        && bran.is_some_and(|at| {
            scene.pieces.iter().any(|piece| {
                piece.from > at && piece.to <= clause.to && matches!(piece.kind, PieceKind::Amount(_))
            }) && (at + 1..=at + 2).any(|i| text.has(i, Mark::Be) || text.is(i, Cue::At))
        });
    let kept = binless(gist) && clause.verb.is_none() && (clause.from..clause.to).any(|at| is_kept(text, at));
    // `total 4.5 kg bran now`
    let total = clause.verb.is_none()
        && binless(gist)
        && (clause.from..clause.to).any(|at| text.is(at, Cue::InTotal));
    // `3 tbsp of bran just went on`
    let put_in = clause.verb.is_some_and(|verb| matches!(verb.act, Act::Go | Act::Add | Act::Sprinkle));
    heading
        || total
        || stocked
        || is_so
        || kept
        || left(builder, clause)
        || scene_has(builder, clause, &[Mark::Have, Mark::OutOf])
        || binless(gist) && scene_has(builder, clause, &[Mark::DownTo]) && !put_in
        || names_there(builder, clause)
}

fn binless(gist: &Gist) -> bool {
    gist.bins.is_empty() && gist.lots.iter().all(|lot| lot.bins.is_empty())
}

/// `there's 400 g of bran`, `bran: 400 g left`
pub(super) fn names_there(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    (clause.from..clause.to).any(|at| text.is(at, Cue::There)) && scene_has(builder, clause, &[Mark::Be])
}
