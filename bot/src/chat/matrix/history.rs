//! Paging back: to what was taken in last, on start and after a gap; and for a message of ours that may be there already.

use std::collections::HashMap;

use anyhow::Context;
use matrix_sdk::Room;
use matrix_sdk::deserialized_responses::TimelineEvent;
use matrix_sdk::room::MessagesOptions;
use matrix_sdk::ruma::{UInt, UserId};
use serde::Deserialize;
use tracing::warn;

/// Events in one page.
const PAGE: u32 = 100;
/// How far we page back at most: ten thousand events, which is weeks in a household and hours in a crowd.
const PAGES: usize = 100;

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
            if is_arrival(&event, room.own_user_id()) {
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

/// What our transactions became that stand in the room: transaction id to event.
///
/// # Errors
/// When the homeserver does not answer.
pub(super) async fn transactions(room: &Room) -> anyhow::Result<HashMap<String, String>> {
    let mut became = HashMap::new();
    let mut pages = Pages::of(room);
    while let Some(page) = pages.next().await? {
        for event in page {
            if is_arrival(&event, room.own_user_id()) {
                return Ok(became);
            }
            if let (Some(txn), Some(id)) = (transaction(&event), event.event_id()) {
                became.insert(txn, id.to_string());
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
        let Some(left) = self.left.checked_sub(1) else { return Ok(None) };
        let mut options = MessagesOptions::backward().from(self.from.as_deref());
        options.limit = UInt::from(PAGE);
        let page = self.room.messages(options).await.context("the homeserver does not page back")?;
        self.exhausted = left == 0 && page.end.is_some();
        self.left = if page.end.is_some() { left } else { 0 };
        self.from = page.end;
        Ok(Some(page.chunk))
    }
}

/// Whether we came into the room with this event: what was said before it is not for us.
fn is_arrival(event: &TimelineEvent, me: &UserId) -> bool {
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
    let Ok(change) = event.raw().deserialize_as_unchecked::<Membership>() else { return false };
    let was_here = change.unsigned.prev_content.is_some_and(|before| before.membership == "join");
    change.kind == "m.room.member"
        && change.state_key == *me
        && change.content.membership == "join"
        && !was_here
}

fn transaction(event: &TimelineEvent) -> Option<String> {
    #[derive(Deserialize)]
    struct Unsigned {
        transaction_id: Option<String>,
    }
    event.raw().get_field::<Unsigned>("unsigned").ok().flatten()?.transaction_id
}

#[cfg(test)]
mod tests {
    use matrix_sdk::ruma::serde::Raw;
    use matrix_sdk::ruma::user_id;
    use serde_json::{Value, json};

    use super::*;

    fn member(who: &str, membership: &str, before: Option<&str>) -> TimelineEvent {
        let unsigned: Value = before.map_or(json!({}), |m| json!({ "prev_content": { "membership": m } }));
        let event = json!({
            "type": "m.room.member", "event_id": "$it", "sender": who, "state_key": who, "origin_server_ts": 1,
            "content": { "membership": membership }, "unsigned": unsigned,
        });
        TimelineEvent::from_plaintext(Raw::new(&event).unwrap().cast_unchecked())
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
        let event = TimelineEvent::from_plaintext(Raw::new(&event).unwrap().cast_unchecked());
        assert_eq!(transaction(&event).as_deref(), Some("r7"));
        assert_eq!(transaction(&member("@ana:example.org", "join", None)), None);
    }
}
