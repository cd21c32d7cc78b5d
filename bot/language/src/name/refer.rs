//! Bins that are meant without their names: `the other one`, `the former`, `the latter`.

use crate::lexicon::{Cue, CueSet, Mark, Matter, Sense, Senses};
use crate::text::Text;

use super::{Name, NameKind};

/// Puts names in the place of words that stand for a bin named before; `bins` is how many the room has.
pub(crate) fn refer(text: &mut Text<'_>, bins: usize) {
    for at in 1..text.tokens.len() {
        let Some(bin) = meant(text, at, bins) else { continue };
        let token = &mut text.tokens[at];
        token.name = Some(Name { kind: NameKind::Bin, index: bin, whole: true, weak: false });
        (token.senses, token.cues) = (Senses::NONE, &CueSet::NONE);
        let noun = text.is(at + 1, Cue::One) || text.is_matter(at + 1, Matter::Bin);
        if noun && text.tokens[at + 1].name.is_none() {
            text.tokens.remove(at + 1);
        }
    }
}

fn meant(text: &Text<'_>, at: usize, bins: usize) -> Option<usize> {
    // `green still had room, so 1 litre there too`
    if is_there(text, at) {
        return (0..at).rev().find_map(|i| text.name(i, NameKind::Bin)).map(|name| name.index);
    }
    let other = is_the_other(text, at);
    let former = text.is(at, Cue::Former) || is_nth(text, at, 1);
    let latter = text.is(at, Cue::Latter) || is_nth(text, at, 2);
    // Most words are none of these; the names need not be gathered for them.
    if !(other || former || latter) {
        return None;
    }
    let all: Vec<usize> =
        (0..at).filter_map(|i| text.name(i, NameKind::Bin)).map(|name| name.index).collect();
    // `drained green, the other one is dry`
    if let Some(last) = all.last().filter(|last| other && bins == 2 && **last < 2) {
        return Some(1 - last);
    }
    let mut named: Vec<usize> = Vec::new();
    for bin in all {
        if !named.contains(&bin) {
            named.push(bin);
        }
    }
    match named[..] {
        [first, _] if former => Some(first),
        [_, second] if latter => Some(second),
        _ => None,
    }
}

/// `there`, of something measured that went in.
fn is_there(text: &Text<'_>, at: usize) -> bool {
    if !text.is(at, Cue::There) {
        return false;
    }
    let next = at + 1;
    let ends = next >= text.tokens.len()
        || text.is_stop(next)
        || text.is(next, Cue::AsWell)
        || text.has(next, Mark::And);
    let measured = (at.saturating_sub(6)..at).any(|i| text.unit(i).is_some());
    // `out of green there`: the bin is named already.
    let named = text.name(at - 1, NameKind::Bin).is_some();
    ends && measured && !named && text.verb(at - 1).is_none()
}

/// `the first one`, `that second one's got maggots`, `when will the first be full?`
fn is_nth(text: &Text<'_>, at: usize, nth: u32) -> bool {
    let ordinal = text.sense(at, |s| if let Sense::Ordinal(n) = s { Some(n) } else { None }) == Some(nth);
    if !ordinal {
        return false;
    }
    let led = text.has(at - 1, Mark::The) || text.is(at - 1, Cue::That);
    let next = at + 1;
    let ends = next >= text.tokens.len() || text.is_stop(next) || text.has_any(next, &[Mark::Be, Mark::Have]);
    led && (text.is(next, Cue::One) || text.is_matter(next, Matter::Bin) || ends)
}

/// `the other`, of bins and not `the other kilo`, `the other half`.
fn is_the_other(text: &Text<'_>, at: usize) -> bool {
    if !(text.is(at, Cue::TheOther) || text.is(at, Cue::Other) && text.has(at - 1, Mark::The)) {
        return false;
    }
    let next = at + 1;
    let noun = text.is(next, Cue::One) || text.is_matter(next, Matter::Bin);
    let ends = next >= text.tokens.len()
        || text.is_stop(next)
        || text.is(next, Cue::TailS)
        || text.has_any(next, &[Mark::Be, Mark::Have, Mark::And, Mark::But, Mark::Do, Mark::Not])
        || text.verb(next).is_some()
        || text.senses(next).iter().any(|sense| matches!(sense, Sense::Smell(_) | Sense::Level(_)))
        || text.time(next).is_some();
    // `2 litres in green, the other one in blue` is a litre.
    let placed = noun
        && text.has(next + 1, Mark::In)
        && (next + 2..next + 4).any(|i| text.name(i, NameKind::Bin).is_some());
    noun && !placed || ends
}
