//! What is next: the nudges of a room.
//!
//! Due instants follow from the facts alone, numbers from the facts and the moment, so planning again at a later moment
//! moves no nudge. A nudge's key is its identity: planning again gives the same key, and the store sends a key once.

mod bran;
mod bury;
mod check;
mod digest;
mod drain;
mod full;
mod idle;
mod plant;
mod seal;
mod starter;
mod turn;
mod why;

use std::fmt;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

pub use self::digest::WEEK;
pub use self::idle::silence;
pub use self::turn::{due_work, next_turn, overdue, turn, turn_order, waiting_for};
pub use self::why::{Explained, Part, why};
use crate::fact::{Signs, What};
use crate::state::{Bin, Room, effort};
use crate::units::{Centimetres, Days, Fraction, Grams, Millilitres, Ph, sane};

/// Something to say at a moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Nudge {
    /// Its identity in the room: kind, subject and cycle, such as `drain/green/3/2`.
    pub key: NudgeKey,
    /// What it is about.
    pub kind: NudgeKind,
    /// The bin or the plot.
    pub subject: Option<Subject>,
    /// When the model wants it said; see [`send_at`] for when it may be.
    pub due: DateTime<Utc>,
    /// Its numbers at the moment it was planned.
    pub numbers: Numbers,
}

/// The identity of a nudge in its room.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct NudgeKey(pub String);

/// What a nudge is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "each has its file here, which documents it")]
pub enum NudgeKind {
    Drain,
    Bran,
    Full,
    Seal,
    Check,
    Bury,
    Plant,
    Starter,
    Idle,
    Digest,
}

/// The bin or the plot a nudge is about.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Subject {
    /// A bin.
    Bin(String),
    /// A plot.
    Plot(String),
}

/// The numbers of a nudge, in the season's wire form.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
#[expect(
    missing_docs,
    reason = "the names carry the meaning and the unit, as the season's wire form has them"
)]
pub enum Numbers {
    Bury {
        progress: Fraction,
        fermented_ml: Millilitres,
        soil_ml: Millilitres,
        trench_length_cm: Centimetres,
        trench_width_cm: Centimetres,
        trench_depth_cm: Centimetres,
        nitrogen_g: Grams,
        plot: Option<String>,
    },
    Starter {
        stock_g: Grams,
        out_at: DateTime<Utc>,
        out_early: DateTime<Utc>,
        out_late: DateTime<Utc>,
        make_g: Grams,
        inoculant_ml: Millilitres,
        molasses_ml: Millilitres,
        water_ml: Millilitres,
    },
    Drain {
        liquid_ml: Millilitres,
        liquid_ml_low: Millilitres,
        liquid_ml_high: Millilitres,
        water_ml: Millilitres,
    },
    Plant {
        plot: String,
        rested_days: Days,
        plant_early: DateTime<Utc>,
        plant_safe: DateTime<Utc>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ph: Option<Ph>,
    },
    Full {
        full_at: DateTime<Utc>,
        full_early: DateTime<Utc>,
        full_late: DateTime<Utc>,
    },
    Digest {
        kept_out_g: Grams,
        scraps_ml: Millilitres,
        drained_ml: Millilitres,
    },
    Seal {
        fraction: Fraction,
        bran_ml: Millilitres,
    },
    Bran {
        bran_ml: Millilitres,
    },
    Check {
        progress: Fraction,
    },
    Idle {
        days: Days,
    },
}

/// The nudges that follow from the facts, those of the future included with the due instant foreseen, in the order in
/// which they are due; their numbers are those at `now`.
pub fn plan(room: &Room, now: DateTime<Utc>) -> Vec<Nudge> {
    let now = sane(now);
    let of_bins = room.bins_in_use().flat_map(|bin| {
        [
            drain::nudge(room, bin, now),
            bran::nudge(room, bin),
            full::nudge(room, bin, now),
            seal::nudge(room, bin, now),
            check::nudge(room, bin, now),
            bury::nudge(room, bin, now),
        ]
    });
    let of_plots = room.plots.iter().map(|plot| plant::nudge(room, plot, now));
    let of_room = [starter::nudge(room, now), idle::nudge(room, now)];
    let mut nudges: Vec<Nudge> = of_bins.chain(of_plots).chain(of_room).flatten().collect();
    let digests = digest::nudges(room, &nudges, now);
    nudges.extend(digests);
    nudges.sort_by(|one, other| (one.due, &one.key).cmp(&(other.due, &other.key)));
    nudges
}

impl Nudge {
    /// A nudge about a bin's batch; `cycle` tells it from others of its kind for that batch.
    fn of_bin(kind: NudgeKind, bin: &Bin, cycle: &str, due: DateTime<Utc>, numbers: Numbers) -> Self {
        let number = bin.batch.as_ref().map_or(0, |batch| batch.number);
        let cycle = if cycle.is_empty() { number.to_string() } else { format!("{number}/{cycle}") };
        Self {
            key: NudgeKey(format!("{kind}/{}/{cycle}", bin.name)),
            kind,
            subject: Some(Subject::Bin(bin.name.clone())),
            due,
            numbers,
        }
    }
}

impl NudgeKind {
    /// Whether somebody is to do something; the others only tell.
    pub fn is_work(self) -> bool {
        self.cannot_wait() || matches!(self, Self::Bran | Self::Starter)
    }

    /// Whether it is said again when nobody does it. Bran that was forgotten was said twice by then, and new bran is
    /// started weeks ahead: to say these again tomorrow would nag.
    pub fn cannot_wait(self) -> bool {
        matches!(self, Self::Drain | Self::Seal | Self::Check | Self::Bury)
    }

    /// Whether it is work that people take turns at. Bran is asked of whoever filled the bin.
    pub fn is_turns_work(self) -> bool {
        self.is_work() && self != Self::Bran
    }

    /// Whether it may be said an hour or two before it is due. Bran may be on its way to the bin; the digest comes when
    /// people asked for it, and silence is broken when it has lasted.
    pub fn may_come_early(self) -> bool {
        !matches!(self, Self::Bran | Self::Digest | Self::Idle)
    }

    /// Roughly how many minutes the work takes, as it counts for the rota; nought where it is nobody's turn.
    pub fn effort(self) -> f64 {
        let bin = String::new;
        let work = match self {
            Self::Drain => What::Drained { bin: bin(), ml: 0.0, used: None, estimated: true },
            Self::Seal => What::Sealed { bin: bin() },
            Self::Check => What::Checked { bin: bin(), signs: Signs::default() },
            Self::Bury => What::Buried { bin: bin(), plot: None, depth_cm: None },
            Self::Starter => What::StarterMade { g: 0.0 },
            Self::Bran | Self::Full | Self::Plant | Self::Idle | Self::Digest => return 0.0,
        };
        effort(&work).unwrap_or_default()
    }

    /// Its name in keys and in the season's wire form.
    pub fn name(self) -> &'static str {
        match self {
            Self::Drain => "drain",
            Self::Bran => "bran",
            Self::Full => "full",
            Self::Seal => "seal",
            Self::Check => "check",
            Self::Bury => "bury",
            Self::Plant => "plant",
            Self::Starter => "starter",
            Self::Idle => "idle",
            Self::Digest => "digest",
        }
    }
}

impl fmt::Display for NudgeKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl fmt::Display for NudgeKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The first moment at which a nudge may be said: when it is due, or when quiet hours are over.
pub fn send_at(room: &Room, nudge: &Nudge) -> DateTime<Utc> {
    room.quiet.hold(nudge.due, room.zone)
}
