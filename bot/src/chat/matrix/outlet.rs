//! What the bot says: each row of the outbox once, under its own transaction id.

use std::collections::HashMap;
use std::sync::Arc;
use std::time::Duration;

use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_store::{Archive, Outgoing};
use chrono::TimeDelta;
use matrix_sdk::ruma::api::error::{ErrorKind, RetryAfter};
use matrix_sdk::ruma::{RoomId, TransactionId};
use matrix_sdk::{Client, Error, HttpError, Room};
use serde_json::{Value, json};
use tokio::sync::Mutex;
use tracing::{info, warn};

use super::{history, image, upgrade};
use crate::chat::{Exhibit, Message, Saying};
use crate::clock::Clock;
use crate::host::Host;

/// A homeserver forgets transaction ids after a day; from this age on we look in the room before we send again.
const REMEMBERED: TimeDelta = TimeDelta::hours(23);

/// Sends rows of the outbox into their rooms.
pub struct MatrixOutlet<S, C> {
    client: Client,
    host: Arc<Host<S>>,
    clock: Arc<C>,
    /// What stands in a room of what we sent, where we had to look. What we send later on is not in it and need not be,
    /// unless the answer to it is lost: then we look anew.
    stands: Mutex<HashMap<String, HashMap<String, String>>>,
}

impl<S: Archive, C: Clock> MatrixOutlet<S, C> {
    /// An outlet that speaks through this client.
    pub fn new(client: Client, host: Arc<Host<S>>, clock: Arc<C>) -> Self {
        Self { client, host, clock, stands: Mutex::default() }
    }

    /// The type of the event and its content.
    async fn event(&self, room: &Room, row: &Outgoing) -> Result<(&'static str, Value), SendError> {
        let saying: Saying = serde_json::from_value(row.body.clone())
            .map_err(|error| give_up(format!("it is damaged: {error}")))?;
        match saying {
            Saying::Message(message) => {
                let mut content = message_content(&message);
                if let Some(Exhibit::Drawn(picture)) = &message.picture {
                    match image::upload(&self.client, room, picture).await.map_err(|error| verdict(&error)) {
                        Ok(image) => merge(&mut content, image),
                        // The text says the same in words.
                        Err(SendError::GiveUp { reason }) => warn!(room = %row.room, reason, "no picture"),
                        Err(error) => return Err(error),
                    }
                }
                Ok(("m.room.message", content))
            }
            Saying::Reaction { on, key, .. } => {
                let target =
                    self.host.sent_as(&row.room, &on).await.map_err(|error| retry(format!("{error:#}")))?;
                // Rows leave in order: a message that has no event by now was given up.
                let target = target.ok_or_else(|| give_up("the message it belongs to was not sent"))?;
                Ok(("m.reaction", reaction_content(&target, &key)))
            }
        }
    }

    /// The event that an old row became already, if the answer to it was lost.
    async fn already_sent(&self, room: &Room, row: &Outgoing) -> Result<Option<String>, SendError> {
        // From the future it is if the clock was ahead; then nobody knows how old it is.
        let age = self.clock.now().timestamp_millis().abs_diff(row.created);
        if age < REMEMBERED.num_milliseconds().unsigned_abs() {
            return Ok(None);
        }
        let mut stands = self.stands.lock().await;
        if !stands.contains_key(&row.room) {
            info!(room = %row.room, txn = row.txn, "older than a day: looking for it in the room first");
            let look = async {
                let last = self.host.last_taken(&row.room).await?;
                history::transactions(room, last.as_deref()).await
            };
            let found = look.await.map_err(|error| retry(format!("{error:#}")))?;
            stands.insert(row.room.clone(), found);
        }
        Ok(stands.get(&row.room).and_then(|found| found.get(&row.txn)).cloned())
    }
}

impl<S: Archive, C: Clock> Outlet for MatrixOutlet<S, C> {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        let id =
            RoomId::parse(&row.room).map_err(|error| give_up(format!("{} is no room: {error}", row.room)))?;
        let room = self.client.get_room(&id).ok_or_else(|| give_up("the bot is not in the room"))?;
        if room.is_tombstoned() {
            return Err(retry("the room was upgraded: it waits for the new one"));
        }
        if let Some(event) = self.already_sent(&room, row).await? {
            return Ok(event);
        }
        let (kind, content) = self.event(&room, row).await?;
        let txn = <&TransactionId>::from(row.txn.as_str());
        match room.send_raw(kind, content).with_transaction_id(txn).await {
            Ok(sent) => Ok(sent.response.event_id.to_string()),
            Err(error) => {
                self.stands.lock().await.remove(&row.room);
                match verdict(&error) {
                    // The new room may not have been heard of yet.
                    SendError::GiveUp { reason }
                        if upgrade::successor(&self.client, &id).await.is_ok_and(|new| new.is_some()) =>
                    {
                        Err(retry(reason))
                    }
                    verdict => Err(verdict),
                }
            }
        }
    }
}

/// A message as others see it: a text and not a notice, because phones keep silent about notices and a nudge is to be
/// heard. `m.mentions` is there even when empty, so that a word in the text is not taken for a mention.
fn message_content(message: &Message) -> Value {
    let mut content = json!({ "msgtype": "m.text", "body": message.text, "m.mentions": {} });
    if !message.html.is_empty() {
        content["format"] = json!("org.matrix.custom.html");
        content["formatted_body"] = json!(message.html);
    }
    if !message.to.is_empty() {
        content["m.mentions"] = json!({ "user_ids": message.to });
    }
    if let Some(answered) = &message.re {
        content["m.relates_to"] = json!({ "m.in_reply_to": { "event_id": answered } });
        if let Some(thread) = &message.thread {
            merge(&mut content["m.relates_to"], json!({ "rel_type": "m.thread", "event_id": thread }));
        }
    }
    content
}

/// Puts the fields of one object into another.
fn merge(content: &mut Value, more: Value) {
    if let (Value::Object(content), Value::Object(more)) = (content, more) {
        content.extend(more);
    }
}

fn reaction_content(target: &str, key: &str) -> Value {
    json!({ "m.relates_to": { "rel_type": "m.annotation", "event_id": target, "key": key } })
}

/// Whether another try can help.
pub(super) fn verdict(error: &Error) -> SendError {
    match error {
        Error::WrongRoomState(_) => give_up("the bot is not in the room"),
        Error::Http(http) => http_verdict(http),
        _ => retry(error.to_string()),
    }
}

fn http_verdict(error: &HttpError) -> SendError {
    let Some(answer) = error.as_client_api_error() else { return retry(error.to_string()) };
    match answer.error_kind() {
        Some(ErrorKind::LimitExceeded(limit)) => SendError::Retry {
            reason: "the homeserver asks for a pause".to_owned(),
            after: match limit.retry_after {
                Some(RetryAfter::Delay(pause)) => Some(pause),
                _ => Some(Duration::from_secs(5)),
            },
        },
        // The session is over; the listener ends the program, and the row waits for the next start.
        Some(ErrorKind::UnknownToken(_) | ErrorKind::MissingToken) => retry(answer.to_string()),
        _ if answer.status_code.is_client_error() => give_up(answer.to_string()),
        _ => retry(answer.to_string()),
    }
}

fn retry(reason: impl Into<String>) -> SendError {
    SendError::Retry { reason: reason.into(), after: None }
}

fn give_up(reason: impl Into<String>) -> SendError {
    SendError::GiveUp { reason: reason.into() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_message_says_what_it_answers_and_whom_it_means() {
        let message = Message {
            text: "Drain green".into(),
            html: "<b>Drain green</b>".into(),
            re: Some("$log".into()),
            to: vec!["@bo:example.org".into()],
            ..Message::default()
        };
        let expected = json!({
            "msgtype": "m.text", "body": "Drain green",
            "format": "org.matrix.custom.html", "formatted_body": "<b>Drain green</b>",
            "m.mentions": { "user_ids": ["@bo:example.org"] },
            "m.relates_to": { "m.in_reply_to": { "event_id": "$log" } },
        });
        assert_eq!(message_content(&message), expected);
    }

    #[test]
    fn an_answer_in_a_thread_stays_there() {
        let message = Message { re: Some("$log".into()), thread: Some("$root".into()), ..Message::default() };
        let relation = json!({
            "rel_type": "m.thread", "event_id": "$root", "m.in_reply_to": { "event_id": "$log" },
        });
        assert_eq!(message_content(&message)["m.relates_to"], relation);
    }

    #[test]
    fn a_plain_message_mentions_nobody() {
        let message = Message { text: "White is good".into(), ..Message::default() };
        assert_eq!(
            message_content(&message),
            json!({ "msgtype": "m.text", "body": "White is good", "m.mentions": {} })
        );
    }
}
