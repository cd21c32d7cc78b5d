//! Questions that no opening shows: a choice left open, or a question word where its answer would stand.

use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::text::Text;

use super::indirect::{is_inverted, is_question_word};

/// `corridor bin how ah`, `need to drain today or not`, `bran is how much`, `pula when will it be full`
pub(super) fn asks_in_place(text: &Text<'_>, from: usize, to: usize) -> bool {
    let end = without_particles(text, from, to);
    let topical = |to: usize| (from..to).any(|at| is_topic(text, at));
    let ends = end >= from + 2
        && topical(end)
        && (is_ready_yet(text, from, end, to) || ends_with_question(text, from, end));
    let chosen = to == from + 1 && text.is(from, Cue::Choice);
    chosen
        || ends
        || topical(to) && (from..end).any(|at| leaves_open(text, from, at, end))
        || (from + 1..end).any(|at| measures(text, from, at, end) || inverts(text, from, at))
        || heads_its_question(text, from, end)
        || how_to(text, from, to)
}

/// The end of a clause without `ah`, `already`, `you reckon`.
fn without_particles(text: &Text<'_>, from: usize, to: usize) -> usize {
    let particle = |at: usize| {
        text.has_any(at, &[Mark::Laugh, Mark::Yet, Mark::Thanks, Mark::Please])
            || text.is(at, Cue::EndParticle)
    };
    let mut end = to;
    while end > from + 1 {
        if particle(end - 1) {
            end -= 1;
        } else if text.has(end - 1, Mark::Hearsay) && text.has(end - 2, Mark::You) {
            end -= 2;
        } else {
            break;
        }
    }
    end
}

/// What a question can be about: a bin, bran, food, work on them.
pub(super) fn is_topic(text: &Text<'_>, at: usize) -> bool {
    let trade = |sense: &Sense| match sense {
        Sense::Matter(matter) => *matter != Matter::Cleaner,
        Sense::Food(_) | Sense::Level(_) => true,
        Sense::Verb(act, _) => matches!(act, Act::Drain | Act::Bury | Act::Seal | Act::Plant | Act::Dilute),
        _ => false,
    };
    text.tokens[at].name.is_some()
        || text.has_any(at, &[Mark::Ready, Mark::Turn, Mark::Hole])
        || text.has(at, Mark::You) && text.has(at + 1, Mark::Can)
        || text.senses(at).iter().any(trade)
}

/// `blue ready yet`
fn is_ready_yet(text: &Text<'_>, from: usize, end: usize, to: usize) -> bool {
    end < to
        && text.tokens[from].name.is_some()
        && text.is(end, Cue::ReadyYet)
        && text.has(end - 1, Mark::Ready)
        && !(from..end).any(|at| text.has(at, Mark::Not))
}

/// `satu put in what`, `neem is ready by when`, where nothing was told or passed on before.
fn ends_with_question(text: &Text<'_>, from: usize, end: usize) -> bool {
    // `dig how deep`
    let at = end - 1 - usize::from(text.is(end - 1, Cue::Depth) && text.has(end - 2, Mark::How));
    let word = is_question_word(text, at) && !text.has(at, Mark::Why) && text.tokens[at].name.is_none();
    text.is(at, Cue::OrNot) || word && !passes_on(text, from, at)
}

/// Whether somebody tells, knows or forgot what is named next: `I noted how much`.
fn passes_on(text: &Text<'_>, from: usize, at: usize) -> bool {
    (from..at).any(|i| {
        text.has_any(i, &[Mark::Not, Mark::No, Mark::Hearsay, Mark::Learn])
            || text.verb(i).is_some_and(|(act, forms)| {
                matches!(act, Act::Say | Act::Show | Act::Check | Act::Read | Act::Remind)
                    || act != Act::Get && forms.has(Forms::PAST) && !forms.has(Forms::BASE)
            })
    })
}

/// `or not`, `or no need`, `or can it wait`, `put or cannot`
fn leaves_open(text: &Text<'_>, from: usize, at: usize, end: usize) -> bool {
    if text.is(at, Cue::Choice) {
        return true;
    }
    if !(at > from && text.has(at, Mark::Or) && at + 1 < end) {
        return false;
    }
    let supposed = (from..at).any(|i| text.has(i, Mark::If) || text.is(i, Cue::Whether));
    let brief = end <= at + 4 && text.has_any(at + 1, &[Mark::Not, Mark::No, Mark::Skip]);
    // `today drain or tomorrow drain`
    let offers = (at + 1..end.min(at + 3))
        .any(|i| text.verb(i).is_some_and(|(_, forms)| forms.has(Forms::BASE)) && text.matter(i).is_none());
    let offers = offers && !passes_on(text, from, at);
    let turned = text.has(at + 1, Mark::Can) && text.has_any(at + 2, &[Mark::It, Mark::I]);
    !supposed && (brief || turned || offers)
}

/// `2 litre need how much bran`: the measure asked for after what it is for.
fn measures(text: &Text<'_>, from: usize, at: usize, end: usize) -> bool {
    let of_it = |i: usize| is_topic(text, i) || text.unit(i).is_some();
    let idle = |i: usize| text.verb(i).is_none() && !text.has_any(i, &[Mark::Thanks, Mark::Laugh]);
    let asked = text.has(at, Mark::HowMuch) || text.has(at, Mark::What) && text.is(from, Cue::For);
    at + 1 < end
        && asked
        && !text.has(at - 1, Mark::Be)
        && ((from..at).any(of_it) || (from..at).all(idle))
        && !passes_on(text, from, at)
}

/// `at this rate when's blue going to fill up`: after nothing that tells of anything.
fn inverts(text: &Text<'_>, from: usize, at: usize) -> bool {
    let idle = |i: usize| {
        !is_topic(text, i)
            && text.verb(i).is_none()
            && !text.has_any(i, &[Mark::Hearsay, Mark::Learn, Mark::If])
    };
    is_inverted(text, at) && (from..at).all(idle)
}

/// `pula when will it be full`, `satu when full`: what it is about, and then the question.
fn heads_its_question(text: &Text<'_>, from: usize, end: usize) -> bool {
    let from = from + usize::from(text.has(from, Mark::Bot));
    let head = from + usize::from(text.has(from, Mark::The));
    let noun = usize::from(text.is_matter(head + 1, Matter::Bin));
    // `this week who turn`
    let timed = (from..end).take_while(|at| text.time(*at).is_some() || text.has(*at, Mark::The)).count();
    let at = if timed > 0 { from + timed } else { head + 1 + noun };
    let named = timed > 0 || text.tokens.get(head).is_some_and(|token| token.name.is_some());
    let clause = text.has(at, Mark::When)
        && (text.has_any(at + 1, &[Mark::I, Mark::It, Mark::You, Mark::Other])
            || text.verb(at + 1).is_some_and(|(_, forms)| forms.has(Forms::PAST)));
    named && at + 1 < end && is_question_word(text, at) && !text.has(at, Mark::Which) && !clause
}

/// `two kilos of bran how to make`
fn how_to(text: &Text<'_>, from: usize, to: usize) -> bool {
    to >= from + 3 && text.is(to - 3, Cue::How) && text.is(to - 2, Cue::To) && text.verb(to - 1).is_some()
}
