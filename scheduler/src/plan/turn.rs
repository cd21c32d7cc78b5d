//! Who is meant by a nudge.

use chrono::{DateTime, Utc};

use super::{Nudge, NudgeKind, Subject, plan};
use crate::quantity::ferment;
use crate::state::{Person, Room};

/// Whose a nudge is in a shared room: for bran whoever told the last lot, for work whose turn it is; nobody's where it
/// only tells something.
pub fn turn<'a>(room: &'a Room, nudge: &Nudge, now: DateTime<Utc>) -> Option<&'a Person> {
    addressee(room, nudge, now, Room::turn_for)
}

/// Whom to ask when a nudge is sent now: somebody else where who was asked before did not answer.
pub fn next_turn<'a>(room: &'a Room, nudge: &Nudge, now: DateTime<Utc>) -> Option<&'a Person> {
    addressee(room, nudge, now, Room::next_for)
}

/// What waits for a person: work that is due and theirs.
pub fn waiting_for(room: &Room, person: &str, now: DateTime<Utc>) -> Vec<Nudge> {
    let is_theirs =
        |nudge: &Nudge| room.direct || turn(room, nudge, now).is_some_and(|turn| turn.id == person);
    due_work(room, now).into_iter().filter(is_theirs).collect()
}

/// What to look at first for a person who was away: what waits for them; in a one-to-one room all that is due.
pub fn overdue(room: &Room, person: &str, now: DateTime<Utc>) -> Vec<Nudge> {
    if !room.direct {
        return waiting_for(room, person, now);
    }
    let is_due = |nudge: &Nudge| nudge.due <= now && nudge.kind != NudgeKind::Idle;
    plan(room, now).into_iter().filter(is_due).collect()
}

/// Work that is due.
pub fn due_work(room: &Room, now: DateTime<Utc>) -> Vec<Nudge> {
    plan(room, now).into_iter().filter(|nudge| nudge.due <= now && nudge.kind.is_work()).collect()
}

/// The order in which people take turns at the work that comes next.
pub fn turn_order(room: &Room, now: DateTime<Utc>) -> Vec<&Person> {
    let comes = |nudge: &Nudge| now < nudge.due && nudge.kind.is_turns_work();
    let next = plan(room, now).into_iter().find(comes);
    room.turn_order(next.map_or(0.0, |nudge| nudge.kind.effort()), now)
}

fn addressee<'a>(
    room: &'a Room,
    nudge: &Nudge,
    now: DateTime<Utc>,
    whose: fn(&'a Room, &str, f64, DateTime<Utc>) -> Option<&'a Person>,
) -> Option<&'a Person> {
    let theirs = || whose(room, &nudge.key.0, nudge.kind.effort(), now);
    match nudge.kind {
        _ if room.direct => None,
        NudgeKind::Idle | NudgeKind::Digest | NudgeKind::Plant => None,
        NudgeKind::Bran => last_filler(room, nudge, now).or_else(theirs),
        NudgeKind::Check if is_lost(room, nudge) => steward(room, nudge, now).or_else(theirs),
        _ => theirs(),
    }
}

/// Whether the batch that is asked about must not be used.
fn is_lost(room: &Room, nudge: &Nudge) -> bool {
    let Some(Subject::Bin(bin)) = &nudge.subject else { return false };
    room.bin(bin).and_then(|bin| bin.batch.as_ref()).is_some_and(ferment::is_lost)
}

/// The steward who is next: only stewards may tell that a batch was thrown out.
fn steward<'a>(room: &'a Room, nudge: &Nudge, now: DateTime<Utc>) -> Option<&'a Person> {
    let mut stewards = room.turn_order(nudge.kind.effort(), now);
    stewards.retain(|person| person.steward);
    let has_passed = |person: &&Person| room.has_passed(&person.id, &nudge.key.0);
    stewards.iter().copied().find(|person| !has_passed(person)).or(stewards.first().copied())
}

/// Who put the last lot in, unless they passed it on.
fn last_filler<'a>(room: &'a Room, nudge: &Nudge, now: DateTime<Utc>) -> Option<&'a Person> {
    let Some(Subject::Bin(bin)) = &nudge.subject else { return None };
    let lot = room.bin(bin)?.batch.as_ref()?.lots.last()?;
    let person = room.person(&room.fact(lot.seq)?.author)?;
    (person.is_available(now) && !room.has_passed(&person.id, &nudge.key.0)).then_some(person)
}
