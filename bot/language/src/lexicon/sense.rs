//! What words can mean.

use std::sync::LazyLock;

use super::Mark;
use crate::amount::Unit;
use crate::reading::{Food, Lid, Moisture, Mould, Smell, Use};

/// One meaning of a word or phrase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Sense {
    /// `three`
    Cardinal(f64),
    /// `hundred`: multiplies.
    Scale(f64),
    /// `couple`: two, after an article.
    Pair,
    /// `half`, `third`, `quarter`.
    Share(f64),
    /// `third` of the month.
    Ordinal(u32),
    /// `to`, `for`: what dictation writes for a number.
    Homophone(f64),
    /// `some`, `lots`: an amount that is none.
    Vague,
    /// A unit of measure.
    Unit(Unit),
    /// A kitchen measure: index into the lexicon's table (name, ml; 0 for the bucket).
    Kitchen(&'static str, f64),
    /// A class of food.
    Food(Food),
    /// A thing of the trade.
    Matter(Matter),
    /// A verb.
    Verb(Act, Forms),
    /// A word of time.
    Time(TimeWord),
    /// A smell.
    Smell(Smell),
    /// A noun of smelling.
    SmellNoun,
    /// A noun for mould.
    MouldNoun,
    /// A colour, as of mould.
    Colour(Mould),
    /// Wet, dry or fine.
    Moisture(Moisture),
    /// Small animals.
    Pests,
    /// How a lid is.
    Lid(Lid),
    /// How full a bin is.
    Level(f64),
    /// Where liquid goes.
    Use(Use),
    /// A function word.
    Mark(Mark),
}

/// All meanings of a word or phrase. What is asked of them most often is worked out once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Senses(&'static Meanings);

#[derive(Debug, PartialEq)]
struct Meanings {
    list: &'static [Sense],
    /// One bit for each function word.
    marks: u128,
    /// One bit for each thing of the trade.
    matters: u16,
    /// One bit for each act.
    acts: u64,
    /// It can be part of a number.
    numeric: bool,
    /// The first meaning as a word of time.
    time: Option<TimeWord>,
    /// The first meaning as a unit.
    unit: Option<Unit>,
    /// The first meaning as a number.
    cardinal: Option<f64>,
}

impl Meanings {
    const NONE: Self = Self {
        list: &[],
        marks: 0,
        matters: 0,
        acts: 0,
        numeric: false,
        time: None,
        unit: None,
        cardinal: None,
    };

    fn of(list: &'static [Sense]) -> Self {
        let mut all = Self { list, ..Self::NONE };
        for sense in list {
            match *sense {
                Sense::Mark(mark) => all.marks |= mark.bit(),
                Sense::Matter(matter) => all.matters |= 1 << matter as u16,
                Sense::Verb(act, _) => all.acts |= 1 << act as u64,
                Sense::Time(word) => all.time = all.time.or(Some(word)),
                Sense::Unit(unit) => all.unit = all.unit.or(Some(unit)),
                Sense::Cardinal(value) => all.cardinal = all.cardinal.or(Some(value)),
                _ => {}
            }
            all.numeric |= matches!(
                sense,
                Sense::Cardinal(_)
                    | Sense::Scale(_)
                    | Sense::Pair
                    | Sense::Share(_)
                    | Sense::Homophone(_)
                    | Sense::Mark(Mark::A)
            );
        }
        all
    }
}

impl Senses {
    /// No meaning.
    pub(crate) const NONE: Self = Self(&Meanings::NONE);

    /// Keeps `list` as long as the program runs.
    pub(super) fn leaked(list: Vec<Sense>) -> Self {
        Self(Box::leak(Box::new(Meanings::of(Box::leak(list.into_boxed_slice())))))
    }

    /// The month alone of a word that can be something else too: `may` in `3 May`.
    pub(crate) fn month(month: u32) -> Self {
        static MONTHS: LazyLock<Vec<Senses>> = LazyLock::new(|| {
            (0..=12).map(|month| Senses::leaked(vec![Sense::Time(TimeWord::Month(month))])).collect()
        });
        MONTHS.get(month as usize).copied().unwrap_or(Self::NONE)
    }

    /// Whether it can be any of the function words in `bits`.
    pub(crate) fn has(self, bits: u128) -> bool {
        self.0.marks & bits != 0
    }

    /// Whether it can be that thing of the trade.
    pub(crate) fn is_matter(self, matter: Matter) -> bool {
        self.0.matters >> matter as u16 & 1 == 1
    }

    /// Whether it can be a form of that verb.
    pub(crate) fn is_act(self, act: Act) -> bool {
        self.0.acts >> act as u64 & 1 == 1
    }

    /// Whether it can be part of a number.
    pub(crate) fn is_numeric(self) -> bool {
        self.0.numeric
    }

    /// What it means as a word of time.
    pub(crate) fn time(self) -> Option<TimeWord> {
        self.0.time
    }

    /// What it means as a unit.
    pub(crate) fn unit(self) -> Option<Unit> {
        self.0.unit
    }

    /// What it means as a number.
    pub(crate) fn cardinal(self) -> Option<f64> {
        self.0.cardinal
    }

    /// The meanings.
    pub(crate) fn list(self) -> &'static [Sense] {
        self.0.list
    }
}

impl std::ops::Deref for Senses {
    type Target = [Sense];

    fn deref(&self) -> &[Sense] {
        self.0.list
    }
}

/// Things of the trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Matter {
    Scraps,
    Bran,
    Liquid,
    Soil,
    Water,
    Cleaner,
    Bin,
    Batch,
    Plot,
    Lid,
    Tap,
    Digest,
    Hours,
    Zone,
    System,
}

/// What a verb does in this trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Act {
    Add,
    Sprinkle,
    Drain,
    Start,
    Seal,
    Tape,
    Check,
    Look,
    Open,
    Bury,
    Discard,
    Plant,
    Clean,
    Make,
    Buy,
    Remove,
    Hold,
    Call,
    Smell,
    Pour,
    Give,
    Go,
    Get,
    Take,
    Use,
    Water,
    Dilute,
    Fill,
    Run,
    Mean,
    Undo,
    Skip,
    Remind,
    Move,
    Finish,
    Show,
    Set,
    Save,
    Say,
    Read,
    Cook,
}

/// Which forms of its verb a word can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Forms(u8);

impl Forms {
    pub(crate) const BASE: Self = Self(1);
    pub(crate) const THIRD: Self = Self(2);
    pub(crate) const PAST: Self = Self(4);
    pub(crate) const PARTICIPLE: Self = Self(8);
    pub(crate) const ING: Self = Self(16);

    /// Both.
    pub(crate) fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether it can be one of `other`.
    pub(crate) fn has(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }
}

/// A word of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum TimeWord {
    /// Days from today.
    Day(i64),
    Tonight,
    LastNight,
    /// A part of the day: hour and minute that it is written as.
    Part(u32, u32),
    Midnight,
    Now,
    /// A time that cannot be placed.
    Vague,
    /// So long ago that it is a story.
    Old,
    Earlier,
    Weekday(Day),
    Month(u32),
    /// A feast of a fixed date: month and day.
    Feast(u32, u32),
    Unit(TimeUnit),
    Ago,
    Last,
    This,
    Next,
    Am,
    Pm,
    Oclock,
    Past,
    To,
    Until,
    Since,
}

/// A day of the week.
pub(crate) type Day = chrono::Weekday;

/// A unit of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum TimeUnit {
    Second,
    Minute,
    Hour,
    Day,
    Week,
    Fortnight,
    Month,
    Year,
    Night,
}
