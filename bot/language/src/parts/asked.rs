//! A question or a word beside a report, or beside another question: `sealed green at five how much bran is left`, `undo
//! that and blue got a litre`.

use std::ops::Range;

use crate::reader::Read;
use crate::reading::{About, Fact, FactKind, Reading, Slots};
use crate::shape::{Break, BreakKind};

use super::word::{is_of_word, is_word};
use super::{MOST, Parts};

/// So many times what stands behind a question is taken apart again.
const DEEPEST: u8 = 1;

/// A message that asks, or sets something up, in one part, and goes on with something else.
pub(super) fn apart(parts: &Parts<'_>, whole: &Read) -> Option<Read> {
    take_apart(parts, &(0..parts.message().text.len()), whole, DEEPEST)
}

/// The best of the ways to read `of` as two parts, the second of them taken apart in its turn; none where one part tells as much.
fn take_apart(parts: &Parts<'_>, of: &Range<usize>, whole: &Read, deeper: u8) -> Option<Read> {
    let answers = parts.message().reply_to.is_some();
    let asks = whole.shape.breaks.iter().any(|cut| cut.kind == BreakKind::Question);
    let worded =
        answers || whole.shape.opens_word || whole.reading.facts.iter().any(|fact| is_of_word(fact.kind));
    let may_hold_more = asks || worded || !whole.reading.asks.is_empty() || sets_up(&whole.reading);
    if whole.reading.is_silent() && !answers || !may_hold_more {
        return None;
    }
    let mut best: Option<Read> = None;
    // `can you tell me how much bran`: one question
    let of_one = |cut: &&Break| cut.kind == BreakKind::Question && whole.shape.begins_asking;
    for cut in whole.shape.breaks.iter().filter(|cut| !of_one(cut)).take(MOST) {
        let first = parts.read(of.start..cut.from);
        if !stands(&first.reading) {
            continue;
        }
        let behind = cut.to..of.end;
        let mut second = parts.read(behind.clone());
        if deeper > 0 {
            second = take_apart(parts, &behind, &second, deeper - 1).unwrap_or(second);
        }
        if !stands(&second.reading) || !are_apart(cut, &first, &second, answers) {
            continue;
        }
        let known = best.as_ref().unwrap_or(whole);
        let other = asks_two_things(whole, cut, &first, &second);
        // `it was 3 litres, and how much bran have we got`: as one it asks for what 3 litres take.
        let turns = second.shape.opens_question && (first.shape.asserts || is_word(&first.reading));
        let both = joined(&whole.reading, first, second);
        let clear = best.is_none() && both.reading.len() > whole.reading.len();
        if tells_more(&both.reading, &known.reading) || clear && turns || other && best.is_none() {
            best = Some(both);
        }
    }
    best
}

/// Whether a reading can stand by itself.
fn stands(reading: &Reading) -> bool {
    reading.unclear.is_none() && !reading.is_silent()
}

/// Whether two parts that stand by themselves are two messages.
fn are_apart(cut: &Break, first: &Read, second: &Read, answers: bool) -> bool {
    let [one, other] = [first, second].map(|read| &read.reading);
    if sets_up(one) && sets_up(other) {
        return one.facts[0].kind != other.facts[0].kind && cut.kind != BreakKind::Pause;
    }
    // `a yeasty smell, is that normal? also white mould`: one look
    if [one, other].iter().all(|reading| reading.facts.iter().any(|fact| fact.kind == FactKind::Checked)) {
        return false;
    }
    let asks = |read: &Read| read.reading.facts.is_empty() && read.shape.opens_question;
    let report = |read: &Read| {
        let facts = &read.reading.facts;
        // `forget green, how's blue doing`
        let gone = facts.iter().any(|fact| fact.kind == FactKind::BinGone);
        !facts.is_empty()
            && !is_word(&read.reading)
            && !gone
            && (read.shape.asserts || facts.iter().all(says_how_it_is))
    };
    if cut.kind == BreakKind::Question {
        let asked = first.shape.opens_question
            || first.shape.breaks.iter().any(|cut| cut.kind == BreakKind::Question);
        return report(first) && !asked && second.shape.opens_question && !is_of_the_other(other, first);
    }
    // What is put right behind a report is of that report.
    let word = is_word(one) && cut.kind != BreakKind::Pause;
    word && (report(second) || other.facts.is_empty())
        || asks(first) && asks(second) && !is_the_same(one, other)
        || asks(first) && report(second) && !is_of_the_other(one, second)
        // `250 ml, and does blue need draining too`, in answer to a nudge
        || (report(first) || answers && !one.facts.is_empty())
            && second.shape.opens_question
            && !is_of_the_other(other, first)
}

/// `green is at 20 degrees and a quarter full`: what needs no verb of work to be told.
fn says_how_it_is(fact: &Fact) -> bool {
    use FactKind::{Checked, Level, StarterStock, Temperature};
    matches!(fact.kind, Level | Temperature | Checked | StarterStock)
}

/// Whether two readings ask for the same: then the second goes on with what the first asks.
fn is_the_same(first: &Reading, second: &Reading) -> bool {
    second.asks.iter().any(|ask| first.asks.iter().any(|other| other.about == ask.about))
}

/// `for 3 litres of scraps, how much bran`: what seems to be told is what is asked about.
fn is_of_the_other(asked: &Reading, told: &Read) -> bool {
    let amount = |slots: &Slots| (slots.ml.is_some() || slots.g.is_some()).then_some((slots.ml, slots.g));
    let placed = |fact: &&Fact| told.shape.asserts && fact.slots.bin.is_some();
    let told = told.reading.facts.iter().filter(|fact| !placed(fact));
    let told: Vec<_> = told.filter_map(|fact| amount(&fact.slots)).collect();
    asked.asks.iter().filter_map(|ask| amount(&ask.slots)).any(|amount| told.contains(&amount))
}

/// Whether a reading names something that it sets up, and tells nothing else.
fn sets_up(reading: &Reading) -> bool {
    let sets = |kind: FactKind| matches!(kind, FactKind::BinSet | FactKind::PlotSet | FactKind::MeasureSet);
    let named = |slots: &Slots| slots.bin.is_some() || slots.plot.is_some() || slots.measure.is_some();
    !reading.facts.is_empty() && reading.facts.iter().all(|fact| sets(fact.kind) && named(&fact.slots))
}

/// `how much bran for four litres and how much water for half a litre of tea`: two questions, each with what it needs.
fn asks_two_things(whole: &Read, cut: &Break, first: &Read, second: &Read) -> bool {
    let lone = |read: &Read| read.reading.facts.is_empty() && read.reading.asks.len() == 1;
    cut.kind != BreakKind::Question
        && second.shape.opens_question
        && lone(first)
        && lone(second)
        && first.reading.asks[0].about != second.reading.asks[0].about
        && whole.reading.facts.is_empty()
}

/// Whether a reading has something of every sort that another has and of one more, and as many facts.
fn tells_more(reading: &Reading, known: &Reading) -> bool {
    if reading.facts.len() < known.facts.len() {
        return false;
    }
    let (more, known) = (sorts(reading), sorts(known));
    !known.is_empty()
        && known.iter().all(|sort| more.contains(sort))
        && more.iter().any(|sort| !known.contains(sort))
}

/// Each kind of fact and each thing asked about.
fn sorts(reading: &Reading) -> Vec<(Option<FactKind>, Option<About>)> {
    let facts = reading.facts.iter().map(|fact| (Some(fact.kind), None));
    facts.chain(reading.asks.iter().map(|ask| (None, Some(ask.about)))).collect()
}

/// Two readings put together; what the whole message told of the same sort stands, for it knows what is shared.
fn joined(whole: &Reading, first: Read, second: Read) -> Read {
    let (mut both, more) = (first, second);
    let reading = &mut both.reading;
    reading.facts.extend(more.reading.facts);
    reading.asks.extend(more.reading.asks);
    both.rules.extend(more.rules);
    both.shape.asserts |= more.shape.asserts;
    // A correction takes what stands beside it for what it corrects.
    if !reading.facts.iter().any(|fact| is_of_word(fact.kind)) {
        stand_for(&whole.facts, &mut reading.facts, |fact| fact.kind);
    }
    stand_for(&whole.asks, &mut reading.asks, |ask| ask.about);
    both
}

/// Puts each of `known` in the place of that of the same sort among `parts`, where there is but one of it on either side.
fn stand_for<T: Clone, S: PartialEq>(known: &[T], parts: &mut [T], sort: impl Fn(&T) -> S) {
    for one in known {
        let same = |other: &&T| sort(other) == sort(one);
        let alone = known.iter().filter(same).count() == 1 && parts.iter().filter(same).count() == 1;
        if let Some(part) = parts.iter_mut().find(|part| sort(part) == sort(one)).filter(|_| alone) {
            *part = one.clone();
        }
    }
}
