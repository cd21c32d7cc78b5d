//! Bran: how much for what went in, and what is still owed.

use super::{Constant, Derivation, Estimate, Formula, Quantity, Source, density};
use crate::fact::{Food, Moisture, Smell};
use crate::state::{Batch, Check, Lot, Room};
use crate::units::{Density, Millilitres, MillilitresPerLitre, Unit};

/// Bulk density of wheat bran: one US cup weighs 58 g.
///
/// Source: USDA National Nutrient Database for Standard Reference, food 20077; FAO has 0.17 to 0.25.
pub const BRAN_DENSITY: Density = Density(0.245);

/// Bran for a litre of scraps; wet and rich foods take the upper end.
pub const DOSE: Constant =
    Constant::range("dose", 15.0, (15.0, 30.0), MillilitresPerLitre::CODE, Source::Practice);

/// Bran on the floor of the bin before the first lot.
pub const FIRST_LAYER: Constant =
    Constant::range("first_layer", 30.0, (30.0, 45.0), Millilitres::CODE, Source::Practice);

/// Bran on top at sealing, where air and mould would get at it: the upper end.
pub const TOP_LAYER: Constant =
    Constant::range("top_layer", 45.0, (30.0, 45.0), Millilitres::CODE, Source::Practice);

/// Bran that a wet or foul check asks for: a further layer.
pub const EXTRA_LAYER: Constant =
    Constant::range("extra_layer", 30.0, (30.0, 45.0), Millilitres::CODE, Source::Practice);

static FOR_LOT: Formula = Formula {
    id: "bran.dose",
    expression: "dose * scraps + first_layer",
    evaluate: |why| {
        let scraps = why.value("scraps") / 1000.0;
        Estimate::between(
            why.low("dose") * scraps + why.low("first_layer"),
            why.value("dose") * scraps + why.value("first_layer"),
            why.high("dose") * scraps + why.high("first_layer"),
        )
    },
};

static OWED: Formula = Formula {
    id: "bran.owed",
    expression: "dose * scraps + rich_dose * rich_scraps + first_layer + extra_layers - bran",
    evaluate: |why| {
        let due = why.value("dose") * why.value("scraps") / 1000.0
            + why.value("rich_dose") * why.value("rich_scraps") / 1000.0
            + why.value("first_layer")
            + why.value("extra_layers");
        Estimate::exact((due - why.value("bran")).max(0.0))
    },
};

static TOP: Formula = Formula {
    id: "bran.top",
    expression: "top_layer + owed",
    evaluate: |why| {
        let owed = why.value("owed");
        Estimate::between(
            why.low("top_layer") + owed,
            why.value("top_layer") + owed,
            why.high("top_layer") + owed,
        )
    },
};

/// Whether foods take the upper end of the dose.
///
/// Source: common practice; protein and free water are what putrefies first.
pub fn is_rich(foods: &[Food]) -> bool {
    foods.iter().any(|food| {
        matches!(
            food,
            Food::Meat | Food::Fish | Food::Bone | Food::Dairy | Food::Egg | Food::Cooked | Food::Liquid
        )
    })
}

/// Bran for scraps that are to be added; `batch` is what they come on top of, none where they are the first layer.
pub fn dose(batch: Option<&Batch>, scraps: Millilitres, foods: &[Food]) -> Quantity<Millilitres> {
    let is_upper = is_rich(foods) || batch.and_then(|batch| batch.checks.last()).is_some_and(asks_for_more);
    let mut dose = DOSE;
    if is_upper {
        dose.value = dose.high;
    }
    let why = Derivation::by(&FOR_LOT).asked("scraps", scraps).constant(&dose);
    let is_first = batch.is_none_or(|batch| batch.lots.is_empty() && batch.brans.is_empty());
    Quantity::of(if is_first { why.constant(&FIRST_LAYER) } else { why })
}

/// Bran still owed to a batch for all that went in.
pub fn owed(room: &Room, batch: &Batch) -> Quantity<Millilitres> {
    let density = density::of(room).value;
    let volume = |lots: &[&Lot]| lots.iter().map(|lot| lot.volume(density)).sum::<Millilitres>();
    let seqs = |lots: &[&Lot]| lots.iter().map(|lot| lot.seq).collect::<Vec<_>>();
    let (rich, plain): (Vec<&Lot>, Vec<&Lot>) =
        batch.lots.iter().partition(|lot| is_rich(&lot.foods) || is_after_bad_check(batch, lot));
    let rich_dose = Constant { name: "rich_dose", value: DOSE.high, ..DOSE };
    let extra: Vec<&Check> = batch.checks.iter().filter(|check| asks_for_more(check)).collect();
    let layers = EXTRA_LAYER.value * extra.len() as f64;
    let mut why = Derivation::by(&OWED)
        .constant(&DOSE)
        .told("scraps", volume(&plain), seqs(&plain))
        .constant(&rich_dose)
        .told("rich_scraps", volume(&rich), seqs(&rich))
        .told("extra_layers", Millilitres(layers), extra.iter().map(|check| check.seq).collect())
        .told("bran", batch.bran(), batch.brans.iter().map(|layer| layer.seq).collect());
    if !batch.lots.is_empty() {
        why = why.constant(&FIRST_LAYER);
    }
    Quantity::of(why)
}

/// Bran for the top at sealing, with what is owed.
pub fn top(room: &Room, batch: &Batch) -> Quantity<Millilitres> {
    Quantity::of(Derivation::by(&TOP).constant(&TOP_LAYER).quantity("owed", &owed(room, batch)))
}

/// Wet or foul: more bran.
fn asks_for_more(check: &Check) -> bool {
    matches!(check.signs.moisture, Some(Moisture::Wet))
        || matches!(check.signs.smell, Some(Smell::Rotten | Smell::Ammonia))
}

fn is_after_bad_check(batch: &Batch, lot: &Lot) -> bool {
    batch.checks.iter().rfind(|check| check.at <= lot.at).is_some_and(asks_for_more)
}
