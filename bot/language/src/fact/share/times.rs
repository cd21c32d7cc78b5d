//! Times that several facts share.

use crate::clause::{Gist, Joint, PieceKind};
use crate::lexicon::{Cue, Mark, Matter, TimeWord};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;
use crate::time::When;

use crate::fact::Event;

/// Times: within a sentence, one at its opening or its end covers every event in it.
pub(super) fn times(scene: &Scene<'_>, events: &mut [Event], pending: &Gist) {
    same_day(events);
    with_its_lot(scene, events);
    in_one_go(scene, events);
    under_heading(events);
    // `6am reading by the boiler: 3 degrees`
    // `rose bed 62F and tomato bed 65F at 4pm`
    let alone = events.iter().all(|event| event.kind == FactKind::Temperature);
    for i in 0..events.len() {
        let elsewhere = events[i].elsewhere && events[i].kind == FactKind::Temperature && !alone;
        if !events[i].whens.is_empty() || elsewhere {
            continue;
        }
        let sentence = events[i].sentence;
        // `yesterday we buried green, so it's empty now`
        let clause = &scene.clauses[events[i].clauses.0];
        if events[i].kind == FactKind::Level
            && (clause.from..clause.to)
                .any(|at| scene.text.is_time(at, TimeWord::Now) || scene.text.word(at).ends_with(" now"))
        {
            continue;
        }
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

/// `1 kg this morning with 3 spoons of bran`: as what it went on.
fn with_its_lot(scene: &Scene<'_>, events: &mut [Event]) {
    for i in 1..events.len() {
        let from = scene.clauses[events[i].clauses.0].from;
        let with = from > 0 && scene.text.has(from - 1, Mark::With);
        let before = &events[i - 1];
        let filled = matches!(events[i].kind, FactKind::Scraps | FactKind::Bran);
        let alike = match before.kind {
            FactKind::Scraps => events[i].kind == FactKind::Bran,
            // `blue started today with a litre of peel`
            FactKind::Started => filled,
            _ => false,
        };
        let alike = alike && before.sentence == events[i].sentence;
        if events[i].whens.is_empty() && with && alike {
            let whens = before.whens.clone();
            events[i].whens = whens;
        }
    }
}

/// `3 mugs of peel and a scoop of bran into green 10 mins ago, 65 g of bran left`: both were put in then.
fn in_one_go(scene: &Scene<'_>, events: &mut [Event]) {
    for i in 1..events.len() {
        let [before, after] = &mut events[i - 1..=i] else { continue };
        let clause = &scene.clauses[after.clauses.0];
        let joined = clause.joint == Joint::And && clause.verb.is_none() && before.sentence == after.sentence;
        let both = before.kind == FactKind::Scraps && after.kind == FactKind::Bran;
        if joined && both && before.whens.is_empty() {
            before.whens.clone_from(&after.whens);
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
                && matches!(piece.kind, PieceKind::When(when) if when.is_moment())
        })
        .map(|piece| (piece.from, piece.to))
        .collect();
    let (Some(opening), Some(closing)) = (whens.first(), whens.last()) else { return false };
    let text = &scene.text;
    let idle = |at: usize| {
        super::says_nothing(text, at)
            || text.has(at, Mark::I)
            || text.is(at, Cue::OpensSpeech)
            || text.is(at, Cue::FirstThing)
    };
    // `drained both 10 minutes ago: 0.4 l from green, 0.2 l from blue`
    let heads = text.is_word(closing.1, ":");
    let bin = |at: usize| {
        text.name(at, NameKind::Bin).is_some()
            || text.is_matter(at, Matter::Bin)
            || text.has_any(at, &[Mark::In, Mark::The])
    };
    whens.len() == 1
        && (heads
            || (from..opening.0).all(|at| idle(at) || bin(at))
            || (closing.1..to).all(|at| idle(at) || bin(at)))
}
