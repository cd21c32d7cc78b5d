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
fn a_change_of_what_has_no_id_says_nothing() {
    for of in [json!("first"), json!(""), json!(1), json!(null), json!({ "event_id": "$first" })] {
        for answered in [json!({}), json!({ "m.in_reply_to": { "event_id": "$nudge" } })] {
            let mut said = json!({
                "msgtype": "m.text", "body": "* added 2 l", "m.relates_to": answered,
                "m.new_content": { "msgtype": "m.text", "body": "added 2 l" },
            });
            said["m.relates_to"]["rel_type"] = json!("m.replace");
            assert_eq!(message(&said), (Deed::Other, false), "no id at all");
            said["m.relates_to"]["event_id"] = of.clone();
            assert_eq!(message(&said), (Deed::Other, false), "{of}");
        }
    }
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
