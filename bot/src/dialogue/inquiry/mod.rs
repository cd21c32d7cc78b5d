//! Questions that the reading contract has no name for, what if there were another bin, how strong, how without a garden; and
//! those that it has one for, in words that the ear does not know.
//!
//! A question is taken apart ([`parts`]): what is asked for (`how much soil`, `which bed`), what else it speaks of, which bin
//! or plot it names and what amount. What such parts mean together is told by rules ([`rules`]); where neither the ear nor a
//! rule understands it, the thing it is about has to do ([`gist`]). The words of each part stand with the texts; amounts are
//! read by the ear.

mod gist;
mod part;
mod parts;
mod rules;
#[cfg(test)]
mod tests;

use branbell_language::{About, FactKind, Reading, UnclearAbout};
use branbell_scheduler::quantity::bury::Cut;
use branbell_scheduler::state::Room;
use branbell_scheduler::units::{Millilitres, Ph};
use chrono::NaiveDate;

use super::{Answer, Occasion, Source};
use part::Part;
use parts::Parts;

/// A question of that kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Inquiry {
    /// How the bins go round, with further ones of these sizes.
    Bins(Vec<Millilitres>),
    /// What was saved in carbon dioxide equivalents, since a day.
    Emissions(Option<NaiveDate>),
    /// How much nitrogen and ground a year takes, or what a plot has had.
    Ground(Option<String>),
    /// Water for so much liquid, at so many parts to one.
    Dilution(Option<Millilitres>, f64),
    /// How to bury without a trench.
    Burying(Way, Option<String>),
    /// The trench where it is dug so wide and deep.
    Trench(Cut, Option<String>),
    /// What a pH means: in a plot, or in a bin and its liquid.
    Acid(Ph, Held),
}

/// Where a pH strip was held.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Held {
    /// Into a bin, or its liquid.
    InBin,
    /// Into the soil, of a plot where one was named.
    InSoil(Option<String>),
}

/// Where a batch goes if not into a trench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// A closed container with soil.
    Container,
    /// A pot or a raised bed.
    Pot,
    /// Finished compost.
    Compost,
}

/// The answer to the inquiry that a message makes, if it makes one.
pub(super) fn heard(room: &Room, on: Occasion<'_>, reading: &Reading) -> Option<Answer> {
    if !on.heard.incoming.direct {
        return None;
    }
    let parts = Parts::of(room, on);
    let all = |told: fn(FactKind) -> bool| reading.facts.iter().all(|fact| told(fact.kind));
    // What a strip shows is no temperature, and says when to plant.
    if all(|kind| kind == FactKind::Temperature)
        && let Some(acid) = rules::acid(&parts)
    {
        return Some(Answer::Inquired(acid));
    }
    if !is_open(reading) {
        return None;
    }
    // A bin that is only supposed is no bin.
    let supposes = parts.any(&[Part::If, Part::Would]) && all(|kind| kind == FactKind::BinSet);
    if reading.facts.is_empty() || supposes {
        let open = || reading.asks.is_empty().then(|| gist::answer(&parts)).flatten();
        return rules::answer(&parts, reading.asks.first()).or_else(open);
    }
    let is_amount = all(|kind| matches!(kind, FactKind::Scraps | FactKind::Bran));
    is_amount.then(|| rules::about_amount(&parts)).flatten()
}

/// What a message tells of a pH strip held into soil.
pub(super) struct SoilPh {
    pub(super) ph: Ph,
    /// The plot, where it names one.
    pub(super) plot: Option<String>,
    /// Whether it says that it is of soil: by the word or by the plot.
    pub(super) is_soil: bool,
}

/// What a message tells of a pH that is not of a bin; none where it only asks, supposes or wants, and where the strip is one
/// of land.
pub(super) fn soil_ph(room: &Room, on: Occasion<'_>, reading: &Reading) -> Option<SoilPh> {
    let whole = Parts::of(room, on);
    let is_of_land =
        |kind| kind == FactKind::PlotSet || kind != FactKind::Temperature && !whole.has(Part::Ph);
    if reading.facts.iter().any(|fact| is_of_land(fact.kind)) {
        return None;
    }
    let is_soil = whole.plot.is_some() || whole.any(&[Part::Soil, Part::Ground]);
    if whole.ph().is_none() && !whole.has(Part::Strip) || whole.bin.is_some() && !is_soil {
        return None;
    }
    let told = |text: &str| {
        let parts = Parts::of(room, on.of(Source { text, ..on.source }));
        let ph = parts.ph()?;
        Some((ph, !(parts.is_marked() || parts.opens_as_question() || parts.has(Part::Wanted))))
    };
    let (ph, is_told) = clauses(on.source.text).find_map(told).or_else(|| told(on.source.text))?;
    is_told.then_some(SoilPh { ph, plot: whole.plot, is_soil })
}

/// The clauses of a text, each with the mark at its end.
fn clauses(text: &str) -> impl Iterator<Item = &str> {
    let sentences = text.split_inclusive(['?', '!', ';', '\n']);
    sentences.flat_map(|sentence| sentence.split_inclusive(", ")).flat_map(|part| part.split_inclusive(". "))
}

/// Whether the ear left it open, or took it for a question that such an inquiry may be in other words.
fn is_open(reading: &Reading) -> bool {
    use About::{Planting, Recipe, Rota, Trouble, Why};
    let by_asks = match &reading.asks[..] {
        [] => true,
        [ask] => !matches!(ask.about, Planting | Recipe | Rota | Trouble | Why),
        _ => false,
    };
    let open = [UnclearAbout::Meaning, UnclearAbout::Amount, UnclearAbout::Bin];
    by_asks && reading.unclear.as_ref().is_none_or(|unclear| open.contains(&unclear.about))
}
