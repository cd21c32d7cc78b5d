//! What a person may ask of us about themselves: to see what is kept of them, and to be forgotten.

use branbell_language::Reading;
use branbell_scheduler::state::Room;

use super::phrase::Phrase;
use super::question::{Lacking, blank, is_no, is_yes};
use super::{Answer, Decision, Occasion};

/// What a message about one's own data comes to; none where it is something else, or not said to us.
pub(super) fn decide(on: Occasion<'_>) -> Option<Decision> {
    let Occasion { voice, heard, .. } = on;
    if !heard.incoming.direct {
        return None;
    }
    let phrase = Phrase::of(on.source.text);
    let mut decision = Decision::default();
    if phrase.has(voice, "forget-me-words") {
        decision.ask_back(blank(Lacking::Forgetting, on));
    } else if phrase.has(voice, "my-data-words") {
        decision.answers.push(Answer::OwnData(heard.incoming.sender.clone()));
        decision.asked.clone_from(&heard.asked);
    } else {
        return None;
    }
    Some(decision)
}

/// The decision on the answer to whether they want to be forgotten; none where it is something else, which lets it be.
pub(super) fn complete(room: &Room, on: Occasion<'_>, reading: &Reading) -> Option<Decision> {
    let Occasion { voice, heard, .. } = on;
    if !reading.facts.is_empty() || !reading.asks.is_empty() {
        return None;
    }
    let first = on.source.text.split(|c: char| !c.is_alphanumeric()).find(|word| !word.is_empty())?;
    if is_no(voice, first) {
        return Some(Decision { answers: vec![Answer::LetGo], ..Decision::default() });
    }
    if !is_yes(voice, first) {
        return None;
    }
    let logs = told_by(room, &heard.incoming.sender);
    Some(Decision { forgets_sender: true, answers: vec![Answer::Forgotten(logs)], ..Decision::default() })
}

/// How many facts a person told.
pub(super) fn told_by(room: &Room, person: &str) -> usize {
    room.facts().filter(|fact| fact.author == person).count()
}
