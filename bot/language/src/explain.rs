//! Why a message was read as it was: the rules that made the reading, and the words that each took.

use serde::Serialize;

use crate::reading::Reading;
use crate::text::Text;

/// A reading and the rules that made it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explained {
    /// What [`crate::read`] gives for the same message.
    #[serde(flatten)]
    pub reading: Reading,
    /// In the order in which they applied.
    pub rules: Vec<Applied>,
}

/// A rule that applied.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Applied {
    /// Its name.
    pub rule: &'static str,
    /// Bytes of the message's text that it took.
    pub start: usize,
    /// The byte after them.
    pub end: usize,
    /// Those words.
    pub words: String,
}

/// Collects rules where somebody wants to know.
#[derive(Debug)]
pub(crate) struct Trace {
    wanted: bool,
    pub(crate) rules: Vec<Applied>,
}

impl Trace {
    pub(crate) fn new(wanted: bool) -> Self {
        Self { wanted, rules: Vec::new() }
    }

    pub(crate) fn note(&mut self, rule: &'static str, text: &Text<'_>, from: usize, to: usize) {
        if !self.wanted {
            return;
        }
        let words = text.between(from, to);
        let start = text.tokens.get(from).map_or(0, |token| token.start);
        self.rules.push(Applied { rule, start, end: start + words.len(), words: words.to_owned() });
    }
}
