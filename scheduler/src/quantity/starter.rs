//! Bran in stock: how long it lasts, when to make more, and the recipe.

use chrono::{DateTime, Utc};

use super::rhythm::{EARLY, Events, LATE, Prior, Rhythm, Z_80, five_slices};
use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, When};
use crate::state::{Brew, Room};
use crate::units::{Days, Density, Fraction, Grams, GramsPerDay, Millilitres, Unit};

/// From starting a new lot to having it in stock: two weeks sealed, three days drying.
pub const LEAD_TIME: Constant = Constant::exact("lead_time", 17.0, "d", Source::Practice);
/// How long bran ferments sealed before it can be used.
pub const BREWING: Constant = Constant::exact("brewing", 14.0, "d", Source::Practice);
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

static STOCK: Formula = Formula {
    id: "starter.stock",
    expression: "stock, each way by eye * stock and spoon * used",
    evaluate: |why| {
        let (stock, off) = (why.value("stock"), Z_80 * stock_error(why));
        Estimate::between((stock - off).max(0.0), stock, stock + off)
    },
};

static PER_DAY: Formula =
    Formula { id: "starter.per_day", expression: "per_day", evaluate: |why| why.estimate("per_day") };

static OUT: Formula = Formula {
    id: "starter.out",
    expression: "day on which stock + brewing has been used, at per_day by weekdays",
    evaluate: |why| {
        let rhythm = Rhythm::from_terms(why);
        let with_chance = |chance: f64| {
            let error = stock_error(why);
            let lasts = |supply: f64| {
                rhythm.reaches_with(chance, &five_slices(supply, error), why.value("start"), LONGEST)
            };
            let mut supply = why.value("stock");
            let mut days = lasts(supply);
            for (day, grams) in why.points("brewing").iter().filter(|(_, grams)| *grams > 0.0) {
                if days < *day {
                    break;
                }
                supply += grams;
                days = lasts(supply);
            }
            days
        };
        Estimate::between(with_chance(EARLY), with_chance(0.5), with_chance(LATE))
    },
};

static REORDER: Formula = Formula {
    id: "starter.reorder",
    expression: "per_day * lead_time + z * sqrt(dispersion * per_day * lead_time)",
    evaluate: |why| {
        let point = reorder_point(
            GramsPerDay(why.value("per_day")),
            GramsPerDay((why.value("dispersion") * why.value("per_day")).sqrt()),
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
/// How uncertain the stock is (standard deviation): by the eye that counted it, and by the spoons since.
fn stock_error(why: &Derivation) -> f64 {
    (why.value("stock") * why.value("eye")).hypot(why.value("used") * why.value("spoon"))
}

/// A count of the stock is off by this share.
const EYE: Constant =
    Constant::exact("eye", 0.05, "1", Source::Judgement("a kitchen scale, or a look into the bag"));
static ADDITIVE: Formula = Formula {
    id: "starter.additive",
    expression: "per_kilogram * bran",
    evaluate: |why| Estimate::exact(why.value("per_kilogram") * why.value("bran") / 1000.0),
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

/// No forecast goes further.
const LONGEST: Days = Days(730.0);

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

/// Where the inoculant of a recipe came from.
pub fn inoculant_why(bran: Grams) -> Derivation {
    Derivation::by(&ADDITIVE).asked("bran", bran).constant(&Constant { name: "per_kilogram", ..INOCULANT })
}

/// Where the molasses of a recipe came from.
pub fn molasses_why(bran: Grams) -> Derivation {
    Derivation::by(&ADDITIVE).asked("bran", bran).constant(&Constant { name: "per_kilogram", ..MOLASSES })
}

/// Water share, on wet basis, of bran with liquids and molasses: `(m w0 + liquids + molasses * 0.22) / all`.
pub fn moisture(bran: Grams, bran_water: Fraction, liquids: Grams, molasses: Grams) -> Fraction {
    let all = bran + liquids + molasses;
    if all <= Grams::ZERO {
        return Fraction::ZERO;
    }
    Fraction((bran * bran_water.get() + liquids + molasses * MOLASSES_WATER.value) / all)
}

/// The customary recipe for a kilogram of bran, as a warning: 500 ml of inoculant, a litre of water, 30 ml of molasses.
pub const CUSTOMARY_LIQUIDS: Constant = Constant::exact("liquids", 1500.0, "g", Source::Practice);
const CUSTOMARY_MOLASSES: Constant = Constant::exact("molasses", 42.0, "g", Source::Practice);
const KILOGRAM: Constant = Constant::exact("bran", 1000.0, "g", Source::Practice);

static MOISTURE: Formula = Formula {
    id: "starter.moisture",
    expression: "(bran * bran_water + liquids + molasses * molasses_water) / (bran + liquids + molasses)",
    evaluate: |why| {
        let grams = |name: &str| Grams(why.value(name));
        let of_bran = Fraction(why.value("bran_water"));
        Estimate::exact(moisture(grams("bran"), of_bran, grams("liquids"), grams("molasses")).get())
    },
};

/// The water share that the customary recipe comes to: so wet that it drips and moulds. Read as 500 ml of all liquids, it
/// would be right.
pub fn customary_moisture() -> Quantity<Fraction> {
    let why =
        Derivation::by(&MOISTURE).constant(&KILOGRAM).constant(&BRAN_WATER).constant(&CUSTOMARY_LIQUIDS);
    Quantity::of(why.constant(&CUSTOMARY_MOLASSES).constant(&MOLASSES_WATER))
}

/// The recipe for so much bran, at the target share of water.
pub fn recipe(bran: Grams) -> Recipe {
    let bran = bran.max(Grams::ZERO);
    let inoculant = Quantity::<Millilitres>::of(inoculant_why(bran)).value;
    let molasses = Quantity::<Millilitres>::of(molasses_why(bran)).value;
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

/// When a lot of bran can be used.
pub fn brewed(brew: &Brew) -> When {
    When::after(brew.at, Derivation::of_constant(&BREWING))
}

/// How the bran stands; none where no stock was ever told.
pub fn outlook(room: &Room, now: DateTime<Utc>) -> Option<Outlook> {
    let told = room.starter.stock(now)?;
    let spoon = room.starter.spoon();
    let seqs = || room.starter.seqs.iter().copied().collect();
    let with_stock = |why: Derivation| {
        let learnt = Origin::Learnt { observations: spoon.counts, prior: SPOONS };
        why.told("stock", told, seqs())
            .constant(&EYE)
            .term("spoon", Estimate::exact(spoon.deviation), "1", learnt)
            .told("used", room.starter.used_since, seqs())
    };
    let stock = Quantity::of(with_stock(Derivation::by(&STOCK)).narrowed_by([Narrows::Stock]));
    let mut brewing: Vec<Brew> = room.starter.brewing(now).copied().collect();
    brewing.sort_by_key(Brew::ready_at);
    let Some(rhythm) = rhythm(room, now) else {
        return Some(Outlook { stock, per_day: None, out: None, brewing, reorder_at: None, make: None });
    };
    let by_rhythm = |why| rhythm.explain(why, GramsPerDay::CODE, now, room.zone);
    let per_day = Quantity::of(by_rhythm(Derivation::by(&PER_DAY)).narrowed_by([Narrows::MoreWeeks]));
    let arrivals =
        brewing.iter().map(|brew| (Days::of(brew.ready_at() - now).get(), brew.mass.get())).collect();
    let seqs = Origin::Facts(brewing.iter().map(|brew| brew.seq).collect());
    let out = by_rhythm(with_stock(Derivation::by(&OUT))).course("brewing", arrivals, "g", seqs);
    let reorder = by_rhythm(Derivation::by(&REORDER)).constant(&LEAD_TIME).constant(&SERVICE);
    let make = Derivation::by(&MAKE).quantity("per_day", &per_day).constant(&COVER);
    Some(Outlook {
        stock,
        out: Some(When::after(now, out.narrowed_by([Narrows::Stock, Narrows::MoreWeeks]))),
        per_day: Some(per_day),
        brewing,
        reorder_at: Some(Quantity::of(reorder)),
        make: Some(Quantity::of(make)),
    })
}

/// The rhythm in which bran is used; none where no use was ever told.
fn rhythm(room: &Room, now: DateTime<Utc>) -> Option<Rhythm> {
    let starter = &room.starter;
    let last = starter.uses.last()?.0;
    let spoon = starter.spoon();
    let recent = starter.uses.partition_point(|(at, _)| last - *at > WINDOW.span());
    let events: Events = starter
        .uses
        .from(recent)
        .filter(|(at, mass)| *at <= now && *mass > Grams::ZERO)
        .map(|(at, mass)| (*at, mass.get() * spoon.mean))
        .collect();
    let prior = Prior { per_day: USE.value, weight: USE_DAYS, lot: SPOONFUL, source: USE.source };
    if events.is_empty() {
        return None;
    }
    let mut rhythm = Rhythm::of(&events, &prior, now, room.zone).of_those_here(room, now);
    rhythm.doubt = rhythm.doubt.hypot(spoon.deviation);
    Some(rhythm)
}

/// Use is looked back on for so long.
const WINDOW: Days = Days(130.0);
/// Bran a day of one household: 15 ml for each of 0.87 litres.
pub const USE: Constant = Constant::exact(
    "use",
    3.2,
    GramsPerDay::CODE,
    Source::Judgement("the dose for a usual household's scraps"),
);
/// The guess is worth a day of telling.
const USE_DAYS: f64 = 1.0;
const SPOONS: Source = Source::Judgement("spoons are heaped or level by about a seventh");
/// Two tablespoons, in grams.
const SPOONFUL: f64 = 7.35;
