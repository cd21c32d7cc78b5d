//! The people of a room, and who has done what.

use chrono::{DateTime, TimeDelta, Utc};

use crate::fact::What;
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

/// In whose hands a nudge is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hands {
    /// To whom it was put last.
    pub asked: Option<String>,
    /// Who passed it on, or left it unanswered.
    pub passed: Vec<String>,
    /// Who took it.
    pub taken: Option<Taken>,
    /// When there was talk of it last.
    pub at: DateTime<Utc>,
}

/// Somebody took a nudge upon them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// Who.
    pub person: String,
    /// Until when it is theirs, though nothing is heard of it.
    pub until: DateTime<Utc>,
}

/// Somebody asked for another to take their turn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offer {
    /// Who asked.
    pub person: String,
    /// When.
    pub at: DateTime<Utc>,
}

/// One person goes before another the next time that it would be the other's turn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StandIn {
    /// Whose turn it would be.
    pub of: String,
    /// Who takes it.
    pub by: String,
}

/// Lots that each is taken to have told before the first. Source: our judgement; a week or two of a kitchen outweighs it.
const LOTS_BEFORE: f64 = 10.0;

/// The first silence since somebody worked counts so much of the work: anybody may miss a message once, and is not to be passed
/// over for weeks while the others do more.
///
/// Source: our judgement; it lets the heaviest load of thirty residents come nearer to the mean (`tests/fairness.rs`).
const FIRST_SILENCE: f64 = 0.25;

/// Of a nudge that nobody spoke of for so long it is forgotten whose it was: it is done, or asked of everybody anew.
const SPOKEN_OF: TimeDelta = TimeDelta::days(60);

/// What was put off until a moment comes at that moment, give or take what delivery takes.
const GRACE: TimeDelta = TimeDelta::hours(1);

/// Roughly how many minutes a piece of work takes, the way to the bin included; none where it is no turn's work.
///
/// Source: our judgement; only the proportions matter. Filling and bran are everybody's own.
pub fn effort(what: &What) -> Option<f64> {
    Some(match what {
        What::Drained { .. } | What::Checked { .. } => 5.0,
        What::Sealed { .. } => 10.0,
        What::Cleaned { .. } => 15.0,
        What::StarterMade { .. } | What::Discarded { .. } => 30.0,
        What::Buried { .. } => 45.0,
        _ => return None,
    })
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

    /// Whose turn it is: of those who are here, the one who has done least beyond their share.
    pub fn turn(&self, now: DateTime<Utc>) -> Option<&Person> {
        self.turn_order(now).into_iter().next()
    }

    /// Whose a nudge is: who took it, or to whom it was put; else who would be asked now.
    pub fn turn_for(&self, nudge: &str, now: DateTime<Utc>) -> Option<&Person> {
        let taken = self.taken(nudge).map(|taken| taken.person.as_str());
        let asked = self.asked(nudge).filter(|asked| !self.has_passed(asked, nudge));
        let theirs = taken.or(asked).and_then(|id| self.person(id)).filter(|person| person.is_available(now));
        theirs.or_else(|| self.next_for(nudge, now))
    }

    /// Whom to ask when a nudge is sent now: who took it, while it is theirs; else the next one in order who has neither
    /// passed it on nor was asked before. Where all have, it goes back to the first.
    pub fn next_for(&self, nudge: &str, now: DateTime<Utc>) -> Option<&Person> {
        let taken = self.taken(nudge).filter(|taken| now < taken.until + GRACE);
        let taken = taken.and_then(|taken| self.person(&taken.person));
        if let Some(person) = taken.filter(|person| person.is_available(now)) {
            return Some(person);
        }
        let order = self.turn_order(now);
        let asked = self.asked(nudge);
        let is_new = |person: &&Person| !self.has_passed(&person.id, nudge) && asked != Some(&person.id);
        order.iter().copied().find(is_new).or(order.first().copied())
    }

    /// To whom a nudge was put last.
    pub fn asked(&self, nudge: &str) -> Option<&str> {
        self.hands.get(nudge)?.asked.as_deref()
    }

    fn taken(&self, nudge: &str) -> Option<&Taken> {
        self.hands.get(nudge)?.taken.as_ref()
    }

    /// Whether a person passed a nudge on, or left it unanswered.
    pub fn has_passed(&self, person: &str, nudge: &str) -> bool {
        self.hands.get(nudge).is_some_and(|hands| hands.passed.iter().any(|passed| passed == person))
    }

    /// Those who can take a turn, the next one first. What was asked in vain counts like work: who never answers is not
    /// asked first each time, and so holds nothing up.
    pub fn turn_order(&self, now: DateTime<Utc>) -> Vec<&Person> {
        let mut order: Vec<&Person> = self.people.iter().filter(|person| person.is_available(now)).collect();
        order.sort_by(|one, other| {
            let load = |person: &Person| person.balance + person.in_vain;
            load(one).total_cmp(&load(other)).then(one.last_turn.cmp(&other.last_turn))
        });
        for StandIn { of, by } in &self.stand_ins {
            let place = |id: &str| order.iter().position(|person| person.id == id);
            if let (Some(of), Some(by)) = (place(of), place(by))
                && of < by
            {
                order[of..=by].rotate_right(1);
            }
        }
        order
    }

    /// Somebody did a piece of work: it counts for them, and each who was there owes a share of it.
    pub(super) fn credit(&mut self, author: &str, what: &What, at: DateTime<Utc>) {
        let Some(minutes) = effort(what) else { return };
        if self.person(author).is_none() {
            return;
        }
        let sharers = self.people.iter().filter(|person| person.is_available(at)).count();
        let share = if sharers == 0 { 0.0 } else { minutes / sharers as f64 };
        for person in &mut self.people {
            if person.is_available(at) {
                person.balance -= share;
            }
            if person.id == author {
                person.balance += minutes;
                // Who works after all did not shirk; what they left undone is in their balance already.
                person.in_vain = 0.0;
                person.turns += 1;
                person.last_turn = at;
            }
        }
        self.stand_ins.retain(|stand_in| stand_in.by != author && stand_in.of != author);
    }

    /// A nudge is put to somebody: who had it before left it unanswered, unless they passed it on.
    pub(super) fn ask(&mut self, person: &str, nudge: &str, minutes: f64, at: DateTime<Utc>) {
        let before = self.hands_mut(nudge, at).asked.replace(person.to_owned());
        let Some(before) = before.filter(|before| before != person && !self.has_passed(before, nudge)) else {
            return;
        };
        if let Some(silent) = self.people.iter_mut().find(|known| known.id == before) {
            let share = if silent.in_vain > 0.0 { 1.0 } else { FIRST_SILENCE };
            silent.in_vain += share * minutes;
        }
        self.hand_on(&before, nudge, at);
    }

    /// In whose hands a nudge is of which there is talk now; what is long over is forgotten.
    fn hands_mut(&mut self, nudge: &str, at: DateTime<Utc>) -> &mut Hands {
        if !self.hands.contains_key(nudge) {
            self.hands.retain(|_, hands| at - hands.at <= SPOKEN_OF);
        }
        let hands = self.hands.entry(nudge.to_owned()).or_default();
        hands.at = at;
        hands
    }

    /// A nudge is no longer that person's.
    pub(super) fn hand_on(&mut self, person: &str, nudge: &str, at: DateTime<Utc>) {
        let hands = self.hands_mut(nudge, at);
        hands.passed.push(person.to_owned());
        hands.taken.take_if(|taken| taken.person == person);
    }

    /// Somebody takes a nudge; where none is named, the next turn of whoever offered theirs.
    pub(super) fn take_over(
        &mut self,
        person: &str,
        nudge: Option<&str>,
        until: DateTime<Utc>,
        at: DateTime<Utc>,
    ) {
        let offered = self.offer.take().map(|offer| offer.person);
        if let Some(nudge) = nudge {
            self.hands_mut(nudge, at).taken = Some(Taken { person: person.to_owned(), until });
        } else if let Some(of) = offered.filter(|of| of != person) {
            self.stand_ins.retain(|stand_in| stand_in.of != of);
            self.stand_ins.push(StandIn { of, by: person.to_owned() });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fact::Fact;
    use crate::state::Room;

    const NUDGE: &str = "drain/green/1/1";

    fn instant(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    fn now() -> DateTime<Utc> {
        instant("2027-03-02T09:00:00Z")
    }

    /// A room of people, and what its people did since, each by whoever is named first.
    fn room(people: &[&str], did: Vec<(&str, What)>) -> Room {
        let at = instant("2027-03-01T09:00:00Z");
        let members = people.iter().map(|name| {
            let (person, name) = ((*name).to_owned(), (*name).to_owned());
            ("", What::Member { person, name, steward: false })
        });
        let facts: Vec<Fact> = (1..)
            .zip(members.chain(did))
            .map(|(seq, (author, what))| Fact {
                seq,
                event: String::new(),
                author: author.to_owned(),
                at,
                told: at,
                what,
            })
            .collect();
        Room::fold(&facts)
    }

    fn whose(room: &Room) -> Option<&str> {
        room.turn_for(NUDGE, now()).map(|person| person.name.as_str())
    }

    fn order(room: &Room) -> Vec<&str> {
        room.turn_order(now()).iter().map(|person| person.name.as_str()).collect()
    }

    fn passed(person: &str) -> (&str, What) {
        (person, What::Passed { person: person.to_owned(), nudge: NUDGE.to_owned() })
    }

    fn asked(person: &str) -> (&'static str, What) {
        ("", What::Asked { person: person.to_owned(), nudge: NUDGE.to_owned(), minutes: 5.0 })
    }

    fn next(room: &Room) -> Option<&str> {
        room.next_for(NUDGE, now()).map(|person| person.name.as_str())
    }

    fn bin() -> String {
        "green".to_owned()
    }

    #[test]
    fn a_turn_goes_on_after_silence_and_when_it_is_passed() {
        let people = ["ada", "bo", "cem"];
        assert_eq!(whose(&room(&people, vec![])), Some("ada"));
        let ada_asked = room(&people, vec![asked("ada")]);
        assert_eq!((whose(&ada_asked), next(&ada_asked)), (Some("ada"), Some("bo")));
        let ada_silent = room(&people, vec![asked("ada"), asked("bo")]);
        assert_eq!((whose(&ada_silent), next(&ada_silent)), (Some("bo"), Some("cem")));
        assert_eq!(order(&ada_silent), ["bo", "cem", "ada"], "who does not answer is not asked first again");
        assert_eq!(next(&room(&people, vec![asked("ada"), passed("ada"), asked("bo")])), Some("cem"));
        let all_silent = room(&people, vec![asked("ada"), asked("bo"), asked("cem")]);
        assert!(next(&all_silent).is_some());
        assert_eq!(whose(&room(&["ada"], vec![asked("ada"), passed("ada")])), Some("ada"));
        assert_eq!(whose(&room(&[], vec![])), None);
    }

    #[test]
    fn a_first_silence_counts_less() {
        let in_vain = |did| room(&["ada", "bo"], did).person("ada").unwrap().in_vain;
        let once = vec![asked("ada"), asked("bo")];
        assert!((in_vain(once.clone()) - 5.0 * FIRST_SILENCE).abs() < 1e-9);
        let twice = once.into_iter().chain([asked("ada"), asked("bo")]).collect();
        assert!(in_vain(twice) <= 5.0 * FIRST_SILENCE + 1e-9, "one nudge is passed on once by each");
        let other = |person: &str| {
            let nudge = "drain/green/1/2".to_owned();
            ("", What::Asked { person: person.to_owned(), nudge, minutes: 5.0 })
        };
        let two = vec![asked("ada"), asked("bo"), other("ada"), other("bo")];
        assert!((in_vain(two) - 5.0 * (FIRST_SILENCE + 1.0)).abs() < 1e-9);
    }

    #[test]
    fn whose_a_nudge_was_long_ago_is_forgotten() {
        let mut room = room(&["ada", "bo"], vec![asked("ada"), passed("ada")]);
        let mut ask = |days: i64, nudge: &str| {
            let at = now() + TimeDelta::days(days);
            let what = What::Asked { person: "bo".to_owned(), nudge: nudge.to_owned(), minutes: 5.0 };
            let (seq, author) = (100 + days, String::new());
            room.apply(&Fact { seq, event: String::new(), author, at, told: at, what });
            room.has_passed("ada", NUDGE)
        };
        assert!(ask(30, "drain/green/2/1"));
        assert!(!ask(90, "drain/green/3/1"));
        assert_eq!(room.hands.len(), 2);
    }

    #[test]
    fn who_did_least_for_the_time_they_were_there_is_next() {
        let buried = What::Buried { bin: bin(), plot: None, depth_cm: None };
        let drained = What::Drained { bin: bin(), ml: 100.0, used: None, estimated: false };
        let away = What::Away { person: "cem".to_owned(), until: None };
        let back = What::Back { person: "cem".to_owned() };
        let worked = room(
            &["ada", "bo", "cem"],
            vec![("ada", drained.clone()), ("bo", buried.clone()), ("ada", drained.clone())],
        );
        assert_eq!(order(&worked), ["cem", "ada", "bo"], "burying weighs more than draining twice");
        let absent = room(
            &["ada", "bo", "cem"],
            vec![("cem", drained.clone()), ("cem", away), ("bo", buried), ("cem", back)],
        );
        assert_eq!(order(&absent), ["ada", "cem", "bo"], "nobody catches up on what was done while away");
        let sum: f64 = worked.people.iter().map(|person| person.balance).sum();
        assert!(sum.abs() < 1e-9, "what one has done the others owe: {sum}");
    }

    #[test]
    fn who_takes_a_turn_has_it_until_silence() {
        let until = now();
        let took = |person: &str, nudge: Option<&str>| What::Took {
            person: person.to_owned(),
            nudge: nudge.map(str::to_owned),
            until,
        };
        let people = ["ada", "bo", "cem"];
        let taken = room(&people, vec![asked("ada"), ("cem", took("cem", Some(NUDGE)))]);
        assert_eq!((whose(&taken), next(&taken)), (Some("cem"), Some("cem")));
        let later = now() + TimeDelta::days(1);
        let next_day = taken.next_for(NUDGE, later).map(|person| person.name.as_str());
        assert_eq!(next_day, Some("bo"), "nothing came of it");

        let offered = ("ada", What::Offered { person: "ada".to_owned() });
        let swapped = vec![offered, ("cem", took("cem", None))];
        let room_after = room(&people, swapped.clone());
        assert_eq!(order(&room_after), ["cem", "ada", "bo"]);
        assert_eq!(room_after.offer, None);
        let done = ("cem", What::Sealed { bin: bin() });
        let after_work = room(&people, swapped.into_iter().chain([done]).collect());
        assert_eq!(order(&after_work), ["ada", "bo", "cem"]);
    }
}
