//! Swapping turns in a shared room: `can someone take my turn?`, `I'll take it`.

use branbell_scheduler::fact::What;
use branbell_scheduler::plan::{Nudge, NudgeKind, due_work, turn_order, waiting_for};
use branbell_scheduler::state::Room;
use chrono::{DateTime, TimeDelta, Utc};

use super::claim::{self, Claim};
use super::phrase::Phrase;
use super::{Answer, Answering, Decision, Heard, Item, NudgeChange, Occasion, Told};
use crate::chat::Deed;
use crate::voice::Voice;

/// What nobody took up in two days is not meant by `I'll take it`.
const STANDING: TimeDelta = TimeDelta::days(2);

/// Nor what was offered so long ago, where people have talked of other things since.
const OVERNIGHT: TimeDelta = TimeDelta::hours(14);

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
    let claim = claim::claim(room, voice, on.source.text)?;
    Some(take(room, heard, meant(room, heard, &claim, now)?))
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

/// What is taken: these nudges, or where there are none the next turn of somebody.
struct Meant {
    of: Option<String>,
    keys: Vec<String>,
}

/// What somebody means who takes something upon them: what they reply to, what was spoken of last, what was offered, the
/// work that they name, or, said to us, what is due. Else it is talk among people.
fn meant(room: &Room, heard: &Heard<'_>, claim: &Claim, now: DateTime<Utc>) -> Option<Meant> {
    let asked_for = |answering: &Option<Answering>| {
        let fits =
            |item: &&Item| item.open && item.kind.is_work() && claim.fits(item.kind, item.subject.as_ref());
        let items: Vec<&Item> =
            answering.iter().flat_map(|answering| &answering.items).filter(fits).collect();
        let key = |item: &&Item| item.key.clone();
        // Of several pieces of work whoever has one of them means that.
        let theirs = items.iter().filter(|item| item.is_turn_of(room, &heard.incoming.sender, now));
        all(theirs.map(key)).or_else(|| all(items.iter().map(key)))
    };
    if heard.answering.as_ref().is_some_and(|answering| answering.plainly) {
        return asked_for(&heard.answering);
    }
    let last = || asked_for(&heard.last).filter(|_| heard.to_the_point);
    let due = || {
        let fits = |nudge: &Nudge| claim.fits(nudge.kind, nudge.subject.as_ref());
        let work = due_work(room, now).into_iter().filter(|_| claim.says_what());
        all(work.filter(fits).map(|nudge| nudge.key.0))
    };
    let for_us = || asked_for(&heard.answering).filter(|_| heard.incoming.direct);
    let next = || next_turn(room, heard, claim, now);
    last().or_else(|| offered(room, heard, claim, now)).or_else(due).or_else(next).or_else(for_us)
}

/// These nudges, if there are any.
fn all(keys: impl Iterator<Item = String>) -> Option<Meant> {
    let keys: Vec<String> = keys.collect();
    (!keys.is_empty()).then_some(Meant { of: None, keys })
}

/// The next turn of another, where nothing is due and we have just said that it is theirs.
fn next_turn(room: &Room, heard: &Heard<'_>, claim: &Claim, now: DateTime<Utc>) -> Option<Meant> {
    let is_meant = heard.tells_turns && heard.to_the_point && !claim.says_what();
    let order = turn_order(room, now);
    let next = order.first().filter(|next| is_meant && next.id != heard.incoming.sender)?;
    let is_due = !due_work(room, now).is_empty();
    (!is_due).then(|| Meant { of: Some(next.id.clone()), keys: Vec::new() })
}

/// What another has offered, and nobody took.
fn offered(room: &Room, heard: &Heard<'_>, claim: &Claim, now: DateTime<Utc>) -> Option<Meant> {
    let person = &heard.incoming.sender;
    let stands = if heard.to_the_point || claim.says_what() { STANDING } else { OVERNIGHT };
    let offer = room.offer.as_ref().filter(|offer| offer.person != *person && now - offer.at <= stands)?;
    let work = waiting_for(room, &offer.person, now).into_iter();
    let work = work.filter(|nudge| claim.fits(nudge.kind, nudge.subject.as_ref()));
    let keys: Vec<String> = work.map(|nudge| nudge.key.0).collect();
    let is_other_work = keys.is_empty() && claim.says_what();
    (!is_other_work).then(|| Meant { of: Some(offer.person.clone()), keys })
}

fn take(room: &Room, heard: &Heard<'_>, meant: Meant) -> Decision {
    let Meant { of, keys } = meant;
    let person = &heard.incoming.sender;
    let until = room.quiet.hold(heard.incoming.sent + A_DAY, room.zone);
    let mut decision = Decision { asked: heard.asked.clone(), ..Decision::default() };
    let took = |nudge: Option<String>| What::Took { person: person.clone(), nudge, until };
    if keys.is_empty() {
        // A next turn that its bearer did not offer is offered by whoever takes it: then it is taken like any other.
        let is_offered = room.offer.as_ref().map(|offer| &offer.person) == of.as_ref();
        if let Some(of) = of.as_ref().filter(|_| !is_offered) {
            tell(room, heard, What::Offered { person: of.clone() }, &mut decision);
        }
        tell(room, heard, took(None), &mut decision);
    }
    for key in &keys {
        tell(room, heard, took(Some(key.clone())), &mut decision);
        decision.nudges.push((key.clone(), NudgeChange::PutOff(until)));
    }
    decision.answers.push(Answer::Took { person: person.clone(), of, nudges: keys });
    decision
}

/// Whether people still talk of what we said last: of the nudges in it, of bins and turns, or whoever was asked says
/// anything; a tap or an edit is no talk.
pub fn keeps_to_the_point(room: &Room, voice: &Voice, heard: &Heard<'_>) -> bool {
    let Deed::Say { text, .. } = &heard.incoming.deed else {
        return !matches!(heard.incoming.deed, Deed::Other | Deed::TooLong { .. } | Deed::Unreadable { .. });
    };
    let items = heard.last.as_ref().map_or(&[][..], |last| &last.items);
    let kinds: Vec<NudgeKind> = items.iter().map(|item| item.kind).collect();
    let was_asked = items.iter().any(|item| room.asked(&item.key) == Some(&heard.incoming.sender));
    was_asked || claim::is_about(room, voice, text, &kinds)
}

fn tell(room: &Room, heard: &Heard<'_>, what: What, decision: &mut Decision) {
    let (event, at) = (heard.incoming.event.clone(), heard.incoming.sent);
    decision.tell(&mut room.clone(), heard, Told::new(event, at, what));
}
