//! `Done` to several nudges that came in one message: which of them?

use branbell_scheduler::plan::{NudgeKind, Subject};
use branbell_scheduler::state::Room;

use super::question::{Asked, Lacking, blank};
use super::{Decision, Item, Occasion, answered};
use crate::say;
use crate::voice::Voice;

/// The question which of these was done.
pub(super) fn ask(on: Occasion<'_>, items: &[Item]) -> Asked {
    let mut asked = blank(Lacking::Which, on);
    asked.choices = items.iter().map(|item| work(on.voice, item.kind, item.subject.as_ref())).collect();
    asked.nudges = items.iter().map(|item| item.key.clone()).collect();
    asked
}

/// The decision on the answer; none where it names none of them.
pub(super) fn complete(room: &Room, on: Occasion<'_>, asked: &Asked) -> Option<Decision> {
    let meant = meant(on.voice, &asked.choices, on.source.text);
    let mut ahead = room.clone();
    let mut decision = Decision::default();
    for key in meant.into_iter().filter_map(|place| asked.nudges.get(place)) {
        let Some(item) = Item::of_key(room, key, true) else { continue };
        answered::one_done(&mut ahead, on, &item, asked.sent, &mut decision);
    }
    (!decision.answers.is_empty()).then_some(decision)
}

/// The places of the choices that an answer names: all, or those of which it says a word that no other choice has.
fn meant(voice: &Voice, choices: &[String], text: &str) -> Vec<usize> {
    let words = words(text);
    let all = voice.word("all-words");
    if words.iter().any(|word| all.split_whitespace().any(|all| all == word)) {
        return (0..choices.len()).collect();
    }
    let names: Vec<Vec<String>> = choices.iter().map(|choice| self::words(choice)).collect();
    let tells = |place: usize, word: &String| {
        let others = names.iter().enumerate().filter(|(other, _)| *other != place);
        names[place].contains(word) && others.map(|(_, words)| words).all(|words| !words.contains(word))
    };
    let is_named = |place: &usize| words.iter().any(|word| tells(*place, word));
    (0..choices.len()).filter(is_named).collect()
}

fn words(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// The work that a nudge asks for, in a word or two.
pub(super) fn work(voice: &Voice, kind: NudgeKind, subject: Option<&Subject>) -> String {
    let id = match kind {
        NudgeKind::Drain => "work-drain",
        NudgeKind::Bran => "work-bran",
        NudgeKind::Full => "work-full",
        NudgeKind::Seal => "work-seal",
        NudgeKind::Check => "work-check",
        NudgeKind::Bury => "work-bury",
        NudgeKind::Plant => "work-plant",
        NudgeKind::Starter => "work-starter",
        NudgeKind::Idle | NudgeKind::Digest => return String::new(),
    };
    let name = match subject {
        Some(Subject::Bin(name) | Subject::Plot(name)) => name.as_str(),
        None => "",
    };
    say!(voice, id, name = name).plain()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_names_one_or_all() {
        let voice = Voice::english();
        let choices = ["drain cellar".to_owned(), "seal yard".to_owned(), "look at attic".to_owned()];
        let of = |text: &str| meant(&voice, &choices, text);
        assert_eq!(of("the cellar"), [0]);
        assert_eq!(of("drain and seal"), [0, 1]);
        assert_eq!(of("All of it!"), [0, 1, 2]);
        assert_eq!(of("both"), [0, 1, 2]);
        assert!(of("what a day").is_empty());
        let same_bin = ["drain cellar".to_owned(), "seal cellar".to_owned()];
        assert!(meant(&voice, &same_bin, "cellar").is_empty(), "that names both, and so neither");
    }
}
