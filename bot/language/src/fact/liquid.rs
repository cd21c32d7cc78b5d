//! Liquid let out of a bin, in whatever words: `got 300 ml out of tui`, `blue gave me a cup`, `nothing came out`.

use crate::amount::AmountSize;
use crate::clause::{Clause, Gist, Lot};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter};
use crate::name::NameKind;
use crate::reading::{FactKind, Food, Use};
use crate::text::Text;

use super::{Builder, names};

/// `got 300 ml out of tui`, `took half a litre of liquid off green`
pub(super) fn has_liquid_source(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    // `off the bottom of green`
    let bin_follows = |at: usize| {
        (at + 1..clause.to.min(at + 5)).any(|i| {
            text.name(i, NameKind::Bin).is_some()
                || i == at + 1 && text.has(i, Mark::It)
                || text.is_matter(i, Matter::Bin)
                || text.is_matter(i, Matter::Tap)
        })
    };
    let out = clause.verb.is_some_and(|verb| text.is(verb.at, Cue::LedOf));
    let from = out || (clause.from..clause.to).any(|at| text.has(at, Mark::From) && bin_follows(at));
    // `nothing in, 90 ml out`
    let liquid = is_out(text, clause) || gist.lots.iter().any(|lot| lot.matter == Some(Matter::Liquid));
    let dry = |food: &Food| !matches!(food, Food::Liquid | Food::Tea);
    let other = gist
        .lots
        .iter()
        .any(|lot| lot.foods.iter().any(dry) || matches!(lot.matter, Some(Matter::Bran | Matter::Scraps)));
    // `took 200 ml off green for the leeks`
    let fed = gist.use_ == Some(Use::Plants)
        && (clause.from..clause.to).any(|at| text.has(at, Mark::From) && bin_follows(at));
    (fed || !other)
        && (liquid
            || (from
                && (!gist.bins.is_empty()
                    || gist.lots.iter().any(|lot| !lot.bins.is_empty())
                    || names(builder.scene, clause, Matter::Tap)
                    || gist.bin_noun)))
}

/// `90 ml out`
pub(super) fn is_out(text: &Text<'_>, clause: &Clause) -> bool {
    clause.verb.is_none()
        && text.is(clause.to - 1, Cue::Out)
        && clause.to >= clause.from + 2
        && text.unit(clause.to - 2).is_some()
}

/// `gave green a 100 ml drain`: a draining, by how much came of it.
pub(super) fn names_a_drain(text: &Text<'_>, clause: &Clause) -> bool {
    (clause.from + 1..clause.to).any(|at| {
        text.is_act(at, Act::Drain)
            && text.verb(at).is_some_and(|(_, forms)| forms.has(Forms::BASE))
            && text.unit(at - 1).is_some()
    })
}

/// `nothing came out`, `got nothing out of blue`, `opened the tap and got nothing`, `blue gave nothing`
pub(super) fn nothing_came(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    let Some(verb) = clause.verb else { return nothing_out(text, clause) };
    let before = (clause.from..verb.at).any(|at| text.is(at, Cue::NothingCame));
    if before {
        // `nothing drained`
        return text.is(verb.at, Cue::Flows) || verb.act == Act::Drain && verb.forms.has(Forms::PARTICIPLE);
    }
    let bin = |at: usize| text.name(at, NameKind::Bin).is_some() || text.is_matter(at, Matter::Bin);
    let out_of_bin = (verb.at + 2..clause.to)
        .any(|at| text.has(at, Mark::From) && (at + 1..clause.to.min(at + 4)).any(bin));
    let yields = match verb.act {
        Act::Get | Act::Take => out_of_bin || builder.taps(clause),
        Act::Give => (clause.from..verb.at).any(bin),
        _ => false,
    };
    let ends = |at: usize| at >= clause.to || text.has(at, Mark::From) || text.time(at).is_some();
    // `blue gave me nothing`
    let what =
        verb.at + 1 + usize::from(text.has(verb.at + 1, Mark::I) || text.is(verb.at + 1, Cue::MineOrUs));
    yields && text.is(what, Cue::NothingCame) && (out_of_bin || ends(what + 1))
}

/// `nothing out of the tap`, `none from blue`
fn nothing_out(text: &Text<'_>, clause: &Clause) -> bool {
    let source = |at: usize| {
        text.name(at, NameKind::Bin).is_some()
            || text.is_matter(at, Matter::Tap)
            || text.is_matter(at, Matter::Bin)
    };
    let led = (clause.from + 1..clause.to.min(clause.from + 3)).find(|at| text.has(*at, Mark::From));
    text.is(clause.from, Cue::NothingCame)
        && led.is_some_and(|at| (at + 1..clause.to.min(at + 4)).any(source))
}

/// `blue gave me a cup and a half`
pub(super) fn gives_liquid(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let Some(verb) = clause.verb else { return false };
    let tap = verb.at > 0 && builder.scene.text.is_matter(verb.at - 1, Matter::Tap);
    let giver = tap || gist.bins.first().is_some_and(|(_, at)| *at < verb.at);
    let dry = |lot: &Lot| {
        lot.matter.is_some_and(|matter| matter != Matter::Liquid)
            || lot.foods.iter().any(|food| !matches!(food, Food::Liquid | Food::Tea))
    };
    // `bin 5 gave 900 ml`
    let measure = |piece: &crate::clause::Piece| {
        piece.from == verb.at + 1 && matches!(piece.kind, crate::clause::PieceKind::Amount(_))
    };
    let yields = builder.scene.text.is(verb.at + 1, Cue::GaveUs)
        || (tap || gist.bins.len() == 1) && builder.scene.pieces.iter().any(measure);
    giver && yields && gist.lots.iter().any(|lot| lot.amount.is_some()) && !gist.lots.iter().any(dry)
}

/// `took off 120 ml`, of nothing else that is named.
pub(super) fn takes_off(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let off = clause.verb.is_some_and(|verb| text.is(verb.at, Cue::LedOff))
        || (clause.from..clause.to).any(|at| text.is(at, Cue::CameOff) && at + 1 == clause.to)
        || (clause.from..clause.to).any(|at| text.is_matter(at, Matter::Tap))
        || builder.taps(clause);
    let bare = |lot: &Lot| lot.foods.is_empty() && lot.matter.is_none_or(|matter| matter == Matter::Liquid);
    let volume = |lot: &Lot| lot.amount.is_some_and(|amount| !matches!(amount.size, AmountSize::Grams(_)));
    off && gist.lots.iter().all(bare) && gist.lots.iter().any(volume)
}

/// Tea may be leaves; from a bin it is liquid.
pub(super) fn may_be_liquid(lot: &Lot) -> bool {
    is_liquid(lot) || lot.foods == [Food::Tea]
}

pub(super) fn is_liquid(lot: &Lot) -> bool {
    lot.matter == Some(Matter::Liquid) || lot.foods.contains(&Food::Liquid)
}

impl Builder<'_, '_> {
    /// `drained 200 ml, thrown away`: the liquid, and no batch.
    pub(super) fn is_poured_out(&mut self, index: usize, current: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let thrown = clause.verb.is_some_and(|verb| {
            let away = text.is(verb.at + 1, Cue::AwayOut);
            verb.act == Act::Discard || matches!(verb.act, Act::Add | Act::Pour) && away
        });
        let plain = |at: usize| {
            text.verb(at).is_some()
                || text.is(at, Cue::AwayOut)
                || text.is(at, Cue::Just)
                || text.time(at).is_some()
                || text.has_any(at, &[Mark::I, Mark::It, Mark::Then, Mark::And, Mark::All, Mark::Be])
        };
        let alone = gist.bins.is_empty() && gist.lots.is_empty() && (clause.from..clause.to).all(plain);
        let event = &mut self.events[current];
        let drained = event.kind == FactKind::Drained && event.sentence == clause.sentence;
        if !(thrown && alone && drained) {
            return false;
        }
        event.use_ = event.use_.or(Some(Use::PouredAway));
        event.clauses.1 = index;
        true
    }

    /// Whether an earlier clause of the sentence tells of the tap: `opened the tap and got 200 ml`.
    pub(super) fn taps(&self, clause: &Clause) -> bool {
        let scene = self.scene;
        scene.clauses.iter().any(|other| {
            other.sentence == clause.sentence
                && other.from < clause.from
                && !other.asks
                && names(scene, other, Matter::Tap)
        })
    }
}

/// `I'm so drained`, `this week has got me drained`
pub(super) fn drains_people(builder: &Builder<'_, '_>, gist: &Gist, word: usize) -> bool {
    let text = &builder.scene.text;
    let before = word.wrapping_sub(if text.is(word.wrapping_sub(1), Cue::So) { 2 } else { 1 });
    let weary = text.has(before, Mark::Be) && text.has(before.wrapping_sub(1), Mark::I);
    gist.bins.is_empty() && (weary || text.is(before, Cue::MineOrUs))
}
