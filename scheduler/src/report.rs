//! What the model holds at a moment, in the season's wire form.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::quantity::{bran, bury, density, ferment, fill, liquid, nitrogen, rest, starter, tally};
use crate::state::{Batch, Bin, Person, Phase, Plot, Room};
use crate::units::{Fraction, Grams, GramsPerDay, GramsPerSquareMetre, Millilitres, SquareMetres, sane};

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
    let now = sane(now);
    let tally = tally::tally(room, None, now);
    Report {
        bins: room.bins_in_use().map(|bin| of_bin(room, bin, now)).collect(),
        starter: of_starter(room, now),
        plots: room.plots.iter().map(|plot| of_plot(room, plot, now)).collect(),
        people: room
            .people
            .iter()
            .filter(|person| person.here)
            .map(|person| of_person(person, now))
            .collect(),
        tally: TallyReport {
            kept_out_g: tally.kept_out.value,
            batches: tally.batches,
            discarded: tally.discarded,
        },
    }
}

fn of_bin(room: &Room, bin: &Bin, now: DateTime<Utc>) -> BinReport {
    let density = density::of(room).value;
    let batch = bin.batch.as_ref();
    let fill = fill::fill(room, bin, now);
    let forecast = fill.as_ref().and_then(|fill| fill.full.as_ref());
    let ferment = ferment::ferment(room, bin, now);
    // A bad check overrides the clock.
    let is_bad = bin.sealed().is_some_and(ferment::is_lost);
    let ready = ferment.as_ref().filter(|_| !is_bad).map(|ferment| &ferment.ready);
    BinReport {
        bin: bin.name.clone(),
        capacity_ml: bin.capacity,
        phase: ferment::phase(room, bin, now),
        batch: bin.batches().next_back().map_or(0, |batch| batch.number),
        scraps_ml: batch.map_or(Millilitres::ZERO, |batch| batch.scraps_volume(density)),
        scraps_g: batch.map_or(Grams::ZERO, |batch| batch.scraps_mass(density)),
        occupied_ml: fill.as_ref().map_or(Millilitres::ZERO, |fill| fill.occupied.value),
        fraction: match &fill {
            Some(fill) => fill.fraction.as_ref().map(|fraction| fraction.value),
            None => bin.capacity.map(|_| Fraction::ZERO),
        },
        bran_ml: batch.map_or(Millilitres::ZERO, Batch::bran),
        bran_owed_ml: bin.filling().map_or(Millilitres::ZERO, |batch| bran::owed(room, batch).value),
        liquid_ml: liquid::waiting(room, bin, now).map_or(Millilitres::ZERO, |waiting| waiting.value),
        drained_ml: batch.map_or(Millilitres::ZERO, Batch::drained),
        started_at: batch.map(|batch| batch.started_at),
        sealed_at: batch.and_then(|batch| batch.sealed_at),
        progress: ferment.as_ref().map_or(Fraction::ZERO, |ferment| ferment.progress.value),
        full_at: forecast.map(|full| full.at),
        full_early: forecast.map(|full| full.early),
        full_late: forecast.map(|full| full.late),
        ready_at: ready.map(|ready| ready.at),
        ready_early: ready.map(|ready| ready.early),
        ready_late: ready.map(|ready| ready.late),
    }
}

fn of_starter(room: &Room, now: DateTime<Utc>) -> StarterReport {
    let outlook = starter::outlook(room, now);
    let out = outlook.as_ref().and_then(|outlook| outlook.out.as_ref());
    let per_day = outlook.as_ref().and_then(|outlook| outlook.per_day.as_ref());
    let brewing = room.starter.brewing(now);
    StarterReport {
        g: outlook.as_ref().map(|outlook| outlook.stock.value),
        per_day_g: per_day.map(|per_day| per_day.value),
        out_at: out.map(|out| out.at),
        out_early: out.map(|out| out.early),
        out_late: out.map(|out| out.late),
        brewing: brewing.map(|brew| BrewReport { g: brew.mass, ready_at: brew.ready_at() }).collect(),
    }
}

fn of_plot(room: &Room, plot: &Plot, now: DateTime<Utc>) -> PlotReport {
    // In frozen ground nothing counts down.
    let rest = plot.resting().and_then(|_| rest::rest(room, plot, now)).filter(|rest| !rest.is_frozen);
    PlotReport {
        plot: plot.name.clone(),
        area_m2: plot.area,
        buried_ml: bury::buried_in(room, plot, now),
        nitrogen_g_m2_year: nitrogen::load(room, plot, now).map(|load| load.value),
        plant_early: rest.as_ref().map(|rest| rest.over.early),
        plant_safe: rest.as_ref().map(|rest| rest.over.at),
    }
}

fn of_person(person: &Person, now: DateTime<Utc>) -> PersonReport {
    PersonReport {
        name: person.name.clone(),
        turns: person.turns,
        away_until: person.away_until.filter(|_| person.is_away(now)),
    }
}
