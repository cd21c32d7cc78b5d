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
use matrix_sdk::ruma::{EventId, OwnedUserId};

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
mod tests {
    use matrix_sdk::deserialized_responses::{UnableToDecryptInfo, UnableToDecryptReason};
    use matrix_sdk::ruma::owned_user_id;
    use matrix_sdk::ruma::serde::Raw;
    use proptest::prelude::*;
    use serde_json::{Value, json};

    use super::*;

    fn me() -> Me {
        Me::new(owned_user_id!("@branbell:example.org"), None)
    }

    fn timeline(sender: &str, kind: &str, content: &Value) -> TimelineEvent {
        let event = json!({
            "type": kind, "event_id": "$it", "sender": sender, "origin_server_ts": 1_773_844_200_000_i64,
            "content": content, "unsigned": { "transaction_id": "r1" },
        });
        TimelineEvent::from_plaintext(Raw::new(&event).unwrap().cast_unchecked())
    }

    fn theirs(kind: &str, content: &Value) -> Theirs {
        match Seen::read(&timeline("@ana:example.org", kind, content), &me()) {
            Seen::Theirs(theirs) => theirs,
            other => panic!("{other:?}"),
        }
    }

    fn message(content: &Value) -> (Deed, bool) {
        let theirs = theirs("m.room.message", content);
        (theirs.deed, theirs.names_us)
    }

    #[test]
    fn a_text_is_said() {
        let said = theirs("m.room.message", &json!({ "msgtype": "m.text", "body": "added 3 l" }));
        assert_eq!(said.event, "$it");
        assert_eq!(said.sender, "@ana:example.org");
        assert_eq!(said.sent.to_rfc3339(), "2026-03-18T14:30:00+00:00");
        assert_eq!(said.deed, Deed::Say { text: "added 3 l".into(), reply_to: None });
        assert!(!said.names_us);
    }

    #[test]
    fn a_notice_and_a_picture_concern_nobody() {
        for content in [
            json!({ "msgtype": "m.notice", "body": "added 3 l" }),
            json!({ "msgtype": "m.image", "body": "bin.jpg", "url": "mxc://example.org/bin" }),
            json!({ "msgtype": "m.text" }),
            json!({}),
        ] {
            let seen = Seen::read(&timeline("@ana:example.org", "m.room.message", &content), &me());
            match seen {
                Seen::Theirs(theirs) => assert_eq!(theirs.deed, Deed::Other),
                other => assert_eq!(other, Seen::Nothing),
            }
        }
    }

    #[test]
    fn our_own_events_bring_their_transaction_id() {
        let own =
            timeline("@branbell:example.org", "m.room.message", &json!({ "msgtype": "m.text", "body": "x" }));
        let Seen::Ours { event, txn, .. } = Seen::read(&own, &me()) else { panic!("not ours") };
        assert_eq!((event.as_str(), txn.as_deref()), ("$it", Some("r1")));
    }

    #[test]
    fn an_edit_brings_the_new_text() {
        let edit = message(&json!({
            "msgtype": "m.text", "body": "* added 2 l",
            "m.new_content": { "msgtype": "m.text", "body": "added 2 l" },
            "m.relates_to": { "rel_type": "m.replace", "event_id": "$first" },
        }));
        assert_eq!(edit, (Deed::Edit { of: "$first".into(), text: "added 2 l".into() }, false));
    }

    #[test]
    fn what_is_longer_than_any_id_is_none() {
        let long = format!("${}", "x".repeat(LONGEST_ID));
        let deed = |kind: &str, content: Value| theirs(kind, &content).deed;
        let relation = |kind: &str| json!({ "rel_type": kind, "event_id": long, "key": "✅" });
        assert_eq!(deed("m.reaction", json!({ "m.relates_to": relation("m.annotation") })), Deed::Other);
        assert_eq!(deed("m.room.redaction", json!({ "redacts": long })), Deed::Other);
        let mut said = json!({
            "msgtype": "m.text", "body": "added 2 l", "m.relates_to": relation("m.replace"),
            "m.new_content": { "msgtype": "m.text", "body": "added 2 l" },
        });
        assert_eq!(deed("m.room.message", said.clone()), Deed::Other);
        said["m.relates_to"] = relation("m.thread");
        let said = theirs("m.room.message", &said);
        assert_eq!(said.deed, Deed::Say { text: "added 2 l".into(), reply_to: None });
        assert_eq!(said.thread, None);
    }

    #[test]
    fn nobody_changes_what_another_said() {
        let edit = theirs(
            "m.room.message",
            &json!({
                "msgtype": "m.text", "body": "*", "m.new_content": { "msgtype": "m.text", "body": "added 2 l" },
                "m.relates_to": { "rel_type": "m.replace", "event_id": "$first" },
            }),
        );
        let as_of = |original: Option<Theirs>| edit.clone().changing(original).deed;
        assert_eq!(as_of(Some(first())), edit.deed);
        assert_eq!(as_of(Some(Theirs { sender: "@bo:example.org".into(), ..first() })), Deed::Other);
        assert_eq!(as_of(None), Deed::Other, "of what we may not see, nobody knows whose it is");
    }

    #[test]
    fn an_edit_stands_in_the_thread_of_what_it_changes() {
        let in_thread = Theirs { thread: Some("$root".into()), ..first() };
        assert_eq!(first().changing(Some(in_thread)).thread.as_deref(), Some("$root"));
        assert_eq!(first().changing(Some(first())).thread, None);
    }

    fn first() -> Theirs {
        theirs("m.room.message", &json!({ "msgtype": "m.text", "body": "added 3 l" }))
    }

    #[test]
    fn an_answer_comes_without_the_quotation() {
        let answer = message(&json!({
            "msgtype": "m.text",
            "body": "> <@branbell:example.org> Drain green: about 180 ml\n\n150 ml",
            "m.relates_to": { "m.in_reply_to": { "event_id": "$nudge" } },
        }));
        assert_eq!(answer, (Deed::Say { text: "150 ml".into(), reply_to: Some("$nudge".into()) }, false));
    }

    #[test]
    fn a_thread_answers_its_first_message() {
        let thread = |extra: Value| {
            let mut relation = json!({ "rel_type": "m.thread", "event_id": "$root" });
            relation.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
            let content = json!({ "msgtype": "m.text", "body": "done", "m.relates_to": relation });
            let theirs = theirs("m.room.message", &content);
            assert_eq!(theirs.thread.as_deref(), Some("$root"));
            match theirs.deed {
                Deed::Say { reply_to, .. } => reply_to.unwrap(),
                other => panic!("{other:?}"),
            }
        };
        let latest = json!({ "event_id": "$latest" });
        assert_eq!(thread(json!({ "m.in_reply_to": latest, "is_falling_back": true })), "$root");
        assert_eq!(thread(json!({ "m.in_reply_to": latest })), "$latest");
        assert_eq!(thread(json!({})), "$root");
    }

    #[test]
    fn a_mention_or_the_name_is_for_us() {
        let by_pill = json!({
            "msgtype": "m.text", "body": "is it full?",
            "m.mentions": { "user_ids": ["@branbell:example.org"] },
        });
        assert!(message(&by_pill).1);
        let by_name = json!({ "msgtype": "m.text", "body": "Branbell: added 3 l", "m.mentions": {} });
        assert_eq!(message(&by_name), (Deed::Say { text: "added 3 l".into(), reply_to: None }, true));
        let other = json!({
            "msgtype": "m.text", "body": "bo?", "m.mentions": { "user_ids": ["@bo:example.org"] },
        });
        assert!(!message(&other).1);
    }

    #[test]
    fn a_reaction_and_a_deletion_name_their_target() {
        let reaction = theirs(
            "m.reaction",
            &json!({ "m.relates_to": { "rel_type": "m.annotation", "event_id": "$nudge", "key": "✅" } }),
        );
        assert_eq!(reaction.deed, Deed::React { to: "$nudge".into(), key: "✅".into() });
        let deletion = theirs("m.room.redaction", &json!({ "redacts": "$first", "reason": "typo" }));
        assert_eq!(deletion.deed, Deed::Delete { of: "$first".into() });
    }

    #[test]
    fn the_room_itself_is_nothing() {
        let event = json!({
            "type": "m.room.topic", "event_id": "$it", "sender": "@ana:example.org", "state_key": "",
            "origin_server_ts": 1, "content": { "topic": "Bins" },
        });
        let event = TimelineEvent::from_plaintext(Raw::new(&event).unwrap().cast_unchecked());
        assert_eq!(Seen::read(&event, &me()), Seen::Nothing);
    }

    #[test]
    fn what_cannot_be_decrypted_is_kept_as_it_came() {
        let content = json!({
            "algorithm": "m.megolm.v1.aes-sha2", "ciphertext": "AwgA", "session_id": "s", "device_id": "D",
            "sender_key": "k",
        });
        let plain = timeline("@ana:example.org", "m.room.encrypted", &content);
        let info = UnableToDecryptInfo { session_id: None, reason: UnableToDecryptReason::Unknown };
        let event = TimelineEvent::from_utd(plain.raw().clone(), info);
        let Seen::Theirs(theirs) = Seen::read(&event, &me()) else { panic!("not theirs") };
        let Deed::Unreadable { raw } = theirs.deed else { panic!("{:?}", theirs.deed) };
        assert_eq!(raw, plain.raw().json().get());
    }

    #[test]
    fn what_is_longer_than_any_log_is_not_read() {
        let body = |length: usize| json!({ "msgtype": "m.text", "body": "x".repeat(length) });
        let too_long = || Deed::TooLong { reply_to: None };
        assert_eq!(message(&body(LONGEST_TEXT + 1)), (too_long(), false));
        let named = json!({ "msgtype": "m.text", "body": format!("branbell: {}", "ä".repeat(LONGEST_TEXT)) });
        assert_eq!(message(&named), (too_long(), true));
        let edit = json!({
            "msgtype": "m.text", "body": "*", "m.new_content": body(LONGEST_TEXT + 1),
            "m.relates_to": { "rel_type": "m.replace", "event_id": "$first" },
        });
        assert_eq!(message(&edit), (too_long(), false));
        assert!(matches!(message(&body(LONGEST_TEXT)).0, Deed::Say { .. }));
    }

    fn any_json() -> impl Strategy<Value = Value> {
        let leaf = prop_oneof![
            Just(Value::Null),
            any::<bool>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            any::<f64>().prop_map(Value::from),
            ".*".prop_map(Value::from),
        ];
        leaf.prop_recursive(8, 64, 6, |inner| {
            prop_oneof![
                proptest::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
                proptest::collection::hash_map("[a-z._$@:]{0,12}", inner, 0..6)
                    .prop_map(|fields| Value::Object(fields.into_iter().collect())),
            ]
        })
    }

    proptest! {
        #[test]
        fn no_event_is_too_odd(kind in "m\\.(room\\.(message|redaction|encrypted)|reaction)", body in "\\PC*", of in "\\PC*") {
            let content = json!({
                "msgtype": "m.text", "body": body,
                "m.relates_to": { "rel_type": of, "event_id": of, "m.in_reply_to": { "event_id": of } },
            });
            let _ = Seen::read(&timeline("@ana:example.org", &kind, &content), &me());
        }

        /// Events that no client of good will sends: any JSON at all, at any place.
        #[test]
        fn no_json_is_too_odd(
            kind in prop_oneof![Just("m.room.message"), Just("m.room.encrypted"), Just("m.reaction"), Just("m.room.redaction"), Just("m.room.member")],
            field in prop_oneof![Just("body"), Just("msgtype"), Just("m.relates_to"), Just("m.new_content"), Just("m.mentions"), Just("redacts")],
            odd in any_json(),
            depth in 0_usize..2_000,
            time in any::<i64>(),
        ) {
            let mut content = json!({ "msgtype": "m.text", "body": "added 3 l" });
            content[field] = odd.clone();
            let mut deep = "[".repeat(depth);
            deep.push_str(&"]".repeat(depth));
            for raw in [
                json!({ "type": kind, "event_id": "$it", "sender": "@ana:example.org", "origin_server_ts": time, "content": content }).to_string(),
                format!(r#"{{"type":"{kind}","event_id":"$it","sender":"@ana:example.org","origin_server_ts":1,"content":{{"body":{deep}}}}}"#),
                odd.to_string(),
            ] {
                if let Ok(raw) = Raw::from_json_string(raw) {
                    let _ = Seen::read(&TimelineEvent::from_plaintext(raw), &me());
                }
            }
        }
    }
}
