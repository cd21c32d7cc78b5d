//! The rules of a shared scheme: asked once of a steward, kept as settings, honoured in what is said.

use branbell_language::{FactKind, Reading, Slots};
use branbell_scheduler::fact::{HouseRule, Setting, What};
use branbell_scheduler::state::Room;

use super::hearing::JUST_NOW;
use super::phrase::Phrase;
use super::question::{Asked, Lacking, blank, is_no, is_yes};
use super::{Answer, Decision, Occasion, Told, may};

/// The first rule is asked when a shared room has its first bin, with its size.
pub(super) fn ask_with_first_bin(room: &Room, on: Occasion<'_>, decision: &mut Decision) {
    let is_set =
        decision.facts.iter().any(|told| matches!(told.what, What::BinSet { capacity_ml: Some(_), .. }));
    let had_none = room.bins_in_use().all(|bin| bin.capacity.is_none());
    let is_new = !room.direct && room.house.is_empty() && had_none;
    if is_set && is_new && may_set(room, &on.heard.incoming.sender) {
        decision.ask_back(blank(Lacking::House(HouseRule::ALL[0]), on));
    }
}

fn may_set(room: &Room, person: &str) -> bool {
    let setting = Setting::House { rule: HouseRule::ALL[0], holds: true };
    may(room, person, &What::Setting { setting })
}

/// What a message about the rules themselves comes to: to see them, or to be asked them anew.
pub(super) fn decide(room: &Room, on: Occasion<'_>) -> Option<Decision> {
    let Occasion { voice, heard, .. } = on;
    let phrase = Phrase::of(on.source.text);
    if room.direct || !phrase.has(voice, "house-words") {
        return None;
    }
    let mut decision = Decision::default();
    let sets = phrase.begins(voice, "house-set-words");
    if sets && may_set(room, &heard.incoming.sender) {
        decision.ask_back(blank(Lacking::House(HouseRule::ALL[0]), on));
        return Some(decision);
    }
    decision.answers.push(if sets { Answer::only_for_stewards(room) } else { Answer::House });
    decision.asked.clone_from(&heard.asked);
    Some(decision)
}

/// The decision on the answer to a rule's question, and the next question; none where the message is something else.
pub(super) fn complete(room: &Room, on: Occasion<'_>, asked: &Asked, reading: &Reading) -> Option<Decision> {
    let Occasion { voice, heard, .. } = on;
    let Lacking::House(rule) = asked.lacking else { return None };
    // `yes` among people is mostly meant for another, unless we have just asked.
    let is_for_us = heard.incoming.direct || heard.incoming.sent - asked.sent <= JUST_NOW;
    let first =
        on.source.text.split(|c: char| !c.is_alphanumeric()).find(|word| !word.is_empty())?.to_lowercase();
    let holds = match (is_yes(voice, &first), is_no(voice, &first)) {
        (true, _) => true,
        (_, true) => false,
        _ => return None,
    };
    // `No, the garden is over the road` begins as a correction does; `no, 50 litres` is one.
    let corrects = |Slots { ml, g, bin, value, capacity_ml, .. }: &Slots| {
        ml.or(*g).or(*capacity_ml).is_some() || bin.is_some() || value.is_some()
    };
    let tells_else = reading.facts.iter().any(|fact| fact.kind != FactKind::Amended || corrects(&fact.slots));
    if tells_else || !is_for_us {
        return None;
    }
    let mut decision = Decision::default();
    let what = What::Setting { setting: Setting::House { rule, holds } };
    let (event, at) = (heard.incoming.event.clone(), heard.incoming.sent);
    let place = decision.tell(&mut room.clone(), heard, Told::new(event, at, what));
    decision.answers.push(Answer::Kept(place));
    let next = HouseRule::ALL.into_iter().find(|next| *next > rule);
    if let Some(next) = next {
        decision.ask_back(blank(Lacking::House(next), on));
    }
    Some(decision)
}
