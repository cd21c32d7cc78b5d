//! Bins and times that several facts share: what opens or closes a message covers all of it.

use crate::clause::{BinRef, Gist};
use crate::lexicon::{Cue, Mark};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;
use crate::text::Text;
use crate::time::When;

use super::Event;

/// Gives events without a bin or a time those that cover them.
pub(super) fn share(scene: &Scene<'_>, events: &mut [Event], pending: &Gist) {
    of_the_same(scene, events);
    within_lots(events);
    for_each(events);
    referred(scene, events);
    there(scene, events);
    let covering_bin = covering_bin(scene, events, pending);
    for event in events.iter_mut().filter(|event| wants_bin(event)) {
        if let Some(bin) = covering_bin.clone() {
            event.bins.push(bin);
        }
    }
    for event in events.iter_mut().filter(|event| wants_bin(event)) {
        event.bins.extend(event.under.clone());
    }
    of_the_sentence(scene, events);
    neighbours(scene, events);
    seen_in_passing(scene, events);
    uses(scene, events);
    times(scene, events, pending);
}

fn wants_bin(event: &Event) -> bool {
    let kind = matches!(
        event.kind,
        FactKind::Scraps
            | FactKind::Bran
            | FactKind::Drained
            | FactKind::Started
            | FactKind::Sealed
            | FactKind::Checked
            | FactKind::Level
            | FactKind::Buried
            | FactKind::Discarded
            | FactKind::Cleaned
    );
    let temperature = event.kind == FactKind::Temperature && !event.elsewhere;
    (kind || temperature) && event.bins.is_empty() && event.lots.iter().all(|lot| lot.bins.is_empty())
}

/// `2 l of cores in red and a pint of the same in blue`: of what was put in before, as is what is not told again.
fn of_the_same(scene: &Scene<'_>, events: &mut [Event]) {
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
fn referred(scene: &Scene<'_>, events: &mut [Event]) {
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
                text.has(at + 1, Mark::It) || text.is(at + 1, Cue::Them) || text.is(at + 1, Cue::There);
            let led = text.is(at, Cue::Inside)
                || text.is(at, Cue::Over)
                || text.is(at, Cue::To)
                || text.has_any(at, &[Mark::From, Mark::In]);
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
        if !it || !wants_bin(&events[i]) {
            continue;
        }
        let bins: Vec<BinRef> = events[i - 1]
            .bins
            .iter()
            .chain(events[i - 1].lots.iter().flat_map(|lot| &lot.bins))
            .cloned()
            .collect();
        if let [bin] = &bins[..] {
            events[i].bins.push(bin.clone());
        }
    }
}

/// `2 l into blue, 1 l into green, 30 ml of bran on each`: every bin named before.
fn for_each(events: &mut [Event]) {
    for i in 1..events.len() {
        let each = events[i].lots.iter().any(|lot| lot.each && lot.amount.is_some());
        if !each || !wants_bin(&events[i]) {
            continue;
        }
        let mut bins: Vec<BinRef> = Vec::new();
        for bin in events[..i]
            .iter()
            .flat_map(|event| event.bins.iter().chain(event.lots.iter().flat_map(|lot| &lot.bins)))
        {
            if !bins.contains(bin) {
                bins.push(bin.clone());
            }
        }
        if bins.len() > 1 {
            events[i].bins = bins;
        }
    }
}

/// In `2 l of salad and 2 tbsp bran into haldi` the bin is that of both.
fn within_lots(events: &mut [Event]) {
    for event in events {
        if event.bins.is_empty() && event.lots.len() > 1 {
            let named: Vec<usize> =
                (0..event.lots.len()).filter(|i| !event.lots[*i].bins.is_empty()).collect();
            if let [only] = named[..] {
                event.bins = event.lots[only].bins.clone();
                event.lots[only].bins.clear();
            }
        }
    }
}

/// `soil in the long bed was 12 so green got buried there`: the plot named last.
fn there(scene: &Scene<'_>, events: &mut [Event]) {
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

/// `Esi, 1 kg of bread and a handful of bran`: the one bin that opens a sentence covers it. `blue I washed out, lid is fine`: what
/// is seen is seen at the one bin that the sentence names.
fn of_the_sentence(scene: &Scene<'_>, events: &mut [Event]) {
    for event in events.iter_mut().filter(|event| wants_bin(event)) {
        let clauses = || scene.clauses.iter().filter(|clause| clause.sentence == event.sentence);
        let named = |at: &usize| scene.text.name(*at, NameKind::Bin).is_some();
        let bins: Vec<usize> = clauses().flat_map(|clause| clause.from..clause.to).filter(named).collect();
        let Some(first) = bins.first().copied() else { continue };
        let index = |at: usize| scene.text.name(at, NameKind::Bin).map(|name| name.index);
        if bins.iter().any(|at| index(*at) != index(first)) {
            continue;
        }
        let begins = clauses().next().is_some_and(|clause| (clause.from..first).all(|at| leads(&scene.text, at)));
        let here = &scene.clauses[event.clauses.0];
        let seen = scene.message.direct
            && matches!(event.kind, FactKind::Checked | FactKind::Level)
            && !scene.gists[event.clauses.0].bin_noun;
        if let Some(bin) = index(first).filter(|_| first < here.to && (begins || seen)) {
            event.bins.push(BinRef::Known(bin));
        }
    }
}

/// What may stand before the bin that opens a sentence.
fn leads(text: &Text<'_>, at: usize) -> bool {
    text.is_stop(at)
        || text.has_any(at, &[Mark::The, Mark::In, Mark::And, Mark::Then, Mark::Hello, Mark::Bot, Mark::Please, Mark::Sorry])
        || text.time(at).is_some()
        || !text.tokens[at].is_word()
}

/// Events of one clause, or joined without a new verb, share what only one of them names.
fn neighbours(scene: &Scene<'_>, events: &mut [Event]) {
    for i in 0..events.len() {
        if !wants_bin(&events[i]) {
            continue;
        }
        let near = |j: usize| {
            let (a, b) = (&events[i], &events[j]);
            let group = |kind| matches!(kind, FactKind::Scraps | FactKind::Bran | FactKind::Started);
            a.sentence == b.sentence && group(a.kind) && group(b.kind)
        };
        // In `1.5 l into left and a handful of bran` the bin is that of the litres alone.
        let from = scene.clauses[events[i].clauses.0].from;
        let text = &scene.text;
        // `2 l into green with 3 spoons of bran`
        let plus = text.is(from.wrapping_sub(1), Cue::Plus)
            || events[i].kind == FactKind::Bran && leads_lot(text, &events[i]);
        let on_top = events[i].kind == FactKind::Bran
            && (plus
                || (scene.clauses[events[i].clauses.0].from..scene.clauses[events[i].clauses.1].to)
                    .any(|at| lies_on_it(scene, at)));
        // `2 litres in green in the morning, another litre in the evening`
        let more = events[i].kind == FactKind::Scraps
            && (scene.clauses[events[i].clauses.0].from..scene.clauses[events[i].clauses.1].to)
                .any(|at| scene.text.is(at, Cue::Another));
        let heads = |j: usize| j > i || on_top || more || !events[j].bins.is_empty();
        let donor =
            (0..events.len()).find(|j| *j != i && near(*j) && heads(*j) && bin_of(&events[*j]).is_some());
        if let Some(bin) = donor.and_then(|j| bin_of(&events[j]).cloned()) {
            events[i].bins.push(bin);
        }
    }
}

/// Whether `with` or a plus stands before one of an event's lots.
fn leads_lot(text: &Text<'_>, event: &Event) -> bool {
    let led = |at: usize| {
        text.has_any(at, &[Mark::With, Mark::Then]) || text.is(at, Cue::Plus) || text.is_sign(at, '+')
    };
    event.lots.iter().any(|lot| led(lot.at.wrapping_sub(1)))
}

/// `drained green 200 ml, smells sour`: what is seen at the one bin that the message names.
fn seen_in_passing(scene: &Scene<'_>, events: &mut [Event]) {
    let mut named =
        events.iter().flat_map(|event| event.bins.iter().chain(event.lots.iter().flat_map(|lot| &lot.bins)));
    let Some(bin) = named.next().filter(|first| named.all(|other| other == *first)).cloned() else { return };
    let told = events.iter().position(|event| bin_of(event).is_some()).unwrap_or(0);
    for event in events.iter_mut().skip(told + 1).filter(|event| wants_bin(event)) {
        let seen = matches!(event.kind, FactKind::Checked | FactKind::Level);
        // A bin of some other sort would be named.
        let other = scene.gists[event.clauses.0].bin_noun;
        if seen && !other {
            event.bins.push(bin.clone());
        }
    }
}

/// `bran on top`, `over it`: on what was just put in.
fn lies_on_it(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    let last = |to: usize| to >= text.tokens.len() || !text.has_any(to, &[Mark::Of, Mark::In]);
    // `on top of it`
    let of_it = |to: usize| text.has(to, Mark::Of) && text.has(to + 1, Mark::It);
    let top = text.is(at, Cue::On) && text.is(at + 1, Cue::Top) && (last(at + 2) || of_it(at + 2))
        || text.is(at, Cue::OnTopOf) && text.has(at + 1, Mark::It)
        || text.is(at, Cue::TopLayer) && of_it(at + 1);
    let the = usize::from(text.has(at + 1, Mark::The));
    let it = text.is(at, Cue::Over) && (text.has(at + 1, Mark::It) || text.is(at + 1 + the, Cue::Top));
    top || it || text.is(at, Cue::OnTop)
}

/// `both on the roses`, `all of it down the sink`: where every drain told before went.
fn uses(scene: &Scene<'_>, events: &mut [Event]) {
    let text = &scene.text;
    let all = |at: usize| {
        text.has_any(at, &[Mark::All, Mark::Each]) || text.is(at, Cue::EachAll) || text.is(at, Cue::WholeLot) && text.has(at.wrapping_sub(1), Mark::The)
    };
    for (index, clause) in scene.clauses.iter().enumerate() {
        let Some(use_) = scene.gists[index].use_ else { continue };
        if clause.asks || !(clause.from..clause.to).any(all) {
            continue;
        }
        let before = |event: &&mut Event| event.kind == FactKind::Drained && event.clauses.0 <= index;
        events.iter_mut().filter(before).for_each(|event| event.use_ = event.use_.or(Some(use_)));
    }
}

fn bin_of(event: &Event) -> Option<&BinRef> {
    event.bins.first().or_else(|| event.lots.iter().find_map(|lot| lot.bins.first()))
}

/// The bin that opens or closes the message, where there is but one.
fn covering_bin(scene: &Scene<'_>, events: &[Event], pending: &Gist) -> Option<BinRef> {
    let mut named: Vec<&BinRef> = events
        .iter()
        .flat_map(|event| event.bins.iter().chain(event.lots.iter().flat_map(|lot| &lot.bins)))
        .collect();
    named.extend(pending.bins.iter().map(|(bin, _)| bin));
    let first = (*named.first()?).clone();
    if named.iter().any(|bin| **bin != first) {
        return None;
    }
    let text = &scene.text;
    let bins: Vec<usize> = scene
        .clauses
        .iter()
        .zip(&scene.gists)
        .filter(|(clause, _)| !clause.asks)
        .flat_map(|(clause, _)| clause.from..clause.to)
        .filter(|at| text.name(*at, NameKind::Bin).is_some())
        .collect();
    let (opening, closing) = (*bins.first()?, *bins.last()?);
    let idle = |at: usize| {
        text.is_stop(at)
            || text.has_any(
                at,
                &[
                    Mark::Thanks,
                    Mark::Hello,
                    Mark::The,
                    Mark::In,
                    Mark::Laugh,
                    Mark::Sorry,
                    Mark::Then,
                    Mark::Ta,
                    Mark::Yes,
                    Mark::Bot,
                    Mark::From,
                    Mark::Please,
                    Mark::And,
                ],
            )
            || text.time(at).is_some()
            || text.is_matter(at, crate::lexicon::Matter::Bin)
            || !text.tokens[at].is_word()
            || text.name(at, NameKind::Bin).is_some()
    };
    let end =
        scene.clauses.iter().rev().find(|clause| !clause.asks).map_or(text.tokens.len(), |clause| clause.to);
    let opens = (0..opening).all(idle);
    let closes = (closing + 1..end).all(idle);
    (opens || closes).then_some(first)
}

/// Times: within a sentence, one at its opening or its end covers every event in it.
fn times(scene: &Scene<'_>, events: &mut [Event], pending: &Gist) {
    same_day(events);
    under_heading(events);
    for i in 0..events.len() {
        if !events[i].whens.is_empty() || (events[i].elsewhere && events[i].kind == FactKind::Temperature) {
            continue;
        }
        let sentence = events[i].sentence;
        let own: Vec<When> = events
            .iter()
            .filter(|event| event.sentence == sentence)
            .flat_map(|event| event.whens.clone())
            .filter(When::is_moment)
            .collect();
        // `started blue this morning with 2 litres`
        let filled = matches!(events[i].kind, FactKind::Scraps | FactKind::Bran);
        let begun = events.iter().find(|other| other.kind == FactKind::Started && other.sentence == sentence);
        let begun = begun
            .filter(|_| filled && own.iter().all(|when| *when == own[0]))
            .and_then(|begun| begun.whens.first().copied());
        let covering = covers(scene, sentence).then(|| own.first().copied()).flatten().or(begun);
        let left_over = pending.whens.iter().map(|(when, _)| *when).find(When::is_moment);
        if let Some(when) = covering.or(left_over) {
            events[i].whens.push(when);
        }
    }
}

/// `yesterday 2 litres in the morning, another in the evening`: of the day told before.
fn same_day(events: &mut [Event]) {
    for i in 1..events.len() {
        let before = &events[i - 1];
        let day =
            before.whens.iter().find_map(|when| when.date).filter(|_| before.sentence == events[i].sentence);
        if let (Some(day), [when]) = (day, &mut events[i].whens[..])
            && of_day(when)
        {
            when.date = Some(day);
        }
    }
}

/// `morning`, of a day that is told elsewhere.
fn of_day(when: &When) -> bool {
    when.date.is_none() && when.part.is_some_and(|part| !part.today) && when.span.is_none()
}

/// `Yesterday: 2 litres in the morning, 1 l`: the day of the heading, where an event has none.
fn under_heading(events: &mut [Event]) {
    // `Soil probe at noon: 11.5 degrees`
    let alone = events.len() == 1;
    for event in events.iter_mut().filter(|event| !event.elsewhere || alone) {
        let day = event.heading.iter().find_map(|when| when.date);
        match &mut event.whens[..] {
            [] => event.whens.clone_from(&event.heading),
            [when] if day.is_some() && of_day(when) => when.date = day,
            _ => {}
        }
    }
}

/// Whether the sentence's time stands at its beginning or end.
fn covers(scene: &Scene<'_>, sentence: usize) -> bool {
    let of: Vec<usize> = (0..scene.clauses.len())
        .filter(|i| scene.clauses[*i].sentence == sentence && !scene.clauses[*i].asks)
        .collect();
    let (Some(first), Some(last)) = (of.first(), of.last()) else { return false };
    let (from, to) = (scene.clauses[*first].from, scene.clauses[*last].to);
    let whens: Vec<(usize, usize)> = scene
        .pieces
        .iter()
        .filter(|piece| {
            piece.from >= from
                && piece.to <= to
                && matches!(piece.kind, crate::clause::PieceKind::When(when) if when.is_moment())
        })
        .map(|piece| (piece.from, piece.to))
        .collect();
    let (Some(opening), Some(closing)) = (whens.first(), whens.last()) else { return false };
    let text = &scene.text;
    let idle = |at: usize| {
        text.is_stop(at)
            || text.has_any(
                at,
                &[
                    Mark::Thanks,
                    Mark::Hello,
                    Mark::Laugh,
                    Mark::Sorry,
                    Mark::Then,
                    Mark::Ta,
                    Mark::Yes,
                    Mark::Bot,
                    Mark::Please,
                    Mark::And,
                    Mark::I,
                ],
            )
            || text.is(at, Cue::OpensSpeech)
            || text.is(at, Cue::FirstThing)
            || !text.tokens[at].is_word()
    };
    // `drained both 10 minutes ago: 0.4 l from green, 0.2 l from blue`
    let heads = text.is_word(closing.1, ":");
    let bin = |at: usize| {
        text.name(at, NameKind::Bin).is_some()
            || text.is_matter(at, crate::lexicon::Matter::Bin)
            || text.has_any(at, &[Mark::In, Mark::The])
    };
    whens.len() == 1
        && (heads
            || (from..opening.0).all(|at| idle(at) || bin(at))
            || (closing.1..to).all(|at| idle(at) || bin(at)))
}
