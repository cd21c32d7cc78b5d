//! Plots: the places where batches are buried.

use chrono::{DateTime, Utc};

use super::bin::Reading;
use crate::growing::Growing;
use crate::units::{Ph, SquareMetres};

/// A place where batches are buried.
#[derive(Clone, Debug)]
pub struct Plot {
    /// Its name.
    pub name: String,
    /// Its area, where told.
    pub area: Option<SquareMetres>,
    /// What was buried there, in order of time.
    pub burials: Growing<Burial>,
    /// What was planted there, in order of time.
    pub plantings: Growing<Planting>,
    /// Temperatures of its soil, in order of time.
    pub temperatures: Growing<Reading>,
    /// What pH strips showed in its soil, in order of time.
    pub strips: Growing<Strip>,
}

/// A pH strip held into the soil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Strip {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// What it showed.
    pub ph: Ph,
}

/// A batch, or a part of one, buried in a plot.
#[derive(Clone, Debug, PartialEq)]
pub struct Burial {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// From which bin.
    pub bin: String,
    /// Which batch of it; none where the bin had none.
    pub batch: Option<u32>,
}

/// Something planted.
#[derive(Clone, Debug, PartialEq)]
pub struct Planting {
    /// The fact that told it.
    pub seq: i64,
    /// When.
    pub at: DateTime<Utc>,
    /// What, where told.
    pub crop: Option<String>,
}

impl Plot {
    pub(super) fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            area: None,
            burials: Growing::default(),
            plantings: Growing::default(),
            temperatures: Growing::default(),
            strips: Growing::default(),
        }
    }

    /// The last burial, where nothing has been planted since.
    pub fn resting(&self) -> Option<&Burial> {
        self.burials
            .last()
            .filter(|burial| self.plantings.last().is_none_or(|planting| planting.at < burial.at))
    }
}
