//! The soil's temperature over the days since a burial: as read, or as the season has it.

use chrono::{DateTime, Datelike, TimeDelta, Utc};
use chrono_tz::Tz;

use super::{LONGEST, SHORTEST};
use crate::quantity::Source;
use crate::units::{Celsius, Days};

/// Where assumed soil temperatures come from.
pub(super) const SOURCE: Source =
    Source::Judgement("temperate garden soil, 3 to 19 °C over the year, by the hemisphere of the zone");

/// The soil's year at a place.
pub(super) enum Climate {
    /// Warm in July.
    Northern,
    /// Warm in January.
    Southern,
    /// Warm all year.
    Tropical,
}

/// Zones south of the tropics; those of Australia's tropics and the like are told by name below.
const SOUTHERN: [&str; 20] = [
    "Australia/",
    "Antarctica/",
    "Pacific/Auckland",
    "Pacific/Chatham",
    "NZ",
    "Africa/Johannesburg",
    "Africa/Maseru",
    "Africa/Mbabane",
    "Africa/Windhoek",
    "Africa/Gaborone",
    "America/Argentina/",
    "America/Buenos_Aires",
    "America/Santiago",
    "America/Punta_Arenas",
    "America/Montevideo",
    "America/Asuncion",
    "America/Sao_Paulo",
    "Atlantic/Stanley",
    "Indian/Kerguelen",
    "Chile/",
];

/// Zones in the tropics.
const TROPICAL: [&str; 30] = [
    "Australia/Darwin",
    "Asia/Singapore",
    "Asia/Kuala_Lumpur",
    "Asia/Jakarta",
    "Asia/Manila",
    "Asia/Bangkok",
    "Asia/Ho_Chi_Minh",
    "Asia/Saigon",
    "Asia/Colombo",
    "Asia/Phnom_Penh",
    "Asia/Yangon",
    "Asia/Makassar",
    "Africa/Lagos",
    "Africa/Accra",
    "Africa/Nairobi",
    "Africa/Kampala",
    "Africa/Kinshasa",
    "Africa/Abidjan",
    "Africa/Dakar",
    "Africa/Dar_es_Salaam",
    "America/Bogota",
    "America/Caracas",
    "America/Lima",
    "America/Guayaquil",
    "America/Panama",
    "America/Costa_Rica",
    "America/Manaus",
    "America/Fortaleza",
    "Pacific/Honolulu",
    "Pacific/Fiji",
];

impl Climate {
    /// The climate of a zone, by its name.
    pub(super) fn of(zone: Tz) -> Self {
        let is_in = |zones: &[&str]| zones.iter().any(|name| zone.name().starts_with(name));
        if is_in(&TROPICAL) {
            Self::Tropical
        } else if is_in(&SOUTHERN) {
            Self::Southern
        } else {
            Self::Northern
        }
    }

    /// The soil's temperature day by day from a moment on, until any rest is over.
    pub(super) fn course(&self, from: DateTime<Utc>) -> Vec<(f64, f64)> {
        (0..=LONGEST.value as i64)
            .map(|day| (day as f64, self.soil(from + TimeDelta::days(day)).get()))
            .collect()
    }

    /// A wave over the year, at its height a month after the longest day.
    fn soil(&self, at: DateTime<Utc>) -> Celsius {
        let (mean, swing, warmest_day) = match self {
            Self::Northern => (11.0, 8.0, 205.0),
            Self::Southern => (11.0, 8.0, 22.0),
            Self::Tropical => (26.0, 0.0, 0.0),
        };
        let turn = (f64::from(at.ordinal()) - warmest_day) / 365.25 * std::f64::consts::TAU;
        Celsius(mean + swing * turn.cos())
    }
}

/// The temperature at a day: linear between points, the nearest one before the first and after the last.
pub(super) fn temperature_at(points: &[(f64, f64)], day: Days) -> Celsius {
    let next = points.partition_point(|(at, _)| *at <= day.get());
    Celsius(match (next.checked_sub(1).map(|last| points[last]), points.get(next)) {
        (Some((from, cold)), Some(&(to, warm))) => cold + (warm - cold) * (day.get() - from) / (to - from),
        (Some((_, last)), None) => last,
        (None, Some(&(_, first))) => first,
        (None, None) => 0.0,
    })
}

/// The day on which the rest is over: half days add up at the rate of their temperature, frozen ones not at all.
///
/// Where the ground stays frozen, the end of the last point's frost is not known, and two years are given.
pub(super) fn rested(points: &[(f64, f64)], at_reference: Days, q10: f64) -> Days {
    const STEP: f64 = 0.5;
    const END: f64 = 730.0;
    let mut sum = 0.0;
    let mut day = 0.0;
    while day < END {
        if let Some(days) = super::days_at(temperature_at(points, Days(day + STEP / 2.0)), at_reference, q10)
        {
            if sum + STEP / days.get() >= 1.0 {
                return Days((day + (1.0 - sum) * days.get()).max(SHORTEST.value));
            }
            sum += STEP / days.get();
        }
        day += STEP;
    }
    Days(END)
}
