//! Bran in stock: how long it lasts, when to make more, and the recipe.

use chrono::{DateTime, Utc};

use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, When};
use crate::state::{Brew, Room};
use crate::units::{Days, Density, Fraction, Grams, GramsPerDay, Millilitres};

/// From starting a new lot to having it in stock: two weeks sealed, three days drying.
pub const LEAD_TIME: Constant = Constant::exact("lead_time", 17.0, "d", Source::Practice);
/// Service level of the stock: one lot in twenty may come late.
pub const SERVICE: Constant =
    Constant::exact("z", 1.645, "1", Source::Published("standard normal table, 95 %"));
/// A new lot is made for so long: eight weeks are a bag that one can stir by hand.
pub const COVER: Constant = Constant::exact("cover", 56.0, "d", Source::Judgement("what one stirs at once"));
/// The water share that bran ferments at.
pub const TARGET_MOISTURE: Constant = Constant::range("target", 0.40, (0.30, 0.50), "1", Source::Practice);
/// Water in wheat bran as bought; feed bran has up to 13 %.
pub const BRAN_WATER: Constant = Constant::range(
    "bran_water",
    0.0989,
    (0.0989, 0.13),
    "1",
    Source::Published("USDA National Nutrient Database, Release 28, food 20077"),
);
/// Water in molasses.
pub const MOLASSES_WATER: Constant = Constant::exact(
    "molasses_water",
    0.22,
    "1",
    Source::Published("USDA National Nutrient Database, Release 28, food 19304: 21.87 %"),
);
/// Density of molasses; FAO has 1.33, USDA's cup gives 1.42.
pub const MOLASSES_DENSITY: Density = Density(1.40);
/// Microbial inoculant for a kilogram of bran. Recipes read run from 2 to 30 ml.
pub const INOCULANT: Constant = Constant::range("inoculant", 30.0, (2.0, 30.0), "mL/kg", Source::Practice);
/// Molasses for a kilogram of bran.
pub const MOLASSES: Constant = Constant::range("molasses", 30.0, (2.0, 30.0), "mL/kg", Source::Practice);

static STOCK: Formula =
    Formula { id: "starter.stock", expression: "stock", evaluate: |why| why.estimate("stock") };

static PER_DAY: Formula = Formula {
    id: "starter.per_day",
    expression: "used / days",
    evaluate: |why| Estimate::exact(why.value("used") / why.value("days")),
};

static SPREAD: Formula = Formula {
    id: "starter.spread",
    expression: "sqrt(sum(use ^ 2) / days)",
    evaluate: |why| Estimate::exact((why.value("squares") / why.value("days")).sqrt()),
};

static OUT: Formula = Formula {
    id: "starter.out",
    expression: "first day with per_day * day = stock + brewing",
    evaluate: |why| {
        let (stock, per_day) = (why.value("stock"), why.value("per_day"));
        let brewing = why.points("brewing");
        let median = lasts(stock, per_day, brewing);
        let wider = Z_80 * why.value("spread") / median.max(1.0).sqrt();
        Estimate::between(
            lasts(stock, per_day + wider, brewing),
            median,
            lasts(stock, (per_day - wider).max(per_day / 4.0), brewing),
        )
    },
};

static REORDER: Formula = Formula {
    id: "starter.reorder",
    expression: "per_day * lead_time + z * spread * sqrt(lead_time)",
    evaluate: |why| {
        let point = reorder_point(
            GramsPerDay(why.value("per_day")),
            GramsPerDay(why.value("spread")),
            Days(why.value("lead_time")),
            Days::ZERO,
            why.value("z"),
        );
        Estimate::exact(point.get())
    },
};

static MAKE: Formula = Formula {
    id: "starter.make",
    expression: "ceil(per_day * cover to 100 g), from 500 g to 5 kg",
    evaluate: |why| {
        let grams = (why.value("per_day") * why.value("cover") / 100.0).ceil() * 100.0;
        Estimate::exact(grams.clamp(SMALLEST_LOT, LARGEST_LOT))
    },
};

/// Less is not worth the work.
const SMALLEST_LOT: f64 = 500.0;
/// More cannot be stirred evenly by hand.
const LARGEST_LOT: f64 = 5000.0;
/// Standard deviations to either end of the middle 80 % of a normal distribution.
const Z_80: f64 = 1.2816;

/// The day on which the stock is used up, with what is still to come.
fn lasts(stock: f64, per_day: f64, brewing: &[(f64, f64)]) -> f64 {
    let mut supply = stock;
    let mut coming: Vec<_> = brewing.to_vec();
    coming.sort_by(|one, other| one.0.total_cmp(&other.0));
    for (day, grams) in coming {
        if supply < per_day * day {
            break;
        }
        supply += grams;
    }
    (supply / per_day).clamp(0.0, LONGEST)
}

/// Water to add so that bran holds the target share of water: `bran * (target - water) / (1 - target)`.
static WATER: Formula = Formula {
    id: "starter.water",
    expression: "(target * (bran + inoculant + molasses) - bran * bran_water - inoculant - molasses * molasses_water) \
                 / (1 - target)",
    evaluate: |why| {
        let (bran, inoculant, molasses) = (why.value("bran"), why.value("inoculant"), why.value("molasses"));
        let water = |target: f64, bran_water: f64| {
            let held = bran * bran_water + inoculant + molasses * why.value("molasses_water");
            ((target * (bran + inoculant + molasses) - held) / (1.0 - target)).max(0.0)
        };
        let target = why.value("target");
        Estimate::between(
            water(target, why.high("bran_water")),
            water(target, why.value("bran_water")),
            water(target, why.low("bran_water")),
        )
    },
};

/// No forecast goes further, in days.
const LONGEST: f64 = 730.0;

/// How the bran stands.
#[derive(Clone, Debug)]
pub struct Outlook {
    /// Ready bran.
    pub stock: Quantity<Grams>,
    /// Use in a day.
    pub per_day: Option<Quantity<GramsPerDay>>,
    /// When it runs out.
    pub out: Option<When>,
    /// What ferments.
    pub brewing: Vec<Brew>,
    /// The stock at which a new lot must be started.
    pub reorder_at: Option<Quantity<Grams>>,
    /// How much to make.
    pub make: Option<Quantity<Grams>>,
}

/// A recipe for bran.
#[derive(Clone, Debug)]
pub struct Recipe {
    /// Dry bran.
    pub bran: Grams,
    /// Microbial inoculant.
    pub inoculant: Millilitres,
    /// Molasses.
    pub molasses: Millilitres,
    /// Water, slowly, until a squeezed handful holds and does not drip.
    pub water: Quantity<Millilitres>,
    /// All liquids together.
    pub liquids: Millilitres,
    /// The water share it comes to.
    pub moisture: Fraction,
}

/// Water share, on wet basis, of bran with liquids and molasses: `(m w0 + liquids + molasses * 0.22) / all`.
pub fn moisture(bran: Grams, bran_water: Fraction, liquids: Grams, molasses: Grams) -> Fraction {
    let all = bran + liquids + molasses;
    if all <= Grams::ZERO {
        return Fraction::ZERO;
    }
    Fraction((bran * bran_water.get() + liquids + molasses * MOLASSES_WATER.value) / all)
}

/// The recipe for so much bran, at the target share of water.
pub fn recipe(bran: Grams) -> Recipe {
    let bran = bran.max(Grams::ZERO);
    let inoculant = Millilitres(INOCULANT.value * bran.get() / 1000.0);
    let molasses = Millilitres(MOLASSES.value * bran.get() / 1000.0);
    let molasses_mass = molasses * MOLASSES_DENSITY;
    let given = |name, grams: f64, source| (name, Estimate::exact(grams), "g", Origin::Constant(source));
    let (name, value, unit, origin) = given("inoculant", inoculant.get(), INOCULANT.source);
    let why = Derivation::by(&WATER).asked("bran", bran).term(name, value, unit, origin);
    let (name, value, unit, origin) = given("molasses", molasses_mass.get(), MOLASSES.source);
    let why = why
        .term(name, value, unit, origin)
        .constant(&TARGET_MOISTURE)
        .constant(&BRAN_WATER)
        .constant(&MOLASSES_WATER);
    let water: Quantity<Millilitres> = Quantity::of(why);
    let liquids = Grams(inoculant.get() + water.value.get());
    Recipe {
        bran,
        inoculant,
        molasses,
        liquids: inoculant + molasses + water.value,
        moisture: moisture(bran, Fraction(BRAN_WATER.value), liquids, molasses_mass),
        water,
    }
}

/// The stock at which to order: use over the lead time, and a safety stock.
///
/// Source: Stevenson, Operations Management, ch. 12; `d L + z sqrt(L sigma² + d² sigma_L²)`.
pub fn reorder_point(
    per_day: GramsPerDay,
    spread: GramsPerDay,
    lead: Days,
    lead_spread: Days,
    z: f64,
) -> Grams {
    let (d, sigma, lead, sigma_lead) = (per_day.get(), spread.get(), lead.get(), lead_spread.get());
    Grams(d * lead + z * (lead * sigma.powi(2) + (d * sigma_lead).powi(2)).sqrt())
}

/// How the bran stands; none where no stock was ever told.
pub fn outlook(room: &Room, now: DateTime<Utc>) -> Option<Outlook> {
    let stock = room.starter.stock(now)?;
    let stock_why = Derivation::by(&STOCK).told("stock", stock, room.starter.seqs.clone());
    let stock: Quantity<Grams> = Quantity::of(stock_why.narrowed_by([Narrows::Stock]));
    let brewing: Vec<Brew> = room.starter.brewing(now).copied().collect();
    let Some(per_day) = per_day(room, now) else {
        return Some(Outlook { stock, per_day: None, out: None, brewing, reorder_at: None, make: None });
    };
    let out = out(&stock, &per_day, &brewing, now);
    let reorder =
        Derivation::by(&REORDER).quantity("per_day", &per_day.mean).quantity("spread", &per_day.spread);
    let make = Derivation::by(&MAKE).quantity("per_day", &per_day.mean).constant(&COVER);
    Some(Outlook {
        reorder_at: Some(Quantity::of(reorder.constant(&LEAD_TIME).constant(&SERVICE))),
        make: Some(Quantity::of(make)),
        out: Some(out),
        per_day: Some(per_day.mean),
        stock,
        brewing,
    })
}

/// Use of bran in a day: its mean, and its spread from day to day.
struct Use {
    mean: Quantity<GramsPerDay>,
    spread: Quantity<GramsPerDay>,
}

/// Use in a day over the last weeks; none where none was ever told.
fn per_day(room: &Room, now: DateTime<Utc>) -> Option<Use> {
    let uses = &room.starter.uses;
    let last = uses.last()?.0;
    let now = now.min(last + PAUSE.span());
    let from = uses.partition_point(|(at, _)| last - *at > WINDOW.span());
    let recent = &uses[from..];
    let days = Days::of(now - recent.first()?.0).clamp(SHORTEST_WINDOW, WINDOW);
    let total: Grams = recent.iter().map(|(_, mass)| *mass).sum();
    if total <= Grams::ZERO {
        return None;
    }
    let squares: f64 = recent.iter().map(|(_, mass)| mass.get().powi(2)).sum();
    let learnt = || Origin::Learnt { observations: recent.len(), prior: Source::Practice };
    let mean = Derivation::by(&PER_DAY)
        .term("used", Estimate::exact(total.get()), "g", learnt())
        .clock("days", days);
    let spread =
        Derivation::by(&SPREAD).term("squares", Estimate::exact(squares), "g2", learnt()).clock("days", days);
    Some(Use { mean: Quantity::of(mean), spread: Quantity::of(spread) })
}

fn out(stock: &Quantity<Grams>, per_day: &Use, brewing: &[Brew], now: DateTime<Utc>) -> When {
    let arrivals =
        brewing.iter().map(|brew| (Days::of(brew.ready_at() - now).get(), brew.mass.get())).collect();
    let why = Derivation::by(&OUT)
        .quantity("stock", stock)
        .quantity("per_day", &per_day.mean)
        .quantity("spread", &per_day.spread)
        .course("brewing", arrivals, "g", Origin::Facts(brewing.iter().map(|brew| brew.seq).collect()));
    When::after(now, why.narrowed_by([Narrows::Stock, Narrows::MoreWeeks]))
}

/// Use is taken from so long back: longer ago the household may have been another.
const WINDOW: Days = Days(56.0);
/// Silence beyond this is a pause in telling or in the kitchen, not a sign that less bran is used.
const PAUSE: Days = Days(14.0);
/// A use in the first days says little about a day: it counts as that of a week.
const SHORTEST_WINDOW: Days = Days(7.0);
