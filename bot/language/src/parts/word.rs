//! A word to the bot beside a report: `done. blue got a litre`, `undo that and quiet from ten to seven`.

use std::ops::Range;

use crate::message::NudgeKind;
use crate::reader::Read;
use crate::reading::{Fact, FactKind, Reading, Slots};
use crate::shape::{Break, BreakKind};

use super::{MOST, Parts};

/// A message that is a word in one part and tells in the other.
pub(super) fn apart(parts: &Parts<'_>, whole: &Read) -> Option<Read> {
    let worded = is_word(&whole.reading) || parts.message().reply_to.is_some();
    if whole.reading.is_silent() && !worded {
        return None;
    }
    by_sentence(parts, whole).or_else(|| if worded { at_a_pause(parts, whole) } else { None })
}

/// Sentences that are a word each, and the others read as one message.
fn by_sentence(parts: &Parts<'_>, whole: &Read) -> Option<Read> {
    let end = |cut: &&Break| matches!(cut.kind, BreakKind::Sentence | BreakKind::Asked);
    let ends = whole.shape.breaks.iter().filter(end).map(|cut| (cut.to, cut.kind));
    let mut from = 0;
    let mut asked = false;
    let mut sentences: Vec<(Range<usize>, bool)> = Vec::new();
    for (to, kind) in ends.chain([(parts.message().text.len(), BreakKind::Sentence)]) {
        if !parts.message().text.get(from..to)?.trim().is_empty() {
            sentences.push((from..to, asked));
        }
        asked = kind == BreakKind::Asked;
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
    for (sentence, after_question) in sentences {
        let read = parts.read(sentence.clone());
        // `how's yard doing? not hall, yard`: of the question
        let amends = read.reading.facts.iter().any(|fact| fact.kind == FactKind::Amended);
        let word = is_word(&read.reading) && !(amends && after_question);
        if word { words.push(read) } else { rest.push(sentence) }
    }
    if rest.is_empty() {
        return several(words);
    }
    if words.is_empty() {
        return None;
    }
    let told = parts.read_as_one(&rest);
    words.into_iter().try_fold(told, |told, word| together(parts, word, told))
}

/// `skip it this time. and turn off the digest`: words of different kinds.
fn several(words: Vec<Read>) -> Option<Read> {
    let kind = |read: &Read| read.reading.facts.first().map(|fact| fact.kind);
    let apart = (1..words.len()).all(|i| words[..i].iter().all(|other| kind(other) != kind(&words[i])));
    let mut words = words.into_iter().filter(|_| apart);
    let first = words.next()?;
    Some(words.fold(first, |mut all, word| {
        all.reading.facts.extend(word.reading.facts);
        all.rules.extend(word.rules);
        all
    }))
}

/// What stands before and after a pause, where one is a word and the other tells.
fn at_a_pause(parts: &Parts<'_>, whole: &Read) -> Option<Read> {
    let reading = &whole.reading;
    let sets = is_word(reading) && reading.facts.iter().all(|fact| fact.kind == FactKind::Setting);
    let halves: Vec<(Read, Read)> = whole
        .shape
        .breaks
        .iter()
        .filter(|cut| cut.kind == BreakKind::Pause || sets && cut.kind == BreakKind::And)
        .take(MOST)
        .map(|cut| (parts.read(0..cut.from), parts.read(cut.to..parts.message().text.len())))
        .collect();
    // As much as tells stays together.
    let word = |read: &Read| is_word(&read.reading);
    let last = halves.iter().rev().find(|(first, second)| !word(first) && word(second));
    let first = halves.iter().find(|(first, second)| word(first) && (!word(second) || sets));
    last.and_then(|(told, word)| together(parts, word.clone(), told.clone()))
        .or_else(|| first.and_then(|(word, told)| together(parts, word.clone(), told.clone())))
}

/// The readings of a word and of what tells, put together.
fn together(parts: &Parts<'_>, word: Read, told: Read) -> Option<Read> {
    let (mut word, more) = (word, told);
    let reading = &mut word.reading;
    // `did it, buried it in the herb bed`: told once
    let asked = parts.message().reply_to.and_then(asked_for);
    let is_it = |fact: &Fact| Some(fact.kind) == asked && fact.slots.bin.is_none();
    if reading.facts.iter().all(|fact| fact.kind == FactKind::Done && fact.slots == Slots::default())
        && more.reading.facts.iter().any(is_it)
    {
        return Some(more);
    }
    // `green's buried, friday afternoon`: when it was, and nothing to come
    let later = reading.facts.iter().all(|fact| fact.kind == FactKind::Later);
    if later && asked.is_some() && more.reading.facts.iter().any(|fact| Some(fact.kind) == asked) {
        return None;
    }
    let undone = reading.facts.iter().all(|fact| fact.kind == FactKind::Undo);
    let set = more.reading.facts.iter().all(|fact| fact.kind == FactKind::Setting);
    if !(tells(&more.reading) || undone && set && !more.reading.facts.is_empty()) {
        return None;
    }
    // `done, two tablespoons` answers with one thing; `done, and blue got a litre` tells of another.
    let answers = reading.facts.iter().any(|fact| matches!(fact.kind, FactKind::Done | FactKind::Later));
    let named = |fact: &Fact| fact.slots.bin.is_some() || fact.slots.plot.is_some();
    if answers && !more.reading.facts.is_empty() && !more.reading.facts.iter().any(named) {
        return None;
    }
    reading.facts.extend(more.reading.facts);
    reading.asks.extend(more.reading.asks);
    word.rules.extend(more.rules);
    Some(word)
}

/// The work that a nudge asks for, as it is told.
fn asked_for(nudge: NudgeKind) -> Option<FactKind> {
    Some(match nudge {
        NudgeKind::Drain => FactKind::Drained,
        NudgeKind::Seal | NudgeKind::Full => FactKind::Sealed,
        NudgeKind::Bury => FactKind::Buried,
        NudgeKind::Plant => FactKind::Planted,
        NudgeKind::Bran => FactKind::Bran,
        NudgeKind::Check => FactKind::Checked,
        NudgeKind::Starter => FactKind::StarterMade,
        NudgeKind::Idle | NudgeKind::Digest => return None,
    })
}

/// Whether a reading is a word to the bot and nothing else.
pub(super) fn is_word(reading: &Reading) -> bool {
    !reading.facts.is_empty()
        && reading.facts.iter().all(|fact| is_of_word(fact.kind))
        && reading.asks.is_empty()
        && reading.unclear.is_none()
}

/// Whether a fact is a word to the bot: it changes or answers something, and tells nothing of a bin.
pub(super) fn is_of_word(kind: FactKind) -> bool {
    use FactKind::{Amended, Done, Later, Setting, Skip, Undo};
    matches!(kind, Setting | Undo | Amended | Skip | Later | Done)
}

/// Whether a reading tells of a bin, an amount or what was seen, or asks.
fn tells(reading: &Reading) -> bool {
    let told = reading.facts.iter().any(|fact| {
        let slots = &fact.slots;
        let here = matches!(fact.kind, FactKind::Away | FactKind::Back);
        let seen = slots.smell.is_some()
            || slots.mould.is_some()
            || slots.lid.is_some()
            || slots.fraction.is_some()
            || slots.c.is_some();
        let placed = slots.bin.is_some() || slots.plot.is_some() || slots.at.is_some();
        placed || slots.ml.is_some() || slots.g.is_some() || seen || here
    });
    reading.unclear.is_none()
        && !is_word(reading)
        && (told || reading.facts.is_empty() && !reading.asks.is_empty())
}
