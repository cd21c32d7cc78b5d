//! Burying: the trench, the soil to mix in, and other ways to put a batch into soil.

use chrono::{DateTime, Utc};

use super::{Constant, Derivation, Estimate, Formula, Quantity, Source, fill, nitrogen};
use crate::state::{Batch, Bin, Plot, Room};
use crate::units::{Centimetres, Millilitres, SquareMetres, Unit};

/// Depth of the trench; 30 cm for raw scraps.
pub const DEPTH: Constant = Constant::range("depth", 25.0, (20.0, 25.0), Centimetres::CODE, Source::Practice);
/// What is lost to mould or rot lies deeper, out of reach of dogs and roots, as raw scraps do.
pub const DEEP: Constant = Constant::exact("deep", 30.0, Centimetres::CODE, Source::Practice);
/// Width of the trench: a spade and a half.
pub const WIDTH: Constant = Constant::exact("width", 30.0, Centimetres::CODE, Source::Practice);
/// Soil on top, at least.
pub const COVER: Constant = Constant::range("cover", 7.5, (7.5, 10.0), Centimetres::CODE, Source::Practice);
/// Parts of soil mixed with one part of fermented scraps.
///
/// Source: Norut Narvik poster (about half and half); common practice.
pub const SOIL: Constant = Constant::exact("soil_parts", 1.0, "1", Source::Practice);
/// Parts of soil in a closed container, a pot or a raised bed: weaker, for roots have nowhere to go.
pub const CONTAINER_SOIL: Constant = Constant::range("soil_parts", 2.0, (1.0, 3.0), "1", Source::Practice);

/// Parts of finished compost to blend one part of fermented scraps with.
pub const COMPOST: Constant = Constant::range("compost_parts", 2.0, (1.0, 4.0), "1", Source::Practice);

static BLEND: Formula = Formula {
    id: "bury.compost",
    expression: "compost_parts * fermented",
    evaluate: |why| {
        let (parts, fermented) = ("compost_parts", "fermented");
        Estimate::between(
            why.low(parts) * why.low(fermented),
            why.value(parts) * why.value(fermented),
            why.high(parts) * why.high(fermented),
        )
    },
};

static MIXED_SOIL: Formula = Formula {
    id: "bury.soil",
    expression: "soil_parts * fermented",
    evaluate: |why| scaled(why, "fermented", |fermented| why.value("soil_parts") * fermented),
};

static LENGTH: Formula = Formula {
    id: "bury.length",
    expression: "(fermented + soil) / (width * (depth - cover))",
    evaluate: |why| {
        let section = why.value("width") * (why.value("depth") - why.value("cover"));
        scaled(why, "fermented", |fermented| fermented * (1.0 + why.value("soil_parts")) / section)
    },
};

static SPOIL: Formula = Formula {
    id: "bury.spoil",
    expression: "length * width * depth - soil - length * width * cover",
    evaluate: |why| {
        let (length, width) = (why.value("length"), why.value("width"));
        let dug = length * width * why.value("depth");
        Estimate::exact((dug - why.value("soil") - length * width * why.value("cover")).max(0.0))
    },
};

static CONTAINER: Formula = Formula {
    id: "bury.container",
    expression: "(1 + soil_parts) * fermented",
    evaluate: |why| scaled(why, "fermented", |fermented| (1.0 + why.value("soil_parts")) * fermented),
};

static SPREAD: Formula = Formula {
    id: "bury.area",
    expression: "fermented * (1 + soil_parts) / (depth - cover)",
    evaluate: |why| {
        let layer = why.value("depth") - why.value("cover");
        scaled(why, "fermented", |fermented| fermented * (1.0 + why.value("soil_parts")) / layer / 10_000.0)
    },
};

/// The same function of the value and the bounds of one term.
fn scaled(why: &Derivation, name: &str, of: impl Fn(f64) -> f64) -> Estimate {
    let estimate = why.estimate(name);
    match (estimate.low, estimate.high) {
        (Some(low), Some(high)) => Estimate::between(of(low), of(estimate.value), of(high)),
        _ => Estimate::exact(of(estimate.value)),
    }
}

/// How to bury a batch. The volumes balance: what is dug out is the soil mixed in, the cover, and the spoil.
#[derive(Clone, Debug)]
pub struct Trench {
    /// What comes out of the bin.
    pub fermented: Quantity<Millilitres>,
    /// Soil to mix with it.
    pub soil: Quantity<Millilitres>,
    /// The trench's length.
    pub length: Quantity<Centimetres>,
    /// Its width.
    pub width: Centimetres,
    /// Its depth.
    pub depth: Centimetres,
    /// Soil on top of the mixture.
    pub cover: Centimetres,
    /// Soil left over.
    pub spoil: Quantity<Millilitres>,
    /// The ground a layer takes where it is dug in flat.
    pub area: Quantity<SquareMetres>,
    /// Soil for that container, a pot or a raised bed.
    pub container_soil: Quantity<Millilitres>,
    /// Finished compost to blend it with, where there is some.
    pub compost: Quantity<Millilitres>,
    /// A closed container for it with soil, where there is no garden: at least this size.
    pub container: Quantity<Millilitres>,
}

/// How to bury the batch in a bin; none where nothing is in it, or nothing is known of how much.
pub fn trench(room: &Room, bin: &Bin) -> Option<Trench> {
    trench_in(room, bin, Cut::default())
}

/// How to bury the batch in a bin where it is dug so wide and deep.
pub fn trench_in(room: &Room, bin: &Bin, cut: Cut) -> Option<Trench> {
    let batch = bin.batch.as_ref()?;
    let fermented = fermented(room, bin, batch);
    (fermented.value > Millilitres::ZERO).then(|| trench_cut(fermented, cut))
}

/// How wide and deep somebody digs, where they say so.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cut {
    /// The width of the spade, or of the trench.
    pub width: Option<Centimetres>,
    /// The depth.
    pub depth: Option<Centimetres>,
}

impl Cut {
    /// As far as a spade goes: no narrower than a trowel, no shallower than custom.
    fn width(self) -> Option<Centimetres> {
        self.width.map(|width| width.clamp(Centimetres(10.0), Centimetres(200.0)))
    }

    fn depth(self) -> Option<Centimetres> {
        self.depth.map(|depth| depth.clamp(Centimetres(DEPTH.low), Centimetres(100.0)))
    }

    fn add_width(self, why: Derivation) -> Derivation {
        match self.width() {
            Some(width) => why.asked(WIDTH.name, width),
            None => why.constant(&WIDTH),
        }
    }

    fn add_depth(self, why: Derivation) -> Derivation {
        let why = match self.depth() {
            Some(depth) => why.asked(DEPTH.name, depth),
            None => why.constant(&DEPTH),
        };
        why.constant(&COVER)
    }
}

/// How to bury so much.
pub fn trench_for(fermented: Quantity<Millilitres>) -> Trench {
    trench_cut(fermented, Cut::default())
}

/// How to bury so much where it is dug so wide and deep.
pub fn trench_cut(fermented: Quantity<Millilitres>, cut: Cut) -> Trench {
    let by = |formula| Derivation::by(formula).quantity("fermented", &fermented);
    let shape = |why: Derivation| cut.add_depth(cut.add_width(why));
    let soil = Quantity::of(by(&MIXED_SOIL).constant(&SOIL));
    let length: Quantity<Centimetres> = Quantity::of(shape(by(&LENGTH).constant(&SOIL)));
    let left_over = shape(Derivation::by(&SPOIL).quantity("length", &length).quantity("soil", &soil));
    Trench {
        spoil: Quantity::of(left_over),
        area: Quantity::of(cut.add_depth(by(&SPREAD).constant(&SOIL))),
        container: Quantity::of(by(&CONTAINER).constant(&CONTAINER_SOIL)),
        container_soil: Quantity::of(by(&MIXED_SOIL).constant(&CONTAINER_SOIL)),
        compost: Quantity::of(by(&BLEND).constant(&COMPOST)),
        soil,
        length,
        width: cut.width().unwrap_or(Centimetres(WIDTH.value)),
        depth: cut.depth().unwrap_or(Centimetres(DEPTH.value)),
        cover: Centimetres(COVER.value),
        fermented,
    }
}

/// The volume that comes out of a bin: what it takes up after settling.
pub fn fermented(room: &Room, bin: &Bin, batch: &Batch) -> Quantity<Millilitres> {
    fill::occupied(room, bin, batch)
}

/// The fermented volume that a plot took over the twelve months to `now`.
pub fn buried_in(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Millilitres {
    nitrogen::burials_of_the_year(room, plot, now)
        .map(|burial| fermented(room, burial.bin, burial.batch).value / burial.parts as f64)
        .sum()
}
