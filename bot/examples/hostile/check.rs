//! What holds of an event as it was read, against its JSON as another reader understands it.

use anyhow::{Result, ensure};
use branbell::chat::Deed;
use branbell::chat::matrix::{Seen, Theirs};
use chrono::DateTime;
use serde_json::Value;

use crate::make::{DEEP, ME};

/// The longest text that is read, in bytes: as the documentation for those who run it says.
const LONGEST_TEXT: usize = 4_000;
/// The longest id, in bytes (Matrix specification, "Common identifier format").
const LONGEST_ID: usize = 255;

/// Fails where an event was not taken for what it is.
pub(crate) fn holds(raw: &str, seen: &Seen) -> Result<()> {
    let event = serde_json::from_str::<Value>(&shallow(raw)).unwrap_or_default();
    match seen {
        Seen::Nothing => Ok(()),
        Seen::Ours { event: id, txn, .. } => {
            ensure!(event["sender"] == ME, "it is not ours");
            ensure!(event["event_id"] == *id, "it is another event");
            ensure!(txn.as_deref() == event["unsigned"]["transaction_id"].as_str(), "another transaction");
            Ok(())
        }
        Seen::Theirs(theirs) => {
            theirs_is(&event, theirs)?;
            deed_is(raw, &event, &theirs.deed)
        }
    }
}

/// The event without what nests deeper than this reader goes: a field that means nothing.
fn shallow(raw: &str) -> String {
    let mut parts = raw.split(DEEP);
    let before = parts.next().unwrap_or_default().to_owned();
    parts.fold(before, |event, deep| event + deep.trim_start_matches(['[', ']', ',']))
}

fn theirs_is(event: &Value, theirs: &Theirs) -> Result<()> {
    ensure!(
        event["sender"] == theirs.sender && theirs.sender != ME,
        "it is another's, not {}'s",
        theirs.sender
    );
    ensure!(event["event_id"] == theirs.event, "it is another event");
    ensure!(event.get("state_key").is_none_or(Value::is_null), "it changes the room");
    let sent = event["origin_server_ts"].as_i64().and_then(DateTime::from_timestamp_millis);
    ensure!(theirs.sent == sent.unwrap_or_default(), "it was sent at another time than {}", theirs.sent);
    let ids = [Some(&theirs.event), Some(&theirs.sender), theirs.thread.as_ref()];
    ensure!(ids.into_iter().flatten().all(|id| id.len() <= LONGEST_ID), "a name is too long");
    let content = &event["content"];
    let relation = &content["m.relates_to"];
    if let Some(thread) = &theirs.thread {
        ensure!(is(relation, "m.thread") && relation["event_id"] == *thread, "it is in no such thread");
    }
    ensure!(
        !theirs.names_us || (names_us(content) || names_us(&content["m.new_content"])),
        "it does not name us"
    );
    Ok(())
}

/// Whether a relation is of a kind. The library takes a number, too, for one of those it knows: odd, and nobody's harm.
fn is(relation: &Value, kind: &str) -> bool {
    relation["rel_type"] == kind || relation["rel_type"].is_u64()
}

fn names_us(content: &Value) -> bool {
    let mentioned =
        content["m.mentions"]["user_ids"].as_array().is_some_and(|users| users.contains(&ME.into()));
    let text = content["body"].as_str().unwrap_or_default().to_lowercase();
    mentioned || text.contains("branbell") || text.contains("bin keeper")
}

fn deed_is(raw: &str, event: &Value, deed: &Deed) -> Result<()> {
    let content = &event["content"];
    let relation = &content["m.relates_to"];
    let said = |content: &Value, text: &str| content["body"].as_str().is_some_and(|body| body.contains(text));
    match deed {
        Deed::Say { text, reply_to } => {
            ensure!(said(content, text), "nobody said so");
            ensure!(relation["rel_type"] != "m.replace", "it changes what was said");
            ensure!(text.len() <= LONGEST_TEXT, "it is too long to be read");
            let answered = [&relation["event_id"], &relation["m.in_reply_to"]["event_id"]];
            ensure!(
                reply_to.as_ref().is_none_or(|to| answered.contains(&&Value::from(to.as_str()))),
                "it answers nothing"
            );
        }
        Deed::Edit { of, text } => {
            ensure!(is(relation, "m.replace") && relation["event_id"] == *of, "it changes nothing");
            ensure!(said(&content["m.new_content"], text), "nobody said so");
            ensure!(text.len() <= LONGEST_TEXT, "it is too long to be read");
            ensure!(of.len() <= LONGEST_ID, "a name is too long");
        }
        Deed::Delete { of } => {
            ensure!(event["redacts"] == *of || content["redacts"] == *of, "it deletes nothing");
            ensure!(of.len() <= LONGEST_ID, "a name is too long");
        }
        Deed::React { to, key } => {
            ensure!(relation["event_id"] == *to && relation["key"] == *key, "it is no reaction");
            ensure!(to.len() <= LONGEST_ID, "a name is too long");
        }
        Deed::Unreadable { raw: kept } => ensure!(kept == raw, "it is kept otherwise than it came"),
        Deed::TooLong { .. } => ensure!(raw.len() > LONGEST_TEXT, "it is not too long"),
        Deed::Other | Deed::Lost { .. } => {}
    }
    Ok(())
}
