//! Names that are also words: is `green` the bin or the colour of a mould, `full` the bin or its state?

use crate::lexicon::{Act, Cue, Mark, Matter, Sense, Senses, english};
use crate::message::Message;
use crate::text::{Kind, Text};

use super::NameKind;
use super::around::Around;

/// Drops names where the place in the sentence says that the word is meant.
pub(crate) fn settle(text: &mut Text<'_>, names: &super::Names, message: &Message) {
    numbered(text, names);
    for at in 0..text.tokens.len() {
        let Some(name) = text.tokens[at].name else { continue };
        if name.kind == NameKind::Measure {
            continue;
        }
        let digits = |name: &str| name.bytes().all(|b| b.is_ascii_digit());
        if name.kind == NameKind::Bin && message.bins.get(name.index).is_some_and(|bin| digits(&bin.name)) {
            numeral(text, at);
            continue;
        }
        let keep = match name.kind {
            NameKind::Bin if beside_place(text, at) || is_attribute(text, at) || is_content(text, at) => {
                false
            }
            // `right folks, drained left`
            NameKind::Bin if at == 0 && text.has(at, Mark::Yes) && text.is(at + 1, Cue::CalledOut) => false,
            NameKind::Bin if !message.direct && is_of_something_else(text, at) => false,
            NameKind::Bin if is_common_noun(text, at, message, name.index) || wishes(text, at) => false,
            NameKind::Bin if name.weak => is_meant(text, at),
            NameKind::Bin if is_doubtful(text, at) => stands_as_bin(text, at),
            _ => true,
        };
        if !keep {
            text.tokens[at].name = None;
        }
    }
}

/// In `bins 1 and 2` the second number is a name too.
fn numbered(text: &mut Text<'_>, names: &super::Names) {
    for at in 2..text.tokens.len() {
        let joined = text.has(at - 1, Mark::And) || text.is_pause(at - 1);
        let counted = text.senses(at + 1).iter().any(|s| matches!(s, Sense::Unit(_) | Sense::Kitchen(..)));
        let after_name = text.tokens[at - 2].name.is_some()
            && text.word(at - 2).split(' ').next().is_some_and(|word| english().cues(word).has(Cue::Bins))
            || joined && at >= 4 && text.tokens[at - 2].name.is_some() && text.digits(at - 2).is_some();
        if joined
            && after_name
            && !counted
            && text.tokens[at].name.is_none()
            && let Some(number) = text.digits(at)
        {
            text.tokens[at].name = names.numbered(number);
            text.tokens[at].kind =
                if text.tokens[at].name.is_some() { Kind::Word } else { text.tokens[at].kind };
        }
    }
}

/// `drained 2`, `3 is full`, where bins are called by numbers: a name, and no number, by its place in the sentence.
fn numeral(text: &mut Text<'_>, at: usize) {
    if stands_as_number_of_bin(text, at) {
        (text.tokens[at].kind, text.tokens[at].senses) = (Kind::Word, Senses::NONE);
    } else {
        text.tokens[at].name = None;
    }
}

fn stands_as_number_of_bin(text: &Text<'_>, at: usize) -> bool {
    let before = at.wrapping_sub(1);
    let called = text.is_matter(before, Matter::Bin) || text.is(before, Cue::NumberSign);
    // `two thirds` is no bin called 2.
    if called || text.digits(at).is_none() {
        return called;
    }
    let around = Around::of(text, at);
    let counts = text.senses(at + 1).iter().any(|sense| {
        matches!(
            sense,
            Sense::Unit(_) | Sense::Kitchen(..) | Sense::Share(_) | Sense::Scale(_) | Sense::Food(_)
        )
    });
    let counts =
        counts || text.time_unit(at + 1).is_some() || text.is_sign(at + 1, '%') || text.is_sign(at + 1, '°');
    let from = text.is(before, Cue::FromOut);
    let hour = text.is(before, Cue::LeadsClock) && !from
        || (0..text.tokens.len()).any(|i| text.is_matter(i, Matter::Hours));
    if counts || hour {
        return false;
    }
    // `the lid of 3`
    let part = text.has(before, Mark::Of)
        && [Matter::Lid, Matter::Tap, Matter::Batch]
            .iter()
            .any(|part| text.is_matter(before.wrapping_sub(1), *part));
    let within = from || part || text.is(before, Cue::BinLed) || text.is(before, Cue::IntoOrTo);
    let joined = (text.has(before, Mark::And) || text.is_pause(before))
        && text.name(before.wrapping_sub(1), NameKind::Bin).is_some();
    let heads =
        around.opens && text.is_word(at + 1, ":") && text.tokens.get(at + 2).is_some_and(|next| !next.glued);
    within && (around.ends || text.has(at + 1, Mark::With) || text.is(at + 1, Cue::There))
        || joined && around.ends
        || heads
        || is_of_bin(text, at)
        || (around.opens || around.asked) && around.subject
        || around.asked && around.ends
        || around.object && (around.ends || text.has_any(at + 1, &[Mark::In, Mark::From]))
}

/// Whether the word means something else that a message here is likely to say.
fn is_doubtful(text: &Text<'_>, at: usize) -> bool {
    // A food by a word that is no English one is a name where the room has it: `mangga`, `haldi`.
    let grounds = text.senses(at + 1).iter().any(|sense| matches!(sense, Sense::Food(_)));
    let foreign = !grounds && !english().is_ordinary(text.word(at));
    text.senses(at).iter().filter(|sense| !(foreign && matches!(sense, Sense::Food(_)))).any(|sense| {
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
        ) || matches!(sense, Sense::Mark(mark) if !matches!(mark, Mark::KitchenPlace | Mark::Generic))
    })
}

/// `the kitchen one`, `tall: 2 litres`, `drained kitchen`: a word that by itself says something else.
fn is_meant(text: &Text<'_>, at: usize) -> bool {
    let around = Around::of(text, at);
    let before = at.wrapping_sub(1);
    let heads = around.opens && text.is_word(at + 1, ":");
    let stuff = text.senses(before).iter().any(|s| matches!(s, Sense::Food(_) | Sense::Matter(Matter::Bran)));
    let measured = (0..before.min(at)).any(|i| text.unit(i).is_some());
    is_of_bin(text, at)
        || heads
        || around.ends && (around.object || text.is(before, Cue::Into) || stuff && measured)
}

/// `the river's up`, `poured it on the roses`, where bins are called River and Rose: written as the word, and not as the name.
fn is_common_noun(text: &Text<'_>, at: usize, message: &Message, index: usize) -> bool {
    let Some(bin) = message.bins.get(index) else { return false };
    let proper = bin.name.starts_with(char::is_uppercase) && !bin.name.contains(' ');
    let several = text.word(at).len() > bin.name.len();
    proper
        && !text.tokens[at].capital
        && text.is(at.wrapping_sub(1), Cue::TheTyped)
        && (several || !message.direct)
        && !is_of_bin(text, at)
        && english().is_ordinary(text.word(at))
}

/// Among people a name may be but a word: `neem oil, 5 ml in a litre of water`, `my laundry's in the dryer`, `up north`,
/// `west gate is closed`, `ok right, 17:00 then`, `half pint of ice cream`.
fn is_of_something_else(text: &Text<'_>, at: usize) -> bool {
    let before = at.wrapping_sub(1);
    if is_of_bin(text, at) || !english().is_ordinary(text.word(at)) && !text.has(at + 1, Mark::Of) {
        return false;
    }
    let around = Around::of(text, at);
    let strange = |at: usize| {
        text.tokens
            .get(at)
            .is_some_and(|token| token.is_word() && token.senses.is_empty() && token.name.is_none())
            && english().is_ordinary(text.word(at))
    };
    let food = text.senses(at + 1).iter().any(|sense| matches!(sense, Sense::Food(_)));
    let stuff = food && !around.prep && !around.object && !colour(text, at);
    let owned = text.is(before, Cue::MyOrOur) && text.has(at, Mark::KitchenPlace);
    let direction =
        text.is(before, Cue::Up) && text.senses(at).iter().all(|sense| !matches!(sense, Sense::Verb(..)));
    let noun = strange(at + 1) && text.has(at + 2, Mark::Be) && !around.prep && !colour(text, at);
    let agreed = text.has(before, Mark::Yes) && text.is_pause(at + 1) && text.has(at, Mark::Yes);
    let measure = text.has(at + 1, Mark::Of) && text.word(at).contains(' ') && around.opens;
    stuff || owned || direction || noun || agreed || measure
}

fn colour(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|sense| matches!(sense, Sense::Colour(_)))
}

/// `Hope everyone got home`, where a bin is called Hope.
fn wishes(text: &Text<'_>, at: usize) -> bool {
    let subject = text.has_any(at + 1, &[Mark::Someone, Mark::Other]) || text.is(at + 1, Cue::Anybody);
    (at == 0 || text.is_stop(at - 1)) && subject && text.tokens[at].capital
}

/// `the garage sink`
fn beside_place(text: &Text<'_>, at: usize) -> bool {
    text.has(at, Mark::KitchenPlace) && text.has(at + 1, Mark::KitchenPlace)
        // `the pipi beds`
        || text.is_matter(at + 1, Matter::Plot) && text.tokens[at + 1].name.is_none() && !text.tokens[at].glued
}

/// `cedar chips are`: the word only tells what sort of stuff it is.
fn is_attribute(text: &Text<'_>, at: usize) -> bool {
    text.senses(at + 1).iter().any(|s| matches!(s, Sense::Food(_))) && text.has(at + 2, Mark::Be)
}

/// `a handful of mint`, `a bottle of red`: what was in it.
fn is_content(text: &Text<'_>, at: usize) -> bool {
    let of = at.wrapping_sub(1);
    let vessel = |at: usize| {
        text.unit(at).is_some()
            || text.senses(at).iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
            || text.is(at, Cue::Bottle)
    };
    text.has(of, Mark::Of) && vessel(of.wrapping_sub(1)) && !is_of_bin(text, at)
}

/// `it was green, sorry`, `that should have been blue`, `not green`: a bin put right.
fn is_corrected(text: &Text<'_>, at: usize, around: &Around) -> bool {
    let before = at.wrapping_sub(1);
    let corrected = text.has(before, Mark::Be)
        && text.has(before.wrapping_sub(1), Mark::It)
        && around.ends
        && (0..text.tokens.len())
            .any(|i| text.has_any(i, &[Mark::Sorry, Mark::No]) || text.is(i, Cue::CorrectsName));
    let restated = text.is(at.wrapping_sub(2), Cue::ItOrThat)
        && at == 2
        && text.is(before, Cue::Was)
        && at + 1 >= text.tokens.len();
    // `it was blue I sealed`
    let cleft = text.is(at.wrapping_sub(2), Cue::ItOrThat)
        && text.is(before, Cue::Was)
        && (text.has(at + 1, Mark::I) || text.is(at + 1, Cue::That) && text.has(at + 2, Mark::I));
    let instead = text.has(before, Mark::Instead) && around.ends;
    instead
        || cleft
        || corrected
        || restated
        || (text.has(before, Mark::Not) || text.is(before, Cue::That)) && around.ends
}

/// `green's lid`, `the green bin`, `the green one`: what follows it is a bin, or of one.
fn is_of_bin(text: &Text<'_>, at: usize) -> bool {
    let of_it = text.is(at + 1, Cue::TailS)
        && (text.is(at + 2, Cue::Volume)
            || text.is(at + 2, Cue::Sized)
            || text.senses(at + 2).iter().any(|s| {
                matches!(
                    s,
                    Sense::Matter(Matter::Batch | Matter::Lid | Matter::Tap)
                        | Sense::Mark(Mark::Chart | Mark::History | Mark::Status)
                )
            }));
    of_it
        || text.is_matter(at + 1, Matter::Bin)
        || text.is_matter(at + 1, Matter::Batch)
        || text.is_matter(at + 1, Matter::Tap)
        // `red lid is full`: the bin that is known by it
        || text.is_matter(at + 1, Matter::Lid)
            && (text.is_matter(at, Matter::Bin) || !text.is(at.wrapping_sub(1), Cue::TheTyped))
        || text.is(at + 1, Cue::One)
        // `green level: half`
        || text.is(at + 1, Cue::LevelNoun)
}

fn stands_as_bin(text: &Text<'_>, at: usize) -> bool {
    let before = at.wrapping_sub(1);
    if is_of_bin(text, at) {
        return true;
    }
    // `blue-green`
    if text.is_sign(at + 1, '-')
        && text.tokens[at + 1].glued
        && text.tokens.get(at + 2).is_some_and(|token| token.glued)
    {
        return false;
    }
    let next = |pick: fn(&Sense) -> bool| text.senses(at + 1).iter().any(pick);
    let of = |pick: fn(&Sense) -> bool| text.senses(at).iter().any(pick);
    let around = Around::of(text, at);
    let stuff = next(|s| matches!(s, Sense::Food(_) | Sense::Matter(_)))
        && (of(|s| matches!(s, Sense::Colour(_) | Sense::Food(_))) || !text.tokens[at].capital);
    // `blue ok, green mouldy`
    let mouldy =
        around.opens && text.is(at + 1, Cue::Mouldy) && (at + 2 >= text.tokens.len() || text.is_stop(at + 2));
    if mouldy {
        return true;
    }
    if next(|s| matches!(s, Sense::MouldNoun))
        || stuff && !next(|s| matches!(s, Sense::Level(_))) && !around.subject
    {
        return false;
    }
    // `to know when green will be full`, `whether blue is ready`
    let embedded = text.has_any(before, &[Mark::When, Mark::HowFull, Mark::HowLong])
        || text.is(before, Cue::Whether)
        // `is it ok that blue smells of vinegar`
        || text.is(before, Cue::That) && before > 0
        || text.has(before, Mark::How) && !text.has_any(at + 2, &[Mark::It, Mark::The]);
    let topic = (around.opens || embedded) && around.subject;
    let object = around.object
        && (around.ends || text.has_any(at + 1, &[Mark::In, Mark::From]) || text.is(at + 1, Cue::AwayOut));
    if text.is_matter(at, Matter::Bran) {
        let into = around.prep
            && !text.has_any(before, &[Mark::With, Mark::Of, Mark::OutOf])
            && !text.is(before, Cue::AboutOf);
        return into || topic || object && !text.is_act(before, Act::Check) || around.asked && !around.ends;
    }
    if text.has(at, Mark::Left) {
        let rest = around.counted
            || text.is_matter(before, Matter::Bran)
            || (text.has(before, Mark::Be) && !around.asked);
        return !rest
            && (around.prep
                || around.article
                || around.object
                || topic
                || around.opens && around.ends
                // `drained both, left 40 ml and right 55 ml`
                || around.opens
                    && text.digits(at + 1).is_some()
                    && (0..text.tokens.len().min(at + 5)).any(|i| text.is_act(i, Act::Drain))
                || around.asked
                || text.tokens[at].capital);
    }
    if of(|s| matches!(s, Sense::Level(_))) {
        return around.prep
            || around.article
            || around.object
            || topic
            || around.asked && (around.subject || around.ends || text.has(at + 1, Mark::Ready));
    }
    let colour = of(|s| matches!(s, Sense::Colour(_)));
    let listed = matches!(text.kind(at + 1), Some(Kind::Number(_) | Kind::Pair(..)))
        || text.is_act(at + 1, Act::Drain);
    let last = colour && closes_a_lot(text, at);
    let at_end = around.counted && (around.ends || listed) || last;
    let denied = is_corrected(text, at, &around);
    // `how long do I leave green now?`
    let question = colour
        && (0..at).any(|i| text.has_any(i, &[Mark::HowLong, Mark::When, Mark::HowMuch, Mark::Where]))
        && (around.ends
            || text.has_any(at + 1, &[Mark::Yet, Mark::If, Mark::Be, Mark::When])
            || text.is(at + 1, Cue::To) && text.has(at + 2, Mark::Be));
    // `blue two thirds full`
    let share = |at: usize| text.senses(at).iter().any(|s| matches!(s, Sense::Share(_)));
    let led = text.cardinal(at + 1).is_some() || text.has(at + 1, Mark::A);
    let levelled = share(at + 1) || led && share(at + 2);
    let beside = is_beside_another(text, at);
    // `green is full, so is blue`
    let so =
        text.is(before.wrapping_sub(1), Cue::So) && text.has_any(before, &[Mark::Be, Mark::Do, Mark::Have]);
    around.prep
        || levelled
        || beside && so
        || question
        || around.article && (!colour || around.ends || around.subject)
        || around.object
        || topic
        || at_end
        || denied
        || around.asked
        || around.opens
            && (around.ends
                || !colour
                || beside
                || text.tokens[at].capital
                || matches!(text.kind(at + 1), Some(Kind::Number(_) | Kind::Pair(..) | Kind::Sign('-'))))
}

/// `1.5 l veggie trimmings green`, `2 T bran white`: at the end, behind what is measured.
fn closes_a_lot(text: &Text<'_>, at: usize) -> bool {
    let before = at.wrapping_sub(1);
    // Bran is measured whatever its unit looks like.
    let measured =
        |i: usize| text.unit(i).is_some() || text.digits(i).is_some() && text.is_matter(before, Matter::Bran);
    let of = |pick: fn(&Sense) -> bool| text.senses(before).iter().any(pick);
    let matter = of(|s| matches!(s, Sense::Matter(Matter::Scraps | Matter::Bran)));
    let food = of(|s| matches!(s, Sense::Food(_)));
    let last = at + 1 >= text.tokens.len();
    // `2 l fish scraps black, 1 l old rolls green, blue drained`
    let listed = text.is_stop(at + 1)
        && (text.digits(at + 2).is_some()
            || text.cardinal(at + 2).is_some()
            || text.tokens.get(at + 2).is_some_and(|token| token.name.is_some()));
    (last && (food || matter) || listed && food || text.is_stop(at + 1) && matter) && (0..at).any(measured)
}

/// `green is full, blue nearly`: beside another bin, where nobody speaks of mould.
fn is_beside_another(text: &Text<'_>, at: usize) -> bool {
    let mould = |at: usize| text.senses(at).contains(&Sense::MouldNoun);
    (0..at).any(|i| text.name(i, NameKind::Bin).is_some()) && !(0..text.tokens.len()).any(mould)
}
