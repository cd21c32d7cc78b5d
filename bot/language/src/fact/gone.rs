//! Bins that are no more: `we don't use blue any more`, `the blue bin went to the tip`, `replaced blue with a new one`.

use crate::clause::{BinRef, Clause, Gist};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter};
use crate::scene::Scene;
use crate::text::Text;

use crate::reading::FactKind;

use super::{Builder, inventory, names};

/// Opens an event where the clause tells that one of the room's bins is gone, or tells more of one that is.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    if builder.just(FactKind::BinGone) && (replaced_by(builder, index) || tells_how(builder, clause, gist)) {
        return true;
    }
    if is_gone_of_breakage(builder, index) {
        return true;
    }
    let parts = [Matter::Lid, Matter::Tap, Matter::Batch].into_iter().any(|part| names(scene, clause, part));
    let mut known = gist.bins.iter().filter(|(bin, _)| matches!(bin, BinRef::Known(_)));
    let (Some((bin, at)), None) = (known.next(), known.next()) else { return false };
    let stance = clause.stance;
    let idle = stance.conditional || stance.planned || stance.hearsay;
    // `mould in green is gone`
    let text = &scene.text;
    let within = (clause.from..*at)
        // `shared out between green and blue`
        .any(|i| {
            text.has_any(i, &[Mark::In, Mark::From, Mark::Of]) && !text.is_act(i, Act::Remove)
                || text.is(i, Cue::Between)
        });
    if parts || within || idle || clause.asks || gist.lots.iter().any(|lot| lot.amount.is_some()) {
        return false;
    }
    if let Some(from) = replaced(scene, index) {
        let event = builder.begin(FactKind::BinGone, index);
        builder.events[event].bins = vec![bin.clone()];
        inventory::open_successor(builder, index, from);
        return true;
    }
    let gone = is_denied(scene, clause)
        || !stance.negated
            && (is_no_more(scene, clause, *at)
                || is_handed_over(scene, clause, *at)
                || is_given_to_someone(scene, clause, *at)
                || is_let_go(scene, index, *at)
                || is_stolen(scene, clause, *at));
    if gone {
        builder.begin(FactKind::BinGone, index);
    }
    gone
}

/// `we don't have the moss bin any more`, `no longer use blue`, `stopped using blue`
fn is_denied(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let any = |cue: Cue| (clause.from..clause.to).any(|at| text.is(at, cue));
    let no_longer = any(Cue::NoLonger) || any(Cue::Longer) && any(Cue::No);
    let any_more = any(Cue::AnyMore) || any(Cue::Any) && (any(Cue::More) || any(Cue::Longer));
    let denied = (clause.from..clause.to).any(|at| text.has(at, Mark::Not)) && any_more;
    // `blue is no longer with us`
    let left =
        no_longer && (clause.from..clause.to).any(|at| text.is(at, Cue::With) && text.is(at + 1, Cue::Us));
    let stops = |at: usize| text.is(at, Cue::Stopped) && text.is_act(at + 1, Act::Use);
    left || any(Cue::Owns) && (no_longer || denied) || (clause.from..clause.to).any(stops)
}

/// `the blue bin is no more`, `blue is out of service for good`, `no more blue bin`; `blue is gone` to the bot alone.
fn is_no_more(scene: &Scene<'_>, clause: &Clause, bin: usize) -> bool {
    let text = &scene.text;
    let noun = text.is_matter(bin + 1, Matter::Bin) || text.is(bin + 1, Cue::One);
    let be = bin + 1 + usize::from(noun);
    let out = |at: usize| text.has(at, Mark::OutOf) && text.is(at + 1, Cue::Service);
    let state = (be + 1..clause.to.min(be + 3)).find(|at| text.is(*at, Cue::GoneState) || out(*at));
    let is = text.has(be, Mark::Be);
    let led = noun && text.is(bin.wrapping_sub(1), Cue::NoMore) && bin == clause.from + 1;
    let Some(state) = state.filter(|_| is) else { return led };
    let rest = |at: usize| text.time(at).is_some() || text.is(at, Cue::For) || text.is(at, Cue::Good);
    let ends = (state + 1 + usize::from(out(state))..clause.to).all(rest);
    // `blue is gone, buried it yesterday`: what was in it
    let emptied = scene.clauses.iter().any(|other| {
        other.sentence == clause.sentence && other.verb.is_some_and(|verb| verb.act == Act::Bury)
    });
    ends && (noun || scene.message.direct && !emptied)
}

/// `the green bin split, so it's gone`
fn is_gone_of_breakage(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let it = (clause.from..clause.to).find(|at| text.has(*at, Mark::It));
    let gone = it.is_some_and(|it| {
        text.has(it + 1, Mark::Be) && text.is(it + 2, Cue::GoneState) && it + 3 == clause.to
    });
    let before = index.checked_sub(1).filter(|before| scene.clauses[*before].sentence == clause.sentence);
    let Some(before) = before.filter(|_| gone) else { return false };
    let broken = (scene.clauses[before].from..scene.clauses[before].to).any(|at| text.is(at, Cue::Broken));
    let [(bin @ BinRef::Known(_), _)] = &scene.gists[before].bins[..] else { return false };
    if !broken || names(scene, &scene.clauses[before], Matter::Lid) {
        return false;
    }
    if !builder.just(FactKind::BinGone) {
        let event = builder.begin(FactKind::BinGone, index);
        builder.events[event].bins = vec![bin.clone()];
    }
    true
}

/// `gave green to my brother`: to somebody, and no liquid to what grows.
fn is_given_to_someone(scene: &Scene<'_>, clause: &Clause, bin: usize) -> bool {
    let text = &scene.text;

    let gives = clause
        .verb
        .is_some_and(|verb| verb.act == Act::Give && verb.forms.has(Forms::PAST) && verb.at + 1 == bin);
    let someone =
        |at: usize| text.tokens[at].is_word() && (text.senses(at).is_empty() || text.has(at, Mark::Other));
    let owner = text.has_any(bin + 2, &[Mark::I, Mark::A, Mark::The]);
    gives
        && scene.message.direct
        && text.is(bin + 1, Cue::To)
        && owner
        && bin + 4 == clause.to
        && someone(bin + 3)
}

/// `took the blue bin to the dump`, `passed the blue bin on to a neighbour`, `donated the blue bin`: the bin itself, not what is in it.
fn is_handed_over(scene: &Scene<'_>, clause: &Clause, bin: usize) -> bool {
    let text = &scene.text;
    let to = (bin..clause.to).any(|at| text.is(at, Cue::To) || text.has(at, Mark::In));
    let given = (clause.from..bin).any(|at| text.is(at, Cue::HandsOver));
    let dumped = (bin..clause.to).any(|at| text.has(at, Mark::Rubbish))
        && clause.verb.is_some_and(|verb| {
            matches!(verb.act, Act::Take | Act::Go | Act::Move | Act::Add) && verb.forms.has(Forms::PAST)
        });
    let told = given || dumped;
    text.is_matter(bin + 1, Matter::Bin) && told && (dumped || to)
}

/// `had to let the blue bin go`, `take blue off the list`, `take blue off, it cracked`
fn is_let_go(scene: &Scene<'_>, index: usize, bin: usize) -> bool {
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let next = bin + 1 + usize::from(text.is_matter(bin + 1, Matter::Bin));
    let article = bin - usize::from(text.has(bin.wrapping_sub(1), Mark::The));
    let lead = article.wrapping_sub(1);
    let ends = |at: usize| at >= clause.to || text.is_stop(at);
    let had_to = text.has_any(lead.wrapping_sub(1), &[Mark::HadTo, Mark::I]);
    let let_go = had_to && text.is(lead, Cue::Lets) && text.is_act(next, Act::Go) && ends(next + 1);
    let takes = [Act::Take, Act::Undo, Act::Remove, Act::Add].iter().any(|act| text.is_act(lead, *act));
    let listed = (next + 1..clause.to.min(next + 4)).any(|at| text.is(at, Cue::List));
    let broken =
        scene.clauses.iter().filter(|other| other.sentence == clause.sentence && other.from >= clause.to);
    let broken = broken.flat_map(|other| other.from..other.to).any(|at| text.is(at, Cue::Broken));
    let_go || takes && text.has(next, Mark::From) && (listed || broken && ends(next + 1))
}

/// `somebody stole the blue bin`, `blue got stolen`
fn is_stolen(scene: &Scene<'_>, clause: &Clause, bin: usize) -> bool {
    let text = &scene.text;
    let passive = |at: usize| (bin..at).any(|i| text.has(i, Mark::Be) || text.is_act(i, Act::Get));
    // `weka nicked two sausages`: a bird of that name
    (clause.from..clause.to).any(|at| text.is(at, Cue::Stolen) && (at < bin || passive(at)))
}

/// `replaced blue with a new one`, `swapped blue for a bigger bin`: the token after `with`.
fn replaced(scene: &Scene<'_>, index: usize) -> Option<usize> {
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let swaps = (clause.from..clause.to).find(|at| text.is(*at, Cue::Replaced))?;
    // `with` may begin a clause of its own.
    let joint = (swaps + 1..swaps + 5).find(|at| text.is(*at, Cue::ReplacedBy))?;
    let bin = |at: usize| text.is_matter(at, Matter::Bin) || text.is(at, Cue::One);
    let told = || inventory::is_successor(scene, index, joint + 1);
    ((joint + 1..joint + 5).any(bin) || told()).then_some(joint + 1)
}

/// `..., replaced by a new one called deck, 25 l`
fn replaced_by(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let clause = &builder.scene.clauses[index];
    let text = &builder.scene.text;
    let led = |at: usize| text.is(at, Cue::Replaced) && text.is(at + 1, Cue::ReplacedBy);
    (clause.from..clause.to)
        .find(|at| led(*at))
        .is_some_and(|at| inventory::open_successor(builder, index, at + 2))
}

/// `the blue bin broke, binned it`: how the bin went that was just told to be gone.
fn tells_how(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let scene = builder.scene;
    let Some(gone) = builder.current.map(|at| &builder.events[at]) else { return false };
    let same = gist.bins.iter().all(|(bin, _)| gone.bins.contains(bin));
    let nothing = gist.lots.iter().all(|lot| lot.amount.is_none() && lot.foods.is_empty());
    let near = gone.sentence + 1 >= clause.sentence;
    // `we got rid of blue, it was leaking`: why, and nothing to be done about it
    let leaked = super::symptoms(scene, clause).is_some_and(|seen| seen.lid.is_some());
    let thrown = (clause.from..clause.to).any(|at| scene.text.is(at, Cue::ThrownIt));
    let leaves = thrown
        || leaked
        || clause.verb.is_some_and(|verb| {
            matches!(verb.act, Act::Discard | Act::Remove | Act::Give)
                || matches!(verb.act, Act::Add | Act::Take)
                    && (scene.text.is(verb.at + 1, Cue::It) || gist.bin_noun)
        });
    same && nothing && near && leaves && !names(scene, clause, Matter::Batch)
}

/// Whether a bin is but where the thing was that a verb tells of.
pub(super) fn is_part_of(text: &Text<'_>, clause: &Clause, verb: usize, bin: usize) -> bool {
    let from = if bin < verb { clause.from } else { verb + 1 };
    (from..bin).any(|at| text.has_any(at, &[Mark::In, Mark::Of, Mark::From]))
}

/// `ditched the grey bin, it cracked`
pub(super) fn tells_of_breakage(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let scene = builder.scene;
    scene
        .clauses
        .iter()
        .filter(|other| other.sentence == clause.sentence)
        .any(|other| (other.from..other.to).any(|at| scene.text.is(at, Cue::Broken)))
}
