//! What is told by pointing back: `sealed it`, `a pint of the same`, `another litre there`.

use crate::clause::{BinRef, Clause};
use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;

use super::wants_bin;
use crate::fact::Event;

/// `2 l of cores in red and a pint of the same in blue`: of what was put in before, as is what is not told again.
pub(super) fn of_the_same(scene: &Scene<'_>, events: &mut [Event]) {
    let mut foods = Vec::new();
    let mut placed = false;
    let mut sentence = None;
    for event in events.iter_mut().filter(|event| event.kind == FactKind::Scraps) {
        placed &= sentence == Some(event.sentence);
        sentence = Some(event.sentence);
        let own = event.bins.len() == 1;
        let verbless = scene.clauses[event.clauses.1].verb.is_none();
        for lot in &mut event.lots {
            let same = |at: &usize| scene.text.is(*at, Cue::Same) || scene.text.has(*at, Mark::It);
            let of_same = (lot.at..scene.text.tokens.len().min(lot.at + 6))
                .take_while(|at| *at == lot.at || scene.text.name(*at, NameKind::Bin).is_none())
                .any(|at| scene.text.has(at, Mark::Of) && (at + 1..at + 3).any(|at| same(&at)));
            // `a kilo of stale bread into green, 600 g into blue`
            let elided = verbless
                && lot.matter.is_none()
                && lot.amount.is_some()
                && placed
                && (!lot.bins.is_empty() || own);
            if (of_same || elided) && lot.foods.is_empty() {
                lot.foods.clone_from(&foods);
            }
            foods.clone_from(&lot.foods);
            placed = !lot.bins.is_empty() || own;
        }
    }
}

/// `stinky's full so I sealed it`: the bin that is pointed at.
pub(super) fn referred(scene: &Scene<'_>, events: &mut [Event]) {
    for i in 0..events.len() {
        if !wants_bin(&events[i]) {
            continue;
        }
        // `new bin: attic, 20 litres. 2 litres of scraps are in it already`
        let new =
            i.checked_sub(1).map(|before| &events[before]).filter(|before| before.kind == FactKind::BinSet);
        if let Some(name) = new.and_then(|new| new.slots.bin.clone()) {
            events[i].slots.bin = points_back(scene, events[i].clauses.0).then_some(name);
        } else if let Some(bin) = meant(scene, events, i) {
            events[i].bins.push(bin);
        }
    }
}

fn meant(scene: &Scene<'_>, events: &[Event], i: usize) -> Option<BinRef> {
    let (text, clause) = (&scene.text, &scene.clauses[events[i].clauses.0]);
    let asked = scene.clauses.iter().any(|other| other.asks && other.to <= clause.from);
    let before = i.checked_sub(1).map(|before| &events[before]);
    // `green still had room, so 1 litre there too`; `drained him too`, of a bin called like a person
    let there =
        |at: usize| text.is(at, Cue::There) && !text.has(at + 1, Mark::Be) && !text.is(at + 1, Cue::TailS);
    if let Some(at) = (clause.from..clause.to).find(|at| i > 0 && there(*at) || text.is(*at, Cue::Him)) {
        return last_named(scene, at).map(BinRef::Known);
    }
    // `lifted the lid on green. Black spots!`
    if matches!(events[i].kind, FactKind::Checked)
        && let Some(bin) = opened_before(scene, events[i].sentence)
    {
        return Some(BinRef::Known(bin));
    }
    let same_sentence = before.filter(|before| before.sentence == events[i].sentence);
    // `green filled to the brim, snapped the lid on, starting blue now`
    let of_full = events[i].kind == FactKind::Sealed
        && same_sentence.is_some_and(|before| before.slots.fraction.is_some_and(|fraction| fraction >= 0.9));
    // `rinsed green, started a new batch`
    let of_clean = events[i].kind == FactKind::Started
        && same_sentence.is_some_and(|before| before.kind == FactKind::Cleaned);
    let points = of_full || of_clean || points_back(scene, events[i].clauses.0);
    if !points || i == 0 && !(asked || scene.message.direct && text.has(clause.to - 1, Mark::It)) {
        return None;
    }
    let sentence = events[i].sentence;
    // `haven't sealed blue, it's only half full`: named, though nothing was done
    let undone = scene.clauses[..events[i].clauses.0]
        .iter()
        .filter(|other| other.sentence == sentence && other.stance.negated);
    let mut named =
        undone.flat_map(|other| other.from..other.to).filter_map(|at| text.name(at, NameKind::Bin));
    if let Some(name) = named.next() {
        return Some(BinRef::Known(name.index));
    }
    let kept = |event: &&Event| event.kind != FactKind::BinGone;
    let told =
        events[..i].iter().rev().filter(kept).find(|event| event.sentence == sentence && event.names_bin());
    let bins = told.or(before.filter(kept)).map(Event::all_bins).unwrap_or_default();
    match &bins[..] {
        [bin] => Some(bin.clone()),
        // `how much bran for 3 litres in green? I've drained it already`, `lifted the lid on green. Added bran to it`
        [] => only_named(scene, clause.from).map(BinRef::Known),
        _ => None,
    }
}

/// The one bin that the sentence before tells of as opened or looked at.
fn opened_before(scene: &Scene<'_>, sentence: usize) -> Option<usize> {
    let before = scene.clauses.iter().filter(|clause| clause.sentence + 1 == sentence && !clause.asks);
    let looks = |clause: &&Clause| {
        clause.verb.is_some_and(|verb| matches!(verb.act, Act::Open | Act::Look | Act::Check))
    };
    let opened = before.clone().any(|clause| looks(&clause));
    let mut named = before
        .flat_map(|clause| clause.from..clause.to)
        .filter_map(|at| scene.text.name(at, NameKind::Bin))
        .map(|name| name.index);
    // Among people a place may have been opened.
    let meant = |index: usize| scene.message.direct || !scene.named_after_place(index);
    named.next().filter(|first| opened && meant(*first) && named.all(|other| other == *first))
}

/// `sealed it`, `3 spoons of bran in there too`, `washed the bin out`, `which I then sealed`
fn points_back(scene: &Scene<'_>, index: usize) -> bool {
    let (text, clause) = (&scene.text, &scene.clauses[index]);
    let it = |at: usize| {
        text.has(at, Mark::It) || text.is(at, Cue::Them) || text.is(at, Cue::There) || text.is(at, Cue::That)
    };
    let led = |at: usize| {
        text.is(at, Cue::Inside)
            || text.is(at, Cue::Over)
            || text.is(at, Cue::To)
            || text.is(at, Cue::On)
            || text.has_any(at, &[Mark::From, Mark::In, Mark::With, Mark::Of])
    };
    let within = (clause.from..clause.to.saturating_sub(1)).any(|at| led(at) && it(at + 1));
    // `1 kg into green, which I then sealed`
    let before = scene.clauses[..index].last().filter(|before| before.verb.is_none());
    let which = (clause.from.saturating_sub(1)..clause.to.min(clause.from + 1))
        .chain(before.map(|before| before.from))
        .any(|at| text.has(at, Mark::Which));
    // `buried green, washed the empty bin out`, `threw out the whole batch`
    let named = (clause.from..clause.to.saturating_sub(1)).any(|at| {
        let told =
            |i: usize| text.is(i, Cue::Empty) || text.has_any(i, &[Mark::Old, Mark::Generic, Mark::All]);
        let noun = at + 1 + usize::from(told(at + 1));
        let thing = text.is_matter(noun, Matter::Bin) || text.is_matter(noun, Matter::Batch);
        text.has(at, Mark::The) && thing && text.name(noun, NameKind::Bin).is_none()
    });
    // `sealed it`, `for now it got half a cup of bran`
    let done_to_it = clause.verb.is_some_and(|verb| {
        text.has(verb.at + 1, Mark::It)
            || text.is(verb.at, Cue::HoldsIt)
            || verb.act == Act::Get && verb.at > clause.from && text.has(verb.at - 1, Mark::It)
    });
    within || which || named || done_to_it
}

/// The bin named last before a token.
fn last_named(scene: &Scene<'_>, at: usize) -> Option<usize> {
    (0..at).rev().find_map(|at| scene.text.name(at, NameKind::Bin)).map(|name| name.index)
}

/// The bin that is named before a token, where it is but one.
fn only_named(scene: &Scene<'_>, at: usize) -> Option<usize> {
    let mut named = (0..at).filter_map(|at| scene.text.name(at, NameKind::Bin)).map(|name| name.index);
    named.next().filter(|first| named.all(|other| other == *first))
}

/// `soil in the long bed was 12 so green got buried there`, `the side strip is 4 x 0.8 m, planted beans in it`: the plot named last.
pub(super) fn there(scene: &Scene<'_>, events: &mut [Event]) {
    let text = &scene.text;
    for i in 1..events.len() {
        let clause = &scene.clauses[events[i].clauses.0];
        let it =
            |at: usize| text.has(at, Mark::It) && (text.has(at - 1, Mark::In) || text.is(at - 1, Cue::Over));
        let same = |at: usize| text.is(at, Cue::Same) && text.is_matter(at + 1, Matter::Plot);
        let there = (clause.from..clause.to)
            .any(|at| text.is(at, Cue::There) || at > clause.from && it(at) || same(at));
        // `planted dahlias on top`, `the soil there is 12`
        let on_top = events[i].kind == FactKind::Planted
            && (clause.from..clause.to)
                .any(|at| text.is(at, Cue::OnTop) || text.is(at, Cue::On) && text.is(at + 1, Cue::Top));
        let there = there || on_top;
        let warm = events[i].kind == FactKind::Temperature
            && (clause.from..clause.to).any(|at| text.is_matter(at, Matter::Soil));
        let in_soil = warm || matches!(events[i].kind, FactKind::Buried | FactKind::Planted);
        if !there || !in_soil || !events[i].plots.is_empty() {
            continue;
        }
        let names = |event: &&Event| !event.plots.is_empty() || event.slots.plot.is_some();
        // `the herb bed is planted, put rhubarb in it`: told once
        let once = |event: &&Event| event.kind == FactKind::Planted && event.slots.crop.is_none();
        let told = events[..i].iter().rev().find(names).filter(|event| !once(event));
        let Some((plots, plot)) = told.map(|event| (event.plots.clone(), event.slots.plot.clone())) else {
            continue;
        };
        events[i].plots.extend(plots.last());
        events[i].slots.plot = plot;
    }
}
