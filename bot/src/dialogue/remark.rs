//! What is worth a remark besides the answer, where it belongs. Whether it was said already the host knows.

use branbell_scheduler::fact::{Place, What};
use branbell_scheduler::hints::{self, Hint};
use branbell_scheduler::plan::{Nudge, NudgeKind, Subject};
use branbell_scheduler::state::Room;
use chrono::{DateTime, Utc};

use super::Decision;

/// The hints that belong to what was told: none while a question of ours waits, which they would bury.
pub fn remarks(room: &Room, decision: &Decision, now: DateTime<Utc>) -> Vec<Hint> {
    if decision.asked.is_some() {
        return Vec::new();
    }
    let mut remarks: Vec<Hint> = Vec::new();
    for told in &decision.facts {
        for hint in belonging(room, &told.what, now) {
            if !remarks.contains(&hint) {
                remarks.push(hint);
            }
        }
    }
    remarks
}

fn belonging(room: &Room, what: &What, now: DateTime<Utc>) -> Vec<Hint> {
    let of_bin = |name: &str, fits: fn(&Hint) -> bool| {
        let hints = room.bin(name).map(|bin| hints::of_bin(room, bin, now)).unwrap_or_default();
        hints.into_iter().filter(fits).collect::<Vec<_>>()
    };
    match what {
        What::Scraps { bin, .. } => {
            of_bin(bin, |hint| matches!(hint, Hint::FillingLong { .. } | Hint::NoTap { .. }))
        }
        What::Sealed { bin } | What::Temperature { place: Place::Bin(bin), .. } => of_bin(bin, is_cold),
        What::Temperature { place: Place::Room, .. } => {
            room.bins_in_use().flat_map(|bin| of_bin(&bin.name, is_cold)).collect()
        }
        What::Buried { plot: Some(plot), .. } => {
            room.plot(plot).and_then(|plot| hints::of_plot(room, plot, now)).into_iter().collect()
        }
        _ => Vec::new(),
    }
}

/// The hints that a nudge brings along, for where nobody writes: each is made once, here or in an answer. That no other bin
/// is free comes with the nudge of the one that fills.
pub fn remarks_beside(room: &Room, nudge: &Nudge, now: DateTime<Utc>) -> Vec<Hint> {
    let fits = |hint: &Hint| match nudge.kind {
        NudgeKind::Drain | NudgeKind::Check => is_cold(hint),
        NudgeKind::Digest => matches!(hint, Hint::TooCold { .. } | Hint::FillingLong { .. }),
        _ => false,
    };
    let is_meant = |name: &str| !matches!(&nudge.subject, Some(Subject::Bin(bin)) if bin != name);
    let bins = room.bins_in_use().filter(|bin| is_meant(&bin.name));
    bins.flat_map(|bin| hints::of_bin(room, bin, now)).filter(fits).collect()
}

fn is_cold(hint: &Hint) -> bool {
    matches!(hint, Hint::TooCold { .. })
}
