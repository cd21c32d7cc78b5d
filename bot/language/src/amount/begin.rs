//! What can begin an amount: a glance at one word, which spares most words of a message a closer look.

use crate::lexicon::{Cue, CueSet, Mark, Sense};
use crate::text::Text;

const MARKS: u128 = Mark::The.bit() | Mark::I.bit() | Mark::All.bit() | Mark::Size.bit();

const CUES: CueSet =
    CueSet::of(&[Cue::AnotherOne, Cue::Between, Cue::Both, Cue::Fresh, Cue::Minus, Cue::Nought, Cue::Point]);

/// Whether anything that is measured can begin with token `at`.
pub(super) fn begins(text: &Text<'_>, at: usize) -> bool {
    text.tokens.get(at).is_some_and(|token| {
        !token.is_word()
            || token.name.is_some()
            || token.senses.is_numeric()
            || token.senses.has(MARKS)
            || token.senses.unit().is_some()
            || token.senses.iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
            || token.cues.meets(&CUES)
            || matches!(&text.typed[token.start..token.end], "T" | "Tb" | "Tbs" | "t" | "C" | "c" | "in")
    })
}
