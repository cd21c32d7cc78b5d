//! Pictures are drawn when they are sent, from the room as it is then; the outbox only names them.

use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_store::{Archive, Outgoing};
use chrono::{DateTime, Utc};
use tracing::warn;

use super::Host;
use crate::chat::{Exhibit, Message, Saying};
use crate::picture::{self, View};

/// An outlet that is given drawn pictures.
pub(super) struct Gallery<'a, S, O> {
    pub(super) host: &'a Host<S>,
    pub(super) outlet: &'a O,
    pub(super) now: DateTime<Utc>,
}

impl<S: Archive, O: Outlet> Outlet for Gallery<'_, S, O> {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        match serde_json::from_value(row.body.clone()) {
            Ok(Saying::Message(message)) if message.picture.is_some() => {
                self.outlet.send(&self.drawn(row, message).await?).await
            }
            _ => self.outlet.send(row).await,
        }
    }
}

impl<S: Archive, O: Outlet> Gallery<'_, S, O> {
    /// The row with its picture; without one where it cannot be drawn, for its text says the same.
    async fn drawn(&self, row: &Outgoing, mut message: Message) -> Result<Outgoing, SendError> {
        if let Some(Exhibit::Of(view)) = &message.picture {
            message.picture = self.draw(&row.room, view).await?;
        }
        let body = serde_json::to_value(Saying::Message(message));
        let body = body.map_err(|error| SendError::GiveUp { reason: error.to_string() })?;
        Ok(Outgoing { body, ..row.clone() })
    }

    async fn draw(&self, room: &str, view: &View) -> Result<Option<Exhibit>, SendError> {
        let drawn =
            self.host.known(room, |known| picture::draw(self.host.voice(), known, view, self.now)).await;
        match drawn {
            Ok(Ok(picture)) => Ok(Some(Exhibit::Drawn(picture))),
            Ok(Err(error)) => {
                warn!(room, %error, "the picture was left out");
                Ok(None)
            }
            Err(error) => Err(SendError::Retry { reason: format!("{error:#}"), after: None }),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Mutex;

    use branbell_scheduler::fact::Units;
    use branbell_store::{SqliteStore, Store};
    use chrono::TimeDelta;
    use chrono_tz::Tz;

    use super::*;
    use crate::chat::{Deed, Incoming, Person, RoomInfo};

    /// Keeps what it is sent.
    #[derive(Default)]
    struct Album(Mutex<Vec<Message>>);

    impl Outlet for Album {
        async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
            if let Saying::Message(message) = serde_json::from_value(row.body.clone()).unwrap() {
                self.0.lock().unwrap().push(message);
            }
            Ok(row.txn.clone())
        }
    }

    async fn say(host: &Host<SqliteStore>, text: &str, now: DateTime<Utc>) {
        let deed = Deed::Say { text: text.into(), reply_to: None };
        let (event, sender) = (format!("${text}"), "ana".to_owned());
        let incoming =
            Incoming { room: "kitchen".into(), event, sender, sent: now, direct: true, thread: None, deed };
        host.take(&incoming, now).await.unwrap();
    }

    #[tokio::test]
    async fn a_picture_shows_the_room_as_it_is_when_it_is_sent() {
        let now = DateTime::parse_from_rfc3339("2026-03-01T08:00:00Z").unwrap().to_utc();
        let store = SqliteStore::in_memory().await.unwrap();
        let host = Host::new(store.clone());
        let people = vec![Person { id: "ana".into(), name: "ana".into(), steward: true }];
        let (zone, units) = (Tz::Europe__Vienna, Units::Metric);
        let info = RoomInfo { room: "kitchen".into(), direct: true, zone, units, people };
        host.open(&info, now).await.unwrap();
        for text in ["new bin green, 19 litres", "added 3 litres to green", "chart of the bins"] {
            say(&host, text, now).await;
        }
        let rows = store.outbox(now.timestamp_millis(), 100).await.unwrap();
        let kept = rows.last().unwrap().body.to_string();
        assert!(kept.contains(r#""picture":{"of":"bins"}"#) && kept.len() < 1000, "{kept}");
        let later = now + TimeDelta::hours(1);
        say(&host, "added 4 litres to green", later).await;
        let album = Album::default();
        host.deliver(&album, later).await.unwrap();
        let said = album.0.lock().unwrap();
        let pictures: Vec<_> = said.iter().filter_map(|message| message.picture.as_ref()).collect();
        let [Exhibit::Drawn(picture)] = pictures[..] else { panic!("{pictures:?}") };
        // Seven litres, settled to seven tenths.
        assert!(picture.alt.contains("Green: filling, 4.9 of 19 l"), "{}", picture.alt);
        assert!(picture.png.starts_with(b"\x89PNG"));
    }
}
