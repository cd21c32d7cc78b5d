//! `plant`: a plot has rested.

use chrono::{DateTime, Utc};

use super::{Nudge, NudgeKey, NudgeKind, Numbers, Subject};
use crate::quantity::rest;
use crate::state::{Plot, Room};

/// Due when the plot may safely be planted, while nothing was planted since the burial.
pub(super) fn nudge(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Option<Nudge> {
    plot.resting()?;
    let rest = rest::rest(room, plot, now)?;
    let numbers = Numbers::Plant {
        plot: plot.name.clone(),
        rested_days: rest.rested,
        plant_early: rest.over.early,
        plant_safe: rest.over.at,
    };
    Some(Nudge {
        key: NudgeKey(format!("{}/{}/{}", NudgeKind::Plant, plot.name, plot.burials.len())),
        kind: NudgeKind::Plant,
        subject: Some(Subject::Plot(plot.name.clone())),
        due: rest.over.at,
        numbers,
    })
}
