//! When a nudge may be heard: not in quiet hours, and not while the only one in the room is away.

use chrono::{DateTime, Utc};

use crate::state::Room;

/// The first moment from `instant` on at which the room may be spoken to; none as [`heard`] gives none.
pub fn hold(room: &Room, instant: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let awake = room.quiet.hold(instant, room.zone);
    heard(room, awake).map(|there| room.quiet.hold(there, room.zone))
}

/// The first moment from `instant` on at which somebody is there to hear. None while the people of a one-to-one room are
/// away and nobody said until when: then it is when they are back. A shared room is never paused: somebody is there.
pub fn heard(room: &Room, instant: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let mut here = room.people.iter().filter(|person| person.here).peekable();
    if !room.direct || here.peek().is_none() {
        return Some(instant);
    }
    here.filter_map(|person| if person.is_away(instant) { person.away_until } else { Some(instant) }).min()
}
