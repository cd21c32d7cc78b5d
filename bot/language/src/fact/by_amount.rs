//! Which event a clause tells of that has no verb of the trade: by what it measures.

use crate::amount::AmountSize;
use crate::clause::{BinRef, Clause, Gist, Lot, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter, TimeWord};
use crate::message::NudgeKind;
use crate::reading::{FactKind, Food};
use crate::text::Text;

use super::context::{left, scene_has};
use super::liquid::{has_liquid_source, is_out, names_a_drain};
use super::open::separate_bran;
use super::stock::{is_stock, names_there, says_bran};
use super::untold::{bran_untold, stock_without_amount, vague_scraps};
use super::{Builder, Event, names, supply};

/// A clause without a verb of the trade, by what it measures.
pub(super) fn by_amount(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    // `bran is 12 $ a bag`: what it costs
    if (clause.from..clause.to).any(|at| ['$', '€', '£'].iter().any(|sign| scene.text.is_sign(at, *sign)))
    {
        return false;
    }
    if bran_untold(builder, index) || measured_better(builder, index) {
        return true;
    }
    let current = builder.current.map(|at| builder.events[at].kind);
    let mut lots = builder.pending.lots.clone();
    gist.lots.iter().for_each(|lot| super::join_lot(&mut lots, lot.clone()));
    let Some(lot) = lots.iter().find(|lot| lot.amount.is_some()).filter(|_| !gist.lots.is_empty()) else {
        return vague_scraps(builder, index) || stock_without_amount(builder, index);
    };
    let bran = is_bran(lot, current);
    let same_kind = is_same_kind(builder, clause, lot, current);
    let another = !gist.whens.is_empty()
        && builder.current.is_some_and(|at| {
            !builder.events[at].whens.is_empty()
                && builder.events[at].lots.iter().any(|lot| lot.amount.is_some())
        });
    let another = another || !builder.pending.bins.is_empty();
    // `bought 2 kg of bran, 2.5 kg of bran left now`: what there is, whatever was done before.
    let other_bran = is_bare(lot)
        && scene.clauses.iter().any(|other| {
            other.sentence == clause.sentence && other.from < clause.from && names(scene, other, Matter::Bran)
        });
    let have = sums_up(builder, clause, current);
    // `2 spoons on green, leaving 400 g`
    let leaves = (clause.from..clause.to).any(|at| scene.text.is(at, Cue::StockLevel));
    let rest = (bran || other_bran)
        && current != Some(FactKind::StarterStock)
        && (left(builder, clause) || have || leaves)
        && clause.verb.is_none_or(|verb| verb.act == Act::Get);
    // `bought 2 kg of bran and used 30 g on blue`
    let used = clause.verb.is_some_and(|verb| matches!(verb.act, Act::Use | Act::Give))
        && matches!(current, Some(FactKind::StarterBought | FactKind::StarterMade | FactKind::StarterStock))
        && !lots.is_empty()
        && lots.iter().all(|lot| lot.foods.is_empty());
    // `1 l of peels to green, 100 ml off blue down the drain`
    let let_out = matches!(current, Some(FactKind::Scraps | FactKind::Bran))
        && (gist.use_.is_some() || names(scene, clause, Matter::Tap) || is_out(&scene.text, clause))
        && has_liquid_source(builder, clause, gist);
    // `down to 300 g of bran, from 2 kg`
    if current == Some(FactKind::StarterStock) && scene.text.has(clause.from, Mark::From) && is_bare(lot) {
        return true;
    }
    let same_kind = same_kind && !rest && !used && !let_out;
    if let Some(kind) = current.filter(|_| same_kind && another && clause.verb.is_none()) {
        // `drained blue yesterday 200 ml, today 100 ml`
        let bins = builder.current.map(|at| bins_of(&builder.events[at])).unwrap_or_default();
        let at = builder.begin(kind, index);
        let event = &mut builder.events[at];
        event.verbal = true;
        if bins.len() == 1 && event.bins.is_empty() && event.lots.iter().all(|lot| lot.bins.is_empty()) {
            event.bins = bins;
        }
        return true;
    }
    if same_kind
        && builder.pending.bins.is_empty()
        && clause.verb.is_none_or(|verb| {
            scene.text.is(verb.at, Cue::Weighs)
                || matches!(
                    verb.act,
                    Act::Get
                        | Act::Go
                        | Act::Give
                        | Act::Take
                        | Act::Use
                        | Act::Pour
                        | Act::Fill
                        | Act::Finish
                        | Act::Dilute
                        | Act::Water
                )
        })
    {
        return false;
    }
    let known =
        (have && (is_bare(lot) || bran) || rest && leaves && is_bare(lot)).then_some(FactKind::StarterStock);
    let Some(kind) = known.or_else(|| kind_of(builder, index, &lots, lot, used)) else { return false };
    // `bran's drying, 2.5 kg`
    let opened = clause.verb.is_none_or(|verb| verb.act == Act::Open);
    if kind == FactKind::Bran && opened && current != Some(FactKind::Scraps) && gist.lots.iter().all(is_heap)
    {
        return false;
    }
    let last_layer = is_last_layer(builder, clause, current);
    let sealed = builder.current.filter(|_| last_layer).map(|at| builder.events[at].bins.clone());
    let at = builder.begin(kind, index);
    let event = &mut builder.events[at];
    if event.bins.is_empty() && event.lots.iter().all(|lot| lot.bins.is_empty()) {
        event.bins.extend(sealed.into_iter().flatten());
    }
    if kind == FactKind::Scraps {
        separate_bran(builder, at, clause);
    }
    true
}

/// `bought 3 lb of bran, so we have 5 lb now`, `made 3 kg and bought 1 kg, total 4.5 kg`
fn sums_up(builder: &Builder<'_, '_>, clause: &Clause, current: Option<FactKind>) -> bool {
    let text = &builder.scene.text;
    let supplied = matches!(current, Some(FactKind::StarterBought | FactKind::StarterMade));
    let measured =
        builder.current.is_some_and(|at| builder.events[at].lots.iter().any(|lot| lot.amount.is_some()));
    let total = measured && (clause.from..clause.to).any(|at| text.is(at, Cue::InTotal));
    supplied
        && clause.verb.is_none()
        && (total || scene_has(builder, clause, &[Mark::Have]) || names_there(builder, clause))
}

/// `emptied the caddy into green, that's 4 litres of curry`: the vessel told before, measured.
fn measured_better(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let (clause, gist, text) =
        (&builder.scene.clauses[index], &builder.scene.gists[index], &builder.scene.text);
    let Some(event) = builder.current.map(|at| &mut builder.events[at]) else { return false };
    let led = |at: &usize| text.has_any(*at, &[Mark::It, Mark::Be]) || text.is(*at, Cue::ThatIs);
    let told = (clause.from..clause.to.min(clause.from + 3)).filter(led).count() > 0 && clause.verb.is_none();
    let ([lot], [known]) = (&gist.lots[..], &mut event.lots[..]) else { return false };
    let vessel = known.amount.is_some_and(|amount| amount.vessel);
    let placed = lot.bins.is_empty() || event.bins.is_empty() && known.bins.is_empty();
    let better = placed && lot.amount.is_some_and(|amount| !amount.vessel);
    if event.kind != FactKind::Scraps
        || event.sentence != clause.sentence
        || !(told && vessel && better && lot.matter.is_none_or(|matter| matter == Matter::Scraps))
    {
        return false;
    }
    known.amount = lot.amount;
    known.foods.extend(&lot.foods);
    known.bins.extend(lot.bins.iter().cloned());
    event.clauses.1 = index;
    true
}

/// What a clause without a verb of the trade tells, by its first measured lot; `used` where bran was.
fn kind_of(builder: &Builder<'_, '_>, index: usize, lots: &[Lot], lot: &Lot, used: bool) -> Option<FactKind> {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    let current = builder.current.map(|at| builder.events[at].kind);
    let bran = is_bran(lot, current);
    let of_bran =
        lot.foods.is_empty() && lot.bins.is_empty() && lot.matter.is_none_or(|matter| matter == Matter::Bran);
    let stock = of_bran && (bran && is_stock(builder, clause, gist) || says_bran(builder, clause));
    let supply = || supply::by_noun(builder, clause).filter(|_| of_bran && clause.verb.is_none());
    let last_layer = is_last_layer(builder, clause, current);
    Some(if let Some(kind) = supply() {
        kind
    } else if stock {
        FactKind::StarterStock
    } else if last_layer && is_bare(lot) {
        FactKind::Scraps
    } else if lots.iter().any(is_bare)
        && lots.iter().any(|lot| lot.matter == Some(Matter::Bran))
        && clause.verb.is_none()
    {
        // `2 l, 2 tbsp bran`: what has bran on top is scraps
        FactKind::Scraps
    } else if bran || used {
        FactKind::Bran
    } else if lot.matter == Some(Matter::Liquid)
        || names_a_drain(&scene.text, clause)
        || has_liquid_source(builder, clause, gist) && !goes_in(builder, clause)
        || is_bare(lot) && builder.taps(clause) && current.is_none()
        || matches!(lot.foods[..], [Food::Liquid | Food::Tea]) && let_out_before(builder, clause)
        || lot.foods == [Food::Tea]
            && gist.use_ == Some(crate::reading::Use::Plants)
            && clause
                .verb
                .is_some_and(|verb| matches!(verb.act, Act::Use | Act::Water | Act::Give | Act::Pour))
    {
        FactKind::Drained
    } else if lot.matter == Some(Matter::Scraps) || !lot.foods.is_empty() {
        if is_only_bought(builder, clause) {
            return None;
        }
        FactKind::Scraps
    } else if clause
        .verb
        .is_some_and(|verb| !matches!(verb.act, Act::Finish | Act::Get | Act::Use | Act::Give | Act::Take))
    {
        return None;
    } else {
        match scene.message.reply_to {
            Some(NudgeKind::Drain) => FactKind::Drained,
            Some(NudgeKind::Bran) => FactKind::Bran,
            Some(NudgeKind::Starter)
                if left(builder, clause) || scene_has(builder, clause, &[Mark::Have]) =>
            {
                FactKind::StarterStock
            }
            None if is_bare(lot)
                && (goes_in(builder, clause)
                    || had_bare(builder, clause, gist)
                    || lot.each && !lot.bins.is_empty()) =>
            {
                FactKind::Scraps
            }
            None if is_bare(lot) && !gist.bins.is_empty() && of_all(builder, index).is_some() => {
                of_all(builder, index)?
            }
            None if is_bare(lot) && placed_next(builder, index).is_some() => placed_next(builder, index)?,
            // `the pot under the sink is 2.5 litres` tells a size.
            _ if gist.use_.is_some() && !scene_has(builder, clause, &[Mark::Be]) => FactKind::Drained,
            _ => return None,
        }
    })
}

/// `blue 2 kg, green 3 kg, all kitchen scraps`, `blue 200 ml, green 100 ml, both on the roses`: what all the amounts of a
/// sentence are is told at its end.
fn of_all(builder: &Builder<'_, '_>, index: usize) -> Option<FactKind> {
    let (scene, text) = (builder.scene, &builder.scene.text);
    let sentence = scene.clauses[index].sentence;
    let later = scene.clauses.iter().zip(&scene.gists).skip(index + 1);
    let told = |clause: &Clause| clause.sentence == sentence && clause.verb.is_none();
    later.take_while(|(clause, _)| told(clause)).find_map(|(clause, gist)| {
        let poured = begins_with_all(text, clause) && gist.lots.is_empty() && gist.use_.is_some();
        let scraps = tells_of_all(text, clause, gist).then_some(FactKind::Scraps);
        scraps.or(poured.then_some(FactKind::Drained))
    })
}

fn begins_with_all(text: &Text<'_>, clause: &Clause) -> bool {
    text.has(clause.from, Mark::All) || text.is(clause.from, Cue::EachAll)
}

/// `all kitchen scraps`, `both potato peel`, and no amount of it.
pub(super) fn tells_of_all(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let stuff = |lot: &Lot| !lot.foods.is_empty() || lot.matter == Some(Matter::Scraps);
    begins_with_all(text, clause)
        && clause.verb.is_none()
        && gist.lots.iter().any(stuff)
        && gist.lots.iter().all(|lot| lot.amount.is_none())
}

/// `1.4 kg (3 l) into green`, `200 ml, from blue`: where it went or came from, told apart.
fn placed_next(builder: &Builder<'_, '_>, index: usize) -> Option<FactKind> {
    let (scene, text) = (builder.scene, &builder.scene.text);
    let sentence = scene.clauses[index].sentence;
    let amount = |gist: &Gist| gist.bins.is_empty() && gist.lots.iter().all(is_bare) && !gist.lots.is_empty();
    let mut later = scene.clauses.iter().zip(&scene.gists).skip(index + 1);
    let (place, gist) = later.find(|(_, gist)| !amount(gist))?;
    let plain =
        place.sentence == sentence && place.verb.is_none() && gist.lots.is_empty() && gist.bins.len() == 1;
    let bin = place.from + 1 + usize::from(text.has(place.from + 1, Mark::The));
    let named = text.name(bin, crate::name::NameKind::Bin).is_some() && bin + 2 >= place.to;
    if !plain || !named {
        return None;
    }
    let into = text.has(place.from, Mark::In) || text.is(place.from, Cue::IntoThe);
    let from = text.has(place.from, Mark::From) && !into;
    into.then_some(FactKind::Scraps).or(from.then_some(FactKind::Drained))
}

/// `bought 3 kg of apples`: in no bin.
fn is_only_bought(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    clause.verb.is_some_and(|verb| verb.act == Act::Buy)
        && (0..text.tokens.len()).all(|at| text.name(at, crate::name::NameKind::Bin).is_none())
        && !(clause.from..text.tokens.len())
            .any(|at| text.is_matter(at, Matter::Bin) || text.is_act(at, Act::Add))
}

/// `let the juice out of green, 300 ml`: the amount of what an earlier clause lets out.
fn let_out_before(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let scene = builder.scene;
    scene.clauses.iter().zip(&scene.gists).any(|(other, gist)| {
        other.sentence == clause.sentence
            && other.from < clause.from
            && has_liquid_source(builder, other, gist)
    })
}

/// Whether a lot is of what the event before tells of.
fn is_same_kind(builder: &Builder<'_, '_>, clause: &Clause, lot: &Lot, current: Option<FactKind>) -> bool {
    let bran = is_bran(lot, current);
    match current {
        Some(FactKind::Scraps) => !bran,
        // `150 ml of bran to green and 100 ml to blue`; 2 litres would be scraps.
        Some(FactKind::Bran) if is_bare(lot) && goes_in(builder, clause) && !is_handful(lot) => false,
        Some(FactKind::Bran) => lot.foods.is_empty() && lot.matter.is_none_or(|m| m == Matter::Bran),
        // `drained 300 ml from blue, 2 litres of peelings into green`
        Some(FactKind::Drained) if goes_into_bin(builder, clause) => false,
        Some(FactKind::Drained) => {
            lot.foods.is_empty() && lot.matter.is_none_or(|matter| matter == Matter::Liquid)
        }
        // `bought 5 kg of bran, 50 ml of it went on green`
        Some(FactKind::StarterMade | FactKind::StarterBought) => lot.foods.is_empty() && lot.bins.is_empty(),
        Some(FactKind::StarterStock) => lot.foods.is_empty() && lot.matter.is_none() && lot.bins.is_empty(),
        _ => false,
    }
}

/// `into green`
fn goes_into_bin(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    let bin = |at: usize| text.name(at, crate::name::NameKind::Bin).is_some();
    (clause.from..clause.to).any(|at| text.is_word(at, "into") && (at + 1..at + 3).any(bin))
}

/// `sealed it with the last half litre on top`: what went in before the lid.
fn is_last_layer(builder: &Builder<'_, '_>, clause: &Clause, current: Option<FactKind>) -> bool {
    let text = &builder.scene.text;
    let on_top = |at: usize| text.is(at, Cue::TopLayer);
    current == Some(FactKind::Sealed)
        && text.has(clause.from.wrapping_sub(1), Mark::With)
        && (clause.from..clause.to).any(on_top)
}

/// The bins that an event tells of; those of its lot where that has its own: `100 ml from green on monday, 60 ml today`.
fn bins_of(event: &Event) -> Vec<BinRef> {
    match &event.lots[..] {
        [only] if event.bins.is_empty() => only.bins.clone(),
        _ => event.bins.clone(),
    }
}

/// An amount of nothing in particular, too much for a spoon.
fn is_bare(lot: &Lot) -> bool {
    lot.matter.is_none() && lot.foods.is_empty() && lot.amount.is_some_and(|amount| !amount.small)
}

/// As much as people put on a layer of scraps, ml or g.
pub(super) const HANDFUL: f64 = 250.0;

/// More bran than anybody puts on a layer.
fn is_heap(lot: &Lot) -> bool {
    lot.amount.is_some_and(|amount| match amount.size {
        AmountSize::Grams(g) | AmountSize::Ounces(g, _) => g >= 1_000.0,
        AmountSize::Millilitres(ml) => ml >= 3_000.0,
        AmountSize::Buckets(_) => true,
    })
}

fn is_handful(lot: &Lot) -> bool {
    lot.amount.is_some_and(|amount| matches!(amount.size, AmountSize::Millilitres(ml) if ml <= HANDFUL))
}

/// Whether a lot is of bran; `2 l in green, 2 tbsp`: what is measured by the spoon beside scraps is.
fn is_bran(lot: &Lot, current: Option<FactKind>) -> bool {
    lot.matter == Some(Matter::Bran) || current == Some(FactKind::Scraps) && is_spoons(lot)
}

/// Spoons of nothing in particular.
pub(super) fn is_spoons(lot: &Lot) -> bool {
    lot.matter.is_none() && lot.foods.is_empty() && lot.amount.is_some_and(|amount| amount.small)
}

/// `blue's had 2 litres today`
fn had_bare(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let Some((_, bin)) = gist.bins.first() else { return false };
    let noun = usize::from(text.is_matter(bin + 1, Matter::Bin));
    let tail = usize::from(text.is(bin + 1 + noun, Cue::TailS));
    *bin <= clause.from + 1 && text.is(bin + 1 + noun + tail, Cue::Had)
}

/// `into the cellar bin`, `1 kg in yesterday`
fn goes_in(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let (text, pieces) = (&builder.scene.text, &builder.scene.pieces);
    let measured =
        |at: usize| pieces.iter().any(|piece| piece.to == at && matches!(piece.kind, PieceKind::Amount(_)));
    // `in yesterday` and `in at eight` are no times with `in`, as `in the morning` is.
    let timed = |at: usize| {
        pieces.iter().any(|piece| piece.from == at && matches!(piece.kind, PieceKind::When(_)))
            || matches!(text.time(at), Some(TimeWord::Day(_) | TimeWord::Earlier | TimeWord::LastNight))
            || text.is(at, Cue::AroundTime)
    };
    (clause.from..clause.to).any(|at| {
        let all_in = text.is(at, Cue::In) && measured(at) && (at + 1 == clause.to || timed(at + 1));
        if all_in {
            return true;
        }
        // `2 l -> blue`
        let leads = |i: usize| text.is(i, Cue::IntoThe) || text.is_sign(i, '>');
        let into = (clause.from.max(at.saturating_sub(2))..at).any(leads);
        // `1 kg into pink`, where no bin is called so
        let unknown = || {
            let bins = builder.scene.gists.iter().flat_map(|gist| gist.lots.iter().flat_map(|lot| &lot.bins));
            let stranger = text.words(at, at + 1);
            bins.into_iter().any(|bin| matches!(bin, BinRef::Unknown(name) if *name == stranger))
        };
        into && (text.name(at, crate::name::NameKind::Bin).is_some() || unknown())
    })
}
