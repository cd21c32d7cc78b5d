//! What the model holds at a moment, in the season's wire form.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::state::{Phase, Room};
use crate::units::{Fraction, Grams, GramsPerDay, GramsPerSquareMetre, Millilitres, SquareMetres};

/// What the model holds at a moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// The bins in use.
    pub bins: Vec<BinReport>,
    /// The bran.
    pub starter: StarterReport,
    /// The plots.
    pub plots: Vec<PlotReport>,
    /// Those who are in the room.
    pub people: Vec<PersonReport>,
    /// Everything since the beginning.
    pub tally: TallyReport,
}

/// A bin, and the batch in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(
    missing_docs,
    reason = "the names carry the meaning and the unit, as the season's wire form has them"
)]
pub struct BinReport {
    pub bin: String,
    pub capacity_ml: Option<Millilitres>,
    pub phase: Phase,
    /// The number of the batch in the bin; of the last one where it is empty.
    pub batch: u32,
    pub scraps_ml: Millilitres,
    pub scraps_g: Grams,
    pub occupied_ml: Millilitres,
    pub fraction: Option<Fraction>,
    pub bran_ml: Millilitres,
    pub bran_owed_ml: Millilitres,
    pub liquid_ml: Millilitres,
    pub drained_ml: Millilitres,
    pub started_at: Option<DateTime<Utc>>,
    pub sealed_at: Option<DateTime<Utc>>,
    pub progress: Fraction,
    pub full_at: Option<DateTime<Utc>>,
    pub full_early: Option<DateTime<Utc>>,
    pub full_late: Option<DateTime<Utc>>,
    pub ready_at: Option<DateTime<Utc>>,
    pub ready_early: Option<DateTime<Utc>>,
    pub ready_late: Option<DateTime<Utc>>,
}

/// The bran.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(
    missing_docs,
    reason = "the names carry the meaning and the unit, as the season's wire form has them"
)]
pub struct StarterReport {
    pub g: Option<Grams>,
    pub per_day_g: Option<GramsPerDay>,
    pub out_at: Option<DateTime<Utc>>,
    pub out_early: Option<DateTime<Utc>>,
    pub out_late: Option<DateTime<Utc>>,
    pub brewing: Vec<BrewReport>,
}

/// Bran that ferments.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(
    missing_docs,
    reason = "the names carry the meaning and the unit, as the season's wire form has them"
)]
pub struct BrewReport {
    pub g: Grams,
    pub ready_at: DateTime<Utc>,
}

/// A plot.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(
    missing_docs,
    reason = "the names carry the meaning and the unit, as the season's wire form has them"
)]
pub struct PlotReport {
    pub plot: String,
    pub area_m2: Option<SquareMetres>,
    /// Fermented volume buried there in the last twelve months.
    pub buried_ml: Millilitres,
    pub nitrogen_g_m2_year: Option<GramsPerSquareMetre>,
    pub plant_early: Option<DateTime<Utc>>,
    pub plant_safe: Option<DateTime<Utc>>,
}

/// Somebody in the room.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(
    missing_docs,
    reason = "the names carry the meaning and the unit, as the season's wire form has them"
)]
pub struct PersonReport {
    pub name: String,
    pub turns: u32,
    pub away_until: Option<DateTime<Utc>>,
}

/// Everything since the beginning.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(
    missing_docs,
    reason = "the names carry the meaning and the unit, as the season's wire form has them"
)]
pub struct TallyReport {
    pub kept_out_g: Grams,
    pub batches: u32,
    pub discarded: u32,
}

/// What the model holds at a moment.
pub fn report(room: &Room, now: DateTime<Utc>) -> Report {
    let _ = now;
    Report {
        bins: Vec::new(),
        starter: StarterReport {
            g: None,
            per_day_g: None,
            out_at: None,
            out_early: None,
            out_late: None,
            brewing: Vec::new(),
        },
        plots: Vec::new(),
        people: room
            .people
            .iter()
            .filter(|person| person.here)
            .map(|person| PersonReport {
                name: person.name.clone(),
                turns: person.turns,
                away_until: person.away_until,
            })
            .collect(),
        tally: TallyReport { kept_out_g: Grams::ZERO, batches: 0, discarded: 0 },
    }
}
