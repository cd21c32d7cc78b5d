//! What was said in a room while nobody listened: read on start, and after a gap.

use std::sync::Arc;

use branbell_store::Archive;
use futures_util::future::join_all;
use matrix_sdk::deserialized_responses::TimelineEvent;
use matrix_sdk::ruma::RoomId;
use matrix_sdk::{Room, RoomState};
use tokio::time::Instant;
use tracing::{info, warn};

use super::Listener;
use crate::chat::RoomInfo;
use crate::chat::matrix::{history, people, upgrade};
use crate::clock::Clock;
use crate::config::Rooms;
use crate::host::Host;

/// Rooms whose gap is read at a time: enough to hide the way to the homeserver, which has others to serve.
const AT_ONCE: usize = 8;

impl<S: Archive, C: Clock> Listener<S, C> {
    /// Catches up with the rooms that have a gap. Several are read at a time, for each is a wait for the homeserver; then what
    /// was read is taken in, one after the other. None is read meanwhile: it would hold the store's one connection and never
    /// give it back, for nobody would wait for it.
    pub(super) async fn catch_up_with_all(&mut self) {
        let host = Arc::clone(&self.host);
        let behind =
            self.behind().into_iter().map(|room| (self.go_on_from.get(room.room_id()).cloned(), room));
        for rooms in behind.collect::<Vec<_>>().chunks(AT_ONCE) {
            let read = rooms.iter().map(|(last, room)| Missed::read(room, &host, self.rooms, last.clone()));
            for (missed, (_, room)) in join_all(read).await.into_iter().zip(rooms) {
                self.take_in_missed(room, missed).await;
            }
        }
    }

    async fn take_in_missed(&mut self, room: &Room, missed: anyhow::Result<Missed>) {
        let id = room.room_id();
        let caught_up = match missed {
            Ok(missed) => self.catch_up(room, missed).await,
            Err(error) => Err(error),
        };
        match caught_up {
            Ok(direct) => {
                self.late.over(id);
                match direct {
                    Some(_) if self.go_on_from.contains_key(id) => {}
                    Some(direct) => _ = self.current.insert(id.to_owned(), direct),
                    None => _ = self.over.insert(id.to_owned()),
                }
            }
            Err(error) => {
                warn!(room = %id, "not caught up yet: {error:#}");
                self.late.failed(id, Instant::now());
            }
        }
    }

    /// Opens a room and has what was missed there wait for its turn; tells whether it is one-to-one, or nothing where another
    /// room has taken its place.
    async fn catch_up(&mut self, room: &Room, missed: Missed) -> anyhow::Result<Option<bool>> {
        if room.is_tombstoned() && !self.host.is_known(room.room_id().as_str()).await? {
            return Ok(None);
        }
        if let Some(old) = upgrade::predecessor(room).await? {
            self.take_the_place_of(&old, room).await?;
        }
        self.go_on(room, missed).await.map(Some)
    }

    async fn go_on(&mut self, room: &Room, missed: Missed) -> anyhow::Result<bool> {
        let Missed { info, events, go_on_from } = missed;
        self.host.open(&info, self.clock.now()).await?;
        self.read_room_again(room, info.direct).await?;
        self.backlog.add(room.room_id(), info.direct, events);
        match go_on_from {
            Some(event) => self.go_on_from.insert(room.room_id().to_owned(), event),
            None => self.go_on_from.remove(room.room_id()),
        };
        Ok(info.direct)
    }

    /// What was kept of a room goes on in the one that it was upgraded to, and the old one is left.
    async fn take_the_place_of(&mut self, old: &RoomId, room: &Room) -> anyhow::Result<()> {
        let left_behind = self.client.get_room(old).filter(|old| old.state() == RoomState::Joined);
        if let Some(left_behind) = &left_behind
            && self.host.is_known(old.as_str()).await?
        {
            // What was said there to the last.
            self.take_turn(old, usize::MAX).await;
            loop {
                let last = self.go_on_from.get(old).cloned();
                let missed = Missed::read(left_behind, &self.host, self.rooms, last).await?;
                let direct = self.go_on(left_behind, missed).await?;
                if let Some((_, events)) = self.backlog.take(old, usize::MAX) {
                    self.take_events(left_behind, direct, &events).await?;
                }
                if !self.go_on_from.contains_key(old) {
                    break;
                }
            }
        }
        if !self.host.move_room(old.as_str(), room.room_id().as_str()).await? {
            warn!(room = %room.room_id(), %old, "it has a history of its own already: that of the old room stays there");
            return Ok(());
        }
        self.current.remove(old);
        self.waiting.remove(old);
        if let Some(left_behind) = left_behind {
            info!(room = %room.room_id(), %old, "the room was upgraded: going on in the new one");
            upgrade::leave(left_behind);
        }
        Ok(())
    }
}

/// What happened in a room since the last event that was taken in, or the oldest of it.
struct Missed {
    info: RoomInfo,
    events: Vec<TimelineEvent>,
    /// The newest of the events, where more is to be read after it.
    go_on_from: Option<String>,
}

impl Missed {
    /// Asks the homeserver who is there and what was said: since `last`, or else since the last event that was taken in.
    async fn read(
        room: &Room,
        host: &Host<impl Archive>,
        new: Rooms,
        mut last: Option<String>,
    ) -> anyhow::Result<Self> {
        let info = people::describe(room, new).await?;
        if last.is_none() {
            last = host.last_taken(&info.room).await?;
        }
        let known = async |event: &str| Ok(host.has_taken(&info.room, event).await?);
        let (events, go_on_from) = history::since(room, last.as_deref(), known).await?;
        Ok(Self { info, events, go_on_from })
    }
}
