//! Messages of two parts, of which one is a word to the bot and the other a report: `sealed green. Quiet from ten to seven
//! please`, `skip it. blue had a litre of peelings`.
//!
//! A setting, a correction or an answer to a nudge is read from a whole message; here each part is such a message of its own.

use std::ops::Range;

use crate::explain::Applied;
use crate::message::Message;
use crate::reader;
use crate::reading::{FactKind, Reading};
use crate::text::{Kind, Stop, Token, tokenise};

/// Nobody puts more parts into one message; so many are read by themselves at most.
const MOST: usize = 6;
/// Tokens of the longest message that is read in parts: what is longer nobody wrote by hand.
const LONGEST: usize = 150;

type Read = (Reading, Vec<Applied>);

/// Reads a message, in its parts where they are of different sorts; the rules only where they are wanted.
pub(crate) fn read(message: &Message, explained: bool) -> Read {
    let whole = reader::read(message, explained);
    let worded = is_word(&whole.0) || message.reply_to.is_some();
    if !message.direct || whole.0.is_silent() && !worded {
        return whole;
    }
    let tokens = tokenise(&message.text).tokens;
    if tokens.len() > LONGEST {
        return whole;
    }
    by_sentence(message, &tokens, explained)
        .or_else(|| if worded { at_a_pause(message, &tokens, &whole.0, explained) } else { None })
        .unwrap_or(whole)
}

/// Sentences that are a word each, and the others read as one message.
fn by_sentence(message: &Message, tokens: &[Token], explained: bool) -> Option<Read> {
    let ends = tokens.iter().filter(|token| token.kind == Kind::Stop(Stop::Full)).map(|token| token.end);
    let mut from = 0;
    let mut sentences: Vec<Range<usize>> = Vec::new();
    for to in ends.chain([message.text.len()]) {
        if !message.text.get(from..to)?.trim().is_empty() {
            sentences.push(from..to);
        }
        from = to;
        if sentences.len() > MOST {
            return None;
        }
    }
    if sentences.len() < 2 {
        return None;
    }
    let mut rest = Vec::new();
    let mut words = Vec::new();
    for sentence in sentences {
        let read = reader::read(&only(message, std::slice::from_ref(&sentence)), explained);
        if is_word(&read.0) { words.push(read) } else { rest.push(sentence) }
    }
    if words.is_empty() || rest.is_empty() {
        return None;
    }
    let told = reader::read(&only(message, &rest), explained);
    words.into_iter().try_fold(told, |told, word| together(word, told))
}

/// What stands before and after a pause, where one is a word and the other tells.
fn at_a_pause(message: &Message, tokens: &[Token], whole: &Reading, explained: bool) -> Option<Read> {
    let sets = is_word(whole) && whole.facts.iter().all(|fact| fact.kind == FactKind::Setting);
    let said = |token: &Token| message.text.get(token.start..token.end);
    let pause = |token: &&Token| match token.kind {
        Kind::Stop(Stop::Pause) => matches!(said(token), Some("," | ";")),
        Kind::Word | Kind::Sign(_) => sets && matches!(said(token), Some("and" | "&")),
        _ => false,
    };
    let part =
        |from: usize, to: usize| reader::read(&only(message, std::slice::from_ref(&(from..to))), explained);
    let halves: Vec<(Read, Read)> = tokens
        .iter()
        .filter(pause)
        .take(MOST)
        .map(|cut| (part(0, cut.start), part(cut.end, message.text.len())))
        .collect();
    // As much as tells stays together.
    let last = halves.iter().rev().find(|(first, second)| !is_word(&first.0) && is_word(&second.0));
    let first = halves.iter().find(|(first, second)| is_word(&first.0) && !is_word(&second.0));
    last.and_then(|(told, word)| together(word.clone(), told.clone()))
        .or_else(|| first.and_then(|(word, told)| together(word.clone(), told.clone())))
}

/// The message with nothing but some parts of its text, each where it stood.
fn only(message: &Message, parts: &[Range<usize>]) -> Message {
    let mut text = String::with_capacity(message.text.len());
    for part in parts {
        text.extend(std::iter::repeat_n(' ', part.start - text.len()));
        text.push_str(message.text.get(part.clone()).unwrap_or_default());
    }
    Message { text, ..message.clone() }
}

/// The readings of a word and of what tells, put together.
fn together(word: Read, told: Read) -> Option<Read> {
    let ((mut reading, mut rules), (more, others)) = (word, told);
    // `done, two tablespoons` answers with one thing; `done, and blue got a litre` tells of another.
    let named = more.facts.iter().any(|fact| fact.slots.bin.is_some() || fact.slots.plot.is_some());
    let answers = reading.facts.iter().any(|fact| matches!(fact.kind, FactKind::Done | FactKind::Later));
    if !tells(&more) || answers && !named {
        return None;
    }
    reading.facts.extend(more.facts);
    reading.asks.extend(more.asks);
    rules.extend(others);
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
