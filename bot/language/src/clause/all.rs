//! `both`, `each bin`, `all three`: every bin of the room at once.

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::message::Message;
use crate::name::NameKind;
use crate::text::Text;

/// Whether the token says that all of the room's bins are meant.
pub(super) fn names_all_bins(text: &Text<'_>, at: usize, message: &Message) -> bool {
    let bins = message.bins.len();
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
    if text.is_matter(next, Matter::Bin) && text.name(next, NameKind::Bin).is_none() {
        return !both || bins == 2;
    }
    let named = (0..text.tokens.len()).any(|i| text.name(i, NameKind::Bin).is_some());
    let ends = next >= text.tokens.len()
        || text.is_stop(next)
        || text.time(next).is_some()
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

/// `drained both`, `both are half full`: done to bins, or said of them.
fn acted_on(text: &Text<'_>, at: usize) -> bool {
    text.verb(at.wrapping_sub(1)).is_some()
        && !text.has_any(at.wrapping_sub(1), &[Mark::I, Mark::Be, Mark::Have])
        || text.has(at + 1, Mark::Be)
}
