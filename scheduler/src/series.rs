//! What pictures are drawn of: a batch day by day, and a room month by month.

use chrono::{DateTime, Datelike, Months, NaiveDate, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::growing::Growing;
use crate::quantity::{bury, density, ferment, tally};
use crate::state::{Batch, Bin, End, Room};
use crate::units::{Celsius, Fraction, Grams, Millilitres, sane};

/// A batch over its days.
#[derive(Clone, Debug, PartialEq)]
pub struct Life {
    /// Its number in its bin.
    pub batch: u32,
    /// When it was begun.
    pub started_at: DateTime<Utc>,
    /// When it was closed for fermenting.
    pub sealed_at: Option<DateTime<Utc>>,
    /// When it was buried, thrown away or followed by another.
    pub ended_at: Option<DateTime<Utc>>,
    /// Everything that went in.
    pub scraps: Millilitres,
    /// All the bran.
    pub bran: Millilitres,
    /// All the liquid that came out.
    pub drained: Millilitres,
    /// The days on which something went in or came out, in order.
    pub days: Vec<Day>,
    /// The temperatures that tell about it, in order of time.
    pub temperatures: Vec<(DateTime<Utc>, Celsius)>,
    /// How far it was, and will be: from sealing to its end. While it has none, to the latest day on which it may be ready,
    /// and two weeks further while it waits.
    pub progress: Vec<(DateTime<Utc>, Fraction)>,
}

/// What went into a batch and came out of it on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// The day in the room's zone.
    pub day: NaiveDate,
    /// Scraps in.
    pub scraps: Millilitres,
    /// Bran in.
    pub bran: Millilitres,
    /// Liquid out.
    pub drained: Millilitres,
}

/// However long a batch waits when it is ready, its progress is given no further than this.
const WAITING: TimeDelta = TimeDelta::days(14);

/// The course of progress is given at so many moments.
const PROGRESS_POINTS: i32 = 48;

/// The life of the batch in a bin, or of its last one where it is empty; none where it never had any.
pub fn life(room: &Room, bin: &Bin, now: DateTime<Utc>) -> Option<Life> {
    let batch = bin.batches().next_back()?;
    let now = sane(now);
    let density = density::of(room).value;
    let ended_at = batch.ended_at();
    let last = ended_at.unwrap_or(now);
    let temperatures = ferment::readings(room, bin, batch.started_at);
    let is_within = |at: DateTime<Utc>| at >= batch.started_at && at <= last;
    Some(Life {
        batch: batch.number,
        started_at: batch.started_at,
        sealed_at: batch.sealed_at,
        ended_at,
        scraps: batch.scraps_volume(density),
        bran: batch.bran(),
        drained: batch.drained(),
        days: days(room, batch),
        temperatures: temperatures
            .iter()
            .filter(|reading| is_within(reading.at))
            .map(|reading| (reading.at, reading.temperature))
            .collect(),
        progress: progress(room, bin, batch, now),
    })
}

fn days(room: &Room, batch: &Batch) -> Vec<Day> {
    let density = density::of(room).value;
    let nothing = Millilitres::ZERO;
    let lots = batch.lots.iter().map(|lot| (lot.at, lot.volume(density), nothing, nothing));
    let brans = batch.brans.iter().map(|layer| (layer.at, nothing, layer.volume, nothing));
    let drains = batch.drains.iter().map(|drain| (drain.at, nothing, nothing, drain.volume));
    let mut days = std::collections::BTreeMap::<NaiveDate, Day>::new();
    for (at, scraps, bran, drained) in lots.chain(brans).chain(drains) {
        let day = at.with_timezone(&room.zone).date_naive();
        let sum = days.entry(day).or_insert(Day { day, scraps: nothing, bran: nothing, drained: nothing });
        sum.scraps += scraps;
        sum.bran += bran;
        sum.drained += drained;
    }
    days.into_values().collect()
}

fn progress(room: &Room, bin: &Bin, batch: &Batch, now: DateTime<Utc>) -> Vec<(DateTime<Utc>, Fraction)> {
    // A past batch is looked at as if it still stood in its bin.
    let bin = Bin { batch: Some(batch.clone()), past: Growing::default(), ..bin.clone() };
    let (Some(sealed), Some(ferment)) = (batch.sealed_at, ferment::ferment(room, &bin, now)) else {
        return Vec::new();
    };
    let late = ferment.ready.late;
    let last = batch.ended_at().unwrap_or_else(|| now.clamp(late, late + WAITING));
    let step = (last - sealed).max(TimeDelta::zero()) / PROGRESS_POINTS;
    let mut moments: Vec<DateTime<Utc>> = (0..=PROGRESS_POINTS).map(|place| sealed + step * place).collect();
    // How far it is now is told exactly.
    if let Err(place) = moments.binary_search(&now)
        && now > sealed
        && now < last
    {
        moments.insert(place, now);
    }
    moments
        .into_iter()
        .filter_map(|at| Some((at, ferment::ferment(room, &bin, at)?.progress.value)))
        .collect()
}

/// A room over twelve months, the last of them the present one.
#[derive(Clone, Debug)]
pub struct Year {
    /// The months in order.
    pub months: Vec<Month>,
    /// What happened in all of them.
    pub tally: tally::Tally,
    /// Fermented scraps that were buried in all of them, to become soil.
    pub buried: Millilitres,
}

/// A month of a room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Month {
    /// Its first day in the room's zone.
    pub first: NaiveDate,
    /// What was kept out of the rubbish.
    pub kept_out: Grams,
    /// Fermented scraps that were buried.
    pub buried: Millilitres,
}

/// The twelve months to `now`, the present one last.
pub fn year(room: &Room, now: DateTime<Utc>) -> Year {
    let now = sane(now);
    let this = now.with_timezone(&room.zone).date_naive();
    let this = this.with_day(1).unwrap_or(this);
    let first = this.checked_sub_months(Months::new(11)).unwrap_or(this);
    let graves = graves(room);
    let months = (0..12).filter_map(|month| first.checked_add_months(Months::new(month)));
    let months: Vec<Month> = months
        .map(|first| {
            let next = first.checked_add_months(Months::new(1)).unwrap_or(first);
            let (from, next) = (midnight(first, room.zone), midnight(next, room.zone));
            let until = now.min(next - TimeDelta::milliseconds(1));
            let is_in = |at: &DateTime<Utc>| *at >= from && *at <= until;
            Month {
                first,
                kept_out: tally::tally(room, Some(from), until).kept_out.value,
                buried: graves.iter().filter(|(at, _)| is_in(at)).map(|(_, volume)| *volume).sum(),
            }
        })
        .collect();
    Year {
        tally: tally::tally(room, Some(midnight(first, room.zone)), now),
        buried: months.iter().map(|month| month.buried).sum(),
        months,
    }
}

/// What was buried when: a batch buried in parts counts in equal ones.
fn graves(room: &Room) -> Vec<(DateTime<Utc>, Millilitres)> {
    let batches = room.bins.iter().flat_map(|bin| bin.batches().map(move |batch| (bin, batch)));
    let graves = batches.filter_map(|(bin, batch)| match &batch.end {
        Some(End::Buried(graves)) => {
            let part = bury::fermented(room, bin, batch).value / graves.len().max(1) as f64;
            Some(graves.iter().map(move |grave| (grave.at, part)))
        }
        _ => None,
    });
    graves.flatten().collect()
}

/// The first instant of a day in a zone; an hour later where clocks leap over midnight.
pub fn midnight(day: NaiveDate, zone: Tz) -> DateTime<Utc> {
    let local = day.and_time(NaiveTime::MIN);
    let instants =
        [local, local + TimeDelta::hours(1)].map(|local| local.and_local_timezone(zone).earliest());
    instants.into_iter().flatten().next().map_or_else(|| local.and_utc(), |instant| instant.to_utc())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fact::{Fact, Place, Units, What};

    fn instant(text: &str) -> DateTime<Utc> {
        DateTime::parse_from_rfc3339(text).unwrap().to_utc()
    }

    fn room(told: &[(&str, What)]) -> Room {
        let mut room = Room::default();
        for (place, (at, what)) in told.iter().enumerate() {
            let (seq, at) = (i64::try_from(place).unwrap() + 1, instant(at));
            room.apply(&Fact {
                seq,
                event: String::new(),
                author: String::new(),
                at,
                told: at,
                what: what.clone(),
            });
        }
        room
    }

    fn scraps(ml: f64) -> What {
        What::Scraps { bin: "green".into(), ml: Some(ml), g: None, foods: Vec::new() }
    }

    /// Two lots on one day in Vienna, though not by universal time, and one on the next.
    fn told() -> Vec<(&'static str, What)> {
        let green = || "green".to_owned();
        let opened = What::Opened { zone: Tz::Europe__Vienna, units: Units::Metric, direct: true };
        vec![
            ("2026-03-01T08:00:00Z", opened),
            ("2026-03-01T08:00:00Z", What::BinSet { bin: green(), capacity_ml: Some(19_000.0), tap: None }),
            ("2026-03-01T08:00:00Z", What::Temperature { place: Place::Room, c: 22.0 }),
            ("2026-03-02T22:30:00Z", scraps(2000.0)),
            ("2026-03-02T23:30:00Z", scraps(1000.0)),
            ("2026-03-03T20:00:00Z", scraps(500.0)),
            ("2026-03-03T20:01:00Z", What::Bran { bin: green(), ml: Some(60.0), g: None }),
            ("2026-03-05T08:00:00Z", What::Drained { bin: green(), ml: 150.0, used: None, estimated: false }),
            ("2026-03-06T08:00:00Z", What::Sealed { bin: green() }),
            (
                "2026-03-27T08:00:00Z",
                What::Buried { bin: green(), plot: Some("south".into()), depth_cm: None },
            ),
        ]
    }

    #[test]
    fn a_life_has_the_days_of_the_rooms_zone() {
        let room = room(&told()[..9]);
        let life = life(&room, room.bin("green").unwrap(), instant("2026-03-13T08:00:00Z")).unwrap();
        let days: Vec<(u32, f64, f64, f64)> = life
            .days
            .iter()
            .map(|day| (day.day.day(), day.scraps.get(), day.bran.get(), day.drained.get()))
            .collect();
        assert_eq!(days, [(2, 2000.0, 0.0, 0.0), (3, 1500.0, 60.0, 0.0), (5, 0.0, 0.0, 150.0)]);
        assert_eq!((life.scraps.get(), life.bran.get(), life.drained.get()), (3500.0, 60.0, 150.0));
    }

    #[test]
    fn progress_runs_from_nothing_to_done() {
        let room = room(&told()[..9]);
        let green = room.bin("green").unwrap();
        let life = life(&room, green, instant("2026-03-13T08:00:00Z")).unwrap();
        let ferment = ferment::ferment(&room, green, instant("2026-03-13T08:00:00Z")).unwrap();
        assert_eq!(life.progress.first().unwrap(), &(instant("2026-03-06T08:00:00Z"), Fraction(0.0)));
        assert_eq!(life.progress.last().unwrap().1, Fraction(1.0));
        // 14 days at 22 degrees, the reference: half of it a week after sealing.
        let past = life.progress.partition_point(|(at, _)| *at <= instant("2026-03-13T08:00:00Z"));
        let (before, after) = life.progress.split_at(past);
        assert!((ferment.progress.value.get() - 0.5).abs() < 1e-9);
        assert_eq!(before[before.len() - 1].1, ferment.progress.value);
        assert!(after[0].1 > Fraction(0.5));
    }

    #[test]
    fn a_buried_batch_is_still_told_of() {
        let room = room(&told());
        let life = life(&room, room.bin("green").unwrap(), instant("2026-05-01T08:00:00Z")).unwrap();
        assert_eq!(life.ended_at, Some(instant("2026-03-27T08:00:00Z")));
        assert_eq!(life.progress.last().unwrap(), &(instant("2026-03-27T08:00:00Z"), Fraction(1.0)));
    }

    #[test]
    fn a_year_is_the_sum_of_its_months() {
        let room = room(&told());
        let year = year(&room, instant("2026-04-15T08:00:00Z"));
        assert_eq!(year.months.len(), 12);
        assert_eq!(year.months[0].first, NaiveDate::from_ymd_opt(2025, 5, 1).unwrap());
        let march = year.months[10];
        // 3.5 l at half a kilogram a litre.
        assert_eq!((march.kept_out.get(), year.tally.kept_out.value.get()), (1750.0, 1750.0));
        assert!(year.months[11].kept_out.get().abs() < 1e-12);
        assert!(march.buried > Millilitres::ZERO && march.buried == year.buried);
    }

    #[test]
    fn a_bin_without_a_batch_has_no_life() {
        let room = room(&told()[..2]);
        assert_eq!(life(&room, room.bin("green").unwrap(), instant("2026-03-13T08:00:00Z")), None);
        assert_eq!(year(&room, instant("2026-03-13T08:00:00Z")).buried, Millilitres::ZERO);
    }
}
