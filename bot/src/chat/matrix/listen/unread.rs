//! Messages that came before their keys.

use branbell_store::Archive;
use chrono::{DateTime, TimeDelta, Utc};
use matrix_sdk::Room;
use matrix_sdk::ruma::serde::Raw;
use tracing::warn;

use super::Listener;
use crate::chat::Deed;
use crate::chat::matrix::event::{Seen, Theirs};
use crate::clock::Clock;

/// How long a message waits for its key before we say, in a one-to-one room, that we could not read it. A key that is late
/// comes within seconds or minutes.
const KEY_IN_GOOD_TIME: TimeDelta = TimeDelta::minutes(5);

impl<S: Archive, C: Clock> Listener<S, C> {
    /// Tries the messages again that could not be decrypted: new keys may have come.
    pub(super) async fn read_again(&mut self) {
        for id in self.waiting.keys().cloned().collect::<Vec<_>>() {
            let (Some(room), Some(&direct)) = (self.client.get_room(&id), self.current.get(&id)) else {
                continue;
            };
            if let Err(error) = self.read_room_again(&room, direct).await {
                warn!(room = %id, "messages without a key stay unread: {error:#}");
            }
        }
    }

    pub(super) async fn read_room_again(&mut self, room: &Room, direct: bool) -> anyhow::Result<()> {
        let unread = self.host.unread(room.room_id().as_str()).await?;
        let mut unreadable = Vec::new();
        for (_, raw) in unread {
            let event = room.decrypt_event(&Raw::from_json_string(raw)?, None).await?;
            match Seen::read(&event, &self.me) {
                Seen::Theirs(theirs) if matches!(theirs.deed, Deed::Unreadable { .. }) => {
                    unreadable.push(theirs);
                }
                Seen::Theirs(theirs) => self.take(room, direct, theirs).await?,
                Seen::Ours { .. } | Seen::Nothing => {}
            }
        }
        if unreadable.is_empty() {
            self.waiting.remove(room.room_id());
            return Ok(());
        }
        let since = self.wait_for_key(room);
        // Among several people, few messages are for us: there we keep silent, and go on waiting.
        if direct && self.is_overdue(since) {
            self.give_up(room, unreadable).await?;
        }
        Ok(())
    }

    /// Says once that messages could not be read, and waits for them no longer: people say them again, and a key that came
    /// after that would have them written down twice.
    async fn give_up(&mut self, room: &Room, mut unreadable: Vec<Theirs>) -> anyhow::Result<()> {
        // The answer goes to the newest.
        unreadable.sort_by_key(|theirs| theirs.sent);
        let others = unreadable.len().saturating_sub(1);
        for (place, theirs) in unreadable.into_iter().enumerate() {
            let deed = if place == others { Deed::Lost { others } } else { Deed::Other };
            self.take(room, true, Theirs { deed, ..theirs }).await?;
        }
        self.waiting.remove(room.room_id());
        Ok(())
    }

    /// Notes that a room has messages that wait for their key; tells since when.
    pub(super) fn wait_for_key(&mut self, room: &Room) -> DateTime<Utc> {
        *self.waiting.entry(room.room_id().to_owned()).or_insert_with(|| self.clock.now())
    }

    pub(super) fn is_overdue(&self, since: DateTime<Utc>) -> bool {
        self.clock.now() - since >= KEY_IN_GOOD_TIME
    }
}
