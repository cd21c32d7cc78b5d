//! Paging back: to what was taken in last, on start and after a gap; and for a message of ours that may be there already.

use std::collections::HashMap;

use anyhow::Context;
use matrix_sdk::Room;
use matrix_sdk::deserialized_responses::TimelineEvent;
use matrix_sdk::room::MessagesOptions;
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
/// own arrival. The page with `last` on it comes whole, because a homeserver may slip a late event in before `last`;
/// taking an event in again is harmless.
///
/// # Errors
/// When the homeserver does not answer.
pub(super) async fn since(room: &Room, last: Option<&str>) -> anyhow::Result<Vec<TimelineEvent>> {
    let mut events = Vec::new();
    let mut pages = Pages::of(room);
    while let Some(page) = pages.next().await? {
        let mut reached = false;
        for event in page {
            if is_arrival(event.raw(), room.own_user_id()) {
                pages.end();
                break;
            }
            reached |= last.is_some() && event.event_id().as_deref().map(AsRef::as_ref) == last;
            events.push(event);
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

/// What our transactions became that stand in the room: transaction id to event. Back to `last`, the event that was taken in
/// last: what of ours stands before it was seen when that was reached.
///
/// # Errors
/// When the homeserver does not answer.
pub(super) async fn transactions(room: &Room, last: Option<&str>) -> anyhow::Result<HashMap<String, String>> {
    let mut became = HashMap::new();
    let mut pages = Pages::of(room);
    while let Some(page) = pages.next_as_it_came().await? {
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

    /// The next page, the newest event first; `None` at the beginning of the room, after [`Pages::end`] or at our limit.
    async fn next(&mut self) -> anyhow::Result<Option<Vec<TimelineEvent>>> {
        if self.left == 0 {
            return Ok(None);
        }
        let mut options = MessagesOptions::backward().from(self.from.as_deref());
        options.limit = UInt::from(PAGE);
        let page = self.room.messages(options).await.context(NO_ANSWER)?;
        self.turn(page.end);
        Ok(Some(page.chunk))
    }

    /// The same with encrypted events left encrypted, which is sooner done.
    async fn next_as_it_came(&mut self) -> anyhow::Result<Option<Vec<Raw<AnyTimelineEvent>>>> {
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
