//! Words that are not written as they are meant: misspelt, shortened, misheard by a dictation.

use super::annotate::append;
use super::{Kind, Text};
use crate::lexicon::{Act, Cue, Forms, Lexicon, Mark, Matter, Sense, TimeWord};
use crate::name::Names;
use crate::spelling;

/// `four tablespoons of brand`, `three courts of peel`: what dictation makes of bran and of measures, where they are measured
/// or counted.
pub(super) fn misheard(text: &mut Text<'_>, lexicon: &'static Lexicon) {
    let measure = |text: &Text<'_>, at: usize| {
        text.unit(at).is_some() || text.senses(at).iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
    };
    let counted = |text: &Text<'_>, at: usize| {
        text.digits(at).is_some() || text.cardinal(at).is_some() || text.heard(at).is_some()
    };
    for at in 1..text.tokens.len() {
        // `drained green an flung in some peel`
        let verb =
            text.verb(at + 1).is_some_and(|(_, forms)| forms.has(Forms::PAST) && !forms.has(Forms::BASE));
        if text.is(at, Cue::AndClipped) && verb && text.matter(at + 1).is_none() {
            let and = lexicon.word("and");
            (text.tokens[at].senses, text.tokens[at].cues) = (and.senses, and.cues);
        }
    }
    for at in 0..text.tokens.len() {
        let Some(meant) = lexicon.meant(text.word(at)) else { continue };
        let word = lexicon.word(meant);
        let before = at.wrapping_sub(1);
        // `knew bin called hallway`
        let new = word.senses.has(Mark::New.bit());
        let fits = if new {
            text.is_matter(at + 1, Matter::Bin) || text.is_matter(at + 1, Matter::Plot)
        } else if word.senses.is_act(Act::Add) {
            // `pit twa litres in`
            counted(text, at + 1) && measure(text, at + 2)
        } else if word.senses.unit().is_some() {
            counted(text, before) && text.has(at + 1, Mark::Of)
        } else {
            text.has(before, Mark::Of) && measure(text, before.wrapping_sub(1))
                || text.has(before, Mark::HowMuch)
                || measure(text, before)
        };
        if fits {
            (text.tokens[at].senses, text.tokens[at].cues) = (word.senses, word.cues);
        }
    }
}

/// `had 2 throw it out`, `b4 lunch`: a figure that stands for a word of its sound.
pub(super) fn sounded(text: &mut Text<'_>, lexicon: &'static Lexicon) {
    let figure = |text: &Text<'_>, at: usize, figure: &str| {
        let token = &text.tokens[at];
        matches!(token.kind, Kind::Number(_)) && &text.typed[token.start..token.end] == figure
    };
    for at in (1..text.tokens.len().saturating_sub(1)).rev() {
        let base = text.verb(at + 1).is_some_and(|(_, forms)| forms.has(Forms::BASE));
        let to = || {
            let first = text.word(at - 1);
            let phrase = |offset: usize| [first, "to"].get(offset).copied();
            text.unit(at + 1).is_none() && lexicon.phrase(first, phrase).is_some()
        };
        let dated = text.time(at + 1).is_some() || text.has(at + 1, Mark::I);
        if base && figure(text, at, "2") && to() {
            text.tokens[at].kind = Kind::Word;
            respell(text, at, "to", lexicon);
        } else if dated && figure(text, at, "4") && text.tokens[at].glued && text.word(at - 1) == "b" {
            text.tokens[at - 1].end = text.tokens[at].end;
            text.tokens.remove(at);
            respell(text, at - 1, "before", lexicon);
        }
    }
}

/// Words without any meaning may be misspelt names, or misspelt terms where they are no ordinary words.
pub(super) fn correct(text: &mut Text<'_>, names: &Names, lexicon: &'static Lexicon) {
    for at in 0..text.tokens.len() {
        let token = &text.tokens[at];
        let word = text.word(at);
        if !token.is_word() || !token.senses.is_empty() || !(2..=24).contains(&word.len()) {
            continue;
        }
        if let Some(spelling) = lexicon.dictionary_spelling(word).filter(|_| !names.has_word(word)) {
            respell(text, at, &spelling, lexicon);
            continue;
        }
        if word.len() < 3 {
            continue;
        }
        let given = is_given(text, at);
        if let Some(name) = names.without_vowels(word).filter(|_| !given).map(str::to_owned) {
            respell(text, at, &name, lexicon);
            text.tokens[at].corrected = true;
            continue;
        }
        if word.len() < 4 {
            continue;
        }
        // `ragin'`
        let whole = || format!("{word}g");
        let clipped =
            word.ends_with("in") && lexicon.is_ordinary(&whole()) && lexicon.senses(&whole()).is_empty();
        // `big sams lid`
        let owned = word.strip_suffix('s').is_some_and(|owner| names.has_word(owner));
        if clipped || owned || names.has_word(word) || lexicon.is_ordinary(word) || lexicon.is_in_phrase(word)
        {
            continue;
        }
        // A capital within a sentence marks a name of some kind.
        let opening = at == 0 || text.is_stop(at - 1) && !text.is_pause(at - 1);
        let proper =
            token.capital && !opening && text.typed[token.start..token.end].chars().any(char::is_lowercase);
        let Some(mended) = names
            .misspelt(word)
            .map(str::to_owned)
            // `till 3 Janury`
            .or_else(|| {
                let dated = |term: &&str| {
                    matches!(lexicon.senses(term).time(), Some(TimeWord::Month(_) | TimeWord::Weekday(_)))
                };
                term(word, lexicon).filter(|term| !proper || dated(term)).map(str::to_owned)
            })
            .filter(|mended| !(given && names.has_word(mended)))
        else {
            continue;
        };
        respell(text, at, &mended, lexicon);
        text.tokens[at].corrected = true;
    }
}

/// Letters of words that may be two: shorter ones say too little, longer ones are something else.
const RUN_TOGETHER: std::ops::RangeInclusive<usize> = 5..=16;

/// `bagof`, `howlong`, `notap`: two words that are known, without the space between them.
pub(super) fn part_run_together(text: &mut Text<'_>, names: &Names, lexicon: &'static Lexicon) {
    for at in (0..text.tokens.len()).rev() {
        let (token, word) = (&text.tokens[at], text.word(at));
        let strange = token.is_word()
            && token.senses.is_empty()
            && !(token.corrected || token.capital)
            && RUN_TOGETHER.contains(&word.len())
            && word.bytes().all(|b| b.is_ascii_lowercase())
            && token.end - token.start == word.len()
            && !(lexicon.is_ordinary(word) || lexicon.is_in_phrase(word) || names.has_word(word));
        if !strange || is_given(text, at) {
            continue;
        }
        let known = |word: &str| {
            let of_phrase = word.len() > 3 && lexicon.is_in_phrase(word);
            of_phrase || !lexicon.senses(word).is_empty() || names.has_word(word)
        };
        // `springhouse` is a word of its own.
        let short = |split: usize| split.min(word.len() - split) <= 3;
        let parted = |split: &usize| short(*split) && known(&word[..*split]) && known(&word[*split..]);
        // Two short words are more likely to be something else: `anand`.
        let Some(split) =
            (2..word.len() - 1).filter(parted).max_by_key(|split| (*split).min(word.len() - split))
        else {
            continue;
        };
        let (first, second) = (word[..split].to_owned(), word[split..].to_owned());
        let mut rest = token.clone();
        rest.start += split;
        rest.glued = false;
        text.tokens[at].end = rest.start;
        text.tokens.insert(at + 1, rest);
        respell(text, at, &first, lexicon);
        respell(text, at + 1, &second, lexicon);
    }
}

/// Takes a token for another word.
fn respell(text: &mut Text<'_>, at: usize, word: &str, lexicon: &'static Lexicon) {
    let low = append(text, word);
    let token = &mut text.tokens[at];
    token.low = low;
    (token.senses, token.cues) = (lexicon.senses(word), lexicon.cues(word));
}

/// `new bin sheld`, `a bin called sheld`: a name being given, however near it is to that of another.
fn is_given(text: &Text<'_>, at: usize) -> bool {
    let before = at.wrapping_sub(if text.is_stop(at.wrapping_sub(1)) { 2 } else { 1 });
    let thing = text.is_matter(before, Matter::Bin) || text.is_matter(before, Matter::Plot);
    let new = || (before.saturating_sub(5)..before).any(|at| text.has(at, Mark::New));
    thing && new() || text.is_act(before, Act::Call)
}

/// The one term that a misspelt word was meant for. Of several as near, the one that ends alike.
fn term(word: &str, lexicon: &'static Lexicon) -> Option<&'static str> {
    let near = spelling::nearest(word, lexicon.terms_like(word));
    let agree = |terms: &[&'static str]| {
        let (first, rest) = terms.split_first()?;
        let senses = lexicon.senses(first);
        rest.iter().all(|other| lexicon.senses(other) == senses).then_some(*first)
    };
    agree(&near).or_else(|| {
        let alike: Vec<&'static str> = near
            .iter()
            .copied()
            .filter(|term| term.chars().last() == word.chars().last() && term.len() >= word.len())
            .collect();
        agree(&alike)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lexicon::english;
    use crate::text::{annotate, tokenise};

    fn annotated(text: &str) -> Text<'_> {
        let message = crate::Message {
            text: String::new(),
            now: chrono::DateTime::default(),
            zone: chrono_tz::Tz::UTC,
            units: crate::Units::Metric,
            bins: Vec::new(),
            plots: Vec::new(),
            measures: std::collections::BTreeMap::new(),
            direct: true,
            reply_to: None,
            id: None,
        };
        let mut tokens = tokenise(text);
        annotate(&mut tokens, &Names::of(&message, english()), english());
        tokens
    }

    /// The most frequent English words (wordfreq; see `tests/reference/frequent.py`).
    #[test]
    fn no_ordinary_word_becomes_a_term() {
        let words =
            include_str!("../../tests/reference/frequent.txt").lines().filter(|line| !line.starts_with('#'));
        let (taken, all) = words.fold((Vec::new(), 0), |(mut taken, all), word| {
            // As it is spoken, and rightly understood.
            let spoken = ["goin", "doin", "lookin", "gettin"].contains(&word);
            if annotated(word).tokens[0].corrected && !spoken {
                taken.push(word);
            }
            (taken, all + 1)
        });
        assert_eq!(all, 9_999);
        assert!(taken.is_empty(), "{} of {all}: {taken:?}", taken.len());
    }

    #[test]
    fn misspelt_terms_are_found() {
        for (typed, term) in [
            ("drianed", "drained"),
            ("tempreture", "temperature"),
            ("vinagar", "vinegar"),
            ("burried", "buried"),
            ("planetd", "planted"),
            ("quater", "quarter"),
        ] {
            assert_eq!(annotated(typed).tokens[0].senses, english().senses(term), "{typed}");
        }
    }
}
