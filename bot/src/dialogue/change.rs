//! Taking back and changing what was told. Facts are never changed: the wrong ones are voided, and new ones added.

use branbell_language::Fact as Said;
use branbell_scheduler::fact::{Fact, What};
use branbell_scheduler::quantity::acid;
use branbell_scheduler::state::Room;
use branbell_scheduler::units::{Grams, Millilitres};
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::Value;

use super::{Answer, Decision, Heard, Occasion, Source, Told, act, fill, reopened};
use crate::voice::Measures;

/// What was told longer ago is not meant by `no, two`.
const RECENT: TimeDelta = TimeDelta::days(1);

/// A correction by more than this factor is about something else.
const MOST_MISTAKEN: f64 = 12.0;

/// The facts that hold of the newest message in which this person told something.
fn newest_of<'a>(room: &'a Room, person: &str) -> Vec<&'a Fact> {
    let told = room.facts().filter(|fact| fact.author == person && is_a_log(&fact.what));
    told.max_by_key(|fact| fact.seq).map(|newest| of_message(room, &newest.event)).unwrap_or_default()
}

/// The facts that hold of one message.
fn of_message<'a>(room: &'a Room, event: &str) -> Vec<&'a Fact> {
    let mut facts: Vec<&Fact> =
        room.facts().filter(|fact| fact.event == event && is_a_log(&fact.what)).collect();
    facts.sort_by_key(|fact| fact.seq);
    facts
}

/// Whether anything that a message told holds.
pub(super) fn has_kept(room: &Room, event: &str) -> bool {
    !of_message(room, event).is_empty()
}

/// Whether a person told it, and could take it back.
fn is_a_log(what: &What) -> bool {
    !matches!(
        what,
        What::Passed { .. }
            | What::Asked { .. }
            | What::Offered { .. }
            | What::Took { .. }
            | What::Opened { .. }
            | What::Member { .. }
            | What::Left { .. }
            | What::Void { .. }
    )
}

/// The facts that hold of the message that this one replies to, or whose answer it replies to.
fn replied_to(room: &Room, heard: &Heard<'_>) -> Vec<Fact> {
    let about = heard.about.as_ref().map(|about| of_message(room, about)).unwrap_or_default();
    about.into_iter().cloned().collect()
}

/// Whether somebody replies to what was told.
pub(super) fn replies_to_a_log(room: &Room, heard: &Heard<'_>) -> bool {
    !replied_to(room, heard).is_empty()
}

/// Whether somebody may put these facts right: anybody their own, a steward any.
fn may_change(room: &Room, person: &str, facts: &[Fact]) -> bool {
    let is_steward = || room.person(person).is_some_and(|person| person.steward);
    facts.iter().all(|fact| fact.author == person) || is_steward()
}

/// Takes back what was told in the message that is replied to, or else what the person told last.
pub(super) fn undo(ahead: &mut Room, heard: &Heard<'_>, decision: &mut Decision) {
    let person = &heard.incoming.sender;
    let mut facts = replied_to(ahead, heard);
    if facts.is_empty() {
        facts = newest_of(ahead, person).into_iter().cloned().collect();
    }
    if !may_change(ahead, person, &facts) {
        decision.answers.push(Answer::only_for_stewards(ahead));
        return;
    }
    let answer = void(ahead, heard, &facts, decision).unwrap_or(Answer::NothingThere);
    decision.answers.push(answer);
}

fn void(ahead: &mut Room, heard: &Heard<'_>, facts: &[Fact], decision: &mut Decision) -> Option<Answer> {
    if facts.is_empty() {
        return None;
    }
    let what = What::Void { seqs: facts.iter().map(|fact| fact.seq).collect() };
    let event = heard.incoming.event.clone();
    decision.tell(ahead, heard, Told::new(event, heard.incoming.sent, what));
    Some(Answer::TakenBack(facts.iter().map(|fact| (fact.what.clone(), fact.at)).collect()))
}

/// A message was taken out of the room: what it told no longer holds.
pub(super) fn delete(room: &Room, heard: &Heard<'_>, of: &str) -> Decision {
    let facts: Vec<Fact> = of_message(room, of).into_iter().cloned().collect();
    let mut decision =
        Decision { asked: heard.asked.clone().filter(|asked| asked.event != of), ..Decision::default() };
    let answer = void(&mut room.clone(), heard, &facts, &mut decision);
    decision.answers.extend(answer);
    decision
}

/// A message was changed: its facts no longer hold, and it is read anew, as of the moment it was told.
pub(super) fn edit(room: &Room, on: Occasion<'_>, of: &str) -> Decision {
    let heard = on.heard;
    let before: Vec<Fact> = of_message(room, of).into_iter().cloned().collect();
    if before.iter().any(|fact| fact.author != heard.incoming.sender) {
        return Decision { asked: heard.asked.clone(), ..Decision::default() };
    }
    let sent = before.first().map_or(heard.incoming.sent, |fact| fact.told);
    let mut decision = Decision::default();
    let mut ahead = room.clone();
    let taken_back = void(&mut ahead, heard, &before, &mut decision);
    let on = on.of(Source { event: of, sent, ..on.source });
    let reading = branbell_language::read(&on.message(&ahead, on.source.text));
    act(&mut ahead, on, &reading, &mut decision);
    // However often a message is changed, it was sent when it was sent.
    decision.facts.iter_mut().filter(|told| told.event == of).for_each(|told| told.first_told = Some(sent));
    let after = decision.facts.iter().map(|told| (&told.what, told.at)).filter(|(what, _)| is_a_log(what));
    if !before.is_empty() && before.iter().map(|fact| (&fact.what, fact.at)).eq(after) {
        return Decision { asked: heard.asked.clone(), ..Decision::default() };
    }
    let is_asked_instead =
        decision.asked.is_some() && decision.facts.iter().all(|told| !is_a_log(&told.what));
    if let Some(asked) = decision.asked.as_mut().filter(|_| is_asked_instead) {
        // Until it is answered, what was told first stands.
        asked.replaces = before.iter().map(|fact| fact.seq).collect();
        decision.facts.clear();
        return decision;
    }
    match taken_back {
        Some(taken_back) if decision.answers.is_empty() => decision.answers.push(taken_back),
        Some(_) => say_what_differs(&before, &mut decision),
        None => {}
    }
    decision
}

/// Of a message that was changed only that is said which it tells otherwise now, and what it no longer tells.
fn say_what_differs(before: &[Fact], decision: &mut Decision) {
    decision.answers.iter_mut().for_each(as_a_change);
    let facts = &decision.facts;
    let is_as_before = |told: &Told| before.iter().any(|fact| fact.what == told.what && fact.at == told.at);
    decision
        .answers
        .retain(|answer| !matches!(answer, Answer::Changed(place) if is_as_before(&facts[*place])));
    if decision.answers.is_empty() {
        let is_told = |fact: &&Fact| facts.iter().any(|told| told.what == fact.what && told.at == fact.at);
        let gone = before.iter().filter(|fact| !is_told(fact)).map(|fact| (fact.what.clone(), fact.at));
        decision.answers.push(Answer::TakenBack(gone.collect()));
    }
}

fn as_a_change(answer: &mut Answer) {
    if let Answer::Kept(place) = *answer {
        *answer = Answer::Changed(place);
    }
}

/// Changes what the person told last: the slots that are told now take the place of those of the same name.
///
/// `No, 4 litres` after `3 litres` and `2 tbsp bran` is about the scraps: of the person's messages of the last day, the
/// newest is meant that the change fits; before these, the message that is replied to, whosever it is.
pub(super) fn amend(ahead: &mut Room, on: Occasion<'_>, said: &Said, decision: &mut Decision) {
    let Occasion { heard, source, .. } = on;
    let at = said.slots.at.map(|_| fill::moment(ahead, &said.slots, heard.incoming.sent));
    let replied_to = replied_to(ahead, heard);
    if !may_change(ahead, &heard.incoming.sender, &replied_to) {
        decision.answers.push(Answer::only_for_stewards(ahead));
        return;
    }
    let changed = std::iter::once(replied_to)
        .chain(recent_of(ahead, heard))
        .map(|facts| changes(ahead, &facts, said, at))
        .find(|changed| !changed.is_empty());
    let Some(mut changed) = changed else {
        decision.answers.push(Answer::NothingThere);
        return;
    };
    for (fact, what) in &mut changed {
        *what = source.placed(what.clone());
        if let Some(bin) = reopened::sealed_bin(ahead, what, at.unwrap_or(fact.at), source.went) {
            decision.ask_back(reopened::ask(ahead, on, &bin));
            return;
        }
    }
    let seqs = changed.iter().map(|(fact, _)| fact.seq).collect();
    let event = heard.incoming.event.clone();
    decision.tell(ahead, heard, Told::new(event, heard.incoming.sent, What::Void { seqs }));
    for (fact, what) in changed {
        let author = Some(fact.author);
        let (at, first_told) = (at.unwrap_or(fact.at), Some(fact.told));
        let told = Told { event: fact.event, at, what, author, first_told };
        let place = decision.tell(ahead, heard, told);
        decision.answers.push(Answer::Changed(place));
    }
}

/// What the person told in the last day, by message, the newest first.
fn recent_of(room: &Room, heard: &Heard<'_>) -> Vec<Vec<Fact>> {
    let since = heard.incoming.sent - RECENT;
    let told = room.facts().filter(|fact| fact.author == heard.incoming.sender && fact.told >= since);
    let mut told: Vec<&Fact> = told.filter(|fact| is_a_log(&fact.what)).collect();
    told.sort_by_key(|fact| std::cmp::Reverse(fact.seq));
    let mut events: Vec<&str> = Vec::new();
    for fact in told {
        if !events.contains(&fact.event.as_str()) {
            events.push(&fact.event);
        }
    }
    events.into_iter().map(|event| of_message(room, event).into_iter().cloned().collect()).collect()
}

/// The facts of a message that a change fits, changed. `No, two` is about one amount, the last that it fits; `I meant
/// blue` and `make that yesterday` are about all.
fn changes(room: &Room, facts: &[Fact], said: &Said, at: Option<DateTime<Utc>>) -> Vec<(Fact, What)> {
    let measures = Measures(room.units);
    let changed = facts.iter().filter_map(|fact| Some((fact.clone(), amended(fact, said, measures, at)?)));
    let fits = |(fact, what): &(Fact, What)| {
        is_likely(&fact.what, what) && !is_taken(room, &fact.what, what) && fill::possible(what).is_ok()
    };
    let mut changed: Vec<(Fact, What)> = changed.filter(fits).collect();
    if said.slots.bin.is_none() && at.is_none() {
        changed.drain(..changed.len().saturating_sub(1));
    }
    changed
}

/// Whether a new bin would get the name of another: then it is not the new bin that was meant.
fn is_taken(room: &Room, old: &What, new: &What) -> bool {
    match (old, new) {
        (What::BinSet { bin: old, .. }, What::BinSet { bin: new, .. }) => {
            old != new && room.bins_in_use().any(|bin| bin.name == *new)
        }
        _ => false,
    }
}

/// Whether one may have taken the one amount for the other: people mix up three and two, not spoons and litres.
fn is_likely(old: &What, new: &What) -> bool {
    if let What::SoilPh { ph, .. } = new {
        return (0.0..=acid::MOST.get()).contains(ph);
    }
    let amount = |what: &What| match what {
        What::Scraps { ml, g, .. } | What::Bran { ml, g, .. } => ml.or(*g),
        What::Drained { ml, .. } => Some(*ml),
        _ => None,
    };
    match (amount(old), amount(new)) {
        (Some(old), Some(new)) if old > 0.0 && new > 0.0 => (old / new).max(new / old) <= MOST_MISTAKEN,
        _ => true,
    }
}

/// The fact's words with those of the same name that were said now; none where it has none of them.
fn amended(fact: &Fact, said: &Said, measures: Measures, at: Option<DateTime<Utc>>) -> Option<What> {
    let Value::Object(mut old) = serde_json::to_value(&fact.what).ok()? else { return None };
    let Value::Object(new) = serde_json::to_value(&said.slots).ok()? else { return None };
    let mut touched = at.is_some();
    for (slot, value) in new {
        match slot.as_str() {
            "at" | "precision" => {}
            "value" => touched |= rescale(&mut old, &value, measures),
            "ml" | "g" if old.contains_key("ml") && old.contains_key("g") => {
                old.insert("ml".to_owned(), Value::Null);
                old.insert("g".to_owned(), Value::Null);
                old.insert(slot, value);
                touched = true;
            }
            // `new bin shed, 60 litres`, `no, 50`
            "ml" if old.contains_key("capacity_ml") => {
                touched |= old.insert("capacity_ml".to_owned(), value).is_some();
            }
            "use" if old.contains_key("used") => touched |= old.insert("used".to_owned(), value).is_some(),
            "smell" | "mould" | "moisture" | "pests" | "lid" => {
                let signs = old.get_mut("signs").and_then(Value::as_object_mut);
                touched |= signs.map(|signs| signs.insert(slot, value)).is_some();
            }
            _ if old.contains_key(&slot) => touched |= old.insert(slot, value).is_some(),
            _ => {}
        }
    }
    if old.contains_key("estimated") && said.slots.ml.is_some() {
        old.insert("estimated".to_owned(), Value::Bool(false));
    }
    touched.then(|| serde_json::from_value(Value::Object(old)).ok()).flatten()
}

/// A number without its unit keeps the unit in which the old one is said.
fn rescale(old: &mut serde_json::Map<String, Value>, value: &Value, measures: Measures) -> bool {
    let number = value.as_f64().or_else(|| value.as_str()?.parse().ok());
    let Some(number) = number.filter(|number| number.is_finite()) else { return false };
    let of_volume = |ml: f64| measures.volume_unit(Millilitres(ml)).get();
    let of_mass = |g: f64| measures.mass_unit(Grams(g)).get();
    let bare = |_: f64| 1.0;
    for (slot, unit) in [
        ("ml", &of_volume as &dyn Fn(f64) -> f64),
        ("g", &of_mass),
        ("capacity_ml", &of_volume),
        ("c", &bare),
        ("ph", &bare),
        ("depth_cm", &bare),
        ("area_m2", &bare),
    ] {
        if let Some(amount) = old.get(slot).and_then(Value::as_f64) {
            old.insert(slot.to_owned(), (number * unit(amount)).into());
            return true;
        }
    }
    false
}
