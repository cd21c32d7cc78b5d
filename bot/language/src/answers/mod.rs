//! The conversation with the bot itself: undo, corrections, answers to nudges, being away and back.

mod amend;
mod brief;
mod presence;
mod put_off;

use crate::lexicon::{Act, Cue, Forms, Mark};
use crate::reading::{Fact, FactKind, Slots};
use crate::scene::Scene;
use crate::time::{Direction, Placed, When};

pub(crate) use presence::presence;
pub(crate) use put_off::opens_with_delay;

/// A fact without slots.
pub(crate) fn plain(kind: FactKind) -> Fact {
    Fact { kind, slots: Slots::default() }
}

/// What the whole message is, where it is a word to the bot and no report: undo, a correction, an answer to a nudge.
pub(crate) fn answer(scene: &Scene<'_>, tells: bool) -> Option<Fact> {
    if !scene.message.direct {
        return None;
    }
    undo(scene)
        .or_else(|| amend::amend(scene, tells))
        .or_else(|| put_off::put_off(scene, tells))
        .or_else(|| done(scene, tells))
        .or_else(|| brief::brief(scene, tells))
}

/// `undo that`, `scratch the last one`
fn undo(scene: &Scene<'_>) -> Option<Fact> {
    let text = &scene.text;
    let at = (0..text.tokens.len()).find(|at| text.has(*at, Mark::Undo) || forgets_the_last(scene, *at))?;
    let asked = scene
        .clauses
        .iter()
        .any(|clause| clause.asks && !(0..at).any(|i| text.has_any(i, &[Mark::Can, Mark::Please])));
    let denied = (0..at).any(|i| text.has(i, Mark::Not));
    if asked || denied {
        return None;
    }
    scene.note("undo", at, at + 1);
    Some(plain(FactKind::Undo))
}

/// `please forget the last entry`
pub(crate) fn forgets_the_last(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    let verb = text.is(at, Cue::Revert);
    // `delete what I just logged`
    if verb && text.has(at + 1, Mark::What) && text.has(at + 2, Mark::I) {
        return true;
    }
    let last = at + 1 + usize::from(text.has_any(at + 1, &[Mark::The, Mark::I]));
    verb && text.is(last, Cue::Latest)
        && (last + 1 >= text.tokens.len() || text.is_stop(last + 1) || text.is(last + 1, Cue::Entry))
}

/// `done`, `did it this morning`, in answer to a nudge.
fn done(scene: &Scene<'_>, tells: bool) -> Option<Fact> {
    scene.message.reply_to?;
    let text = &scene.text;
    let clause = scene.clauses.iter().find(|clause| {
        // `doing it now` is not done.
        let does =
            |at: usize| text.verb(at).is_some_and(|(act, forms)| act == Act::Finish && forms != Forms::ING);
        let word = (clause.from..clause.to).any(|at| text.has(at, Mark::Done) || does(at));
        word && clause.stance.asserted() && !clause.asks
    })?;
    if tells {
        return None;
    }
    scene.note("done", clause.from, clause.to);
    let mut slots = Slots::default();
    let when = scene
        .gists
        .iter()
        .flat_map(|gist| &gist.whens)
        .map(|(when, _)| *when)
        .filter(When::is_moment)
        .reduce(|a, b| a.and(b).unwrap_or(a));
    if let Some(when) = when
        && let Placed::At(moment) = scene.zoned.place(&when, Direction::Past)
    {
        slots.at = Some(moment.at);
        slots.precision = Some(moment.precision);
    }
    Some(Fact { kind: FactKind::Done, slots })
}
