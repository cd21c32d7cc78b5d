//! The people of a room, and who has done what.

use chrono::{DateTime, Utc};

/// Somebody in a room.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    /// The id by which facts name them.
    pub id: String,
    /// The name they go by.
    pub name: String,
    /// Whether they may change what is shared.
    pub steward: bool,
    /// Whether they are in the room.
    pub here: bool,
    /// Whether they said that they are away.
    pub away: bool,
    /// Until when they are away, where they said.
    pub away_until: Option<DateTime<Utc>>,
    /// How many turns they have taken: draining, sealing, checking, burying, washing, making bran.
    pub turns: u32,
    /// When they took the last one; when they came, before the first.
    pub last_turn: DateTime<Utc>,
}

impl Person {
    /// Whether they can take a turn at that moment.
    pub fn is_available(&self, now: DateTime<Utc>) -> bool {
        self.here && !self.is_away(now)
    }

    /// Whether they are away at that moment.
    pub fn is_away(&self, now: DateTime<Utc>) -> bool {
        self.away && self.away_until.is_none_or(|until| now < until)
    }
}

impl super::Room {
    /// Whose turn it is: of those who are here, the one whose last turn is longest ago.
    pub fn turn(&self, now: DateTime<Utc>) -> Option<&Person> {
        self.turn_order(now).into_iter().next()
    }

    /// Those who can take a turn, the next one first.
    pub fn turn_order(&self, now: DateTime<Utc>) -> Vec<&Person> {
        let mut order: Vec<&Person> = self.people.iter().filter(|person| person.is_available(now)).collect();
        order.sort_by_key(|person| person.last_turn);
        order
    }
}
