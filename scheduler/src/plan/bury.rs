//! `bury`: the batch is ready.

use chrono::{DateTime, Utc};

use super::{Nudge, NudgeKind, Numbers};
use crate::quantity::{bury, ferment, nitrogen};
use crate::state::{Bin, Room};

/// Due when the batch is ready by the clock, unless a check since sealing forbids it.
pub(super) fn nudge(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Nudge> {
    let batch = bin.sealed().filter(|batch| !ferment::is_lost(batch))?;
    let ferment = ferment::ferment(room, bin, now)?;
    let trench = bury::trench(room, bin)?;
    let nitrogen = nitrogen::of_batch(room, batch).value;
    let plots = nitrogen::plots_for(room, nitrogen, now);
    let numbers = Numbers::Bury {
        progress: ferment.progress.value,
        fermented_ml: trench.fermented.value,
        soil_ml: trench.soil.value,
        trench_length_cm: trench.length.value,
        trench_width_cm: trench.width,
        trench_depth_cm: trench.depth,
        nitrogen_g: nitrogen,
        plot: plots.into_iter().next().map(|choice| choice.plot),
    };
    Some(Nudge::of_bin(NudgeKind::Bury, bin, "", ferment.ready.at, numbers))
}
