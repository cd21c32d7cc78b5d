//! Gives tokens their meanings: names of the room, phrases, words, and words misspelt.

use super::mend::{correct, misheard, part_run_together, sounded};
use super::trim::{
    dates, without_closing, without_dots, without_hesitation, without_opening, without_pauses_of_headings,
    without_quotes, without_shops,
};
use super::{Kind, Text, Token};
use crate::lexicon::{Act, Cue, Lexicon, Mark, Sense, Senses};
use crate::name::Names;
use crate::reading::Use;

/// Looks up every token, mends misspelt ones; tokens of one phrase or one name become one.
pub(crate) fn annotate(text: &mut Text<'_>, names: &Names, lexicon: &'static Lexicon) {
    first_look(text, lexicon);
    correct(text, names, lexicon);
    part_run_together(text, names, lexicon);
    sounded(text, lexicon);
    let mut out = Vec::with_capacity(text.tokens.len());
    let mut at = 0;
    while at < text.tokens.len() {
        let called = names.exact(text, at);
        let phrase = phrase(text, at, lexicon)
            .filter(|(_, length)| *length > called.map_or(1, |(_, length)| length))
            .filter(|(senses, length)| is_meant(text, at, *senses, *length, &out))
            // `in the lot garden`, where a bed is called so: no `the lot`
            .filter(|(_, length)| names.exact(text, at + length - 1).is_none_or(|(_, words)| words == 1));
        let mut token = text.tokens[at].clone();
        let length = match (called, phrase) {
            (_, Some((senses, length))) => {
                token.senses = senses;
                length
            }
            (Some((name, length)), None) => {
                token.name = Some(name);
                // A bin called `12A` is no number.
                if length > 1 {
                    (token.senses, token.kind) = (Senses::NONE, Kind::Word);
                }
                length
            }
            (None, None) => 1,
        };
        token.end = text.tokens[at + length - 1].end;
        if length > 1 {
            token.low = joined(text, at, length);
            token.cues = lexicon.cues(&text.folded[token.low.0..token.low.1]);
        }
        out.push(token);
        at += length;
    }
    text.tokens = out;
    without_quotes(text);
    without_dots(text);
    without_hesitation(text);
    misheard(text, lexicon);
    without_pauses_of_headings(text);
    dates(text);
    without_closing(text);
    without_opening(text);
    without_shops(text);
}

/// Whether words mean as a phrase what they mean as one elsewhere; `before` are the tokens before them.
fn is_meant(text: &Text<'_>, at: usize, senses: Senses, length: usize, before: &[Token]) -> bool {
    let last = at + length - 1;
    // `new bin shed` calls a bin by a name: no place.
    let named = before.last().is_some_and(|before| before.senses.has(Mark::New.bit()))
        && senses.has(Mark::KitchenPlace.bit());
    // `tossed it in`: not away
    let away = senses.iter().any(|sense| matches!(sense, Sense::Use(Use::PouredAway)));
    let ends = last + 2 >= text.tokens.len() || text.is_stop(last + 2);
    let put_in = away && ends && text.is(last, Cue::It) && text.is(last + 1, Cue::In);
    // `this evening all of it`: no `evening all`
    let dated = before.last().is_some_and(|before| before.senses.time().is_some())
        && senses.has(Mark::Hello.bit())
        && text.time(at).is_some();
    // `put in to cups of coffee grounds`: two cups
    let counts = text.heard(last).is_some() && is_plural_unit(text, last + 1);
    // `a litre of yoghurt`, `a splash of vinegar` smells of nothing.
    let holds = senses.iter().any(|sense| matches!(sense, Sense::Smell(_)))
        && text.is(at, Cue::Of)
        && !is_smelt(before);
    !(named || put_in || dated || counts || holds)
}

/// `cups`: only a number stands before it.
fn is_plural_unit(text: &Text<'_>, at: usize) -> bool {
    text.unit(at).is_some() && text.word(at).len() > 3 && text.word(at).ends_with('s')
}

/// Whether a smell is spoken of right before.
fn is_smelt(before: &[Token]) -> bool {
    let smells = |sense: &Sense| matches!(sense, Sense::SmellNoun | Sense::Verb(Act::Smell, _));
    before.iter().rev().take(4).any(|token| token.senses.iter().any(smells))
}

/// The words of several tokens as one, with single spaces.
fn joined(text: &mut Text<'_>, at: usize, length: usize) -> (usize, usize) {
    let mut whole = String::new();
    for index in at..at + length {
        if index > at && !text.tokens[index].glued {
            whole.push(' ');
        }
        whole.push_str(text.word(index));
    }
    append(text, &whole)
}

/// Puts a word behind the folded text, for a token to point at.
pub(super) fn append(text: &mut Text<'_>, word: &str) -> (usize, usize) {
    let start = text.folded.len();
    text.folded.push_str(word);
    (start, text.folded.len())
}

fn first_look(text: &mut Text<'_>, lexicon: &'static Lexicon) {
    for token in &mut text.tokens {
        let word = lexicon.word(&text.folded[token.low.0..token.low.1]);
        token.cues = word.cues;
        if matches!(token.kind, Kind::Word | Kind::Sign(_)) {
            token.senses = word.senses;
        }
    }
}

/// The longest phrase from token `at` on; hyphens between its words do not matter.
fn phrase(text: &Text<'_>, at: usize, lexicon: &'static Lexicon) -> Option<(Senses, usize)> {
    if !text.tokens[at].is_word() && !matches!(text.tokens[at].kind, Kind::Number(_) | Kind::Pair(..)) {
        return None;
    }
    // Where the word stands that comes so many words after the first.
    let place = |offset: usize| (0..offset).try_fold(at, |before, _| following(text, before));
    let word_at = |offset: usize| place(offset).map(|at| text.word(at));
    let (senses, words) = lexicon.phrase(text.word(at), word_at)?;
    Some((senses, place(words - 1)? + 1 - at))
}

/// The word after token `at`, past a hyphen that joins them; a stop is none.
fn following(text: &Text<'_>, at: usize) -> Option<usize> {
    let joined = text.is_sign(at + 1, '-') && text.tokens.get(at + 2).is_some_and(|token| token.glued);
    let next = at + 1 + usize::from(joined);
    (next < text.tokens.len() && !text.is_stop(next)).then_some(next)
}
