//! Amounts: a number and what it counts, in canonical units as far as the words alone decide.

mod begin;
mod dimension;
mod measured;
mod sized;
mod temperature;
mod unit;
mod vessel;
pub(crate) use temperature::{in_celsius, scale, sign};

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::number::{self, Number};
use crate::text::{Kind, Stop, Text};

pub(crate) use measured::{Amount, AmountSize, Measured, Measures};
pub(crate) use unit::{Size, Unit};

use sized::sized;
use vessel::{full_after, past_contents, past_sizes, vessel_follows, vessel_of};

/// One of what is counted.
#[derive(Debug, Clone, Copy)]
enum Counted {
    Unit(Unit),
    Vessel(AmountSize, bool),
}

/// Reads what is measured from token `at` on: the thing, and the token after it.
pub(crate) fn read(text: &Text<'_>, at: usize, measures: Measures<'_>) -> Option<(Measured, usize)> {
    if begin::begins(text, at) {
        return measured(text, at, measures);
    }
    debug_assert_eq!(measured(text, at, measures), None, "what begins here is not told in `begin`");
    None
}

fn measured(text: &Text<'_>, at: usize, measures: Measures<'_>) -> Option<(Measured, usize)> {
    if let Some(found) =
        temperature::read(text, at, measures.units).or_else(|| dimension::read(text, at, measures.units))
    {
        return Some(found);
    }
    let (first, definite, from) = opening(text, at, measures)?;
    if let Some(found) = product(text, &first, measures) {
        return Some(found);
    }
    let (value, next) = range(text, first.number, measures, first.between);
    let Some((counted, after)) = counted(text, past_filler(text, next), measures) else {
        return (!first.article).then_some((Measured::Count(value), next.max(from)));
    };
    // `a litre or two`
    let or_two = first.article && text.has(after, Mark::Or) && text.cardinal(after + 1) == Some(2.0);
    let (value, after) = if or_two { (1.5, after + 2) } else { (value, after) };
    let after = half_after(text, after);
    let (value, after) = (value + after.0 * if value >= 1.0 { 1.0 } else { 0.0 }, after.1);
    Some(match counted {
        Counted::Unit(unit) => {
            let value = if dotted_thousands(text, first.number, unit) { value * 1000.0 } else { value };
            // `a 1 kg bag of bran`
            let boxed = !first.article
                && (vessel_follows(text, after) || text.is_matter(after, Matter::Bin))
                && text.tokens[after].is_word()
                && !text.has(after, Mark::Size)
                && text.tokens[after].name.is_none_or(|name| name.kind == NameKind::Measure)
                && matches!(
                    unit.size(measures.units),
                    Size::Millilitres(_) | Size::Grams(_) | Size::Either(..)
                );
            let after = after + usize::from(boxed && text.has(after + 1, Mark::Of));
            sized(text, unit.size(measures.units), value, unit, after, measures)
        }
        Counted::Vessel(one, small) => {
            let (one, after) = vessel_of(text, one, after, measures);
            let amount = Amount { size: one.times(value), one, definite, small, vessel: true };
            (Measured::Amount(amount), full_after(text, after))
        }
    })
}

/// `1.200 ml`: nobody measures thousandths of a millilitre.
fn dotted_thousands(text: &Text<'_>, number: Number, unit: Unit) -> bool {
    let digits = text.word(number.next.wrapping_sub(1));
    let grouped = digits
        .split_once('.')
        .is_some_and(|(whole, rest)| rest.len() == 3 && whole != "0" && whole.len() <= 3);
    grouped && matches!(unit, Unit::Millilitre | Unit::Gram)
}

/// How an amount begins.
struct Opening {
    number: Number,
    /// It was but `a`, `the`, `another`.
    article: bool,
    between: bool,
}

fn opening(text: &Text<'_>, at: usize, measures: Measures<'_>) -> Option<(Opening, bool, usize)> {
    if text.is(at, Cue::Between)
        && let Some(number) = number::read(text, at + 1)
        && (text.is(number.next, Cue::And)
            || counted(text, number.next, measures).is_some_and(|(_, n)| text.is(n, Cue::And)))
    {
        return Some((Opening { number, article: false, between: true }, false, at + 1));
    }
    if let Some(number) = number::read(text, at) {
        return Some((Opening { number, article: false, between: false }, false, at + 1));
    }
    let one =
        |next| Opening { number: Number { value: 1.0, next, share: false }, article: true, between: false };
    if number::is_article(text, at) || text.is(at, Cue::AnotherOne) {
        // `a good half litre`, `another half bowl`
        let from = past_contents(text, past_sizes(text, at + 1));
        if from > at + 1
            && let Some(number) = number::read(text, from)
        {
            return Some((Opening { number, article: false, between: false }, false, from));
        }
        counted(text, from, measures)?;
        return Some((one(from), false, at + 1));
    }
    // `both caddies`
    if text.is(at, Cue::Both) {
        let from = at + 1 + usize::from(text.has_any(at + 1, &[Mark::The, Mark::I]));
        return matches!(counted(text, from, measures)?, (Counted::Vessel(..), _)).then_some((
            Opening {
                number: Number { value: 2.0, next: from, share: false },
                article: false,
                between: false,
            },
            false,
            at + 1,
        ));
    }
    // `our last cup`
    if text.has_any(at, &[Mark::The, Mark::I]) && text.is(at + 1, Cue::Last) {
        return counted(text, at + 2, measures).map(|_| (one(at + 2), false, at + 1));
    }
    if text.has(at, Mark::The) || text.has(at, Mark::All) {
        let from = past_sizes(text, at + 1);
        return matches!(counted(text, from, measures)?, (Counted::Vessel(..), _))
            .then(|| (one(from), true, at + 1));
    }
    // `for to hundred ml`
    if let (Some(value), Some(scale)) = (text.heard(at), text.scale(at + 1)) {
        counted(text, at + 2, measures)?;
        let number = Number { value: value * scale, next: at + 2, share: false };
        return Some((Opening { number, article: false, between: false }, false, at + 1));
    }
    if let Some(value) = text.heard(at) {
        let (_, next) = counted(text, at + 1, measures)?;
        // `too feet down`
        let unit = text.word(next - 1);
        let plural = text.is(next - 1, Cue::Feet) || unit.ends_with('s') && unit.len() > 3;
        let number = Number { value, next: at + 1, share: false };
        return (value < 2.0 || plural).then_some((
            Opening { number, article: false, between: false },
            false,
            at + 1,
        ));
    }
    // `full caddy of peelings`, `handful of eggshells`
    let from = past_sizes(text, at);
    match counted(text, from, measures) {
        Some((Counted::Vessel(..), next))
            if text.has(next, Mark::Of)
                || text.is(next, Cue::Full) && text.has_any(next + 1, &[Mark::In, Mark::Of])
                || (from > at && !text.is_matter(from, Matter::Bin)) =>
        {
            Some((one(from), false, at + 1))
        }
        // `pint and a half`
        Some((_, next)) if half_after(text, next).0 > 0.0 => Some((one(from), false, at + 1)),
        // `pint of peelings` at the beginning of a clause
        Some((Counted::Unit(_), next))
            if text.has_any(next, &[Mark::Of, Mark::From, Mark::Down])
                && text.word(from).len() > 2
                && (at == 0
                    || text.has(next, Mark::Down)
                    || text.is_stop(at - 1)
                    || text
                        .has_any(at - 1, &[Mark::And, Mark::Yes, Mark::Then, Mark::Hello, Mark::Laugh])) =>
        {
            Some((one(from), false, at + 1))
        }
        _ => None,
    }
}

/// Skips what may stand between a number and its unit: `half of a`, `2 big`, `2-litre`.
fn past_filler(text: &Text<'_>, at: usize) -> usize {
    let mut next = at;
    // `2ish`, `3 more`
    if text.is(next, Cue::Ish) || text.is(next, Cue::More) || text.is(next, Cue::Extra) {
        next += 1;
    }
    if text.is_sign(next, '-') {
        next += 1;
    }
    if text.has(next, Mark::Of) {
        next += 1;
    }
    if number::is_article(text, next) || text.is(next, Cue::OursOrThe) {
        next += 1;
    }
    past_contents(text, past_sizes(text, next))
}

/// `2-3`, `2 to 3`, `2 or 3`, `2 litres to 3 litres`: the middle.
fn range(text: &Text<'_>, first: Number, measures: Measures<'_>, between: bool) -> (f64, usize) {
    let joins = |at: usize| {
        let dash = text.is_sign(at, '-') || (text.is_pause(at) && matches!(text.word(at), "–" | "—"));
        dash || text.is(at, Cue::RangeJoint) || (between && text.is(at, Cue::And))
    };
    let mut join = first.next;
    let mut own_unit = None;
    if !joins(join) {
        match counted(text, join, measures) {
            Some((unit, after)) if joins(after) => (join, own_unit) = (after, Some(unit)),
            _ => return (first.value, first.next),
        }
    }
    // `2 litres or 1.1 kg` are two measures of one thing, no range.
    let same_unit = |other: Counted| match (own_unit, other) {
        (Some(Counted::Unit(a)), Counted::Unit(b)) => a == b,
        (Some(_), Counted::Unit(_)) | (Some(Counted::Unit(_)), Counted::Vessel(..)) => false,
        _ => true,
    };
    match number::read(text, join + 1) {
        Some(second)
            if counted(text, past_filler(text, second.next), measures)
                .is_some_and(|(unit, _)| same_unit(unit))
                || second.next == text.tokens.len()
                || between =>
        {
            let rising = second.value > first.value || text.is(join, Cue::Or);
            if rising {
                (f64::midpoint(first.value, second.value), second.next)
            } else {
                (first.value, first.next)
            }
        }
        _ => (first.value, first.next),
    }
}

/// `two 1 kg bags`, `3 x 500 ml`, `a 2 litre tub`.
fn product(text: &Text<'_>, first: &Opening, measures: Measures<'_>) -> Option<(Measured, usize)> {
    let lots = text.is(first.number.next, Cue::Lots) && text.has(first.number.next + 1, Mark::Of);
    let times = lots
        || text.is(first.number.next, Cue::Multiplies)
        || text.is_sign(first.number.next, 'x')
        || text.is_sign(first.number.next, '*');
    let from = first.number.next + usize::from(times) + usize::from(lots);
    let each = number::read(text, from).filter(|each| each.value > 0.0)?;
    let (Counted::Unit(unit), after) = counted(text, past_filler(text, each.next), measures)? else {
        return None;
    };
    let vessel = |at: usize| {
        text.sense(at, |s| if let Sense::Kitchen(name, _) = s { Some(name) } else { None }).is_some()
            || text.is_matter(at, Matter::Bin)
            || text.is(at, Cue::Packaging)
            || text.name(at, NameKind::Measure).is_some()
    };
    if first.number.value.fract() != 0.0 || !(times || vessel(after)) {
        return None;
    }
    let after = if vessel(after) { after + 1 } else { after };
    Some(sized(text, unit.size(measures.units), first.number.value * each.value, unit, after, measures))
}

/// The unit, kitchen measure or own measure at token `at`.
fn counted(text: &Text<'_>, at: usize, measures: Measures<'_>) -> Option<(Counted, usize)> {
    let token = text.tokens.get(at)?;
    if let Some(name) = text.name(at, NameKind::Measure) {
        let ml = measures.own.values().nth(name.index)?;
        return Some((Counted::Vessel(AmountSize::Millilitres(*ml), false), at + 1));
    }
    if let Some((name, ml)) =
        text.sense(at, |s| if let Sense::Kitchen(name, ml) = s { Some((name, ml)) } else { None })
    {
        let size = match measures.own.get(name) {
            Some(own) => AmountSize::Millilitres(*own),
            None if ml == 0.0 => AmountSize::Buckets(1.0),
            None => AmountSize::Millilitres(ml),
        };
        return Some((Counted::Vessel(size, name == "sprinkle" || name == "scoop"), at + 1));
    }
    if token.glued && text.is_sign(at, '"') {
        return Some((Counted::Unit(Unit::Inch), at + 1));
    }
    if token.glued && text.is_sign(at, '\'') {
        return Some((Counted::Unit(Unit::Foot), at + 1));
    }
    if text.is_sign(at, '%') {
        return Some((Counted::Unit(Unit::Percent), at + 1));
    }
    let end = |next: usize| {
        if text.kind(next) == Some(Kind::Stop(Stop::Full))
            && text.word(next) == "."
            && followed_on(text, next)
        {
            next + 1
        } else {
            next
        }
    };
    let unit = match &text.typed[token.start..token.end] {
        "T" | "Tb" | "Tbs" => Some(Unit::Tablespoon),
        "t" => Some(Unit::Teaspoon),
        "c" | "C" if is_cup(text, at) => Some(Unit::Cup),
        "in" if leads_down(text, at + 1) || ends_depth(text, at) => Some(Unit::Inch),
        _ => text.unit(at),
    }?;
    Some((Counted::Unit(unit), end(at + 1)))
}

/// `1 c. of peels`, `2 c rice`, `3/4 c`, `drained 2c`: nobody tells a temperature in quarters, nor drains one.
pub(super) fn is_cup(text: &Text<'_>, at: usize) -> bool {
    let pointed = text.is_stop(at + 1) && text.word(at + 1) == "." && at + 2 < text.tokens.len();
    let quarters = matches!(text.kind(at.wrapping_sub(1)), Some(Kind::Pair(..)));
    pointed || quarters || names_stuff(text, at + 1) || is_let_out_or_put_in(text, at)
}

/// Whether a few of a unit stand in a sentence that tells what was drained or added.
fn is_let_out_or_put_in(text: &Text<'_>, at: usize) -> bool {
    let few = text
        .digits(at.wrapping_sub(1))
        .or_else(|| text.cardinal(at.wrapping_sub(1)))
        .is_some_and(|count| count < COOLEST_TOLD);
    let ends = |at: usize| text.is_stop(at) && !text.is_pause(at);
    // `drained june yest. 1c.`: the amount alone behind a stop
    let before = if at > 2 && ends(at - 2) { at - 2 } else { at };
    let from = (0..before).rev().find(|i| ends(*i)).unwrap_or(0);
    let to = (at..text.tokens.len()).find(|i| ends(*i)).unwrap_or(text.tokens.len());
    let moved = |i: usize| text.is_act(i, Act::Drain) || text.is_act(i, Act::Add);
    few && text.word(at.wrapping_sub(2)) != "-" && (from..to).any(moved)
}

/// Degrees Celsius: below that a kitchen is not where people drain bins.
const COOLEST_TOLD: f64 = 8.0;

/// `18 in deep`, `18 in. down`
fn leads_down(text: &Text<'_>, next: usize) -> bool {
    text.has(next + usize::from(text.word(next) == "."), Mark::Down)
}

/// `depth 11 in`: what the number measures is told before it.
fn ends_depth(text: &Text<'_>, at: usize) -> bool {
    let ends = at + 1 >= text.tokens.len() || text.is_stop(at + 1);
    ends && (at.saturating_sub(4)..at).any(|at| text.is(at, Cue::Deep))
}

/// Whether an abbreviation's point is followed by the rest of its phrase.
fn followed_on(text: &Text<'_>, point: usize) -> bool {
    // `250 ml. On Tuesday I buried blue`: another sentence
    let shouted = !text.typed.contains(char::is_lowercase);
    let begins_anew = text.tokens.get(point + 1).is_some_and(|next| next.capital) && !shouted;
    let dated = text.has(point + 1, Mark::In) && text.time(point + 2).is_some();
    if begins_anew || dated {
        return false;
    }
    names_stuff(text, point + 1) || text.has_any(point + 1, &[Mark::Down, Mark::Left, Mark::In, Mark::From])
}

/// `of peelings`, `bran`, `bread`
fn names_stuff(text: &Text<'_>, at: usize) -> bool {
    text.has(at, Mark::Of)
        || text.senses(at).iter().any(|s| {
            matches!(s, Sense::Food(_) | Sense::Matter(Matter::Bran | Matter::Scraps | Matter::Liquid))
        })
}

/// `a cup and a half`
fn half_after(text: &Text<'_>, at: usize) -> (f64, usize) {
    if !text.is(at, Cue::And) && !text.is(at, Cue::AndClipped) {
        return (0.0, at);
    }
    match number::read(text, at + 1) {
        Some(part)
            if part.share
                && !text.has(part.next, Mark::A)
                && text.unit(part.next).is_none()
                && !vessel_follows(text, part.next) =>
        {
            (part.value, part.next)
        }
        _ => (0.0, at),
    }
}
