//! Local days as observed: how much came, how much of the day has passed, how much the day counts.

use chrono::{DateTime, Datelike, Days as Dates, NaiveDate, Timelike, Utc};
use chrono_tz::Tz;

use super::Events;

/// Observations older than this are of another household, or another season.
const WINDOW: u64 = 120;
/// Observations count less as they age: to 1/e after so many days.
const FADES: f64 = 90.0;
/// A silence longer than this, and than three usual gaps, is a pause, which tells nothing about the rhythm: holidays, say.
const LONGEST_SILENCE: f64 = 7.0;
const GAPS: f64 = 3.0;
/// Kitchens work between seven and ten in the evening; worth so many lots.
const HOURS_WEIGHT: f64 = 4.0;

/// A local day as observed.
pub(super) struct Day {
    /// From Monday on.
    pub(super) weekday: usize,
    /// What was told.
    pub(super) amount: f64,
    /// The part of a usual day's amount that could have been told by now.
    pub(super) exposure: f64,
    /// How much it counts: less with age.
    pub(super) weight: f64,
}

impl Day {
    /// The days from the first event of the window to now, long silences left out.
    pub(super) fn all(events: &Events, passed: f64, now: DateTime<Utc>, zone: Tz) -> Vec<Self> {
        let today = now.with_timezone(&zone).date_naive();
        let start = today.checked_sub_days(Dates::new(WINDOW)).unwrap_or(today);
        let from = events.partition_point(|(at, _)| at.with_timezone(&zone).date_naive() < start);
        let recent = &events[from..];
        let Some((first, _)) = recent.first() else { return Vec::new() };
        let first = first.with_timezone(&zone).date_naive();
        let length = usize::try_from((today - first).num_days()).unwrap_or(0) + 1;
        let mut amounts = vec![0.0; length];
        for (at, amount) in recent {
            let day = usize::try_from((at.with_timezone(&zone).date_naive() - first).num_days()).unwrap_or(0);
            amounts[day.min(length - 1)] += amount;
        }
        let gap = usual_gap(&amounts);
        let mut days = Self::observed(&amounts, first, passed, LONGEST_SILENCE.max(GAPS * gap));
        // A log begins with a lot: its first day says as much as the gap between lots.
        if let (0, Some(first)) = (from, days.first_mut()) {
            let busy = amounts.iter().filter(|amount| **amount > 0.0).count();
            first.exposure = (length as f64 / busy.max(1) as f64).clamp(1.0, LONGEST_SILENCE);
        }
        days
    }

    fn observed(amounts: &[f64], first: NaiveDate, passed: f64, longest: f64) -> Vec<Self> {
        let last = amounts.len() - 1;
        let mut silence = 0.0;
        let mut days = Vec::with_capacity(amounts.len());
        for (n, amount) in amounts.iter().enumerate() {
            silence = if *amount > 0.0 { 0.0 } else { silence + 1.0 };
            if silence > longest {
                // A pause from its first day on.
                let counted = days.iter().rev().take_while(|day: &&Self| day.amount <= 0.0).count();
                days.truncate(days.len() - counted);
                continue;
            }
            // Of today only what has passed; but what was told today was told.
            let exposure = if n < last { 1.0 } else { passed };
            let weekday = first.weekday().num_days_from_monday() as usize;
            days.push(Self {
                weekday: (weekday + n) % 7,
                amount: *amount,
                exposure,
                weight: (-((last - n) as f64) / FADES).exp(),
            });
        }
        days
    }
}

/// The median of the days from one with a lot to the next.
fn usual_gap(amounts: &[f64]) -> f64 {
    let busy: Vec<usize> = (0..amounts.len()).filter(|day| amounts[*day] > 0.0).collect();
    let mut gaps: Vec<usize> = busy.windows(2).map(|pair| pair[1] - pair[0]).collect();
    gaps.sort_unstable();
    gaps.get(gaps.len() / 2).map_or(1.0, |gap| *gap as f64)
}

/// The share of a day's amount that has come by the end of each hour.
pub(super) fn hours(events: &Events, zone: Tz) -> [f64; 24] {
    let mut counts = [0.0; 24];
    counts[7..22].iter_mut().for_each(|count| *count = HOURS_WEIGHT / 15.0);
    for (at, _) in events.iter().rev().take(60) {
        let hour = at.with_timezone(&zone).hour() as usize;
        counts[hour] += 0.5;
        counts[(hour + 1) % 24] += 0.25;
        counts[(hour + 23) % 24] += 0.25;
    }
    let all: f64 = counts.iter().sum();
    let mut sum = 0.0;
    counts.map(|count| {
        sum += count / all;
        sum
    })
}

/// The share of today's amount that has come. Where days hold one lot, today's is done when it was told; where lots come
/// at random, another may come as before.
pub(super) fn passed(events: &Events, hours: &[f64; 24], now: DateTime<Utc>, zone: Tz) -> f64 {
    let date = |at: DateTime<Utc>| at.with_timezone(&zone).date_naive();
    let by_now = share_by(hours, f64::from(now.with_timezone(&zone).num_seconds_from_midnight()) / 86_400.0);
    let told_today = events.last().is_some_and(|(at, _)| date(*at) == date(now));
    if !told_today {
        return by_now;
    }
    let recent = &events[events.len().saturating_sub(60)..];
    let busy = 1 + recent.windows(2).filter(|pair| date(pair[0].0) != date(pair[1].0)).count();
    let span = (date(now) - date(recent[0].0)).num_days() + 1;
    let a_day = recent.len() as f64 / span.max(1) as f64;
    // Lots on a busy day beyond the first: as seen, and as they would be at random.
    let seen = recent.len() as f64 / busy as f64 - 1.0;
    let at_random = a_day / -(-a_day).exp_m1() - 1.0;
    let days = busy as f64;
    let again = ((seen / at_random.max(0.05)) * days + AGAIN_WEIGHT) / (days + AGAIN_WEIGHT);
    1.0 - again.clamp(0.0, 1.0) * (1.0 - by_now)
}

/// That lots come at random is worth so many days.
const AGAIN_WEIGHT: f64 = 3.0;

/// The share of a day's amount that has come by a part of the day.
pub(super) fn share_by(hours: &[f64; 24], part: f64) -> f64 {
    let hour = ((part * 24.0) as usize).min(23);
    let before = hour.checked_sub(1).map_or(0.0, |hour| hours[hour]);
    before + (hours[hour] - before) * (part * 24.0 - hour as f64).clamp(0.0, 1.0)
}
