//! The parts of a question: what is asked for, what else it speaks of, the bin and the plot it names, and the amount.

use std::cell::OnceCell;

use branbell_language::{Reading, Slots};
use branbell_scheduler::state::Room;

use super::super::Occasion;
use crate::say;

/// What a question may be made of. The words of each stand with the texts, as `inquiry-..-words`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    // What is asked.
    HowMuch,
    HowLong,
    HowFar,
    Spread,
    HowWet,
    HowTo,
    Which,
    Begin,
    If,
    Would,
    May,
    Might,
    Chance,
    // What is asked about.
    Bin,
    Bins,
    Bran,
    Can,
    Compost,
    Container,
    Emissions,
    Feed,
    Ground,
    Nitrogen,
    Flat,
    Pot,
    Soil,
    Tea,
    Water,
    Year,
    // What is said of it.
    All,
    Bury,
    Enough,
    Full,
    Had,
    Last,
    LeftOver,
    Made,
    Make,
    Mix,
    More,
    Need,
    Next,
    Room,
    Short,
    Soon,
    Weaker,
    Without,
}

/// What can be asked for: `how much soil`, `which bed`.
const THINGS: [Part; 11] = [
    Part::Bin,
    Part::Bran,
    Part::Can,
    Part::Compost,
    Part::Pot,
    Part::Container,
    Part::Ground,
    Part::Soil,
    Part::Water,
    Part::Feed,
    Part::Emissions,
];

/// What is asked for stands so near: `how many litres of soil`.
const NEAR: usize = 3;

/// No question is longer; what comes behind is not looked at.
const MOST_WORDS: usize = 40;

/// Nobody speaks of things by the hundred.
const MOST_COUNTED: f64 = 10.0;

impl Part {
    /// The text that lists its words.
    fn id(self) -> &'static str {
        match self {
            Self::HowMuch => "inquiry-how-much-words",
            Self::HowLong => "inquiry-how-long-words",
            Self::HowFar => "inquiry-how-far-words",
            Self::Spread => "inquiry-spread-words",
            Self::HowWet => "inquiry-how-wet-words",
            Self::HowTo => "inquiry-how-to-words",
            Self::Which => "inquiry-which-words",
            Self::Begin => "inquiry-begin-words",
            Self::If => "inquiry-if-words",
            Self::Would => "inquiry-would-words",
            Self::May => "inquiry-may-words",
            Self::Might => "inquiry-might-words",
            Self::Chance => "inquiry-chance-words",
            Self::Bin => "inquiry-bin-words",
            Self::Bins => "inquiry-bins-words",
            Self::Bran => "inquiry-bran-words",
            Self::Can => "inquiry-can-words",
            Self::Compost => "inquiry-compost-words",
            Self::Container => "inquiry-container-words",
            Self::Emissions => "inquiry-emissions-words",
            Self::Feed => "inquiry-feed-words",
            Self::Ground => "inquiry-ground-words",
            Self::Nitrogen => "inquiry-nitrogen-words",
            Self::Flat => "inquiry-flat-words",
            Self::Pot => "inquiry-pot-words",
            Self::Soil => "inquiry-soil-words",
            Self::Tea => "inquiry-tea-words",
            Self::Water => "inquiry-water-words",
            Self::Year => "inquiry-year-words",
            Self::All => "inquiry-all-words",
            Self::Bury => "inquiry-bury-words",
            Self::Enough => "inquiry-enough-words",
            Self::Full => "inquiry-full-words",
            Self::Had => "inquiry-had-words",
            Self::Last => "inquiry-last-words",
            Self::LeftOver => "inquiry-left-over-words",
            Self::Made => "inquiry-made-words",
            Self::Make => "inquiry-make-words",
            Self::Mix => "inquiry-mix-words",
            Self::More => "inquiry-more-words",
            Self::Need => "inquiry-need-words",
            Self::Next => "inquiry-next-words",
            Self::Room => "inquiry-room-words",
            Self::Short => "inquiry-short-words",
            Self::Soon => "inquiry-soon-words",
            Self::Weaker => "inquiry-weaker-words",
            Self::Without => "inquiry-without-words",
        }
    }
}

/// A question taken apart; the names of bins and plots are not among its words.
pub(super) struct Parts<'a> {
    pub(super) room: &'a Room,
    pub(super) on: Occasion<'a>,
    /// It ends as a question does.
    marked: bool,
    /// The place of the first amount, and what it is, once it was looked for.
    measured: OnceCell<Option<(usize, Slots)>>,
    words: Vec<String>,
    /// The bin that is named.
    pub(super) bin: Option<String>,
    /// The plot that is named.
    pub(super) plot: Option<String>,
}

impl<'a> Parts<'a> {
    pub(super) fn of(room: &'a Room, on: Occasion<'a>) -> Self {
        let text = on.source.text;
        let spaced = text.to_lowercase().replace(':', " : ");
        let kept = |c: char| c.is_alphanumeric() || c == '.' || c == ':' || c == '²' || c == '₂' || c == '%';
        let split = spaced.split(|c: char| !kept(c)).map(|word| word.trim_end_matches('.'));
        let split: Vec<&str> = split.filter(|word| !word.is_empty()).take(MOST_WORDS).collect();
        let mut padded = format!(" {} ", split.join(" "));
        let mut take = |names: Vec<&String>| {
            let padded_name = |name: &String| format!(" {} ", name.to_lowercase());
            let named = names.iter().filter(|name| padded.contains(&padded_name(name)));
            let named = named.max_by_key(|name| name.len()).map(|name| (*name).clone());
            for name in names {
                padded = padded.replace(&padded_name(name), " ");
            }
            named
        };
        let plot = take(room.plots.iter().map(|plot| &plot.name).collect());
        let bin = take(room.bins.iter().map(|bin| &bin.name).collect());
        let words = padded.split_whitespace().map(str::to_owned).collect();
        Self { room, on, marked: text.contains('?'), measured: OnceCell::new(), words, bin, plot }
    }

    /// Whether it asks at all.
    pub(super) fn asks(&self) -> bool {
        let asking = [Part::HowMuch, Part::HowLong, Part::HowFar, Part::HowWet, Part::HowTo, Part::Which];
        self.marked
            || self.any(&asking)
            || self.end(Part::Begin, 0).is_some()
            || self.any(&[Part::If, Part::Chance])
    }

    /// Whether it has one of the words of a part.
    pub(super) fn has(&self, part: Part) -> bool {
        let list = self.on.voice.word(part.id());
        (0..self.words.len()).any(|place| self.end_of(&list, place).is_some())
    }

    pub(super) fn any(&self, parts: &[Part]) -> bool {
        parts.iter().any(|part| self.has(*part))
    }

    pub(super) fn all(&self, parts: &[Part]) -> bool {
        parts.iter().all(|part| self.has(*part))
    }

    /// Whether the question is for how much of this thing: `how much soil`, `what size must the box be`.
    pub(super) fn asks_how_much(&self, thing: Part) -> bool {
        self.thing_behind(Part::HowMuch) == Some(thing)
    }

    /// Whether the question is for which of these things: `which bed`, `where in the garden`.
    pub(super) fn asks_which(&self, thing: Part) -> bool {
        self.thing_behind(Part::Which) == Some(thing)
    }

    /// Whether this thing is what there is none of: `without a garden`, `no free bin`.
    pub(super) fn lacks(&self, thing: Part) -> bool {
        self.thing_behind(Part::Without) == Some(thing)
    }

    /// The thing that stands nearest behind the words of a part.
    fn thing_behind(&self, before: Part) -> Option<Part> {
        let mut ends = (0..self.words.len()).filter_map(|place| self.end(before, place));
        ends.find_map(|end| (end..=end + NEAR).find_map(|place| self.thing(place)))
    }

    fn thing(&self, place: usize) -> Option<Part> {
        THINGS.into_iter().find(|thing| self.end(*thing, place).is_some())
    }

    /// The place behind a part's words that begin at a place.
    fn end(&self, part: Part, place: usize) -> Option<usize> {
        self.end_of(&self.on.voice.word(part.id()), place)
    }

    /// The place behind the longest phrase of a list that begins at a place.
    fn end_of(&self, list: &str, place: usize) -> Option<usize> {
        let rest = self.words.get(place..)?;
        let begins = |phrase: &str| {
            let length = phrase.split(' ').count();
            let fits = phrase.split(' ').eq(rest.iter().take(length).map(String::as_str));
            fits.then_some(place + length)
        };
        list.split(", ").filter_map(begins).max()
    }

    /// The first amount that is told, ml.
    pub(super) fn ml(&self) -> Option<f64> {
        self.measured()?.1.ml
    }

    /// The first amount that is told, g.
    pub(super) fn g(&self) -> Option<f64> {
        self.measured()?.1.g
    }

    /// Whether it begins with an amount that nobody says they did anything with: `700 g of bran, how much liquid`.
    pub(super) fn begins_with_amount(&self) -> bool {
        self.measured().is_some_and(|(place, _)| *place == 0)
    }

    /// Whether an amount is told.
    pub(super) fn measures(&self) -> bool {
        self.measured().is_some()
    }

    /// The place of the first amount, and what it is.
    fn measured(&self) -> Option<&(usize, Slots)> {
        let found = || {
            (0..self.words.len()).find_map(|place| {
                let told = |length: usize| self.lot(&self.words.get(place..place + length)?.join(" "));
                Some((place, told(2).or_else(|| told(1))?))
            })
        };
        self.measured.get_or_init(found).as_ref()
    }

    /// How many bins are supposed: `two more bins`, `two 20 l bins`.
    pub(super) fn count(&self) -> usize {
        let more = (0..self.words.len()).find(|place| self.end(Part::More, *place).is_some());
        let sized = || self.measured().map(|(place, _)| *place);
        let counted = |place: usize| self.number(place.checked_sub(1)?, 1);
        let count = more.and_then(counted).or_else(|| sized().and_then(counted));
        count.map_or(1, |count| count.round().clamp(1.0, MOST_COUNTED) as usize)
    }

    /// The parts of water in `1:200`, `1 to 200`, `one to two hundred`.
    pub(super) fn ratio(&self) -> Option<f64> {
        let (one, to) = (self.on.voice.word("ratio-one-words"), self.on.voice.word("ratio-to-words"));
        (0..self.words.len()).find_map(|place| {
            let parts = self.end_of(&to, self.end_of(&one, place)?)?;
            self.number(parts, 2).filter(|parts| *parts >= 1.0)
        })
    }

    /// The number that begins at a place, in at most so many words.
    fn number(&self, place: usize, most: usize) -> Option<f64> {
        (1..=most).rev().find_map(|length| {
            let number = self.words.get(place..place + length)?.join(" ");
            self.lot(&format!("{number} l"))?.ml.map(|ml| ml / 1000.0)
        })
    }

    /// What the ear makes of an amount.
    fn lot(&self, amount: &str) -> Option<Slots> {
        let sentence = say!(self.on.voice, "sentence-added", amount = amount).plain();
        let Reading { mut facts, unclear: None, .. } = self.read(&sentence) else { return None };
        let slots = facts.pop().filter(|_| facts.is_empty())?.slots;
        slots.ml.or(slots.g).is_some_and(|amount| amount > 0.0).then_some(slots)
    }

    fn read(&self, sentence: &str) -> Reading {
        let mut message = self.on.message(self.room, sentence);
        message.reply_to = None;
        branbell_language::read(&message)
    }
}
