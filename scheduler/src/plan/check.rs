//! `check`: time for a look and a smell at a sealed bin; and whether a lost batch is out.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Nudge, NudgeKind, Numbers};
use crate::advice::advise;
use crate::quantity::{bury, ferment};
use crate::state::{Bin, Room};
use crate::units::Fraction;

/// A week shows whether it sours or rots. Common practice, no source.
const INTERVAL: TimeDelta = TimeDelta::days(7);
/// What was put right shows within three days whether it helped.
const AFTER_DOUBT: TimeDelta = TimeDelta::days(3);
/// So shortly before it is ready the bin stays closed: one looks then anyway.
const NEARLY_READY: TimeDelta = TimeDelta::days(2);

/// Due a week after sealing or after the last good look, three days after a doubtful one, until it is nearly ready. While the
/// bin is filled it is looked into daily: only of a batch that is lost it is asked, three days later, whether it is out.
pub(super) fn nudge(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Nudge> {
    if let Some(batch) = bin.filling() {
        let due = ferment::lost_by(batch)?.at + AFTER_DOUBT;
        let cycle = (batch.checks.len() + 1).to_string();
        let numbers = Numbers::Check { progress: Fraction(0.0) };
        return Some(Nudge::of_bin(NudgeKind::Check, bin, &cycle, due, numbers));
    }
    let batch = bin.sealed()?;
    let ferment = ferment::ferment(room, bin, now)?;
    let checks = batch.checks_since_sealing().count();
    let last = batch.checks_since_sealing().next_back();
    let is_doubtful = ferment::is_lost(batch) || last.is_some_and(|check| advise(&check.signs).is_dubious());
    let due = match last {
        Some(check) if is_doubtful => check.at + AFTER_DOUBT,
        Some(check) => check.at + INTERVAL,
        None => ferment.sealed_at + INTERVAL,
    };
    let is_nearly_ready = !is_doubtful && due > ferment.ready.at - NEARLY_READY;
    // Of a bin of which nothing is known but that it was sealed, no trench can be told: it is looked at when it is ready.
    let due = match bury::trench(room, bin) {
        Some(_) if is_nearly_ready => return None,
        None if is_nearly_ready => due.max(ferment.ready.at),
        _ => due,
    };
    let numbers = Numbers::Check { progress: ferment.progress.value };
    Some(Nudge::of_bin(NudgeKind::Check, bin, &(checks + 1).to_string(), due, numbers))
}
