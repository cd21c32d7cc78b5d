//! Answers to a nudge: done, later, not this time; in words or as a reaction.

use branbell_language::{Fact, Reading};
use branbell_scheduler::fact::{Signs, What};
use branbell_scheduler::plan::{NudgeKind, Numbers, Subject, plan};
use branbell_scheduler::quantity::ferment;
use branbell_scheduler::state::Room;
use chrono::{DateTime, TimeDelta, Utc};

use super::fill::{self, Lacks};
use super::hearing::MOST_WORDS;
use super::phrase::Phrase;
use super::{Answer, Decision, Heard, Item, NudgeChange, Occasion, Told, may, question, strip, which};

/// `Later` without a time: long enough to get home, short enough for the same day.
const LATER: TimeDelta = TimeDelta::hours(3);

/// Work that comes round again is let go for one round, not for good.
const NEXT_ROUND: TimeDelta = TimeDelta::days(2);

/// The work that the nudge asked for was done; where several were asked for in one message, it is asked which.
pub(super) fn done(ahead: &mut Room, on: Occasion<'_>, at: DateTime<Utc>, decision: &mut Decision) {
    let Some(answering) = on.heard.work() else {
        decision.answers.push(Answer::NothingAsked);
        return;
    };
    match &answering.items[..] {
        _ if answering.items.iter().all(|item| !item.open) => decision.answers.push(Answer::DoneAlready),
        [only] => one_done(ahead, on, only, at, decision),
        several => decision.ask_back(which::ask(on, several)),
    }
}

/// The work that one nudge asked for was done.
pub(super) fn one_done(
    ahead: &mut Room,
    on: Occasion<'_>,
    item: &Item,
    at: DateTime<Utc>,
    decision: &mut Decision,
) {
    if let Some(asked) = strip::ask_again(ahead, on, item) {
        return decision.ask_back(asked);
    }
    let Some((what, lacks)) = asked_for(ahead, item, on.now) else {
        decision.nudges.push((item.key.clone(), NudgeChange::Answered));
        decision.answers.push(Answer::LetGo);
        return;
    };
    if !may(ahead, &on.heard.incoming.sender, &what) {
        decision.answers.push(Answer::only_for_stewards(ahead));
        return;
    }
    let place = decision.tell(ahead, on.heard, Told::new(on.source.event.to_owned(), at, what));
    decision.answers.push(Answer::Kept(place));
    if let Some(lacks) = lacks {
        let seq = on.heard.seq(place);
        decision.ask_back(question::afterwards(ahead, on, lacks, seq));
    }
}

/// The fact that a nudge asked for, and what would be good to know about it; none where it only told something.
fn asked_for(room: &Room, item: &Item, now: DateTime<Utc>) -> Option<(What, Option<Lacks>)> {
    let numbers =
        || plan(room, now).into_iter().find(|nudge| nudge.key.0 == item.key).map(|nudge| nudge.numbers);
    let bin = item.bin().cloned();
    Some(match item.kind {
        NudgeKind::Drain => {
            let bin = bin?;
            let ml = fill::expected_liquid(room, &bin, now).get();
            (What::Drained { bin, ml, used: None, estimated: true }, Some(Lacks::Drained))
        }
        NudgeKind::Bran => match numbers()? {
            Numbers::Bran { bran_ml } => (What::Bran { bin: bin?, ml: Some(bran_ml.0), g: None }, None),
            _ => return None,
        },
        NudgeKind::Seal => (What::Sealed { bin: bin? }, None),
        // It is asked of a lost batch whether it is out.
        NudgeKind::Check if is_lost(room, item) => (What::Discarded { bin: bin? }, None),
        NudgeKind::Check => (What::Checked { bin: bin?, signs: Signs::default() }, None),
        NudgeKind::Bury => {
            let plot = fill::only_plot(room);
            let lacks = (plot.is_none() && !room.plots.is_empty()).then_some(Lacks::Plot);
            (What::Buried { bin: bin?, plot, depth_cm: None }, lacks)
        }
        NudgeKind::Plant => match &item.subject {
            Some(Subject::Plot(plot)) => (What::Planted { plot: plot.clone(), crop: None }, None),
            _ => return None,
        },
        NudgeKind::Starter => match numbers()? {
            Numbers::Starter { make_g, .. } => (What::StarterMade { g: make_g.0 }, None),
            _ => return None,
        },
        NudgeKind::Full | NudgeKind::Idle | NudgeKind::Digest => return None,
    })
}

fn is_lost(room: &Room, item: &Item) -> bool {
    let bin = item.bin().and_then(|bin| room.bin(bin));
    bin.and_then(|bin| bin.batch.as_ref()).is_some_and(ferment::is_lost)
}

/// The nudge is to come again later. In a shared room `can't today` without another time is no promise: somebody else may.
pub(super) fn later(room: &Room, on: Occasion<'_>, fact: &Fact, decision: &mut Decision) {
    let heard = on.heard;
    let names_no_time = fact.slots.until.is_none() && fact.slots.minutes.is_none();
    if !room.direct && names_no_time && Phrase::of(on.source.text).has(on.voice, "decline-words") {
        return skip(room, heard, decision);
    }
    let sent = heard.incoming.sent;
    let minutes = fact.slots.minutes.filter(|minutes| minutes.is_finite() && (0.0..1e6).contains(minutes));
    // A time by the clock is meant as said; a span is not meant to end in the night.
    let until = match (fact.slots.until, minutes) {
        (Some(until), _) => until.to_utc(),
        (None, Some(minutes)) => {
            room.quiet.hold(sent + TimeDelta::seconds((minutes * 60.0) as i64), room.zone)
        }
        (None, None) => room.quiet.hold(sent + LATER, room.zone),
    };
    put_off(room, heard, until, decision);
}

/// What it comes to that somebody says no more than that they cannot, or will not: `can't, I'm ill`, `someone else, please`.
/// In a shared room that passes on what was asked of them; there it is no answer to anything else.
pub(super) fn declined(room: &Room, on: Occasion<'_>, reading: &Reading) -> Option<Decision> {
    let Occasion { voice, heard, .. } = on;
    let says_else = !reading.facts.is_empty() || !reading.asks.is_empty() || on.source.text.contains('?');
    let answering = heard.answering.as_ref().filter(|_| !room.direct && !says_else)?;
    let phrase = Phrase::of(on.source.text);
    let is_short = phrase.words().count() <= MOST_WORDS;
    let declines = phrase.has(voice, "decline-words") && !phrase.has(voice, "decline-not-words");
    let mut decision = Decision { asked: heard.asked.clone(), ..Decision::default() };
    (declines && (answering.plainly || is_short)).then(|| {
        skip(room, heard, &mut decision);
        decision
    })
}

/// Not this time; in a shared room: not me, and so somebody else, at once where it was theirs. Of several in one message all
/// are meant.
pub(super) fn skip(room: &Room, heard: &Heard<'_>, decision: &mut Decision) {
    let Some(answering) = heard.work() else {
        decision.answers.push(Answer::NothingAsked);
        return;
    };
    let sent = heard.incoming.sent;
    let mut put_off_until = None;
    for item in &answering.items {
        let change = if !room.direct {
            let person = heard.incoming.sender.clone();
            let is_anothers = is_anothers(room, item, &person, sent);
            tell(room, heard, What::Passed { person, nudge: item.key.clone() }, decision);
            if is_anothers {
                continue;
            }
            NudgeChange::PutOff(sent)
        } else if item.kind == NudgeKind::Drain {
            NudgeChange::PutOff(*put_off_until.insert(room.quiet.hold(sent + NEXT_ROUND, room.zone)))
        } else {
            NudgeChange::Answered
        };
        decision.nudges.push((item.key.clone(), change));
    }
    if room.direct {
        decision.answers.push(put_off_until.map_or(Answer::LetGo, Answer::PutOff));
    }
}

/// Whether something was asked of somebody else.
fn is_anothers(room: &Room, item: &Item, person: &str, now: DateTime<Utc>) -> bool {
    let theirs = room.turn_for(&item.key, item.kind.effort(), now);
    room.asked(&item.key).is_some() && theirs.is_some_and(|theirs| theirs.id != person)
}

/// All that was asked for is to come again then. In a shared room who says so has taken it upon them.
fn put_off(room: &Room, heard: &Heard<'_>, until: DateTime<Utc>, decision: &mut Decision) {
    let Some(answering) = heard.work() else {
        decision.answers.push(Answer::NothingAsked);
        return;
    };
    for item in &answering.items {
        decision.nudges.push((item.key.clone(), NudgeChange::PutOff(until)));
        if !room.direct {
            let (person, nudge) = (heard.incoming.sender.clone(), Some(item.key.clone()));
            tell(room, heard, What::Took { person, nudge, until }, decision);
        }
    }
    decision.answers.push(Answer::PutOff(until));
}

fn tell(room: &Room, heard: &Heard<'_>, what: What, decision: &mut Decision) {
    let (event, at) = (heard.incoming.event.clone(), heard.incoming.sent);
    decision.tell(&mut room.clone(), heard, Told::new(event, at, what));
}

/// What a tap on a nudge stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Tap {
    Done,
    Later,
    NotMe,
}

/// The reactions that the bot puts on its nudges, for tapping: done, later, not me.
pub const TAPS: [&str; 3] = ["✅", "💤", "🙅"];

fn tap(key: &str) -> Option<Tap> {
    // Clients add a variation selector or a skin tone to some signs.
    let sign = key.chars().find(|c| !matches!(c, '\u{FE0F}' | '\u{1F3FB}'..='\u{1F3FF}'))?;
    match sign {
        '✅' | '👍' | '☑' | '✔' | '👌' => Some(Tap::Done),
        '💤' | '⏰' | '⏳' | '😴' => Some(Tap::Later),
        '🙅' | '👎' | '❌' | '🚫' => Some(Tap::NotMe),
        _ => None,
    }
}

/// A reaction on a nudge; on anything else it is small talk.
pub(super) fn react(room: &Room, on: Occasion<'_>, key: &str) -> Decision {
    let heard = on.heard;
    let mut decision = Decision { asked: heard.asked.clone(), ..Decision::default() };
    let Some(tap) = tap(key).filter(|_| heard.answering.is_some()) else { return decision };
    decision.asked = None;
    let sent = heard.incoming.sent;
    match tap {
        Tap::Done => done(&mut room.clone(), on, sent, &mut decision),
        Tap::Later => put_off(room, heard, room.quiet.hold(sent + LATER, room.zone), &mut decision),
        Tap::NotMe => skip(room, heard, &mut decision),
    }
    decision
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tap_of_ours_is_understood() {
        assert!(TAPS.iter().all(|sign| tap(sign).is_some()));
        assert!(tap("👍🏽") == Some(Tap::Done) && tap("✔\u{FE0F}") == Some(Tap::Done));
        assert!(tap("❤").is_none() && tap("").is_none() && tap("\u{FE0F}").is_none());
    }
}
