//! What was not put in: `2 l of veg, no meat or dairy`, `no scraps this time, only bran`, `meant for green`.

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::text::Text;

/// Takes what was not put in out of a report.
pub(super) fn leave_out(text: &mut Text<'_>) {
    without_foods(text);
    none_but(text);
    meant_for(text);
}

/// `2 l of veg, no meat or dairy`: the foods that are not in it.
fn without_foods(text: &mut Text<'_>) {
    let food = |text: &Text<'_>, at: usize| text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)));
    let end = text.tokens.len();
    // `everything but the bones`
    let but = |at: usize| {
        text.is(at, Cue::Except)
            || text.has(at, Mark::But) && (text.is(at - 1, Cue::Everything) || text.has(at - 1, Mark::All))
    };
    let leaves_out = |at: &usize| text.is(*at, Cue::No) || text.is(*at, Cue::Without) || but(*at);
    let Some(no) = (1..end).find(leaves_out) else { return };
    let led = text.is(no + 1, Cue::Any) || text.is(no + 1, Cue::Other) || text.has(no + 1, Mark::The);
    let first = no + 1 + usize::from(led);
    let put_in = |at: usize| food(text, at) || text.is_matter(at, Matter::Scraps) || text.unit(at).is_some();
    if !food(text, first) || (0..end).any(|at| text.is_word(at, "?")) || !(0..no).any(put_in) {
        return;
    }
    let joins = |at: usize| text.has_any(at, &[Mark::And, Mark::Or]) && food(text, at + 1);
    let to = (first..end).find(|at| !(food(text, *at) || joins(*at))).unwrap_or(end);
    // `without meat 2 l` and `no meat went in` are told in their own right.
    let ends =
        to >= end || text.is_stop(to) || text.has(to, Mark::In) && text.name(to + 1, NameKind::Bin).is_some();
    let no = no - usize::from(text.has(no - 1, Mark::And));
    if ends {
        text.tokens.drain(no..to);
    }
}

/// `no scraps this time, only bran, three tablespoons`: what was not put in.
fn none_but(text: &mut Text<'_>) {
    let stuff = |at: usize| {
        text.is_matter(at, Matter::Scraps)
            || text.is_matter(at, Matter::Bran)
            || text.is_matter(at, Matter::Liquid)
    };
    if !(text.is(0, Cue::No) && stuff(1)) {
        return;
    }
    let Some(pause) = (2..text.tokens.len().min(5)).find(|at| text.is_pause(*at)) else { return };
    let only = text.is(pause + 1, Cue::Just) || text.has_any(pause + 1, &[Mark::DownTo, Mark::But]);
    if only && (2..pause).all(|at| text.is(at, Cue::ThisTime) || text.time(at).is_some()) {
        text.tokens.drain(pause..pause + 2);
        text.tokens.drain(..2);
    }
}

/// `the eggshells meant for green ended up in blue`: where they were to go.
fn meant_for(text: &mut Text<'_>) {
    let bin = |text: &Text<'_>, at: usize| text.name(at, NameKind::Bin).is_some();
    let end = text.tokens.len();
    let led = |at: usize| text.is(at, Cue::For) || text.is_act(at, Act::Mean) && text.is(at + 1, Cue::For);
    let went =
        |at: usize| text.is_act(at, Act::Go) && (at + 1..end.min(at + 4)).any(|i| text.has(i, Mark::In));
    let Some(from) = (1..end).find(|at| led(*at)) else { return };
    let to = (from + 1..end.min(from + 4)).find(|at| bin(text, *at)).map(|at| at + 1);
    let Some(to) = to.filter(|to| (*to..end.min(to + 3)).any(went) && (*to + 1..end).any(|at| bin(text, at)))
    else {
        return;
    };
    text.tokens.drain(from..to);
}
