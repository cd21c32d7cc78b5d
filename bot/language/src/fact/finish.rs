//! From events to facts: amounts in canonical units, times placed, and what cannot be recorded left out whole.

use crate::clause::{BinRef, Lot};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense, TimeWord};
use crate::reading::{Fact, FactKind, Slots, UnclearAbout};
use crate::scene::Scene;
use crate::time::{Bound, Date, Direction, Flag, Placed, Toward, When};

use super::portion::Target;
use super::retold::join_retold;
use super::{Event, Told, portion};

/// `it's full, lid's taped down`, `green is full and the lid is taped down` tell but that it was sealed.
fn taped_when_full(scene: &Scene<'_>, events: &mut Vec<Event>) {
    let is_taped = |event: &Event| {
        let verb = scene.clauses[event.clauses.0].verb;
        event.kind == FactKind::Sealed && verb.is_some_and(|verb| verb.act == Act::Tape)
    };
    let Some(at) = events.iter().position(is_taped).filter(|at| *at > 0) else { return };
    let [full, taped] = &mut events[at - 1..=at] else { return };
    let of_it = taped.bins.is_empty() || full.bins.is_empty() || full.bins == taped.bins;
    let is_full = full.kind == FactKind::Level && full.slots.fraction == Some(1.0);
    if is_full && of_it && full.sentence == taped.sentence {
        if taped.bins.is_empty() {
            taped.bins.append(&mut full.bins);
        }
        taped.whens.splice(0..0, std::mem::take(&mut full.whens));
        events.remove(at - 1);
    }
}

/// Turns events into facts.
pub(super) fn finish(scene: &Scene<'_>, mut events: Vec<Event>) -> Told {
    let mut told = Told::default();
    taped_when_full(scene, &mut events);
    let others = events.clone();
    // `checked all three: green has white mould`: a look, and then what was seen
    let seen = |event: &Event| event.kind == FactKind::Checked && event.slots != Slots::default();
    if others.iter().any(seen) {
        let looked = |event: &Event| {
            let told = |bin: &BinRef| others.iter().any(|other| seen(other) && other.bins.contains(bin));
            event.kind == FactKind::Checked && event.slots == Slots::default() && event.bins.iter().all(told)
        };
        // `looked at kea and weka this morning, kea has orange mould`: seen then
        let dated: Vec<Event> = events.iter().filter(|event| looked(event)).cloned().collect();
        for look in dated.iter().filter(|look| !look.whens.is_empty()) {
            let of_it = |event: &&mut Event| {
                seen(event) && event.whens.is_empty() && event.bins.iter().all(|bin| look.bins.contains(bin))
            };
            events.iter_mut().filter(of_it).for_each(|event| event.whens.clone_from(&look.whens));
        }
        events.retain(|event| !looked(event));
    }
    for event in &mut events {
        take_for_liquid(scene, event);
    }
    if !scene.message.direct {
        events = crate::chatter::plain_reports(scene, events);
    }
    for event in events {
        if !scene.message.direct && is_idle_talk(scene, &event) {
            continue;
        }
        if is_told_better(scene, &event, &others) {
            continue;
        }
        let worth_asking = scene.message.direct || crate::chatter::is_worth_asking(scene, &event);
        if let Err(why) = emit(scene, &event, &mut told.facts)
            && worth_asking
        {
            told.unclear.get_or_insert(why);
        }
    }
    // `a litre, then another litre`: told as often as it was put in.
    let put_in = |fact: &Fact| matches!(fact.kind, FactKind::Scraps | FactKind::Bran);
    told.facts.dedup_by(|one, other| one == other && !put_in(one));
    told.facts = join_retold(told.facts);
    // `courgettes went in the leek trench, planted 6 of them`
    let planted = |fact: &Fact| fact.kind == FactKind::Planted;
    told.facts.dedup_by(|one, before| {
        planted(one) && planted(before) && one.slots.crop == before.slots.crop && one.slots.plot.is_none()
    });
    told
}

/// `emptied the tray, 120 ml, down the drain`: let out, and not put in.
fn take_for_liquid(scene: &Scene<'_>, event: &mut Event) {
    let adds = scene.clauses[event.clauses.0].verb.is_some_and(|verb| verb.act == Act::Add);
    let (from, to) = (scene.clauses[event.clauses.0].from, scene.clauses[event.clauses.1].to);
    let juice = !adds && (from..to).any(|at| scene.text.is(at, Cue::Juice));
    let wet = |food: &crate::reading::Food| *food == crate::reading::Food::Liquid;
    let bare = |lot: &Lot| lot.foods.iter().all(wet) && lot.matter.is_none();
    if event.kind == FactKind::Scraps
        && (event.use_ == Some(crate::reading::Use::Pipes)
            || juice && (!event.bins.is_empty() || event.lots.iter().any(|lot| !lot.bins.is_empty())))
        && event.lots.iter().any(|lot| lot.amount.is_some())
        && event.lots.iter().all(bare)
    {
        event.kind = FactKind::Drained;
    }
}

/// `I tipped it, 200 ml came out`: how it was drained, and nothing put in.
fn is_told_better(scene: &Scene<'_>, event: &Event, others: &[Event]) -> bool {
    let it = scene.clauses[event.clauses.0].verb.is_some_and(|verb| scene.text.is(verb.at + 1, Cue::It));
    let empty = event.lots.is_empty() && !event.vague && event.count.is_none();
    event.kind == FactKind::Scraps
        && it
        && empty
        && others.iter().any(|other| other.kind == FactKind::Drained && other.sentence == event.sentence)
}

/// In a room of people, something ahead is a plan, and something without any amount is talk.
fn is_idle_talk(scene: &Scene<'_>, event: &Event) -> bool {
    let ahead =
        moment(scene, event).is_some_and(|when| scene.zoned.place(&when, Direction::Past) == Placed::Ahead);
    let amount = event.vague
        || event.count.is_some()
        || event.lots.iter().any(|lot| lot.amount.is_some())
        || event.slots.g.is_some();
    // `drained green next Friday, 200 ml`: a slip, and no plan
    let slip = event.kind == FactKind::Drained && event.verbal && amount && !event.bins.is_empty();
    ahead && !slip || matches!(event.kind, FactKind::Scraps | FactKind::Bran) && !amount
}

/// The time that an event's words tell together.
fn moment(scene: &Scene<'_>, event: &Event) -> Option<When> {
    // `has been shut since sunday`
    let lasting = matches!(event.kind, FactKind::Sealed | FactKind::Started | FactKind::Buried);
    if let Some(when) = event.whens.iter().find(|when| lasting && when.bound == Some(Bound::Since)) {
        return Some(When { bound: None, ..*when });
    }
    // `it's been sealed for two weeks`; not `closed it for two weeks`, which is how long it will be
    let (from, to) = (scene.clauses[event.clauses.0].from, scene.clauses[event.clauses.1].to);
    let so_far = (from..to).any(|at| scene.text.is(at, Cue::Been) || scene.text.is_time(at, TimeWord::Now));
    let length = |when: &When| when.span.filter(|(_, toward)| lasting && so_far && *toward == Toward::During);
    if let Some((span, _)) = event.whens.iter().find_map(length) {
        return Some(When { span: Some((span, Toward::Back)), ..When::default() });
    }
    let ahead = |when: &When| matches!(when.span, Some((_, Toward::Ahead)));
    let placed = event.whens.iter().any(|when| when.is_moment() && when.flag.is_none());
    // `sometime yesterday` is placed by the day.
    let vague = |when: &When| matches!(when.flag, Some(Flag::Now | Flag::Vague));
    let now = |when: &When| placed && vague(when);
    let past = event.whens.iter().any(|when| when.is_moment() && !ahead(when));
    // `ran out of time yesterday, drained green this morning`: another day's is not its time
    let today =
        event.whens.iter().any(|when| when.date.is_none() && when.part.is_some_and(|part| part.today));
    let other_day = |when: &When| today && matches!(when.date, Some(Date::Days(days)) if days < 0);
    let meant = |when: &&When| {
        let aside = now(when) || other_day(when) || past && ahead(when);
        when.is_moment() && !aside
    };
    event.whens.iter().filter(meant).copied().reduce(|known, when| known.and(when).unwrap_or(known))
}

type Why = (UnclearAbout, Option<String>);

/// Writes the facts of one event, or says why it cannot be recorded.
fn emit(scene: &Scene<'_>, event: &Event, out: &mut Vec<Fact>) -> Result<(), Why> {
    let mut slots = event.slots.clone();
    time_into(scene, event, &mut slots)?;
    slots.use_ = event.use_.filter(|_| event.kind == FactKind::Drained);
    if let Some(plot) = event.plots.first()
        && matches!(
            event.kind,
            FactKind::Buried | FactKind::Planted | FactKind::PlotSet | FactKind::Temperature
        )
    {
        slots.plot = scene.message.plots.get(*plot).cloned();
    }
    if event.kind != FactKind::Buried {
        slots.depth_cm = None;
    }
    if !event.counts() {
        let has_bin = !matches!(
            event.kind,
            FactKind::Planted | FactKind::PlotSet | FactKind::MeasureSet | FactKind::Setting
        );
        if !has_bin || event.bins.is_empty() || (event.kind == FactKind::Temperature && slots.plot.is_some())
        {
            out.push(Fact { kind: event.kind, slots });
            return Ok(());
        }
        for bin in &event.bins {
            let bin = known(scene, bin)?;
            out.push(Fact { kind: event.kind, slots: Slots { bin: Some(bin), ..slots.clone() } });
        }
        return Ok(());
    }
    amounts(scene, event, &slots, out)
}

fn known(scene: &Scene<'_>, bin: &BinRef) -> Result<String, Why> {
    match bin {
        BinRef::Known(index) => Ok(scene.bin_name(*index)),
        BinRef::Unknown(name) => Err((UnclearAbout::Bin, Some(name.clone()))),
        BinRef::Undecided => Err((UnclearAbout::Bin, None)),
    }
}

fn time_into(scene: &Scene<'_>, event: &Event, slots: &mut Slots) -> Result<(), Why> {
    let Some(when) = moment(scene, event) else { return Ok(()) };
    if matches!(
        event.kind,
        FactKind::BinSet
            | FactKind::PlotSet
            | FactKind::MeasureSet
            | FactKind::BinGone
            | FactKind::StarterBought
            | FactKind::StarterStock
    ) {
        return Ok(());
    }
    match scene.zoned.place(&when, Direction::Past) {
        Placed::Now => Ok(()),
        Placed::At(moment) => {
            slots.at = Some(moment.at);
            slots.precision = Some(moment.precision);
            Ok(())
        }
        Placed::Minutes(_) | Placed::Ahead | Placed::Unclear => Err((UnclearAbout::Time, None)),
    }
}

/// Facts whose point is an amount: one for each lot and bin.
fn amounts(scene: &Scene<'_>, event: &Event, slots: &Slots, out: &mut Vec<Fact>) -> Result<(), Why> {
    // `ran out of bran, only did one spoon`
    let ran_out = event.kind == FactKind::StarterStock && slots.g == Some(0.0);
    let measured: Vec<&Lot> =
        event.lots.iter().filter(|_| !ran_out).filter(|lot| lot.amount.is_some()).collect();
    for bin in &event.bins {
        known(scene, bin)?;
    }
    let mut strange = None;
    if measured.is_empty() {
        return without_amount(scene, event, slots, out);
    }
    // `drained blue and green, 300 ml in total`: how much of each is not told.
    let (from, to) = (scene.clauses[event.clauses.0].from, scene.clauses[event.clauses.1].to);
    let total = (from..to).any(|at| scene.text.is(at, Cue::InTotal));
    if total && event.bins.len() > 1 {
        return Err((UnclearAbout::Amount, None));
    }
    if let ([lot], Some(split)) = (&measured[..], portion::split(scene, event)) {
        return split_between(scene, event, lot, &split, slots, out);
    }
    for lot in measured {
        // `100 ml from the purple bin and 150 from green`: what is clear is kept
        if let Some(why) = lot.bins.iter().find_map(|bin| known(scene, bin).err()) {
            strange.get_or_insert(why);
            continue;
        }
        let bins: Vec<Option<&BinRef>> = if lot.bins.is_empty() {
            event.bins.iter().map(Some).collect()
        } else {
            lot.bins.iter().map(Some).collect()
        };
        let bins = if bins.is_empty() || event.kind == FactKind::StarterMade { vec![None] } else { bins };
        if lot.bins.len() > 1 && !lot.each {
            return Err((UnclearAbout::Amount, None));
        }
        // One amount for two bins tells nothing of either, unless it is for each.
        if bins.len() > 1
            && !lot.each
            && lot.bins.is_empty()
            && event.lots.iter().filter(|l| l.amount.is_some()).count() > 1
        {
            continue;
        }
        for bin in bins {
            let mut slots = slots.clone();
            let liquid = event.kind == FactKind::Drained || lot.matter == Some(Matter::Liquid);
            for amount in lot.amount.iter().chain(&lot.also) {
                let (ml, g) = scene.size(*amount, liquid, bin);
                if ml.is_none() && g.is_none() {
                    return Err((UnclearAbout::Amount, None));
                }
                slots.ml = slots.ml.or(ml);
                slots.g = slots.g.or(g);
            }
            slots.bin = bin.map(|bin| known(scene, bin)).transpose()?.or(slots.bin);
            if matches!(event.kind, FactKind::StarterMade | FactKind::StarterBought | FactKind::StarterStock)
            {
                slots.bin = None;
            }
            // `rimu 2 l of peel 2 tbsp bran, totara 1 l of peel 1 tbsp bran`
            let bran = event.kind == FactKind::Scraps && lot.matter == Some(Matter::Bran);
            let kind = if bran { FactKind::Bran } else { event.kind };
            if kind == FactKind::Scraps {
                slots.foods.clone_from(&lot.foods);
                slots.foods.sort_unstable();
                slots.foods.dedup();
            }
            if let Some(parts) = portion::parts(scene, event, bin).filter(|_| !event.portions.is_empty()) {
                out.extend(parts.into_iter().map(|(amount, target)| {
                    let (ml, g) = scene.size(amount, liquid, bin);
                    let mut slots = Slots { ml, g, ..slots.clone() };
                    match target {
                        Target::Use(use_) => slots.use_ = Some(use_),
                        Target::Bin(bin) => slots.bin = known(scene, &bin).ok(),
                    }
                    Fact { kind: event.kind, slots }
                }));
                continue;
            }
            out.push(Fact { kind, slots });
        }
    }
    // `3 litres to green and some to blue`: the bin is named, and not how much it got.
    let untold = event.vague
        && !event.bins.is_empty()
        && event.lots.iter().all(|lot| lot.amount.is_some() && !lot.bins.is_empty());
    if let Some(why) = strange {
        return Err(why);
    }
    if untold { Err((UnclearAbout::Amount, None)) } else { Ok(()) }
}

/// `4 litres split evenly between green and blue`: so much for each; where nobody says how, it is not told.
fn split_between(
    scene: &Scene<'_>,
    event: &Event,
    lot: &Lot,
    split: &portion::Split,
    slots: &Slots,
    out: &mut Vec<Fact>,
) -> Result<(), Why> {
    let Some(whole) = lot.amount.filter(|_| split.evenly) else { return Err((UnclearAbout::Amount, None)) };
    let amount = whole.times(1.0 / split.bins.len() as f64);
    for bin in &split.bins {
        let (ml, g) = scene.size(amount, event.kind == FactKind::Drained, Some(bin));
        let mut foods = if event.kind == FactKind::Scraps { lot.foods.clone() } else { Vec::new() };
        foods.sort_unstable();
        foods.dedup();
        out.push(Fact {
            kind: event.kind,
            slots: Slots { ml, g, foods, bin: Some(known(scene, bin)?), ..slots.clone() },
        });
    }
    Ok(())
}

/// What an event without an amount is.
fn without_amount(scene: &Scene<'_>, event: &Event, slots: &Slots, out: &mut Vec<Fact>) -> Result<(), Why> {
    // `half of the salad`: a share of nobody knows how much
    let share = event.count.is_some_and(|count| count > 0.0 && count < 1.0)
        && (scene.clauses[event.clauses.0].from..scene.clauses[event.clauses.1].to).any(|at| {
            scene.text.senses(at).iter().any(|s| matches!(s, Sense::Share(_)))
                && scene.text.has_any(at + 1, &[Mark::Of, Mark::The])
        });
    if event.count.is_some() && !share {
        let words = event.count_piece(scene).map(|piece| scene.text.between(piece.from, piece.to).to_owned());
        return Err((UnclearAbout::Unit, words));
    }
    match event.kind {
        FactKind::StarterStock if slots.g.is_some() => {
            out.push(Fact { kind: event.kind, slots: slots.clone() });
            Ok(())
        }
        FactKind::Drained if !event.vague => {
            let bins: Vec<Option<&BinRef>> =
                if event.bins.is_empty() { vec![None] } else { event.bins.iter().map(Some).collect() };
            for bin in bins {
                let bin = bin.map(|bin| known(scene, bin)).transpose()?;
                out.push(Fact { kind: event.kind, slots: Slots { bin, ..slots.clone() } });
            }
            Ok(())
        }
        FactKind::StarterMade if !event.vague => {
            out.push(Fact { kind: event.kind, slots: slots.clone() });
            Ok(())
        }
        _ => Err((UnclearAbout::Amount, None)),
    }
}
