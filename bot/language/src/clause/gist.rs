//! What a clause names: amounts with what they are of, bins, plots, times, states.

use crate::amount::Amount;
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::message::Message;
use crate::name::NameKind;
use crate::reading::{Food, Use};
use crate::text::Text;
use crate::time::{Flag, When};

use super::bin::bin_at;
use super::destination::destination;
use super::stuff::{earthy, is_put_in};
use super::{Clause, Piece, PieceKind, all};

/// A bin that is spoken of.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum BinRef {
    /// One of the room's.
    Known(usize),
    /// Named, but the room has none of that name.
    Unknown(String),
    /// One of two, and which is not told: `green or blue`.
    Undecided,
}

/// Something that was put in or taken out at once.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Lot {
    pub(crate) amount: Option<Amount>,
    /// The same lot told in another dimension.
    pub(crate) also: Option<Amount>,
    pub(crate) matter: Option<Matter>,
    pub(crate) foods: Vec<Food>,
    pub(crate) bins: Vec<BinRef>,
    pub(crate) vague: bool,
    pub(crate) each: bool,
    pub(crate) at: usize,
}

/// All that a clause names.
#[expect(clippy::struct_excessive_bools, reason = "independent observations of the clause")]
#[derive(Debug, Clone, Default)]
pub(crate) struct Gist {
    pub(crate) lots: Vec<Lot>,
    /// Bins that stand outside lots, with their tokens.
    pub(crate) bins: Vec<(BinRef, usize)>,
    pub(crate) plots: Vec<(usize, usize)>,
    pub(crate) whens: Vec<(When, usize)>,
    pub(crate) level: Option<(f64, usize)>,
    pub(crate) temperature: Option<(f64, usize)>,
    pub(crate) length: Option<(f64, usize)>,
    pub(crate) area: Option<f64>,
    pub(crate) count: Option<(f64, usize)>,
    pub(crate) use_: Option<Use>,
    /// A word of this trade stands in it.
    pub(crate) trade: bool,
    /// A bin of another sort: recycling, rubbish.
    pub(crate) foreign: bool,
    pub(crate) vague: bool,
    pub(crate) bin_noun: bool,
}

/// Collects what the clause names.
pub(crate) fn gist(text: &Text<'_>, pieces: &[Piece], clause: &Clause, message: &Message) -> Gist {
    let spared = all::spared_before(text, clause.from).map(|bin| (BinRef::Known(bin), clause.from));
    let mut gist = Gist { bins: spared.into_iter().collect(), ..Gist::default() };
    let act = clause.verb.map(|verb| verb.act);
    let mut whole: Option<Amount> = None;
    for piece in pieces.iter().filter(|piece| piece.from >= clause.from && piece.to <= clause.to) {
        let at = piece.from;
        match piece.kind {
            // `it's fermenting in a bag`: what it is in
            PieceKind::Amount(amount)
                if amount.vessel
                    && text.has(at, Mark::A)
                    && text.is(at.wrapping_sub(1), Cue::Inside)
                    && !text.has(piece.to, Mark::Of)
                    && !matches!(act, Some(Act::Add | Act::Pour | Act::Drain)) => {}
            // `he ferments it in a 60 litre barrel`
            PieceKind::Amount(_)
                if text.has(at, Mark::A)
                    && text.is(at.wrapping_sub(1), Cue::Inside)
                    && (text.is_matter(piece.to, Matter::Bin)
                        || text.is(piece.to, Cue::Vessel)
                        || text.senses(piece.to).iter().any(|s| matches!(s, Sense::Kitchen(..)))) => {}
            // `of the 3 kg of peel I put 2 in green`: what there was, and not what was put in
            PieceKind::Amount(amount)
                if is_whole_of(text, at, clause) && counted_later(pieces, piece, clause) =>
            {
                whole = Some(amount);
            }
            PieceKind::Amount(amount) => match gist.lots.last_mut().filter(|lot| is_filled(text, lot, at)) {
                Some(vessel) => vessel.amount = Some(amount),
                None => take_amount(&mut gist, amount, at, act),
            },
            // `10 cm of soil on top` is a cover, no depth.
            PieceKind::Length(_)
                if text.has(piece.to, Mark::Of)
                    || text.is_matter(piece.to, Matter::Soil)
                    || text.is(piece.to, Cue::Soil) => {}
            PieceKind::Length(cm) => gist.length = gist.length.or(Some((cm, at))),
            PieceKind::Area(area) => gist.area = gist.area.or(Some(area)),
            PieceKind::Temperature(c) => gist.temperature = gist.temperature.or(Some((c, at))),
            PieceKind::Level(level) => gist.level = gist.level.or(Some((level, at))),
            PieceKind::Count(count) => match whole {
                Some(unit) => take_amount(&mut gist, unit.of_count(count), at, act),
                None => gist.count = gist.count.or(Some((count, at))),
            },
            PieceKind::When(when)
                if when.flag == Some(Flag::Earlier) && piece.to - at == 1 && !text.is(at, Cue::Earlier) => {}
            // `same as yesterday`
            PieceKind::When(_)
                if text.is(at.wrapping_sub(1), Cue::Degree) && text.is(at.wrapping_sub(2), Cue::Same) => {}
            PieceKind::When(when) => gist.whens.push((when, at)),
            PieceKind::Word => take_word(&mut gist, text, at, clause, message),
        }
    }
    bins_before_lots(&mut gist, text, clause);
    gist.use_ = destination(text, clause);
    gist
}

/// `made 1.5 kg of bran, 60 ml of it went on green`: what an amount is of that was told before.
pub(crate) fn of_it(text: &Text<'_>, gists: &mut [Gist]) {
    let mut before = None;
    for lot in gists.iter_mut().flat_map(|gist| &mut gist.lots) {
        let of_it = (lot.at..text.tokens.len().min(lot.at + 5))
            .any(|at| text.has(at, Mark::Of) && (text.has(at + 1, Mark::It) || text.is(at + 1, Cue::That)));
        if of_it && lot.matter.is_none() && lot.foods.is_empty() && before == Some(Matter::Bran) {
            lot.matter = before;
        }
        before = lot.matter.or(before.filter(|_| lot.foods.is_empty()));
    }
}

/// `of the 3 kg of peel I put 2 in green`
fn is_whole_of(text: &Text<'_>, at: usize, clause: &Clause) -> bool {
    at >= clause.from + 2
        && at <= clause.from + 3
        && text.has(at - 1, Mark::The)
        && text.has(at - 2, Mark::Of)
}

fn counted_later(pieces: &[Piece], amount: &Piece, clause: &Clause) -> bool {
    let of = |piece: &&Piece| piece.from >= amount.to && piece.to <= clause.to;
    pieces.iter().filter(of).any(|piece| matches!(piece.kind, PieceKind::Count(_)))
}

/// `blue 200 ml green 150 ml drained`: each amount is of the bin before it.
fn bins_before_lots(gist: &mut Gist, text: &Text<'_>, clause: &Clause) {
    let [(first, at)] = &gist.bins[..] else { return };
    let headed = gist.lots.len() > 1
        && gist.lots.first().is_some_and(|lot| lot.at > *at)
        && !(clause.from..*at).any(|i| text.has(i, Mark::In));
    let (last, others) = match gist.lots.split_last() {
        Some(parts) if headed => parts,
        _ => return,
    };
    let alternate =
        last.bins.is_empty() && others.iter().all(|lot| lot.bins.len() == 1 && lot.amount.is_some());
    let placed = |name: usize| text.has_any(name.wrapping_sub(1), &[Mark::In, Mark::From, Mark::The]);
    let names = (*at + 1..clause.to).filter(|i| text.name(*i, NameKind::Bin).is_some());
    if !alternate || names.into_iter().any(placed) {
        return;
    }
    let mut before = first.clone();
    for lot in &mut gist.lots {
        let own = lot.bins.pop();
        lot.bins.push(before);
        match own {
            Some(bin) => before = bin,
            None => break,
        }
    }
    gist.bins.clear();
}

/// `emptied the caddy, there were about three litres in it`: how much the vessel held.
fn is_filled(text: &Text<'_>, lot: &Lot, at: usize) -> bool {
    let held = (lot.at..at).any(|i| text.is(i, Cue::There) && text.has(i + 1, Mark::Be));
    held && lot.amount.is_some_and(|amount| amount.vessel && amount.definite) && lot.foods.is_empty()
}

fn take_amount(gist: &mut Gist, amount: Amount, at: usize, act: Option<Act>) {
    if amount.definite && !matches!(act, Some(Act::Add | Act::Sprinkle | Act::Fill | Act::Pour)) {
        return;
    }
    if let Some(last) = gist.lots.last_mut() {
        // `one bag of bran 750 g`: how much it holds
        let one = last.amount.and_then(Amount::vessels) == Some(1.0) && last.matter == Some(Matter::Bran);
        if one && mass(amount) && !amount.vessel && last.bins.is_empty() && at <= last.at + 4 {
            last.amount = Some(amount);
            return;
        }
        if last.amount.is_none() && !last.vague {
            last.amount = Some(amount);
            return;
        }
        let other = last.amount.is_some_and(|known| mass(known) != mass(amount)) && last.also.is_none();
        if other && !last.vague && last.foods.is_empty() && last.bins.is_empty() && last.matter.is_none() {
            last.also = Some(amount);
            return;
        }
    }
    gist.lots.push(Lot { amount: Some(amount), at, ..Lot::default() });
}

fn mass(amount: Amount) -> bool {
    matches!(amount.size, crate::amount::AmountSize::Grams(_))
}

/// The lot that a word of stuff belongs to.
fn lot(gist: &mut Gist, at: usize) -> &mut Lot {
    if gist.lots.is_empty() {
        gist.lots.push(Lot { at, ..Lot::default() });
    }
    let last = gist.lots.len() - 1;
    &mut gist.lots[last]
}

fn take_word(gist: &mut Gist, text: &Text<'_>, at: usize, clause: &Clause, message: &Message) {
    if let Some(bins) = all::all_bins(text, at, message) {
        match gist.lots.last_mut() {
            Some(last) if last.amount.is_some() && last.bins.is_empty() => {
                last.bins.extend(bins);
                last.each = true;
            }
            _ => gist.bins.extend(bins.into_iter().map(|bin| (bin, at))),
        }
        gist.trade = true;
        return;
    }
    if let Some((bin, _)) = bin_at(text, at, clause, message) {
        take_bin(gist, text, at, clause, bin);
        return;
    }
    let placed = text.has_any(at.wrapping_sub(1), &[Mark::In, Mark::The, Mark::I])
        || text.is_matter(at + 1, Matter::Plot);
    if let Some(plot) = text.name(at, NameKind::Plot).filter(|name| name.whole || placed && earthy(clause)) {
        gist.plots.push((plot.index, at));
        gist.trade = true;
        return;
    }
    if clause.verb.is_some_and(|verb| verb.at == at) {
        return;
    }
    for sense in text.senses(at) {
        take_sense(gist, text, at, clause, *sense);
    }
}

fn take_bin(gist: &mut Gist, text: &Text<'_>, at: usize, clause: &Clause, bin: BinRef) {
    let bin = if !clause.asks && is_undecided(text, clause, at) { BinRef::Undecided } else { bin };
    if bin == BinRef::Undecided && gist.bins.iter().any(|(other, _)| *other == bin) {
        return;
    }
    // `C wing 5 kg of fruit from pooja`: where it came from, as the bin is told
    let known = |bin: &BinRef| matches!(bin, BinRef::Known(_));
    let told =
        gist.bins.iter().any(|(bin, _)| known(bin)) || gist.lots.iter().flat_map(|lot| &lot.bins).any(known);
    let giver = !known(&bin) && told && text.has(at.wrapping_sub(1), Mark::From);
    if giver || all::is_spared(text, at) {
        return;
    }
    let of_drain = clause.verb.is_some_and(|verb| verb.act == Act::Drain && verb.at + 1 == at);
    if of_drain || gist.lots.last().is_none_or(|lot| lot.amount.is_none()) {
        gist.bins.push((bin, at));
    } else {
        lot(gist, at).bins.push(bin);
    }
    gist.trade = true;
}

fn take_sense(gist: &mut Gist, text: &Text<'_>, at: usize, clause: &Clause, sense: Sense) {
    match sense {
        Sense::Food(food) if is_put_in(text, at, clause, food) => {
            let lot = lot(gist, at);
            if !lot.foods.contains(&food) {
                lot.foods.push(food);
            }
        }
        // `bran flakes`
        Sense::Matter(Matter::Bran) if text.is(at + 1, Cue::BranAsFood) => {}
        Sense::Matter(Matter::Bran) if text.has_any(at.wrapping_sub(1), &[Mark::No, Mark::Not]) => {
            gist.trade = true;
        }
        Sense::Matter(matter @ (Matter::Bran | Matter::Scraps | Matter::Liquid)) => {
            gist.trade = true;
            // `2 cups of bones into cellar with extra bran (1/4 cup)`
            let beside = matter == Matter::Bran
                && (clause.from.max(at.saturating_sub(3))..at).any(|i| text.has(i, Mark::With))
                && gist.lots.last().is_some_and(|lot| {
                    lot.amount.is_some() && !(lot.foods.is_empty() && lot.bins.is_empty())
                });
            if beside {
                gist.lots.push(Lot { at, ..Lot::default() });
            }
            let lot = lot(gist, at);
            // Peelings of bran are none; the first word wins, but for bran.
            if lot.matter.is_none() || matter == Matter::Bran {
                lot.matter = Some(matter);
            }
        }
        Sense::Matter(Matter::Bin) => {
            gist.foreign |= belongs_to_others(text, at, clause);
            gist.bin_noun = true;
            gist.trade = true;
        }
        Sense::Vague => gist.vague = true,
        Sense::Mark(Mark::ForeignBin) => gist.foreign = true,
        Sense::Mark(Mark::Each) => {
            if let Some(last) = gist.lots.last_mut() {
                last.each = true;
            }
        }
        _ => {}
    }
}

/// `green or blue is full`, `sealed green or was it blue`: one of two.
fn is_undecided(text: &Text<'_>, clause: &Clause, at: usize) -> bool {
    let bin = |at: usize| text.name(at, NameKind::Bin).is_some();
    let noun = |at: usize| usize::from(text.is_matter(at, Matter::Bin) && !bin(at));
    let or = at + 1 + noun(at + 1);
    let was_it = usize::from(text.has(or + 1, Mark::Be)) + usize::from(text.has(or + 2, Mark::It));
    let after = or + 1 + usize::from(text.has(or + 1, Mark::The)) + if was_it == 2 { 2 } else { 0 };
    let first = text.has(or, Mark::Or) && bin(after);
    let before = at.wrapping_sub(1 + usize::from(text.has(at.wrapping_sub(1), Mark::The)));
    let second = text.has(before, Mark::Or) && (before.saturating_sub(2)..before).any(bin);
    let denied = (clause.from..at).any(|i| {
        text.has_any(i, &[Mark::Not, Mark::No, Mark::If]) || text.is(i, Cue::Any) || text.is(i, Cue::Neither)
    });
    (first || second) && !denied
}

/// `my mum's bokashi bin`, `the neighbour's bucket`
fn belongs_to_others(text: &Text<'_>, at: usize, clause: &Clause) -> bool {
    (clause.from.max(at.saturating_sub(3)) + 1..at)
        .any(|i| text.is(i, Cue::TailS) && text.has(i - 1, Mark::Other) && text.tokens[i].glued)
}
