//! What stands around a doubtful name, which tells whether it is one: `drained green` and `how is blue` name bins.

use crate::lexicon::{Act, Cue, Forms, Mark, Sense};
use crate::text::{Kind, Text};

/// What stands around a doubtful name.
#[expect(clippy::struct_excessive_bools, reason = "independent observations of the words around")]
pub(super) struct Around {
    /// `in`, `from`, `to` before it.
    pub(super) prep: bool,
    pub(super) article: bool,
    /// It opens a clause.
    pub(super) opens: bool,
    /// It ends one.
    pub(super) ends: bool,
    /// `is`, `smells`, `holds`, a level after it: it is what is spoken of.
    pub(super) subject: bool,
    /// A verb that is done to bins before it.
    pub(super) object: bool,
    /// `is`, `does`, `will` before it, at the opening of a question.
    pub(super) asked: bool,
    /// A unit or a number before it.
    pub(super) counted: bool,
}

impl Around {
    pub(super) fn of(text: &Text<'_>, at: usize) -> Self {
        let before = at.wrapping_sub(1);
        let pronoun = text.senses(before).is_empty();
        let prep = text.is_sign(before, '>')
            || text.has_any(before, &[Mark::In, Mark::From, Mark::About])
            || text.is(before, Cue::Preposition) && !pronoun;
        let counted = matches!(text.kind(before), Some(Kind::Number(_) | Kind::Pair(..)))
            || text.senses(before).iter().any(|s| matches!(s, Sense::Unit(_) | Sense::Kitchen(..)));
        // A bullet of a list
        let bullet = ['•', '*', '·', '–'].into_iter().any(|sign| text.is_sign(before, sign));
        // `last night green got 2 litres`
        let times = (0..at).rev().take_while(|i| text.time(*i).is_some()).count();
        let dated = times > 0 && (times == at || text.is_stop(at - times - 1));
        let opens = at == 0
            || bullet
            || dated
            || text.is(before, Cue::Either)
            || text.is_stop(before)
            || text.has_any(
                before,
                &[
                    Mark::And,
                    Mark::But,
                    Mark::Hello,
                    Mark::Yes,
                    Mark::Then,
                    Mark::Sorry,
                    Mark::Or,
                    Mark::No,
                    Mark::Bot,
                    Mark::Each,
                    Mark::Hearsay,
                ],
            )
            || text.is_act(before, Act::Mean);
        let subject = is_subject(text, at);
        let object = is_object(text, at);
        let asked = text.has_any(before, &[Mark::Be, Mark::Do, Mark::Can, Mark::Will, Mark::Have])
            && opens_question(text, before)
            || is_contracted_question(text, before)
            // `how is blue getting on`: the verb is in the phrase
            || text.has(before, Mark::Status);
        let ends = at + 1 >= text.tokens.len()
            || text.is_stop(at + 1)
            || text.has_any(
                at + 1,
                &[Mark::And, Mark::But, Mark::Or, Mark::Then, Mark::Not, Mark::Ta, Mark::Each],
            )
            || text.is(at + 1, Cue::AtAbout)
                && (text.time(at + 2).is_some()
                    // `on the 9th`
                    || text.has(at + 2, Mark::The) && matches!(text.kind(at + 3), Some(Kind::Ordinal(_)))
                    || text.cardinal(at + 2).is_some()
                    || text.senses(at + 2).iter().any(|s| matches!(s, Sense::Share(_)))
                    || matches!(text.kind(at + 2), Some(Kind::Number(_) | Kind::Clock { .. })))
            || matches!(text.time(at + 1), Some(word) if !matches!(word, crate::lexicon::TimeWord::Ago | crate::lexicon::TimeWord::To));
        Self { prep, article: text.is(before, Cue::TheTyped), opens, ends, subject, object, asked, counted }
    }
}

/// `is`, `smells`, `holds`, a level after it.
fn is_subject(text: &Text<'_>, at: usize) -> bool {
    // `green only holds 17 litres`
    let at = at + usize::from(text.is(at + 1, Cue::Adverb) || text.is(at + 1, Cue::Still));
    let next = |pick: fn(&Sense) -> bool| text.senses(at + 1).iter().any(pick);
    let past = |sense: &Sense| matches!(sense, Sense::Verb(_, forms) if forms.has(Forms::PAST) && !forms.has(Forms::BASE));
    next(past)
        || text.has_any(at + 1, &[Mark::Be, Mark::Have, Mark::Do, Mark::Can, Mark::Will])
        || text.has(at + 1, Mark::How) && at + 3 >= text.tokens.len()
        || text.is(at + 1, Cue::SubjectVerb)
        || text.is(at + 1, Cue::Needs)
        || next(|s| {
            matches!(
                s,
                Sense::Verb(
                    Act::Add
                        | Act::Smell
                        | Act::Get
                        | Act::Hold
                        | Act::Go
                        | Act::Take
                        | Act::Start
                        | Act::Drain
                        | Act::Seal
                        | Act::Fill
                        | Act::Bury,
                    _
                ) | Sense::Level(_)
                    | Sense::Share(_)
            )
        })
}

/// A verb before it that is done to bins.
fn is_object(text: &Text<'_>, at: usize) -> bool {
    let before = at.wrapping_sub(1);
    let filled = text.is(before, Cue::TopsOrFed) && text.has_any(at + 1, &[Mark::Up, Mark::With])
        || text.is_act(before, Act::Add)
            && (text.has_any(at + 1, &[Mark::With]) || text.is(before, Cue::TopsOrFed));
    // `tipped green into the trench`
    let moved = text
        .senses(before)
        .iter()
        .any(|s| matches!(s, Sense::Verb(Act::Add | Act::Move | Act::Pour | Act::Take | Act::Set, _)))
        && (text.has_any(at + 1, &[Mark::In]) || text.is(at + 1, Cue::IntoUnder));
    // `gave stinky a good scrub`
    let given = text.is_act(before, Act::Give)
        && (text.has(at + 1, Mark::A)
            || text.is(at + 1, Cue::LedA)
            || text.is(at + 1, Cue::Given)
            || text.is(at + 1, Cue::AwayTo)
            || matches!(text.kind(at + 1), Some(Kind::Number(_))));
    // `chucked blue`, `emptied green`
    let emptied = text.is_act(before, Act::Add) && text.is(before, Cue::EmptiesOrThrows);
    // `no longer have blue`
    let had = text.has(before, Mark::Have)
        && (text.is(before.wrapping_sub(1), Cue::NoLonger)
            || text.is(at + 1, Cue::AnyMore)
            || text.is(at + 1, Cue::Any));
    let used = [Act::Use, Act::Hold].iter().any(|act| text.is_act(before, *act))
        && (at + 1 >= text.tokens.len()
            || text.is_stop(at + 1)
            || text.is(at + 1, Cue::AnyMore)
            || text.is(at + 1, Cue::Any));
    let replaced = text.is(before, Cue::Replaced) && text.is(at + 1, Cue::ReplacedBy);
    filled
        || moved
        || emptied
        || had
        || used
        || replaced
        || given
        || text.senses(before).iter().any(|s| matches!(s, Sense::Verb(act, _) if on_bins(*act)))
}

/// `hows`, `wheres`: the auxiliary is in the word.
fn is_contracted_question(text: &Text<'_>, at: usize) -> bool {
    text.has_any(at, &[Mark::How, Mark::What, Mark::When, Mark::Where]) && text.word(at).ends_with('s')
}

/// Verbs whose object is a bin.
fn on_bins(act: Act) -> bool {
    matches!(
        act,
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
            | Act::Fill
            | Act::Finish
    )
}

/// `how old`, `how far down`, `how big a hole`, `what size trench`: a question word and what it measures, up to `at`.
fn asks_by_measure(text: &Text<'_>, at: usize) -> bool {
    let word = |at: usize| text.has_any(at, &[Mark::How, Mark::HowMuch, Mark::What, Mark::Which]);
    let between =
        |at: usize| text.tokens[at].is_word() && text.verb(at).is_none() && text.tokens[at].name.is_none();
    (at.saturating_sub(3)..=at).rev().take_while(|i| between(*i)).any(word)
}

/// Whether an auxiliary stands where questions begin: at the opening of a clause or after `when`, `how`, `what`.
fn opens_question(text: &Text<'_>, at: usize) -> bool {
    let before = at.wrapping_sub(1);
    at == 0
        || text.is_stop(before)
        || asks_by_measure(text, before)
        || text.has_any(
            before,
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
                Mark::Bot,
                Mark::Hello,
            ],
        )
        || text.tokens[at].word_is_tail()
}
