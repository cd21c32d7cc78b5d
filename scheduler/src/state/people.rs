//! The people of a room.

use chrono::{DateTime, Utc};

use crate::units::Fraction;

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
    /// What they have done beyond their share of the work done while they were there, in minutes; below nought: they owe.
    pub balance: f64,
    /// Lots of scraps that they told of.
    pub lots: u32,
    /// Work that was asked of them and met with silence since they last did some, in minutes; the first of it counts less.
    pub in_vain: f64,
}

/// Lots that each is taken to have told before the first. Source: our judgement; a week or two of a kitchen outweighs it.
const LOTS_BEFORE: f64 = 10.0;

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
    /// The first moment from `at` on at which somebody is here; none where all are away and nobody said until when.
    pub fn somebody_here(&self, at: DateTime<Utc>) -> Option<DateTime<Utc>> {
        let mut people = self.people.iter().filter(|person| person.here).peekable();
        if people.peek().is_none() {
            return Some(at);
        }
        people.filter_map(|person| if person.is_away(at) { person.away_until } else { Some(at) }).min()
    }

    /// Of those who said until when they are away: when they are back, and their share of what the room puts in.
    ///
    /// By the lots that each has told, which says little at first: each begins with as many as the others.
    pub fn shares_of_absent(&self, now: DateTime<Utc>) -> Vec<(DateTime<Utc>, Fraction)> {
        let here = || self.people.iter().filter(|person| person.here);
        let lots = |person: &Person| LOTS_BEFORE + f64::from(person.lots);
        let all: f64 = here().map(lots).sum();
        let away = here().filter(|person| person.is_away(now));
        away.filter_map(|person| Some((person.away_until?, Fraction(lots(person) / all)))).collect()
    }
}
