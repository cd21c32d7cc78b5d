//! Which event a clause opens, if any: by its verb first, else by what it measures.

use crate::clause::{Clause, Gist, Lot, PieceKind};
use crate::lexicon::{Act, Forms, Mark, Matter, Sense};
use crate::message::NudgeKind;
use crate::reading::{FactKind, Food, Mould, Slots};

use super::{Builder, Event, crop, found, names, place, symptoms};

/// Opens the clause's events; false where it has none of its own.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    if place::open(builder, index) {
        return true;
    }
    let kind = clause.verb.and_then(|verb| by_verb(builder, clause, gist, verb.act));
    if let Some(kind) = kind {
        let more = found::states(builder, index, Some(kind));
        // `lost the batch in little, had to trash it`
        let once = kind == FactKind::Discarded
            && builder.just(kind)
            && gist.bins.is_empty()
            && builder.current.is_some_and(|at| builder.events[at].sentence == clause.sentence);
        if once {
            return false;
        }
        open_kind(builder, index, kind);
        if let Some(slots) = symptoms(scene, clause).filter(|_| {
            !matches!(
                kind,
                FactKind::Checked
                    | FactKind::Cleaned
                    | FactKind::Sealed
                    | FactKind::Planted
                    | FactKind::Discarded
                    | FactKind::Scraps
                    | FactKind::Bran
            )
        }) {
            builder.check(index, slots);
        }
        let _ = more;
        return true;
    }
    if lies_in_soil(builder, clause, gist) {
        open_kind(builder, index, FactKind::Buried);
        return true;
    }
    if new_batch(builder, clause, gist) {
        open_kind(builder, index, FactKind::Started);
        return true;
    }
    if uses_liquid(builder, clause, gist) {
        return false;
    }
    // `a bag of salad that went slimy`: how the stuff was, not the bin.
    let of_stuff = builder.just(FactKind::Scraps)
        && clause.joint != crate::clause::Joint::Sentence
        && matches!(scene.text.word(clause.from), "that" | "which" | "went" | "gone");
    if of_stuff {
        return false;
    }
    if let Some(slots) = symptoms(scene, clause) {
        builder.check(index, slots);
        found::states(builder, index, Some(FactKind::Checked));
        return true;
    }
    if let Some(slots) = colour_alone(builder, clause, gist) {
        builder.check(index, slots);
        return true;
    }
    if colours_mould(builder, clause, gist) {
        return true;
    }
    if found::states(builder, index, None) {
        return true;
    }
    by_amount(builder, index)
}

fn open_kind(builder: &mut Builder<'_, '_>, index: usize, kind: FactKind) {
    let scene = builder.scene;
    let clause = &scene.clauses[index];
    match kind {
        FactKind::Scraps | FactKind::Bran => {
            let at = builder.begin(FactKind::Scraps, index);
            separate_bran(builder, at, clause);
        }
        FactKind::Checked => {
            builder.check(index, symptoms(scene, clause).unwrap_or_default());
        }
        FactKind::Planted => {
            let at = builder.begin(kind, index);
            builder.events[at].slots.crop = crop::crop(scene, clause);
            builder.events[at].lots.clear();
        }
        FactKind::StarterStock if scene.gists[index].lots.len() > 1 => {
            let at = builder.begin(kind, index);
            let last = builder.events[at].lots.pop();
            builder.events[at].lots = last.into_iter().collect();
        }
        FactKind::StarterStock if scene.gists[index].lots.iter().all(|lot| lot.amount.is_none()) => {
            let at = builder.begin(kind, index);
            builder.events[at].slots.g = Some(0.0);
        }
        _ => {
            let at = builder.begin(kind, index);
            if !builder.events[at].counts() {
                let bins: Vec<_> = builder.events[at].lots.drain(..).flat_map(|lot| lot.bins).collect();
                builder.events[at].bins.extend(bins);
            }
        }
    }
}

/// Lots of bran in a clause about scraps are events of their own.
pub(super) fn separate_bran(builder: &mut Builder<'_, '_>, at: usize, clause: &Clause) {
    let sprinkled = clause.verb.is_some_and(|verb| verb.act == Act::Sprinkle);
    let event = &mut builder.events[at];
    let is_bran = |lot: &Lot| lot.matter == Some(Matter::Bran);
    let all = !event.lots.is_empty() && event.lots.iter().all(is_bran);
    if all
        || (sprinkled
            && event
                .lots
                .iter()
                .all(|lot| lot.foods.is_empty() && lot.matter.is_none_or(|m| m == Matter::Bran)))
    {
        event.kind = FactKind::Bran;
        return;
    }
    let (bran, scraps): (Vec<Lot>, Vec<Lot>) = std::mem::take(&mut event.lots).into_iter().partition(is_bran);
    event.lots = scraps;
    if !bran.is_empty() {
        let mut other = Event { kind: FactKind::Bran, lots: bran, ..event.clone() };
        other.vague = false;
        builder.events.push(other);
    }
}

#[expect(clippy::too_many_lines, reason = "one table of verbs, a line each")]
fn by_verb(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist, act: Act) -> Option<FactKind> {
    let scene = builder.scene;
    let text = &scene.text;
    let has = |matter| names(scene, clause, matter);
    let amount = gist.lots.iter().any(|lot| lot.amount.is_some());
    let lots = |matter| gist.lots.iter().any(|lot| lot.matter == Some(matter));
    let out = (clause.from..clause.to).any(|at| matches!(text.word(at), "out" | "away"));
    let after_drain = builder.current.is_some_and(|at| builder.events[at].kind == FactKind::Drained);
    let bin = !gist.bins.is_empty()
        || gist.lots.iter().any(|lot| !lot.bins.is_empty())
        || gist.bin_noun
        || !builder.pending.bins.is_empty();
    let announced = builder.pending.lots.iter().any(|lot| lot.matter == Some(Matter::Bran));
    let bran = lots(Matter::Bran) || announced && matches!(act, Act::Make | Act::Buy);
    match act {
        Act::Add | Act::Move | Act::Set | Act::Go | Act::Take | Act::Pour | Act::Finish
            if moved_to_soil(builder, clause, gist) =>
        {
            Some(FactKind::Buried)
        }
        Act::Add | Act::Sprinkle | Act::Pour | Act::Fill if has(Matter::Lid) && !amount => None,
        Act::Add | Act::Sprinkle | Act::Pour if after_drain && !amount && gist.use_.is_some() => None,
        Act::Add
            if out
                && throws(text.word(clause.verb.map_or(0, |verb| verb.at)))
                && !amount
                && !after_drain
                && (bin || thrown_whole(builder, clause)) =>
        {
            Some(FactKind::Discarded)
        }
        Act::Add
            if (amount || gist.lots.iter().any(is_liquid) && measured_after(builder, clause))
                && has_liquid_source(builder, clause, gist)
                || lots(Matter::Liquid) && gist.use_.is_some() =>
        {
            Some(FactKind::Drained)
        }
        Act::Add
            if has(Matter::Batch)
                && !amount
                && !(clause.from..clause.to)
                    .any(|at| text.has(at, Mark::In) && text.time(at + 1).is_none())
                && (bin || thrown_whole(builder, clause)) =>
        {
            Some(FactKind::Discarded)
        }
        Act::Add
            if !gist.plots.is_empty()
                && !amount
                && !bin
                && gist.lots.iter().any(|lot| !lot.foods.is_empty()) =>
        {
            Some(FactKind::Planted)
        }
        Act::Add if bin && !amount && rubbish(builder, clause) => Some(FactKind::Discarded),
        Act::Give if (clause.from..clause.to).any(|at| text.is_act(at, Act::Clean)) => {
            Some(FactKind::Cleaned)
        }
        // `covered it with soil` adds nothing.
        Act::Sprinkle if !(amount || bran || gist.vague || gist.count.is_some()) => None,
        Act::Add | Act::Sprinkle => Some(FactKind::Scraps),
        Act::Pour if lots(Matter::Liquid) || gist.use_.is_some() && amount => Some(FactKind::Drained),
        Act::Drain => Some(FactKind::Drained),
        Act::Start if bran && (amount || measured_after(builder, clause)) => Some(FactKind::StarterMade),
        Act::Start
            if scene_has(builder, clause, &[Mark::New])
                && (clause.from..clause.to).any(|at| text.is_word(at, "one")) =>
        {
            Some(FactKind::Started)
        }
        Act::Start if bin || has(Matter::Batch) || gist.trade => Some(FactKind::Started),
        Act::Seal if has(Matter::Lid) && gist.bins.is_empty() && builder.just(FactKind::Sealed) => None,
        Act::Seal if !has(Matter::Tap) => Some(FactKind::Sealed),
        Act::Tape
            if scene
                .clauses
                .iter()
                .any(|other| other.sentence == clause.sentence && names(scene, other, Matter::Lid))
                && !builder.just(FactKind::Sealed) =>
        {
            Some(FactKind::Sealed)
        }
        Act::Check if !bran => Some(FactKind::Checked),
        Act::Bury => Some(FactKind::Buried),
        Act::Discard if !amount && (bin || thrown_whole(builder, clause)) => Some(FactKind::Discarded),
        Act::Plant if crop::is_set_on_things(scene, clause) => None,
        Act::Plant => Some(FactKind::Planted),
        Act::Clean => Some(FactKind::Cleaned),
        Act::Make if builder.scene.message.reply_to == Some(NudgeKind::Starter) => {
            Some(FactKind::StarterMade)
        }
        Act::Buy if builder.scene.message.reply_to == Some(NudgeKind::Starter) => {
            Some(FactKind::StarterBought)
        }
        Act::Make if bran || (has(Matter::Batch) && amount) => Some(FactKind::StarterMade),
        Act::Buy if bran => Some(FactKind::StarterBought),
        Act::Get if amount && !bran && flows(text.word(clause.verb.map_or(0, |verb| verb.at))) => {
            Some(FactKind::Drained)
        }
        Act::Get | Act::Take
            if (amount || lots(Matter::Liquid)) && has_liquid_source(builder, clause, gist) =>
        {
            Some(FactKind::Drained)
        }
        Act::Get
            if bran
                && amount
                && !left(builder, clause)
                && clause.verb.is_some_and(|v| v.forms.has(Forms::PAST))
                && !after_have(builder, clause) =>
        {
            Some(FactKind::StarterBought)
        }
        Act::Get if amount && bin && !after_drain => Some(FactKind::Scraps),
        Act::Remove if bin && has(Matter::Batch) => Some(FactKind::Discarded),
        Act::Remove if bin => Some(FactKind::BinGone),
        Act::Give if gives_liquid(builder, clause, gist) => Some(FactKind::Drained),
        Act::Give if bin && out && !after_drain => Some(FactKind::BinGone),
        Act::Run if bran && (amount || clause.verb.is_some_and(|verb| verb.forms.has(Forms::PAST))) => {
            Some(FactKind::StarterStock)
        }
        _ => None,
    }
}

/// `emptied blue into the trench in the herb bed`
fn moved_to_soil(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let Some(verb) = clause.verb else { return false };
    let object = gist.bins.iter().any(|(_, at)| {
        *at <= verb.at + 4
            && !(verb.at + 1..*at).any(|i| builder.scene.text.has_any(i, &[Mark::In, Mark::From]))
    });
    let soil = names(builder.scene, clause, Matter::Soil)
        || names(builder.scene, clause, Matter::Plot)
        || !gist.plots.is_empty();
    object && soil && gist.lots.iter().all(|lot| lot.amount.is_none())
}

/// `180 ml came out`
fn flows(verb: &str) -> bool {
    matches!(verb, "came" | "comes")
        || verb.split_once(' ').is_some_and(|(verb, to)| {
            matches!(verb, "come" | "comes" | "came" | "coming") && matches!(to, "out" | "off" | "out of")
        })
        || verb.starts_with("yield")
}

/// `blue gave me a cup and a half`
fn gives_liquid(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let Some(verb) = clause.verb else { return false };
    let giver = gist.bins.first().is_some_and(|(_, at)| *at < verb.at);
    let dry = |lot: &Lot| {
        lot.matter.is_some_and(|matter| matter != Matter::Liquid)
            || lot.foods.iter().any(|food| !matches!(food, Food::Liquid | Food::Tea))
    };
    giver
        && matches!(builder.scene.text.word(verb.at + 1), "me" | "us" | "up" | "out")
        && gist.lots.iter().any(|lot| lot.amount.is_some())
        && !gist.lots.iter().any(dry)
}

/// `thorn is in the herb bed now`, `blue's in the ground`: where it was buried.
fn lies_in_soil(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let Some(bin) = gist.bins.first().map(|(_, at)| *at).filter(|_| clause.verb.is_none()) else {
        return false;
    };
    let soil = |at: usize| {
        text.name(at, crate::name::NameKind::Plot).is_some_and(|name| name.whole)
            || matches!(text.word(at), "ground" | "soil" | "earth" | "the ground" | "trench" | "hole")
    };
    let is_in = |at: usize| {
        text.has(at, Mark::In)
            && !matches!(text.word(at), "by" | "near" | "beside" | "next to" | "for" | "at")
            && (at + 1..clause.to.min(at + 3)).any(soil)
    };
    let is = (bin + 1..clause.to.min(bin + 4)).any(|at| text.has(at, Mark::Be));
    is && gist.lots.iter().all(|lot| lot.amount.is_none()) && (bin + 1..clause.to).any(is_in)
}

/// Verbs that throw: with `out` or `away` the batch is lost.
fn throws(word: &str) -> bool {
    ["thr", "chuck", "toss", "dump", "tip", "sl", "lob", "fl", "bung", "shovel"]
        .iter()
        .any(|stem| word.starts_with(stem))
}

/// `went in the rubbish`
fn rubbish(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    (clause.from..clause.to)
        .any(|at| text.has(at, Mark::Rubbish) && text.has_any(at - 1, &[Mark::In, Mark::The]))
}

/// `threw it out`, `binned the lot`, with nothing else named.
fn thrown_whole(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    names(builder.scene, clause, Matter::Batch)
        || (clause.from..clause.to).any(|at| text.has_any(at, &[Mark::It, Mark::All]))
}

/// `got 300 ml out of tui`, `took half a litre of liquid off green`
fn has_liquid_source(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let bin_follows = |at: usize| {
        (at + 1..clause.to.min(at + 4)).any(|i| {
            text.name(i, crate::name::NameKind::Bin).is_some()
                || text.is_matter(i, Matter::Bin)
                || text.is_matter(i, Matter::Tap)
        })
    };
    let out = clause.verb.is_some_and(|verb| text.word(verb.at).ends_with(" of"));
    let from = out || (clause.from..clause.to).any(|at| text.has(at, Mark::From) && bin_follows(at));
    let liquid = gist.lots.iter().any(|lot| lot.matter == Some(Matter::Liquid));
    let dry = |food: &Food| !matches!(food, Food::Liquid | Food::Tea);
    let other = gist
        .lots
        .iter()
        .any(|lot| lot.foods.iter().any(dry) || matches!(lot.matter, Some(Matter::Bran | Matter::Scraps)));
    !other
        && (liquid
            || (from
                && (!gist.bins.is_empty()
                    || gist.lots.iter().any(|lot| !lot.bins.is_empty())
                    || names(builder.scene, clause, Matter::Tap)
                    || gist.bin_noun)))
}

fn is_liquid(lot: &Lot) -> bool {
    lot.matter == Some(Matter::Liquid) || lot.foods.contains(&Food::Liquid)
}

fn left(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    (clause.from..clause.to)
        .any(|at| builder.scene.text.has(at, Mark::Left) && builder.scene.text.tokens[at].name.is_none())
}

/// `started a lot of bran, 1.5 kg`: how much is told in a clause of its own.
fn measured_after(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let scene = builder.scene;
    scene.clauses.iter().zip(&scene.gists).any(|(other, gist)| {
        other.from > clause.from
            && other.sentence == clause.sentence
            && other.verb.is_none()
            && gist
                .lots
                .iter()
                .any(|lot| lot.amount.is_some() && lot.matter.is_none() && lot.foods.is_empty())
    })
}

fn after_have(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    clause.verb.is_some_and(|verb| (clause.from..verb.at).any(|at| text.has(at, Mark::Have)))
}

/// What was done with the liquid just drained.
fn uses_liquid(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let drained = builder.current.is_some_and(|at| builder.events[at].kind == FactKind::Drained);
    drained
        && gist.use_.is_some()
        && clause.verb.is_some_and(|v| {
            matches!(
                v.act,
                Act::Add
                    | Act::Pour
                    | Act::Give
                    | Act::Go
                    | Act::Use
                    | Act::Water
                    | Act::Dilute
                    | Act::Sprinkle
                    | Act::Discard
                    | Act::Fill
                    | Act::Get
                    | Act::Take
            )
        })
}

/// A clause without a verb of the trade, by what it measures.
fn by_amount(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    let current = builder.current.map(|at| builder.events[at].kind);
    let mut lots = builder.pending.lots.clone();
    gist.lots.iter().for_each(|lot| super::join_lot(&mut lots, lot.clone()));
    let Some(lot) = lots.iter().find(|lot| lot.amount.is_some()).filter(|_| !gist.lots.is_empty()) else {
        return vague_scraps(builder, index) || stock_without_amount(builder, index);
    };
    let bran = lot.matter == Some(Matter::Bran);
    let same_kind = match current {
        Some(FactKind::Scraps) => !bran,
        Some(FactKind::Bran) if is_bare(lot) && goes_in(builder, clause) => false,
        Some(FactKind::Bran) => lot.foods.is_empty() && lot.matter.is_none_or(|m| m == Matter::Bran),
        Some(FactKind::Drained | FactKind::StarterMade | FactKind::StarterBought) => {
            lot.foods.is_empty() && (!bran || current != Some(FactKind::Drained))
        }
        Some(FactKind::StarterStock) => lot.foods.is_empty() && lot.matter.is_none(),
        _ => false,
    };
    let another = !gist.whens.is_empty()
        && builder.current.is_some_and(|at| {
            !builder.events[at].whens.is_empty()
                && builder.events[at].lots.iter().any(|lot| lot.amount.is_some())
        });
    let another = another || !builder.pending.bins.is_empty();
    // `bought 2 kg of bran, 2.5 kg of bran left now`: what there is, whatever was done before.
    let rest = bran
        && current != Some(FactKind::StarterStock)
        && left(builder, clause)
        && clause.verb.is_none_or(|verb| verb.act == Act::Get);
    let same_kind = same_kind && !rest;
    if let Some(kind) = current.filter(|_| same_kind && another && clause.verb.is_none()) {
        // `drained blue yesterday 200 ml, today 100 ml`
        let bins = builder.current.map(|at| builder.events[at].bins.clone()).unwrap_or_default();
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
            matches!(
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
    let of_bran = lot.foods.is_empty() && lot.matter.is_none_or(|matter| matter == Matter::Bran);
    let stock = of_bran && (bran && is_stock(builder, clause, gist) || says_bran(builder, clause));
    let kind = if stock {
        FactKind::StarterStock
    } else if lots.iter().any(is_bare)
        && lots.iter().any(|lot| lot.matter == Some(Matter::Bran))
        && clause.verb.is_none()
    {
        // `2 l, 2 tbsp bran`: what has bran on top is scraps
        FactKind::Scraps
    } else if bran {
        FactKind::Bran
    } else if lot.matter == Some(Matter::Liquid)
        || has_liquid_source(builder, clause, gist) && !goes_in(builder, clause)
    {
        FactKind::Drained
    } else if lot.matter == Some(Matter::Scraps) || !lot.foods.is_empty() {
        FactKind::Scraps
    } else if clause
        .verb
        .is_some_and(|verb| !matches!(verb.act, Act::Finish | Act::Get | Act::Use | Act::Give | Act::Take))
    {
        return false;
    } else {
        match scene.message.reply_to {
            Some(NudgeKind::Drain) => FactKind::Drained,
            Some(NudgeKind::Bran) => FactKind::Bran,
            None if is_bare(lot) && goes_in(builder, clause) => FactKind::Scraps,
            _ if gist.use_.is_some() => FactKind::Drained,
            _ => return false,
        }
    };
    let at = builder.begin(kind, index);
    if kind == FactKind::Scraps {
        separate_bran(builder, at, clause);
    }
    true
}

/// An amount of nothing in particular, too much for a spoon.
fn is_bare(lot: &Lot) -> bool {
    lot.matter.is_none() && lot.foods.is_empty() && lot.amount.is_some_and(|amount| !amount.small)
}

/// `into the cellar bin`
fn goes_in(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    (clause.from..clause.to).any(|at| {
        let into = (clause.from.max(at.saturating_sub(2))..at)
            .any(|i| matches!(text.word(i), "in" | "into" | "in the" | "into the"));
        into && text.name(at, crate::name::NameKind::Bin).is_some()
    })
}

fn scene_has(builder: &Builder<'_, '_>, clause: &Clause, marks: &[Mark]) -> bool {
    (clause.from..clause.to).any(|at| builder.scene.text.has_any(at, marks))
}

/// `in the cupboard`, `in a tin`: where bran is kept.
fn is_kept(text: &crate::text::Text<'_>, at: usize) -> bool {
    let place =
        text.senses(at).iter().any(|s| matches!(s, Sense::Kitchen(..) | Sense::Mark(Mark::KitchenPlace)))
            || matches!(
                text.word(at),
                "tin" | "box" | "cupboard" | "drawer" | "sack" | "container" | "freezer" | "fridge"
            );
    let article = text.has_any(at.wrapping_sub(1), &[Mark::The, Mark::A, Mark::I]);
    place && (text.is_word(at.wrapping_sub(2), "in") || text.is_word(at.wrapping_sub(2), "on")) && article
}

/// Whether an earlier clause of the sentence says what bran there is: `bran's nearly gone, 50 g`, `weighed the bran, 640 g`.
fn says_bran(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let scene = builder.scene;
    scene.clauses.iter().any(|other| {
        other.sentence == clause.sentence
            && other.from < clause.from
            && names(scene, other, Matter::Bran)
            && (left(builder, clause)
                || left(builder, other)
                || runs_low(builder, other)
                || weighs(builder, other))
    })
}

/// `bran's low`, `nearly gone`
fn runs_low(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    scene_has(builder, clause, &[Mark::DownTo])
        || (clause.from..clause.to).any(|at| {
            matches!(text.word(at), "low" | "short" | "nearly" | "almost" | "dwindling")
                || text.word(at).contains(" low")
        })
}

/// `weighed the bran`, `the bran bucket weighs`
fn weighs(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    (clause.from..clause.to).any(|at| text.is_act(at, Act::Tape) && text.word(at).starts_with("weigh"))
}

/// Whether an amount of bran is what there is, and not what was used.
fn is_stock(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let (scene, text) = (builder.scene, &builder.scene.text);
    let heading = scene.clauses.iter().any(|other| {
        other.sentence == clause.sentence
            && other.from < clause.from
            && text.is_word(other.to, ":")
            && (other.from..other.to).any(|at| {
                text.has(at, Mark::Left) && text.tokens[at].name.is_none()
                    || matches!(text.word(at), "stock" | "stocks" | "supply" | "level" | "in stock")
            })
    });
    let stocked = (clause.from..clause.to)
        .any(|at| matches!(text.word(at), "stock" | "stocks" | "in stock" | "supply" | "leaves" | "leaving"))
        || weighs(builder, clause) && binless(gist);
    let bran = (clause.from..clause.to).find(|at| text.is_matter(*at, Matter::Bran));
    // `bran is 300 g`
    let is_so = binless(gist)
        && bran.is_some_and(|at| {
            scene.pieces.iter().any(|piece| {
                piece.from > at && piece.to <= clause.to && matches!(piece.kind, PieceKind::Amount(_))
            }) && (at + 1..=at + 2).any(|i| text.has(i, Mark::Be) || text.is_word(i, "at"))
        });
    let kept = binless(gist) && clause.verb.is_none() && (clause.from..clause.to).any(|at| is_kept(text, at));
    heading
        || stocked
        || is_so
        || kept
        || left(builder, clause)
        || scene_has(builder, clause, &[Mark::Have, Mark::DownTo, Mark::OutOf])
        || names_there(builder, clause)
}

fn binless(gist: &Gist) -> bool {
    gist.bins.is_empty() && gist.lots.iter().all(|lot| lot.bins.is_empty())
}

/// `there's 400 g of bran`, `bran: 400 g left`
fn names_there(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    (clause.from..clause.to).any(|at| text.word(at) == "there") && scene_has(builder, clause, &[Mark::Be])
}

/// `black in blue`, after `white mould in green`
fn colour_alone(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> Option<Slots> {
    let text = &builder.scene.text;
    let moulds = builder.current.is_some_and(|at| builder.events[at].slots.mould.is_some());
    if !moulds || gist.bins.is_empty() || clause.verb.is_some() {
        return None;
    }
    let colour = (clause.from..clause.to)
        .filter(|at| text.tokens[*at].name.is_none())
        .find_map(|at| text.sense(at, |s| if let Sense::Colour(colour) = s { Some(colour) } else { None }))?;
    Some(Slots { mould: Some(colour), ..Slots::default() })
}

/// `it's mouldy, green`: of what colour the mould is that was just told.
fn colours_mould(builder: &mut Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let told = (clause.from..clause.to)
        .filter(|at| text.tokens[*at].name.is_none())
        .find_map(|at| text.sense(at, |s| if let Sense::Colour(colour) = s { Some(colour) } else { None }));
    let (Some(colour), Some(current)) = (told, builder.current) else { return false };
    let mould = &mut builder.events[current].slots.mould;
    let is_open = *mould == Some(Mould::Other) && gist.bins.is_empty() && clause.verb.is_none();
    if is_open {
        *mould = Some(colour);
    }
    is_open
}

/// `new batch in green`
fn new_batch(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let new =
        (clause.from..clause.to).any(|at| text.has(at, Mark::New) && (text.is_matter(at + 1, Matter::Batch)));
    clause.verb.is_none()
        && new
        && !gist.bins.is_empty()
        && gist.lots.iter().all(|lot| lot.matter != Some(Matter::Bran))
}

/// `a bit of cabbage into oak`: meant as a report, but how much?
fn vague_scraps(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let (clause, gist) = (&builder.scene.clauses[index], &builder.scene.gists[index]);
    let stuff = gist.lots.iter().any(|lot| !lot.foods.is_empty() || lot.matter == Some(Matter::Scraps));
    let bin = !gist.bins.is_empty() || gist.lots.iter().any(|lot| !lot.bins.is_empty());
    let bran = gist.lots.iter().any(|lot| lot.matter == Some(Matter::Bran))
        && bin
        && (clause.from..clause.to).any(|at| builder.scene.text.has(at, Mark::In));
    if bran && clause.verb.is_none() && builder.current.is_none() && builder.scene.message.direct {
        builder.begin(FactKind::Bran, index);
        return true;
    }
    if clause.verb.is_some() || !(gist.vague && stuff && bin) {
        return false;
    }
    builder.begin(FactKind::Scraps, index);
    true
}

/// `out of bran`, `no bran left`
fn stock_without_amount(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, text) = (&scene.clauses[index], &scene.text);
    if !names(scene, clause, Matter::Bran) {
        return false;
    }
    let nearly = (clause.from..clause.to).any(|at| {
        matches!(text.word(at), "almost" | "nearly" | "running low" | "low on") || text.has(at, Mark::Not)
    });
    let none = !nearly
        && (clause.from..clause.to).any(|at| {
            let has = left(builder, clause)
                || scene_has(builder, clause, &[Mark::Have])
                || names_there(builder, clause);
            text.has(at, Mark::OutOf)
                || (text.has(at, Mark::No) && has)
                || matches!(text.word(at), "gone" | "finished" | "empty")
        });
    if !none {
        return false;
    }
    let at = builder.begin(FactKind::StarterStock, index);
    builder.events[at].slots.g = Some(0.0);
    builder.events[at].count = None;
    true
}
