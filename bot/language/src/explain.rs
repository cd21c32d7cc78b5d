//! Why a message was read as it was: the rules that made the reading, the words that each took, what it made of them.

use serde::Serialize;

use crate::amount::AmountSize;
use crate::clause::{Piece, PieceKind};
use crate::lexicon::Sense;
use crate::name::NameKind;
use crate::number;
use crate::reading::Reading;
use crate::scene::Scene;
use crate::text::Text;
use crate::time::{Direction, Placed, When};

/// A reading and the rules that made it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explained {
    /// The message's, echoed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub id: Option<serde_json::Value>,
    /// What [`crate::read`] gives for the same message.
    #[serde(flatten)]
    pub reading: Reading,
    /// Those of the words first, then those of the clauses in the order in which they applied.
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
    /// What a rule of words made of them: a number, an amount in canonical units, a time, a term, a name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meaning: Option<String>,
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
        if self.wanted {
            self.rules.push(applied(rule, text, from, to, None));
        }
    }
}

fn applied(rule: &'static str, text: &Text<'_>, from: usize, to: usize, meaning: Option<String>) -> Applied {
    let words = text.between(from, to);
    let start = text.tokens.get(from).map_or(0, |token| token.start);
    Applied { rule, start, end: start + words.len(), words: words.to_owned(), meaning }
}

/// The rules that took single words and measured things: spelling, names, foods, numbers, amounts, times.
pub(crate) fn words(scene: &Scene<'_>) -> Vec<Applied> {
    let text = &scene.text;
    let mut out = Vec::new();
    for piece in &scene.pieces {
        for at in piece.from..piece.to {
            token(scene, at, &mut out);
        }
        if piece.kind == PieceKind::Word {
            continue;
        }
        let number = (piece.from..piece.to).find_map(|at| Some((at, number::read(text, at)?)));
        if let Some((at, number)) = number.filter(|(_, number)| number.next <= piece.to) {
            out.push(applied("number", text, at, number.next, Some(number.value.to_string())));
        }
        let (rule, meaning) = measured(scene, piece);
        out.push(applied(rule, text, piece.from, piece.to, meaning));
    }
    out
}

fn token(scene: &Scene<'_>, at: usize, out: &mut Vec<Applied>) {
    let text = &scene.text;
    let token = &text.tokens[at];
    if token.corrected {
        out.push(applied("spelling", text, at, at + 1, Some(text.word(at).to_owned())));
    }
    if let Some(name) = token.name {
        let message = scene.message;
        let (rule, called) = match name.kind {
            NameKind::Bin => ("name of a bin", Some(scene.bin_name(name.index))),
            NameKind::Plot => ("name of a plot", message.plots.get(name.index).cloned()),
            NameKind::Measure => ("name of a measure", message.measures.keys().nth(name.index).cloned()),
        };
        out.push(applied(rule, text, at, at + 1, called));
    } else if let Some(food) = text.sense(at, |s| if let Sense::Food(food) = s { Some(food) } else { None }) {
        let class = serde_json::to_value(food).ok().and_then(|class| class.as_str().map(str::to_owned));
        out.push(applied("food", text, at, at + 1, class));
    }
}

/// The rule that read a piece, and its value in canonical units.
fn measured(scene: &Scene<'_>, piece: &Piece) -> (&'static str, Option<String>) {
    match piece.kind {
        PieceKind::Amount(amount) => (
            "amount",
            Some(match amount.size {
                AmountSize::Millilitres(ml) => format!("{ml} ml"),
                AmountSize::Grams(g) => format!("{g} g"),
                AmountSize::Ounces(g, ml) => format!("{g} g, or {ml} ml of liquid"),
                AmountSize::Buckets(count) => format!("{count} times the bin"),
            }),
        ),
        PieceKind::Length(cm) => ("length", Some(format!("{cm} cm"))),
        PieceKind::Area(area) => ("area", Some(format!("{area} m2"))),
        PieceKind::Temperature(c) => ("temperature", Some(format!("{c} C"))),
        PieceKind::Level(level) => ("level", Some(level.to_string())),
        PieceKind::Count(count) => ("count", Some(count.to_string())),
        PieceKind::When(when) => ("time", placed(scene, &when)),
        PieceKind::Word => ("word", None),
    }
}

/// Where a time lies as one of a report, else as one ahead.
fn placed(scene: &Scene<'_>, when: &When) -> Option<String> {
    [Direction::Past, Direction::Future].into_iter().find_map(|direction| {
        match scene.zoned.place(when, direction) {
            Placed::At(moment) => Some(moment.at.to_rfc3339()),
            Placed::Minutes(minutes) => Some(format!("in {minutes} minutes")),
            Placed::Now => Some("now".to_owned()),
            Placed::Ahead | Placed::Unclear => None,
        }
    })
}
