//! `drain`: liquid waits at the tap.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Nudge, NudgeKind, Numbers};
use crate::quantity::liquid::Liquid;
use crate::quantity::{density, dilution, ferment};
use crate::state::{Batch, Bin, Room};
use crate::units::Millilitres;

/// Time between drains. Source: a gardening page and a book excerpt, every other day.
const INTERVAL: TimeDelta = TimeDelta::days(2);
/// Fresh scraps need about a day to let their water go. Common practice, no source.
const FIRST_LIQUID: TimeDelta = TimeDelta::days(1);
/// Less than a few spoonfuls is not worth the way to the bin, and does no harm in it.
const WORTH_IT: Millilitres = Millilitres(40.0);
/// A slow bin is left to gather that for so many further days; then it is taken for dry.
const PATIENCE: i64 = 5;
/// What a sump holds before it reaches the scraps: half a litre, or a share of a large bin.
const SUMP: Millilitres = Millilitres(500.0);
const SUMP_SHARE: f64 = 0.03;

/// Due two days after the last drain, or after the first lot; earlier where the sump fills, later where little comes.
/// Never of a batch that is lost: it is to go as it is.
pub(super) fn nudge(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Nudge> {
    let batch = bin.batch.as_ref().filter(|batch| bin.tap != Some(false) && !ferment::is_lost(batch))?;
    let liquid = Liquid::of(room);
    let due = due(room, &liquid, bin, batch)?;
    let waiting = liquid.waiting(bin, now.max(due))?;
    let numbers = Numbers::Drain {
        liquid_ml: waiting.value,
        liquid_ml_low: waiting.low(),
        liquid_ml_high: waiting.high(),
        water_ml: dilution::dilute(waiting.value).water.value,
    };
    Some(Nudge::of_bin(NudgeKind::Drain, bin, &(batch.drains.len() + 1).to_string(), due, numbers))
}

fn due(room: &Room, liquid: &Liquid, bin: &Bin, batch: &Batch) -> Option<DateTime<Utc>> {
    let by_age = by_age(room, batch)?;
    let waits = |at: DateTime<Utc>, limit: Millilitres| {
        liquid.waiting(bin, at).is_some_and(|waiting| waiting.value >= limit)
    };
    let sump = bin.capacity.map_or(SUMP, |capacity| SUMP.max(capacity * SUMP_SHARE));
    let after_last_lot = batch.lots.last().map_or(by_age, |lot| lot.at + FIRST_LIQUID);
    if after_last_lot < by_age && waits(after_last_lot, sump) {
        return Some(after_last_lot);
    }
    (0..=PATIENCE).map(|days| by_age + TimeDelta::days(days)).find(|at| waits(*at, WORTH_IT))
}

fn by_age(room: &Room, batch: &Batch) -> Option<DateTime<Utc>> {
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
