//! Nitrogen: what a batch brings, what a plot has had, and which plot is next.

use chrono::{DateTime, TimeDelta, Utc};

use super::{Constant, Derivation, Estimate, Formula, Narrows, Quantity, Source, density};
use crate::fact::Food;
use crate::state::{Batch, Bin, End, Plot, Room};
use crate::units::{Days, Grams, GramsPerKilogram, GramsPerSquareMetre, SquareMetres, Unit};

const CONTENT: &str = GramsPerKilogram::CODE;
const USDA: Source = Source::Published(
    "USDA National Nutrient Database, Release 28: protein / nitrogen factor, mean of foods",
);

/// Nitrogen of mixed scraps that nobody named.
pub const UNNAMED: Constant = Constant::range("unnamed", 6.0, (4.0, 10.0), CONTENT, Source::Practice);

/// The yardstick: 170 kg of nitrogen a hectare and year. Farm law for manure, no rule for gardens.
pub const YARDSTICK: Constant = Constant::range(
    "yardstick",
    17.0,
    (17.0, 25.0),
    GramsPerSquareMetre::CODE,
    Source::Published(
        "Council Directive 91/676/EEC, Annex III (170 kg/ha); England's field limit is 250 kg/ha",
    ),
);

/// Nitrogen by class of food, in grams per kilogram of fresh mass; the bounds are those of the foods averaged.
const FOODS: [(Food, Constant, &str); 17] = [
    // Carrot 1.49, potato 3.28, potato skin 4.11, onion 1.76, tomato 1.41, lettuce 2.18, broccoli 4.51, cabbage 2.05.
    (Food::Vegetable, Constant::range("vegetable", 2.6, (1.4, 4.5), CONTENT, USDA), "vegetable_mass"),
    // Apple 0.42, banana 1.74.
    (Food::Fruit, Constant::range("fruit", 1.08, (0.42, 1.74), CONTENT, USDA), "fruit_mass"),
    (Food::Citrus, Constant::exact("citrus", 1.5, CONTENT, USDA), "citrus_mass"),
    (Food::Cooked, Constant::range("cooked", 6.0, (4.0, 10.0), CONTENT, Source::Practice), "cooked_mass"),
    // Chicken with skin 29.8, pork 27.0.
    (Food::Meat, Constant::range("meat", 28.4, (27.0, 29.8), CONTENT, USDA), "meat_mass"),
    // Cod 28.5, salmon 32.7.
    (Food::Fish, Constant::range("fish", 30.6, (28.5, 32.7), CONTENT, USDA), "fish_mass"),
    (
        Food::Bone,
        Constant::range(
            "bone",
            28.4,
            (10.0, 40.0),
            CONTENT,
            Source::Judgement("as meat; what clings to it decides"),
        ),
        "bone_mass",
    ),
    // Milk 4.94, cheddar 35.8.
    (Food::Dairy, Constant::range("dairy", 20.4, (4.94, 35.8), CONTENT, USDA), "dairy_mass"),
    // White 15.5, wholemeal 21.4.
    (Food::Bread, Constant::range("bread", 18.4, (15.5, 21.4), CONTENT, USDA), "bread_mass"),
    // Cooked rice 4.52, cooked pasta 10.2.
    (Food::Grain, Constant::range("grain", 7.35, (4.52, 10.2), CONTENT, USDA), "grain_mass"),
    (Food::Egg, Constant::exact("egg", 20.1, CONTENT, USDA), "egg_mass"),
    (
        Food::Coffee,
        Constant::range(
            "coffee",
            7.0,
            (5.0, 20.0),
            CONTENT,
            Source::Judgement("2 % of dry grounds, two thirds water"),
        ),
        "coffee_mass",
    ),
    (
        Food::Tea,
        Constant::range("tea", 7.0, (3.0, 12.0), CONTENT, Source::Judgement("as coffee")),
        "tea_mass",
    ),
    (Food::Oil, Constant::exact("oil", 0.0, CONTENT, Source::Memory("fats hold no protein")), "oil_mass"),
    (
        Food::Liquid,
        Constant::range(
            "liquid",
            1.0,
            (0.0, 5.0),
            CONTENT,
            Source::Judgement("soups and juices, up to milk"),
        ),
        "liquid_mass",
    ),
    (Food::Garden, Constant::range("garden", 6.0, (4.0, 10.0), CONTENT, Source::Practice), "garden_mass"),
    (Food::Other, Constant::range("other", 6.0, (4.0, 10.0), CONTENT, Source::Practice), "other_mass"),
];

static BATCH: Formula = Formula {
    id: "nitrogen.batch",
    expression: "sum(mass * content) over foods",
    evaluate: |why| {
        let all = FOODS.iter().map(|(_, content, mass)| (content.name, *mass));
        let mut sum = [0.0; 3];
        for (content, mass) in all.chain([(UNNAMED.name, "unnamed_mass")]) {
            let kilograms = why.value(mass) / 1000.0;
            sum[0] += why.low(content) * kilograms;
            sum[1] += why.value(content) * kilograms;
            sum[2] += why.high(content) * kilograms;
        }
        Estimate::between(sum[0], sum[1], sum[2])
    },
};

static SHARE: Formula = Formula {
    id: "nitrogen.share",
    expression: "nitrogen / parts",
    evaluate: |why| {
        let share = |nitrogen: f64| nitrogen / why.value("parts");
        Estimate::between(
            share(why.low("nitrogen")),
            share(why.value("nitrogen")),
            share(why.high("nitrogen")),
        )
    },
};

static LOAD: Formula = Formula {
    id: "nitrogen.load",
    expression: "sum(nitrogen) / area",
    evaluate: |why| {
        let (sum, area) = (why.sum("nitrogen"), why.value("area"));
        let load = |nitrogen: f64| nitrogen / area;
        Estimate::between(
            load(sum.low.unwrap_or(sum.value)),
            load(sum.value),
            load(sum.high.unwrap_or(sum.value)),
        )
    },
};

static LEFT: Formula = Formula {
    id: "nitrogen.left",
    expression: "(yardstick - load) * area",
    evaluate: |why| {
        let left = |load: f64| ((why.value("yardstick") - load) * why.value("area")).max(0.0);
        Estimate::between(left(why.high("load")), left(why.value("load")), left(why.low("load")))
    },
};

static AREA: Formula = Formula {
    id: "nitrogen.area",
    expression: "nitrogen / yardstick",
    evaluate: |why| {
        let area = |nitrogen: f64| nitrogen / why.value("yardstick");
        Estimate::between(area(why.low("nitrogen")), area(why.value("nitrogen")), area(why.high("nitrogen")))
    },
};

/// A year, for loads: twelve months.
const YEAR: TimeDelta = TimeDelta::days(365);

/// The nitrogen in what went into a batch.
pub fn of_batch(room: &Room, batch: &Batch) -> Quantity<Grams> {
    let density = density::of(room).value;
    let mut why = Derivation::by(&BATCH);
    for (food, content, mass_name) in &FOODS {
        let lots: Vec<_> = batch.lots.iter().filter(|lot| lot.foods.contains(food)).collect();
        if !lots.is_empty() {
            let mass = lots.iter().map(|lot| lot.mass(density) / lot.foods.len() as f64).sum::<Grams>();
            why = why.constant(content).told(mass_name, mass, lots.iter().map(|lot| lot.seq).collect());
        }
    }
    let unnamed: Vec<_> = batch.lots.iter().filter(|lot| lot.foods.is_empty()).collect();
    if !unnamed.is_empty() {
        let mass = unnamed.iter().map(|lot| lot.mass(density)).sum::<Grams>();
        why = why.constant(&UNNAMED).told("unnamed_mass", mass, unnamed.iter().map(|lot| lot.seq).collect());
    }
    Quantity::of(why.narrowed_by([Narrows::Foods, Narrows::Weights]))
}

/// The ground so much nitrogen would need in a year by the yardstick.
pub fn area_for(nitrogen: &Quantity<Grams>) -> Quantity<SquareMetres> {
    Quantity::of(Derivation::by(&AREA).quantity("nitrogen", nitrogen).constant(&YARDSTICK))
}

/// What a plot has had over the twelve months to `now`; none where its area is not known.
pub fn load(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Option<Quantity<GramsPerSquareMetre>> {
    let area = plot.area?;
    let mut why = Derivation::by(&LOAD);
    for Buried { batch, parts, .. } in burials_of_the_year(room, plot, now) {
        let nitrogen = of_batch(room, batch);
        if parts == 1 {
            why = why.quantity("nitrogen", &nitrogen);
            continue;
        }
        let share = Derivation::by(&SHARE).quantity("nitrogen", &nitrogen);
        let parts = Estimate::exact(parts as f64);
        let share = share.term("parts", parts, "1", super::Origin::Facts(grave_seqs(batch)));
        why = why.quantity("nitrogen", &Quantity::<Grams>::of(share));
    }
    let why = why.told("area", area, Vec::new()).narrowed_by([Narrows::Foods]);
    Some(Quantity::of(why))
}

/// The nitrogen that a plot may still take by the yardstick; none where its area is not known.
pub fn left(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Option<Quantity<Grams>> {
    let why = Derivation::by(&LEFT).quantity("load", &load(room, plot, now)?).constant(&YARDSTICK);
    Some(Quantity::of(why.told("area", plot.area?, Vec::new())))
}

/// A batch, or a part of it, in a plot.
pub(super) struct Buried<'a> {
    /// The bin it came from.
    pub(super) bin: &'a Bin,
    /// The batch.
    pub(super) batch: &'a Batch,
    /// In how many parts it was buried.
    pub(super) parts: usize,
}

/// What was buried in a plot over the twelve months to `now`.
pub(super) fn burials_of_the_year<'a>(
    room: &'a Room,
    plot: &'a Plot,
    now: DateTime<Utc>,
) -> impl Iterator<Item = Buried<'a>> {
    plot.burials.iter().rev().take_while(move |burial| now - burial.at <= YEAR).filter_map(|burial| {
        let bin = room.bin(&burial.bin)?;
        let batch = bin.batch_numbered(burial.batch?)?;
        match &batch.end {
            Some(End::Buried(graves)) => Some(Buried { bin, batch, parts: graves.len().max(1) }),
            _ => None,
        }
    })
}

fn grave_seqs(batch: &Batch) -> Vec<i64> {
    match &batch.end {
        Some(End::Buried(graves)) => graves.iter().map(|grave| grave.seq).collect(),
        _ => Vec::new(),
    }
}

static YEARLY: Formula = Formula {
    id: "nitrogen.yearly",
    expression: "sum(nitrogen) * 365 / days",
    evaluate: |why| {
        let sum = why.sum("nitrogen");
        let yearly = |nitrogen: f64| nitrogen * 365.0 / why.value("days");
        let bound = |bound: Option<f64>| yearly(bound.unwrap_or(sum.value));
        Estimate::between(bound(sum.low), yearly(sum.value), bound(sum.high))
    },
};

/// Less than four weeks of logs say little about a year.
const LONG_ENOUGH: Days = Days(28.0);

/// The nitrogen that a room's scraps bring in a year, and with [`area_for`] the ground that wants; none before four
/// weeks have been told.
pub fn yearly(room: &Room, now: DateTime<Utc>) -> Option<Quantity<Grams>> {
    let from = now - YEAR;
    let batches: Vec<&Batch> = room
        .bins
        .iter()
        .flat_map(Bin::batches)
        .filter(|batch| batch.started_at >= from && batch.started_at <= now)
        .collect();
    let first = batches.iter().map(|batch| batch.started_at).min()?;
    let days = Days::of(now - first);
    if days < LONG_ENOUGH {
        return None;
    }
    let why = batches
        .iter()
        .fold(Derivation::by(&YEARLY), |why, batch| why.quantity("nitrogen", &of_batch(room, batch)));
    Some(Quantity::of(why.clock("days", days).narrowed_by([Narrows::Foods, Narrows::MoreWeeks])))
}

/// How a plot stands for a burial.
#[derive(Clone, Debug)]
pub struct PlotChoice {
    /// The plot.
    pub plot: String,
    /// What it has had over twelve months; none where its area is not known.
    pub load: Option<Quantity<GramsPerSquareMetre>>,
    /// What it would have had with this batch.
    pub with_batch: Option<GramsPerSquareMetre>,
    /// Nitrogen that it may still take by the yardstick; none where its area is not known.
    pub left: Option<Grams>,
    /// Whether it has had enough already.
    pub has_enough: bool,
    /// Whether this batch would be too much for it.
    pub is_exceeded: bool,
    /// Whether a batch rests there, or something planted still grows: then not yet again.
    pub is_busy: bool,
    /// When something was last buried there.
    pub last_burial: Option<DateTime<Utc>>,
}

/// The same spot is not dug again so soon. Source: a trade page, about six weeks.
const UNDISTURBED: Days = Days(42.0);
/// What was planted grows for a season.
const GROWS: Days = Days(90.0);

fn is_busy(plot: &Plot, now: DateTime<Utc>) -> bool {
    let is_recent = |at: Option<DateTime<Utc>>, span: Days| at.is_some_and(|at| Days::of(now - at) < span);
    is_recent(plot.burials.last().map(|burial| burial.at), UNDISTURBED)
        || is_recent(plot.plantings.last().map(|planting| planting.at), GROWS)
}

/// The plots for a batch with so much nitrogen, the best first: free ones before busy ones, those of known area by the load they would then have,
/// the others by how long ago something was last buried there.
pub fn plots_for(room: &Room, nitrogen: Grams, now: DateTime<Utc>) -> Vec<PlotChoice> {
    let yardstick = GramsPerSquareMetre(YARDSTICK.value);
    let mut choices: Vec<PlotChoice> = room
        .plots
        .iter()
        .map(|plot| {
            let load = load(room, plot, now);
            let with_batch = load.as_ref().zip(plot.area).map(|(load, area)| load.value + nitrogen / area);
            PlotChoice {
                left: left(room, plot, now).map(|left| left.value),
                plot: plot.name.clone(),
                has_enough: load.as_ref().is_some_and(|load| load.value >= yardstick),
                is_exceeded: with_batch.is_some_and(|with_batch| with_batch > yardstick),
                is_busy: is_busy(plot, now),
                last_burial: plot.burials.last().map(|burial| burial.at),
                load,
                with_batch,
            }
        })
        .collect();
    // A plot of unknown size is neither better nor worse than one that the batch would just bring to the yardstick.
    let rank = |choice: &PlotChoice| choice.with_batch.unwrap_or(yardstick).get();
    choices.sort_by(|one, other| {
        let busy = one.is_busy.cmp(&other.is_busy);
        busy.then_with(|| rank(one).total_cmp(&rank(other)))
            .then_with(|| one.last_burial.cmp(&other.last_burial))
    });
    choices
}
