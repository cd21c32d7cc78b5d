//! Rooms that could not be caught up with, and when each is tried again, so that one room in trouble delays no other.

use std::collections::HashMap;
use std::time::Duration;

use matrix_sdk::ruma::{OwnedRoomId, RoomId};
use tokio::time::Instant;

use super::backoff::Backoff;

/// The rooms in trouble.
#[derive(Debug, Default)]
pub(super) struct Late {
    rooms: HashMap<OwnedRoomId, (Backoff, Instant)>,
}

impl Late {
    /// Whether it is time to try the room: always, unless it failed a short while ago.
    pub(super) fn is_due(&self, room: &RoomId, now: Instant) -> bool {
        self.rooms.get(room).is_none_or(|(_, at)| *at <= now)
    }

    /// It failed: next time later.
    pub(super) fn failed(&mut self, room: &RoomId, now: Instant) {
        let (backoff, at) = self.rooms.entry(room.to_owned()).or_insert_with(|| (Backoff::default(), now));
        *at = now + backoff.pause();
    }

    /// It worked, or the room is no longer ours.
    pub(super) fn over(&mut self, room: &RoomId) {
        self.rooms.remove(room);
    }

    /// How long until a room is to be tried again.
    pub(super) fn next(&self, now: Instant) -> Option<Duration> {
        self.rooms.values().map(|(_, at)| at.saturating_duration_since(now)).min()
    }
}

#[cfg(test)]
mod tests {
    use matrix_sdk::ruma::room_id;

    use super::*;

    #[test]
    fn a_room_in_trouble_waits_longer_each_time_and_alone() {
        let (bad, good) = (room_id!("!bad:example.org"), room_id!("!good:example.org"));
        let begin = Instant::now();
        let mut late = Late::default();
        assert!(late.is_due(bad, begin));
        assert_eq!(late.next(begin), None);

        late.failed(bad, begin);
        let first = late.next(begin).unwrap();
        assert!(!late.is_due(bad, begin) && late.is_due(good, begin));
        assert!(late.is_due(bad, begin + first));

        late.failed(bad, begin + first);
        assert_eq!(late.next(begin + first), Some(2 * first));
        late.over(bad);
        assert!(late.is_due(bad, begin));
    }
}
