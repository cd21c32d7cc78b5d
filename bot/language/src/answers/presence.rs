//! `I'm away until friday`, `I'm back`: they matter to the rota.

use crate::clause::{Clause, Joint, Subject, opens_question};
use crate::lexicon::{Act, Cue, Mark, Matter, TimeUnit};
use crate::reading::{Fact, FactKind, Slots};
use crate::scene::Scene;
use crate::text::Stop;
use crate::time::{Bound, Date, Direction, Placed, Toward, When, span};

/// What a message says about its writer's being there.
pub(crate) fn presence(scene: &Scene<'_>) -> Vec<(Fact, usize)> {
    let mut out = Vec::new();
    for (index, clause) in scene.clauses.iter().enumerate() {
        // `out of town until the 20th, can someone cover?`
        let told = scene.clauses.get(index + 1).is_some_and(|next| next.sentence == clause.sentence)
            && !opens_question(&scene.text, clause.from, clause.to, false);
        if clause.asks && !told || clause.stance.conditional || clause.stance.hearsay || clause.stance.story {
            continue;
        }
        if let Some(fact) = away(scene, clause, index)
            .or_else(|| elsewhere(scene, clause, index))
            .or_else(|| returning(scene, clause, index))
        {
            if let Some((known, _)) =
                out.iter_mut().find(|(known, _): &&mut (Fact, usize)| known.kind == FactKind::Away)
            {
                if known.slots.until.is_none() {
                    *known = fact;
                }
                continue;
            }
            scene.note("away", clause.from, clause.to);
            out.push((fact, index));
        } else if out.iter().all(|(known, _)| known.slots.until.is_none()) && back(scene, clause) {
            // `been on hols, I'm back now`
            out.clear();
            scene.note("back", clause.from, clause.to);
            out.push((super::plain(FactKind::Back), index));
        }
    }
    out
}

/// The first token that is no greeting or filler.
fn opening(scene: &Scene<'_>, clause: &Clause) -> usize {
    let text = &scene.text;
    (clause.from..clause.to)
        .find(|at| {
            !text.has_any(
                *at,
                &[
                    Mark::Hello,
                    Mark::Yes,
                    Mark::Sorry,
                    Mark::Bot,
                    Mark::And,
                    Mark::Laugh,
                    Mark::Please,
                    Mark::Thanks,
                    Mark::Will,
                ],
            ) && !text.is_sign(*at, '@')
        })
        .unwrap_or(clause.to)
}

fn mine(scene: &Scene<'_>, clause: &Clause, word: usize) -> bool {
    let text = &scene.text;
    // `that's me away`
    let thats_me = text.has_any(word.wrapping_sub(1), &[Mark::I])
        && text.has(word.wrapping_sub(2), Mark::Be)
        && text.has(word.wrapping_sub(3), Mark::It);
    let me = thats_me || (clause.from..word).any(|at| text.has(at, Mark::I) && !text.is(at, Cue::MineOrUs));
    let other = (clause.from..word).any(|at| {
        text.has_any(at, &[Mark::You, Mark::Other])
            || (text.tokens[at].is_word() && text.tokens[at].senses.is_empty() && text.tokens[at].capital)
    });
    let start = opening(scene, clause);
    let start = (start..clause.to).find(|at| !text.has_any(*at, &[Mark::Will, Mark::Be])).unwrap_or(start);
    let going = text.is_act(start, Act::Go) || text.is(start, Cue::Leaving);
    // `knees gone`
    let gone = word > clause.from
        && text.is(word, Cue::GoneOrAway)
        && text.tokens[word - 1].is_word()
        && text.senses(word - 1).is_empty();
    let thing = gone || (clause.from..word).any(|at| text.is(at, Cue::MyOrOur) && at + 2 <= word);
    if thing && !me {
        return false;
    }
    (me || start == word || going && start + 1 == word || matches!(clause.stance.subject, Subject::Me))
        && !other
}

fn away(scene: &Scene<'_>, clause: &Clause, index: usize) -> Option<Fact> {
    let text = &scene.text;
    let word = (clause.from..clause.to).find(|at| text.has(*at, Mark::Away))?;
    let verbal =
        clause.verb.is_some_and(|verb| !matches!(verb.act, Act::Go | Act::Get | Act::Run) && verb.at < word);
    let verbal = verbal || (clause.from..word).any(|at| text.is(at, Cue::Throws));
    // `can't do my turn, away till Sunday`: what the clause before denies is none of this one's.
    let denied = clause.stance.negated && (clause.from..clause.to).any(|at| text.has(at, Mark::Not));
    if verbal || denied || !mine(scene, clause, word) {
        return None;
    }
    // `away game`
    let next = word + 1;
    let lasts = scene.gists[index]
        .whens
        .iter()
        .any(|(when, _)| when.bound == Some(Bound::Until) && (when.date.is_some() || when.span.is_some()));
    // `away tramping for 5 days`
    let spans = text.word(next).ends_with("ing")
        && scene.gists[index].whens.iter().any(|(when, _)| when.span.is_some());
    let over = word > 0 && text.is(word - 1, Cue::WasDone) && !text.is(word - 1, Cue::Been);
    let noun = next < clause.to
        && !lasts
        && !spans
        && text.tokens[next].is_word()
        && text.senses(next).is_empty()
        && !text.tokens[next].capital;
    // `off to bed`, `away from my desk`
    let near = text.is(next, Cue::Nearby) || text.has(next, Mark::The) && text.is(next + 1, Cue::Errand);
    let from_it = text.has(next, Mark::From)
        && text.has_any(next + 1, &[Mark::The, Mark::I])
        && text.tokens.get(next + 2).is_some_and(|token| token.is_word() && token.senses.time().is_none());
    let errand = near && text.is(word, Cue::OffTo) || from_it && !text.word(next + 2).starts_with("home");
    let errand = errand
        || text.is(word, Cue::OffTo)
            && text.verb(next).is_some_and(|(_, forms)| forms.has(crate::lexicon::Forms::BASE));
    // `blue is full and gone to the shed`
    let of_thing = clause.joint == Joint::And && clause.stance.subject == Subject::Thing;
    // `the contract's sealed and off to the lawyers`, `200 ml drained, off to the tomatoes with it`
    let done_to_it = clause.joint == Joint::And
        && index > 0
        && scene.clauses[index - 1].verb.is_some_and(|verb| text.is(verb.at.wrapping_sub(1), Cue::TailS));
    // `the porch bin is gone, off to the tip`
    let before = index.checked_sub(1).map(|before| &scene.gists[before]);
    let bin_went = clause.from == word
        && !lasts
        && before.is_some_and(|gist| {
            gist.bins.first().is_some_and(|(_, at)| *at <= scene.clauses[index - 1].from + 1)
        })
        && scene.clauses[index - 1].sentence == clause.sentence;
    let with_it = (word..clause.to).any(|at| text.has(at, Mark::With) && text.has(at + 1, Mark::It));
    let of_thing = of_thing || text.is(word, Cue::OffTo) && (done_to_it || bin_went || with_it);
    if noun || errand || over || of_thing || (clause.from..word).any(|at| text.has(at, Mark::Can)) {
        return None;
    }
    // `gone` of scraps, `away` of a walk
    let me = (clause.from..word).any(|at| text.has(at, Mark::I));
    let all = (clause.from..word).any(|at| text.is(at, Cue::All));
    let eaten = !me && (all || text.is(word + 1, Cue::Already));
    // `gone green bin`
    let of_bin = (word + 1..clause.to).any(|at| text.is_matter(at, Matter::Bin));
    if text.is(word, Cue::GoneOrAway) && (eaten || of_bin) {
        return None;
    }
    let mut slots = Slots::default();
    let whens: Vec<When> = scene
        .clauses
        .iter()
        .zip(&scene.gists)
        .enumerate()
        .filter(|(at, (other, _))| {
            *at >= index && other.sentence <= clause.sentence + 1 || other.sentence == clause.sentence
        })
        .flat_map(|(at, (_, gist))| gist.whens.iter().map(move |(when, _)| (*when, at)))
        // `can't do it until saturday, I'm away`
        .filter(|(when, at)| *at >= index || when.bound == Some(Bound::Until))
        .map(|(when, _)| when)
        .collect();
    let during = || {
        (word + 1..clause.to).find_map(|at| span(text, at)).map(|(span, _)| scene.zoned.end_of(span, None))
    };
    if let Some(moment) = end(scene, &whens, index).or_else(during) {
        slots.until = Some(moment.at);
        slots.precision = Some(moment.precision);
    }
    Some(Fact { kind: FactKind::Away, slots })
}

/// `in Rome until the 24th`, `we're at the in-laws till tuesday`: a place, and the day it lasts to.
fn elsewhere(scene: &Scene<'_>, clause: &Clause, index: usize) -> Option<Fact> {
    let (text, gist) = (&scene.text, &scene.gists[index]);
    let start = opening(scene, clause);
    let start = (start..clause.to).find(|at| !text.has_any(*at, &[Mark::I, Mark::Be, Mark::Will]))?;
    let place = start + 1 + usize::from(text.has_any(start + 1, &[Mark::The, Mark::I]));
    let lasts = |when: &When| {
        let days = |(span, toward): (crate::time::Span, Toward)| {
            toward == Toward::During
                && !matches!(span.unit, TimeUnit::Second | TimeUnit::Minute | TimeUnit::Hour)
        };
        when.bound == Some(Bound::Until) && when.date.is_some() || when.span.is_some_and(days)
    };
    let until = gist.whens.iter().find(|(when, _)| lasts(when))?;
    // `camping till sunday`, `on a trip until the 19th`
    let led = text.has_any(start, &[Mark::In, Mark::Off]) || text.is(start, Cue::Leisure);
    let leisure = led && (start..until.1).any(|at| text.is(at, Cue::Leisure)) && until.1 < start + 6;
    let somewhere = leisure
        || text.is(start, Cue::StayingAt)
            && text.tokens.get(place).is_some_and(|token| {
                token.is_word()
                    && token.name.is_none()
                    && token.senses.is_empty()
                    && !text.is(place, Cue::DailyPlace)
            });
    let alone = !gist.trade && gist.lots.is_empty() && gist.bins.is_empty() && clause.verb.is_none();
    if !(somewhere && alone && until.1 > start) || clause.stance.negated || clause.asks {
        return None;
    }
    let moment = end(scene, &[until.0], index)?;
    Some(Fact {
        kind: FactKind::Away,
        slots: Slots { until: Some(moment.at), precision: Some(moment.precision), ..Slots::default() },
    })
}

/// `I'll be back on sunday`: away until then.
fn returning(scene: &Scene<'_>, clause: &Clause, index: usize) -> Option<Fact> {
    let (text, gist) = (&scene.text, &scene.gists[index]);
    let word = (clause.from..clause.to).find(|at| text.is(*at, Cue::Back))?;
    let gone = scene.clauses[..index].iter().any(|other| {
        other.sentence == clause.sentence && (other.from..other.to).any(|at| text.is(at, Cue::Travels))
    });
    // `back on monday`
    let me = (clause.from..word).any(|at| text.has(at, Mark::I));
    let alone_on = (me || opening(scene, clause) == word) && text.is(word + 1, Cue::On);
    let will =
        alone_on || clause.stance.planned || (clause.from..word).any(|at| text.has(at, Mark::Will)) || gone;
    let other = (clause.from..word).any(|at| {
        text.has_any(at, &[Mark::You, Mark::Other, Mark::Someone, Mark::It])
            || text.tokens[at].is_word() && text.tokens[at].senses.is_empty()
    });
    let day = gist.whens.iter().map(|(when, _)| *when).find(|when| {
        when.date.is_some_and(|date| !matches!(date, Date::Days(days) if days <= 0)) && when.bound.is_none()
    })?;
    let alone = clause.verb.is_none() && !gist.trade && gist.lots.is_empty();
    if !will || other || !alone || clause.asks || clause.stance.negated {
        return None;
    }
    let Placed::At(moment) = scene.zoned.place(&day, Direction::Future) else { return None };
    Some(Fact {
        kind: FactKind::Away,
        slots: Slots { until: Some(moment.at), precision: Some(moment.precision), ..Slots::default() },
    })
}

/// When somebody is back: `until friday`, `for two weeks`, `back on the 14th`, `from 3 to 10 march`.
fn end(scene: &Scene<'_>, whens: &[When], index: usize) -> Option<crate::time::Moment> {
    let place = |when: &When| match scene.zoned.place(&When { bound: None, ..*when }, Direction::Future) {
        Placed::At(moment) => Some(moment),
        Placed::Minutes(minutes) => Some(
            scene
                .zoned
                .end_of(crate::time::Span { count: minutes, unit: crate::lexicon::TimeUnit::Minute }, None),
        ),
        _ => None,
    };
    if let Some(until) = whens.iter().find(|when| when.bound == Some(Bound::Until)) {
        return place(until);
    }
    let start = whens
        .iter()
        .find(|when| when.date.is_some() && when.bound.is_none() && !matches!(when.date, Some(Date::Days(0))))
        .and_then(place);
    if let Some((span, _)) =
        whens.iter().find_map(|when| when.span.filter(|(_, toward)| *toward == Toward::During))
    {
        return Some(scene.zoned.end_of(span, start));
    }
    let text = &scene.text;
    let back = scene.clauses[index..]
        .iter()
        .any(|clause| (clause.from..clause.to).any(|at| text.has(at, Mark::Back)));
    if back {
        return whens.iter().rev().find(|when| when.is_moment()).and_then(place);
    }
    None
}

/// `I'm home`, `got home last night`
fn is_home(scene: &Scene<'_>, clause: &Clause, at: usize) -> bool {
    let text = &scene.text;
    // `got home, opened blue` tells when.
    let alone = clause.to >= text.tokens.len() || !text.is_pause(clause.to);
    let led = at > clause.from && (text.has(at - 1, Mark::Be) || text.is(at - 1, Cue::Got) && alone);
    text.is(at, Cue::Home)
        && led
        && (at + 1..clause.to).all(|i| text.time(i).is_some() || text.is(i, Cue::Safe))
}

fn back(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let Some(word) = (clause.from..clause.to).find(|at| {
        (text.has(*at, Mark::Back) || is_home(scene, clause, *at)) && text.tokens[*at].name.is_none()
    }) else {
        return false;
    };
    let stance = clause.stance;
    let first = opening(scene, clause);
    // `just got back`
    let led = (first..word).all(|at| text.is(at, Cue::Just) || text.is(at, Cue::Got));
    // `that's me back`
    let me = (first..word).all(|at| text.has_any(at, &[Mark::It, Mark::Be, Mark::I]))
        && word > first
        && text.has(first, Mark::It)
        && text.has(word - 1, Mark::I);
    let led = led || me;
    // `my back's gone`
    if word > 0 && text.is(word - 1, Cue::Possessive) {
        return false;
    }
    if stance.planned
        || stance.negated
        // `when the light comes back`
        || text.has_any(clause.from, &[Mark::When, Mark::If])
        || clause.verb.is_some_and(|verb| !matches!(verb.act, Act::Get | Act::Go))
        || !(led || mine(scene, clause, word))
    {
        return false;
    }
    let gist_future = (word + 1..clause.to).any(|at| {
        matches!(
            text.time(at),
            Some(
                crate::lexicon::TimeWord::Day(1 | 2)
                    | crate::lexicon::TimeWord::Weekday(_)
                    | crate::lexicon::TimeWord::Next
            )
        ) || text.is(at, Cue::On)
    });
    let noun = text.tokens.get(word + 1).is_some_and(|next| next.is_word() && word + 1 < clause.to)
        && text.is(word + 1, Cue::NotReturning);
    // `back's gone`, `back hall's 58 degrees`
    // `returned the spade to the shed`
    let object = text.is(word, Cue::Returned) && text.has_any(word + 1, &[Mark::The, Mark::I, Mark::A]);
    if object
        || text.is(word + 1, Cue::TailS)
        || text.has(word + 1, Mark::Be)
        || text.has(word + 1, Mark::KitchenPlace)
    {
        return false;
    }
    let ahead = scene.pieces.iter().any(|piece| piece.from > word && piece.to <= clause.to && matches!(piece.kind, crate::clause::PieceKind::When(when) if matches!(when.span, Some((_, Toward::Ahead | Toward::During))) || when.clock.is_some() || when.date.is_some_and(|date| matches!(date, Date::Days(days) if days > 0))));
    // `back in 5`
    let counted = text.is(word + 1, Cue::In) && (text.digits(word + 2).or(text.cardinal(word + 2))).is_some();
    if ahead || counted || (word + 1..clause.to).any(|at| text.has(at, Mark::Later)) {
        return false;
    }
    let be_me = first < word && text.has(first, Mark::I) || led;
    let phrase = text.kind(clause.to) != Some(crate::text::Kind::Stop(Stop::Question));
    !gist_future && !noun && be_me && phrase && clause.to - clause.from <= 10
}
