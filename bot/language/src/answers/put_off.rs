//! `in an hour`, `tonight at 8`, `not now`, `skip it`.

use crate::clause::{Clause, Piece, PieceKind};
use crate::lexicon::{Act, Cue, Mark};
use crate::reading::{Fact, FactKind, Precision, Slots};
use crate::scene::Scene;
use crate::time::{Date, Direction, Flag, Moment, Placed, When, span};

use super::plain;

/// A nudge put off or declined.
pub(super) fn put_off(scene: &Scene<'_>, tells: bool) -> Option<Fact> {
    if tells {
        return None;
    }
    let text = &scene.text;
    let any = |mark: Mark| (0..text.tokens.len()).find(|at| text.has(*at, mark));
    let answering = scene.message.reply_to.is_some();
    // `wait, 3 cups`
    let hesitates = text.is(0, Cue::Wait) && text.is_stop(1);
    // `half an hour, ok?`
    let tag = |clause: &Clause| {
        clause.to == clause.from + 1 && text.has_any(clause.from, &[Mark::Yes, Mark::Possible])
    };
    let asked = scene.clauses.iter().any(|clause| clause.asks && !tag(clause));
    // `should I wait longer with blue`
    let waits = |at: usize| text.is(at, Cue::Waiting) || asked && text.is(at, Cue::Wait);
    let reminding = !hesitates
        && (0..text.tokens.len()).any(|at| {
            // `thanks for the nudge`
            let thanked = text.is(at.wrapping_sub(1), Cue::For) && (0..at).any(|i| text.has(i, Mark::Thanks));
            let counted =
                text.scale(at.wrapping_sub(1)).or_else(|| text.cardinal(at.wrapping_sub(1))).is_some();
            let noun =
                thanked || counted || text.has_any(at.wrapping_sub(1), &[Mark::The, Mark::A, Mark::Of]);
            text.is_act(at, Act::Remind) && !waits(at) && !noun
        });
    if asked && !(reminding && (0..text.tokens.len()).any(|at| text.has_any(at, &[Mark::Can, Mark::Please])))
    {
        return None;
    }
    if let Some(at) = any(Mark::Skip).filter(|_| answering || text.tokens.len() <= 4)
        && !scene.gists.iter().flat_map(|gist| &gist.whens).any(|(when, _)| lies_ahead(scene, when))
    {
        scene.note("skip", at, at + 1);
        return Some(plain(FactKind::Skip));
    }
    let past = scene.clauses.iter().any(|clause| {
        clause
            .verb
            .is_some_and(|verb| verb.act == Act::Finish && !verb.forms.has(crate::lexicon::Forms::BASE))
            && !clause.stance.planned
            && !clause.stance.negated
    });
    let planned = scene.clauses.iter().any(|clause| clause.stance.planned || clause.stance.negated);
    // `done, though not when you asked, at half past ten`
    let opens = scene.text.has(0, Mark::Done) && (scene.text.is_stop(1) || scene.text.tokens.len() == 1);
    let planned = planned && !opens;
    let done = any(Mark::Done).is_some() || past;
    if !(answering || reminding) || (done && !planned && !reminding) {
        return None;
    }
    if let Some(moment) = over_alone(scene) {
        scene.note("done", 0, text.tokens.len());
        let slots = Slots { at: Some(moment.at), precision: Some(moment.precision), ..Slots::default() };
        return Some(Fact { kind: FactKind::Done, slots });
    }
    if let Some(slots) = when(scene) {
        scene.note("later", 0, text.tokens.len());
        return Some(Fact { kind: FactKind::Later, slots });
    }
    let at = any(Mark::Later).or_else(|| (reminding && !of_something_else(scene)).then_some(0))?;
    scene.note("later", at, at + 1);
    Some(plain(FactKind::Later))
}

/// `remind me to call my sister`: of no work on the bins.
fn of_something_else(scene: &Scene<'_>) -> bool {
    let text = &scene.text;
    let on_bins = |at: usize| {
        use Act::{Add, Bury, Check, Clean, Drain, Finish, Make, Open, Plant, Seal, Start};
        let act = text.verb(at).map(|(act, _)| act);
        act.is_none_or(|act| {
            matches!(act, Add | Bury | Check | Clean | Drain | Finish | Make | Open | Plant | Seal | Start)
        })
    };
    let told = (0..text.tokens.len()).find(|at| text.is_act(*at, Act::Remind) && text.is(at + 2, Cue::To));
    told.is_some_and(|at| !on_bins(at + 3) && scene.message.reply_to.is_none())
}

/// A part of today that is well over: `this morning`, said in the afternoon.
fn is_over(scene: &Scene<'_>, moment: &Moment) -> bool {
    let hours = (scene.message.now - moment.at).num_hours();
    moment.precision == Precision::Part && hours >= 5 || hours >= 24
}

/// `yes, this morning`, `yesterday`: nothing but when it was done.
fn over_alone(scene: &Scene<'_>) -> Option<Moment> {
    scene.message.reply_to?;
    let idle = |piece: &Piece| {
        matches!(piece.kind, PieceKind::When(_))
            || !scene.text.tokens[piece.from].is_word()
            || scene.text.has_any(piece.from, &[Mark::Yes, Mark::Hello])
    };
    let whens: Vec<When> = scene.gists.iter().flat_map(|gist| &gist.whens).map(|(when, _)| *when).collect();
    let [when] = whens[..] else { return None };
    let part = when.part.is_some_and(|part| part.today && !part.night)
        || matches!(when.date, Some(Date::Days(days)) if days < 0);
    match scene.zoned.place(&when, Direction::Past) {
        Placed::At(moment)
            if part && when.is_moment() && is_over(scene, &moment) && scene.pieces.iter().all(idle) =>
        {
            Some(moment)
        }
        _ => None,
    }
}

/// `in 45 min, hands are full`, `gimme 20 minutes, stuck in a meeting`: what follows the answer is but its reason.
pub(crate) fn opens_with_delay(scene: &Scene<'_>) -> bool {
    let Some((clause, gist)) =
        scene.clauses.iter().zip(&scene.gists).find(|(clause, _)| clause.to > clause.from)
    else {
        return false;
    };
    let text = &scene.text;
    let minutes = |when: &When| matches!(scene.zoned.place(when, Direction::Future), Placed::Minutes(_));
    let begged =
        text.is(clause.from, Cue::GiveMe) && (clause.from..clause.to).any(|at| span(text, at).is_some());
    scene.message.reply_to.is_some()
        && gist.lots.is_empty()
        && (begged || clause.verb.is_none() && gist.whens.iter().any(|(when, _)| minutes(when)))
}

/// A time after today, or so many minutes from now; `not today, skip` names none.
fn lies_ahead(scene: &Scene<'_>, when: &When) -> bool {
    match scene.zoned.place(&When { bound: None, ..*when }, Direction::Future) {
        Placed::At(moment) => {
            moment.precision != Precision::Day || moment.at.date_naive() > scene.zoned.now.date_naive()
        }
        Placed::Minutes(_) => true,
        _ => false,
    }
}

/// Until when, or for how many minutes.
fn when(scene: &Scene<'_>) -> Option<Slots> {
    let mut slots = Slots::default();
    // `slammed right now, in 45 minutes`
    let ahead = |when: &&(When, usize)| when.0.flag != Some(Flag::Now);
    let told = scene.gists.iter().flat_map(|gist| &gist.whens).filter(ahead);
    // `not today, tomorrow`
    let today = When { date: Some(Date::Days(0)), ..When::default() };
    let denied = |(when, at): &(When, usize)| {
        *when == today && (at.saturating_sub(2)..*at).any(|i| scene.text.has(i, Mark::Not))
    };
    let other = told.clone().any(|when| !denied(when));
    let told = told.filter(|when| !(other && denied(when)));
    let told = told.map(|(when, _)| When { bound: None, ..*when });
    if let Some(when) = told.reduce(|a, b| a.and(b).unwrap_or(a)) {
        // `can't today` tells when not.
        let not = (0..scene.text.tokens.len()).any(|at| scene.text.has_any(at, &[Mark::Not, Mark::No]));
        if not && when == today {
            return Some(slots);
        }
        match scene.zoned.place(&when, Direction::Future) {
            Placed::At(moment) if moment.at > scene.message.now => {
                slots.until = Some(moment.at);
                slots.precision = Some(moment.precision);
                return Some(slots);
            }
            Placed::At(moment)
                if moment.precision != Precision::Minute
                    && !is_over(scene, &moment)
                    && moment.at.date_naive() == scene.zoned.now.date_naive() =>
            {
                slots.until = Some(moment.at);
                slots.precision = Some(moment.precision);
                return Some(slots);
            }
            Placed::Minutes(minutes) => {
                slots.minutes = Some(minutes);
                return Some(slots);
            }
            _ => return None,
        }
    }
    // `give me 20 minutes`
    let (length, _) = (0..scene.text.tokens.len()).find_map(|at| span(&scene.text, at))?;
    let end = scene.zoned.end_of(length, None);
    let minutes = (end.at - scene.message.now.fixed_offset()).num_minutes();
    if end.precision == Precision::Minute {
        slots.minutes = Some(minutes as f64);
    } else {
        slots.until = Some(end.at);
        slots.precision = Some(end.precision);
    }
    Some(slots)
}
