//! Pictures of hand-made rooms: what they say, how large they are, and that no room is too odd for them.
//!
//! To look at them: `PICTURES=some/folder cargo test -p branbell picture`, with a folder that is there.

use branbell_scheduler::fact::{Fact, Mould, Place, Signs, Smell, Units, What};
use chrono::TimeDelta;
use chrono_tz::Tz;

use super::*;

/// A room that is told facts.
struct Told {
    room: Room,
    facts: Vec<Fact>,
}

/// Days after 1 March 2026, 08:00 in Vienna.
fn day(days: f64) -> DateTime<Utc> {
    let first = DateTime::parse_from_rfc3339("2026-03-01T08:00:00+01:00").unwrap().to_utc();
    first + TimeDelta::minutes((days * 1440.0).round() as i64)
}

impl Told {
    fn new(units: Units) -> Self {
        let mut told = Self { room: Room::default(), facts: Vec::new() };
        told.tell(0.0, What::Opened { zone: Tz::Europe__Vienna, units, direct: true });
        told.tell(0.0, What::Member { person: "ana".into(), name: "ana".into(), steward: true });
        told
    }

    fn tell(&mut self, at: f64, what: What) {
        let seq = i64::try_from(self.facts.len()).unwrap() + 1;
        let (event, author) = (format!("$e{seq}"), "ana".to_owned());
        self.facts.push(Fact { seq, event, author, at: day(at), told: day(at), what });
    }

    fn bin(&mut self, at: f64, bin: &str, litres: f64) {
        self.tell(at, What::BinSet { bin: bin.into(), capacity_ml: Some(litres * 1000.0), tap: None });
    }

    fn scraps(&mut self, at: f64, bin: &str, litres: f64) {
        self.tell(
            at,
            What::Scraps { bin: bin.into(), ml: Some(litres * 1000.0), g: None, foods: Vec::new() },
        );
    }

    fn bran(&mut self, at: f64, bin: &str, spoons: f64) {
        self.tell(at, What::Bran { bin: bin.into(), ml: Some(spoons * 15.0), g: None });
    }

    fn drained(&mut self, at: f64, bin: &str, ml: f64) {
        self.tell(at, What::Drained { bin: bin.into(), ml, used: None, estimated: false });
    }

    fn sealed(&mut self, at: f64, bin: &str) {
        self.tell(at, What::Sealed { bin: bin.into() });
    }

    fn warm(&mut self, at: f64, c: f64) {
        self.tell(at, What::Temperature { place: Place::Room, c });
    }

    fn plot(&mut self, plot: &str, area: Option<f64>) {
        self.tell(0.0, What::PlotSet { plot: plot.into(), area_m2: area });
    }

    fn buried(&mut self, at: f64, bin: &str, plot: &str) {
        self.tell(at, What::Buried { bin: bin.into(), plot: Some(plot.into()), depth_cm: None });
    }

    /// Filled day by day, a little more at the week's end.
    fn filled(&mut self, bin: &str, from: u32, to: u32) {
        for place in from..to {
            let at = f64::from(place);
            self.scraps(at + 0.4, bin, 0.6 + f64::from(place % 7) * 0.15);
            if place % 2 == 0 {
                self.bran(at + 0.4, bin, 2.0);
            }
            if place % 4 == 3 {
                self.drained(at + 0.5, bin, 120.0 + f64::from(place % 5) * 30.0);
            }
        }
    }

    /// The picture, which is decoded again and held to its limits.
    fn picture(&mut self, name: &str, view: &View, at: f64) -> Picture {
        self.room = Room::fold(&self.facts);
        let picture = draw(&Voice::english(), &self.room, view, day(at)).unwrap();
        if let Some(folder) = std::env::var_os("PICTURES") {
            std::fs::write(std::path::Path::new(&folder).join(format!("{name}.png")), &picture.png).unwrap();
        }
        let reader = png::Decoder::new(std::io::Cursor::new(&picture.png)).read_info().unwrap();
        assert_eq!(reader.info().size(), (picture.width, picture.height));
        assert_eq!(picture.width, 1080);
        assert!(picture.png.len() <= 200_000, "{name} has {} bytes", picture.png.len());
        assert!(picture.height <= 4000, "{name} is {} pixels high", picture.height);
        assert!(picture.alt.starts_with(&picture.title) && picture.alt.ends_with('.'), "{}", picture.alt);
        picture
    }

    fn alt(&mut self, name: &str, view: &View, at: f64) -> String {
        self.picture(name, view, at).alt
    }
}

/// A kitchen at the end of April, with a bin in each phase.
fn kitchen(units: Units) -> Told {
    let mut told = Told::new(units);
    for (bin, litres) in [("green", 19.0), ("blue", 15.0), ("red", 15.0), ("grey", 10.0), ("cellar", 60.0)] {
        told.bin(0.0, bin, litres);
    }
    for place in 0..9 {
        told.warm(f64::from(place) * 8.0, 18.0 + f64::from(place % 4) * 1.3);
    }
    told.filled("red", 1, 20);
    told.sealed(20.5, "red");
    told.filled("grey", 21, 30);
    told.filled("blue", 30, 48);
    told.tell(38.0, What::Discarded { bin: "grey".into() });
    told.sealed(48.5, "blue");
    told.filled("green", 49, 58);
    told
}

/// Ten years of a household with two bins, buried in three beds.
fn decade() -> Told {
    let mut told = Told::new(Units::Metric);
    told.bin(0.0, "green", 19.0);
    told.bin(0.0, "blue", 19.0);
    told.plot("herb bed", Some(2.0));
    told.plot("south bed", Some(9.0));
    told.plot("by the fence", None);
    for cycle in 0..208_u32 {
        let (bin, from) = (if cycle % 2 == 0 { "green" } else { "blue" }, cycle * 17);
        if cycle >= 2 {
            told.buried(f64::from(from), bin, ["herb bed", "south bed", "by the fence"][cycle as usize % 3]);
        }
        told.filled(bin, from + 1, from + 16);
        told.sealed(f64::from(from) + 16.5, bin);
        told.warm(f64::from(from) + 9.0, 17.0 + f64::from(cycle % 8));
    }
    told
}

const NOW: f64 = 58.5;

fn batch(bin: &str) -> View {
    View::Batch { bin: bin.into() }
}

#[test]
fn pictures_in_words() {
    let mut said = Vec::new();
    let mut say = |told: &mut Told, name: &str, view: View, at: f64| {
        said.push(format!("## {name}\n{}\n", told.alt(name, &view, at)));
    };
    let mut told = kitchen(Units::Metric);
    say(&mut told, "bins", View::Bins, NOW);
    say(&mut told, "batch-sealed", batch("blue"), NOW);
    say(&mut told, "batch-filling", batch("green"), NOW);
    say(&mut told, "batch-ready", batch("red"), NOW);
    say(&mut told, "batch-ended", batch("grey"), NOW);
    say(&mut told, "batch-none", batch("cellar"), NOW);
    say(&mut told, "year-young", View::Year, NOW);
    say(&mut decade(), "year", View::Year, 3540.0);
    let mut told = kitchen(Units::Us);
    say(&mut told, "bins-us", View::Bins, NOW);
    say(&mut told, "batch-us", batch("blue"), NOW);
    say(&mut kitchen(Units::Imperial), "year-imperial", View::Year, NOW);
    let mut told = Told::new(Units::Metric);
    say(&mut told, "bins-none", View::Bins, 0.0);
    say(&mut told, "year-none", View::Year, 0.0);
    say(&mut told, "batch-unknown", batch("no such bin"), 0.0);
    told.tell(0.0, What::BinSet { bin: "green".into(), capacity_ml: None, tap: None });
    told.scraps(0.0, "green", 3.0);
    say(&mut told, "bins-sizeless", View::Bins, 0.1);
    say(&mut told, "batch-sizeless", batch("green"), 0.1);
    insta::assert_snapshot!(said.join("\n"));
}

#[test]
fn a_bad_check_is_seen_in_the_picture() {
    let mut told = kitchen(Units::Metric);
    let signs = Signs { smell: Some(Smell::Rotten), mould: Some(Mould::Green), ..Signs::default() };
    told.tell(52.0, What::Checked { bin: "blue".into(), signs });
    let said = told.alt("bins-bad", &View::Bins, NOW);
    assert!(said.contains("Blue: fermenting") && said.contains("the last check was bad"), "{said}");
    assert!(told.alt("batch-bad", &batch("blue"), NOW).contains("the last check was bad"));
}

#[test]
fn many_bins_with_odd_names_have_pictures() {
    let mut told = Told::new(Units::Metric);
    let long = "the very long name of a bin that stands behind the stairs of the second yard";
    let names = [
        "🥕🪱 green",
        "🪱",
        "מטבח",
        "المطبخ الكبير",
        "green المطبخ 2",
        long,
        "x",
        "αβγ кухня",
        "厨房",
        "a\u{202E}b\u{0}c",
        "<b>&amp;",
        "Zażółć gęślą",
        "thirteenth",
        "fourteenth",
    ];
    for (place, name) in names.into_iter().enumerate() {
        told.bin(0.0, name, 10.0 + place as f64);
        told.filled(name, 1, 8);
        told.plot(name, Some(1.0 + place as f64));
        if place % 3 == 0 {
            told.sealed(8.5, name);
        }
        if place % 4 == 0 {
            told.buried(12.0, name, name);
        }
    }
    let said = told.alt("bins-many", &View::Bins, 10.0);
    assert!(names[..9].iter().all(|name| said.to_lowercase().contains(&name.to_lowercase())), "{said}");
    told.alt("year-many", &View::Year, 20.0);
    told.alt("batch-odd", &batch("المطبخ الكبير"), 10.0);
    for name in names {
        let said = in_words(&Voice::english(), &told.room, &batch(name), day(10.0));
        assert!(said.contains(", batch 1. "), "{said}");
    }
}

#[test]
fn ten_years_have_pictures() {
    let mut told = decade();
    told.alt("bins-decade", &View::Bins, 3540.0);
    told.alt("batch-decade", &batch("blue"), 3540.0);
    let mut told = kitchen(Units::Metric);
    // Nobody has said anything for ten years.
    for view in [View::Bins, batch("green"), batch("blue"), View::Year] {
        told.alt(&format!("forgotten-{}", view.file_name().trim_end_matches(".png")), &view, 3700.0);
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(10))]

    #[test]
    fn any_amounts_and_moments_have_pictures(
        told in proptest::collection::vec((0..7_usize, -4000.0..4000.0_f64, -1e9..1e9_f64), 0..24),
        now in -4000.0..8000.0_f64,
    ) {
        let mut room = Told::new(Units::Us);
        for (kind, at, amount) in told {
            match kind {
                0 => room.bin(at, "green", amount),
                1 => room.scraps(at, "green", amount),
                2 => room.bran(at, "green", amount),
                3 => room.drained(at, "green", amount),
                4 => room.sealed(at, "green"),
                5 => room.warm(at, amount),
                _ => room.buried(at, "green", "bed"),
            }
        }
        for view in [View::Bins, batch("green"), View::Year] {
            room.alt("any", &view, now);
        }
    }
}
