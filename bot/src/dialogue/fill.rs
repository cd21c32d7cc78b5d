//! Fills a fact's slots from the room's state: the bin that is meant, the moment, the plot.

use branbell_language::{Fact, FactKind, Precision, SettingName, Slots};
use branbell_scheduler::fact::{Place, Setting, Units, What};
use branbell_scheduler::plan::Subject;
use branbell_scheduler::quantity::bran::BRAN_DENSITY;
use branbell_scheduler::quantity::ferment::phase;
use branbell_scheduler::quiet::Quiet;
use branbell_scheduler::state::{Bin, LARGEST, Phase, Room, is_a_reading};
use branbell_scheduler::units::{Density, Grams, Millilitres};
use chrono::{DateTime, NaiveTime, Utc};

use super::hearing::JUST_NOW;
use super::{Heard, Item, Occasion, translate};

/// A fact with its slots filled.
pub(super) struct Filled {
    pub(super) what: What,
    pub(super) at: DateTime<Utc>,
    /// What would be good to know and is asked for afterwards.
    pub(super) lacks: Option<Lacks>,
}

/// What a kept fact lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lacks {
    /// The size of the new bin.
    Size,
    /// How much was drained; the amount expected was taken.
    Drained,
    /// Where it was buried.
    Plot,
}

/// What keeps a fact from being kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Missing {
    /// Which of these bins.
    Bin(Vec<String>),
    /// The room has no bin yet.
    NoBins,
    /// What a bin is called of which so much was told.
    Name {
        /// What it holds.
        ml: Option<u32>,
        /// Whether it has a tap.
        tap: Option<bool>,
    },
    /// Which of these plots.
    Plot(Vec<String>),
    /// How much.
    Amount,
    /// How big a bin is: nobody has one of the size that was told.
    Size {
        /// The bin.
        bin: String,
        /// Whether it has a tap.
        tap: Option<bool>,
    },
    /// How big a plot is: nobody has one of the size that was told.
    Area {
        /// The plot.
        plot: String,
    },
    /// How much it was: more was told than this bin can hold.
    Fitting {
        /// The bin.
        bin: String,
        /// What was told of it.
        kind: FactKind,
        /// When that was.
        at: DateTime<Utc>,
    },
}

/// Fills the slots of a fact.
///
/// # Errors
/// What is missing, where the room's state does not decide it.
pub(super) fn fill(room: &Room, on: Occasion<'_>, fact: &Fact) -> Result<Filled, Missing> {
    let Occasion { heard, now, .. } = on;
    let slots = &fact.slots;
    let at = moment(room, slots, on.source.sent);
    let bin = || bin(room, heard, fact, now);
    let mut lacks = None;
    let what = match fact.kind {
        FactKind::Scraps => What::Scraps {
            ml: slots.ml,
            g: slots.g,
            foods: slots.foods.iter().copied().map(translate::food).collect(),
            bin: some_amount(slots, bin()?)?,
        },
        FactKind::Bran => What::Bran { ml: slots.ml, g: slots.g, bin: some_amount(slots, bin()?)? },
        FactKind::Drained => {
            let bin = bin()?;
            // Where nothing is expected there is nothing to take it for.
            let expected = || Some(expected_liquid(room, &bin, now).get()).filter(|ml| *ml > 0.0);
            lacks = slots.ml.is_none().then_some(Lacks::Drained);
            let ml = slots.ml.or_else(expected).ok_or(Missing::Amount)?;
            What::Drained { ml, used: slots.use_.map(translate::used), estimated: slots.ml.is_none(), bin }
        }
        FactKind::Started => What::Started { bin: bin()? },
        FactKind::Sealed => What::Sealed { bin: bin()? },
        FactKind::Checked => What::Checked { signs: translate::signs(slots), bin: bin()? },
        FactKind::Temperature => {
            let c = slots.c.filter(|c| is_a_reading(*c)).ok_or(Missing::Amount)?;
            What::Temperature { place: place(slots), c }
        }
        FactKind::Level => What::Level { fraction: slots.fraction.ok_or(Missing::Amount)?, bin: bin()? },
        FactKind::Buried => {
            let plot = slots.plot.clone().or_else(|| only_plot(room));
            lacks = (plot.is_none() && !room.plots.is_empty()).then_some(Lacks::Plot);
            What::Buried { bin: bin()?, plot, depth_cm: slots.depth_cm }
        }
        FactKind::Discarded => What::Discarded { bin: bin()? },
        FactKind::Planted => What::Planted { plot: plot(room, heard, slots)?, crop: slots.crop.clone() },
        FactKind::Cleaned => What::Cleaned { bin: bin()? },
        FactKind::StarterMade => What::StarterMade { g: slots.g.ok_or(Missing::Amount)? },
        FactKind::StarterBought => some_amount(slots, What::StarterBought { g: slots.g, ml: slots.ml })?,
        FactKind::StarterStock => some_amount(slots, What::StarterStock { g: slots.g, ml: slots.ml })?,
        FactKind::BinSet => {
            let bin = slots.bin.clone().ok_or(Missing::NoBins)?;
            let known = room.bin(&bin).is_some_and(|bin| bin.in_use && bin.capacity.is_some());
            lacks = (slots.capacity_ml.is_none() && !known).then_some(Lacks::Size);
            What::BinSet { bin, capacity_ml: slots.capacity_ml, tap: slots.tap }
        }
        FactKind::BinGone => What::BinGone { bin: bin()? },
        FactKind::PlotSet => {
            let plot = slots.plot.clone().ok_or_else(|| Missing::Plot(Vec::new()))?;
            What::PlotSet { plot, area_m2: slots.area_m2 }
        }
        FactKind::MeasureSet => match (&slots.measure, slots.ml) {
            (Some(measure), Some(ml)) => What::MeasureSet { measure: measure.clone(), ml },
            _ => return Err(Missing::Amount),
        },
        FactKind::Setting => What::Setting { setting: setting(slots).ok_or(Missing::Amount)? },
        FactKind::Away => {
            let until = slots.until.map(|until| until.to_utc());
            What::Away { person: heard.incoming.sender.clone(), until }
        }
        FactKind::Back => What::Back { person: heard.incoming.sender.clone() },
        FactKind::Undo | FactKind::Amended | FactKind::Done | FactKind::Later | FactKind::Skip => {
            return Err(Missing::Amount);
        }
    };
    possible(&what)?;
    match bin_too_small(room, &what) {
        Some(bin) => Err(Missing::Fitting { bin, kind: fact.kind, at }),
        None => Ok(Filled { what, at, lacks }),
    }
}

/// Whether kitchens and buildings deal with so much.
///
/// # Errors
/// How big it is, or how much it was, where it is nothing at all or beyond all measure.
pub(super) fn possible(what: &What) -> Result<(), Missing> {
    let is_possible = |amounts: &[Option<f64>]| amounts.iter().flatten().all(|amount| *amount <= LARGEST);
    let is_size = |amount: Option<f64>| amount.is_none_or(|amount| amount > 0.0 && amount <= LARGEST);
    match what {
        What::BinSet { bin, capacity_ml, tap } if !is_size(*capacity_ml) => {
            Err(Missing::Size { bin: bin.clone(), tap: *tap })
        }
        What::PlotSet { plot, area_m2 } if !is_size(*area_m2) => Err(Missing::Area { plot: plot.clone() }),
        What::StarterBought { ml, g } | What::StarterStock { ml, g } if !is_possible(&[*ml, *g]) => {
            Err(Missing::Amount)
        }
        What::StarterMade { g: amount } | What::MeasureSet { ml: amount, .. }
            if !is_possible(&[Some(*amount)]) =>
        {
            Err(Missing::Amount)
        }
        _ => Ok(()),
    }
}

/// Fresh scraps settle and are pressed down, but never to less than this share of themselves in one go (common practice,
/// no source).
const MOST_PRESSED: f64 = 0.5;

/// No scraps are denser than ground ones, 1 kg/l.
///
/// Source: Malmén, Ringmar, Thyselius 2001, JTI-rapport Kretslopp & Avfall 24.
const DENSEST: Density = Density(1.0);

/// The bin of which more is told than it can hold.
fn bin_too_small(room: &Room, what: &What) -> Option<String> {
    let (bin, ml) = match what {
        What::Scraps { bin, ml, g, .. } => {
            (bin, ml.map(|ml| Millilitres(ml) * MOST_PRESSED).or(g.map(|g| Grams(g) / DENSEST))?)
        }
        What::Bran { bin, ml, g } => (bin, ml.map(Millilitres).or(g.map(|g| Grams(g) / BRAN_DENSITY))?),
        What::Drained { bin, ml, .. } => (bin, Millilitres(*ml)),
        _ => return None,
    };
    let capacity = room.bin(bin).and_then(|bin| bin.capacity).unwrap_or(Millilitres(LARGEST));
    (ml > capacity).then(|| bin.clone())
}

fn some_amount<T>(slots: &Slots, kept: T) -> Result<T, Missing> {
    if slots.ml.is_some() || slots.g.is_some() { Ok(kept) } else { Err(Missing::Amount) }
}

/// The moment a fact speaks of; never later than it was told. `Today` is told now: noon might lie ahead, or before what
/// was logged this afternoon.
pub(super) fn moment(room: &Room, slots: &Slots, sent: DateTime<Utc>) -> DateTime<Utc> {
    let Some(at) = slots.at else { return sent };
    let today = at.with_timezone(&room.zone).date_naive() == sent.with_timezone(&room.zone).date_naive();
    if slots.precision == Some(Precision::Day) && today { sent } else { at.to_utc().min(sent) }
}

/// What the model expects to come out of the bin.
pub(super) fn expected_liquid(room: &Room, bin: &str, now: DateTime<Utc>) -> Millilitres {
    let report = branbell_scheduler::report::report(room, now);
    report.bins.iter().find(|known| known.bin == bin).map_or(Millilitres::ZERO, |known| known.liquid_ml)
}

/// The bin that is named, or that the answered nudge is about, or the only one in question.
fn bin(room: &Room, heard: &Heard<'_>, fact: &Fact, now: DateTime<Utc>) -> Result<String, Missing> {
    if let Some(bin) = &fact.slots.bin {
        return Ok(bin.clone());
    }
    let answered = heard.answering.as_ref().and_then(|answering| answering.for_fact(fact.kind));
    if let Some(bin) = answered.and_then(Item::bin) {
        return Ok(bin.clone());
    }
    let bins: Vec<&Bin> = room.bins_in_use().collect();
    for phases in in_question(fact.kind) {
        let meant: Vec<&&Bin> = bins.iter().filter(|bin| phases.contains(&phase(room, bin, now))).collect();
        match meant[..] {
            [] => {}
            [only] => return Ok(only.name.clone()),
            _ => {
                let spoken_of = just_filled(room, heard, fact.kind)
                    .filter(|bin| meant.iter().any(|meant| meant.name == *bin));
                let which = || Missing::Bin(meant.iter().map(|bin| bin.name.clone()).collect());
                return spoken_of.map(str::to_owned).ok_or_else(which);
            }
        }
    }
    match bins[..] {
        [] => Err(Missing::NoBins),
        [only] => Ok(only.name.clone()),
        _ => Err(Missing::Bin(bins.iter().map(|bin| bin.name.clone()).collect())),
    }
}

/// The bin into which the same person has just put something, where this plainly goes on about it: `and 3 tbsp of bran`.
fn just_filled<'a>(room: &'a Room, heard: &Heard<'_>, kind: FactKind) -> Option<&'a str> {
    let goes_on = matches!(kind, FactKind::Bran | FactKind::Level | FactKind::Sealed);
    let (sender, sent) = (&heard.incoming.sender, heard.incoming.sent);
    let last = room.facts().rev().find(|fact| fact.author == *sender).filter(|_| goes_on)?;
    match &last.what {
        What::Scraps { bin, .. } if sent - last.told <= JUST_NOW => Some(bin),
        _ => None,
    }
}

/// In which phase a bin is that one says such a thing of, the likeliest first.
fn in_question(kind: FactKind) -> &'static [&'static [Phase]] {
    use Phase::{Discarded, Empty, Filling, Ready, Sealed};
    match kind {
        FactKind::Scraps | FactKind::Bran | FactKind::Level => &[&[Filling], &[Empty, Discarded]],
        FactKind::Drained => &[&[Filling], &[Sealed, Ready]],
        FactKind::Sealed => &[&[Filling]],
        FactKind::Started | FactKind::Cleaned => &[&[Empty, Discarded]],
        FactKind::Checked => &[&[Sealed, Ready], &[Filling]],
        FactKind::Buried => &[&[Ready], &[Sealed], &[Filling]],
        FactKind::Discarded => &[&[Filling, Sealed, Ready]],
        _ => &[],
    }
}

fn place(slots: &Slots) -> Place {
    match (&slots.bin, &slots.plot) {
        (Some(bin), _) => Place::Bin(bin.clone()),
        (None, Some(plot)) => Place::Plot(plot.clone()),
        (None, None) => Place::Room,
    }
}

pub(super) fn only_plot(room: &Room) -> Option<String> {
    let [plot] = &room.plots[..] else { return None };
    Some(plot.name.clone())
}

/// The plot that is named, or that the answered nudge is about, or the only one, or the only one that rests.
pub(super) fn plot(room: &Room, heard: &Heard<'_>, slots: &Slots) -> Result<String, Missing> {
    let answered = heard.answering.as_ref().and_then(|answering| match &answering.only()?.subject {
        Some(Subject::Plot(plot)) => Some(plot.clone()),
        _ => None,
    });
    let resting: Vec<_> = room.plots.iter().filter(|plot| plot.resting().is_some()).collect();
    let only_resting = || match resting[..] {
        [plot] => Some(plot.name.clone()),
        _ => None,
    };
    let named = slots.plot.clone().or(answered).or_else(|| only_plot(room)).or_else(only_resting);
    named.ok_or_else(|| Missing::Plot(room.plots.iter().map(|plot| plot.name.clone()).collect()))
}

fn setting(slots: &Slots) -> Option<Setting> {
    let value = slots.value.as_deref()?;
    Some(match slots.name? {
        SettingName::Zone => Setting::Zone(value.parse().ok()?),
        SettingName::Units => Setting::Units(match value {
            "metric" => Units::Metric,
            "us" => Units::Us,
            "imperial" => Units::Imperial,
            _ => return None,
        }),
        SettingName::Quiet if value == "off" => Setting::Quiet(Quiet::OFF),
        SettingName::Quiet => Setting::Quiet(value.parse().ok()?),
        SettingName::Digest if value == "off" => Setting::Digest(None),
        SettingName::Digest => Setting::Digest(Some(cron(value)?)),
    })
}

/// `SUN 18:00`, `DAILY 08:00` as a cron expression with seconds.
fn cron(value: &str) -> Option<String> {
    let (day, clock) = value.split_once(' ')?;
    let day = if day == "DAILY" { "*" } else { day };
    let time = NaiveTime::parse_from_str(clock, "%H:%M").ok()?;
    Some(format!("0 {} {} * * {day}", time.format("%-M"), time.format("%-H")))
}
