//! A turn that somebody takes upon them, in a few words: `I'll take it`, `ok, I can do it tonight`, `I'll drain it`.
//!
//! It is nothing but that: each word of the message has its place, so that `I'll do it like last year` is none.

use branbell_scheduler::plan::{NudgeKind, Subject};
use branbell_scheduler::state::Room;

use super::phrase::{Phrase, Rest};
use crate::voice::Voice;

/// What somebody takes upon them: whatever was spoken of, as far as they do not say what.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Claim {
    /// The kind of work: `I'll drain it`.
    kind: Option<NudgeKind>,
    /// The bin: `I can do gate tonight`.
    bin: Option<String>,
}

impl Claim {
    /// Whether this work may be meant.
    pub(super) fn fits(&self, kind: NudgeKind, subject: Option<&Subject>) -> bool {
        let bin = match subject {
            Some(Subject::Bin(bin)) => Some(bin),
            _ => None,
        };
        self.kind.is_none_or(|named| named == kind) && (self.bin.is_none() || self.bin.as_ref() == bin)
    }

    /// Whether it says of itself what it is about.
    pub(super) fn says_what(&self) -> bool {
        *self != Self::default()
    }
}

/// The words for a kind of work, and those that tell that talk is about it.
const WORK: [(NudgeKind, &str, &str); 7] = [
    (NudgeKind::Drain, "claim-drain-words", "near-drain-words"),
    (NudgeKind::Bran, "claim-bran-words", "near-bran-words"),
    (NudgeKind::Seal, "claim-seal-words", "near-seal-words"),
    (NudgeKind::Check, "claim-check-words", "near-check-words"),
    (NudgeKind::Bury, "claim-bury-words", "near-bury-words"),
    (NudgeKind::Plant, "claim-plant-words", "near-plant-words"),
    (NudgeKind::Starter, "claim-starter-words", "near-bran-words"),
];

/// What a message takes upon its sender; none where it asks, or says anything else.
pub(super) fn claim(room: &Room, voice: &Voice, text: &str) -> Option<Claim> {
    let phrase = Phrase::of(text);
    let people = names(room.people.iter().map(|person| person.name.as_str()));
    let mut rest = Some(phrase.rest()).filter(|_| !text.contains('?'))?;
    rest.pass_any(voice, "claim-lead-words", &people);
    let claim = if rest.pass(voice, "claim-whole-words") {
        Claim::default()
    } else {
        if !rest.pass(voice, "claim-who-words") {
            return None;
        }
        what(room, voice, &mut rest)?
    };
    rest.pass_any(voice, "claim-more-words", &people);
    let mut bins = room.bins_in_use().filter(|bin| phrase.holds(&Phrase::of(&bin.name)));
    let bin = bins.next().filter(|_| bins.next().is_none()).map(|bin| bin.name.clone());
    rest.is_over().then_some(Claim { bin, ..claim })
}

/// What is taken, after `I'll`, but for the bin; none where nothing is.
fn what(room: &Room, voice: &Voice, rest: &mut Rest<'_>) -> Option<Claim> {
    let bins = names(room.bins_in_use().map(|bin| bin.name.as_str()));
    let people = room.people.iter().map(|person| person.name.as_str());
    let of_whom: Vec<String> = names(people).into_iter().chain(bins.iter().cloned()).collect();
    let mut turn = *rest;
    if turn.pass(voice, "claim-turn-of-words") && turn.pass_any(voice, "claim-turn-words", &of_whom) {
        *rest = turn;
        return Some(Claim::default());
    }
    if rest.pass(voice, "claim-it-words") {
        return Some(Claim::default());
    }
    let (kind, ..) = WORK.into_iter().find(|(_, verbs, _)| rest.pass(voice, verbs))?;
    rest.pass_any(voice, "claim-thing-words", &bins).then_some(Claim { kind: Some(kind), bin: None })
}

/// Whether a message is about turns, a bin of the room, or this work: then who says `I'll do it` after it means that.
pub(super) fn is_about(room: &Room, voice: &Voice, text: &str, kinds: &[NudgeKind]) -> bool {
    let phrase = Phrase::of(text);
    let is_about_work = WORK.iter().any(|(kind, _, words)| kinds.contains(kind) && phrase.has(voice, words));
    let names_a_bin = room.bins_in_use().any(|bin| phrase.holds(&Phrase::of(&bin.name)));
    is_about_work || names_a_bin || phrase.has(voice, "claim-about-words")
}

/// The words of names, as they stand in a phrase, also where something is theirs.
fn names<'a>(names: impl Iterator<Item = &'a str>) -> Vec<String> {
    let words = names.flat_map(|name| Phrase::of(name).words().map(str::to_owned).collect::<Vec<_>>());
    words.flat_map(|word| [format!("{word}s"), word]).collect()
}

#[cfg(test)]
mod tests {
    use branbell_scheduler::fact::{Fact, What};
    use chrono::{DateTime, Utc};

    use super::*;

    fn room() -> Room {
        let told = [
            What::Member { person: "@bo:x".into(), name: "Bo".into(), steward: true },
            What::BinSet { bin: "cellar".into(), capacity_ml: None, tap: None },
        ];
        let facts: Vec<Fact> = (1..)
            .zip(told)
            .map(|(seq, what)| {
                let at = DateTime::<Utc>::UNIX_EPOCH;
                Fact { seq, event: String::new(), author: String::new(), at, told: at, what }
            })
            .collect();
        Room::fold(&facts)
    }

    #[test]
    fn a_claim_is_nothing_else() {
        let (room, voice) = (room(), Voice::english());
        let claim = |text: &str| claim(&room, &voice, text);
        for text in [
            "I'll do it",
            "I’ll take it!",
            "I can do it tonight",
            "ok, I'll do it after work",
            "on it",
            "mine",
            "Bo: I can take care of it tomorrow morning",
            "sure, I'll do that at 7 pm",
            "let me do it, no worries",
            "I'll take your turn",
            "I can cover for Bo",
            "I'll take Bo's turn tonight",
        ] {
            assert_eq!(claim(text), Some(Claim::default()), "{text}");
        }
        let cellar = || Some("cellar".to_owned());
        for (text, kind, bin) in [
            ("I'll drain it tonight", Some(NudgeKind::Drain), None),
            ("I can drain the cellar bin", Some(NudgeKind::Drain), cellar()),
            ("i will empty the liquid in cellar", Some(NudgeKind::Drain), cellar()),
            ("I can do cellar tonight", None, cellar()),
            ("I'll bury it on saturday", Some(NudgeKind::Bury), None),
        ] {
            assert_eq!(claim(text), Some(Claim { kind, bin }), "{text}");
        }
        for text in [
            "I'll do it like last year",
            "shall I do it?",
            "I can do it tonight?",
            "mine is broken",
            "I'll take it back",
            "I'll do the dishes",
            "I can't do it tonight",
            "if nobody minds, I'll do it",
            "I'll take the bus",
            "I'll take a turn left",
            "I'll cover the cake",
            "on it was a label",
            "I'll drain the pasta",
            "",
        ] {
            assert_eq!(claim(text), None, "{text}");
        }
    }

    #[test]
    fn only_the_work_that_is_named_is_meant() {
        let cellar = Subject::Bin("cellar".to_owned());
        let drains = Claim { kind: Some(NudgeKind::Drain), bin: None };
        assert!(drains.says_what() && drains.fits(NudgeKind::Drain, Some(&cellar)));
        assert!(!drains.fits(NudgeKind::Bury, Some(&cellar)));
        let gate = Claim { kind: None, bin: Some("gate".to_owned()) };
        assert!(gate.says_what() && !gate.fits(NudgeKind::Drain, Some(&cellar)));
        assert!(!Claim::default().says_what() && Claim::default().fits(NudgeKind::Starter, None));
    }

    #[test]
    fn talk_about_the_work_is_told_from_other_talk() {
        let (room, voice) = (room(), Voice::english());
        let about = |text: &str| is_about(&room, &voice, text, &[NudgeKind::Drain]);
        for text in ["did anybody drain it yet?", "whose turn is it then", "is that the cellar one?"] {
            assert!(about(text), "{text}");
        }
        for text in ["who brings bread?", "did anybody bury the hatchet?", ""] {
            assert!(!about(text), "{text}");
        }
    }
}
