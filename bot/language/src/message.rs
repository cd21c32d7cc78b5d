//! A message and all that its reading may depend on.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

/// The input line of the reading contract.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Message {
    /// The body, as typed.
    pub text: String,
    /// When it was sent.
    pub now: DateTime<FixedOffset>,
    /// The room's time zone.
    pub zone: Tz,
    /// Which cup, pint, gallon and spoon a bare word means.
    #[serde(default)]
    pub units: Units,
    /// The room's bins.
    #[serde(default)]
    pub bins: Vec<BinName>,
    /// Names of the places where batches are buried.
    #[serde(default)]
    pub plots: Vec<String>,
    /// The room's own measures, ml.
    #[serde(default)]
    pub measures: BTreeMap<String, f64>,
    /// Whether the bot is spoken to: a one-to-one room, a mention, an answer to the bot.
    #[serde(default = "spoken_to")]
    pub direct: bool,
    /// The kind of nudge that this message answers.
    #[serde(default)]
    pub reply_to: Option<NudgeKind>,
    /// Echoed.
    #[serde(default)]
    pub id: Option<serde_json::Value>,
}

fn spoken_to() -> bool {
    true
}

/// A bin of the room.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BinName {
    /// Its name, as the room spells it.
    pub name: String,
    /// Its size, ml.
    #[serde(default)]
    pub capacity_ml: Option<f64>,
}

/// Systems of measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Litres; a cup is 250 ml, pints and gallons are imperial.
    #[default]
    Metric,
    /// US customary.
    Us,
    /// British imperial.
    Imperial,
}

/// Kinds of nudges that a message can answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
#[expect(missing_docs, reason = "the contract's words explain themselves")]
pub enum NudgeKind {
    Drain,
    Seal,
    Bury,
    Plant,
    Bran,
    Check,
    Starter,
    Full,
    Idle,
    Digest,
}
