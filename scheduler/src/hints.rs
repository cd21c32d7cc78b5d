//! Hints: what a practitioner would remark on, without being asked and without a date. Each has a key: what was said under
//! it need not be said again.

use chrono::{DateTime, Datelike, Utc};
use serde::{Deserialize, Serialize};

use crate::quantity::{Derivation, Quantity, ferment, fill, nitrogen};
use crate::state::{Bin, Plot, Room};
use crate::units::{Celsius, Days, Fraction, GramsPerSquareMetre};

/// Something worth a remark.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "hint", rename_all = "snake_case")]
pub enum Hint {
    /// A sealed bin stands too cold: moving it beats waiting.
    TooCold {
        /// The bin.
        bin: String,
        /// How cold it is.
        temperature: Celsius,
    },
    /// A bin has been filling for long: its first layers are done, the last ones raw; a smaller bin would suit.
    FillingLong {
        /// The bin.
        bin: String,
        /// For how long.
        days: Days,
    },
    /// A bin without a tap: nothing drains, so something dry should soak the liquid up.
    NoTap {
        /// The bin.
        bin: String,
    },
    /// All other bins are taken when this one will be full.
    NoSpareBin {
        /// The bin.
        bin: String,
        /// When it will be full.
        full_at: DateTime<Utc>,
        /// When the first of the others may be emptied, if any ferments.
        free_at: Option<DateTime<Utc>>,
    },
    /// A plot has had its nitrogen for the year.
    PlotHasEnough {
        /// The plot.
        plot: String,
        /// What it has had.
        load: GramsPerSquareMetre,
    },
}

/// A book says that a bin should be full within two weeks, or a smaller one be taken.
///
/// Source: Footer A., Bokashi Composting (book excerpt; author and year from memory).
const LONGEST_FILLING: Days = Days(14.0);

/// Before that there is time.
const HALF_FULL: Fraction = Fraction(0.5);

impl Hint {
    /// Its identity in the room: what it is about, and the batch or the year in which it holds.
    pub fn key(&self, room: &Room) -> String {
        let batch = |name: &str| {
            room.bin(name).and_then(|bin| bin.batches().next_back()).map_or(0, |batch| batch.number)
        };
        match self {
            Self::TooCold { bin, .. } => format!("hint/too_cold/{bin}/{}", batch(bin)),
            Self::FillingLong { bin, .. } => format!("hint/filling_long/{bin}/{}", batch(bin)),
            Self::NoTap { bin } => format!("hint/no_tap/{bin}"),
            Self::NoSpareBin { bin, .. } => format!("hint/no_spare_bin/{bin}/{}", batch(bin)),
            Self::PlotHasEnough { plot, .. } => {
                let last = room.plot(plot).and_then(|plot| plot.burials.last());
                let year = last.map_or(0, |burial| burial.at.with_timezone(&room.zone).year());
                format!("hint/plot_has_enough/{plot}/{year}")
            }
        }
    }
}

/// What is worth a remark about a room.
pub fn hints(room: &Room, now: DateTime<Utc>) -> Vec<Hint> {
    let of_bins = room.bins_in_use().flat_map(|bin| of_bin(room, bin, now));
    of_bins.chain(room.plots.iter().filter_map(|plot| of_plot(room, plot, now))).collect()
}

/// What is worth a remark about a bin.
pub fn of_bin(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Vec<Hint> {
    let all = [too_cold(room, bin, now), filling_long(bin, now), no_tap(bin), no_spare_bin(room, bin, now)];
    all.into_iter().flatten().collect()
}

/// What is worth a remark about a plot.
pub fn of_plot(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Option<Hint> {
    let load = nitrogen::load(room, plot, now)?.value;
    (load >= GramsPerSquareMetre(nitrogen::YARDSTICK.value))
        .then(|| Hint::PlotHasEnough { plot: plot.name.clone(), load })
}

fn too_cold(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Hint> {
    let ferment = ferment::ferment(room, bin, now)?;
    let is_done = ferment.progress.value.get() >= 1.0;
    (ferment.is_cold && !is_done)
        .then(|| Hint::TooCold { bin: bin.name.clone(), temperature: ferment.temperature })
}

/// How long a bin has been filling, from its first lot on.
pub fn filling_for(bin: &Bin, now: DateTime<Utc>) -> Option<Quantity<Days>> {
    let first = bin.filling()?.lots.first()?;
    Some(Quantity::of(Derivation::of_elapsed(Days::of(now - first.at), vec![first.seq])))
}

fn filling_long(bin: &Bin, now: DateTime<Utc>) -> Option<Hint> {
    let days = filling_for(bin, now)?.value;
    (days > LONGEST_FILLING).then(|| Hint::FillingLong { bin: bin.name.clone(), days })
}

fn no_tap(bin: &Bin) -> Option<Hint> {
    let is_used = bin.filling().is_some_and(|batch| !batch.lots.is_empty());
    (bin.tap == Some(false) && is_used).then(|| Hint::NoTap { bin: bin.name.clone() })
}

/// That all other bins are taken when this one will be full.
pub fn no_spare_bin(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Hint> {
    let fill = fill::fill(room, bin, now)?;
    let full_at = fill.full.filter(|_| fill.fraction.is_some_and(|share| share.value >= HALF_FULL))?.at;
    let mut others = room.bins_in_use().filter(|other| other.name != bin.name);
    if others.any(|other| other.sealed().is_none()) {
        return None;
    }
    let free_at = room
        .bins_in_use()
        .filter_map(|other| ferment::ferment(room, other, now))
        .map(|one| one.ready.at)
        .min();
    free_at.is_none_or(|free_at| free_at > full_at).then(|| Hint::NoSpareBin {
        bin: bin.name.clone(),
        full_at,
        free_at,
    })
}
