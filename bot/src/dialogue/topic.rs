//! What the last number was about, so that `why?` can tell where it came from.

use branbell_language::{About, Ask};
use branbell_scheduler::fact::What;
use branbell_scheduler::plan::{NudgeKind, Subject};
use branbell_scheduler::quantity::density;
use branbell_scheduler::quantity::ferment::phase;
use branbell_scheduler::state::{Phase, Room};
use branbell_scheduler::units::{Centimetres, Grams};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

use super::inquiry::{Inquiry, Way};
use super::{Answer, Decision};

/// What a number was about.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Topic {
    /// When a bin is ready.
    Ready(String),
    /// When a bin is full.
    Full(String),
    /// How full a bin is.
    Level(String),
    /// The liquid that waits in a bin.
    Liquid(String),
    /// The bran owed to a bin.
    Bran(String),
    /// Bran for so many ml of scraps.
    Dose(f64),
    /// Water for so many ml of liquid.
    Water(f64),
    /// The trench for a bin.
    Trench(String),
    /// The trench for a bin where it is dug so wide and deep, cm.
    TrenchCut(String, Option<f64>, Option<f64>),
    /// What a pH means.
    Acid(f64),
    /// When a plot may be planted.
    Rest(String),
    /// How long the bran lasts.
    Stock,
    /// The water for so many g of bran.
    Recipe(f64),
    /// What was kept out.
    Tally,
    /// What was kept out since a day.
    TallySince(NaiveDate),
    /// How the bins go round, with further ones of these sizes in ml.
    Bins(Vec<f64>),
    /// Carbon dioxide equivalents, since a day where one was given.
    Emissions(Option<NaiveDate>),
    /// The ground that a year takes.
    Ground,
    /// The nitrogen that a plot has had in a year.
    Load(String),
    /// Water for so many ml of liquid, at so many parts to one.
    Diluted(f64, f64),
    /// Soil for a bin's batch in a closed container, a pot or a raised bed.
    Soil(String),
    /// Finished compost for a bin's batch.
    Compost(String),
}

/// What a decision's last number is about.
pub(super) fn of_decision(room: &Room, decision: &Decision, now: DateTime<Utc>) -> Option<Topic> {
    decision.answers.iter().rev().find_map(|answer| match answer {
        Answer::Kept(place) | Answer::Changed(place) => of_fact(room, &decision.facts[*place].what),
        Answer::Asked(ask) => of_ask(room, ask, now),
        Answer::Inquired(inquiry) => of_inquiry(room, inquiry, now),
        _ => None,
    })
}

fn of_fact(room: &Room, what: &What) -> Option<Topic> {
    Some(match what {
        What::SoilPh { plot, .. } if room.plot(plot)?.resting().is_some() => Topic::Rest(plot.clone()),
        What::SoilPh { ph, .. } => Topic::Acid(*ph),
        What::Scraps { bin, .. } | What::Bran { bin, .. } => Topic::Bran(bin.clone()),
        What::Drained { ml, .. } => Topic::Water(*ml),
        What::Sealed { bin } => Topic::Ready(bin.clone()),
        What::Level { bin, .. } => Topic::Full(bin.clone()),
        What::Buried { plot: Some(plot), .. } => Topic::Rest(plot.clone()),
        What::StarterBought { .. } | What::StarterStock { .. } => Topic::Stock,
        _ => return None,
    })
}

fn of_ask(room: &Room, ask: &Ask, now: DateTime<Utc>) -> Option<Topic> {
    let slots = &ask.slots;
    let bin = |phases: &[Phase]| slots.bin.clone().or_else(|| first_in(room, phases, now));
    Some(match ask.about {
        About::Ready => Topic::Ready(bin(&[Phase::Sealed, Phase::Ready])?),
        About::Full => Topic::Full(bin(&[Phase::Filling])?),
        About::Status => match bin(&[Phase::Sealed]) {
            Some(name) if room.bin(&name).is_some_and(|bin| bin.sealed().is_some()) => Topic::Ready(name),
            _ => Topic::Level(bin(&[Phase::Filling])?),
        },
        About::Drain => Topic::Liquid(bin(&[Phase::Filling, Phase::Sealed])?),
        About::Bran => match (slots.ml, slots.g) {
            (Some(ml), _) => Topic::Dose(ml),
            (None, Some(g)) => Topic::Dose((Grams(g) / density::of(room).value).get()),
            (None, None) => Topic::Bran(bin(&[Phase::Filling])?),
        },
        About::Dilution => Topic::Water(slots.ml?),
        About::Burying => Topic::Trench(bin(&[Phase::Ready, Phase::Sealed, Phase::Filling])?),
        About::Planting => {
            let resting =
                || room.plots.iter().find(|plot| plot.resting().is_some()).map(|plot| plot.name.clone());
            Topic::Rest(slots.plot.clone().or_else(resting)?)
        }
        About::Stock => Topic::Stock,
        About::Recipe => Topic::Recipe(slots.g.filter(|g| *g > 0.0).unwrap_or(1000.0)),
        About::Tally => slots.since.map_or(Topic::Tally, Topic::TallySince),
        _ => return None,
    })
}

fn of_inquiry(room: &Room, inquiry: &Inquiry, now: DateTime<Utc>) -> Option<Topic> {
    Some(match inquiry {
        Inquiry::Bins(further) => Topic::Bins(further.clone()),
        Inquiry::Emissions(since) => Topic::Emissions(*since),
        Inquiry::Ground(None) => Topic::Ground,
        Inquiry::Ground(Some(plot)) => Topic::Load(plot.clone()),
        Inquiry::Dilution(ml, parts) => Topic::Diluted((*ml)?, *parts),
        Inquiry::Acid(ph, _) => Topic::Acid(*ph),
        Inquiry::Trench(cut, bin) => {
            let [width, depth] = [cut.width, cut.depth].map(|length| length.map(Centimetres::get));
            Topic::TrenchCut(buried(room, bin.as_ref(), now)?, width, depth)
        }
        Inquiry::Burying(way, bin) => {
            let bin = buried(room, bin.as_ref(), now)?;
            if *way == Way::Compost { Topic::Compost(bin) } else { Topic::Soil(bin) }
        }
    })
}

/// The bin that is to be buried: the one named, or the first that ferments, or else the first that fills.
fn buried(room: &Room, named: Option<&String>, now: DateTime<Utc>) -> Option<String> {
    let first = || first_in(room, &[Phase::Ready, Phase::Sealed], now);
    named.cloned().or_else(first).or_else(|| first_in(room, &[Phase::Filling], now))
}

/// The first bin in one of these phases.
fn first_in(room: &Room, phases: &[Phase], now: DateTime<Utc>) -> Option<String> {
    let mut bins = room.bins_in_use();
    bins.find(|bin| phases.contains(&phase(room, bin, now))).map(|bin| bin.name.clone())
}

/// What a nudge's number is about.
pub(crate) fn of_nudge(kind: NudgeKind, subject: Option<&Subject>) -> Option<Topic> {
    Some(match (kind, subject) {
        (NudgeKind::Drain, Some(Subject::Bin(bin))) => Topic::Liquid(bin.clone()),
        (NudgeKind::Bran | NudgeKind::Seal, Some(Subject::Bin(bin))) => Topic::Bran(bin.clone()),
        (NudgeKind::Full, Some(Subject::Bin(bin))) => Topic::Full(bin.clone()),
        (NudgeKind::Check, Some(Subject::Bin(bin))) => Topic::Ready(bin.clone()),
        (NudgeKind::Bury, Some(Subject::Bin(bin))) => Topic::Trench(bin.clone()),
        (NudgeKind::Plant, Some(Subject::Plot(plot))) => Topic::Rest(plot.clone()),
        (NudgeKind::Starter, _) => Topic::Stock,
        (NudgeKind::Digest, _) => Topic::Tally,
        _ => return None,
    })
}
