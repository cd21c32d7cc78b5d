//! What is told by pointing back: `sealed it`, `a pint of the same`, `another litre there`.

use crate::clause::BinRef;
use crate::lexicon::{Cue, Mark, Matter};
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
            let elided = verbless && lot.matter.is_none() && lot.amount.is_some() && placed && (!lot.bins.is_empty() || own);
            if (of_same || elided) && lot.foods.is_empty() {
                lot.foods.clone_from(&foods);
            }
            foods.clone_from(&lot.foods);
            placed = !lot.bins.is_empty() || own;
        }
    }
}

/// `stinky's full so I sealed it`: it is the bin named last.
pub(super) fn referred(scene: &Scene<'_>, events: &mut [Event]) {
    of_the_question(scene, events);
    for i in 1..events.len() {
        let clause = &scene.clauses[events[i].clauses.0];
        // `green filled to the brim, snapped the lid on, starting blue now`
        let of_full = events[i].kind == FactKind::Sealed
            && events[i - 1].sentence == events[i].sentence
            && events[i - 1].slots.fraction.is_some_and(|fraction| fraction >= 0.9);
        // `rinsed green and started a new batch in it`, `3 spoons of bran in there too`
        let text = &scene.text;
        let within = (clause.from..clause.to.saturating_sub(1)).any(|at| {
            let of_it =
                text.has(at + 1, Mark::It)
                    || text.is(at + 1, Cue::Them)
                    || text.is(at + 1, Cue::There)
                    || text.is(at + 1, Cue::That);
            let led = text.is(at, Cue::Inside)
                || text.is(at, Cue::Over)
                || text.is(at, Cue::To)
                || text.is(at, Cue::On)
                || text.has_any(at, &[Mark::From, Mark::In, Mark::With, Mark::Of]);
            led && of_it
        });
        // `rinsed green, started a new batch`
        let of_clean = events[i].kind == FactKind::Started
            && events[i - 1].kind == FactKind::Cleaned
            && events[i - 1].sentence == events[i].sentence;
        // `1 kg into green, which I then sealed`
        let before = scene.clauses[..events[i].clauses.0].last().filter(|before| before.verb.is_none());
        let which = (clause.from.saturating_sub(1)..clause.to.min(clause.from + 1))
            .chain(before.map(|before| before.from))
            .any(|at| text.has(at, Mark::Which));
        let it = of_full
            || of_clean
            || which
            || within
            || clause
                .verb
                .is_some_and(|verb| text.has(verb.at + 1, Mark::It) || text.is(verb.at, Cue::HoldsIt));
        if !wants_bin(&events[i]) {
            continue;
        }
        // `green still had room, so 1 litre there too`
        let there = (clause.from..clause.to).find(|at| {
            text.is(*at, Cue::There) && !text.has(at + 1, Mark::Be) && !text.is(at + 1, Cue::TailS)
        });
        if let Some(bin) = there.and_then(|at| (0..at).rev().find_map(|i| text.name(i, NameKind::Bin))) {
            events[i].bins.push(BinRef::Known(bin.index));
            continue;
        }
        // `buried green, washed the bin out`
        let the_bin = (clause.from..clause.to.saturating_sub(1)).any(|at| {
            let noun = at + 1 + usize::from(text.is(at + 1, Cue::Empty) || text.has_any(at + 1, &[Mark::Old, Mark::Generic]));
            text.has(at, Mark::The) && text.is_matter(noun, Matter::Bin) && text.name(noun, NameKind::Bin).is_none()
        });
        // `drained him too`, of a bin called like a person
        let him = (clause.from..clause.to).find(|at| text.is(*at, Cue::Him));
        if let Some(name) = him.and_then(|him| (0..him).rev().find_map(|at| text.name(at, NameKind::Bin))) {
            events[i].bins.push(BinRef::Known(name.index));
            continue;
        }
        if !(it || the_bin) {
            continue;
        }
        let sentence = events[i].sentence;
        let told = events[..i].iter().rev().find(|event| event.sentence == sentence && event.names_bin());
        let bins = told.unwrap_or(&events[i - 1]).all_bins();
        if let [bin] = &bins[..] {
            events[i].bins.push(bin.clone());
        }
    }
}

/// `soil in the long bed was 12 so green got buried there`: the plot named last.
pub(super) fn there(scene: &Scene<'_>, events: &mut [Event]) {
    for i in 1..events.len() {
        let clause = &scene.clauses[events[i].clauses.0];
        let there = (clause.from..clause.to).any(|at| scene.text.is(at, Cue::There));
        let in_soil = matches!(events[i].kind, FactKind::Buried | FactKind::Planted);
        if there && in_soil && events[i].plots.is_empty() {
            let named = events[..i].iter().rev().find_map(|event| event.plots.last().copied());
            events[i].plots.extend(named);
        }
    }
}

/// `how much bran for 3 litres in green? I've drained it already`: the one bin that was asked about.
fn of_the_question(scene: &Scene<'_>, events: &mut [Event]) {
    let text = &scene.text;
    let Some(first) = events.first_mut().filter(|first| wants_bin(first)) else { return };
    let clause = &scene.clauses[first.clauses.0];
    let asked = scene.clauses.iter().any(|other| other.asks && other.to <= clause.from);
    let it = clause.verb.is_some_and(|verb| text.has(verb.at + 1, Mark::It));
    let mut named = (0..clause.from).filter_map(|at| text.name(at, NameKind::Bin)).map(|name| name.index);
    if let Some(bin) = named.next().filter(|bin| asked && it && named.all(|other| other == *bin)) {
        first.bins.push(BinRef::Known(bin));
    }
}
