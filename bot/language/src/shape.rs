//! How a message is put together: where it might be two, and how it begins.

use crate::clause::{Clause, is_question_word, opens_question};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::scene::Scene;
use crate::text::{Kind, Stop, Text};

/// Tokens of the longest message that is read in parts: each part is read anew, and no message may take long.
const LONGEST: usize = 60;

/// Within so many tokens a correction shows that it is one: `sorry I meant`, `the last one`.
const FIRST_WORDS: usize = 3;

/// The shape of a message.
#[expect(clippy::struct_excessive_bools, reason = "each is a sign of its own")]
#[derive(Clone)]
pub(crate) struct Shape {
    /// Where it might be two messages, in the order of its text.
    pub(crate) breaks: Vec<Break>,
    /// Whether its first clause asks.
    pub(crate) opens_question: bool,
    /// Whether its first word asks: `how much`, `can`, `is`.
    pub(crate) begins_asking: bool,
    /// Whether it says that somebody did or saw something.
    pub(crate) asserts: bool,
    /// Whether it begins as corrections and answers do.
    pub(crate) opens_word: bool,
}

/// A place between two parts of a message: bytes of its text, of what stands between them.
#[derive(Clone, Copy)]
pub(crate) struct Break {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) kind: BreakKind,
}

/// What stands between two parts of a message.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum BreakKind {
    Sentence,
    /// The end of a question.
    Asked,
    Pause,
    And,
    /// Nothing, and the second may be a question.
    Question,
}

impl Shape {
    /// The shape of a message that was taken apart.
    pub(crate) fn of(scene: &Scene<'_>) -> Self {
        let text = &scene.text;
        let opening = scene.clauses.first();
        // `got 250 ml of tea, how much water`: what there is, not what was done
        let did = |clause: &Clause| {
            clause.verb.is_some_and(|verb| verb.act != Act::Get) && clause.stance.asserted()
        };
        Self {
            breaks: breaks(scene),
            opens_question: opening.is_some_and(|first| opens_question(text, first.from, first.to, false)),
            begins_asking: may_ask(text, 0) || text.has_any(0, &[Mark::Can, Mark::Be, Mark::Do]),
            asserts: scene.clauses.iter().any(did),
            opens_word: (0..FIRST_WORDS).any(|at| begins_word(text, at)),
        }
    }
}

/// `no`, `undo`, `I said`, `the last one`.
fn begins_word(text: &Text<'_>, at: usize) -> bool {
    text.has_any(at, &[Mark::No, Mark::Sorry, Mark::Instead, Mark::Undo, Mark::Done, Mark::Later, Mark::Skip])
        || text.is(at, Cue::Latest)
        || text.is(at, Cue::SaidBefore)
}

/// `how much`, `whose`, `can I`, wherever it stands.
fn may_ask(text: &Text<'_>, at: usize) -> bool {
    let named = text.tokens.get(at + 1).is_some_and(|next| next.name.is_some());
    is_question_word(text, at)
        || text.has(at, Mark::Whose)
        || text.has(at, Mark::Do) && text.is(at, Cue::Finite) && named
        || text.has(at, Mark::Can) && text.has_any(at + 1, &[Mark::I, Mark::It])
}

fn breaks(scene: &Scene<'_>) -> Vec<Break> {
    let text = &scene.text;
    let end = text.tokens.len();
    // Nothing is a part of its own in which nothing is told or asked: `carrots and onions`.
    let first = (0..end).find(|at| may_tell(text, *at));
    let last = (0..end).rev().find(|at| may_tell(text, *at));
    let (Some(first), Some(last)) = (first, last) else { return Vec::new() };
    if end > LONGEST {
        return Vec::new();
    }
    // `a hundred and eighty`
    let within = |at: usize| scene.pieces.iter().any(|piece| piece.from < at && at < piece.to);
    let at = |at: usize| {
        let (kind, token) = (break_kind(text, at)?, &text.tokens[at]);
        let to = if kind == BreakKind::Question { token.start } else { token.end };
        (!within(at)).then_some(Break { from: token.start, to, kind })
    };
    (first + 1..=last).filter_map(at).collect()
}

/// Whether a word can make a report, a question or a word to the bot of what it stands in.
fn may_tell(text: &Text<'_>, at: usize) -> bool {
    let state = |sense: &Sense| {
        matches!(
            sense,
            Sense::Verb(..)
                | Sense::Unit(_)
                | Sense::Kitchen(..)
                | Sense::Level(_)
                | Sense::Share(_)
                | Sense::Smell(_)
                | Sense::MouldNoun
                | Sense::Moisture(_)
                | Sense::Pests
                | Sense::Lid(_)
                | Sense::Use(_)
                | Sense::Time(_)
                | Sense::Matter(Matter::Bran | Matter::Liquid)
        )
    };
    let word = [Mark::Be, Mark::Status, Mark::Chart, Mark::History, Mark::Away, Mark::Back];
    text.senses(at).iter().any(state)
        || !matches!(text.tokens[at].kind, Kind::Word | Kind::Stop(_) | Kind::Sign(_))
        || begins_word(text, at)
        || may_ask(text, at)
        || text.has_any(at, &word)
}

fn break_kind(text: &Text<'_>, at: usize) -> Option<BreakKind> {
    let token = &text.tokens[at];
    match token.kind {
        Kind::Stop(Stop::Full) => Some(BreakKind::Sentence),
        Kind::Stop(Stop::Question) => Some(BreakKind::Asked),
        Kind::Stop(Stop::Pause) => {
            (text.is_word(at, ",") || text.is_word(at, ";")).then_some(BreakKind::Pause)
        }
        Kind::Sign('&') => Some(BreakKind::And),
        Kind::Word if token.name.is_none() && text.is(at, Cue::GoesOn) => Some(BreakKind::And),
        // `(how full it is, I mean)` asks nothing.
        Kind::Word if may_ask(text, at) && !text.is_word(at - 1, "(") => Some(BreakKind::Question),
        _ => None,
    }
}
