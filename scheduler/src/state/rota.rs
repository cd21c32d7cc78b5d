//! Whose turn it is: in whose hands work is, who is asked next, and what counts as having done one's share.
//!
//! What somebody did counts in minutes ([`effort`]) and is owed in equal parts by everybody who was there then: who was away
//! owes nothing. It counts whether it was asked of them or not, since nobody else has to do it any more: a volunteer is asked
//! again when the others have caught up. The one thing that does not count is a look at a bin that was looked at just before:
//! nobody needs it, and who likes to look in every day is not to be spared every burying for it.
//!
//! Who has done least is asked first, with one exception, for the sake of fairness itself. To bury a batch and to wash the bin
//! takes an hour, and among thirty that is a third of a year's share. If little work always went to who has done least, all
//! would be nearly even when a batch is ready, and whoever buried it would be far ahead of them. So some of those who have done
//! least are kept for the next heavy work ([`KEPT_OF`]), and what is light goes round among the others.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Person, Room};
use crate::fact::What;

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

/// The first silence since somebody worked counts so much of the work: anybody may miss a message once, and is not to be passed
/// over for weeks while the others do more.
///
/// Source: our judgement; it lets the heaviest load of thirty residents come nearer to the mean (`tests/fairness.rs`).
const FIRST_SILENCE: f64 = 0.25;

/// What takes so many minutes is heavy work: burying, throwing a batch out, making bran.
const HEAVY: f64 = 30.0;

/// Of so many people one is kept for heavy work, all but the first of these: in a house of five or less nobody is, there an
/// hour is little of what each does in a year.
///
/// Source: our judgement; it keeps the heaviest load of eight and of thirty near the mean (`tests/fairness.rs`).
const KEPT_OF: usize = 3;

/// Who owes so many minutes, a burying with its washing, is kept for nothing, as where nothing heavy ever comes.
const OWED: f64 = 60.0;

/// So long after a look at a bin nobody needs another. The plan asks for the next after three days at the soonest, and people
/// look a little sooner than they are asked.
const LOOKED_AT: TimeDelta = TimeDelta::days(2);

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
    /// What they have done beyond their share. What was asked in vain counts like work: who never answers is not asked
    /// first each time, and so holds nothing up.
    fn load(&self) -> f64 {
        self.balance + self.in_vain
    }
}

impl Room {
    /// Whose a nudge is whose work takes so long: who took it, or to whom it was put; else who would be asked now.
    pub fn turn_for(&self, nudge: &str, minutes: f64, now: DateTime<Utc>) -> Option<&Person> {
        let taken = self.taken(nudge).map(|taken| taken.person.as_str());
        let asked = self.asked(nudge).filter(|asked| !self.has_passed(asked, nudge));
        let theirs = taken.or(asked).and_then(|id| self.person(id)).filter(|person| person.is_available(now));
        theirs.or_else(|| self.next_for(nudge, minutes, now))
    }

    /// Whom to ask when a nudge is sent now: who took it, while it is theirs; else the next one in order who has neither
    /// passed it on nor was asked before. Where all have, it goes back to the first.
    pub fn next_for(&self, nudge: &str, minutes: f64, now: DateTime<Utc>) -> Option<&Person> {
        let taken = self.taken(nudge).filter(|taken| now < taken.until + GRACE);
        let taken = taken.and_then(|taken| self.person(&taken.person));
        if let Some(person) = taken.filter(|person| person.is_available(now)) {
            return Some(person);
        }
        let order = self.turn_order(minutes, now);
        let asked = self.asked(nudge);
        let is_new = |person: &&Person| !self.has_passed(&person.id, nudge) && asked != Some(&person.id);
        order.iter().copied().find(is_new).or(order.first().copied())
    }

    /// To whom a nudge was put last.
    pub fn asked(&self, nudge: &str) -> Option<&str> {
        self.hands.get(nudge)?.asked.as_deref()
    }

    /// Whether a person took a nudge.
    pub fn has_taken(&self, person: &str, nudge: &str) -> bool {
        self.taken(nudge).is_some_and(|taken| taken.person == person)
    }

    fn taken(&self, nudge: &str) -> Option<&Taken> {
        self.hands.get(nudge)?.taken.as_ref()
    }

    /// Whether a person passed a nudge on, or left it unanswered.
    pub fn has_passed(&self, person: &str, nudge: &str) -> bool {
        self.hands.get(nudge).is_some_and(|hands| hands.passed.iter().any(|passed| passed == person))
    }

    /// Those who can take work of so many minutes, the next one first.
    pub fn turn_order(&self, minutes: f64, now: DateTime<Utc>) -> Vec<&Person> {
        let mut order: Vec<&Person> = self.people.iter().filter(|person| person.is_available(now)).collect();
        order.sort_by(|one, other| {
            one.load().total_cmp(&other.load()).then(one.last_turn.cmp(&other.last_turn))
        });
        if minutes < HEAVY {
            let kept = kept(&order);
            order.rotate_left(kept);
        }
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

    /// Whether a piece of work counts: a look at a bin that was looked at just before does not.
    fn counts(&self, what: &What, at: DateTime<Utc>) -> bool {
        let What::Checked { bin, .. } = what else { return true };
        let batch = self.bin(bin).and_then(|bin| bin.batch.as_ref());
        batch.and_then(|batch| batch.checks.last()).is_none_or(|last| at - last.at >= LOOKED_AT)
    }

    /// Somebody did a piece of work: it counts for them, and each who was there owes a share of it.
    pub(super) fn credit(&mut self, author: &str, what: &What, at: DateTime<Utc>) {
        let Some(minutes) = effort(what).filter(|_| self.counts(what, at)) else { return };
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

/// How many of those who are in order of what they did are kept for heavy work.
fn kept(order: &[&Person]) -> usize {
    let owes_all = order.first().is_some_and(|first| first.load() <= -OWED);
    if owes_all { 0 } else { (order.len() / KEPT_OF).saturating_sub(1) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fact::Fact;
    use crate::state::Room;

    const NUDGE: &str = "drain/green/1/1";

    /// What it takes to drain a bin.
    const LIGHT: f64 = 5.0;

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
        room.turn_for(NUDGE, LIGHT, now()).map(|person| person.name.as_str())
    }

    fn order(room: &Room) -> Vec<&str> {
        room.turn_order(LIGHT, now()).iter().map(|person| person.name.as_str()).collect()
    }

    fn passed(person: &str) -> (&str, What) {
        (person, What::Passed { person: person.to_owned(), nudge: NUDGE.to_owned() })
    }

    fn asked(person: &str) -> (&'static str, What) {
        ("", What::Asked { person: person.to_owned(), nudge: NUDGE.to_owned(), minutes: 5.0 })
    }

    fn next(room: &Room) -> Option<&str> {
        room.next_for(NUDGE, LIGHT, now()).map(|person| person.name.as_str())
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
    fn some_of_those_who_did_least_are_kept_for_heavy_work() {
        let six = ["ada", "bo", "cem", "dee", "eli", "fay"];
        let first = |room: &Room, minutes| room.turn_order(minutes, now())[0].id.clone();
        let fresh = room(&six, vec![]);
        assert_eq!((first(&fresh, LIGHT).as_str(), first(&fresh, 45.0).as_str()), ("bo", "ada"));
        let few = room(&six[..5], vec![]);
        assert_eq!(first(&few, LIGHT), "ada", "five take turns at everything alike");
        let others = six[1..].iter().cycle().take(9);
        let buried = What::Buried { bin: bin(), plot: None, depth_cm: None };
        let owing = room(&six, others.map(|person| (*person, buried.clone())).collect());
        assert_eq!(first(&owing, LIGHT), "ada", "who owes more than a burying is spared nothing");
    }

    #[test]
    fn a_look_that_nobody_needs_counts_nothing() {
        let look = ("ada", What::Checked { bin: bin(), signs: crate::fact::Signs::default() });
        let balance = |did| room(&["ada", "bo"], did).person("ada").unwrap().balance;
        let once = balance(vec![look.clone()]);
        assert!(once > 0.0);
        assert!((balance(vec![look.clone(), look]) - once).abs() < f64::EPSILON);
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
        let next_day = taken.next_for(NUDGE, LIGHT, later).map(|person| person.name.as_str());
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
