//! Names that the room has given: bins, plots, measures. Found exactly, by a telling part, in the plural, or misspelt.

mod settle;

use crate::lexicon::{Cue, Lexicon, Mark, Sense, Senses};
use crate::message::Message;
use crate::spelling;
use crate::text::{Kind, Text};

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
}

/// One way to write a name.
#[derive(Debug)]
struct Entry {
    words: Vec<String>,
    name: Name,
}

/// All names of a room, the longest first.
#[derive(Debug)]
pub(crate) struct Names {
    entries: Vec<Entry>,
}

impl Names {
    /// The names of the message's room.
    pub(crate) fn of(message: &Message, lexicon: &Lexicon) -> Self {
        let mut entries =
            Vec::with_capacity(2 * (message.bins.len() + message.plots.len() + message.measures.len()));
        let bins = message.bins.iter().map(|bin| bin.name.as_str());
        for (kind, names) in [
            (NameKind::Bin, bins.collect::<Vec<_>>()),
            (NameKind::Plot, message.plots.iter().map(String::as_str).collect()),
            (NameKind::Measure, message.measures.keys().map(String::as_str).collect()),
        ] {
            let split: Vec<Vec<String>> = names.iter().map(|name| words_of(name)).collect();
            for (index, words) in split.iter().enumerate() {
                if words.is_empty() {
                    continue;
                }
                for part in telling_parts(index, &split, kind, lexicon) {
                    entries.push(Entry { words: vec![part], name: Name { kind, index, whole: false } });
                }
                entries.push(Entry { words: words.clone(), name: Name { kind, index, whole: true } });
            }
        }
        entries.sort_by_key(|entry| (std::cmp::Reverse(entry.words.len()), !entry.name.whole));
        Self { entries }
    }

    /// The longest name that begins at token `at`, and how many tokens it takes.
    pub(crate) fn exact(&self, text: &Text<'_>, at: usize) -> Option<(Name, usize)> {
        self.entries.iter().find_map(|entry| Some((entry.name, length(text, at, &entry.words)?)))
    }

    /// The bin whose name is a noun and that number: `bin 2`.
    pub(crate) fn numbered(&self, number: f64) -> Option<Name> {
        let entry = self.entries.iter().find(|entry| {
            entry.name.kind == NameKind::Bin && entry.words.len() == 2 && entry.words[1].parse() == Ok(number)
        });
        entry.map(|entry| entry.name)
    }

    /// The one word of a name that a misspelt word was meant for.
    pub(crate) fn misspelt(&self, word: &str) -> Option<&str> {
        let mut near =
            spelling::nearest(word, self.entries.iter().flat_map(|entry| &entry.words).map(String::as_str));
        near.dedup();
        let (first, rest) = near.split_first()?;
        rest.iter().all(|other| other == first).then_some(*first)
    }

    /// The one word of a name that was written without its vowels: `grn`, `cllr`.
    pub(crate) fn without_vowels(&self, word: &str) -> Option<&str> {
        let vowel = |c: char| matches!(c, 'a' | 'e' | 'i' | 'o' | 'u');
        if word.contains(vowel) || word.len() < 3 {
            return None;
        }
        let known = self.entries.iter().flat_map(|entry| &entry.words).map(String::as_str);
        // The first letter is never left out.
        let bare = |name: &str| {
            name.chars().next() == word.chars().next()
                && name.chars().skip(1).filter(|c| !vowel(*c)).eq(word.chars().skip(1))
        };
        let mut fits = known.filter(|name| *name != word && bare(name));
        let first = fits.next()?;
        fits.all(|other| other == first).then_some(first)
    }

    /// Whether a name has that word.
    pub(crate) fn has_word(&self, word: &str) -> bool {
        self.entries.iter().flat_map(|entry| &entry.words).any(|known| known == word)
            || self.entries.iter().any(|entry| match &entry.words[..] {
                [first, second] => word.strip_prefix(first.as_str()) == Some(second),
                _ => false,
            })
    }
}

fn words_of(name: &str) -> Vec<String> {
    let text = crate::text::tokenise(name);
    (0..text.tokens.len())
        .map(|i| text.word(i).to_owned())
        .filter(|word| word != "-" && word != ".")
        .collect()
}

/// Words of a longer name that are enough to tell it from the others.
fn telling_parts(index: usize, names: &[Vec<String>], kind: NameKind, lexicon: &Lexicon) -> Vec<String> {
    let words = &names[index];
    if words.len() < 2 || kind == NameKind::Measure {
        return Vec::new();
    }
    let generic = |word: &str| {
        word.len() < 3
            || word.bytes().all(|b| b.is_ascii_digit())
            || lexicon.senses(word).unwrap_or(Senses::NONE).iter().any(|sense| match sense {
                Sense::Mark(mark) => {
                    !matches!(mark, Mark::KitchenPlace | Mark::Off | Mark::Left | Mark::Back)
                }
                Sense::Matter(_) | Sense::Use(_) | Sense::Kitchen(..) | Sense::Cardinal(_) => true,
                Sense::Food(_) => kind == NameKind::Bin,
                _ => false,
            })
    };
    let unique =
        |word: &String| names.iter().enumerate().all(|(i, other)| i == index || !other.contains(word));
    words.iter().filter(|word| !generic(word) && unique(word)).cloned().collect()
}

/// How many tokens from `at` on spell `words`; hyphens between them and a plural `s` at the end do not matter.
fn length(text: &Text<'_>, at: usize, words: &[String]) -> Option<usize> {
    if let Some(length) = respaced(text, at, words) {
        return Some(length);
    }
    let mut next = at;
    for (i, word) in words.iter().enumerate() {
        if i > 0 && text.is_sign(next, '-') {
            next += 1;
        }
        if i > 0 && word.as_bytes()[0].is_ascii_digit() && text.is(next, Cue::NumberSign) {
            next += 1;
        }
        // `12A`, and not `12 a`
        let lettered = i > 0 && word.len() == 1 && words[i - 1].bytes().all(|b| b.is_ascii_digit());
        if lettered && !text.tokens.get(next).is_some_and(|token| token.glued) {
            return None;
        }
        let last = i + 1 == words.len();
        // `bins 1 and 2`
        let plural = i == 0 && words.len() > 1 && text.word(next).strip_suffix('s') == Some(word);
        if !plural && !same(text, next, word, last) {
            return None;
        }
        next += 1;
    }
    Some(next - at)
}

/// `roofdeck` for `roof deck`, `guard house` for `guardhouse`: a space more or less.
fn respaced(text: &Text<'_>, at: usize, words: &[String]) -> Option<usize> {
    let typed = text.word(at);
    if let [first, second] = words {
        let joined = typed.len() == first.len() + second.len() && second.len() > 2;
        return (joined && typed.strip_prefix(first.as_str()) == Some(second)).then_some(1);
    }
    let [word] = words else { return None };
    let rest = word.strip_prefix(typed).filter(|rest| rest.len() > 2 && typed.len() > 2)?;
    (text.word(at + 1) == rest).then_some(2)
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
