//! Starter bran that was made or came, told otherwise than by `made` and `bought`.

use crate::clause::{Clause, Gist};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter};
use crate::reading::FactKind;

use super::by_verb::{left, measured_after};
use super::{Builder, names};

/// What a clause with a verb tells of bran that came to be there.
pub(super) fn by_verb(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist, act: Act) -> Option<FactKind> {
    let text = &builder.scene.text;
    let verb = clause.verb?;
    let amount = gist.lots.iter().any(|lot| lot.amount.is_some()) || measured_after(builder, clause);
    if !names(builder.scene, clause, Matter::Bran)
        || !amount
        || !gist.bins.is_empty()
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
        // `Anna gave us 500 g of bran`, `got given 500 g of bran`
        Act::Give if past && received && !sums_up => Some(FactKind::StarterBought),
        _ => None,
    }
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
    if left(builder, clause) || left(builder, bran) || bran.stance.negated {
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
    told(bran.from, clause.to, Cue::Delivery).then_some(FactKind::StarterBought)
}
