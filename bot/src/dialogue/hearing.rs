//! A message as the ear takes it: the text with what the room is like.

use branbell_language::{BinName, FactKind, Message, NudgeKind as Answered, Reading, Units as Measures};
use branbell_scheduler::fact::Units;
use branbell_scheduler::plan::NudgeKind;
use branbell_scheduler::state::Room;
use chrono::{DateTime, TimeDelta, Utc};

use super::Heard;

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

/// Reads a message among others in a shared room. What plainly reports work is for us as a whole: `5 litres in cellar, it's
/// full now`. And who has just told us something may put it right without calling us, or add the bran that went with it.
pub(super) fn read_among_others(room: &Room, message: &Message, heard: &Heard<'_>) -> Reading {
    let alone = read(message, heard);
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
    if is_more || is_about_it && has_just_told() { as_to_us } else { alone }
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
