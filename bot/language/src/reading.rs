//! What a message is understood to say: facts, questions, and what stays unclear. Canonical units only:
//! millilitres, grams, degrees Celsius, centimetres, square metres.

use chrono::{DateTime, FixedOffset, NaiveDate};
use serde::{Deserialize, Serialize};

/// The output line of the reading contract. All three empty: the message was not for the bot.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What happened, as far as the message says so plainly.
    #[serde(default)]
    pub facts: Vec<Fact>,
    /// What the message wants to know.
    #[serde(default)]
    pub asks: Vec<Ask>,
    /// Why something said to the bot cannot be acted on.
    #[serde(default)]
    pub unclear: Option<Unclear>,
}

impl Reading {
    /// How many things it tells and asks.
    pub(crate) fn len(&self) -> usize {
        self.facts.len() + self.asks.len()
    }

    /// Whether there is nothing to record, to answer or to ask back.
    pub fn is_silent(&self) -> bool {
        self.facts.is_empty() && self.asks.is_empty() && self.unclear.is_none()
    }
}

/// One thing that is told as having happened (or a wish about the bot itself, such as a setting).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Fact {
    /// What sort of thing.
    pub kind: FactKind,
    /// What the message states about it.
    #[serde(flatten)]
    pub slots: Slots,
}

/// One question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ask {
    /// What it is about.
    pub about: About,
    /// What the message states about it.
    #[serde(flatten)]
    pub slots: Slots,
}

/// What keeps a message from being acted on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Unclear {
    /// Which slot.
    pub about: UnclearAbout,
    /// The words that could not be used, where there are any: `red` of a bin that the room does not have, `3` of what
    /// has no unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<String>,
}

/// Kinds of facts, as the contract lists them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum FactKind {
    /// Scraps went into a bin.
    Scraps,
    /// Bran went on top.
    Bran,
    /// Liquid was drained.
    Drained,
    /// A batch was started.
    Started,
    /// A bin was closed for fermenting.
    Sealed,
    /// Somebody looked, smelt or felt.
    Checked,
    /// A temperature was read.
    Temperature,
    /// How full a bin is.
    Level,
    /// A batch was buried.
    Buried,
    /// A batch was thrown away.
    Discarded,
    /// Something was planted.
    Planted,
    /// A bin was cleaned.
    Cleaned,
    /// Starter bran was made.
    StarterMade,
    /// Starter bran was bought.
    StarterBought,
    /// How much starter bran there is.
    StarterStock,
    /// A bin was named, or its size or tap told.
    BinSet,
    /// A bin is no more.
    BinGone,
    /// A plot was named, or its size told.
    PlotSet,
    /// A measure of the room's own.
    MeasureSet,
    /// A wish about how the bot behaves.
    Setting,
    /// The last thing is to be taken back.
    Undo,
    /// The last thing is to be changed.
    Amended,
    /// What a nudge asked for is done.
    Done,
    /// A nudge is put off.
    Later,
    /// A nudge is declined.
    Skip,
    /// Somebody is away.
    Away,
    /// Somebody is back.
    Back,
}

/// What a question is about, as the contract lists it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum About {
    /// How things stand.
    Status,
    /// When a batch is ready.
    Ready,
    /// When a bin is full.
    Full,
    /// Whether it needs draining.
    Drain,
    /// How much bran for so much.
    Bran,
    /// How much water for the liquid.
    Dilution,
    /// How big a hole, and where.
    Burying,
    /// Whether a plot may be planted.
    Planting,
    /// How much bran there is.
    Stock,
    /// How bran is made.
    Recipe,
    /// Whose turn it is.
    Rota,
    /// What was kept out of the rubbish.
    Tally,
    /// What went in.
    History,
    /// A picture.
    Chart,
    /// Whether something may go in.
    Acceptable,
    /// What to do about a symptom.
    Trouble,
    /// Where the last number came from.
    Why,
    /// What the bot can do.
    Help,
}

/// Which slot is unclear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum UnclearAbout {
    /// `added some`
    Amount,
    /// `added 3`
    Unit,
    /// A bin that the room does not have.
    Bin,
    /// A time that cannot be placed, or lies ahead for something done.
    Time,
    /// Said to the bot, not understood.
    Meaning,
}

/// How exactly a moment was told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Precision {
    /// By the clock.
    Minute,
    /// A part of the day: morning, evening.
    Part,
    /// A date alone, written as noon.
    Day,
}

/// Classes of what goes into a bin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the contract's words explain themselves")]
pub enum Food {
    Bone,
    Bread,
    Citrus,
    Coffee,
    Cooked,
    Dairy,
    Egg,
    Fish,
    Fruit,
    Garden,
    Grain,
    Liquid,
    Meat,
    Oil,
    Other,
    Tea,
    Vegetable,
}

/// Where drained liquid went.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Use {
    /// Onto something that grows.
    Plants,
    /// Down a drain.
    Pipes,
    /// Anywhere else.
    PouredAway,
}

/// What a batch smells of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the contract's words explain themselves")]
pub enum Smell {
    SweetSour,
    Rotten,
    Ammonia,
    Alcohol,
    None,
}

/// The colour of a mould.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the contract's words explain themselves")]
pub enum Mould {
    White,
    Green,
    Black,
    Blue,
    Other,
    None,
}

/// How wet a batch is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the contract's words explain themselves")]
pub enum Moisture {
    Wet,
    Dry,
    Fine,
}

/// How a lid is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the contract's words explain themselves")]
pub enum Lid {
    Bulging,
    Leaking,
    Loose,
    Fine,
}

/// What a setting is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the contract's words explain themselves")]
pub enum SettingName {
    Zone,
    Units,
    Quiet,
    Digest,
}

/// All slots of the contract; absent ones are not written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Slots {
    /// Volume, ml.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ml: Option<f64>,
    /// Mass, g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub g: Option<f64>,
    /// Name of a bin, as the room spells it (a new one as the message does).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bin: Option<String>,
    /// When it happened, with the room's offset on that date.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<DateTime<FixedOffset>>,
    /// How exactly `at` or `until` was told.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub precision: Option<Precision>,
    /// Classes of food, sorted, without repeats.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub foods: Vec<Food>,
    /// Where drained liquid went.
    #[serde(rename = "use", skip_serializing_if = "Option::is_none")]
    pub use_: Option<Use>,
    /// What it smells of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub smell: Option<Smell>,
    /// Mould, by colour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mould: Option<Mould>,
    /// How wet it is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moisture: Option<Moisture>,
    /// Whether there are flies, maggots or the like.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pests: Option<bool>,
    /// How the lid is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lid: Option<Lid>,
    /// Temperature, degrees Celsius.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub c: Option<f64>,
    /// Name of a plot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plot: Option<String>,
    /// Share of the bin that is full, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fraction: Option<f64>,
    /// Depth, cm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth_cm: Option<f64>,
    /// What was planted, in the writer's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crop: Option<String>,
    /// Size of a bin, ml.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub capacity_ml: Option<f64>,
    /// Whether the bin has a tap.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tap: Option<bool>,
    /// Size of a plot, square metres.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub area_m2: Option<f64>,
    /// Name of a measure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measure: Option<String>,
    /// Which setting.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<SettingName>,
    /// Its value (`22:00-07:00`, `SUN 18:00`, `off`, `us`, an IANA zone); of `amended` a number told without its unit.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<String>,
    /// For how long a nudge is put off, minutes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// Until when a nudge is put off or somebody is away.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until: Option<DateTime<FixedOffset>>,
    /// From which date on a tally counts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since: Option<NaiveDate>,
    /// What is asked about, in the writer's words, where it is no class of food.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub item: Option<String>,
}
