//! The rota over a year: buildings whose residents do what is asked of them, some late, some never, some away for weeks.
//! Nobody who is there carries more than 1.3 times the mean.
//!
//! `YEARS=30 cargo test -p branbell-scheduler --release --test fairness -- --nocapture` plays more years.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::collections::HashSet;

use branbell_scheduler::fact::{Fact, Signs, Units, What};
use branbell_scheduler::plan::{Nudge, NudgeKind, Subject, due_work, next_turn};
use branbell_scheduler::state::{Room, effort};
use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

/// No present resident carries more than so many times the mean.
const MOST: f64 = 1.3;

const YEAR: i64 = 365;

/// Years that are played where the environment does not tell.
const YEARS: u64 = 1;

/// What one resident's kitchen gives a day. Common practice, no source: a household fills a 19 litre bin in two weeks or three.
const LITRES_A_DAY: f64 = 0.6;

/// A building, and how its people are.
struct Building {
    residents: usize,
    bins: usize,
    /// What each bin holds, in litres.
    holds: f64,
    /// Of ten times asked, so many are answered the same day, by each of these in turn.
    answered_of_ten: &'static [u64],
    /// Every so many residents one is away for six weeks, in their own season.
    away_every: usize,
}

/// What a resident did, in minutes, and for how many days they were there.
#[derive(Clone, Copy, Default)]
struct Year {
    minutes: f64,
    days: f64,
}

struct Simulation {
    room: Room,
    seq: i64,
    now: DateTime<Utc>,
    years: Vec<Year>,
    dice: u64,
}

impl Simulation {
    fn new(building: &Building, dice: u64) -> Self {
        let now: DateTime<Utc> = "2027-01-01T08:00:00Z".parse().unwrap();
        let years = vec![Year::default(); building.residents];
        let mut simulation = Self { room: Room::default(), seq: 0, now, years, dice };
        simulation.tell("", What::Opened { zone: Tz::UTC, units: Units::Metric, direct: false });
        for resident in 0..building.residents {
            simulation.tell(
                "",
                What::Member { person: name(resident), name: name(resident), steward: resident == 0 },
            );
        }
        for bin in 0..building.bins {
            simulation.tell(
                "r0",
                What::BinSet {
                    bin: bin_name(bin),
                    capacity_ml: Some(building.holds * 1_000.0),
                    tap: Some(true),
                },
            );
        }
        simulation.tell("r0", What::StarterStock { g: Some(3_000.0), ml: None });
        simulation
    }

    fn tell(&mut self, author: &str, what: What) {
        self.seq += 1;
        let (seq, at) = (self.seq, self.now);
        let fact = Fact { seq, event: String::new(), author: author.to_owned(), at, told: at, what };
        if let Some(year) =
            author.strip_prefix('r').and_then(|place| self.years.get_mut(place.parse::<usize>().unwrap()))
        {
            year.minutes += effort(&fact.what).unwrap_or_default();
        }
        self.room.apply(&fact);
    }

    /// A number below ten, the same in every run (a linear congruential generator with the constants of Knuth's MMIX).
    fn roll(&mut self) -> u64 {
        self.dice = self.dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.dice >> 33) % 10
    }

    /// A day: some scraps go in, and what is due is asked of whoever's turn it is.
    fn day(&mut self, building: &Building, day: i64) {
        self.holidays(building, day);
        let bins: Vec<String> = self.room.bins_in_use().map(|bin| bin.name.clone()).collect();
        let open = bins.into_iter().find(|bin| self.room.bin(bin).is_some_and(|bin| bin.sealed().is_none()));
        if let Some(bin) = open {
            let litres = building.residents as f64 * LITRES_A_DAY;
            let filler = name(usize::try_from(day).unwrap() % building.residents);
            let scraps =
                What::Scraps { bin: bin.clone(), ml: Some(litres * 1_000.0), g: None, foods: Vec::new() };
            self.tell(&filler, scraps);
            self.tell(&filler, What::Bran { bin, ml: Some(litres * 17.0), g: None });
        }
        self.now += TimeDelta::hours(10);
        let mut asked = HashSet::new();
        while let Some(nudge) =
            due_work(&self.room, self.now).into_iter().find(|nudge| !asked.contains(&nudge.key))
        {
            asked.insert(nudge.key.clone());
            self.ask(building, &nudge);
        }
        self.now += TimeDelta::hours(14);
    }

    fn ask(&mut self, building: &Building, nudge: &Nudge) {
        let Some(person) = next_turn(&self.room, nudge, self.now).map(|person| person.id.clone()) else {
            return;
        };
        let (key, minutes) = (nudge.key.0.clone(), nudge.kind.effort());
        self.tell("", What::Asked { person: person.clone(), nudge: key, minutes });
        let place: usize = person.trim_start_matches('r').parse().unwrap();
        let answers = building.answered_of_ten[place % building.answered_of_ten.len()];
        if self.roll() < answers {
            self.work(&person, nudge);
        }
    }

    fn work(&mut self, person: &str, nudge: &Nudge) {
        let Some(Subject::Bin(bin)) = nudge.subject.clone() else {
            if nudge.kind == NudgeKind::Starter {
                self.tell(person, What::StarterMade { g: 2_000.0 });
            }
            return;
        };
        match nudge.kind {
            NudgeKind::Drain => {
                self.tell(person, What::Drained { bin, ml: 300.0, used: None, estimated: false });
            }
            NudgeKind::Seal => self.tell(person, What::Sealed { bin }),
            NudgeKind::Check => {
                let signs =
                    Signs { smell: Some(branbell_scheduler::fact::Smell::SweetSour), ..Signs::default() };
                self.tell(person, What::Checked { bin, signs });
            }
            NudgeKind::Bury => {
                self.tell(person, What::Buried { bin: bin.clone(), plot: None, depth_cm: None });
                self.tell(person, What::Cleaned { bin });
            }
            _ => {}
        }
    }

    fn holidays(&mut self, building: &Building, day: i64) {
        for resident in 0..building.residents {
            let leaves = i64::try_from(resident).unwrap() * 37 % (YEAR - 60) + 5;
            let travels = resident % building.away_every == 0;
            if travels && day == leaves {
                let until = Some(self.now + TimeDelta::weeks(6));
                self.tell("", What::Away { person: name(resident), until });
            }
            if self.room.person(&name(resident)).unwrap().is_available(self.now) {
                self.years[resident].days += 1.0;
            }
        }
    }

    /// What those who answer did, in minutes per year of presence.
    fn rates(&self, building: &Building) -> Vec<f64> {
        let answers = |place: usize| building.answered_of_ten[place % building.answered_of_ten.len()] > 0;
        let answering = self.years.iter().enumerate().filter(|(place, _)| answers(*place));
        answering.map(|(_, year)| year.minutes / year.days * YEAR as f64).collect()
    }

    /// The most that anybody did, and the mean.
    fn heaviest(&self, building: &Building) -> (f64, f64) {
        let rates = self.rates(building);
        (rates.iter().copied().fold(0.0, f64::max), rates.iter().sum::<f64>() / rates.len() as f64)
    }
}

fn name(resident: usize) -> String {
    format!("r{resident}")
}

fn bin_name(bin: usize) -> String {
    format!("bin {bin}")
}

fn year(building: &Building, dice: u64) -> Simulation {
    let mut simulation = Simulation::new(building, dice);
    for day in 0..YEAR {
        simulation.day(building, day);
    }
    simulation
}

/// The most that anybody did of the mean, in each of some years, in order.
fn shares(building: &Building) -> Vec<f64> {
    let years = std::env::var("YEARS").ok().and_then(|years| years.parse().ok()).unwrap_or(YEARS);
    let played = (1..=years).map(|place| {
        let (most, mean) = year(building, place * 1_000_003).heaviest(building);
        assert!(mean > 120.0, "there was work: {mean} minutes each");
        most / mean
    });
    let mut shares: Vec<f64> = played.collect();
    shares.sort_by(f64::total_cmp);
    let (median, most) = (shares[shares.len() / 2], shares[shares.len() - 1]);
    println!("{} residents: heaviest of the mean: median {median:.2}, most {most:.2}", building.residents);
    shares
}

#[test]
fn eight_residents_share_two_bins_fairly() {
    let building =
        Building { residents: 8, bins: 2, holds: 60.0, answered_of_ten: &[10, 9, 8, 7, 9], away_every: 3 };
    let shares = shares(&building);
    assert!(shares.iter().all(|share| *share <= MOST), "{shares:?}");
}

/// Among thirty each has two or three hours a year, and burying with washing takes one of them.
#[test]
fn thirty_residents_share_three_bins_fairly() {
    let building =
        Building { residents: 30, bins: 3, holds: 120.0, answered_of_ten: &[10, 8, 9], away_every: 4 };
    let shares = shares(&building);
    assert!(shares.iter().all(|share| *share <= MOST), "{shares:?}");
}

/// Who never answers is asked no more than the others work, and what they leave undone is shared by those who do it.
#[test]
fn what_one_never_does_is_shared_by_the_others() {
    let building = Building {
        residents: 8,
        bins: 2,
        holds: 60.0,
        answered_of_ten: &[0, 10, 9, 10, 8, 9, 10, 10],
        away_every: 5,
    };
    let simulation = year(&building, 42);
    assert!(simulation.years[0].minutes.abs() < f64::EPSILON, "it is r0 who does nothing");
    let (most, mean) = simulation.heaviest(&building);
    assert!(most <= MOST * mean, "somebody worked {most} minutes, where the mean is {mean}");
    let in_vain = simulation.room.person("r0").unwrap().in_vain;
    assert!(in_vain <= MOST * mean, "asked in vain for {in_vain} minutes, where the mean is {mean}");
}
