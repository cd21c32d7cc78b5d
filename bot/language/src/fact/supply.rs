//! Starter bran that was made or came, told otherwise than by `made` and `bought`.

use crate::clause::{Clause, Gist};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::reading::FactKind;

use super::context::{left, measured_after};
use super::{Builder, names};

/// What a clause with a verb tells of bran that came to be there.
pub(super) fn by_verb(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist, act: Act) -> Option<FactKind> {
    let text = &builder.scene.text;
    let verb = clause.verb?;
    let amount = gist.lots.iter().any(|lot| lot.amount.is_some()) || measured_after(builder, clause);
    // `for now it got half a cup of bran`: on top of what is in it
    let it_got = act == Act::Get && verb.at > clause.from && text.has(verb.at - 1, Mark::It);
    if it_got
        || !names(builder.scene, clause, Matter::Bran)
        || !amount
        || !gist.bins.is_empty()
        || !builder.pending.bins.is_empty()
        || left(builder, clause)
    {
        return None;
    }
    let past = verb.forms.has(Forms::PAST.with(Forms::PARTICIPLE));
    let ferments = (verb.at + 1..clause.to).any(|at| text.is(at, Cue::Ferments) && text.is(at - 1, Cue::To));
    // `that gives us about 3 kg` tells what there is.
    let sums_up = (clause.from..verb.at).any(|at| text.has(at, Mark::It));
    let received =
        text.is(verb.at + 1, Cue::MineOrUs) || (clause.from..verb.at).any(|at| text.is_act(at, Act::Get));
    match act {
        // `put 2 kg of bran to ferment`
        Act::Add | Act::Set | Act::Take if past && ferments => Some(FactKind::StarterMade),
        // `Jo dropped off 2 kg of bran`
        Act::Add if past && text.is(verb.at, Cue::Delivers) => Some(FactKind::StarterBought),
        // `Anna gave us 500 g of bran`, `got given 500 g of bran`
        Act::Give if past && received && !sums_up => Some(FactKind::StarterBought),
        _ => None,
    }
}

/// `we don't have any bran`, `that was the last of the bran`, `bran: none`: there is none, though no word says `out` or `left`.
pub(super) fn is_none(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let stance = clause.stance;
    let Some(bran) = (clause.from..clause.to).find(|at| text.is_matter(*at, Matter::Bran)) else {
        return false;
    };
    if stance.conditional
        || stance.hearsay
        || clause.asks
        || !gist.bins.is_empty()
        || gist.lots.iter().any(|lot| lot.amount.is_some())
    {
        return false;
    }
    let lacks = |at: usize| {
        text.has(at, Mark::Not)
            && (at + 1..bran).all(|i| {
                text.has(i, Mark::Have)
                    || text.is_act(i, Act::Get)
                    || text.is(i, Cue::Any)
                    || text.is(i, Cue::There)
            })
    };
    let any = text.is(bran.wrapping_sub(1), Cue::Any) && (clause.from..bran).any(lacks);
    let last = (clause.from..bran).any(|at| {
        text.is(at, Cue::Last) && text.has(at.wrapping_sub(2), Mark::Be) && text.has(clause.from, Mark::It)
    });
    let label = clause.from == bran && clause.to == bran + 1 && text.is_word(clause.to, ":");
    let told = label
        && (text.has(clause.to + 1, Mark::No) || text.digits(clause.to + 1) == Some(0.0))
        && clause.to + 2 >= text.tokens.len();
    any || last || told
}

/// What the clause of a bare amount, or the one before it, tells of bran: `new batch of bran: 3 kg`, `bran delivery: 2 kg`.
pub(super) fn by_noun(builder: &Builder<'_, '_>, clause: &Clause) -> Option<FactKind> {
    let (scene, text) = (builder.scene, &builder.scene.text);
    let of_bran = |other: &&Clause| {
        other.sentence == clause.sentence
            && other.from <= clause.from
            && !other.asks
            && names(scene, other, Matter::Bran)
    };
    let bran = scene.clauses.iter().rfind(of_bran)?;
    let told = |from: usize, to: usize, cue: Cue| (from..to).any(|at| text.is(at, cue));
    // `bran done for green`: a layer of it
    let layer = (bran.from..bran.to).any(|at| text.name(at, crate::name::NameKind::Bin).is_some());
    if left(builder, clause) || left(builder, bran) || bran.stance.negated || layer {
        return None;
    }
    let batch = (bran.from..bran.to).any(|at| {
        text.is_matter(at, Matter::Batch)
            && (text.is_matter(at + 1, Matter::Bran) || text.is_matter(at + 2, Matter::Bran))
    });
    let ready = (bran.from..bran.to).any(|at| text.has(at, Mark::Ready));
    if told(bran.from, bran.to, Cue::Homemade) || batch || ready {
        return Some(FactKind::StarterMade);
    }
    // `new bag of bran, 1 kg`; one that was opened was there before
    let new = bran.verb.is_none()
        && (bran.from..bran.to).any(|at| {
            text.has(at, Mark::New)
                && text.senses(at + 1).iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
        });
    (new || told(bran.from, clause.to, Cue::Delivery)).then_some(FactKind::StarterBought)
}

/// Whether another clause of the sentence names bran.
pub(super) fn names_bran_near(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let names =
        |other: &Clause| other.sentence == clause.sentence && names(builder.scene, other, Matter::Bran);
    builder.scene.clauses.iter().any(names)
}
