//! Where liquid went: pipes, plants or elsewhere: `down the sink`, `gave it to the hebes`, `on the gravel`.

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::message::NudgeKind;
use crate::name::NameKind;
use crate::reading::Use;
use crate::text::Text;

use super::Clause;
use super::gist::Gist;
use super::stuff::is_food;

/// Where liquid went: pipes before plants before elsewhere, as `dumped it down the sink` says both.
pub(crate) fn destination(text: &Text<'_>, clause: &Clause) -> Option<Use> {
    let told = |at: usize| {
        let token = &text.tokens[at];
        if let Some(name) = token.name {
            // `the currants got it all`, of the currant bed
            let got = clause.verb.is_some_and(|verb| verb.act == Act::Get && verb.at == at + 1);
            let got = got || had_it(text, at);
            return (name.kind == NameKind::Plot
                && (name.whole
                    || got
                    || led(text, clause, at)
                    || given(text, clause, at)
                    || drinks(text, clause, at)))
            .then_some(Use::Plants);
        }
        let use_ = text.sense(at, |s| if let Sense::Use(use_) = s { Some(use_) } else { None });
        let bin_of_it = text.is_matter(at + 1, Matter::Bin);
        match use_ {
            Some(Use::PouredAway) if !token_is_phrase(text, at) => {
                (led(text, clause, at) && !in_from(text, clause, at)).then_some(Use::PouredAway)
            }
            // `down the drain` has its own way in it.
            Some(_) if bin_of_it || in_from(text, clause, at) && !text.is(at, Cue::LedDown) => None,
            Some(use_) => Some(use_),
            None => (token.is_word()
                && text.time(at).is_none()
                && (given(text, clause, at)
                    || drinks(text, clause, at)
                    || thrown_off(text, clause, at)
                    || had_it(text, at))
                && (is_food(text, at) || token.senses.is_empty()))
            .then(|| if out_over(text, clause, at) { Use::PouredAway } else { Use::Plants }),
        }
    };
    let mut all: Vec<Use> = (clause.from..clause.to).filter_map(told).collect();
    // `threw the liquid away outside`
    let liquid = (clause.from..clause.to).any(|at| text.is_matter(at, Matter::Liquid));
    let thrown = clause.verb.is_some_and(|verb| {
        matches!(verb.act, Act::Add | Act::Discard | Act::Pour)
            && (verb.at..clause.to).any(|at| {
                text.is(at, Cue::ThrownAway) || text.verb(at).is_some_and(|(act, _)| act == Act::Discard)
            })
    });
    if liquid && thrown {
        all.push(Use::PouredAway);
    }
    // `split between the roses and the sink`: some to each
    let split = (clause.from..clause.to).any(|at| text.is(at, Cue::Between))
        && all.iter().any(|use_| *use_ != all[0]);
    [Use::Pipes, Use::Plants, Use::PouredAway].into_iter().find(|use_| all.contains(use_) && !split)
}

/// `the passionfruit had it`, `the figs got the lot`
fn had_it(text: &Text<'_>, at: usize) -> bool {
    let what = at + 2 + usize::from(text.has(at + 2, Mark::The));
    let whole = text.has_any(what, &[Mark::It, Mark::All]) || text.is(what, Cue::WholeLot);
    text.has(at.wrapping_sub(1), Mark::The)
        && (text.is(at + 1, Cue::Had) || text.is(at + 1, Cue::Got))
        && whole
}

fn token_is_phrase(text: &Text<'_>, at: usize) -> bool {
    text.word(at).contains(' ')
}

/// `on the gravel`, `to the lilac`: a preposition before it, with at most a few words between.
fn led(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    (clause.from.max(at.saturating_sub(4))..at)
        .any(|i| (text.has(i, Mark::In) || text.is(i, Cue::Toward)) && !text.has(i, Mark::From))
}

/// `from the green bin`: where it came from.
fn in_from(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    let nearest = (clause.from.max(at.saturating_sub(4))..at)
        .rev()
        .find(|i| text.has_any(*i, &[Mark::From, Mark::In]) || text.is(*i, Cue::Direction));
    nearest.is_some_and(|i| text.has(i, Mark::From) && !text.has(i, Mark::In))
}

/// `gave it to the hebes`, `for the lilac`, `on the chillies`: given to something that grows.
fn given(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    if text.is(at, Cue::Weighs) {
        return false;
    }
    let before = at.wrapping_sub(1);
    // `onto the` is one token.
    let joined = text.is(before, Cue::FedTo) && text.word(before).ends_with(" the");
    let article = joined || text.has_any(before, &[Mark::The, Mark::I]);
    let prep = if article && !joined { at.wrapping_sub(2) } else { before };
    let to = text.is(prep, Cue::FedTo);
    prep >= clause.from
        && prep < at
        && to
        && (at + 1 >= clause.to
            || text.time(at + 1).is_some()
            || text.is_stop(at + 1)
            || text.has(at + 1, Mark::In)
            || text.tokens[at + 1].senses.is_empty())
        && (article || is_food(text, at) && clause.verb.is_some_and(|verb| verb.act == Act::Give))
}

/// `fired it out over the wharf`, `fired it over the bank`: nobody feeds a plant so.
fn out_over(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    let strange = !is_food(text, at);
    let thrown = text.is(at.wrapping_sub(2), Cue::Across)
        && clause.verb.is_some_and(|verb| text.is(verb.at, Cue::Throws));
    strange
        && (thrown
            || thrown_off(text, clause, at)
            || (clause.from.max(at.saturating_sub(4))..at).any(|i| text.is(i, Cue::Out)))
}

/// `hove it off the wharf`
fn thrown_off(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    let thrown = clause.verb.is_some_and(|verb| text.is(verb.at, Cue::Throws) && verb.at < at);
    let the = (1..=2).map(|back| at.wrapping_sub(back)).find(|i| text.has(*i, Mark::The));
    thrown && the.is_some_and(|the| text.is(the.wrapping_sub(1), Cue::Off))
}

/// `the lilacs got a good drink`, `the hostas drank it all`
fn drinks(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    text.has_any(at.wrapping_sub(1), &[Mark::The, Mark::I])
        && (at + 1..clause.to).any(|i| text.is(i, Cue::Drinks))
}

/// `drained green, 250 ml onto the passionfruit`: after a drain, what is named behind a preposition grows, and was not put in.
pub(crate) fn fed_after_drain(
    text: &Text<'_>,
    clauses: &[Clause],
    gists: &mut [Gist],
    reply_to: Option<NudgeKind>,
) {
    let mut drained = (reply_to == Some(NudgeKind::Drain)).then_some(0);
    for (clause, gist) in clauses.iter().zip(gists) {
        match clause.verb.map(|verb| verb.act) {
            Some(Act::Drain) => drained = Some(clause.sentence),
            None if comes_out_of_tap(text, clause) => drained = Some(clause.sentence),
            None
            | Some(Act::Pour | Act::Go | Act::Give | Act::Use | Act::Discard | Act::Get | Act::Water) => {}
            Some(Act::Add) if drained == Some(clause.sentence) && is_thrown(text, clause) => {}
            Some(_) => drained = None,
        }
        if drained != Some(clause.sentence) || clause.asks {
            continue;
        }
        let Some(to) = (clause.from..clause.to).find(|at| feeds(text, clause, *at)) else { continue };
        let food = |at: usize| is_food(text, at);
        if (clause.from..to).any(food) || !(to..clause.to).any(food) {
            continue;
        }
        gist.use_ = gist.use_.or(Some(Use::Plants));
        gist.lots.iter_mut().for_each(|lot| lot.foods.clear());
        gist.lots
            .retain(|lot| lot.amount.is_some() || lot.matter.is_some() || !lot.bins.is_empty() || lot.vague);
    }
}

/// `60 ml out of the balcony tap`
fn comes_out_of_tap(text: &Text<'_>, clause: &Clause) -> bool {
    let tap = |at: usize| (at + 1..clause.to.min(at + 5)).any(|i| text.is_matter(i, Matter::Tap));
    (clause.from..clause.to).any(|at| text.has(at, Mark::From) && tap(at))
}

/// `throw it on the callaloo`
fn is_thrown(text: &Text<'_>, clause: &Clause) -> bool {
    clause.verb.is_some_and(|verb| text.has(verb.at + 1, Mark::It) || text.is(verb.at, Cue::Throws))
}

/// A preposition before what something is given to, with at most two words between and nothing of the room behind it.
fn feeds(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    let led = text.is(at, Cue::FedTo) || text.is(at, Cue::Under);
    led && at + 1 < clause.to
        && (at + 1..clause.to).all(|i| text.tokens[i].name.is_none())
        && (at + 1..clause.to.min(at + 4)).any(|i| is_food(text, i))
}
