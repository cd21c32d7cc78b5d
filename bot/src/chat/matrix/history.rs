//! Paging back: to what was taken in last, on start and after a gap; and for a message of ours that may be there already.

use std::collections::{HashMap, VecDeque};

use anyhow::Context;
use matrix_sdk::Room;
use matrix_sdk::deserialized_responses::TimelineEvent;
use matrix_sdk::ruma::api::client::message::get_message_events::v3::Request;
use matrix_sdk::ruma::events::AnyTimelineEvent;
use matrix_sdk::ruma::serde::Raw;
use matrix_sdk::ruma::{UInt, UserId};
use serde::Deserialize;

/// Events in one page.
const PAGE: u32 = 100;
/// Events of a gap that are held at a time: weeks of a household, days of a crowd.
const PORTION: usize = 10_000;
const NO_ANSWER: &str = "the homeserver does not page back";

/// The events of a room that may not have been taken in yet, the oldest first: back to `last`, and never to before our
/// own arrival. The page with `last` on it comes whole, because a homeserver may slip a late event in before `last`; of that,
/// only what is not `known` by its id is decrypted. Of a gap too long to be held at once come the oldest events, and the id of
/// the newest among them, from which to go on.
///
/// # Errors
/// When the homeserver does not answer, or `known` cannot tell.
pub(super) async fn since(
    room: &Room,
    last: Option<&str>,
    known: impl AsyncFn(&str) -> anyhow::Result<bool>,
) -> anyhow::Result<(Vec<TimelineEvent>, Option<String>)> {
    let mut portion = Portion::of(PORTION);
    let mut pages = Pages::of(room);
    while let Some(page) = pages.next().await? {
        for event in page {
            if is_arrival(&event, room.own_user_id()) {
                pages.end();
                break;
            }
            if last.is_some() && last == id(&event).as_deref() {
                pages.end();
            }
            portion.add_older(event);
        }
    }
    let go_on_from = portion.go_on_from();
    let mut events = Vec::new();
    for event in portion.events {
        events.extend(readable(room, event, &known).await?);
    }
    Ok((events, go_on_from))
}

/// The oldest events of a gap.
struct Portion<T> {
    most: usize,
    /// The oldest first.
    events: VecDeque<Raw<T>>,
    /// Whether there are newer ones.
    is_part: bool,
}

impl<T> Portion<T> {
    fn of(most: usize) -> Self {
        Self { most, events: VecDeque::new(), is_part: false }
    }

    /// Takes in one that is older than all so far; the newest leaves where they are too many.
    fn add_older(&mut self, event: Raw<T>) {
        self.events.push_front(event);
        if self.events.len() > self.most {
            self.events.pop_back();
            self.is_part = true;
        }
    }

    /// The newest of them, where newer ones are to be read after them.
    fn go_on_from(&self) -> Option<String> {
        self.events.iter().rev().find_map(id).filter(|_| self.is_part)
    }
}

fn id<T>(event: &Raw<T>) -> Option<String> {
    event.get_field("event_id").ok().flatten()
}

/// An event as it can be read: one of another's that is encrypted and new is decrypted, or says that it cannot be yet.
async fn readable(
    room: &Room,
    event: Raw<AnyTimelineEvent>,
    known: &impl AsyncFn(&str) -> anyhow::Result<bool>,
) -> anyhow::Result<Option<TimelineEvent>> {
    let field = |name: &str| event.get_field::<String>(name).ok().flatten();
    let ours = field("sender").as_deref() == Some(room.own_user_id().as_str());
    if ours || field("type").as_deref() != Some("m.room.encrypted") {
        return Ok(Some(TimelineEvent::from_plaintext(event.cast_unchecked())));
    }
    if known(&id(&event).unwrap_or_default()).await? {
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
            let Some(id) = id(&event) else { continue };
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
    is_over: bool,
}

impl<'r> Pages<'r> {
    fn of(room: &'r Room) -> Self {
        Self { room, from: None, is_over: false }
    }

    fn end(&mut self) {
        self.is_over = true;
    }

    /// The next page, the newest event first and encrypted as it came; `None` at the beginning of the room and after
    /// [`Pages::end`].
    async fn next(&mut self) -> anyhow::Result<Option<Vec<Raw<AnyTimelineEvent>>>> {
        if self.is_over {
            return Ok(None);
        }
        let mut request = Request::backward(self.room.room_id().to_owned());
        request.from.clone_from(&self.from);
        request.limit = UInt::from(PAGE);
        let page = self.room.client().send(request).await.context(NO_ANSWER)?;
        self.is_over = page.end.is_none();
        self.from = page.end;
        Ok(Some(page.chunk))
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
    fn a_gap_too_long_to_be_held_is_read_in_portions_from_its_oldest_event_on() {
        let gap: Vec<String> = (0..25).map(|n| format!("${n}")).collect();
        let (mut read, mut last) = (Vec::new(), None::<String>);
        loop {
            let mut portion = Portion::<AnyTimelineEvent>::of(10);
            for id in gap.iter().rev().take_while(|id| Some(*id) != last.as_ref()) {
                portion.add_older(Raw::new(&json!({ "event_id": id })).unwrap().cast_unchecked());
            }
            assert!(portion.events.len() <= 10);
            read.extend(portion.events.iter().filter_map(id));
            last = portion.go_on_from();
            if last.is_none() {
                break;
            }
        }
        assert_eq!(read, gap);
    }

    #[test]
    fn a_transaction_is_read_from_where_the_homeserver_puts_it() {
        let event = json!({ "type": "m.room.message", "unsigned": { "transaction_id": "r7" } });
        let event: Raw<AnyTimelineEvent> = Raw::new(&event).unwrap().cast_unchecked();
        assert_eq!(transaction(&event).as_deref(), Some("r7"));
        assert_eq!(transaction(&member("@ana:example.org", "join", None)), None);
    }
}
