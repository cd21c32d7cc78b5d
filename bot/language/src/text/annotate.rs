//! Gives tokens their meanings: names of the room, phrases, words, and words misspelt.

use super::{Kind, Stop, Text, Token};
use crate::amount::Unit;
use crate::lexicon::{Act, Cue, Lexicon, Mark, Matter, Sense, Senses, TimeWord};
use crate::name::Names;
use crate::reading::Use;
use crate::spelling;

/// Looks up every token, mends misspelt ones; tokens of one phrase or one name become one.
pub(crate) fn annotate(text: &mut Text<'_>, names: &Names, lexicon: &'static Lexicon) {
    first_look(text, lexicon);
    correct(text, names, lexicon);
    let mut out = Vec::with_capacity(text.tokens.len());
    let mut at = 0;
    while at < text.tokens.len() {
        let called = names.exact(text, at);
        // `new bin shed` calls a bin by a name: no place.
        let is_new = out.last().is_some_and(|before: &Token| before.senses.has(Mark::New.bit()));
        let phrase = phrase(text, at, lexicon)
            .filter(|(_, length)| *length > called.map_or(1, |(_, length)| length))
            .filter(|(senses, _)| !is_new || !senses.has(Mark::KitchenPlace.bit()))
            // `tossed it in`: not away
            .filter(|(senses, length)| {
                let away = senses.iter().any(|s| matches!(s, Sense::Use(Use::PouredAway)));
                let ends = at + length + 1 >= text.tokens.len() || text.is_stop(at + length + 1);
                !(away && ends && text.is(at + length - 1, Cue::It) && text.is(at + length, Cue::In))
            })
            // `this evening all of it`: no `evening all`
            .filter(|(senses, _)| {
                let dated = out.last().is_some_and(|before: &Token| before.senses.time().is_some());
                !(dated && senses.has(Mark::Hello.bit()) && text.time(at).is_some())
            })
            // `in the lot garden`, where a bed is called so: no `the lot`
            .filter(|(_, length)| {
                *length == 1 || names.exact(text, at + length - 1).is_none_or(|(_, words)| words == 1)
            })
            // `put in to cups of coffee grounds`: two cups
            .filter(|(_, length)| {
                let last = at + length - 1;
                *length == 1 || text.heard(last).is_none() || !is_plural_unit(text, last + 1)
            })
            // `a litre of yoghurt`, `a splash of vinegar` smells of nothing.
            .filter(|(senses, _)| {
                let smell = senses.iter().any(|sense| matches!(sense, Sense::Smell(_)));
                !(smell && text.is(at, Cue::Of)) || is_smelt(&out)
            });
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
    without_dots(text);
    without_hesitation(text);
    misheard(text, lexicon);
    dates(text);
    without_closing(text);
    without_opening(text);
}

/// `four tablespoons of brand`, `three courts of peel`: what dictation makes of bran and of measures, where they are measured
/// or counted.
fn misheard(text: &mut Text<'_>, lexicon: &'static Lexicon) {
    let measure = |text: &Text<'_>, at: usize| {
        text.unit(at).is_some() || text.senses(at).iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
    };
    let counted = |text: &Text<'_>, at: usize| {
        text.digits(at).is_some() || text.cardinal(at).is_some() || text.heard(at).is_some()
    };
    for at in 0..text.tokens.len() {
        let Some(meant) = lexicon.meant(text.word(at)) else { continue };
        let word = lexicon.word(meant);
        let before = at.wrapping_sub(1);
        // `knew bin called hallway`
        let new = word.senses.has(Mark::New.bit());
        let fits = if new {
            text.is_matter(at + 1, Matter::Bin) || text.is_matter(at + 1, Matter::Plot)
        } else if word.senses.unit().is_some() {
            counted(text, before) && text.has(at + 1, Mark::Of)
        } else {
            text.has(before, Mark::Of) && measure(text, before.wrapping_sub(1))
                || text.has(before, Mark::HowMuch)
        };
        if fits {
            (text.tokens[at].senses, text.tokens[at].cues) = (word.senses, word.cues);
        }
    }
}

/// `two quarts uh make that three`: what only fills a pause is one.
fn without_hesitation(text: &mut Text<'_>) {
    for at in 0..text.tokens.len() {
        if text.is(at, Cue::Hesitates) && text.tokens[at].name.is_none() {
            text.tokens[at].kind = Kind::Stop(Stop::Pause);
        }
    }
}

/// `5 lb. 4 oz.`: the dot of an abbreviated unit ends nothing where a measure goes on.
fn without_dots(text: &mut Text<'_>) {
    // Nobody goes on with a smaller unit behind `650 ml.`
    let customary = |unit: Unit| unit.is_metric() != Some(true);
    let short = |text: &Text<'_>, at: usize| text.unit(at).is_some_and(customary) && text.word(at).len() <= 4;
    let goes_on = |text: &Text<'_>, at: usize| text.digits(at).is_some() && text.unit(at + 1).is_some();
    let ends_nothing = |at: usize| {
        at > 0
            && text.is_word(at, ".")
            && text.tokens[at].glued
            && short(text, at - 1)
            && goes_on(text, at + 1)
    };
    let keep: Vec<bool> = (0..text.tokens.len()).map(|at| !ends_nothing(at)).collect();
    let mut at = 0;
    text.tokens.retain(|_| {
        at += 1;
        keep[at - 1]
    });
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

/// Words of courtesy that say something of their own as well.
const TELLING: [Mark; 12] = [
    Mark::Done,
    Mark::Status,
    Mark::Why,
    Mark::Undo,
    Mark::Help,
    Mark::Skip,
    Mark::Later,
    Mark::No,
    Mark::Sorry,
    Mark::Worry,
    Mark::Ready,
    Mark::Away,
];

/// Leaves out what only closes a message: `, thanks`, a full stop, a smile.
fn without_closing(text: &mut Text<'_>) {
    // `full!!1`: the key of the sign without its shift
    let slipped = |text: &Text<'_>, at: usize| {
        text.tokens[at].glued
            && text.word(at).bytes().all(|b| b == b'1')
            && text.word(at.wrapping_sub(1)) == "!"
    };
    let closes = |text: &Text<'_>, at: usize| match text.tokens[at].kind {
        Kind::Number(_) => slipped(text, at),
        Kind::Stop(stop) => stop != Stop::Question,
        Kind::Sign(sign) => !sign.is_ascii() && !matches!(sign, '°' | '½' | '¼' | '¾'),
        _ => {
            // `drained green by the way`
            let aside = text.has(at, Mark::Hello) && text.word(at).contains(' ') && at > 1;
            // `smells sweet` tells; `sweet` after a comma does not.
            (aside || text.has_any(at, &[Mark::Thanks, Mark::Laugh]))
                && !text.has_any(at, &TELLING)
                && text.tokens[at].name.is_none()
                && (aside || text.is_pause(at.wrapping_sub(1)) || text.is(at, Cue::PlainThanks))
        }
    };
    let Some(last) = (0..text.tokens.len()).rev().find(|at| !closes(text, *at)) else { return };
    // `lekker, thanks`: a word of thanks in some other tongue
    if text.tokens[..=last]
        .iter()
        .filter(|token| token.is_word())
        .all(|token| token.senses.is_empty() && token.name.is_none())
    {
        return;
    }
    text.tokens.truncate(last + 1);
}

/// Leaves out what only opens a message: `ok so`, `hi there,`, `oh and`.
fn without_opening(text: &mut Text<'_>) {
    const OPENINGS: [Mark; 3] = [Mark::Hello, Mark::Laugh, Mark::Yes];
    let opens = |text: &Text<'_>, at: usize| {
        let filler = text.has_any(at, &OPENINGS) && !text.has_any(at, &TELLING);
        let word = text.is(at, Cue::OpensSpeech);
        // `howzit, two litres into blue`
        let called = text.is(at + 1, Cue::CalledOut) || text.is(at + 1, Cue::CallsAll);
        let greets = text.has(at, Mark::How) && text.is_pause(at + 1 + usize::from(called));
        // `@all green is full`
        let sign = at + usize::from(text.is_sign(at, '@'));
        let all = sign > 0 && text.is_sign(sign - 1, '@') && text.is(sign, Cue::CallsAll);
        (filler || word || greets || all) && text.tokens[at].name.is_none()
            || at > 0
                && (text.is(at, Cue::And)
                    || matches!(text.kind(at), Some(Kind::Stop(Stop::Full | Stop::Pause))))
    };
    let from = (0..text.tokens.len()).find(|at| !opens(text, *at)).unwrap_or(0);
    if from > 0 {
        text.tokens.drain(..from);
    }
}

/// `3 May`, `May 3rd`: the month, and not what one may do.
fn dates(text: &mut Text<'_>) {
    for at in 0..text.tokens.len() {
        let Some(TimeWord::Month(month)) = text.time(at) else { continue };
        let day = |at: usize| {
            matches!(text.kind(at), Some(Kind::Ordinal(_)))
                || text.digits(at).is_some_and(|day| (1.0..=31.0).contains(&day))
        };
        let before = at.wrapping_sub(1 + usize::from(text.has(at.wrapping_sub(1), Mark::Of)));
        if day(at + 1) || day(before) {
            text.tokens[at].senses = Senses::month(month);
        }
    }
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
fn append(text: &mut Text<'_>, word: &str) -> (usize, usize) {
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

/// Words without any meaning may be misspelt names, or misspelt terms where they are no ordinary words.
fn correct(text: &mut Text<'_>, names: &Names, lexicon: &'static Lexicon) {
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
        if clipped || names.has_word(word) || lexicon.is_ordinary(word) || lexicon.is_in_phrase(word) {
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
    use crate::text::tokenise;

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
