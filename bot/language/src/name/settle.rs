//! Names that are also words: is `green` the bin or the colour of a mould, `full` the bin or its state?

use crate::lexicon::{Act, Mark, Matter, Sense};
use crate::text::{Kind, Text};

use super::NameKind;

/// Drops names where the place in the sentence says that the word is meant.
pub(crate) fn settle(text: &mut Text<'_>) {
    for at in 0..text.tokens.len() {
        let Some(name) = text.tokens[at].name else { continue };
        if name.kind == NameKind::Measure {
            continue;
        }
        let keep = match name.kind {
            NameKind::Bin if is_doubtful(text, at) => stands_as_bin(text, at),
            NameKind::Bin => !beside_place(text, at),
            _ => true,
        };
        if !keep {
            text.tokens[at].name = None;
        }
    }
}

/// Whether the word means something else that a message here is likely to say.
fn is_doubtful(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|sense| {
        matches!(
            sense,
            Sense::Level(_)
                | Sense::Colour(_)
                | Sense::Matter(_)
                | Sense::Food(_)
                | Sense::Moisture(_)
                | Sense::Smell(_)
                | Sense::Time(_)
                | Sense::Lid(_)
                | Sense::Verb(..)
                | Sense::Unit(_)
                | Sense::Kitchen(..)
                | Sense::Cardinal(_)
                | Sense::Vague
        ) || matches!(sense, Sense::Mark(mark) if *mark != Mark::KitchenPlace)
    })
}

/// `the garage sink`
fn beside_place(text: &Text<'_>, at: usize) -> bool {
    text.has(at, Mark::KitchenPlace) && text.has(at + 1, Mark::KitchenPlace)
}

fn stands_as_bin(text: &Text<'_>, at: usize) -> bool {
    if text.is_matter(at + 1, Matter::Bin) {
        return true;
    }
    let next = |pick: fn(&Sense) -> bool| text.senses(at + 1).iter().any(pick);
    let mould = next(|s| matches!(s, Sense::MouldNoun))
        || (next(|s| matches!(s, Sense::Food(_) | Sense::Matter(_)))
            && text.tokens.get(at + 1).is_some_and(|t| !t.capital));
    let colour = text.senses(at).iter().any(|s| matches!(s, Sense::Colour(_)));
    if mould && !next(|s| matches!(s, Sense::Level(_))) || colour && mould {
        return false;
    }
    let before = at.wrapping_sub(1);
    let level = text.senses(at).iter().any(|s| matches!(s, Sense::Level(_)));
    let left = text.has(at, Mark::Left);
    let bran = text.is_matter(at, Matter::Bran);
    let prep = matches!(
        text.word(before),
        "in" | "into"
            | "to"
            | "from"
            | "off"
            | "out of"
            | "onto"
            | "for"
            | "on"
            | "with"
            | "inside"
            | "over"
            | "about"
            | "under"
    ) || text.has(before, Mark::From);
    let article = matches!(text.word(before), "the");
    let opens = at == 0
        || text.is_stop(before)
        || text.has_any(
            before,
            &[Mark::And, Mark::But, Mark::Hello, Mark::Yes, Mark::Then, Mark::Sorry, Mark::Or],
        )
        || text.is_act(before, Act::Say)
        || text.is_act(before, Act::Mean);
    let subject = text.has_any(at + 1, &[Mark::Be, Mark::Have])
        || text.is_act(at + 1, Act::Smell)
        || text.is_act(at + 1, Act::Get)
        || text.is_act(at + 1, Act::Hold)
        || text.is_act(at + 1, Act::Go)
        || matches!(text.word(at + 1), ":" | "-" | "needs" | "need");
    let level_next = next(|s| matches!(s, Sense::Level(_) | Sense::Share(_)));
    let verb_before = text.senses(before).iter().any(|s| {
        matches!(
            s,
            Sense::Verb(
                Act::Drain
                    | Act::Seal
                    | Act::Bury
                    | Act::Check
                    | Act::Open
                    | Act::Start
                    | Act::Clean
                    | Act::Discard
                    | Act::Look
                    | Act::Remove
                    | Act::Tape
                    | Act::Mean
                    | Act::Fill,
                _
            )
        )
    });
    let ends = at + 1 >= text.tokens.len() || text.is_stop(at + 1);
    let aux_before =
        text.has_any(before, &[Mark::Be, Mark::Do, Mark::Can, Mark::Will]) && !level && !left && !bran;
    if bran {
        return (prep && !text.has(before, Mark::With) && text.word(before) != "for")
            || (article && subject)
            || (opens && (subject || level_next || text.word(at + 1) == ":"))
            || verb_before && ends;
    }
    if left {
        let counted = matches!(text.kind(before), Some(Kind::Number(_)))
            || text.unit(before).is_some()
            || text.is_matter(before, Matter::Bran)
            || text.has(before, Mark::Be);
        return !counted
            && (prep
                || article
                || verb_before
                || (opens && (subject || level_next || ends))
                || text.tokens[at].capital);
    }
    if level {
        return prep || article || verb_before || (opens && subject) || (opens && level_next);
    }
    let object_of_question = aux_before && opens_question_word(text, before);
    prep || article && !colour
        || article
            && (ends
                || subject
                || level_next
                || text.time(at + 1).is_some()
                || text.has_any(at + 1, &[Mark::And]))
        || verb_before
        || (opens
            && (subject
                || level_next
                || ends
                || matches!(text.kind(at + 1), Some(Kind::Number(_) | Kind::Sign('-')))
                || text.tokens[at].capital
                || !colour))
        || object_of_question
        || (text.has(before, Mark::Not) && ends)
        || text.word(before) == "that"
}

fn opens_question_word(text: &Text<'_>, at: usize) -> bool {
    at == 0
        || text.is_stop(at - 1)
        || text.has_any(
            at - 1,
            &[
                Mark::What,
                Mark::When,
                Mark::How,
                Mark::Where,
                Mark::Why,
                Mark::HowFull,
                Mark::HowLong,
                Mark::And,
                Mark::Ready,
            ],
        )
        || text.tokens[at].word_is_tail()
}
