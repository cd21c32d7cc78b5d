//! What to do about symptoms: `there's green mould, what do I do?`

use crate::clause::BinRef;
use crate::fact::symptoms;
use crate::lexicon::{Act, Cue, Mark, Sense};
use crate::reading::{About, Ask, Slots};

use super::about::one;
use super::question::Question;

/// Symptoms told in the message or in the question, and `what do I do?`
pub(super) fn trouble(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let scene = q.scene;
    let mould =
        q.any(|at| scene.text.senses(at).contains(&Sense::MouldNoun) && scene.text.tokens[at].name.is_none());
    let meant = q.cue(Cue::Supposed);
    // `smells like vinegar, that normal?`
    let brief = q.has(Mark::It) && q.to - q.from <= 3 || q.to - q.from == 1;
    let harm = q.cue(Cue::Harmful);
    let judged = (q.has(Mark::Be) || brief)
        && (q.has(Mark::It) || q.bins().is_empty() || mould || meant)
        && (q.has(Mark::Possible) || meant || harm || q.cue(Cue::Amiss))
        && !q.act(Act::Add);
    // `what does black mould mean?`
    let meaning = q.has(Mark::What) && q.act(Act::Mean);
    // `how can I fix it?`
    let mends = q.has(Mark::How) && (q.cue(Cue::Mends) || q.act(Act::Discard) || q.act(Act::Remove));
    // `what on earth should I do`
    let at_a_loss = (q.has(Mark::What) || q.cue(Cue::Anything))
        && q.has(Mark::I)
        && (q.has(Mark::Can) || q.has(Mark::Will) || q.cue(Cue::ModalDo) || meant)
        && q.has(Mark::Do)
        || q.to == q.from + 1 && q.cue(Cue::How);
    // `mould in blue. Throw it out?`
    let throws = q.cue(Cue::Throws) && q.has(Mark::It) && q.to - q.from <= 4;
    let worried =
        throws || q.has(Mark::Worry) || q.cue(Cue::Advice) || judged || meaning || mends || at_a_loss;
    let why = q.has(Mark::Why) || q.cue(Cue::Causes);
    // `why is 1.5 l too wet?`: about the bot's advice.
    let advice = why && q.amount(true) != (None, None);
    if !(worried || why) || advice {
        return None;
    }
    told_symptoms(q).map(|slots| one(About::Trouble, slots))
}

/// The symptoms of the question, or told around it, and the bin that has them.
pub(super) fn told_symptoms(q: &Question<'_, '_>) -> Option<Slots> {
    let scene = q.scene;
    let mut slots = Slots::default();
    let mut found = false;
    let mut bin = None;
    for clause in &scene.clauses {
        let inside = clause.to > q.from && clause.to <= q.to;
        if let Some(more) = symptoms(scene, clause).filter(|_| inside || !clause.asks) {
            crate::fact::merge(&mut slots, &more);
            found = true;
            bin = bin.or_else(|| super::bin_in(scene, clause.from, clause.to));
        }
    }
    // `green has no flies but blue has maggots, what do we do about blue?`
    if let Some((asked, known)) = super::bin_in(scene, q.from, q.to).zip(bin.clone())
        && asked != known
    {
        return told_of(q, &asked);
    }
    if !found {
        return None;
    }
    let bin = bin
        .or_else(|| q.bins().into_iter().next())
        .or_else(|| super::bin_in(scene, 0, scene.text.tokens.len()));
    slots.bin = bin.and_then(|bin| q.name(&bin));
    Some(slots)
}

/// The symptoms told of one bin.
fn told_of(q: &Question<'_, '_>, bin: &BinRef) -> Option<Slots> {
    let scene = q.scene;
    let of_it = scene
        .clauses
        .iter()
        .filter(|clause| !clause.asks && super::bin_in(scene, clause.from, clause.to).as_ref() == Some(bin));
    let BinRef::Known(index) = bin else { return None };
    let mut slots = Slots { bin: Some(scene.bin_name(*index)), ..Slots::default() };
    let mut found = false;
    for more in of_it.filter_map(|clause| symptoms(scene, clause)) {
        crate::fact::merge(&mut slots, &more);
        found = true;
    }
    found.then_some(slots)
}
