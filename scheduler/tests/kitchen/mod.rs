//! A kitchen to test with: facts told in order, in a zone of one's choice.

#![allow(dead_code, clippy::unwrap_used, reason = "each test takes what it needs, and may panic")]

use branbell_scheduler::Room;
use branbell_scheduler::fact::{Fact, Food, Place, Setting, Signs, Units, What};
use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

/// Facts being told.
pub(crate) struct Kitchen {
    pub(crate) facts: Vec<Fact>,
    pub(crate) zone: Tz,
}

impl Kitchen {
    /// A one-to-one room with a bin `green` of 19 litres, opened at midnight UTC of a day.
    pub(crate) fn with_green(zone: Tz, opened: DateTime<Utc>) -> Self {
        let mut kitchen = Self { facts: Vec::new(), zone };
        kitchen.tell(opened, What::Opened { zone, units: Units::Metric, direct: true });
        kitchen.tell(opened, What::Member { person: "ana".into(), name: "ana".into(), steward: true });
        kitchen.bin(opened, "green", 19_000.0);
        kitchen
    }

    pub(crate) fn tell(&mut self, at: DateTime<Utc>, what: What) -> i64 {
        let seq = i64::try_from(self.facts.len()).unwrap() + 1;
        self.facts.push(Fact { seq, event: format!("$e{seq}"), author: "ana".into(), at, told: at, what });
        seq
    }

    pub(crate) fn room(&self) -> Room {
        Room::fold(&self.facts)
    }

    pub(crate) fn bin(&mut self, at: DateTime<Utc>, bin: &str, capacity_ml: f64) -> i64 {
        self.tell(at, What::BinSet { bin: bin.into(), capacity_ml: Some(capacity_ml), tap: None })
    }

    pub(crate) fn plot(&mut self, at: DateTime<Utc>, plot: &str, area_m2: f64) -> i64 {
        self.tell(at, What::PlotSet { plot: plot.into(), area_m2: Some(area_m2) })
    }

    pub(crate) fn scraps(&mut self, at: DateTime<Utc>, bin: &str, ml: f64) -> i64 {
        self.lot(at, bin, Some(ml), None, &[])
    }

    pub(crate) fn lot(
        &mut self,
        at: DateTime<Utc>,
        bin: &str,
        ml: Option<f64>,
        g: Option<f64>,
        foods: &[Food],
    ) -> i64 {
        self.tell(at, What::Scraps { bin: bin.into(), ml, g, foods: foods.to_vec() })
    }

    pub(crate) fn bran(&mut self, at: DateTime<Utc>, bin: &str, ml: f64) -> i64 {
        self.tell(at, What::Bran { bin: bin.into(), ml: Some(ml), g: None })
    }

    pub(crate) fn drained(&mut self, at: DateTime<Utc>, bin: &str, ml: f64) -> i64 {
        self.tell(at, What::Drained { bin: bin.into(), ml, used: None, estimated: false })
    }

    pub(crate) fn sealed(&mut self, at: DateTime<Utc>, bin: &str) -> i64 {
        self.tell(at, What::Sealed { bin: bin.into() })
    }

    pub(crate) fn checked(&mut self, at: DateTime<Utc>, bin: &str, signs: Signs) -> i64 {
        self.tell(at, What::Checked { bin: bin.into(), signs })
    }

    pub(crate) fn level(&mut self, at: DateTime<Utc>, bin: &str, fraction: f64) -> i64 {
        self.tell(at, What::Level { bin: bin.into(), fraction })
    }

    pub(crate) fn buried(&mut self, at: DateTime<Utc>, bin: &str, plot: &str) -> i64 {
        self.tell(at, What::Buried { bin: bin.into(), plot: Some(plot.into()), depth_cm: None })
    }

    pub(crate) fn room_temperature(&mut self, at: DateTime<Utc>, c: f64) -> i64 {
        self.tell(at, What::Temperature { place: Place::Room, c })
    }

    pub(crate) fn soil_temperature(&mut self, at: DateTime<Utc>, plot: &str, c: f64) -> i64 {
        self.tell(at, What::Temperature { place: Place::Plot(plot.into()), c })
    }

    pub(crate) fn set(&mut self, at: DateTime<Utc>, setting: Setting) -> i64 {
        self.tell(at, What::Setting { setting })
    }

    pub(crate) fn undo(&mut self, at: DateTime<Utc>, seqs: &[i64]) -> i64 {
        self.tell(at, What::Void { seqs: seqs.to_vec() })
    }
}

/// The moment `days` after 1 March 2026, 08:00 UTC.
pub(crate) fn day(days: f64) -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 3, 1, 8, 0, 0).unwrap()
        + TimeDelta::milliseconds((days * 86_400_000.0).round() as i64)
}

/// Asserts that two numbers agree to a relative tolerance.
pub(crate) fn assert_close(found: f64, wanted: f64, relative: f64) {
    let off = (found - wanted).abs();
    assert!(off <= relative * wanted.abs().max(1e-12), "{found} is not {wanted} within {relative}");
}
