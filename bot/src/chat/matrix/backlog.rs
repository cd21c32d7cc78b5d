//! What was said in each room and is not taken in yet. The rooms take turns, so that a flood in one keeps no other waiting.

use std::collections::{HashMap, VecDeque};

use matrix_sdk::deserialized_responses::TimelineEvent;
use matrix_sdk::ruma::{OwnedRoomId, RoomId};

/// The rooms in which something waits.
#[derive(Debug, Default)]
pub(super) struct Backlog {
    rooms: HashMap<OwnedRoomId, (bool, VecDeque<TimelineEvent>)>,
}

impl Backlog {
    /// Events that were said in a room (`direct`: a one-to-one room), behind those that wait there.
    pub(super) fn add(
        &mut self,
        room: &RoomId,
        direct: bool,
        events: impl IntoIterator<Item = TimelineEvent>,
    ) {
        let mut events = events.into_iter().peekable();
        if events.peek().is_some() {
            let waiting = self.rooms.entry(room.to_owned()).or_default();
            waiting.0 = direct;
            waiting.1.extend(events);
        }
    }

    /// The rooms in which something waits.
    pub(super) fn rooms(&self) -> Vec<OwnedRoomId> {
        self.rooms.keys().cloned().collect()
    }

    /// Whether something waits in the room.
    pub(super) fn holds(&self, room: &RoomId) -> bool {
        self.rooms.contains_key(room)
    }

    /// Whether nothing waits anywhere.
    pub(super) fn is_empty(&self) -> bool {
        self.rooms.is_empty()
    }

    /// The oldest of what waits in a room, so many at most, and whether it is a one-to-one room.
    pub(super) fn take(&mut self, room: &RoomId, most: usize) -> Option<(bool, Vec<TimelineEvent>)> {
        let (direct, waiting) = self.rooms.get_mut(room)?;
        let taken = (*direct, waiting.drain(..most.min(waiting.len())).collect());
        if waiting.is_empty() {
            self.rooms.remove(room);
        }
        Some(taken)
    }

    /// What waits in a room is to be read again, or no longer concerns us.
    pub(super) fn forget(&mut self, room: &RoomId) {
        self.rooms.remove(room);
    }
}

#[cfg(test)]
mod tests {
    use matrix_sdk::ruma::room_id;
    use matrix_sdk::ruma::serde::Raw;
    use serde_json::json;

    use super::*;

    fn events(ids: &[&str]) -> Vec<TimelineEvent> {
        let raw = |id: &&str| Raw::new(&json!({ "event_id": id })).unwrap().cast_unchecked();
        ids.iter().map(|id| TimelineEvent::from_plaintext(raw(id))).collect()
    }

    fn ids(taken: Option<(bool, Vec<TimelineEvent>)>) -> Vec<String> {
        taken.unwrap().1.iter().map(|event| event.event_id().unwrap().to_string()).collect()
    }

    #[test]
    fn each_room_has_its_turn_and_keeps_its_order() {
        let (flooded, quiet) = (room_id!("!flooded:example.org"), room_id!("!quiet:example.org"));
        let mut backlog = Backlog::default();
        backlog.add(flooded, false, events(&["$1", "$2", "$3"]));
        backlog.add(flooded, false, events(&["$4", "$5"]));
        backlog.add(quiet, true, events(&["$a"]));
        backlog.add(room_id!("!silent:example.org"), true, events(&[]));
        assert_eq!(backlog.rooms().len(), 2);

        assert_eq!(ids(backlog.take(flooded, 2)), ["$1", "$2"]);
        let (direct, taken) = backlog.take(quiet, 2).unwrap();
        assert!(direct && taken.len() == 1);
        assert!(backlog.holds(flooded) && !backlog.holds(quiet));
        assert_eq!(ids(backlog.take(flooded, usize::MAX)), ["$3", "$4", "$5"]);
        assert!(backlog.take(flooded, 1).is_none() && backlog.is_empty());
    }

    #[test]
    fn what_is_to_be_read_again_does_not_wait_any_more() {
        let room = room_id!("!flooded:example.org");
        let mut backlog = Backlog::default();
        backlog.add(room, false, events(&["$1"]));
        backlog.forget(room);
        assert!(backlog.is_empty());
    }
}
