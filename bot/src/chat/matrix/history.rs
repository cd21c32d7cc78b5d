//! Paging back: to what was taken in last, on start and after a gap; and for a message of ours that may be there already.

use std::collections::HashMap;

use anyhow::Context;
use matrix_sdk::Room;
use matrix_sdk::deserialized_responses::TimelineEvent;
use matrix_sdk::ruma::api::client::message::get_message_events::v3::Request;
use matrix_sdk::ruma::events::AnyTimelineEvent;
use matrix_sdk::ruma::serde::Raw;
use matrix_sdk::ruma::{UInt, UserId};
use serde::Deserialize;
use tracing::warn;

/// Events in one page.
const PAGE: u32 = 100;
/// How far we page back at most: ten thousand events, which is weeks in a household and hours in a crowd.
const PAGES: usize = 100;
const NO_ANSWER: &str = "the homeserver does not page back";

/// The events of a room that may not have been taken in yet, the oldest first: back to `last`, and never to before our
/// own arrival. The page with `last` on it comes whole, because a homeserver may slip a late event in before `last`; of that,
/// only what is not `known` by its id is decrypted.
///
/// # Errors
/// When the homeserver does not answer, or `known` cannot tell.
pub(super) async fn since(
    room: &Room,
    last: Option<&str>,
    known: impl AsyncFn(&str) -> anyhow::Result<bool>,
) -> anyhow::Result<Vec<TimelineEvent>> {
    let mut events = Vec::new();
    let mut pages = Pages::of(room);
    while let Some(page) = pages.next().await? {
        let mut reached = false;
        for event in page {
            if is_arrival(&event, room.own_user_id()) {
                pages.end();
                break;
            }
            let id = event.get_field::<String>("event_id").ok().flatten().unwrap_or_default();
            reached |= last == Some(&*id);
            events.extend(readable(room, event, &id, &known).await?);
        }
        if reached {
            pages.end();
        }
    }
    if pages.exhausted {
        warn!(room = %room.room_id(), "paged back {PAGES} pages; what is older is not read");
    }
    events.reverse();
    Ok(events)
}

/// An event as it can be read: one of another's that is encrypted and new is decrypted, or says that it cannot be yet.
async fn readable(
    room: &Room,
    event: Raw<AnyTimelineEvent>,
    id: &str,
    known: &impl AsyncFn(&str) -> anyhow::Result<bool>,
) -> anyhow::Result<Option<TimelineEvent>> {
    let field = |name: &str| event.get_field::<String>(name).ok().flatten();
    let ours = field("sender").as_deref() == Some(room.own_user_id().as_str());
    if ours || field("type").as_deref() != Some("m.room.encrypted") {
        return Ok(Some(TimelineEvent::from_plaintext(event.cast_unchecked())));
    }
    if known(id).await? {
        return Ok(None);
    }
    let encrypted = event.cast_unchecked();
    // What is no encrypted event by its form is none that could be read.
    let read = room.decrypt_event(&encrypted, None).await;
    Ok(Some(read.unwrap_or_else(|_| TimelineEvent::from_plaintext(encrypted.cast_unchecked()))))
}

/// What our transactions became that stand in the room: transaction id to event. Back to `last`, the event that was taken in
/// last: what of ours stands before it was seen when that was reached.
///
/// # Errors
/// When the homeserver does not answer.
pub(super) async fn transactions(room: &Room, last: Option<&str>) -> anyhow::Result<HashMap<String, String>> {
    let mut became = HashMap::new();
    let mut pages = Pages::of(room);
    while let Some(page) = pages.next().await? {
        for event in page {
            if is_arrival(&event, room.own_user_id()) {
                return Ok(became);
            }
            let Ok(Some(id)) = event.get_field::<String>("event_id") else { continue };
            if last == Some(id.as_str()) {
                pages.end();
            }
            if let Some(txn) = transaction(&event) {
                became.insert(txn, id);
            }
        }
    }
    Ok(became)
}

/// The pages of a room, the newest first.
struct Pages<'r> {
    room: &'r Room,
    from: Option<String>,
    left: usize,
    exhausted: bool,
}

impl<'r> Pages<'r> {
    fn of(room: &'r Room) -> Self {
        Self { room, from: None, left: PAGES, exhausted: false }
    }

    fn end(&mut self) {
        self.left = 0;
    }

    /// The next page, the newest event first and encrypted as it came; `None` at the beginning of the room, after
    /// [`Pages::end`] or at our limit.
    async fn next(&mut self) -> anyhow::Result<Option<Vec<Raw<AnyTimelineEvent>>>> {
        if self.left == 0 {
            return Ok(None);
        }
        let mut request = Request::backward(self.room.room_id().to_owned());
        request.from.clone_from(&self.from);
        request.limit = UInt::from(PAGE);
        let page = self.room.client().send(request).await.context(NO_ANSWER)?;
        self.turn(page.end);
        Ok(Some(page.chunk))
    }

    fn turn(&mut self, end: Option<String>) {
        self.left = if end.is_some() { self.left - 1 } else { 0 };
        self.exhausted = self.left == 0 && end.is_some();
        self.from = end;
    }
}

/// Whether we came into the room with this event: what was said before it is not for us.
fn is_arrival<T>(event: &Raw<T>, me: &UserId) -> bool {
    #[derive(Deserialize)]
    struct Membership {
        #[serde(rename = "type")]
        kind: String,
        state_key: String,
        content: Content,
        #[serde(default)]
        unsigned: Unsigned,
    }
    #[derive(Deserialize)]
    struct Content {
        membership: String,
    }
    #[derive(Default, Deserialize)]
    struct Unsigned {
        prev_content: Option<Content>,
    }
    // Anything else does not have this form.
    let Ok(change) = event.deserialize_as_unchecked::<Membership>() else { return false };
    let was_here = change.unsigned.prev_content.is_some_and(|before| before.membership == "join");
    change.kind == "m.room.member"
        && change.state_key == *me
        && change.content.membership == "join"
        && !was_here
}

fn transaction<T>(event: &Raw<T>) -> Option<String> {
    #[derive(Deserialize)]
    struct Unsigned {
        transaction_id: Option<String>,
    }
    event.get_field::<Unsigned>("unsigned").ok().flatten()?.transaction_id
}

#[cfg(test)]
mod tests {
    use matrix_sdk::ruma::user_id;
    use serde_json::{Value, json};

    use super::*;

    fn member(who: &str, membership: &str, before: Option<&str>) -> Raw<AnyTimelineEvent> {
        let unsigned: Value = before.map_or(json!({}), |m| json!({ "prev_content": { "membership": m } }));
        let event = json!({
            "type": "m.room.member", "event_id": "$it", "sender": who, "state_key": who, "origin_server_ts": 1,
            "content": { "membership": membership }, "unsigned": unsigned,
        });
        Raw::new(&event).unwrap().cast_unchecked()
    }

    #[test]
    fn we_arrive_by_joining_and_not_by_changing_our_name() {
        let me = user_id!("@branbell:example.org");
        assert!(is_arrival(&member(me.as_str(), "join", Some("invite")), me));
        assert!(is_arrival(&member(me.as_str(), "join", None), me));
        assert!(!is_arrival(&member(me.as_str(), "join", Some("join")), me));
        assert!(!is_arrival(&member(me.as_str(), "leave", Some("join")), me));
        assert!(!is_arrival(&member("@ana:example.org", "join", None), me));
    }

    #[test]
    fn a_transaction_is_read_from_where_the_homeserver_puts_it() {
        let event = json!({ "type": "m.room.message", "unsigned": { "transaction_id": "r7" } });
        let event: Raw<AnyTimelineEvent> = Raw::new(&event).unwrap().cast_unchecked();
        assert_eq!(transaction(&event).as_deref(), Some("r7"));
        assert_eq!(transaction(&member("@ana:example.org", "join", None)), None);
    }
}
