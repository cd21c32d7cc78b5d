//! The question that waits for somebody's answer.

use anyhow::Result;
use branbell_store::Archive;
use chrono::{DateTime, Utc};
use tracing::warn;

use super::Host;
use crate::chat::Incoming;
use crate::dialogue::Asked;

impl<S: Archive> Host<S> {
    /// The question that waits for whoever did this.
    pub(super) async fn asked(&self, incoming: &Incoming, now: DateTime<Utc>) -> Result<Option<Asked>> {
        let question = self.store.question(&incoming.room, &incoming.sender).await?;
        let question = question.filter(|question| question.until >= now.timestamp_millis());
        Ok(question.and_then(|question| match serde_json::from_value(question.body) {
            Ok(asked) => Some(asked),
            Err(error) => {
                warn!(room = incoming.room, %error, "a question that waits cannot be read and is dropped");
                None
            }
        }))
    }

    /// Whose question is about the message that this deletes. It quotes the message and goes with it, whoever deleted that, and
    /// even where it waits no longer.
    pub(super) async fn bereft(&self, incoming: &Incoming) -> Result<Option<String>> {
        let Some(deleted) = incoming.deed.deletes() else { return Ok(None) };
        let questions = self.store.questions(&incoming.room).await?.into_iter();
        let mut about = questions.filter(|(_, question)| question.body["event"] == deleted);
        Ok(about.next().map(|(person, _)| person))
    }
}

#[cfg(test)]
mod tests {
    use branbell_scheduler::fact::Units;
    use branbell_store::{SqliteStore, Store};
    use chrono_tz::Tz;

    use super::*;
    use crate::chat::{Deed, Person, RoomInfo};

    fn at(minute: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_800_000_000 + minute * 60, 0).unwrap()
    }

    async fn does(host: &Host<SqliteStore>, event: &str, sender: &str, deed: Deed) {
        let (room, event, sender) = ("house".into(), event.into(), sender.into());
        let incoming = Incoming { room, event, sender, sent: at(1), direct: true, thread: None, deed };
        host.take(&incoming, at(1)).await.unwrap();
    }

    #[tokio::test]
    async fn a_question_goes_with_its_message_whoever_deletes_it() {
        let store = SqliteStore::in_memory().await.unwrap();
        let host = Host::new(store.clone());
        let person = |id: &str| Person { id: id.into(), name: id.into(), steward: id == "ana" };
        let people = vec![person("ana"), person("bo")];
        let (zone, units) = (Tz::Europe__Vienna, Units::Metric);
        let info = RoomInfo { room: "house".into(), direct: false, zone, units, people };
        host.open(&info, at(0)).await.unwrap();
        let say = |text: &str| Deed::Say { text: text.into(), reply_to: None };
        does(&host, "$green", "ana", say("new bin green, 19 litres")).await;
        does(&host, "$blue", "ana", say("new bin blue, 19 litres")).await;
        does(&host, "$which", "bo", say("added 3 litres")).await;
        does(&host, "$whose", "ana", say("drained 100 ml")).await;
        let asked = || async {
            let asked = store.questions("house").await.unwrap().into_iter();
            asked.map(|(person, _)| person).collect::<Vec<_>>()
        };
        assert_eq!(asked().await, ["ana", "bo"]);
        does(&host, "$other", "ana", Deed::Delete { of: "$blue".into() }).await;
        assert_eq!(asked().await, ["ana", "bo"]);
        does(&host, "$gone", "ana", Deed::Delete { of: "$which".into() }).await;
        assert_eq!(asked().await, ["ana"]);
    }
}
