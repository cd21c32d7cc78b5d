//! `both`, `each bin`, `all three`: every bin of the room at once.

use std::ops::Range;

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::message::Message;
use crate::name::NameKind;
use crate::text::Text;

use super::BinRef;

/// The bins that a word for all of the room's means, but for those that are spared; `None` where it means none.
pub(super) fn all_bins(text: &Text<'_>, at: usize, message: &Message) -> Option<Vec<BinRef>> {
    if !names_all_bins(text, at, message) {
        return None;
    }
    // `green and blue smell sour, no mould in either`
    let named: Vec<usize> =
        (0..at).filter_map(|i| text.name(i, NameKind::Bin)).map(|name| name.index).collect();
    if text.is(at, Cue::Either)
        && let [.., one, other] = named[..]
        && one != other
    {
        return Some(vec![BinRef::Known(one), BinRef::Known(other)]);
    }
    let spared: Vec<usize> = spared(text, at)
        .into_iter()
        .flatten()
        .filter_map(|at| text.name(at, NameKind::Bin))
        .map(|name| name.index)
        .collect();
    Some((0..message.bins.len()).filter(|bin| !spared.contains(bin)).map(BinRef::Known).collect())
}

/// Whether the token says that all of the room's bins are meant.
fn names_all_bins(text: &Text<'_>, at: usize, message: &Message) -> bool {
    let bins = message.bins.len();
    if bins >= 2 && spared(text, at).is_some() {
        return true;
    }
    if bins >= 2 && is_none_of_them(text, at) {
        return true;
    }
    // `the two are drained`
    let the_two = bins >= 2
        && text.has(at, Mark::The)
        && text.cardinal(at + 1).is_some_and(|count| (count - bins as f64).abs() < f64::EPSILON)
        && text.has_any(at + 2, &[Mark::Be, Mark::Have]);
    if the_two {
        return true;
    }
    let both = text.is(at, Cue::BothBins);
    if bins < 2
        || !(both || text.is(at, Cue::EachBin) || text.is(at, Cue::AllBins) || text.is(at, Cue::PerBin))
    {
        return false;
    }
    // `the two`, `all three of them`
    let number = |at: usize| text.cardinal(at).or_else(|| text.digits(at));
    let next = at + 1 + usize::from(text.has_any(at + 1, &[Mark::The, Mark::I, Mark::Of]));
    let counted = number(next).is_some_and(|count| (count - bins as f64).abs() < f64::EPSILON);
    let next = next + usize::from(counted);
    let one = text.is(at, Cue::EachBin) && text.is(next, Cue::One);
    if (text.is_matter(next, Matter::Bin) || one) && text.name(next, NameKind::Bin).is_none() {
        return !both || bins == 2;
    }
    let from = (0..at).rev().find(|i| text.is_stop(*i)).unwrap_or(0);
    let to = (at..text.tokens.len()).find(|i| text.is_stop(*i)).unwrap_or(text.tokens.len());
    let said = text.has(at + 1, Mark::Be) || text.verb(at + 1).is_some();
    let elsewhere = both && bins == 2 && said;
    // `bran on both, 2 spoons each. green is full`: whatever the other sentences name
    let full = |at: usize| text.is_stop(at) && !text.is_pause(at);
    let begin = (0..at).rev().find(|i| full(*i)).unwrap_or(0);
    let end = (at..text.tokens.len()).find(|i| full(*i)).unwrap_or(text.tokens.len());
    let sentence = if elsewhere {
        from..to
    } else if both
        && bins == 2
        && (begin..end).any(|i| text.unit(i).is_some() || text.senses(i).iter().any(is_seen))
    {
        begin..end
    } else {
        0..text.tokens.len()
    };
    // `all three got 2 spoons of bran`
    let three = text.is(at, Cue::AllBins) && counted && bins > 2;
    let served = three
        && (text.is_act(next, Act::Get) || text.has(next, Mark::A) || text.digits(next).is_some())
        && (message.direct || (at..end).any(|i| text.is_matter(i, Matter::Bran)));
    if served {
        return true;
    }
    let named = sentence.into_iter().any(|i| text.name(i, NameKind::Bin).is_some());
    let ends = next >= text.tokens.len()
        || elsewhere
        || text.is_stop(next)
        || text.time(next).is_some()
        || text.is(next, Cue::There)
        || text.has_any(next, &[Mark::And, Mark::But, Mark::Be, Mark::Have, Mark::In])
        || text.senses(next).iter().any(|sense| matches!(sense, Sense::Level(_)));
    // Among people, only what is done to bins.
    let to_bins = matches!(text.verb(at.wrapping_sub(1)), Some((Act::Drain | Act::Seal | Act::Bury, _)));
    if named || !ends || !(message.direct || both && to_bins) {
        return false;
    }
    let placed = text.is(at, Cue::InThem) || text.has_any(at.wrapping_sub(1), &[Mark::In, Mark::From]);
    both && bins == 2 && (placed || acted_on(text, at) || at == 0)
        || text.is(at, Cue::EachBin) && placed
        || text.is(at, Cue::AllBins) && counted
}

fn is_seen(sense: &Sense) -> bool {
    matches!(sense, Sense::Smell(_) | Sense::MouldNoun | Sense::Moisture(_) | Sense::Pests)
}

/// `neither bin smells`, `no mould in any of the bins`, `no flies in either`
fn is_none_of_them(text: &Text<'_>, at: usize) -> bool {
    let of = (at + 1..at + 4)
        .find(|i| !(text.has_any(*i, &[Mark::Of, Mark::The]) || text.is(*i, Cue::Them)))
        .unwrap_or(at + 1);
    let noun = text.is_matter(of, Matter::Bin) && text.tokens[of].name.is_none();
    let named = text.name(of, NameKind::Bin).is_some();
    let ends = of >= text.tokens.len()
        || text.is_stop(of)
        || text.has_any(of, &[Mark::And, Mark::But, Mark::Have, Mark::Do]);
    let denied = (at.saturating_sub(5)..at).any(|i| text.has_any(i, &[Mark::No, Mark::Not]));
    let any = text.is(at, Cue::Either) && denied && text.has_any(at.wrapping_sub(1), &[Mark::In, Mark::From]);
    let neither = text.is(at, Cue::Neither) && (noun || text.verb(of).is_some() || ends);
    (neither || any && (noun || ends)) && !named
}

/// `drained both`, `both are half full`: done to bins, or said of them.
fn acted_on(text: &Text<'_>, at: usize) -> bool {
    text.verb(at.wrapping_sub(1)).is_some()
        && !text.has_any(at.wrapping_sub(1), &[Mark::I, Mark::Be, Mark::Have])
        || text.has(at + 1, Mark::Be)
}

/// Which tokens list the bins that are spared, after the word at `at` for all: `all but blue and green`.
fn spared(text: &Text<'_>, at: usize) -> Option<Range<usize>> {
    let every = [Cue::Everything, Cue::EachBin, Cue::PerBin, Cue::Any];
    if !every.into_iter().any(|word| text.is(at, word)) {
        return None;
    }
    let end = text.tokens.len();
    let of_bins = |i: usize| {
        text.has_any(i, &[Mark::The, Mark::I, Mark::Of])
            || text.is(i, Cue::Them)
            || text.is_matter(i, Matter::Bin)
            || text.cardinal(i).is_some()
    };
    let whole = (at + 1..end).find(|i| !of_bins(*i))?;
    let ends = |i: usize| text.is_stop(i) && !text.is_pause(i);
    let later = || (whole..end).take_while(|i| !ends(*i)).find(|i| text.is(*i, Cue::Except));
    let from = 1 + if text.has(whole, Mark::But) { whole } else { later()? };
    let bin = |i: usize| text.name(i, NameKind::Bin).is_some();
    let led = |i: usize| text.has_any(i, &[Mark::And, Mark::From]) || text.is(i, Cue::For);
    let listed = |i: &usize| bin(*i) || of_bins(*i) || led(*i) || text.is_pause(*i);
    let after = (from..end).find(|i| !listed(i)).unwrap_or(end);
    let closed = after >= end
        || ends(after)
        || text.is_pause(after - 1)
        || text.has_any(after, &[Mark::Which, Mark::Be, Mark::Have, Mark::With])
        || text.is_act(after, Act::Get)
        || text.time(after).is_some();
    // `all are full except blue, green smells rotten` goes on with another bin.
    let to = if closed { after } else { (from..after).find(|i| text.is_pause(*i))? };
    (from..to).any(bin).then_some(from..to)
}

/// Whether the bin named at `at` is spared: `drained all but green`.
pub(super) fn is_spared(text: &Text<'_>, at: usize) -> bool {
    (0..at).any(|i| spared(text, i).is_some_and(|list| list.contains(&at)))
}

/// The bin spared just before a clause that goes on about it: `all full except lobby, which is half empty`.
pub(super) fn spared_before(text: &Text<'_>, from: usize) -> Option<usize> {
    let led = from > 0 && (text.is_pause(from - 1) || text.has(from - 1, Mark::Which));
    let before = from.checked_sub(1 + usize::from(led))?;
    let goes_on = text.has_any(from, &[Mark::Which, Mark::It]) || text.has(from - 1, Mark::Which);
    (goes_on && is_spared(text, before))
        .then(|| text.name(before, NameKind::Bin).map(|name| name.index))
        .flatten()
}
