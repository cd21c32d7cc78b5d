//! `drain`: liquid waits at the tap.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Nudge, NudgeKind, Numbers};
use crate::quantity::{density, dilution, liquid};
use crate::state::{Batch, Bin, Room};
use crate::units::Millilitres;

/// Time between drains. Source: a gardening page and a book excerpt, every other day.
const INTERVAL: TimeDelta = TimeDelta::days(2);
/// Fresh scraps need about a day to let their water go. Common practice, no source.
const FIRST_LIQUID: TimeDelta = TimeDelta::days(1);
/// Less than a large spoonful is not worth the way to the bin.
const WORTH_IT: Millilitres = Millilitres(20.0);

/// Due two days after the last drain, or after the first lot, while something waits that can be drained.
pub(super) fn nudge(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Nudge> {
    let batch = bin.batch.as_ref().filter(|_| bin.tap != Some(false))?;
    let due = due(room, batch)?;
    let waiting = liquid::waiting(room, bin, now.max(due))?;
    if waiting.value < WORTH_IT {
        return None;
    }
    let numbers = Numbers::Drain {
        liquid_ml: waiting.value,
        liquid_ml_low: waiting.low(),
        liquid_ml_high: waiting.high(),
        water_ml: dilution::dilute(waiting.value).water.value,
    };
    Some(Nudge::of_bin(NudgeKind::Drain, bin, &(batch.drains.len() + 1).to_string(), due, numbers))
}

fn due(room: &Room, batch: &Batch) -> Option<DateTime<Utc>> {
    let density = density::of(room).value;
    let last = batch.drains.last().map(|drain| drain.at);
    let first = batch
        .lots
        .iter()
        .find(|lot| last.is_none_or(|last| lot.at > last) && lot.volume(density) > Millilitres::ZERO);
    match (last, first) {
        (Some(last), Some(first)) => Some((last + INTERVAL).max(first.at + FIRST_LIQUID)),
        (Some(last), None) => Some(last + INTERVAL),
        (None, Some(first)) => Some(first.at + INTERVAL),
        (None, None) => None,
    }
}
