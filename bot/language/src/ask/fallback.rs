//! Questions of a form that no rule knows, by what they speak of alone: the last resort before they are not understood.

use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::reading::{About, Ask, Slots};

use super::about::one;
use super::food::foods;
use super::question::Question;
use super::trouble::told_symptoms;

/// Words that ask for something else than whether or how.
const PARTICULARS: [Mark; 7] =
    [Mark::HowMuch, Mark::HowLong, Mark::When, Mark::Where, Mark::Who, Mark::Whose, Mark::Why];

/// `steak fat and gristle, in or out?`, `what's the verdict on onion skins`
pub(super) fn food(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    let foods = foods(text, q.from, q.to);
    let into = |at: usize| {
        text.has(at, Mark::In) && (at + 1..q.to.min(at + 3)).any(|i| text.tokens[i].name.is_some())
    };
    let other = [Act::Plant, Act::Bury, Act::Drain, Act::Cook, Act::Buy, Act::Smell, Act::Remind, Act::Water];
    let fits = q.scene.message.direct
        && !foods.is_empty()
        && (q.bins().is_empty() && !q.matter(Matter::Bin) || q.any(into))
        && !q.has(Mark::You)
        && !q.has(Mark::Chart)
        && !asks_particulars(q)
        && !q.has(Mark::New)
        && !other.iter().any(|act| q.act(*act))
        // `who ate the cheese`
        && !q.is_past()
        && q.amount(false) == (None, None);
    fits.then(|| one(About::Acceptable, Slots { foods, ..Slots::default() }))
}

/// `Earl smells like ammonia, is it spoiled`: symptoms were told, and the question names nothing else.
pub(super) fn trouble(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let own = q.bins().is_empty() && q.plot().is_none() && !q.any(|at| q.scene.text.matter(at).is_some());
    let fits = own && q.to > q.from + 1 && !asks_particulars(q) && q.amount(false) == (None, None);
    let slots = told_symptoms(q).filter(|_| fits)?;
    Some(one(About::Trouble, slots))
}

/// `put soup in blue, was that allowed?`: food was told, and the question judges it.
pub(super) fn food_told(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    // `we have a whole turkey, can blue take it?`
    let taken = q.has(Mark::Can) && (q.cue(Cue::TakesFood) || q.cue(Cue::Accepts));
    // `got some old apples, can they go in?`
    let put = q.act(Act::Go) || q.act(Act::Add);
    let it = q.has(Mark::It) || q.has(Mark::Other);
    let judged = it && (q.has(Mark::Possible) || taken || put) && q.to - q.from <= 6;
    let own = q.any(|at| text.matter(at).is_some() || text.tokens[at].name.is_some() && !taken);
    let foods = foods(text, 0, q.from);
    (judged && !own && !foods.is_empty() && told_symptoms(q).is_none())
        .then(|| one(About::Acceptable, Slots { foods, ..Slots::default() }))
}

/// `drained kea, does tui need doing?`: the same work on another bin.
pub(super) fn drain(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    let told = (0..q.from).any(|at| text.is_act(at, Act::Drain));
    // `drained it on Sunday, should I do it again?`
    let again = q.cue(Cue::Should) && q.act(Act::Finish) && q.has(Mark::It);
    let needs = q.cue(Cue::Must) || q.has(Mark::Want);
    let same = q.has(Mark::It) || q.act(Act::Finish);
    (told && (needs && same && !q.bins().is_empty() || again)).then(|| q.with_bin(About::Drain))
}

/// `what's the score with Morag`, `howzit with the stoep bin`: nothing but a bin is named.
pub(super) fn status(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    let idle = |act: Act| {
        matches!(
            act,
            Act::Go | Act::Get | Act::Finish | Act::Look | Act::Say | Act::Run | Act::Show | Act::Hold
        )
    };
    let works = q.any(|at| {
        text.tokens[at].name.is_none()
            && text.matter(at).is_none()
            && text.verb(at).is_some_and(|(act, _)| !idle(act))
    });
    let asks = q.has(Mark::How)
        || q.has(Mark::What)
        || q.cue(Cue::Any)
        || q.cue(Cue::Anything)
        || q.cue(Cue::NumberNoun)
        || q.has(Mark::Possible);
    let fits = q.scene.message.direct
        && !q.bins().is_empty()
        && asks
        // `has anything changed with blue?`
        && (!works || q.cue(Cue::Anything))
        && !asks_particulars(q)
        && q.amount(false) == (None, None);
    fits.then(|| q.with_bin(About::Status))
}

fn asks_particulars(q: &Question<'_, '_>) -> bool {
    PARTICULARS.iter().any(|mark| q.has(*mark))
}
