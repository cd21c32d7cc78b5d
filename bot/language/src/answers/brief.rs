//! Answers that only the nudge makes clear: `all good` to a check, `nothing` to a drain, `beans and peas` to planting.

use crate::lexicon::{Cue, Mark, Sense};
use crate::message::NudgeKind;
use crate::name::NameKind;
use crate::reading::{Fact, FactKind, Slots};
use crate::scene::Scene;
use crate::text::Text;

use super::plain;

/// What a short answer tells, by the nudge that it answers.
pub(super) fn brief(scene: &Scene<'_>, tells: bool) -> Option<Fact> {
    let nudge = scene.message.reply_to?;
    if tells || scene.clauses.iter().any(|clause| clause.asks || clause.stance.conditional) {
        return None;
    }
    let fact = match nudge {
        NudgeKind::Drain => nothing_came(scene)
            .then(|| Fact { kind: FactKind::Drained, slots: Slots { ml: Some(0.0), ..Slots::default() } }),
        NudgeKind::Check => is_verdict(scene).then(|| plain(FactKind::Checked)),
        NudgeKind::Seal => is_not_full(scene).then(|| plain(FactKind::Later)),
        NudgeKind::Full => nearly(scene),
        NudgeKind::Bury => buried(scene),
        NudgeKind::Plant => planted(scene),
        NudgeKind::Bran | NudgeKind::Starter | NudgeKind::Idle | NudgeKind::Digest => None,
    }
    .or_else(|| somebody_did(scene).then(|| plain(FactKind::Done)))?;
    scene.note("brief answer", 0, scene.text.tokens.len());
    Some(fact)
}

/// Whether every word of the message is one of these, or says nothing of its own.
fn is_only(scene: &Scene<'_>, word: impl Fn(&Text<'_>, usize) -> bool) -> bool {
    let text = &scene.text;
    let idle = |at: usize| {
        !text.tokens[at].is_word()
            || text.has_any(
                at,
                &[
                    Mark::Yes,
                    Mark::It,
                    Mark::Be,
                    Mark::Thanks,
                    Mark::Hello,
                    Mark::Bot,
                    Mark::Laugh,
                    Mark::All,
                    Mark::The,
                ],
            )
            || text.is(at, Cue::AroundVerdict)
    };
    let mut told = false;
    (0..text.tokens.len()).all(|at| {
        let fits = word(text, at);
        told |= fits;
        fits || idle(at)
    }) && told
}

/// `nothing came out`, `no liquid`
fn nothing_came(scene: &Scene<'_>) -> bool {
    let nothing = |text: &Text<'_>, at: usize| {
        text.has(at, Mark::No) && !text.is(at, Cue::PlainNo)
            || text.is(at, Cue::PlainNo) && text.tokens.get(at + 1).is_some_and(crate::text::Token::is_word)
            || text.is(at, Cue::NoneCame)
    };
    let flow = |text: &Text<'_>, at: usize| {
        text.is(at, Cue::Flow)
            || text.is_matter(at, crate::lexicon::Matter::Liquid)
            || text.is(at, Cue::FlowWhat)
            || text.name(at, NameKind::Bin).is_some()
    };
    let text = &scene.text;
    (0..text.tokens.len()).any(|at| nothing(text, at))
        && is_only(scene, |text, at| nothing(text, at) || flow(text, at))
}

/// `all good`, `looks fine`, `nothing wrong`; a bare `ok` only takes note of the nudge.
fn is_verdict(scene: &Scene<'_>) -> bool {
    let well = |text: &Text<'_>, at: usize| {
        text.is(at, Cue::Well)
            || text.is(at, Cue::Okay) && text.tokens.len() > 1
            || text.has(at, Mark::No) && text.is(at + 1, Cue::Problem)
            || text.is(at, Cue::NoProblem)
    };
    let told = (0..scene.text.tokens.len()).any(|at| {
        well(&scene.text, at)
            && (!scene.text.has(at, Mark::Not))
            && !scene.text.has(at.wrapping_sub(1), Mark::Not)
    });
    told && is_only(scene, well)
        && !scene.clauses.iter().any(|clause| {
            clause.stance.negated && clause.to - clause.from <= 2 && scene.text.has(clause.from, Mark::Not)
        })
}

/// `not full yet`
fn is_not_full(scene: &Scene<'_>) -> bool {
    let text = &scene.text;
    (0..text.tokens.len()).any(|at| {
        text.senses(at).iter().any(|sense| matches!(sense, Sense::Level(level) if *level >= 0.9))
            && (at.saturating_sub(3)..at).any(|i| text.has(i, Mark::Not))
    })
}

/// `nearly`
fn nearly(scene: &Scene<'_>) -> Option<Fact> {
    is_only(scene, |text, at| text.is(at, Cue::Nearly))
        .then(|| Fact { kind: FactKind::Level, slots: Slots { fraction: Some(0.9), ..Slots::default() } })
}

/// `in the herb bed, 30 cm deep`
fn buried(scene: &Scene<'_>) -> Option<Fact> {
    let still = scene
        .clauses
        .iter()
        .all(|clause| clause.verb.is_none() && !clause.stance.negated && !clause.stance.planned);
    let plots: Vec<usize> =
        scene.gists.iter().flat_map(|gist| gist.plots.iter().map(|(plot, _)| *plot)).collect();
    let [plot] = plots[..] else { return None };
    let ahead = scene
        .gists
        .iter()
        .any(|gist| !gist.whens.is_empty() || !gist.lots.is_empty() || gist.count.is_some());
    let depth = scene.gists.iter().find_map(|gist| gist.length).map(|(cm, _)| cm);
    let plot = scene.message.plots.get(plot)?.clone();
    let slots = Slots { plot: Some(plot), depth_cm: depth, ..Slots::default() };
    (still && !ahead).then_some(Fact { kind: FactKind::Buried, slots })
}

/// `beans and peas`
fn planted(scene: &Scene<'_>) -> Option<Fact> {
    let text = &scene.text;
    let grows =
        |text: &Text<'_>, at: usize| text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)));
    let crops = is_only(scene, |text, at| grows(text, at) || text.is(at, Cue::And) && at > 0);
    let first = (0..text.tokens.len()).find(|at| grows(text, *at))?;
    let last = (0..text.tokens.len()).rev().find(|at| grows(text, *at))?;
    crops.then(|| Fact {
        kind: FactKind::Planted,
        slots: Slots { crop: Some(text.words(first, last + 1)), ..Slots::default() },
    })
}

/// `someone else already did`
fn somebody_did(scene: &Scene<'_>) -> bool {
    let text = &scene.text;
    scene.clauses.iter().any(|clause| {
        clause.stance.subject != crate::clause::Subject::Me
            && !clause.stance.negated
            && text.has_any(clause.from, &[Mark::Someone, Mark::Other])
            && (clause.from..clause.to).any(|at| text.is(at, Cue::Did))
    })
}
