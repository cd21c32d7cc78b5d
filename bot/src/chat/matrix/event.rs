//! What an event of a room means: one of our own, or what a person did. Pure; no network, no clock.

use chrono::{DateTime, Utc};
use matrix_sdk::deserialized_responses::{TimelineEvent, TimelineEventKind};
use matrix_sdk::ruma::events::relation::{InReplyTo, Thread};
use matrix_sdk::ruma::events::room::message::sanitize::remove_plain_reply_fallback;
use matrix_sdk::ruma::events::room::message::{
    MessageType, OriginalSyncRoomMessageEvent, Relation, RoomMessageEventContentWithoutRelation,
};
use matrix_sdk::ruma::events::room::redaction::SyncRoomRedactionEvent;
use matrix_sdk::ruma::events::{
    AnySyncMessageLikeEvent, AnySyncTimelineEvent, Mentions, SyncMessageLikeEvent,
};
use matrix_sdk::ruma::serde::Raw;
use matrix_sdk::ruma::{EventId, OwnedUserId};
use serde::Deserialize;
use serde_json::Value;

use super::address::Names;
use crate::chat::{Deed, Incoming};
use crate::clock::Clock;

/// The longest text that is read, in bytes.
const LONGEST_TEXT: usize = 4_000;

/// The longest event, in bytes (Matrix specification, "Size limits").
const LONGEST_EVENT: usize = 65_536;

/// The longest id, in bytes (Matrix specification, "Common identifier format"). The library lets longer ones pass, and what
/// people claim to answer or to change may be as long as they like.
const LONGEST_ID: usize = 255;

/// The bot's own account.
#[derive(Clone, Debug)]
pub struct Me {
    pub(super) id: OwnedUserId,
    names: Names,
}

impl Me {
    /// The account with this id, and the name it shows, where it shows one: it is called by either.
    pub fn new(id: OwnedUserId, shown: Option<&str>) -> Self {
        Self { names: Names::new(id.as_str(), id.localpart(), shown), id }
    }
}

/// An event as the bot sees it.
#[derive(Debug, PartialEq)]
#[expect(missing_docs, reason = "each variant's line tells of its fields")]
pub enum Seen {
    /// We sent it (`event`, `sent` then), under this transaction id (`txn`) if it was this device.
    Ours { event: String, txn: Option<String>, sent: DateTime<Utc> },
    /// Somebody did something.
    Theirs(Theirs),
    /// A change of the room itself, or what cannot be read as an event at all.
    Nothing,
}

/// What somebody did.
#[derive(Clone, Debug, PartialEq)]
pub struct Theirs {
    /// The event's id.
    pub event: String,
    /// Who did it.
    pub sender: String,
    /// When, as their homeserver says.
    pub sent: DateTime<Utc>,
    /// It names the bot.
    pub names_us: bool,
    /// The first message of the thread that it was said in.
    pub thread: Option<String>,
    /// What they did.
    pub deed: Deed,
}

impl Theirs {
    /// An edit, as a change of the `original`, where there is one that we may see: it belongs into its thread, which an edit
    /// does not tell. Nobody changes what another said.
    #[must_use]
    pub fn changing(self, original: Option<Self>) -> Self {
        match original.filter(|original| original.sender == self.sender) {
            Some(original) => Self { thread: original.thread, ..self },
            None => Self { deed: Deed::Other, ..self },
        }
    }

    /// As any chat gives it; `direct` where it is meant for the bot.
    pub fn incoming(self, room: &str, direct: bool, clock: &impl Clock) -> Incoming {
        let Self { event, sender, sent, thread, deed, .. } = self;
        let (room, sent) = (room.to_owned(), clock.here(sent));
        Incoming { room, event, sender, sent, direct, thread, deed }
    }
}

impl Seen {
    /// What somebody did.
    pub fn theirs(self) -> Option<Theirs> {
        if let Self::Theirs(theirs) = self { Some(theirs) } else { None }
    }

    /// Reads an event of the timeline.
    pub fn read(event: &TimelineEvent, me: &Me) -> Self {
        let Ok(read) = event.raw().deserialize() else { return Self::Nothing };
        let Some(id) = id(read.event_id()).filter(|_| read.sender().as_str().len() <= LONGEST_ID) else {
            return Self::Nothing;
        };
        let sent = DateTime::from_timestamp_millis(read.origin_server_ts().get().into()).unwrap_or_default();
        if *read.sender() == *me.id {
            return Self::Ours { event: id, txn: read.transaction_id().map(ToString::to_string), sent };
        }
        let AnySyncTimelineEvent::MessageLike(done) = &read else { return Self::Nothing };
        let (deed, names_us) = match &event.kind {
            TimelineEventKind::UnableToDecrypt { event, .. } => (unreadable(event.json().get()), false),
            _ if changes_nothing(event.raw()) => (Deed::Other, false),
            _ => deed(done, me),
        };
        let thread = thread(done).and_then(self::id);
        Self::Theirs(Theirs { event: id, sender: read.sender().to_string(), sent, names_us, thread, deed })
    }
}

/// A message that is kept until its key comes, as long as any event may be.
fn unreadable(raw: &str) -> Deed {
    if raw.len() > LONGEST_EVENT { Deed::Other } else { Deed::Unreadable { raw: raw.to_owned() } }
}

fn deed(done: &AnySyncMessageLikeEvent, me: &Me) -> (Deed, bool) {
    match done {
        AnySyncMessageLikeEvent::RoomMessage(SyncMessageLikeEvent::Original(message)) => said(message, me),
        AnySyncMessageLikeEvent::Reaction(SyncMessageLikeEvent::Original(reaction)) => {
            let target = &reaction.content.relates_to;
            let to = id(&target.event_id);
            (to.map_or(Deed::Other, |to| Deed::React { to, key: target.key.clone() }), false)
        }
        AnySyncMessageLikeEvent::RoomRedaction(SyncRoomRedactionEvent::Original(redaction)) => {
            // Where the id stands depends on the version of the room.
            let of = redaction.content.redacts.as_ref().or(redaction.redacts.as_ref());
            (of.and_then(|of| id(of)).map_or(Deed::Other, |of| Deed::Delete { of }), false)
        }
        _ => (Deed::Other, false),
    }
}

/// Whether a message says that it takes the place of what has no valid id. The library reads it as an ordinary one, but its
/// sender has said nothing new.
fn changes_nothing(event: &Raw<AnySyncTimelineEvent>) -> bool {
    #[derive(Deserialize)]
    struct Content {
        #[serde(rename = "m.relates_to")]
        relation: Claim,
    }
    #[derive(Deserialize)]
    struct Claim {
        rel_type: String,
        #[serde(default)]
        event_id: Value,
    }
    let Ok(Some(Content { relation })) = event.get_field("content") else { return false };
    relation.rel_type == "m.replace"
        && relation.event_id.as_str().is_none_or(|id| EventId::parse(id).is_err())
}

/// An event's id; none where it is longer than any.
fn id(of: &EventId) -> Option<String> {
    (of.as_str().len() <= LONGEST_ID).then(|| of.to_string())
}

/// The first message of the thread that a message was said in.
fn thread(done: &AnySyncMessageLikeEvent) -> Option<&EventId> {
    let AnySyncMessageLikeEvent::RoomMessage(SyncMessageLikeEvent::Original(message)) = done else {
        return None;
    };
    match message.content.relates_to.as_ref()? {
        Relation::Thread(thread) => Some(&thread.event_id),
        _ => None,
    }
}

fn said(message: &OriginalSyncRoomMessageEvent, me: &Me) -> (Deed, bool) {
    let content = &message.content;
    if let Some(Relation::Replacement(replacement)) = &content.relates_to {
        let RoomMessageEventContentWithoutRelation { msgtype, mentions, .. } = &replacement.new_content;
        let (Some(text), Some(of)) = (text(msgtype), id(&replacement.event_id)) else {
            return (Deed::Other, false);
        };
        let names_us = names_us(text, mentions.as_ref(), me);
        if is_too_long(text) {
            return (Deed::TooLong { reply_to: None }, names_us);
        }
        return (Deed::Edit { of, text: me.names.taken_off(text).to_owned() }, names_us);
    }
    let Some(mut text) = text(&content.msgtype) else { return (Deed::Other, false) };
    let reply_to = content.relates_to.as_ref().and_then(answered).and_then(id);
    if reply_to.is_some() {
        text = remove_plain_reply_fallback(text);
    }
    let names_us = names_us(text, content.mentions.as_ref(), me);
    if is_too_long(text) {
        return (Deed::TooLong { reply_to }, names_us);
    }
    (Deed::Say { text: me.names.taken_off(text).to_owned(), reply_to }, names_us)
}

/// The words of a message. Those of a program (a notice) are left alone: two bots that answer each other never stop.
fn text(message: &MessageType) -> Option<&str> {
    match message {
        MessageType::Text(text) => Some(&text.body),
        MessageType::Emote(emote) => Some(&emote.body),
        _ => None,
    }
}

/// What is longer than any log is left alone, a pasted book or worse: reading it would keep the other rooms waiting.
fn is_too_long(text: &str) -> bool {
    text.len() > LONGEST_TEXT
}

/// The event that a message answers: in a thread, its first message unless it answers another.
fn answered<C>(relation: &Relation<C>) -> Option<&EventId> {
    match relation {
        Relation::Reply(reply) => Some(&reply.in_reply_to.event_id),
        Relation::Thread(Thread {
            in_reply_to: Some(InReplyTo { event_id, .. }),
            is_falling_back: false,
            ..
        }) => Some(event_id),
        Relation::Thread(thread) => Some(&thread.event_id),
        _ => None,
    }
}

fn names_us(text: &str, mentions: Option<&Mentions>, me: &Me) -> bool {
    let begin = &text[..text.floor_char_boundary(LONGEST_TEXT)];
    mentions.is_some_and(|mentions| mentions.user_ids.contains(&me.id)) || me.names.occur_in(begin)
}

#[cfg(test)]
mod tests;
