//! Leaves out what says nothing: a greeting, thanks at the end, a hesitation, the dot of an abbreviation.

use super::{Kind, Stop, Text};
use crate::amount::Unit;
use crate::lexicon::{Cue, Mark, Matter, Sense, Senses, TimeWord};
use crate::reading::Food;

/// `two quarts uh make that three`: what only fills a pause is one.
pub(super) fn without_hesitation(text: &mut Text<'_>) {
    let hesitates =
        |text: &Text<'_>, at: usize| text.is(at, Cue::Hesitates) && text.tokens[at].name.is_none();
    for at in (0..text.tokens.len()).rev().filter(|at| hesitates(text, *at)).collect::<Vec<_>>() {
        // `and uh a cup of bread`: it parts nothing.
        let before = at.wrapping_sub(1);
        let idle = at == 0 || text.is_stop(before) || text.is_stop(at + 1);
        // `has uh no mould`: nothing is taken back.
        let idle = idle || text.has(at + 1, Mark::No) && text.digits(at + 2).is_none();
        if idle || text.has_any(before, &[Mark::And, Mark::In, Mark::Of, Mark::A, Mark::The]) {
            text.tokens.remove(at);
        } else {
            text.tokens[at].kind = Kind::Stop(Stop::Pause);
        }
    }
}

/// `the 'green' bin`: the signs around a name say nothing.
pub(super) fn without_quotes(text: &mut Text<'_>) {
    let quote = |text: &Text<'_>, at: usize| text.is_sign(at, '\'') || text.is_sign(at, '"');
    for at in (1..text.tokens.len()).rev() {
        if text.tokens[at].name.is_some() && quote(text, at - 1) && quote(text, at + 1) {
            text.tokens.remove(at + 1);
            text.tokens.remove(at - 1);
        }
    }
}

/// `bread, 1 l, into green; peels, 500 g, into blue`: in a list of what went where, each measure is of what it follows.
pub(super) fn without_pauses_of_headings(text: &mut Text<'_>) {
    let stuff = |at: usize| {
        text.is_matter(at, Matter::Scraps)
            || text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)))
    };
    let starts = |at: usize| {
        at == 0 || text.is_stop(at - 1) || text.has(at - 1, Mark::And) || text.verb(at - 1).is_some()
    };
    let headed = |at: &usize| {
        let named = (at.saturating_sub(2)..*at).any(|from| starts(from) && (from..*at).all(stuff));
        let placed = |at: usize| {
            text.is_stop(at)
                || text.has(at, Mark::In)
                || text.tokens.get(at).is_none_or(|next| next.name.is_some())
        };
        let measured = text.digits(at + 1).is_some() && text.unit(at + 2).is_some();
        text.is_word(*at, ",") && named && measured && placed(at + 3)
    };
    let pauses: Vec<usize> = (1..text.tokens.len()).filter(headed).collect();
    if pauses.len() > 1 {
        for at in pauses.into_iter().rev() {
            text.tokens.remove(at);
        }
    }
}

/// `5 lb. 4 oz.`: the dot of an abbreviated unit ends nothing where a measure goes on.
pub(super) fn without_dots(text: &mut Text<'_>) {
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
pub(super) fn without_closing(text: &mut Text<'_>) {
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
pub(super) fn without_opening(text: &mut Text<'_>) {
    const OPENINGS: [Mark; 3] = [Mark::Hello, Mark::Laugh, Mark::Yes];
    let opens = |text: &Text<'_>, at: usize| {
        // `does anyone know if bones can go in`: the wish to know makes it a question
        let asks = text.is(at, Cue::AsksAll) && text.is(at + 1, Cue::Whether);
        let filler = text.has_any(at, &OPENINGS) && !text.has_any(at, &TELLING) && !asks;
        let word = text.is(at, Cue::OpensSpeech);
        // `howzit, two litres into blue`
        let called = text.is(at + 1, Cue::CalledOut) || text.is(at + 1, Cue::CallsAll);
        let greets = text.has(at, Mark::How) && text.is_pause(at + 1 + usize::from(called));
        // `@all green is full`
        let sign = at + usize::from(text.is_sign(at, '@'));
        let all = sign > 0 && text.is_sign(sign - 1, '@') && text.is(sign, Cue::CallsAll);
        // `LOG 2026-02-11`: heads what was kept.
        let heads = text.is(at, Cue::Logs) && matches!(text.kind(at + 1), Some(Kind::Date(..)));
        (filler || word || greets || all || heads) && text.tokens[at].name.is_none()
            || at > 0
                && (text.is(at, Cue::And)
                    || matches!(text.kind(at), Some(Kind::Stop(Stop::Full | Stop::Pause))))
    };
    let from = (0..text.tokens.len()).find(|at| !opens(text, *at)).unwrap_or(0);
    if from > 0 {
        text.tokens.drain(..from);
    }
}

/// `grapefruit halves from the juice stall`, `after the coffee morning`: a place or a gathering, and neither food nor time.
pub(super) fn without_shops(text: &mut Text<'_>) {
    let food = |text: &Text<'_>, at: usize| {
        text.senses(at)
            .iter()
            .find_map(|sense| if let Sense::Food(food) = sense { Some(*food) } else { None })
    };
    for at in 1..text.tokens.len() {
        let named = text.is(at + 1, Cue::ShopNoun) && text.has_any(at - 1, &[Mark::The, Mark::A, Mark::From]);
        let drink = matches!(food(text, at), Some(Food::Liquid | Food::Coffee | Food::Tea));
        // Of the cheese counter, rind is of cheese.
        let told = (0..at).any(|i| food(text, i).is_some());
        if named && food(text, at).is_some() && (drink || told) {
            text.tokens[at].senses = Senses::NONE;
            text.tokens[at + 1].senses = Senses::NONE;
        }
        // `from the pancake breakfast`: no time
        let plain = text.tokens[at].is_word() && text.time(at).is_none() && text.tokens[at].name.is_none();
        let meal = text.is(at + 1, Cue::Meal) && plain && text.has(at - 1, Mark::The);
        if meal && at > 1 && text.has(at - 2, Mark::From) {
            text.tokens[at].senses = Senses::NONE;
            text.tokens[at + 1].senses = Senses::NONE;
        }
    }
}

/// `3 May`, `May 3rd`: the month, and not what one may do.
pub(super) fn dates(text: &mut Text<'_>) {
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
