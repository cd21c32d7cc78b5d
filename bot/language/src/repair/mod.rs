//! What a writer takes back within a message: `2 litres no wait 3 litres` tells of three litres, `in blue I mean green` of green.
//! And what is set aside: `green, not blue`.
//!
//! The later thing takes the place of the earlier one of its kind before anything else is made of the message.

mod contrast;
mod left_out;

use crate::amount::{AmountSize, Measures};
use crate::clause::{Piece, PieceKind, pieces};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::number;
use crate::text::Text;

/// Nobody takes back more often in one message.
const MOST: usize = 4;

/// Puts the later things in the place of those that were taken back.
pub(crate) fn repair(text: &mut Text<'_>, measures: Measures<'_>) {
    drop_guesses(text);
    drop_false_start(text);
    drop_other_crop(text);
    drop_assurance(text);
    left_out::leave_out(text);
    contrast::set_aside(text, measures);
    for _ in 0..MOST {
        if !(1..text.tokens.len()).any(|at| takes_back(text, at)) || !repair_one(text, measures) {
            return;
        }
    }
}

/// `two thirds I'd guess`, `about 2 litres I reckon`: how the writer came by a measure changes nothing.
fn drop_guesses(text: &mut Text<'_>) {
    let guess = |text: &Text<'_>, at: usize| {
        let verb = at + 1 + usize::from(text.has(at + 1, Mark::Can));
        let ends = verb + 1 >= text.tokens.len() || text.is_stop(verb + 1) || text.has(verb + 1, Mark::And);
        let measure = |at: usize| {
            text.unit(at).is_some()
                || text.digits(at).is_some()
                || text.senses(at).iter().any(|sense| matches!(sense, Sense::Level(_) | Sense::Share(_)))
        };
        (text.has(at, Mark::I) && text.is(verb, Cue::Guesses) && ends && measure(at - 1)).then_some(verb + 1)
    };
    let found = (1..text.tokens.len()).find_map(|at| guess(text, at).map(|to| (at, to)));
    if let Some((from, to)) = found {
        text.tokens.drain(from..to);
    }
}

fn past(text: &Text<'_>, at: usize) -> bool {
    text.verb(at).is_some_and(|(_, forms)| forms.has(Forms::PAST) && !forms.has(Forms::BASE))
}

/// `i trained, I mean drained half a pint`: the verb that was meant stands for the one before it.
fn drop_false_start(text: &mut Text<'_>) {
    let means = |at: usize| text.has(at, Mark::Instead) && text.is(at, Cue::IMean) && past(text, at + 1);
    let Some(at) = (1..text.tokens.len()).find(|at| means(*at)) else { return };
    let wrong = (0..at).rev().find(|i| !text.is_stop(*i) && !text.is_sign(*i, '-'));
    let strange =
        |i: usize| text.tokens[i].is_word() && text.verb(i).is_none() && text.tokens[i].name.is_none();
    let Some(from) = wrong.filter(|i| strange(*i) || past(text, *i)) else { return };
    if (0..from).all(|i| text.verb(i).is_none()) {
        text.tokens.drain(from..=at);
    }
}

/// `planted peas, I mean beans`, `sowed carrots, no, leeks`: the crop that was meant stands for the one before it.
fn drop_other_crop(text: &mut Text<'_>) {
    let planted = |at: usize| text.is_act(at, Act::Plant) && past(text, at);
    let Some(verb) = (0..text.tokens.len()).find(|at| planted(*at)) else { return };
    let crop = |at: usize| {
        let token = &text.tokens[at];
        token.is_word()
            && token.name.is_none()
            && !text.has_any(at, &[Mark::In, Mark::And])
            && text.time(at).is_none()
    };
    let end = (verb + 1..text.tokens.len()).find(|at| !crop(*at) || takes_back(text, *at));
    let opens = |at: &usize| takes_back(text, *at) || text.is_pause(*at - 1) && text.has(*at, Mark::I);
    let Some(end) = end else { return };
    // `planted peas in the herb bed, I mean beans`
    let place = |at: usize| {
        text.has_any(at, &[Mark::In, Mark::The])
            || text.name(at, NameKind::Plot).is_some()
            || text.is_matter(at, Matter::Plot)
    };
    let told = (end..text.tokens.len()).find(|at| !place(*at)).unwrap_or(end);
    let start = (told..text.tokens.len().min(told + 2)).find(opens);
    let Some(turn) = start.and_then(|at| turn(text, at)) else { return };
    // `planted carrots, no leeks`: without them
    let sure = turn.strong || text.is_pause(turn.to - 1);
    if turn.from > verb + 1 && sure && turn.to < text.tokens.len() && crop(turn.to) {
        let place = (turn.to + 1..text.tokens.len()).find(|at| !crop(*at));
        // `planted peas, I mean beans, in the veg patch`
        if let Some(pause) = place.filter(|at| text.is_pause(*at) && text.has(at + 1, Mark::In)) {
            text.tokens.remove(pause);
        }
        let meant = text.tokens.split_off(turn.to);
        text.tokens.truncate(told);
        let place = text.tokens.split_off(end);
        text.tokens.truncate(verb + 1);
        text.tokens.extend(meant.into_iter().chain(place));
    }
}

/// `no flies, but the lid's loose, on green I mean`: says which, and takes nothing back.
fn drop_assurance(text: &mut Text<'_>) {
    let Some(last) = text.tokens.len().checked_sub(1) else { return };
    let meant =
        text.is_act(last, Act::Mean) && text.verb(last).is_some_and(|(_, forms)| forms.has(Forms::BASE));
    let one = text.has(last, Mark::Instead) && text.word(last).contains(' ');
    let from = if one { last } else { last.saturating_sub(1) };
    let placed = from > 1
        && text.name(from - 1, NameKind::Bin).is_some()
        && (text.has(from - 2, Mark::In) || text.is(from - 2, Cue::On));
    // `no, in green I mean` puts right what was told before.
    let reports = (0..from).any(|at| {
        text.senses(at).iter().any(|sense| {
            is_state(sense) || matches!(sense, Sense::Pests | Sense::Lid(_) | Sense::Food(_) | Sense::Unit(_))
        })
    });
    if placed && reports && (one || meant && text.has(from, Mark::I)) {
        text.tokens.drain(from..);
    }
}

/// The words between what is taken back and what is meant.
struct Turn {
    from: usize,
    to: usize,
    /// More than a lone `no`: what was told may stand further back.
    strong: bool,
}

fn repair_one(text: &mut Text<'_>, measures: Measures<'_>) -> bool {
    let pieces = pieces(text, measures);
    let mut at = 1;
    while at < text.tokens.len() {
        let Some(turn) = turn(text, at) else {
            at += 1;
            continue;
        };
        // `at 5, sorry, at 6`: the time begins with what leads to it.
        let led = |piece: &Piece| piece.from > at && piece.from < turn.to && piece.to > turn.to;
        let new = pieces.iter().find(|piece| piece.from == turn.to || led(piece));
        let old = new.and_then(|new| old(text, &pieces, &turn, new));
        if let (Some(new), Some(old)) = (new, old) {
            replace(text, old, &turn, new);
            return true;
        }
        at = turn.to.max(at + 1);
    }
    false
}

/// Whether a token takes back what was said before it.
fn takes_back(text: &Text<'_>, at: usize) -> bool {
    text.has_any(at, &[Mark::Sorry, Mark::Instead])
        || text.is(at, Cue::No)
        || text.is(at, Cue::Nope)
        || text.is(at, Cue::Correction)
        // `a tub means 2 litres here` takes nothing back.
        || text.verb(at).is_some_and(|(act, forms)| act == Act::Mean && forms != Forms::THIRD)
        || text.is_act(at, Act::Undo) && text.is(at + 1, Cue::That)
}

/// The turn that begins at a token: its words, the pauses around it, and what leads to the thing that is meant.
fn turn(text: &Text<'_>, at: usize) -> Option<Turn> {
    let opens = takes_back(text, at) || text.has(at, Mark::I) && text.is_act(at + 1, Act::Mean);
    // `I said green but I meant blue` corrects what was kept.
    let before = at - 1 - usize::from(at > 1 && text.has(at - 1, Mark::I));
    if !opens || text.has(before, Mark::But) {
        return None;
    }
    let leads = |at: usize| {
        text.is_pause(at)
            || is_dash(text, at)
            || text.has_any(at, &[Mark::I, Mark::It, Mark::Be, Mark::About, Mark::The, Mark::In, Mark::From])
            || text.is(at, Cue::That)
            || text.is(at, Cue::CalledOut)
    };
    let mut to = at;
    let mut signs = 0;
    let mut weak = true;
    while to < text.tokens.len() && (takes_back(text, to) || leads(to) && text.tokens[to].name.is_none()) {
        if takes_back(text, to) {
            signs += 1;
            weak &= text.is(to, Cue::No) || text.is(to, Cue::Nope) || text.is(to, Cue::Actually);
        }
        to += 1;
    }
    let mut from = at;
    // `2 litres in green. wait, 2.5.`
    let halts = |before: usize| text.is(at, Cue::Wait) && text.is_word(before, ".");
    let parts = |before: usize| text.is_pause(before) || is_dash(text, before) || is_of_dots(text, before);
    // `2 kg, or no, 2.5`
    let doubts = |before: usize| text.has(before, Mark::Or) && text.is(at, Cue::No) && before + 1 == at;
    // `at 5, eish sorry, at 6`
    let cries = |before: usize| before > 0 && text.has(before, Mark::Laugh) && parts(before - 1);
    while from > 1 && (parts(from - 1) || halts(from - 1) || doubts(from - 1) || cries(from - 1)) {
        from -= 1;
    }
    Some(Turn { from, to, strong: signs > 1 || !weak })
}

/// `3 cups - make that 4 - and`
fn is_dash(text: &Text<'_>, at: usize) -> bool {
    text.is_sign(at, '-') && text.tokens.get(at + 1).is_some_and(|next| !next.glued)
}

/// `2 cups.. wait, 3`: no end of a sentence.
fn is_of_dots(text: &Text<'_>, at: usize) -> bool {
    let dot = |at: usize| text.is_word(at, ".");
    text.is_word(at, "…") || dot(at) && (dot(at + 1) || dot(at.wrapping_sub(1)))
}

/// The earlier thing of the same kind as `new`.
fn old<'p>(text: &Text<'_>, pieces: &'p [Piece], turn: &Turn, new: &Piece) -> Option<&'p Piece> {
    let old = pieces.iter().rev().find(|old| old.to <= turn.from && is_alike(text, old, new))?;
    // `2 kg of bran left, no, 1.5`: what it is of stands between
    let of_it = |at: usize| {
        text.has_any(at, &[Mark::Of, Mark::Left])
            || text.is_matter(at, Matter::Bran)
            || text.is_matter(at, Matter::Scraps)
            || text.is_matter(at, Matter::Liquid)
    };
    // `1 litre of okra no wait 2 litres of okra`
    let again = |at: usize| is_food(text, at) && (new.to..new.to + 3).any(|i| text.word(i) == text.word(at));
    // `2 litres to green, no, 3 litres, and ...`
    let place = |at: usize| {
        text.name(at, NameKind::Bin).is_some()
            || text.name(at, NameKind::Plot).is_some()
            || text.is_matter(at, Matter::Bin)
            || text.has_any(at, &[Mark::In, Mark::The, Mark::From])
    };
    let parts = |at: usize| text.is_stop(at) || is_dash(text, at);
    // `3 cups to green, no 4`: a number that closes the message is none that there is not.
    let closes = new.to >= text.tokens.len();
    let counted = closes && matches!(new.kind, PieceKind::Count(_) | PieceKind::Amount(_));
    let aside = (counted || parts(turn.from))
        && (counted || turn.strong || (turn.from + 1..turn.to).any(parts))
        && (closes || parts(new.to));
    let near = |at: usize| of_it(at) || again(at) || aside && (place(at) || is_food(text, at));
    let adjacent = old.to == turn.from || (old.to..turn.from).all(near);
    let far = turn.strong && !matches!(new.kind, PieceKind::When(_)) && !is_food(text, new.from);
    // `2 litres in green, sorry, 1 litre in blue`: another lot, with a place or a time of its own
    let bin = |at: usize| text.name(at, NameKind::Bin).map(|name| name.index);
    let elsewhere = |at: usize| bin(at).is_some_and(|own| (0..turn.from).all(|i| bin(i) != Some(own)));
    let own = (new.to..text.tokens.len())
        .take_while(|at| !text.is_stop(*at))
        .any(|at| elsewhere(at) || text.time(at).is_some());
    let far = far && !own;
    let denied = text.has_any(old.from.wrapping_sub(1), &[Mark::Not, Mark::Instead]);
    let ended = (old.to..turn.from).any(|at| text.is_word(at, "\n") || text.is_word(at, "?"));
    // `2 l of carrots, no meat`: without it
    let without = is_food(text, new.from) && !turn.strong;
    ((adjacent || far) && !denied && !ended && !without && ends_there(text, new)).then_some(old)
}

/// Whether nothing is told of the new thing alone: `added 2 litres to green, sorry, blue smells` takes nothing back.
fn ends_there(text: &Text<'_>, new: &Piece) -> bool {
    let bin = text.name(new.from, NameKind::Bin).is_some();
    let next = new.to + usize::from(text.is_matter(new.to, Matter::Bin));
    let told = text
        .has_any(next, &[Mark::Be, Mark::Have, Mark::Not, Mark::Will, Mark::Can, Mark::Do, Mark::How])
        || text.is(next, Cue::TailS)
        || text.verb(next).is_some()
        || text.tokens.get(next).is_some_and(|token| token.senses.iter().any(is_state));
    !(bin && told)
}

fn is_state(sense: &Sense) -> bool {
    matches!(
        sense,
        Sense::Level(_)
            | Sense::Smell(_)
            | Sense::SmellNoun
            | Sense::MouldNoun
            | Sense::Moisture(_)
            | Sense::Share(_)
    )
}

fn is_alike(text: &Text<'_>, old: &Piece, new: &Piece) -> bool {
    use PieceKind::{Amount, Count, Length, Level, Temperature, When, Word};
    match (old.kind, new.kind) {
        (Amount(old), Amount(new)) => is_mass(old.size) == is_mass(new.size),
        // `2 litres, no 3`
        (Amount(_), Count(_)) => {
            new.to >= text.tokens.len()
                || text.is_stop(new.to)
                || text.has_any(new.to, &[Mark::From, Mark::In])
        }
        (Length(_), Length(_)) | (Level(_), Level(_)) | (Temperature(_), Temperature(_)) => true,
        // `half, no no, three quarters full`, `half full, no, three quarters`
        (Count(share), Level(_)) => share < 1.0,
        (Level(_), Count(share)) => share < 1.0 && (new.to >= text.tokens.len() || text.is_stop(new.to)),
        // `kitchen's 78, correction, 87`
        (Count(_), Count(_)) => {
            old.to + 3 >= new.from && (new.to >= text.tokens.len() || text.is_stop(new.to))
        }
        (When(old), When(new)) => old.is_moment() && new.is_moment(),
        // `at 5, sorry 6`
        (When(when), Count(hour)) => {
            when.clock.is_some()
                && old.to - old.from == 2
                && (1.0..=24.0).contains(&hour)
                && (new.to >= text.tokens.len() || text.is_stop(new.to))
        }
        (Word, Word) => {
            let bin = |at: usize| text.name(at, NameKind::Bin);
            let plot = |at: usize| text.name(at, NameKind::Plot).filter(|name| name.whole);
            if let (Some(old), Some(new)) = (plot(old.from), plot(new.from)) {
                return old.index != new.index;
            }
            match (bin(old.from), bin(new.from)) {
                (Some(old), Some(new)) => old.index != new.index,
                _ => is_food(text, old.from) && is_food(text, new.from),
            }
        }
        _ => false,
    }
}

fn is_mass(size: AmountSize) -> bool {
    matches!(size, AmountSize::Grams(_) | AmountSize::Ounces(..))
}

fn is_food(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)))
}

fn replace(text: &mut Text<'_>, old: &Piece, turn: &Turn, new: &Piece) {
    // `2 litres, no 3`: the unit stays.
    let kept = match (old.kind, new.kind) {
        (PieceKind::Amount(_), PieceKind::Count(_)) => {
            number::read(text, old.from).map_or(old.to, |number| number.next)
        }
        _ => old.to,
    };
    // `at 5, sorry 6`: what leads to the hour stays.
    let hour = matches!((old.kind, new.kind), (PieceKind::When(_), PieceKind::Count(_)));
    let start = old.from + usize::from(hour);
    let tokens = &text.tokens;
    let mut out = tokens[..start].to_vec();
    out.extend_from_slice(&tokens[new.from..new.to]);
    if let Some(first) = out.get_mut(start) {
        first.glued = false;
    }
    out.extend_from_slice(&tokens[kept..turn.from.max(kept)]);
    out.extend_from_slice(&tokens[new.to..]);
    text.tokens = out;
}
