//! A message as the ear takes it: the text with what the room is like.

use branbell_language::{BinName, Message, NudgeKind as Answered, Reading, Units as Measures};
use branbell_scheduler::fact::Units;
use branbell_scheduler::plan::NudgeKind;
use branbell_scheduler::state::Room;
use chrono::{DateTime, Utc};

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
        reply_to: heard.answering.as_ref().and_then(|answering| answered(answering.kind)),
        id: None,
    }
}

/// Less than this is liquid where a drain was asked for; a litre and more is as likely scraps.
const MOST_LIQUID_ML: f64 = 1_000.0;

/// Reads a message. Where a nudge only was the last thing said, the message is first taken by itself, and for an answer
/// only where it is nothing else: one thing, and a likely one. A wrong record would be worse than a question.
pub(super) fn read(message: &Message, heard: &Heard<'_>) -> Reading {
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
