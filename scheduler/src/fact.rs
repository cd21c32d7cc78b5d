//! What happened, as the model knows it: every slot filled in, in canonical units.
//!
//! A fact is never changed. A correction is a [`What::Void`] of the facts that were wrong, followed by new ones.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

use crate::quiet::Quiet;

/// One thing that happened in a room, in the order it was told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fact {
    /// Its place in the room's log; later facts have larger numbers.
    pub seq: i64,
    /// The chat event that told it.
    pub event: String,
    /// Who told it.
    pub author: String,
    /// The moment it speaks of; never after `told`.
    pub at: DateTime<Utc>,
    /// The moment it was told.
    pub told: DateTime<Utc>,
    /// What it says.
    pub what: What,
}

/// What a fact says. Volumes in millilitres, masses in grams, temperatures in degrees Celsius, areas in square metres.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(missing_docs, reason = "the slots are named as in the message, with their units")]
pub enum What {
    /// The room was opened: its zone, its units, and whether it is one-to-one.
    Opened { zone: Tz, units: Units, direct: bool },
    /// A person is in the room; told again when the name or the role changes.
    Member { person: String, name: String, steward: bool },
    /// A person left the room.
    Left { person: String },
    /// A lot of scraps went in; at least one of `ml` and `g`.
    Scraps { bin: String, ml: Option<f64>, g: Option<f64>, foods: Vec<Food> },
    /// Inoculated bran went on top; exactly one of `ml` and `g`.
    Bran { bin: String, ml: Option<f64>, g: Option<f64> },
    /// Liquid was drained. `estimated`: nobody measured, the amount is what was expected.
    Drained { bin: String, ml: f64, used: Option<Use>, estimated: bool },
    /// A new batch was begun.
    Started { bin: String },
    /// The bin was closed for fermenting.
    Sealed { bin: String },
    /// Somebody looked and smelled.
    Checked { bin: String, signs: Signs },
    /// A temperature was read.
    Temperature { place: Place, c: f64 },
    /// A pH strip was held into the soil of a plot.
    SoilPh { plot: String, ph: f64 },
    /// How full the bin is after pressing, 0 to 1.
    Level { bin: String, fraction: f64 },
    /// The batch went into the ground.
    Buried { bin: String, plot: Option<String>, depth_cm: Option<f64> },
    /// The batch was thrown away.
    Discarded { bin: String },
    /// Something was planted.
    Planted { plot: String, crop: Option<String> },
    /// The bin was washed.
    Cleaned { bin: String },
    /// Bran was inoculated and sealed to ferment, `g` of dry bran.
    StarterMade { g: f64 },
    /// Ready bran was bought.
    StarterBought { g: Option<f64>, ml: Option<f64> },
    /// The stock of ready bran was looked at: this much there is.
    StarterStock { g: Option<f64>, ml: Option<f64> },
    /// A bin is in use; told again when its size or its tap changes.
    BinSet { bin: String, capacity_ml: Option<f64>, tap: Option<bool> },
    /// The bin is no longer in use.
    BinGone { bin: String },
    /// A place for burying.
    PlotSet { plot: String, area_m2: Option<f64> },
    /// A measure of the room's own (`our caddy holds 5 litres`).
    MeasureSet { measure: String, ml: f64 },
    /// A setting of the room.
    Setting { setting: Setting },
    /// These facts (by `seq`) do not hold: undone, corrected, or their message was edited or deleted.
    Void { seqs: Vec<i64> },
    /// A person is away, until a moment where it was told.
    Away { person: String, until: Option<DateTime<Utc>> },
    /// A person is back.
    Back { person: String },
    /// A person passed a nudge on to whoever is next.
    Passed { person: String, nudge: String },
    /// A nudge was put to a person, about work of so many minutes. Where it is put to another afterwards, the first left
    /// it unanswered. Noted when it is sent, by nobody.
    Asked { person: String, nudge: String, minutes: f64 },
    /// A person asks for somebody to take their turn.
    Offered { person: String },
    /// A person takes a nudge; where none is named, the next turn of whoever offered theirs. It is theirs until then,
    /// though nothing is heard of it.
    Took { person: String, nudge: Option<String>, until: DateTime<Utc> },
}

/// The measures a room speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Units {
    /// Litres, kilograms, Celsius.
    #[default]
    Metric,
    /// US customary measures, Fahrenheit.
    Us,
    /// Imperial measures, Celsius.
    Imperial,
}

/// Where a temperature was read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// The room the bins stand in, or somewhere not told.
    Room,
    /// In or at one bin.
    Bin(String),
    /// The soil of a plot.
    Plot(String),
}

/// Where drained liquid went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Use {
    /// Diluted, for plants.
    Plants,
    /// Down a drain.
    Pipes,
    /// Poured away elsewhere.
    PouredAway,
}

/// What a check by eye and nose found; `None` is not told.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Signs {
    /// The smell.
    pub smell: Option<Smell>,
    /// The colour of mould, if any.
    pub mould: Option<Mould>,
    /// How wet it is.
    pub moisture: Option<Moisture>,
    /// Flies or maggots.
    pub pests: Option<bool>,
    /// The state of the lid.
    pub lid: Option<Lid>,
}

/// A smell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the words are the trade's own")]
pub enum Smell {
    SweetSour,
    Rotten,
    Ammonia,
    Alcohol,
    None,
}

/// A colour of mould.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the words are the trade's own")]
pub enum Mould {
    White,
    Green,
    Black,
    Blue,
    Other,
    None,
}

/// How wet the contents are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the words are the trade's own")]
pub enum Moisture {
    Wet,
    Dry,
    Fine,
}

/// The state of a lid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the words are the trade's own")]
pub enum Lid {
    Bulging,
    Leaking,
    Loose,
    Fine,
}

/// A class of food.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the words are the trade's own")]
pub enum Food {
    Vegetable,
    Fruit,
    Citrus,
    Cooked,
    Meat,
    Fish,
    Bone,
    Dairy,
    Bread,
    Grain,
    Egg,
    Coffee,
    Tea,
    Oil,
    Liquid,
    Garden,
    Other,
}

/// A setting of the room.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Setting {
    /// The time zone.
    Zone(Tz),
    /// The measures.
    Units(Units),
    /// The hours in which nothing is sent.
    Quiet(Quiet),
    /// When the weekly digest comes: a cron expression (`0 0 18 * * SUN`), or never.
    Digest(Option<String>),
    /// A rule of a shared scheme.
    House {
        /// Which.
        rule: HouseRule,
        /// Whether it is so.
        holds: bool,
    },
}

/// What a shared scheme has to know of itself, because local law and what may go in depend on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HouseRule {
    /// All of it stays on the premises where it comes from.
    SamePremises,
    /// Hens, pigs or other animals are kept there.
    Animals,
    /// Meat, fish and dairy may go in.
    MeatAndDairy,
}

impl HouseRule {
    /// All, in the order in which they are asked.
    pub const ALL: [Self; 3] = [Self::SamePremises, Self::Animals, Self::MeatAndDairy];
}
