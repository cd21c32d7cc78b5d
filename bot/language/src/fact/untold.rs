//! What is told without how much it was: scraps and bran to be asked about, bran that is used up: `a bit of cabbage into
//! oak`, `out of bran`.

use crate::clause::Joint;
use crate::lexicon::{Cue, Mark, Matter, Sense};
use crate::reading::FactKind;

use super::Builder;
use super::context::{left, scene_has};
use super::stock::names_there;

/// `added 5 cups and bran`: bran was put on top, but how much?
pub(super) fn bran_untold(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    let [lot] = &gist.lots[..] else { return false };
    let bran = lot.matter == Some(Matter::Bran) && lot.amount.is_none() && lot.foods.is_empty();
    let on_scraps = builder.just(FactKind::Scraps) && clause.joint == Joint::And && clause.verb.is_none();
    let more =
        scene.gists.get(index + 1).is_some_and(|next| next.lots.iter().any(|lot| lot.amount.is_some()));
    if !(bran && on_scraps) || more || left(builder, clause) || !(scene.message.direct || gist.vague) {
        return false;
    }
    let at = builder.begin(FactKind::Bran, index);
    builder.events[at].vague = true;
    true
}

/// `a bit of cabbage into oak`: meant as a report, but how much?
pub(super) fn vague_scraps(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let (clause, gist) = (&builder.scene.clauses[index], &builder.scene.gists[index]);
    let text = &builder.scene.text;
    // `a few handfuls into blue`
    let vessels =
        (clause.from..clause.to).any(|at| text.senses(at).iter().any(|s| matches!(s, Sense::Kitchen(..))));
    let stuff =
        vessels || gist.lots.iter().any(|lot| !lot.foods.is_empty() || lot.matter == Some(Matter::Scraps));
    let bin = !gist.bins.is_empty() || gist.lots.iter().any(|lot| !lot.bins.is_empty());
    let inside = bin && (clause.from..clause.to).any(|at| text.has(at, Mark::In));
    let alone = inside && clause.verb.is_none() && builder.current.is_none() && builder.scene.message.direct;
    let bran = gist.lots.iter().any(|lot| lot.matter == Some(Matter::Bran));
    if bran && alone {
        builder.begin(FactKind::Bran, index);
        return true;
    }
    // `scraps in blue`
    if alone && gist.lots.iter().any(|lot| lot.matter == Some(Matter::Scraps)) {
        builder.begin(FactKind::Scraps, index);
        return true;
    }
    let counted = builder.scene.message.direct && counts_without_unit(builder, index);
    if clause.verb.is_some() || !(gist.vague && stuff && bin || counted) {
        return false;
    }
    builder.begin(FactKind::Scraps, index);
    true
}

/// `500 into green`, `we have 300 of bran`: a number, and what or where it is.
fn counts_without_unit(builder: &Builder<'_, '_>, index: usize) -> bool {
    let (clause, gist) = (&builder.scene.clauses[index], &builder.scene.gists[index]);
    let text = &builder.scene.text;
    let Some((_, at)) = gist.count else { return false };
    let stuff = |at: usize| {
        text.senses(at)
            .iter()
            .any(|s| matches!(s, Sense::Food(_) | Sense::Matter(Matter::Bran | Matter::Scraps)))
    };
    let bin = |at: usize| text.name(at, crate::name::NameKind::Bin).is_some();
    at == clause.from
        && text.is(at + 1, Cue::Into)
        && (bin(at + 2) || text.has(at + 2, Mark::The) && bin(at + 3))
        || text.is(at + 1, Cue::Of) && stuff(at + 2)
}

/// `out of bran`, `no bran left`
pub(super) fn stock_without_amount(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let bran = (clause.from..clause.to).any(|at| {
        // `out of bran flakes`
        let food = text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)));
        text.is_matter(at, Matter::Bran) && !text.is(at + 1, Cue::BranAsFood) && !food
    });
    if !bran {
        return false;
    }
    let nearly = (clause.from..clause.to).any(|at| text.is(at, Cue::NearlyOut) || text.has(at, Mark::Not));
    let none = !nearly
        && (clause.from..clause.to).any(|at| {
            let has = left(builder, clause)
                || scene_has(builder, clause, &[Mark::Have])
                || names_there(builder, clause);
            let whole = at == 0 && (clause.to..text.tokens.len()).all(|i| text.is_stop(i));
            let has = has || whole && text.is_matter(at + 1, Matter::Bran);
            text.has(at, Mark::OutOf) || (text.has(at, Mark::No) && has) || text.is(at, Cue::UsedUp)
        });
    if !none {
        return false;
    }
    let at = builder.begin(FactKind::StarterStock, index);
    builder.events[at].slots.g = Some(0.0);
    builder.events[at].count = None;
    true
}
