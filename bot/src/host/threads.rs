//! An answer stands where it was asked: in a thread, or in none.

use anyhow::Result;
use branbell_store::{Archive, Said};

use super::Host;
use super::rows::reply_txn;
use crate::chat::{Deed, Incoming, Message, Saying};

impl<S: Archive> Host<S> {
    /// The thread that an answer goes into: where it was said. An edit and a deletion go where we answered what they change,
    /// even where the chat no longer tells of a thread.
    pub(super) async fn thread(&self, incoming: &Incoming) -> Result<Option<String>> {
        let (Deed::Edit { of, .. } | Deed::Delete { of }) = &incoming.deed else {
            return Ok(incoming.thread.clone());
        };
        let answer = self.store.written(&incoming.room, &reply_txn(of)).await?;
        Ok(answer.and_then(message_of).map_or_else(|| incoming.thread.clone(), |answer| answer.thread))
    }
}

/// Something of ours as a message; none where it is none, or cannot be read.
fn message_of(said: Said) -> Option<Message> {
    match serde_json::from_value(said.body).ok()? {
        Saying::Message(message) => Some(message),
        Saying::Reaction { .. } => None,
    }
}

#[cfg(test)]
mod tests {
    use branbell_scheduler::fact::Units;
    use branbell_store::{SqliteStore, Store};
    use chrono::DateTime;
    use chrono_tz::Tz;

    use super::*;
    use crate::chat::{Person, RoomInfo};

    async fn kitchen(store: &SqliteStore) -> Host<SqliteStore> {
        let host = Host::new(store.clone());
        let people = vec![Person { id: "ana".into(), name: "ana".into(), steward: true }];
        let (zone, units) = (Tz::Europe__Vienna, Units::Metric);
        let info = RoomInfo { room: "kitchen".into(), direct: true, zone, units, people };
        host.open(&info, incoming("$0", None, Deed::Other).sent).await.unwrap();
        host
    }

    fn incoming(event: &str, thread: Option<&str>, deed: Deed) -> Incoming {
        let sent = DateTime::parse_from_rfc3339("2027-03-01T08:00:00Z").unwrap().to_utc();
        let thread = thread.map(str::to_owned);
        Incoming {
            room: "kitchen".into(),
            event: event.into(),
            sender: "ana".into(),
            sent,
            direct: true,
            thread,
            deed,
        }
    }

    /// Takes something in, and gives the thread that the answer is to stand in.
    async fn answered_in(store: &SqliteStore, host: &Host<SqliteStore>, what: Incoming) -> Option<String> {
        host.take(&what, what.sent).await.unwrap();
        let answer = store.written("kitchen", &reply_txn(&what.event)).await.unwrap().unwrap();
        message_of(answer).unwrap().thread
    }

    fn say(text: &str) -> Deed {
        Deed::Say { text: text.into(), reply_to: None }
    }

    #[tokio::test]
    async fn an_edit_and_a_deletion_are_answered_where_the_message_was() {
        let store = SqliteStore::in_memory().await.unwrap();
        let host = kitchen(&store).await;
        let bin = incoming("$bin", None, say("new bin green, 19 litres"));
        assert_eq!(answered_in(&store, &host, bin).await, None);
        let log = incoming("$log", Some("$bin"), say("added 3 litres"));
        assert_eq!(answered_in(&store, &host, log).await.as_deref(), Some("$bin"));
        // None of these answers has left yet, as after a crash.
        let edit = Deed::Edit { of: "$log".into(), text: "added 2 litres".into() };
        assert_eq!(answered_in(&store, &host, incoming("$edit", None, edit)).await.as_deref(), Some("$bin"));
        let deletion = Deed::Delete { of: "$log".into() };
        let thread = answered_in(&store, &host, incoming("$deletion", None, deletion)).await;
        assert_eq!(thread.as_deref(), Some("$bin"));
        let other = Deed::Edit { of: "$bin".into(), text: "new bin green, 20 litres".into() };
        assert_eq!(answered_in(&store, &host, incoming("$other", None, other)).await, None);
    }

    #[tokio::test]
    async fn an_edit_of_what_was_never_answered_is_answered_in_its_thread() {
        let store = SqliteStore::in_memory().await.unwrap();
        let host = kitchen(&store).await;
        let unheard = Deed::Edit { of: "$unheard".into(), text: "new bin green, 19 litres".into() };
        let thread = answered_in(&store, &host, incoming("$edit", Some("$root"), unheard)).await;
        assert_eq!(thread.as_deref(), Some("$root"));
    }
}
