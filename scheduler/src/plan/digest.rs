//! `digest`: the week in numbers, when the room wants it.

use std::str::FromStr;

use chrono::{DateTime, TimeDelta, Utc};
use cron::Schedule;

use super::{Nudge, NudgeKey, NudgeKind, Numbers};
use crate::quantity::tally::tally;
use crate::state::Room;

/// A digest that could not be sent in time is still worth sending for a day.
const STALE: TimeDelta = TimeDelta::days(1);
/// What a digest sums up.
pub const WEEK: TimeDelta = TimeDelta::days(7);

/// The latest digest that is due, while it is fresh, and the next one.
pub(super) fn nudges(room: &Room, now: DateTime<Utc>) -> Vec<Nudge> {
    let Some((digest, schedule)) =
        room.digest.as_ref().and_then(|digest| Some((digest, Schedule::from_str(&digest.cron).ok()?)))
    else {
        return Vec::new();
    };
    let from = (now - STALE).max(digest.since).with_timezone(&room.zone);
    let moments: Vec<_> = schedule.after(&from).take(MOST).map(|moment| moment.to_utc()).collect();
    let next = moments.iter().position(|moment| *moment > now).unwrap_or(moments.len());
    let latest = next.checked_sub(1).map(|latest| moments[latest]);
    latest.into_iter().chain(moments.get(next).copied()).map(|due| at(room, due)).collect()
}

/// A day holds no more digests than anybody wants.
const MOST: usize = 50;

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
