//! `digest`: the week in numbers, when the room wants it, or when something was left undone.

use std::str::FromStr;

use chrono::{DateTime, TimeDelta, Utc};
use cron::Schedule;

use super::{Nudge, NudgeKey, NudgeKind, Numbers};
use crate::deliver::{MOST_SENDS, REPEAT_AFTER};
use crate::quantity::tally::tally;
use crate::state::{Digest, Room};

/// A digest that could not be sent in time is still worth sending for a day.
const STALE: TimeDelta = TimeDelta::days(1);
/// What a digest sums up.
pub const WEEK: TimeDelta = TimeDelta::days(7);
/// When a room that never spoke of the digest hears what was left undone.
const UNSAID: &str = "0 0 18 * * SUN";

/// The latest digest that is due, while it is fresh, and the next one.
pub(super) fn nudges(room: &Room, planned: &[Nudge], now: DateTime<Utc>) -> Vec<Nudge> {
    let fresh = now - STALE;
    let moments: Vec<_> = match &room.digest {
        Digest::Off => Vec::new(),
        Digest::At { cron, since } => moments(room, cron, fresh.max(*since)).take(MOST).collect(),
        Digest::Unsaid => left_undone(room, planned, now).into_iter().filter(|due| fresh < *due).collect(),
    };
    let next = moments.iter().position(|moment| *moment > now).unwrap_or(moments.len());
    let latest = next.checked_sub(1).map(|latest| moments[latest]);
    latest.into_iter().chain(moments.get(next).copied()).map(|due| at(room, due)).collect()
}

/// A day holds no more digests than anybody wants.
const MOST: usize = 50;

fn moments(room: &Room, cron: &str, after: DateTime<Utc>) -> impl Iterator<Item = DateTime<Utc>> + use<> {
    let schedule = Schedule::from_str(cron).ok();
    let after = after.with_timezone(&room.zone);
    schedule.into_iter().flat_map(move |schedule| schedule.after_owned(after)).map(|moment| moment.to_utc())
}

/// When work that is due now, and that nobody does, is told once more: at the first digest a day after it was said the last
/// time.
fn left_undone(room: &Room, planned: &[Nudge], now: DateTime<Utc>) -> Vec<DateTime<Utc>> {
    let said_for = TimeDelta::milliseconds(MOST_SENDS * REPEAT_AFTER);
    let waits = planned.iter().filter(|nudge| nudge.kind.cannot_wait() && nudge.due <= now);
    let mut told: Vec<_> =
        waits.filter_map(|nudge| moments(room, UNSAID, nudge.due + said_for).next()).collect();
    told.sort_unstable();
    told.dedup();
    told
}

fn at(room: &Room, due: DateTime<Utc>) -> Nudge {
    let tally = tally(room, Some(due - WEEK), due);
    Nudge {
        key: NudgeKey(format!("{}/{}", NudgeKind::Digest, due.timestamp())),
        kind: NudgeKind::Digest,
        subject: None,
        due,
        numbers: Numbers::Digest {
            kept_out_g: tally.kept_out.value,
            scraps_ml: tally.scraps,
            drained_ml: tally.drained,
        },
    }
}
