//! `idle`: nobody has told anything for days while a bin is filling.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Nudge, NudgeKey, NudgeKind, Numbers};
use crate::quantity::{Derivation, Quantity};
use crate::state::Room;
use crate::units::Days;

/// A household throws something away every day or two; after five days it has stopped telling, or is away.
const SILENCE: TimeDelta = TimeDelta::days(5);
/// Nobody wants to be reminded on the doorstep.
const SETTLING: TimeDelta = TimeDelta::days(1);

/// Due five days after the last report, or a day after somebody came back from being away.
pub(super) fn nudge(room: &Room, now: DateTime<Utc>) -> Option<Nudge> {
    room.bins_in_use().find(|bin| bin.filling().is_some_and(|batch| !batch.is_untouched()))?;
    let last = room.last_log?;
    let silent = last + SILENCE;
    let here = room.somebody_here(silent)?.max(room.last_back.unwrap_or(silent));
    // Who comes back has a day to look first.
    let due = if here > silent { here + SETTLING } else { silent };
    let days = Quantity::of(silence(room, now.max(due))?).value;
    Some(Nudge {
        key: NudgeKey(format!("{}/{}", NudgeKind::Idle, last.timestamp())),
        kind: NudgeKind::Idle,
        subject: None,
        due,
        numbers: Numbers::Idle { days },
    })
}

/// How long nobody has told anything.
pub fn silence(room: &Room, at: DateTime<Utc>) -> Option<Derivation> {
    Some(Derivation::of_elapsed(Days::of(at - room.last_log?), Vec::new()))
}
