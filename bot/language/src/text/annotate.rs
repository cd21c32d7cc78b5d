//! Gives tokens their meanings: names of the room, phrases, words, and words misspelt.

use super::{Kind, Text};
use crate::lexicon::{Lexicon, Sense};
use crate::name::Names;
use crate::spelling;

/// Looks up every token; tokens of one phrase or one name become one.
pub(crate) fn annotate(text: &mut Text<'_>, names: &Names, lexicon: &'static Lexicon) {
    first_look(text, lexicon);
    let mut out = Vec::with_capacity(text.tokens.len());
    let mut at = 0;
    while at < text.tokens.len() {
        let named = names.exact(text, at);
        let phrase =
            phrase(text, at, lexicon).filter(|(_, length)| *length > named.map_or(1, |(_, length)| length));
        let mut token = text.tokens[at].clone();
        let length = match (named, phrase) {
            (_, Some((senses, length))) => {
                token.senses = senses;
                length
            }
            (Some((name, length)), None) => {
                token.name = Some(name);
                if length > 1 {
                    token.senses = &[];
                }
                length
            }
            (None, None) => 1,
        };
        let last = &text.tokens[at + length - 1];
        (token.end, token.low.1) = (last.end, last.low.1);
        out.push(token);
        at += length;
    }
    text.tokens = out;
    correct(text, names, lexicon);
}

fn first_look(text: &mut Text<'_>, lexicon: &'static Lexicon) {
    for token in &mut text.tokens {
        if matches!(token.kind, Kind::Word | Kind::Sign(_) | Kind::Picture) {
            token.senses = lexicon.senses(&text.folded[token.low.0..token.low.1]).unwrap_or(&[]);
        }
    }
}

/// The longest phrase from token `at` on; hyphens between its words do not matter.
fn phrase(text: &Text<'_>, at: usize, lexicon: &'static Lexicon) -> Option<(&'static [Sense], usize)> {
    if !text.tokens[at].is_word() && !matches!(text.tokens[at].kind, Kind::Number(_) | Kind::Pair(..)) {
        return None;
    }
    let hyphens = std::cell::Cell::new(0);
    let word_at = |offset: usize| {
        if offset == 1 {
            hyphens.set(0);
        }
        let mut index = at + offset + hyphens.get();
        if text.is_sign(index, '-') && text.tokens.get(index + 1).is_some_and(|token| token.glued) {
            hyphens.set(hyphens.get() + 1);
            index += 1;
        }
        text.tokens.get(index).filter(|token| !matches!(token.kind, Kind::Stop(_))).map(|_| text.word(index))
    };
    let (senses, words) = lexicon.phrase(text.word(at), word_at)?;
    Some((senses, words + hyphens.get()))
}

/// Words without any meaning may be misspelt names, or misspelt terms where they are no ordinary words.
fn correct(text: &mut Text<'_>, names: &Names, lexicon: &'static Lexicon) {
    for at in 0..text.tokens.len() {
        let token = &text.tokens[at];
        if !token.is_word() || !token.senses.is_empty() || token.name.is_some() {
            continue;
        }
        // A capital within a sentence marks a name of some kind.
        let opening = at == 0 || text.is_stop(at - 1) && text.word(at - 1) != ":";
        let proper =
            token.capital && !opening && text.typed[token.start..token.end].chars().any(char::is_lowercase);
        let word = text.word(at);
        if word.len() < 4 || word.len() > 24 || lexicon.is_ordinary(word) {
            continue;
        }
        if let Some((name, term)) = names.misspelt(word) {
            let senses = lexicon.senses(term).unwrap_or(&[]);
            let token = &mut text.tokens[at];
            (token.name, token.senses, token.corrected) = (Some(name), senses, true);
            continue;
        }
        if proper {
            continue;
        }
        let near = spelling::nearest(word, lexicon.terms().iter().copied());
        let mut meanings = near.iter().filter_map(|term| lexicon.senses(term));
        let Some(senses) = meanings.next() else { continue };
        if meanings.all(|other| other == senses) {
            let token = &mut text.tokens[at];
            (token.senses, token.corrected) = (senses, true);
        }
    }
}
