//! What a writer sets aside within a report: `drained green, not blue`, `it isn't black mould, it's white`.
//!
//! What is not meant leaves the message before anything else is made of it. Corrections of what was told before (`2 not 3`,
//! `I meant green, not blue`) stay as they are.

use std::ops::Range;

use crate::amount::Measures;
use crate::clause::{Piece, PieceKind, pieces};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::text::Text;

/// Nobody sets more aside in one message.
const MOST: usize = 4;

/// Takes what is not meant out of a report.
pub(super) fn set_aside(text: &mut Text<'_>, measures: Measures<'_>) {
    for _ in 0..MOST {
        if !(0..text.tokens.len()).any(|at| denies(text, at)) || corrects(text) {
            return;
        }
        let pieces = pieces(text, measures);
        let contrast = (0..text.tokens.len())
            .filter(|at| denies(text, *at))
            .find_map(|not| told_before(text, &pieces, not).or_else(|| told_after(text, &pieces, not)));
        let Some(contrast) = contrast.filter(|contrast| is_report(text, &pieces, contrast)) else { return };
        take_out(text, &contrast);
    }
}

/// Two things of one kind, of which one is meant.
struct Contrast {
    kind: Kind,
    meant: Range<usize>,
    aside: Range<usize>,
    /// Tokens that go with the thing set aside: `not`, `but`.
    words: Vec<usize>,
}

/// In what two things can stand against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Bin,
    Food,
    Colour,
    Smell,
    Use,
    Level,
    Amount,
    Temperature,
    Moment,
    Plot,
}

/// `not`, `instead of`, `neither`; `doesn't smell rotten`; `no white mould, just black`.
fn denies(text: &Text<'_>, at: usize) -> bool {
    let colour = |at: usize| text.senses(at).iter().any(|sense| matches!(sense, Sense::Colour(_)));
    text.is(at, Cue::Replaces)
        || text.is(at, Cue::Neither)
        || text.has(at, Mark::Not) && text.is_act(at + 1, Act::Smell)
        || text.is(at, Cue::No) && colour(at + 1) && text.senses(at + 2).contains(&Sense::MouldNoun)
}

/// Whether the message puts right what was told before.
fn corrects(text: &Text<'_>) -> bool {
    let opens = |at: usize| {
        // `no, ...` and `no it was`, not `no white mould`
        let no = text.has(at, Mark::No)
            && (text.is_stop(at + 1)
                || text.has_any(at + 1, &[Mark::It, Mark::I, Mark::Be, Mark::Sorry])
                || text.digits(at + 1).is_some());
        no || text.has(at, Mark::Sorry)
            || text.is(at, Cue::Actually)
            || text.is(at, Cue::Correction)
            || text.is(at, Cue::ShouldBe)
    };
    // `it went in green, not blue`, `that drain was 210 ml, not 120`
    let restates = text.is(0, Cue::ThatEntry)
        && (text.is(1, Cue::GoesIn) || (1..4).any(|at| text.is(at, Cue::ShouldBe)));
    restates
        || (0..text.tokens.len().min(3)).any(opens)
        || (0..text.tokens.len()).any(|at| text.is_act(at, Act::Mean) || text.is(at, Cue::SaidBefore))
}

/// What stands at a token, and in which kinds it can be set against another.
fn kinds(text: &Text<'_>, piece: &Piece) -> Vec<Kind> {
    let mut kinds = match piece.kind {
        PieceKind::Amount(_) => vec![Kind::Amount],
        // `11 pm, not 10`
        PieceKind::Count(_) => vec![Kind::Amount, Kind::Moment],
        PieceKind::Level(_) => vec![Kind::Level],
        PieceKind::Temperature(_) => vec![Kind::Temperature],
        PieceKind::When(when) if when.is_moment() || when.bound.is_some() => vec![Kind::Moment],
        PieceKind::Word => Vec::new(),
        _ => return Vec::new(),
    };
    if text.name(piece.from, NameKind::Bin).is_some() {
        kinds.push(Kind::Bin);
    }
    if text.name(piece.from, NameKind::Plot).is_some_and(|name| name.whole) {
        kinds.push(Kind::Plot);
    }
    for sense in text.senses(piece.from) {
        kinds.extend(match sense {
            Sense::Food(_) | Sense::Matter(Matter::Scraps) => Some(Kind::Food),
            Sense::Colour(_) => Some(Kind::Colour),
            Sense::Smell(_) => Some(Kind::Smell),
            Sense::Use(_) => Some(Kind::Use),
            _ => None,
        });
    }
    kinds
}

fn common(text: &Text<'_>, one: &Piece, other: &Piece) -> Option<Kind> {
    let others = kinds(text, other);
    kinds(text, one).into_iter().find(|kind| others.contains(kind))
}

/// What comes before a thing: `in the`, `on the`, `any`, `a bit of`.
fn leads(text: &Text<'_>, at: usize) -> bool {
    text.has_any(at, &[Mark::The, Mark::In, Mark::From, Mark::Of, Mark::About, Mark::A])
        || text.is(at, Cue::On)
        || text.is(at, Cue::To)
        || text.is(at, Cue::Any)
        || text.is(at, Cue::Shred)
        || text.is_vague(at)
        || text.is_act(at, Act::Smell)
}

/// The thing that is denied by the token at `not`.
fn denied<'p>(text: &Text<'_>, pieces: &'p [Piece], not: usize) -> Option<&'p Piece> {
    // `this morning` is one piece, though `this` may lead to a thing.
    let whole = pieces.iter().find(|piece| piece.from == not + 1 && piece.to > piece.from + 1);
    let at = (not + 1..text.tokens.len()).find(|at| !leads(text, *at) || is_thing(text, *at))?;
    whole
        .filter(|piece| !kinds(text, piece).is_empty())
        .or_else(|| pieces.iter().find(|piece| piece.from == at))
}

fn is_thing(text: &Text<'_>, at: usize) -> bool {
    text.tokens[at].name.is_some()
}

/// Where a list of things of one kind ends that begins with `first`: `not meat or dairy`, `neither green nor black`.
fn list_end(text: &Text<'_>, pieces: &[Piece], first: &Piece) -> usize {
    let mut to = first.to;
    loop {
        let joined = text.has_any(to, &[Mark::Or, Mark::And]) || text.is(to, Cue::Nor);
        let next = pieces.iter().find(|piece| joined && piece.from == to + 1);
        match next.filter(|next| common(text, first, next).is_some()) {
            Some(next) => to = next.to,
            None => return to,
        }
    }
}

/// `green, not blue`
fn told_before(text: &Text<'_>, pieces: &[Piece], not: usize) -> Option<Contrast> {
    let aside = denied(text, pieces, not)?;
    let ends = |at: usize| text.is_stop(at) && !text.is_pause(at);
    let from = (0..not).rev().find(|at| ends(*at)).map_or(0, |at| at + 1);
    let before = pieces.iter().filter(|piece| piece.from >= from && piece.to <= not).rev();
    let (meant, kind) =
        before.into_iter().find_map(|piece| common(text, piece, aside).map(|kind| (piece, kind)))?;
    let end = list_end(text, pieces, aside);
    let told = super::ends_there(text, aside) && goes_no_further(text, end);
    let near = matches!(kind, Kind::Bin | Kind::Moment | Kind::Use | Kind::Plot | Kind::Temperature)
        || is_next_to(text, meant.to, not);
    let paused = not - usize::from(not > 0 && text.is_pause(not - 1));
    (told && near && !denied_itself(text, meant.from)).then(|| Contrast {
        kind,
        meant: meant.from..meant.to,
        aside: aside.from..end,
        words: (paused..aside.from).collect(),
    })
}

/// Whether a thing is itself denied: `not green, not blue`.
fn denied_itself(text: &Text<'_>, at: usize) -> bool {
    (at.saturating_sub(3)..at).any(|i| text.has_any(i, &[Mark::Not, Mark::No]) || text.is(i, Cue::Replaces))
}

/// `coffee, not tea`: nothing but nouns of the kind between.
fn is_next_to(text: &Text<'_>, from: usize, not: usize) -> bool {
    (from..not).all(|at| {
        text.is_pause(at) || is_noun(text, at) || text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)))
    })
}

/// What a colour, a smell or a name may be of.
fn is_noun(text: &Text<'_>, at: usize) -> bool {
    let of = |sense: &Sense| {
        matches!(
            sense,
            Sense::MouldNoun
                | Sense::SmellNoun
                | Sense::Matter(Matter::Bin | Matter::Scraps | Matter::Bran | Matter::Liquid)
        )
    };
    text.senses(at).iter().any(of)
}

/// `not blue, which is empty`, `not blue yet` go on about what is set aside; `not blue and then ...` about something else.
fn goes_no_further(text: &Text<'_>, to: usize) -> bool {
    let next = to + usize::from(text.is_pause(to));
    !text.has(next, Mark::Which)
}

/// `not green but blue`, `it isn't black, it's white`
fn told_after(text: &Text<'_>, pieces: &[Piece], not: usize) -> Option<Contrast> {
    let aside = denied(text, pieces, not)?;
    let end = list_end(text, pieces, aside);
    let mut at = end;
    let mut turn = Vec::new();
    let mut turns = false;
    // `instead of the herb bed we buried it in the south bed`
    let in_place = text.is(not, Cue::InsteadOf);
    while at < text.tokens.len() && (!text.is_stop(at) || text.is_pause(at)) {
        let meant = pieces.iter().find(|piece| piece.from == at)?;
        if let Some(kind) = common(text, aside, meant) {
            let words = (not..aside.from).filter(|at| !text.is_act(*at, Act::Smell)).chain(turn).collect();
            let contrast = Contrast { kind, meant: meant.from..meant.to, aside: aside.from..end, words };
            return (turns || in_place).then_some(contrast);
        }
        let joins =
            text.is_pause(at) || text.has_any(at, &[Mark::But, Mark::It, Mark::Be]) || text.is(at, Cue::Just);
        if joins {
            turns |= !text.has_any(at, &[Mark::It, Mark::Be]);
            turn.push(at);
        } else if !(in_place
            || kind_of_place(text, at)
            || is_noun(text, at)
            || leads(text, at)
            || text.is(at, Cue::ThisTime))
        {
            return None;
        }
        at = meant.to;
    }
    None
}

/// `no white mould in green, just black`: where it is; `not down the sink but on the plum tree`.
fn kind_of_place(text: &Text<'_>, at: usize) -> bool {
    let tree = text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)))
        && text.senses(at + 1).iter().any(|s| matches!(s, Sense::Use(_)));
    text.name(at, NameKind::Bin).is_some() || text.has(at, Mark::Thanks) || tree
}

/// Whether more is told than one value in the place of another.
fn is_report(text: &Text<'_>, pieces: &[Piece], contrast: &Contrast) -> bool {
    let outside = |at: usize| !contrast.meant.contains(&at) && !contrast.aside.contains(&at);
    let acts = |at: usize| {
        let trade = |act: Act| {
            matches!(
                act,
                Act::Add
                    | Act::Sprinkle
                    | Act::Drain
                    | Act::Start
                    | Act::Seal
                    | Act::Bury
                    | Act::Discard
                    | Act::Plant
                    | Act::Clean
                    | Act::Pour
                    | Act::Fill
                    | Act::Smell
            )
        };
        text.verb(at).is_some_and(|(act, _)| trade(act))
    };
    let state = |at: usize| {
        text.senses(at).iter().any(|sense| {
            matches!(
                sense,
                Sense::Level(_)
                    | Sense::Smell(_)
                    | Sense::SmellNoun
                    | Sense::MouldNoun
                    | Sense::Lid(_)
                    | Sense::Pests
            )
        })
    };
    let stuff = |at: usize| {
        text.senses(at).iter().any(|sense| {
            matches!(sense, Sense::Food(_) | Sense::Matter(Matter::Scraps | Matter::Bran | Matter::Liquid))
        })
    };
    let mut tokens = (0..text.tokens.len()).filter(|at| outside(*at));
    let amounts = pieces
        .iter()
        .filter(|piece| matches!(piece.kind, PieceKind::Amount(_)) && outside(piece.from))
        .count();
    let level = pieces.iter().any(|piece| matches!(piece.kind, PieceKind::Level(_)) && outside(piece.from));
    match contrast.kind {
        Kind::Amount => amounts > 0 || tokens.any(acts),
        Kind::Colour | Kind::Smell | Kind::Level => true,
        Kind::Food => amounts > 0,
        Kind::Temperature => tokens.any(|at| is_thing(text, at) || text.has(at, Mark::KitchenPlace)),
        Kind::Bin if (0..text.tokens.len()).any(|at| text.is_word(at, "?")) => true,
        Kind::Bin | Kind::Moment | Kind::Use | Kind::Plot => {
            let away = |at: usize| {
                text.has_any(at, &[Mark::Away, Mark::Done])
                    || text.is_matter(at, Matter::Hours)
                    || text.is_matter(at, Matter::Digest)
            };
            amounts > 0 || level || tokens.any(|at| acts(at) || state(at) || stuff(at) || away(at))
        }
    }
}

/// Takes the thing that is set aside, and the words that do so, out of the message.
fn take_out(text: &mut Text<'_>, contrast: &Contrast) {
    let mut at = 0;
    text.tokens.retain(|_| {
        let keep = !contrast.aside.contains(&at) && !contrast.words.contains(&at);
        at += 1;
        keep
    });
}
