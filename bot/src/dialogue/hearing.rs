//! A message as the ear takes it: the text with what the room is like.

use branbell_language::{
    About, Ask, BinName, FactKind, Message, NudgeKind as Answered, Reading, UnclearAbout, Units as Measures,
};
use branbell_scheduler::fact::Units;
use branbell_scheduler::plan::NudgeKind;
use branbell_scheduler::state::Room;
use chrono::{DateTime, TimeDelta, Utc};

use super::wording::acceptable::thing;
use super::{Answering, Heard, Occasion, change};
use crate::voice::Voice;

/// The message that somebody sent at `sent`, in this room.
pub(super) fn message(room: &Room, heard: &Heard<'_>, text: &str, sent: DateTime<Utc>) -> Message {
    Message {
        text: text.to_owned(),
        now: sent.with_timezone(&room.zone).fixed_offset(),
        zone: room.zone,
        units: measures(room.units),
        bins: room
            .bins_in_use()
            .map(|bin| BinName { name: bin.name.clone(), capacity_ml: bin.capacity.map(|size| size.0) })
            .collect(),
        plots: room.plots.iter().map(|plot| plot.name.clone()).collect(),
        measures: room.measures.iter().map(|(name, size)| (name.clone(), size.0)).collect(),
        direct: heard.incoming.direct,
        reply_to: heard.answering.as_ref().and_then(|answering| answered(answering.kind()?)),
        id: None,
    }
}

/// Less than this is liquid where a drain was asked for; a litre and more is as likely scraps.
const MOST_LIQUID_ML: f64 = 1_000.0;

/// So shortly after somebody's report a correction in a shared room is one of it.
pub(super) const JUST_NOW: TimeDelta = TimeDelta::minutes(10);

/// In a shared room a longer message than this is not taken for an answer to a nudge that it does not reply to.
pub(super) const MOST_WORDS: usize = 3;

/// Reads a message among others in a shared room. What plainly reports work is for us as a whole: `5 litres in cellar, it's
/// full now`. And who has just told us something may put it right without calling us, or add the bran that went with it;
/// whoever replies to a log may put it right; who was asked last may say `done` or `not me`; and whether a thing may go in
/// that we know to be doubtful is asked of us.
pub(super) fn read_among_others(room: &Room, on: Occasion<'_>, message: &Message) -> Reading {
    let heard = on.heard;
    let alone = read_alone(message, heard);
    if message.direct || alone.unclear.is_some() || !alone.asks.is_empty() {
        return alone;
    }
    let as_to_us = read(&Message { direct: true, ..message.clone() }, heard);
    let (sender, sent) = (&heard.incoming.sender, heard.incoming.sent);
    let has_just_told =
        || room.facts().rev().any(|fact| fact.author == *sender && sent - fact.told <= JUST_NOW);
    let is_a_report = alone.facts.iter().any(|fact| is_work(fact.kind));
    let is_more = is_a_report && as_to_us.unclear.is_none() && as_to_us.facts.starts_with(&alone.facts);
    let corrects = |reading: &Reading| {
        reading.asks.is_empty()
            && matches!(&reading.facts[..], [fact] if matches!(fact.kind, FactKind::Amended | FactKind::Undo))
    };
    let goes_with_it = |reading: &Reading| {
        let is_bran = reading.facts.iter().all(|fact| fact.kind == FactKind::Bran);
        is_bran && !reading.is_silent() && reading.asks.is_empty() && reading.unclear.is_none()
    };
    let is_about_it = corrects(&as_to_us) || goes_with_it(&as_to_us);
    let is_short = message.text.split_whitespace().count() <= MOST_WORDS;
    let answers = heard.answering.is_some() && is_short && is_an_answer(&as_to_us);
    let corrects_a_log = corrects(&as_to_us) && change::replies_to_a_log(room, heard);
    let is_for_us = is_more || answers || corrects_a_log || asks_of_a_thing(on.voice, &as_to_us);
    if is_for_us || is_about_it && has_just_told() { as_to_us } else { alone }
}

/// Reads a message as if nobody else were there. One that says nothing by itself may still be `done` or `tomorrow` to work
/// that is due, though other things were said since it was asked for.
fn read_alone(message: &Message, heard: &Heard<'_>) -> Reading {
    let alone = read(message, heard);
    let due = heard.work().and_then(Answering::kind).and_then(answered);
    let says_nothing = alone.facts.is_empty()
        && alone.asks.is_empty()
        && alone.unclear.as_ref().is_none_or(|unclear| unclear.about == UnclearAbout::Meaning);
    if !says_nothing || message.reply_to.is_some() || due.is_none() {
        return alone;
    }
    let answer = branbell_language::read(&Message { reply_to: due, ..message.clone() });
    if is_an_answer(&answer) { answer } else { alone }
}

/// Whether it is nothing but what becomes of a nudge.
fn is_an_answer(reading: &Reading) -> bool {
    use FactKind::{Done, Later, Skip};
    let is_one = matches!(&reading.facts[..], [fact] if matches!(fact.kind, Done | Later | Skip));
    is_one && reading.asks.is_empty() && reading.unclear.is_none()
}

/// Whether it asks for one of the things that are no food: `can I put pills in?`.
fn asks_of_a_thing(voice: &Voice, reading: &Reading) -> bool {
    let [Ask { about: About::Acceptable, slots }] = &reading.asks[..] else { return false };
    let is_known = slots.item.as_deref().is_some_and(|item| thing(voice, item).is_some());
    is_known && reading.facts.is_empty() && reading.unclear.is_none()
}

fn is_work(kind: FactKind) -> bool {
    use FactKind::{Bran, Buried, Checked, Cleaned, Discarded, Drained, Scraps, Sealed, Started};
    matches!(kind, Scraps | Bran | Drained | Started | Sealed | Checked | Buried | Discarded | Cleaned)
}

/// Reads a message. Where a nudge only was the last thing said, the message is first taken by itself, and for an answer
/// only where it is nothing else: one thing, and a likely one. A wrong record would be worse than a question.
fn read(message: &Message, heard: &Heard<'_>) -> Reading {
    let plainly = heard.answering.as_ref().is_none_or(|answering| answering.plainly);
    if plainly || message.reply_to.is_none() {
        return branbell_language::read(message);
    }
    let alone = branbell_language::read(&Message { reply_to: None, ..message.clone() });
    if !(alone.facts.is_empty() && alone.asks.is_empty()) {
        return alone;
    }
    let answer = branbell_language::read(message);
    match &answer.facts[..] {
        [fact] if fact.slots.ml.is_none_or(|ml| ml < MOST_LIQUID_ML) => answer,
        _ => alone,
    }
}

fn measures(units: Units) -> Measures {
    match units {
        Units::Metric => Measures::Metric,
        Units::Us => Measures::Us,
        Units::Imperial => Measures::Imperial,
    }
}

/// The nudges that a short answer can speak of.
fn answered(kind: NudgeKind) -> Option<Answered> {
    Some(match kind {
        NudgeKind::Drain => Answered::Drain,
        NudgeKind::Bran => Answered::Bran,
        NudgeKind::Full => Answered::Full,
        NudgeKind::Seal => Answered::Seal,
        NudgeKind::Check => Answered::Check,
        NudgeKind::Bury => Answered::Bury,
        NudgeKind::Plant => Answered::Plant,
        NudgeKind::Starter => Answered::Starter,
        NudgeKind::Idle | NudgeKind::Digest => return None,
    })
}
