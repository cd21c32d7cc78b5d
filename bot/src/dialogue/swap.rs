//! Swapping turns in a shared room: `can someone take my turn?`, `I'll take it`.

use branbell_scheduler::fact::What;
use branbell_scheduler::plan::{turn_order, waiting_for};
use branbell_scheduler::state::Room;
use chrono::{DateTime, TimeDelta, Utc};

use super::phrase::Phrase;
use super::{Answer, Decision, Heard, NudgeChange, Occasion, Told};

/// What nobody took up in two days is not meant by `I'll take it`.
const STANDING: TimeDelta = TimeDelta::days(2);

/// Who takes a piece of work has a day for it before it is said again.
const A_DAY: TimeDelta = TimeDelta::days(1);

/// What a message comes to as an offer of a turn, or as its taking; none where it is neither.
pub(super) fn decide(room: &Room, on: Occasion<'_>) -> Option<Decision> {
    let Occasion { voice, heard, now, .. } = on;
    if room.direct {
        return None;
    }
    let phrase = Phrase::of(on.source.text);
    if phrase.has(voice, "offer-words") && phrase.has(voice, "somebody-words") {
        return Some(offer(room, heard, now));
    }
    if phrase.begins(voice, "take-words") { take(room, heard, now) } else { None }
}

fn offer(room: &Room, heard: &Heard<'_>, now: DateTime<Utc>) -> Decision {
    let mut decision = Decision { asked: heard.asked.clone(), ..Decision::default() };
    let person = &heard.incoming.sender;
    let next = turn_order(room, now).first().map(|next| next.id.clone());
    if waiting_for(room, person, now).is_empty() && next.as_ref() != Some(person) {
        decision.answers.extend(next.map(Answer::TurnOf));
        return decision;
    }
    tell(room, heard, What::Offered { person: person.clone() }, &mut decision);
    decision.answers.push(Answer::Offered(person.clone()));
    decision
}

/// Takes what the offer is about, or the work of the nudge that this is a reply to. Else it is talk among people.
fn take(room: &Room, heard: &Heard<'_>, now: DateTime<Utc>) -> Option<Decision> {
    let person = &heard.incoming.sender;
    let offer = room.offer.as_ref().filter(|offer| offer.person != *person && now - offer.at <= STANDING);
    let replied = heard.answering.as_ref().filter(|answering| answering.plainly);
    let (of, keys): (_, Vec<String>) = match (replied, offer) {
        (Some(answering), _) => {
            let open = answering.items.iter().filter(|item| item.open && item.kind.is_work());
            (None, open.map(|item| item.key.clone()).collect())
        }
        (None, Some(offer)) => {
            let work = waiting_for(room, &offer.person, now).into_iter().map(|nudge| nudge.key.0);
            (Some(offer.person.clone()), work.collect())
        }
        (None, None) => return None,
    };
    if of.is_none() && keys.is_empty() {
        return None;
    }
    let until = room.quiet.hold(heard.incoming.sent + A_DAY, room.zone);
    let mut decision = Decision { asked: heard.asked.clone(), ..Decision::default() };
    let took = |nudge: Option<String>| What::Took { person: person.clone(), nudge, until };
    if keys.is_empty() {
        tell(room, heard, took(None), &mut decision);
    }
    for key in &keys {
        tell(room, heard, took(Some(key.clone())), &mut decision);
        decision.nudges.push((key.clone(), NudgeChange::PutOff(until)));
    }
    decision.answers.push(Answer::Took { person: person.clone(), of, nudges: keys });
    Some(decision)
}

fn tell(room: &Room, heard: &Heard<'_>, what: What, decision: &mut Decision) {
    let (event, at) = (heard.incoming.event.clone(), heard.incoming.sent);
    decision.tell(&mut room.clone(), heard, Told::new(event, at, what));
}
