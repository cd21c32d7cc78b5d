//! `full`: the bin will be full soon, so the next one should be ready.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Nudge, NudgeKind, Numbers};
use crate::quantity::{ferment, fill};
use crate::state::{Bin, Room};
use crate::units::Fraction;

/// Time to wash the next bin and to have bran for it.
const NOTICE: TimeDelta = TimeDelta::days(2);
/// Before that a date is little more than a guess.
const HALF_FULL: Fraction = Fraction(0.5);

/// Due two days before the bin is full, or when it may be full as early as one time in ten, once it is half full.
pub(super) fn nudge(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Nudge> {
    if fill::reached(room, bin).is_some() || bin.filling().is_some_and(ferment::is_lost) {
        return None;
    }
    let foreseen = fill::fill(room, bin, room.as_of?)?;
    let full = foreseen.full.filter(|_| foreseen.fraction.is_some_and(|now| now.value >= HALF_FULL))?;
    let due = (full.at - NOTICE).min(full.early).max(room.as_of?);
    let full = fill::fill(room, bin, now.max(room.as_of?))?.full?;
    let numbers = Numbers::Full { full_at: full.at, full_early: full.early, full_late: full.late };
    Some(Nudge::of_bin(NudgeKind::Full, bin, "", due, numbers))
}
