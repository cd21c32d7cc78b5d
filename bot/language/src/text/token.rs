//! Tokens and the text that they were cut from.

use crate::lexicon::{CueSet, Senses};
use crate::name::Name;

/// What a token is by its shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Kind {
    /// Letters; what they mean is in the senses.
    Word,
    /// A numeral with its value.
    Number(f64),
    /// `3rd`
    Ordinal(u32),
    /// `18:30`, `7.30pm`, `18h30`; whether the half of the day is certain (24-hour forms, am or pm).
    Clock { hour: u32, minute: u32, certain: bool },
    /// `3/14`, `1/2`: a date or a fraction.
    Pair(u32, u32),
    /// `2026-03-14`, `14/3/2026`: as written.
    Date(u32, u32, u32),
    /// An end or a pause.
    Stop(Stop),
    /// Any other sign.
    Sign(char),
}

/// Ends and pauses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Stop {
    /// `.` `!` and line ends.
    Full,
    /// `?`
    Question,
    /// `,` `;` `:` dashes, brackets.
    Pause,
}

/// One token.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Token {
    /// Bytes of the text that it covers.
    pub(crate) start: usize,
    pub(crate) end: usize,
    /// Bytes of the folded letters.
    pub(crate) low: (usize, usize),
    pub(crate) kind: Kind,
    /// No space before it.
    pub(crate) glued: bool,
    /// Begins with a capital letter.
    pub(crate) capital: bool,
    /// What the word can mean.
    pub(crate) senses: Senses,
    /// What the word is a cue for.
    pub(crate) cues: &'static CueSet,
    /// Which bin, plot or measure of the room it names.
    pub(crate) name: Option<Name>,
    /// The senses come from the speller.
    pub(crate) corrected: bool,
}

impl Token {
    /// A token without meaning so far.
    pub(crate) fn new(start: usize, end: usize, kind: Kind) -> Self {
        Self {
            start,
            end,
            low: (0, 0),
            kind,
            glued: false,
            capital: false,
            senses: Senses::NONE,
            cues: &CueSet::NONE,
            name: None,
            corrected: false,
        }
    }

    /// Whether it is the tail of a contraction: `'s`.
    pub(crate) fn word_is_tail(&self) -> bool {
        self.glued && self.end - self.start <= 5 && self.is_word()
    }

    /// Whether it is a word.
    pub(crate) fn is_word(&self) -> bool {
        matches!(self.kind, Kind::Word)
    }
}

/// A message cut into tokens.
#[derive(Debug, Clone)]
pub(crate) struct Text<'t> {
    /// As typed.
    pub(crate) typed: &'t str,
    /// The letters in lower case, without accents; tokens point into it, and what lies between them says nothing.
    pub(crate) folded: String,
    pub(crate) tokens: Vec<Token>,
}

impl<'t> Text<'t> {
    /// The folded word at `index`; empty past the end.
    pub(crate) fn word(&self, index: usize) -> &str {
        self.tokens.get(index).map_or("", |token| &self.folded[token.low.0..token.low.1])
    }

    /// The words typed from token `from` up to and without token `to`, with single spaces.
    pub(crate) fn words(&self, from: usize, to: usize) -> String {
        self.between(from, to).split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// What was typed from token `from` up to and without token `to`.
    pub(crate) fn between(&self, from: usize, to: usize) -> &'t str {
        match (self.tokens.get(from), to.checked_sub(1).and_then(|last| self.tokens.get(last))) {
            (Some(first), Some(last)) if first.start <= last.end => &self.typed[first.start..last.end],
            _ => "",
        }
    }
}
