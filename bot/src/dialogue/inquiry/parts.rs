//! The parts of a question: what is asked for, what else it speaks of, the bin and the plot it names, and the amount.

use std::cell::OnceCell;
use std::ops::Range;

use branbell_language::{Reading, Slots};
use branbell_scheduler::quantity::acid;
use branbell_scheduler::state::Room;
use branbell_scheduler::units::{Centimetres, Grams, Millilitres, Ph};

use super::super::Occasion;
use super::part::Part;
use crate::say;

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

/// `half a litre` is an amount in three words.
const AMOUNT_WORDS: usize = 3;

/// Nobody speaks of things by the hundred.
const MOST_COUNTED: f64 = 10.0;

/// An amount that is told.
struct Measured {
    /// The place of its first word, and the one behind its last.
    words: Range<usize>,
    amount: Slots,
}

/// A question taken apart; the names of bins and plots are not among its words.
pub(super) struct Parts<'a> {
    pub(super) room: &'a Room,
    pub(super) on: Occasion<'a>,
    /// It ends as a question does.
    marked: bool,
    /// The first amount, once it was looked for.
    measured: OnceCell<Option<Measured>>,
    words: Vec<String>,
    /// The bin that is named.
    pub(super) bin: Option<String>,
    /// The plot that is named.
    pub(super) plot: Option<String>,
}

impl<'a> Parts<'a> {
    pub(super) fn of(room: &'a Room, on: Occasion<'a>) -> Self {
        let text = on.source.text;
        let spaced = spaced(text);
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
        let glued = on.voice.word("inquiry-glued-words");
        let whole = |word: &str| {
            let short = word.strip_suffix('s').filter(|_| glued.split(", ").any(|glued| glued == word));
            short.unwrap_or(word).to_owned()
        };
        let words = padded.split_whitespace().map(whole).collect();
        Self { room, on, marked: text.contains('?'), measured: OnceCell::new(), words, bin, plot }
    }

    /// Whether it ends as a question does.
    pub(super) fn is_marked(&self) -> bool {
        self.marked
    }

    /// Whether it asks at all.
    pub(super) fn asks(&self) -> bool {
        let asking = [Part::HowMuch, Part::HowLong, Part::HowFar, Part::HowWet, Part::HowTo, Part::Which];
        self.marked || self.any(&asking) || self.has(Part::Chance) || self.opens_as_question()
    }

    /// Whether it begins as a question does: what it speaks of was not told.
    pub(super) fn opens_as_question(&self) -> bool {
        let begins = |place| self.end(Part::Begin, place).is_some();
        let led = self.end(Part::Lead, 0);
        begins(0) || led.is_some_and(begins) || self.any(&[Part::If, Part::Wonder])
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

    /// The first amount that is told, if by volume.
    pub(super) fn ml(&self) -> Option<Millilitres> {
        self.measured()?.amount.ml.map(Millilitres)
    }

    /// The first amount that is told, if by mass.
    pub(super) fn g(&self) -> Option<Grams> {
        self.measured()?.amount.g.map(Grams)
    }

    /// Whether it begins with an amount that nobody says they did anything with: `700 g of bran, how much liquid`.
    pub(super) fn begins_with_amount(&self) -> bool {
        self.measured().is_some_and(|measured| measured.words.start == 0)
    }

    /// Whether an amount is told.
    pub(super) fn measures(&self) -> bool {
        self.measured().is_some()
    }

    /// Whether the amount is the size of a vessel: `a 10 l tub`, and not `a 10 l tub of peel`.
    pub(super) fn sizes_vessel(&self) -> bool {
        let behind = |measured: &Measured| {
            let place = measured.words.end;
            let ends = [Part::Bin, Part::Container].map(|vessel| self.end(vessel, place));
            let end = ends.into_iter().flatten().max()?;
            Some(self.words.get(end).is_none_or(|next| next != &self.on.voice.word("ratio-of-word")))
        };
        self.measured().and_then(behind).unwrap_or_default()
    }

    /// The first amount: as many words as make one, and no more: of `two 20 l bins` the 20 l.
    fn measured(&self) -> Option<&Measured> {
        let told = |words: Range<usize>| {
            let amount = self.lot(&self.words.get(words.clone())?.join(" "))?;
            Some(Measured { words, amount })
        };
        let found = || {
            let lengths = (1..=AMOUNT_WORDS).rev();
            let longest = |place| lengths.clone().find_map(|length| told(place..place + length));
            let mut found = (0..self.words.len()).find_map(longest)?;
            while let Some(shorter) = told(found.words.start + 1..found.words.end)
                && shorter.amount == found.amount
            {
                found = shorter;
            }
            Some(found)
        };
        self.measured.get_or_init(found).as_ref()
    }

    /// How many bins are supposed: `two more bins`, `two 20 l bins`.
    pub(super) fn count(&self) -> usize {
        let more = (0..self.words.len()).find(|place| self.end(Part::More, *place).is_some());
        let sized = || self.measured().map(|measured| measured.words.start);
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

    /// The pH that is told beside the word for it: `pH 6.5`, `the strip says 6.5`.
    pub(super) fn ph(&self) -> Option<Ph> {
        let told = |place: usize| self.litres(self.words.get(place)?).map(Ph).filter(|ph| *ph <= acid::MOST);
        (0..self.words.len()).find_map(|place| {
            let end = self.end(Part::Strip, place)?;
            (end..=end + NEAR).find_map(told).or_else(|| told(place.checked_sub(1)?))
        })
    }

    /// The width or depth that is told: the length beside the word for it, `20 cm deep`, `a spade of 18 cm`.
    pub(super) fn length(&self, of: Part) -> Option<Centimetres> {
        let told = |place: usize| self.centimetres(&self.words.get(place..place + 2)?.join(" "));
        (0..self.words.len()).find_map(|place| {
            let end = self.end(of, place)?;
            place.checked_sub(2).and_then(told).or_else(|| (end..end + NEAR).find_map(told))
        })
    }

    /// What the ear makes of a length.
    fn centimetres(&self, length: &str) -> Option<Centimetres> {
        let sentence = say!(self.on.voice, "sentence-deep", length = length).plain();
        self.read(&sentence).facts.pop()?.slots.depth_cm.map(Centimetres)
    }

    /// The number that begins at a place, in at most so many words.
    fn number(&self, place: usize, most: usize) -> Option<f64> {
        (1..=most).rev().find_map(|length| self.litres(&self.words.get(place..place + length)?.join(" ")))
    }

    /// A bare number, as the ear takes so many litres.
    fn litres(&self, number: &str) -> Option<f64> {
        self.lot(&format!("{number} l"))?.ml.map(|ml| ml / 1000.0)
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

/// In small letters, with what is written in one taken apart: a colon, the number behind `pH`; and the comma of a decimal as a
/// point.
fn spaced(text: &str) -> String {
    let text = text.to_lowercase();
    let letters: Vec<char> = text.chars().collect();
    let is_digit = |place: Option<usize>| {
        place.and_then(|place| letters.get(place)).is_some_and(|letter: &char| letter.is_ascii_digit())
    };
    let mut spaced = String::with_capacity(text.len());
    for (place, letter) in letters.iter().enumerate() {
        let follows_ph = place >= 2 && letters[place - 2..place] == ['p', 'h'];
        match letter {
            ':' => spaced.push_str(" : "),
            ',' if is_digit(place.checked_sub(1))
                && is_digit(Some(place + 1))
                && !is_digit(Some(place + 3)) =>
            {
                spaced.push('.');
            }
            _ if follows_ph && is_digit(Some(place)) => spaced.extend([' ', *letter]),
            _ => spaced.push(*letter),
        }
    }
    spaced
}
