//! Names that the room has given: bins, plots, measures. Found exactly, by a telling part, in the plural, or misspelt.

mod around;
mod refer;
mod settle;

use std::ops::Range;

use crate::lexicon::{Cue, Lexicon, Mark, Matter, Sense};
use crate::message::Message;
use crate::spelling;
use crate::text::{Kind, Text, tokenise_next};

pub(crate) use refer::refer;
pub(crate) use settle::settle;

/// What a name names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NameKind {
    Bin,
    Plot,
    Measure,
}

/// A name found in a message.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Name {
    pub(crate) kind: NameKind,
    /// Which of the room's bins, plots or measures.
    pub(crate) index: usize,
    /// The whole name and not a part of it.
    pub(crate) whole: bool,
    /// A part that by itself says something else: `kitchen` of `kitchen barrel`, `right` of `basement right`.
    pub(crate) weak: bool,
}

/// One way to write a name.
#[derive(Debug)]
struct Entry {
    /// Its words among those of [`Names`].
    words: Range<usize>,
    /// What its first word begins with.
    initial: u8,
    name: Name,
}

/// All names of a room, the longest first.
#[derive(Debug)]
pub(crate) struct Names {
    /// The words of all names, folded, one behind the other.
    letters: String,
    /// Where each word lies among the letters.
    words: Vec<Range<usize>>,
    entries: Vec<Entry>,
}

impl Names {
    /// The names of the message's room.
    pub(crate) fn of(message: &Message, lexicon: &Lexicon) -> Self {
        let mut words = Vec::with_capacity(8);
        let mut text = crate::text::tokenise("");
        let bins: Vec<_> = message.bins.iter().map(|bin| spell(&mut text, &mut words, &bin.name)).collect();
        let plots: Vec<_> = message.plots.iter().map(|plot| spell(&mut text, &mut words, plot)).collect();
        let measures: Vec<_> =
            message.measures.keys().map(|measure| spell(&mut text, &mut words, measure)).collect();
        let entries = Vec::with_capacity(2 * (bins.len() + plots.len() + measures.len()));
        let mut names = Self { letters: text.folded, words, entries };
        names.add(NameKind::Bin, &bins, lexicon);
        names.add(NameKind::Plot, &plots, lexicon);
        names.add(NameKind::Measure, &measures, lexicon);
        names.entries.sort_by_key(|entry| (std::cmp::Reverse(entry.words.len()), !entry.name.whole));
        names
    }

    /// Adds all names of one kind, each by the words that it has.
    fn add(&mut self, kind: NameKind, spelt: &[Range<usize>], lexicon: &Lexicon) {
        let (Some(first), Some(last)) = (spelt.first(), spelt.last()) else { return };
        let all = first.start..last.end;
        for (index, words) in spelt.iter().enumerate().filter(|(_, words)| !words.is_empty()) {
            if words.len() > 1 && kind != NameKind::Measure {
                let others = (all.start..words.start).chain(words.end..all.end);
                for at in words.clone() {
                    let telling = self.is_telling(at, others.clone(), kind, lexicon);
                    if let Some(weak) = telling {
                        self.entries.push(self.entry(at..at + 1, Name { kind, index, whole: false, weak }));
                    }
                }
            }
            self.entries.push(self.entry(words.clone(), Name { kind, index, whole: true, weak: false }));
        }
    }

    fn entry(&self, words: Range<usize>, name: Name) -> Entry {
        Entry { initial: self.word(words.start).as_bytes()[0], words, name }
    }

    fn word(&self, at: usize) -> &str {
        &self.letters[self.words[at].clone()]
    }

    fn words(&self) -> impl Iterator<Item = &str> {
        self.words.iter().map(|word| &self.letters[word.clone()])
    }

    /// The longest name that begins at token `at`, and how many tokens it takes.
    pub(crate) fn exact(&self, text: &Text<'_>, at: usize) -> Option<(Name, usize)> {
        let initial = text.word(at).bytes().next();
        // Whatever a name is found by begins as it does, but for a number in words that stands for digits.
        let counts = text.cardinal(at).is_some();
        self.entries
            .iter()
            .filter(|entry| Some(entry.initial) == initial || counts && entry.initial.is_ascii_digit())
            .find_map(|entry| Some((entry.name, self.length(text, at, entry.words.clone())?)))
    }

    /// The bin whose name is a noun and that number: `bin 2`.
    pub(crate) fn numbered(&self, number: f64) -> Option<Name> {
        let entry = self.entries.iter().find(|entry| {
            entry.name.kind == NameKind::Bin
                && entry.words.len() == 2
                && self.word(entry.words.start + 1).parse() == Ok(number)
        });
        entry.map(|entry| entry.name)
    }

    /// The one word of a name that a misspelt word was meant for.
    pub(crate) fn misspelt(&self, word: &str) -> Option<&str> {
        let near = spelling::nearest(word, self.words());
        let (first, rest) = near.split_first()?;
        rest.iter().all(|other| other == first).then_some(*first)
    }

    /// The one word of a name that was written without its vowels: `grn`, `cllr`.
    pub(crate) fn without_vowels(&self, word: &str) -> Option<&str> {
        let vowel = |c: char| matches!(c, 'a' | 'e' | 'i' | 'o' | 'u');
        if word.contains(vowel) || word.len() < 3 {
            return None;
        }
        // The first letter is never left out.
        let bare = |name: &str| {
            name.chars().next() == word.chars().next()
                && name.chars().skip(1).filter(|c| !vowel(*c)).eq(word.chars().skip(1))
        };
        let mut fits = self.words().filter(|name| *name != word && bare(name));
        let first = fits.next()?;
        fits.all(|other| other == first).then_some(first)
    }

    /// Whether a name has that word.
    pub(crate) fn has_word(&self, word: &str) -> bool {
        self.words().any(|known| known == word)
            || self.entries.iter().filter(|entry| entry.words.len() == 2).any(|entry| {
                let second = self.word(entry.words.start + 1);
                word.strip_prefix(self.word(entry.words.start)) == Some(second)
            })
    }

    /// Whether a word of a longer name is enough to tell it from the others of its kind, and if so, whether it is weak.
    fn is_telling(
        &self,
        at: usize,
        mut others: impl Iterator<Item = usize>,
        kind: NameKind,
        lexicon: &Lexicon,
    ) -> Option<bool> {
        let word = self.word(at);
        if word.len() < 3
            || word.bytes().all(|b| b.is_ascii_digit())
            || others.any(|other| self.word(other) == word)
        {
            return None;
        }
        let vessel = kind == NameKind::Bin && !lexicon.cues(word).has(Cue::BinOrBucket);
        let mut weak = false;
        for sense in lexicon.senses(word).iter() {
            match sense {
                Sense::Mark(Mark::KitchenPlace | Mark::Off | Mark::Left | Mark::Back) => {}
                Sense::Mark(Mark::Generic | Mark::Size | Mark::Yes | Mark::New | Mark::Old)
                | Sense::Use(_)
                    if kind == NameKind::Bin =>
                {
                    weak = true;
                }
                // `the drum`, where one bin of the room is one
                Sense::Matter(Matter::Bin) if vessel => {}
                Sense::Mark(_)
                | Sense::Matter(_)
                | Sense::Use(_)
                | Sense::Kitchen(..)
                | Sense::Share(_)
                | Sense::Cardinal(_) => return None,
                Sense::Food(_) if kind == NameKind::Bin => return None,
                _ => {}
            }
        }
        Some(weak)
    }

    /// How many tokens from `at` on spell `words`; hyphens between them and a plural `s` at the end do not matter.
    fn length(&self, text: &Text<'_>, at: usize, words: Range<usize>) -> Option<usize> {
        if let Some(length) = self.respaced(text, at, words.clone()) {
            return Some(length);
        }
        let mut next = at;
        for i in words.clone() {
            let (word, opens) = (self.word(i), i == words.start);
            if !opens && text.is_sign(next, '-') {
                next += 1;
            }
            if !opens && word.as_bytes()[0].is_ascii_digit() && text.is(next, Cue::NumberSign) {
                next += 1;
            }
            // `12A`, and not `12 a`
            let lettered = !opens && word.len() == 1 && self.word(i - 1).bytes().all(|b| b.is_ascii_digit());
            if lettered && !text.tokens.get(next).is_some_and(|token| token.glued) {
                return None;
            }
            // `bins 1 and 2`
            let plural = opens && words.len() > 1 && text.word(next).strip_suffix('s') == Some(word);
            if !plural && !same(text, next, word, i + 1 == words.end) {
                return None;
            }
            next += 1;
        }
        Some(next - at)
    }

    /// `roofdeck` for `roof deck`, `guard house` for `guardhouse`: a space more or less.
    fn respaced(&self, text: &Text<'_>, at: usize, words: Range<usize>) -> Option<usize> {
        let typed = text.word(at);
        let first = self.word(words.start);
        match words.len() {
            1 => {
                let rest = first.strip_prefix(typed).filter(|rest| rest.len() > 2 && typed.len() > 2)?;
                (text.word(at + 1) == rest).then_some(2)
            }
            2 => {
                let second = self.word(words.start + 1);
                (second.len() > 2 && typed.strip_prefix(first) == Some(second)).then_some(1)
            }
            _ => None,
        }
    }
}

/// Takes in the words of a name, whose letters are left behind those of the names before.
fn spell<'m>(text: &mut Text<'m>, words: &mut Vec<Range<usize>>, name: &'m str) -> Range<usize> {
    tokenise_next(text, name);
    let first = words.len();
    let told = |at: &usize| !matches!(text.word(*at), "" | "-" | ".");
    words.extend((0..text.tokens.len()).filter(told).map(|at| {
        let (start, end) = text.tokens[at].low;
        start..end
    }));
    first..words.len()
}

fn same(text: &Text<'_>, at: usize, word: &str, last: bool) -> bool {
    let typed = text.word(at);
    if typed == word {
        return true;
    }
    if word.as_bytes()[0].is_ascii_digit() {
        return text.cardinal(at).is_some_and(|value| word.parse() == Ok(value));
    }
    if !last || word.len() < 3 || text.kind(at) != Some(Kind::Word) {
        return false;
    }
    let plural = |tail: &str| typed.strip_suffix(tail) == Some(word);
    plural("s")
        || plural("es")
        || plural("ful")
        || plural("fuls")
        || (word.ends_with('y') && typed.strip_suffix("ies") == word.strip_suffix('y'))
}
