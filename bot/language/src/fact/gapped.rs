//! What is said of another bin without all of it being said again: `green is full, blue too`, `green has flies, blue has none`,
//! `green's lid is loose, blue's is fine`.

use crate::clause::{BinRef, Clause, Joint};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::reading::{FactKind, Lid, Mould, Slots, Smell};
use crate::text::Text;
use crate::time::When;

use super::{Builder, Event};

/// `nearly full`, as the contract of readings has it.
const NEARLY_FULL: f64 = 0.9;

/// Takes a clause that goes on with another bin; false where it says all that it tells.
pub(super) fn take(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    let Some(current) = builder.current else { return false };
    let known = &builder.events[current];
    let bins: Vec<BinRef> = gist.bins.iter().map(|(bin, _)| bin.clone()).collect();
    let bare = gist.lots.is_empty() && gist.count.is_none() && gist.level.is_none();
    let idle = clause.verb.is_none_or(|verb| matches!(verb.act, Act::Get | Act::Go));
    if bins.is_empty() || !bare || !idle || known.sentence != clause.sentence || known.bins.is_empty() {
        return false;
    }
    let slots = if is_as_well(&scene.text, clause) {
        known.slots.clone()
    } else {
        let Some(slots) = of_the_other(&scene.text, clause, known) else { return false };
        slots
    };
    if known.lots.iter().any(|lot| lot.amount.is_some()) {
        return false;
    }
    scene.note("said of another bin", clause.from, clause.to);
    let mut whens: Vec<When> = gist.whens.iter().map(|(when, _)| *when).collect();
    if whens.is_empty() && is_as_well(&scene.text, clause) {
        whens.clone_from(&known.whens);
    }
    let event = Event { bins, slots, whens, clauses: (index, index), ..known.clone() };
    builder.events.push(event);
    builder.current = Some(builder.events.len() - 1);
    true
}

/// `blue too`, `blue as well`, `so is blue`
fn is_as_well(text: &Text<'_>, clause: &Clause) -> bool {
    let so = clause.from > 0
        && text.is(clause.from - 1, Cue::So)
        && text.has_any(clause.from, &[Mark::Be, Mark::Do, Mark::Have]);
    let also = |at: usize| text.is(at, Cue::AsWell);
    let plain = |at: usize| {
        also(at)
            || text.tokens[at].name.is_some()
            || text.is_matter(at, Matter::Bin)
            || text.has_any(at, &[Mark::The, Mark::And])
            || so && at == clause.from
    };
    (so || (clause.from..clause.to).any(also)) && (clause.from..clause.to).all(plain)
}

/// What is said of the other bin by what was found in the one before.
fn of_the_other(text: &Text<'_>, clause: &Clause, known: &Event) -> Option<Slots> {
    let range = clause.from..clause.to;
    // `blue nearly`
    if known.kind == FactKind::Level {
        let nearly = known.slots.fraction == Some(1.0) && text.is(clause.to - 1, Cue::Nearly);
        return nearly.then(|| Slots { fraction: Some(NEARLY_FULL), ..Slots::default() });
    }
    if known.kind != FactKind::Checked {
        return None;
    }
    let bin = range.clone().find(|at| text.name(*at, NameKind::Bin).is_some())?;
    // `blue has none`
    let last = clause.to - 1;
    let has = (bin + 1..last).any(|at| text.has(at, Mark::Have) || text.is_act(at, Act::Get));
    // `none in blue`
    let led = text.is(clause.from, Cue::NothingCame)
        && text.has(clause.from + 1, Mark::In)
        && bin <= clause.from + 3;
    // `blue hasn't`
    let hasnt = last == bin + 1 && text.has(last, Mark::Not) && text.has_any(last, &[Mark::Have, Mark::Do]);
    let none = led || hasnt || text.is(last, Cue::NothingCame) && (has || bin + 1 == last);
    let none = Slots {
        pests: known.slots.pests.filter(|_| none).map(|_| false),
        mould: known.slots.mould.filter(|_| none).map(|_| Mould::None),
        ..Slots::default()
    };
    if none != Slots::default() {
        return Some(none);
    }
    // `blue of nothing at all`
    let of_nothing =
        (bin + 1..clause.to).any(|at| text.is(at, Cue::NothingCame) && text.has(at - 1, Mark::Of));
    if of_nothing && known.slots.smell.is_some() {
        return Some(Slots { smell: Some(Smell::None), ..Slots::default() });
    }
    // `blue's is fine`, `tight on blue`
    known.slots.lid?;
    let denied = range.clone().any(|at| text.has_any(at, &[Mark::Not, Mark::No]));
    let state = range.filter(|at| text.tokens[*at].name.is_none()).find_map(|at| {
        let fine = text.is(at, Cue::FineLid).then_some(Lid::Fine);
        text.sense(at, |s| if let Sense::Lid(lid) = s { Some(lid) } else { None }).or(fine)
    });
    let lid = state.filter(|_| !denied)?;
    Some(Slots { lid: Some(lid), ..Slots::default() })
}

/// `heron and otter have no smell`: whether a bin by itself is the first of those that the next clause is about.
pub(super) fn begins_list(builder: &Builder<'_, '_>, index: usize) -> bool {
    let (scene, text) = (builder.scene, &builder.scene.text);
    let clause = &scene.clauses[index];
    let plain = |at: usize| {
        text.name(at, NameKind::Bin).is_some() || text.is_matter(at, Matter::Bin) || text.has(at, Mark::The)
    };
    let Some(next) = scene.clauses.get(index + 1).filter(|next| next.sentence == clause.sentence) else {
        return false;
    };
    let bin = next.from + usize::from(text.has(next.from, Mark::The));
    let noun = bin + 1 + usize::from(text.is_matter(bin + 1, Matter::Bin));
    let after = noun + usize::from(text.is(noun, Cue::BothBins) || text.has(noun, Mark::All));
    (clause.from..clause.to).all(plain)
        && clause.joint != Joint::And
        && next.joint == Joint::And
        && text.name(bin, NameKind::Bin).is_some()
        && after < next.to
        && (text.has_any(after, &[Mark::Be, Mark::Have, Mark::Do]) || text.verb(after).is_some())
}

/// Whether a clause names bins and says nothing else.
pub(super) fn is_bare(text: &Text<'_>, clause: &Clause) -> bool {
    (clause.from..clause.to).all(|at| is_of_bins(text, at))
}

/// Whether a token names a bin, or says nothing beside one.
pub(super) fn is_of_bins(text: &Text<'_>, at: usize) -> bool {
    text.name(at, NameKind::Bin).is_some()
        || text.is_matter(at, Matter::Bin)
        || text.has_any(at, &[Mark::The, Mark::In, Mark::And, Mark::Each, Mark::All])
        || text.is(at, Cue::BothBins)
        || text.is(at, Cue::InOrder)
        || !text.tokens[at].is_word()
}
