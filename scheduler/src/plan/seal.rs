//! `seal`: the bin is full.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Nudge, NudgeKind, Numbers};
use crate::quantity::{bran, ferment, fill};
use crate::state::{Bin, Room};

/// Whoever filled it may be sealing it at this moment.
const PATIENCE: TimeDelta = TimeDelta::hours(2);

/// Due two hours after the fill line was reached, or somebody called the bin full, and not on the heels of work on it.
pub(super) fn nudge(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Nudge> {
    let batch = bin.filling().filter(|batch| !ferment::is_lost(batch))?;
    // A level told later may show that the line was reached earlier: nobody knew it then.
    let last = batch.levels.iter().map(|level| level.at).chain(batch.lots.iter().map(|lot| lot.at)).max();
    let reached = last.max(Some(fill::reached(room, bin)?))?;
    let fraction = fill::fill(room, bin, now)?.fraction.map_or(fill::CALLED_FULL, |fraction| fraction.value);
    let numbers = Numbers::Seal { fraction, bran_ml: bran::top(room, batch).value };
    Some(Nudge::of_bin(NudgeKind::Seal, bin, "", reached + PATIENCE, numbers))
}
