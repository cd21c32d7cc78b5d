//! The vocabulary: data files compiled in, parsed once into tables for lookup by word and by phrase.

mod cue;
mod load;
mod mark;
mod plural;
mod sense;
mod verb;

use std::sync::LazyLock;

use rustc_hash::{FxHashMap, FxHashSet};

pub(crate) use cue::{Cue, CueSet};
pub(crate) use mark::Mark;
pub(crate) use sense::{Act, Day, Forms, Matter, Sense, Senses, TimeUnit, TimeWord};

/// All that is known of a language's words.
#[derive(Debug, Default)]
pub(crate) struct Lexicon {
    /// Words; and several with single spaces where they are a cue.
    words: FxHashMap<&'static str, Word>,
    /// By their first word, then by their second: many begin with `how` or `what`.
    phrases: FxHashMap<&'static str, FxHashMap<&'static str, Vec<Phrase>>>,
    ordinary: FxHashSet<&'static str>,
    /// Those of them that are only names: of people, of places.
    proper: FxHashSet<&'static str>,
    /// Words as they are spoken, with their spelling in the dictionary.
    spoken: FxHashMap<&'static str, &'static str>,
    /// Words that dictation writes for others, with those that were meant.
    heard: FxHashMap<&'static str, &'static str>,
    /// Words that phrases are made of.
    in_phrases: FxHashSet<&'static str>,
    /// Terms that the speller may offer, by their first letter.
    terms: FxHashMap<u8, Vec<&'static str>>,
}

/// What is known of a word.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Word {
    /// What it can mean.
    pub(crate) senses: Senses,
    /// What it is a cue for.
    pub(crate) cues: &'static CueSet,
}

impl Word {
    const UNKNOWN: Self = Self { senses: Senses::NONE, cues: &CueSet::NONE };
}

/// A meaning of several words, kept under the first two.
#[derive(Debug)]
pub(crate) struct Phrase {
    rest: Vec<&'static str>,
    senses: Senses,
}

static ENGLISH: LazyLock<Lexicon> = LazyLock::new(load::english);

/// The English vocabulary.
pub(crate) fn english() -> &'static Lexicon {
    &ENGLISH
}

impl Lexicon {
    /// What is known of a word, or of a phrase with single spaces as a cue.
    pub(crate) fn word(&self, word: &str) -> Word {
        self.words.get(word).copied().unwrap_or(Word::UNKNOWN)
    }

    /// What one word can mean.
    pub(crate) fn senses(&self, word: &str) -> Senses {
        self.word(word).senses
    }

    /// What a word, or a phrase with single spaces, is a cue for.
    pub(crate) fn cues(&self, word: &str) -> &'static CueSet {
        self.word(word).cues
    }

    /// The longest phrase that begins with `first` and goes on as `word_at` says (1, 2, ...): senses and count of words.
    pub(crate) fn phrase<'w>(
        &self,
        first: &str,
        word_at: impl Fn(usize) -> Option<&'w str>,
    ) -> Option<(Senses, usize)> {
        self.phrases.get(first)?.get(word_at(1)?)?.iter().find_map(|phrase| {
            let matches = phrase.rest.iter().enumerate().all(|(i, word)| word_at(i + 2) == Some(word));
            matches.then_some((phrase.senses, phrase.rest.len() + 2))
        })
    }

    /// Whether `word` is ordinary English and so not a misspelt term.
    pub(crate) fn is_ordinary(&self, word: &str) -> bool {
        self.ordinary.contains(word)
    }

    /// Whether `word` is a name and nothing else: `doris`, `vienna`.
    pub(crate) fn is_proper(&self, word: &str) -> bool {
        self.proper.contains(word)
    }

    /// The dictionary's spelling of a word written as it is spoken: `doon`, `sittin`.
    pub(crate) fn dictionary_spelling(&self, word: &str) -> Option<String> {
        let ending = || {
            let whole = format!("{}g", word.strip_suffix('\'').unwrap_or(word));
            let known = word.len() > 4 && whole.ends_with("ing") && !self.is_ordinary(word);
            (known && (self.words.contains_key(whole.as_str()) || self.is_in_phrase(&whole))).then_some(whole)
        };
        self.spoken.get(word).map(|&found| found.to_owned()).or_else(ending)
    }

    /// The word that dictation may have written this one for: `brand` for `bran`.
    pub(crate) fn meant(&self, heard: &str) -> Option<&'static str> {
        self.heard.get(heard).copied()
    }

    /// Whether a phrase has that word.
    pub(crate) fn is_in_phrase(&self, word: &str) -> bool {
        self.in_phrases.contains(word)
    }

    /// Words that a misspelt word may have been meant for: people get the first letter right, or swap it with the second.
    pub(crate) fn terms_like<'l>(&'l self, word: &'l str) -> impl Iterator<Item = &'static str> + 'l {
        let letters = word.as_bytes();
        let second = letters.get(1).filter(|second| Some(*second) != letters.first());
        letters
            .first()
            .into_iter()
            .chain(second)
            .filter_map(|letter| self.terms.get(letter))
            .flatten()
            .copied()
    }
}
