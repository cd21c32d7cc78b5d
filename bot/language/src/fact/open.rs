//! Which event a clause opens, if any: by its verb first, else by what it measures.

use crate::amount::AmountSize;
use crate::clause::{Clause, Gist, Lot};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeUnit};
use crate::message::NudgeKind;
use crate::name::NameKind;
use crate::reading::{FactKind, Mould, Slots};
use crate::text::Text;
use crate::time::{Toward, When};

use super::by_amount::{by_amount, is_spoons};
use super::by_verb::by_verb;
use super::liquid::nothing_came;
use super::{Builder, Event, crop, found, place, symptoms};

/// Opens the clause's events; false where it has none of its own.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    if place::open(builder, index) {
        return true;
    }
    let kind = clause.verb.and_then(|verb| by_verb(builder, clause, gist, verb.act));
    if kind == Some(FactKind::Scraps) && goes_on_into(builder, index) {
        return false;
    }
    if let Some(kind) = kind {
        found::states(builder, index, Some(kind));
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
        return true;
    }
    if clause.verb.is_none() && gist.lots.is_empty() && nothing_came(builder, clause) {
        open_kind(builder, index, FactKind::Drained);
        return true;
    }
    if lid_stays_on(builder, clause, gist) {
        open_kind(builder, index, FactKind::Sealed);
        return true;
    }
    if is_thrown_away(builder, index) {
        open_kind(builder, index, FactKind::Discarded);
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
        && (clause.from.saturating_sub(1)..=clause.from).any(|at| scene.text.is(at, Cue::OfStuff));
    if of_stuff {
        return false;
    }
    if describes_lot(&scene.text, clause, gist) {
        return by_amount(builder, index);
    }
    if let Some(slots) = symptoms(scene, clause) {
        if is_said_not_of_bin(builder, clause, gist) {
            return false;
        }
        builder.check(index, slots);
        found::states(builder, index, Some(FactKind::Checked));
        return true;
    }
    if looks_well(builder, clause, gist) {
        builder.check(index, Slots::default());
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

/// `2 litres of bread that had gone mouldy`: what was put in, and how it was.
fn describes_lot(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let food = gist.lots.iter().find(|lot| lot.amount.is_some() && !lot.foods.is_empty());
    food.is_some_and(|lot| (lot.at + 1..clause.to).any(|at| text.is(at, Cue::OfStuff)))
}

/// `2 kg of quinces, all bruised, thrown into blue`, `... and the lot went in blue`: where the scraps told before went.
fn goes_on_into(builder: &Builder<'_, '_>, index: usize) -> bool {
    let (clause, gist) = (&builder.scene.clauses[index], &builder.scene.gists[index]);
    let text = &builder.scene.text;
    let Some(event) = builder.current.map(|at| &builder.events[at]) else { return false };
    let waits = event.kind == FactKind::Scraps
        && event.sentence == clause.sentence
        && event.bins.is_empty()
        && event.lots.iter().any(|lot| lot.amount.is_some())
        && event.lots.iter().all(|lot| lot.bins.is_empty());
    let leads = |at: usize| {
        text.has_any(at, &[Mark::And, Mark::The, Mark::All, Mark::It]) || text.is(at, Cue::WholeLot)
    };
    let nothing_new = gist.lots.iter().all(|lot| lot.amount.is_none() && lot.foods.is_empty())
        && !gist.vague
        && gist.count.is_none();
    waits
        && nothing_new
        && gist.bins.len() == 1
        && clause.verb.is_some_and(|verb| {
            verb.forms.has(Forms::PAST.with(Forms::PARTICIPLE)) && (clause.from..verb.at).all(leads)
        })
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
        FactKind::Drained if nothing_came(builder, clause) => {
            let at = builder.begin(kind, index);
            builder.events[at].slots.ml = Some(0.0);
        }
        FactKind::Level => {
            let at = builder.begin(kind, index);
            builder.events[at].slots.fraction = Some(1.0);
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
    // `added 2 tbsp`, in answer to a nudge for bran
    let dose = |lot: &Lot| {
        lot.foods.is_empty()
            && lot.matter.is_none()
            && lot.amount.is_some_and(|amount| match amount.size {
                AmountSize::Millilitres(ml) => ml <= 500.0,
                AmountSize::Grams(g) | AmountSize::Ounces(g, _) => g <= 300.0,
                AmountSize::Buckets(_) => false,
            })
    };
    let answers = builder.scene.message.reply_to == Some(NudgeKind::Bran)
        && !event.lots.is_empty()
        && event.lots.iter().all(dose);
    if all
        || answers
        || is_strewn(&builder.scene.text, clause, &event.lots)
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
        let untold = other.lots.iter().all(|lot| lot.amount.is_none());
        builder.events.push(other);
        if untold {
            // `with extra bran (1/4 cup)`: what is measured next is the bran
            builder.current = Some(builder.events.len() - 1);
        }
    }
}

/// `put two tablespoons on green`: nothing but bran is strewn by the spoon.
pub(super) fn is_strewn(text: &Text<'_>, clause: &Clause, lots: &[Lot]) -> bool {
    let onto = |at: usize| {
        let bin = at + 1 + usize::from(text.has(at + 1, Mark::The));
        text.is(at, Cue::On) && text.name(bin, NameKind::Bin).is_some()
    };
    !lots.is_empty() && lots.iter().all(is_spoons) && (clause.from..clause.to).any(onto)
}

/// `put the lid on blue for two weeks`: sealed, by how long it is to stay so.
fn lid_stays_on(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let lid = (clause.from..clause.to).find(|at| text.is_matter(*at, Matter::Lid));
    let on = lid.is_some_and(|lid| (lid + 1..clause.to.min(lid + 3)).any(|at| text.is(at, Cue::On)));
    let long = |when: &When| {
        when.span.is_some_and(|(span, toward)| {
            toward == Toward::During
                && matches!(span.unit, TimeUnit::Week | TimeUnit::Fortnight | TimeUnit::Month)
        })
    };
    let good =
        (clause.from..clause.to).any(|at| text.is(at, Cue::Good) && text.is(at.wrapping_sub(1), Cue::For));
    on && (good || gist.whens.iter().any(|(when, _)| long(when)))
}

/// `chucked it`, `threw it out`, where it is no liquid just drained and no one lot of scraps: the whole batch.
fn is_thrown_away(builder: &Builder<'_, '_>, index: usize) -> bool {
    let (scene, text) = (builder.scene, &builder.scene.text);
    let clause = &scene.clauses[index];
    let lead = |at: usize| {
        text.has_any(at, &[Mark::I, Mark::Then, Mark::And, Mark::Have, Mark::HadTo]) || text.is(at, Cue::Just)
    };
    let Some(at) = (clause.from..clause.to).find(|at| !lead(*at)) else { return false };
    let thrown =
        text.senses(at).contains(&Sense::Use(crate::reading::Use::PouredAway)) && text.is(at, Cue::ThrownIt);
    // `on Tuesday`
    let dated = |i: usize| {
        scene.pieces.iter().any(|piece| {
            piece.from <= i && i < piece.to && matches!(piece.kind, crate::clause::PieceKind::When(_))
        })
    };
    let rest = (at + 1..clause.to).all(|i| dated(i) || text.has(i, Mark::All) || !text.tokens[i].is_word());
    let known = !builder.pending.bins.is_empty()
        || builder.current.is_some_and(|at| !builder.events[at].bins.is_empty());
    let other = builder.events.iter().any(|event| event.counts() || event.kind == FactKind::Discarded);
    thrown && rest && !other && clause.verb.is_none() && (known || scene.message.direct)
}

/// `thorn is in the herb bed now`, `blue's in the ground`: where it was buried.
fn lies_in_soil(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let Some(bin) = gist.bins.first().map(|(_, at)| *at).filter(|_| clause.verb.is_none()) else {
        return false;
    };
    let soil = |at: usize| {
        text.name(at, crate::name::NameKind::Plot).is_some_and(|name| name.whole) || text.is(at, Cue::Ground)
    };
    let is_in = |at: usize| {
        text.has(at, Mark::In) && !text.is(at, Cue::NearIt) && (at + 1..clause.to.min(at + 3)).any(soil)
    };
    let is = (bin + 1..clause.to.min(bin + 4)).any(|at| text.has(at, Mark::Be));
    is && gist.lots.iter().all(|lot| lot.amount.is_none()) && (bin + 1..clause.to).any(is_in)
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

/// `green looks ok`: looked at, and nothing wrong.
fn looks_well(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let [(_, bin)] = gist.bins[..] else { return false };
    let verb = bin + 1 + usize::from(text.is_matter(bin + 1, Matter::Bin));
    let looks = text.is(verb, Cue::Looks);
    // `cellar fine`
    let verb = if looks { verb } else { verb - 1 };
    let looks = looks || clause.from + 1 >= bin;
    let well = text.has(verb + 1, Mark::Possible) || text.is(verb + 1, Cue::Healthy);
    let ends = verb + 2 >= clause.to || text.time(verb + 2).is_some();
    builder.scene.message.direct && looks && well && ends && !clause.stance.negated
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

/// `the green fuzz was on the carpet, not the bin`
fn is_said_not_of_bin(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let not = clause.to + usize::from(text.is_stop(clause.to));
    let noun = (not + 1..not + 4).find(|at| !text.has_any(*at, &[Mark::The, Mark::In, Mark::On, Mark::From]));
    gist.bins.is_empty()
        && !gist.bin_noun
        && text.has(not, Mark::Not)
        && noun.is_some_and(|at| {
            text.is_matter(at, Matter::Bin) && (at + 1 >= text.tokens.len() || text.is_stop(at + 1))
        })
}
