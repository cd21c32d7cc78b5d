//! What was seen and smelt: smell, mould, moisture, pests, lid.

use crate::clause::Clause;
use crate::lexicon::{Act, Cue, Mark, Matter, Sense, english};
use crate::reading::{Lid, Moisture, Mould, Slots, Smell};
use crate::scene::Scene;
use crate::text::Text;

/// The symptoms that a clause tells, or `None`.
pub(crate) fn symptoms(scene: &Scene<'_>, clause: &Clause) -> Option<Slots> {
    let (text, mut slots) = (&scene.text, Slots::default());
    if is_of_bran(text, clause) {
        return None;
    }
    // `it stunk worse than a bin in august`
    let likened = |at: usize| {
        text.is(at, Cue::Than) && text.has(at + 1, Mark::A) && text.is_matter(at + 2, Matter::Bin)
    };
    if (clause.from..clause.to).any(likened) {
        return None;
    }
    let range = clause.from..clause.to;
    smell(scene, clause, &mut slots);
    mould(text, clause, &mut slots);
    slots.moisture = judged_moisture(text, clause);
    // `my thermos lid is leaking`
    let ours = |at: usize| !text.is(at.wrapping_sub(1), Cue::OtherVessel);
    let lid = range.clone().find(|at| text.is_matter(*at, Matter::Lid) && ours(*at));
    for at in range {
        if text.tokens[at].name.is_some() {
            continue;
        }
        for sense in text.senses(at) {
            match *sense {
                Sense::Pests if pests_meant(text, at) && !is_opinion(text, clause, at) => {
                    slots.pests = Some(!denied(text, clause.from, at));
                }
                Sense::Moisture(moisture)
                    if slots.moisture.is_none() && lid.is_none() && moist_meant(text, clause, at) =>
                {
                    slots.moisture = match (moisture, denied(text, clause.from, at)) {
                        (known, false) => Some(known),
                        (Moisture::Wet | Moisture::Dry, true)
                            if text.is(at, Cue::LedToo) || text.is(at - 1, Cue::Too) =>
                        {
                            Some(Moisture::Fine)
                        }
                        _ => None,
                    };
                }
                Sense::Mark(Mark::Possible | Mark::Thanks)
                    if slots.lid.is_none()
                        && lid.is_some_and(|lid| lid < at)
                        // `a book on the lid for good measure`
                        && !text.is(at - 1, Cue::For)
                        && text.is(at, Cue::FineLid) =>
                {
                    // `no mould lid's fine`: of the mould
                    let from = lid.unwrap_or(clause.from);
                    slots.lid = Some(if denied(text, from, at) { Lid::Loose } else { Lid::Fine });
                }
                Sense::Lid(state)
                    if slots.lid.is_none()
                        && lid_meant(text, at, state, lid)
                        && !handles_lid(clause, at, lid) =>
                {
                    let from = lid.filter(|lid| *lid < at).unwrap_or(clause.from);
                    slots.lid = Some(lid_state(text, from, at, state));
                }
                _ => {}
            }
        }
    }
    let any = slots.smell.is_some()
        || slots.mould.is_some()
        || slots.moisture.is_some()
        || slots.pests.is_some()
        || slots.lid.is_some();
    any.then_some(slots)
}

/// `the bran is dry`, `bran smells musty`: nothing of what a bin holds.
fn is_of_bran(text: &Text<'_>, clause: &Clause) -> bool {
    let bran = (clause.from..clause.to).find(|at| text.is_matter(*at, Matter::Bran));
    bran.is_some_and(|at| {
        text.has_any(at + 1, &[Mark::Be, Mark::Have]) || clause.verb.is_some_and(|verb| verb.at == at + 1)
    })
}

/// Whether `no`, `not` or `without` stands right before.
fn denied(text: &Text<'_>, from: usize, at: usize) -> bool {
    // `bugs: none`
    if text.is_word(at + 1, ":") && text.has(at + 2, Mark::No) {
        return true;
    }
    (from.max(at.saturating_sub(5))..at)
        .any(|i| text.has_any(i, &[Mark::No, Mark::Not, Mark::OutOf]) && !text.is(i, Cue::Forgot))
}

fn smell(scene: &Scene<'_>, clause: &Clause, slots: &mut Slots) {
    let text = &scene.text;
    // `had a look at blue, it's just sour`
    let looked = scene.clauses.iter().any(|other| {
        other.sentence == clause.sentence
            && other.from < clause.from
            && other
                .verb
                .is_some_and(|verb| matches!(verb.act, Act::Look | Act::Check | Act::Open | Act::Smell))
    });
    let range = clause.from..clause.to;
    let unnamed = |at: &usize| text.tokens[*at].name.is_none();
    let verb = range.clone().filter(unnamed).find(|at| text.is_act(*at, Act::Smell));
    let noun = range.clone().filter(unnamed).find(|at| text.senses(*at).contains(&Sense::SmellNoun));
    let told = range.clone().filter(unnamed).find_map(|at| {
        let smell = text
            .sense(at, |s| if let Sense::Smell(smell) = s { Some(smell) } else { None })
            .or_else(|| verb.or(noun).filter(|near| *near < at).and_then(|_| likened(text, clause, at)))?;
        let loose = text.is_matter(at, Matter::Cleaner) || text.is(at, Cue::SmellWord);
        // `rotten smelling`
        let near = verb.is_some_and(|verb| verb < at || verb == at + 1)
            || noun.is_some()
            || looked && clause.verb.is_none();
        let other_thing = (clause.from..at)
            .any(|i| text.tokens[i].is_word() && text.senses(i).is_empty() && text.tokens[i].name.is_none());
        let other_thing = other_thing || is_of_another_thing(text, clause);
        // `the horrid furry sort` looks so.
        let looks = text.senses(at + 1).contains(&Sense::MouldNoun);
        let alone = !other_thing && !loose && !looks && clause.verb.is_none() && !before_food(text, at);
        // `smells more rotten than that bin ever did`
        let compared = (at + 1..clause.to.min(at + 3)).any(|i| text.is(i, Cue::Than));
        (!compared && (near || alone || smell == Smell::Ammonia)).then_some((smell, at))
    });
    if let Some((smell, at)) = told {
        let nothing = denied(text, clause.from, at);
        slots.smell = match (smell, nothing) {
            (smell, false) => Some(smell),
            (_, true) => Some(Smell::None),
        };
        return;
    }
    if let Some(at) = noun.or(verb) {
        // `smell: none`
        let none = noun == Some(at) && text.is(at + 1 + usize::from(text.is_stop(at + 1)), Cue::NothingCame);
        if none
            || denied(text, clause.from, at + 1)
            || range.clone().any(|i| text.is(i, Cue::AnySmell)) && text.has_any(clause.to - 1, &[Mark::No])
        {
            slots.smell = Some(Smell::None);
        } else if verb == Some(at) && text.is(at, Cue::Stinks) {
            slots.smell = Some(Smell::Rotten);
        } else if range.clone().any(|i| i > at && text.is(i, Cue::NiceSmell)) {
            slots.smell = Some(Smell::SweetSour);
        }
    }
}

/// `my lunch was rotten`: said of a thing that is none of the trade's.
fn is_of_another_thing(text: &Text<'_>, clause: &Clause) -> bool {
    let Some(be) = (clause.from + 2..clause.to).find(|at| text.has(*at, Mark::Be)) else { return false };
    let of_trade = |at: usize| {
        text.tokens[at].name.is_some()
            || text.matter(at).is_some()
            || text.has_any(at, &[Mark::It, Mark::KitchenPlace])
            || text
                .senses(at)
                .iter()
                .any(|s| matches!(s, Sense::SmellNoun | Sense::MouldNoun | Sense::Food(_)))
    };
    text.has(clause.from, Mark::The) && !(clause.from..be).any(of_trade)
}

/// `like some very old wine`: what it is like, with a few words between.
fn likened(text: &Text<'_>, clause: &Clause, at: usize) -> Option<Smell> {
    if !text.is(at, Cue::Like) {
        return None;
    }
    (at + 1..clause.to.min(at + 5)).find_map(|from| {
        let word_at = |offset: usize| (from + offset - 1 < clause.to).then(|| text.word(from + offset - 1));
        let (senses, _) = english().phrase("like", word_at)?;
        senses.iter().find_map(|s| if let Sense::Smell(smell) = s { Some(*smell) } else { None })
    })
}

fn before_food(text: &Text<'_>, at: usize) -> bool {
    text.senses(at + 1).iter().any(|s| matches!(s, Sense::Food(_) | Sense::Matter(Matter::Scraps)))
        || text.unit(at + 1).is_some()
}

fn mould(text: &Text<'_>, clause: &Clause, slots: &mut Slots) {
    let range = clause.from..clause.to;
    let Some(noun) = range.clone().find(|at| {
        text.senses(*at).contains(&Sense::MouldNoun)
            && text.tokens[*at].name.is_none()
            && !before_food(text, *at)
            && !(text.is(*at, Cue::Growth) && colour(text, clause, *at).is_none())
    }) else {
        return;
    };
    // `mould: none`, `mould nil`
    let after = noun + 1 + usize::from(text.is_stop(noun + 1));
    let nil = text.is(after, Cue::NothingCame) || text.cardinal(after) == Some(0.0);
    let ends = after + 1 >= text.tokens.len() || text.is_stop(after + 1);
    if nil && ends || denied(text, clause.from, noun) {
        slots.mould = Some(Mould::None);
    } else {
        slots.mould = Some(colour(text, clause, noun).unwrap_or(Mould::Other));
        if colour(text, clause, noun).is_none() && text.is(noun, Cue::Fuzz) {
            slots.mould = Some(Mould::Other);
        }
    }
}

/// The colour nearest to the mould: before it, or after `is`.
fn colour(text: &Text<'_>, clause: &Clause, noun: usize) -> Option<Mould> {
    let of = |at: usize| {
        if text.tokens[at].name.is_some() {
            return None;
        }
        text.sense(at, |s| if let Sense::Colour(colour) = s { Some(colour) } else { None })
    };
    of(noun)
        .or_else(|| (clause.from.max(noun.saturating_sub(5))..noun).rev().find_map(of))
        .or_else(|| (noun + 1..clause.to.min(noun + 8)).find_map(of))
}

/// `I hate fruit flies`: a feeling, no finding.
fn is_opinion(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    let me = (clause.from..at).any(|i| text.has(i, Mark::I) && !text.is(i, Cue::MyOrOur));
    let feels = (clause.from..at).any(|i| text.is(i, Cue::Feels));
    // `the rats love such buckets`
    // `the kids love the worms`
    let liked = (clause.from..at)
        .any(|i| text.is(i, Cue::Feels) && text.has_any(i.wrapping_sub(1), &[Mark::Other, Mark::You]));
    me && feels || liked || text.is(at + 1, Cue::Feels)
}

fn pests_meant(text: &Text<'_>, at: usize) -> bool {
    let counted = text.has_any(at.wrapping_sub(1), &[Mark::No, Mark::A]);
    let verb = text.is_act(at, Act::Fill) || text.is(at, Cue::Fly) && !counted;
    !(verb || text.is(at, Cue::Mouse) || text.is(at, Cue::Bugs) && text.has(at + 1, Mark::I))
}

/// `moisture is just ok`
fn judged_moisture(text: &Text<'_>, clause: &Clause) -> Option<Moisture> {
    let noun = (clause.from..clause.to).find(|at| text.is(*at, Cue::MoistureNoun))?;
    let verdict = (noun + 1..clause.to.min(noun + 5)).find(|at| text.is(*at, Cue::FineLid))?;
    (!denied(text, clause.from, verdict)).then_some(Moisture::Fine)
}

/// `it's dry inside`, not `dry leaves`.
fn moist_meant(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    let attribute = before_food(text, at) || text.is_matter(at + 1, Matter::Bran);
    // `I'm soaked`
    let of_me = text.has(at.wrapping_sub(1), Mark::Be) && text.has(at.wrapping_sub(2), Mark::I);
    let weather = (clause.from..clause.to).any(|i| text.is(i, Cue::OtherWetThings));
    let tap = (clause.from..at).any(|i| text.is_matter(i, Matter::Tap));
    // `let it dry` is about what was washed.
    let drying = text.is(at.wrapping_sub(1), Cue::To)
        || text.has(at.wrapping_sub(1), Mark::It) && text.is(at.wrapping_sub(2), Cue::Lets);
    !attribute
        && !weather
        && !drying
        && !tap
        && !of_me
        && !clause.verb.is_some_and(|v| matches!(v.act, Act::Clean | Act::Add | Act::Drain | Act::Water))
}

/// `cracked the lid on blue`, `took the lid off`, `put the lid on tight`: what was done with it, and not how it is.
fn handles_lid(clause: &Clause, at: usize, lid: Option<usize>) -> bool {
    let Some((verb, lid)) = clause.verb.zip(lid) else { return false };
    let handles = matches!(verb.act, Act::Take | Act::Remove | Act::Open | Act::Get | Act::Add | Act::Set);
    verb.at == at && lid > at || handles && verb.at < lid
}

fn lid_meant(text: &Text<'_>, at: usize, state: Lid, lid: Option<usize>) -> bool {
    let strong = matches!(state, Lid::Bulging) && text.is(at, Cue::Bulges)
        || (state == Lid::Leaking && text.is(at, Cue::Leaks));
    let bin = |at: usize| {
        text.has(at, Mark::It)
            || text.name(at, crate::name::NameKind::Bin).is_some()
            || text.is_matter(at, Matter::Bin)
    };
    // `the blue bin is leaking`, `why is the blue bin leaking`
    let is = text.has(at.wrapping_sub(1), Mark::Be) && at > 0 && (at < 2 || bin(at - 2));
    let asked = at > 1 && bin(at - 1) && (at.saturating_sub(4)..at - 1).any(|i| text.has(i, Mark::Be));
    let leaks = state == Lid::Leaking && strong && (is || asked);
    lid.is_some() || strong && state == Lid::Bulging || leaks
}

fn lid_state(text: &Text<'_>, from: usize, at: usize, state: Lid) -> Lid {
    if denied(text, from, at) {
        return if state == Lid::Fine { Lid::Loose } else { Lid::Fine };
    }
    state
}
