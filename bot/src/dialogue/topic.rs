//! What the last number was about, so that `why?` can tell where it came from.

use branbell_language::{About, Ask};
use branbell_scheduler::fact::{Food, Place, What};
use branbell_scheduler::plan::{Nudge, NudgeKind, Subject};
use branbell_scheduler::quantity::acid::{self, Souring};
use branbell_scheduler::quantity::ferment::phase;
use branbell_scheduler::quantity::{bran, density, fill, rest};
use branbell_scheduler::state::{Phase, Room};
use branbell_scheduler::units::{Centimetres, Grams, Millilitres, Ph};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};

use super::inquiry::{Held, Inquiry, Way};
use super::wording::{SPOONFUL, WORTH_SAYING};
use super::{Answer, Decision, translate};

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
    /// Bran for so much of scraps with these foods, in the bin that is named or the one that fills.
    Dose(Millilitres, Vec<Food>, Option<String>),
    /// Bran for the bottom of an empty bin.
    FirstLayer,
    /// Bran for the top of a full bin.
    TopLayer(String),
    /// How far a bin has fermented.
    Progress(String),
    /// When the bran that ferments is ready.
    Brewed,
    /// For how long nobody has told anything.
    Silence,
    /// What was kept out in the week before.
    Week(DateTime<Utc>),
    /// Water for so much liquid.
    Water(Millilitres),
    /// The trench for a bin.
    Trench(String),
    /// The trench for a bin where it is dug so wide and deep.
    TrenchCut(String, Option<Centimetres>, Option<Centimetres>),
    /// What a pH means in a bin where it is as sour as it should be.
    Acid(Ph),
    /// How sour a bin comes to be.
    Sour,
    /// How sour soil may be.
    SoilPh,
    /// When a plot may be planted.
    Rest(String),
    /// How long the bran lasts.
    Stock,
    /// The water for so much bran.
    Recipe(Grams),
    /// What was kept out.
    Tally,
    /// What was kept out since a day.
    TallySince(NaiveDate),
    /// How the bins go round, with further ones of these sizes.
    Bins(Vec<Millilitres>),
    /// Carbon dioxide equivalents, since a day where one was given.
    Emissions(Option<NaiveDate>),
    /// The ground that a year takes.
    Ground,
    /// The nitrogen that a plot has had in a year.
    Load(String),
    /// The amount that was expected of the drain at this place in the log.
    Expected(i64),
    /// Water for so much liquid, at so many parts to one.
    Diluted(Millilitres, f64),
    /// A closed container for a bin's batch with its soil.
    Soil(String),
    /// Soil for a bin's batch in a pot or a raised bed.
    PotSoil(String),
    /// Finished compost for a bin's batch.
    Compost(String),
    /// Whose turn it is, or who took it.
    Turns,
}

impl Topic {
    /// What a nudge's number is about.
    pub fn of_nudge(nudge: &Nudge) -> Option<Topic> {
        Some(match (nudge.kind, &nudge.subject) {
            (NudgeKind::Drain, Some(Subject::Bin(bin))) => Topic::Liquid(bin.clone()),
            (NudgeKind::Bran, Some(Subject::Bin(bin))) => Topic::Bran(bin.clone()),
            (NudgeKind::Seal, Some(Subject::Bin(bin))) => Topic::TopLayer(bin.clone()),
            (NudgeKind::Full, Some(Subject::Bin(bin))) => Topic::Full(bin.clone()),
            (NudgeKind::Check, Some(Subject::Bin(bin))) => Topic::Progress(bin.clone()),
            (NudgeKind::Bury, Some(Subject::Bin(bin))) => Topic::Trench(bin.clone()),
            (NudgeKind::Plant, Some(Subject::Plot(plot))) => Topic::Rest(plot.clone()),
            (NudgeKind::Starter, _) => Topic::Stock,
            (NudgeKind::Idle, _) => Topic::Silence,
            (NudgeKind::Digest, _) => Topic::Week(nudge.due),
            _ => return None,
        })
    }
}

/// What a decision's last number is about.
pub(super) fn of_decision(room: &Room, decision: &Decision, now: DateTime<Utc>) -> Option<Topic> {
    decision.answers.iter().rev().find_map(|answer| match answer {
        Answer::Kept(place) | Answer::Changed(place) => of_fact(room, &decision.facts[*place].what, now),
        Answer::Asked(ask) => of_ask(room, ask, now),
        Answer::Inquired(inquiry) => of_inquiry(room, inquiry, now),
        Answer::Took { .. } => Some(Topic::Turns),
        _ => None,
    })
}

fn of_fact(room: &Room, what: &What, now: DateTime<Utc>) -> Option<Topic> {
    let is_resting = |plot: &str| room.plot(plot).is_some_and(|plot| plot.resting().is_some());
    Some(match what {
        What::Scraps { bin, .. } | What::Bran { bin, .. } | What::Level { bin, .. }
            if is_at_the_line(room, bin, now) =>
        {
            Topic::TopLayer(bin.clone())
        }
        What::Scraps { bin, .. } if !owes_bran(room, bin) => Topic::Level(bin.clone()),
        What::Scraps { bin, .. } | What::Bran { bin, .. } => Topic::Bran(bin.clone()),
        What::Drained { estimated: true, .. } => {
            Topic::Expected(room.facts().rfind(|fact| fact.what == *what)?.seq)
        }
        What::Drained { ml, .. } => Topic::Water(Millilitres(*ml)),
        What::Sealed { bin } => Topic::Ready(bin.clone()),
        What::Level { bin, .. } => Topic::Full(bin.clone()),
        What::Started { .. } | What::Cleaned { .. } | What::BinSet { .. } => Topic::FirstLayer,
        What::Buried { plot: Some(plot), .. } | What::Planted { plot, .. } => Topic::Rest(plot.clone()),
        What::SoilPh { plot, .. } if is_resting(plot) => Topic::Rest(plot.clone()),
        // Where a strip was held in, the temperature says no more when to plant.
        What::Temperature { place: Place::Plot(plot), .. }
            if is_resting(plot) && rest::strip(room.plot(plot)?).is_none() =>
        {
            Topic::Rest(plot.clone())
        }
        What::SoilPh { .. } => Topic::SoilPh,
        What::StarterMade { .. } => Topic::Brewed,
        What::StarterBought { .. } | What::StarterStock { .. } => Topic::Stock,
        _ => return None,
    })
}

/// Whether the bin is full by the fill line, so that its top layer is spoken of.
fn is_at_the_line(room: &Room, bin: &str, now: DateTime<Utc>) -> bool {
    let filling = room.bin(bin).filter(|bin| bin.filling().is_some());
    let filled = filling.and_then(|bin| fill::fill(room, bin, now)?.fraction);
    filled.is_some_and(|fraction| fraction.value.get() >= fill::FILL_LINE.value)
}

/// Whether so much bran is owed to a bin, sealed or not, that it is worth a word.
pub(super) fn owes_bran(room: &Room, bin: &str) -> bool {
    let batch = room.bin(bin).and_then(|bin| bin.batch.as_ref());
    batch.is_some_and(|batch| bran::owed(room, batch).value >= WORTH_SAYING)
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
        About::Bran => {
            let by_mass = slots.g.map(|g| Grams(g) / density::of(room).value);
            let scraps = slots.ml.map(Millilitres).or(by_mass);
            let foods = slots.foods.iter().copied().map(translate::food).collect();
            match scraps.filter(|ml| *ml > Millilitres::ZERO) {
                Some(ml) => Topic::Dose(ml, foods, slots.bin.clone()),
                None => Topic::Bran(bin(&[Phase::Filling])?),
            }
        }
        About::Dilution => Topic::Water(slots.ml.map_or(SPOONFUL, Millilitres)),
        About::Burying => Topic::Trench(buried(room, slots.bin.as_ref(), now)?),
        About::Planting => {
            let resting =
                || room.plots.iter().find(|plot| plot.resting().is_some()).map(|plot| plot.name.clone());
            Topic::Rest(slots.plot.clone().or_else(resting)?)
        }
        About::Stock => Topic::Stock,
        About::Recipe => Topic::Recipe(Grams(slots.g.filter(|g| *g > 0.0).unwrap_or(1000.0))),
        About::Rota if !room.direct => Topic::Turns,
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
        Inquiry::Dilution(ml, parts) => Topic::Diluted(ml.unwrap_or(SPOONFUL), *parts),
        Inquiry::Acid(_, Held::InSoil(_)) => Topic::SoilPh,
        Inquiry::Acid(ph, Held::InBin) if acid::in_bin(*ph) == Souring::Sour => Topic::Acid(*ph),
        Inquiry::Acid(..) => Topic::Sour,
        Inquiry::Trench(cut, bin) => Topic::TrenchCut(buried(room, bin.as_ref(), now)?, cut.width, cut.depth),
        Inquiry::Burying(way, bin) => {
            let bin = buried(room, bin.as_ref(), now)?;
            match way {
                Way::Compost => Topic::Compost(bin),
                Way::Container => Topic::Soil(bin),
                Way::Pot => Topic::PotSoil(bin),
            }
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
