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

    /// Whose turn a nudge is, said for the nth time (from 1): the next one in order who has not passed it on; after
    /// each silence the one after. Where all have passed it on, it stays with the first.
    pub fn turn_for(&self, nudge: &str, attempt: usize, now: DateTime<Utc>) -> Option<&Person> {
        let order = self.turn_order(now);
        let passed = self.passed.get(nudge).map_or(&[][..], Vec::as_slice);
        let willing: Vec<&Person> =
            order.iter().copied().filter(|person| !passed.contains(&person.id)).collect();
        // Each pass made the nudge come again at once: that was no silence.
        let silences = attempt.saturating_sub(1 + passed.len());
        let place = silences.checked_rem(willing.len()).unwrap_or_default();
        willing.get(place).or(order.first()).copied()
    }

    /// Those who can take a turn, the next one first.
    pub fn turn_order(&self, now: DateTime<Utc>) -> Vec<&Person> {
        let mut order: Vec<&Person> = self.people.iter().filter(|person| person.is_available(now)).collect();
        order.sort_by_key(|person| person.last_turn);
        order
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fact::{Fact, What};
    use crate::state::Room;

    fn room(people: &[&str], passed: &[&str]) -> Room {
        let at: DateTime<Utc> = "2027-03-01T09:00:00Z".parse().unwrap();
        let members = people.iter().map(|name| What::Member {
            person: (*name).to_owned(),
            name: (*name).to_owned(),
            steward: false,
        });
        let handed_on = passed
            .iter()
            .map(|name| What::Passed { person: (*name).to_owned(), nudge: "drain/green/1/1".to_owned() });
        let facts: Vec<Fact> = (1..)
            .zip(members.chain(handed_on))
            .map(|(seq, what)| Fact { seq, event: String::new(), author: String::new(), at, told: at, what })
            .collect();
        Room::fold(&facts)
    }

    fn whose(room: &Room, attempt: usize) -> Option<&str> {
        let now: DateTime<Utc> = "2027-03-02T09:00:00Z".parse().unwrap();
        room.turn_for("drain/green/1/1", attempt, now).map(|person| person.name.as_str())
    }

    #[test]
    fn a_turn_goes_on_after_silence_and_when_it_is_passed() {
        let nobody_answers = room(&["ada", "bo", "cem"], &[]);
        assert_eq!(
            [1, 2, 3, 4].map(|attempt| whose(&nobody_answers, attempt)),
            [Some("ada"), Some("bo"), Some("cem"), Some("ada")]
        );
        let ada_passes = room(&["ada", "bo", "cem"], &["ada"]);
        assert_eq!(
            [2, 3, 4].map(|attempt| whose(&ada_passes, attempt)),
            [Some("bo"), Some("cem"), Some("bo")]
        );
        assert_eq!(whose(&room(&["ada"], &["ada"]), 2), Some("ada"));
        assert_eq!(whose(&room(&[], &[]), 1), None);
    }
}
