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

static OUT: Formula = Formula {
    id: "starter.out",
    expression: "stock / per_day",
    evaluate: |why| {
        let lasts = |per_day: f64| (why.value("stock") / per_day).min(LONGEST);
        let spread = why.value("spread") / 2.0;
        let per_day = why.value("per_day");
        Estimate::between(lasts(per_day * (1.0 + spread)), lasts(per_day), lasts(per_day * (1.0 - spread)))
    },
};

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
    let _ = now;
    let _ = room;
    let _: (&Formula, &Formula, &Formula) = (&STOCK, &PER_DAY, &OUT);
    let _ = Narrows::Stock;
    None
}
