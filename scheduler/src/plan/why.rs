//! Where the numbers of a nudge came from.

use chrono::{DateTime, Utc};

use super::{Nudge, NudgeKind, Subject, digest, idle};
use crate::quantity::{
    Derivation, When, bran, bury, dilution, ferment, fill, liquid, nitrogen, rest, starter, tally,
};
use crate::state::{Bin, Plot, Room};
use crate::units::Grams;

/// A number of a nudge and where it came from.
#[derive(Clone, Debug)]
pub struct Explained {
    /// Its key in the season's wire form.
    pub key: &'static str,
    /// Which part of the derivation's estimate it is.
    pub part: Part,
    /// Where it came from.
    pub why: Derivation,
    /// For a moment: the one from which the derivation counts days.
    pub from: Option<DateTime<Utc>>,
}

/// A part of an estimate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The value.
    Value,
    /// The lower end of the range.
    Low,
    /// The upper end of the range.
    High,
}

impl Explained {
    fn value(key: &'static str, why: Derivation) -> Self {
        Self { key, part: Part::Value, why, from: None }
    }

    fn range([value, low, high]: [&'static str; 3], why: &Derivation) -> [Self; 3] {
        [(value, Part::Value), (low, Part::Low), (high, Part::High)].map(|(key, part)| Self {
            key,
            part,
            why: why.clone(),
            from: None,
        })
    }

    fn moments(keys: [&'static str; 3], when: &When) -> [Self; 3] {
        Self::range(keys, &when.why).map(|one| Self { from: Some(when.from), ..one })
    }

    /// The number again, from its derivation alone; for a moment the days after `from`.
    pub fn recompute(&self) -> f64 {
        let estimate = self.why.recompute();
        match self.part {
            Part::Value => estimate.value,
            Part::Low => estimate.low.unwrap_or(estimate.value),
            Part::High => estimate.high.unwrap_or(estimate.value),
        }
    }
}

/// Where the numbers of a nudge came from, those of `plan` at the same moment; the first one is its point.
pub fn why(room: &Room, nudge: &Nudge, now: DateTime<Utc>) -> Vec<Explained> {
    of_subject(room, nudge, now).unwrap_or_default()
}

fn of_subject(room: &Room, nudge: &Nudge, now: DateTime<Utc>) -> Option<Vec<Explained>> {
    let at = now.max(nudge.due);
    match (&nudge.subject, nudge.kind) {
        (Some(Subject::Bin(bin)), kind) => of_bin(room, room.bin(bin)?, kind, now, at),
        (Some(Subject::Plot(plot)), _) => of_plot(room, room.plot(plot)?, now),
        (None, NudgeKind::Starter) => of_starter(room, now.max(room.as_of?)),
        (None, NudgeKind::Idle) => Some(vec![Explained::value("days", idle::silence(room, at)?)]),
        (None, NudgeKind::Digest) => Some(of_digest(room, nudge.due)),
        (None, _) => None,
    }
}

fn of_bin(
    room: &Room,
    bin: &Bin,
    kind: NudgeKind,
    now: DateTime<Utc>,
    at: DateTime<Utc>,
) -> Option<Vec<Explained>> {
    let batch = bin.batch.as_ref()?;
    Some(match kind {
        NudgeKind::Drain => {
            let waiting = liquid::waiting(room, bin, at)?;
            let water = dilution::dilute(waiting.value).water.why;
            let keys = ["liquid_ml", "liquid_ml_low", "liquid_ml_high"];
            Explained::range(keys, &waiting.why)
                .into_iter()
                .chain([Explained::value("water_ml", water)])
                .collect()
        }
        NudgeKind::Bran => vec![Explained::value("bran_ml", bran::owed(room, batch).why)],
        NudgeKind::Full => {
            let full = fill::fill(room, bin, now.max(room.as_of?))?.full?;
            Explained::moments(["full_at", "full_early", "full_late"], &full).into()
        }
        NudgeKind::Seal => {
            let fraction = fill::fill(room, bin, now)?.fraction;
            let fraction = fraction.map_or_else(fill::called_full_why, |fraction| fraction.why);
            vec![
                Explained::value("fraction", fraction),
                Explained::value("bran_ml", bran::top(room, batch).why),
            ]
        }
        NudgeKind::Check => {
            vec![Explained::value("progress", ferment::ferment(room, bin, now)?.progress.why)]
        }
        NudgeKind::Bury => of_burial(room, bin, now)?,
        _ => return None,
    })
}

fn of_burial(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Vec<Explained>> {
    let trench = bury::trench(room, bin)?;
    let nitrogen = nitrogen::of_batch(room, bin.batch.as_ref()?);
    Some(vec![
        Explained::value("progress", ferment::ferment(room, bin, now)?.progress.why),
        Explained::value("fermented_ml", trench.fermented.why),
        Explained::value("soil_ml", trench.soil.why),
        Explained::value("trench_length_cm", trench.length.why),
        Explained::value("trench_width_cm", Derivation::of_constant(&bury::WIDTH)),
        Explained::value("trench_depth_cm", Derivation::of_constant(&bury::DEPTH)),
        Explained::value("nitrogen_g", nitrogen.why),
    ])
}

fn of_plot(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Option<Vec<Explained>> {
    let rest = rest::rest(room, plot, now)?;
    let [safe, early, _] = Explained::moments(["plant_safe", "plant_early", ""], &rest.over);
    let burial = plot.burials.last().map(|burial| burial.seq);
    let rested = Derivation::of_elapsed(rest.rested, burial.into_iter().collect());
    let strip = rest.strip.map(|strip| Derivation::of_told(strip.ph, vec![strip.seq]));
    let strip = strip.map(|why| Explained::value("ph", why));
    Some([safe, early, Explained::value("rested_days", rested)].into_iter().chain(strip).collect())
}

fn of_starter(room: &Room, now: DateTime<Utc>) -> Option<Vec<Explained>> {
    let outlook = starter::outlook(room, now)?;
    let make = outlook.make?;
    let bran: Grams = make.value;
    let out = Explained::moments(["out_at", "out_early", "out_late"], &outlook.out?);
    let rest = [
        Explained::value("stock_g", outlook.stock.why),
        Explained::value("make_g", make.why),
        Explained::value("inoculant_ml", starter::inoculant_why(bran)),
        Explained::value("molasses_ml", starter::molasses_why(bran)),
        Explained::value("water_ml", starter::recipe(bran).water.why),
    ];
    Some(out.into_iter().chain(rest).collect())
}

fn of_digest(room: &Room, due: DateTime<Utc>) -> Vec<Explained> {
    let week = tally::tally(room, Some(due - digest::WEEK), due);
    vec![
        Explained::value("kept_out_g", week.kept_out.why),
        Explained::value("scraps_ml", week.scraps_why),
        Explained::value("drained_ml", week.drained_why),
    ]
}
