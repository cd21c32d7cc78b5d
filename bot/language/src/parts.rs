//! Messages of two parts, of which one is a word to the bot and the other a report: `sealed green. Quiet from ten to seven
//! please`, `skip it. blue had a litre of peelings`.
//!
//! A setting, a correction or an answer to a nudge is read from a whole message; here each part is such a message of its own.

use crate::explain::Applied;
use crate::message::Message;
use crate::reader;
use crate::reading::{FactKind, Reading};
use crate::text::{Kind, Stop, Token, tokenise};

/// Nobody puts more parts into one message.
const MOST: usize = 4;

/// Reads a message, in its parts where they are of different sorts; the rules only where they are wanted.
pub(crate) fn read(message: &Message, explained: bool) -> (Reading, Vec<Applied>) {
    read_deep(message, explained, MOST)
}

fn read_deep(message: &Message, explained: bool, deep: usize) -> (Reading, Vec<Applied>) {
    let whole = reader::read(message, explained);
    let worded = is_word(&whole.0) || message.reply_to.is_some();
    let sets = is_word(&whole.0) && whole.0.facts.iter().all(|fact| fact.kind == FactKind::Setting);
    if deep == 0 || !message.direct || whole.0.is_silent() && !worded {
        return whole;
    }
    let tokens = tokenise(&message.text).tokens;
    let said = |token: &Token| message.text.get(token.start..token.end);
    let ends = tokens.iter().filter(|token| token.kind == Kind::Stop(Stop::Full));
    let pauses = tokens.iter().filter(|token| match token.kind {
        Kind::Stop(Stop::Pause) => worded && matches!(said(token), Some("," | ";")),
        Kind::Word | Kind::Sign(_) => sets && matches!(said(token), Some("and" | "&")),
        _ => false,
    });
    ends.chain(pauses).find_map(|cut| halves(message, cut.start, cut.end, explained, deep)).unwrap_or(whole)
}

/// The readings of what stands before and after a cut, put together; `None` unless one of them is a word and the other tells.
fn halves(
    message: &Message,
    to: usize,
    from: usize,
    explained: bool,
    deep: usize,
) -> Option<(Reading, Vec<Applied>)> {
    let part = |text: &str| Message { text: text.to_owned(), ..message.clone() };
    let (first, second) = (part(message.text.get(..to)?), part(message.text.get(from..)?));
    let (mut reading, mut rules) = read_deep(&first, explained, deep - 1);
    let (more, moved) = read_deep(&second, explained, deep - 1);
    let apart = is_word(&reading) && tells(&more) || tells(&reading) && is_word(&more);
    // `done, two tablespoons` answers with one thing; `done, and blue got a litre` tells of another.
    let named = |reading: &Reading| {
        reading.facts.iter().any(|fact| fact.slots.bin.is_some() || fact.slots.plot.is_some())
    };
    let answers = |reading: &Reading| {
        reading.facts.iter().any(|fact| matches!(fact.kind, FactKind::Done | FactKind::Later))
    };
    let one_answer = (answers(&reading) || answers(&more)) && !(named(&reading) || named(&more));
    if !apart || one_answer {
        return None;
    }
    reading.facts.extend(more.facts);
    reading.asks.extend(more.asks);
    rules.extend(moved.into_iter().map(|rule| Applied {
        start: rule.start + from,
        end: rule.end + from,
        ..rule
    }));
    Some((reading, rules))
}

/// Whether a reading is a word to the bot and nothing else.
fn is_word(reading: &Reading) -> bool {
    let word = |kind: FactKind| {
        matches!(
            kind,
            FactKind::Setting
                | FactKind::Undo
                | FactKind::Amended
                | FactKind::Skip
                | FactKind::Later
                | FactKind::Done
        )
    };
    !reading.facts.is_empty()
        && reading.facts.iter().all(|fact| word(fact.kind))
        && reading.asks.is_empty()
        && reading.unclear.is_none()
}

/// Whether a reading tells of a bin or an amount, or asks.
fn tells(reading: &Reading) -> bool {
    let told = reading.facts.iter().any(|fact| {
        let slots = &fact.slots;
        slots.bin.is_some() || slots.plot.is_some() || slots.ml.is_some() || slots.g.is_some()
    });
    reading.unclear.is_none()
        && !is_word(reading)
        && (told || reading.facts.is_empty() && !reading.asks.is_empty())
}
