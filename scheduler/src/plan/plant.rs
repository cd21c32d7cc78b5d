//! `plant`: a plot has rested.

use chrono::{DateTime, Utc};

use super::{Nudge, NudgeKey, NudgeKind, Numbers, Subject};
use crate::quantity::rest;
use crate::state::{Plot, Room};

/// Due when the plot may safely be planted, or a strip is to be held in again, while nothing was planted since the burial.
/// What a strip shows is a cycle of its own: it moves what was said before.
pub(super) fn nudge(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Option<Nudge> {
    plot.resting()?;
    let rest = rest::rest(room, plot, now)?;
    let numbers = Numbers::Plant {
        plot: plot.name.clone(),
        rested_days: rest.rested,
        plant_early: rest.over.early,
        plant_safe: rest.over.at,
        ph: rest.strip.map(|strip| strip.ph),
    };
    let cycle = rest.strip.map_or_else(String::new, |strip| format!("/{}", strip.seq));
    Some(Nudge {
        key: NudgeKey(format!("{}/{}/{}{cycle}", NudgeKind::Plant, plot.name, plot.burials.len())),
        kind: NudgeKind::Plant,
        subject: Some(Subject::Plot(plot.name.clone())),
        due: rest.over.at,
        numbers,
    })
}
