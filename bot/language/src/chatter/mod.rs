//! A room of people: only what plainly is a report of work on the bins is taken.

mod thing;

use crate::clause::Subject;
use crate::fact::Event;
use crate::lexicon::{Act, Cue, Forms, Mark, Matter};
use crate::reading::{FactKind, Smell};
use crate::scene::Scene;

pub(crate) use thing::is_strange;
use thing::{
    added_bare, adds, buried_them, drained_bare, drains_another_thing, fills_a_bin, has_bin_noun, lies_there,
    names_another_thing, overflows, put_in_by_me,
};

/// The events that, told in a room of people, plainly are about its bins.
pub(crate) fn plain_reports(scene: &Scene<'_>, events: Vec<Event>) -> Vec<Event> {
    let plain: Vec<bool> = events.iter().map(|event| is_plain_report(scene, event)).collect();
    let of_bins = |event: &Event| {
        let named = match event.kind {
            FactKind::Scraps | FactKind::Bran => event.lots.iter().any(|lot| lot.amount.is_some()),
            _ => !event.bins.is_empty(),
        };
        named
            && event.kind != FactKind::Temperature
            && is_plain_report(scene, event)
            && !is_of_the_place(scene, event)
    };
    // `shed's a third full, and scullery is empty`: beside a report, the scullery is a bin too
    let sentences: Vec<usize> =
        events.iter().filter(|event| of_bins(event)).map(|event| event.sentence).collect();
    let plainly = |kind: FactKind| -> Vec<usize> {
        let told = events.iter().zip(&plain).filter(|(event, plain)| **plain && event.kind == kind);
        told.map(|(event, _)| event.sentence).collect()
    };
    // `drained blue, poured 2 cups round the tree`: what was drained, told again
    let drained = plainly(FactKind::Drained);
    // `61F under my sink, 58F in white`
    let warm = plainly(FactKind::Temperature);
    let beside = |event: &Event| match event.kind {
        FactKind::Temperature => warm.contains(&event.sentence) && is_told_in_degrees(scene, event),
        FactKind::Level | FactKind::Cleaned => sentences.contains(&event.sentence) && is_report(scene, event),
        // `2 litres of peelings to green and some bran`
        FactKind::Bran => event.vague && sentences.contains(&event.sentence),
        FactKind::Drained => drained.contains(&event.sentence) && event.use_.is_some(),
        _ => false,
    };
    events
        .into_iter()
        .zip(plain)
        .filter(|(event, plain)| *plain || beside(event))
        .map(|(event, _)| event)
        .collect()
}

/// `it's 27 degrees in the pantry`: read off where bins stand, and nothing strange said of it.
fn is_read_indoors(scene: &Scene<'_>, event: &Event) -> bool {
    let (text, clause) = (&scene.text, &scene.clauses[event.clauses.0]);
    let cold = |at: usize| text.is(at, Cue::Freezer) || text.is(at, Cue::Outdoors);
    let indoors = |at: usize| text.has(at, Mark::KitchenPlace) && !cold(at);
    let led = |at: usize| (at.saturating_sub(2)..at).any(|i| text.has(i, Mark::In) || text.is(i, Cue::Under));
    let placed = (clause.from..clause.to).any(|at| indoors(at) && (led(at) || text.word(at).contains(' ')));
    let strange = (clause.from..clause.to).any(|at| is_strange(scene, at));
    is_told_in_degrees(scene, event) && placed && !strange && !jokes(scene, clause)
}

/// `61F`: with its sign of degrees.
fn is_told_in_degrees(scene: &Scene<'_>, event: &Event) -> bool {
    (event.clauses.0..=event.clauses.1).any(|i| scene.gists[i].temperature.is_some())
}

/// Whether an event told in a room of people plainly is about its bins, by itself.
fn is_plain_report(scene: &Scene<'_>, event: &Event) -> bool {
    (has_bin_noun(scene, event) || !is_of_the_place(scene, event)) && is_report(scene, event)
}

/// Whether an event is about the bins, if a bin named after a place is one.
fn is_report(scene: &Scene<'_>, event: &Event) -> bool {
    let clauses = event.clauses.0..=event.clauses.1;
    let gists = || clauses.clone().filter_map(|i| scene.gists.get(i));
    if gists().any(|gist| gist.foreign) || overflows(scene, event) || spoken_of_others(scene, event) {
        return false;
    }
    // `I left 3 lbs of apples in the lobby`: for people to take.
    let left = |at: usize| {
        scene.text.is(at, Cue::LeftBehind)
            && scene.text.has_any(at.wrapping_sub(1), &[Mark::I, Mark::Other, Mark::Someone])
    };
    let of_the_house = event
        .bins
        .iter()
        .chain(event.lots.iter().flat_map(|lot| &lot.bins))
        .all(|bin| matches!(bin, crate::clause::BinRef::Known(index) if scene.named_after_place(*index)));
    if of_the_house && (scene.clauses[event.clauses.0].from..scene.clauses[event.clauses.0].to).any(left) {
        return false;
    }
    // `blue's dad buried the hamster`
    let of_person = |at: usize| {
        scene.text.tokens[at].name.is_some()
            && scene.text.is(at + 1, Cue::TailS)
            && scene.text.has(at + 2, Mark::Other)
    };
    if (scene.clauses[event.clauses.0].from..scene.clauses[event.clauses.0].to).any(of_person) {
        return false;
    }
    let noun = has_bin_noun(scene, event);
    if matches!(event.kind, FactKind::Level | FactKind::Checked | FactKind::Temperature | FactKind::BinGone)
        && clauses
            .clone()
            .filter_map(|i| scene.clauses.get(i))
            .any(|clause| names_another_thing(scene, clause))
    {
        return false;
    }
    let bin = noun || event.names_bin();
    let of = |matter| event.lots.iter().any(|lot| lot.matter == Some(matter));
    let cooking = scene
        .clauses
        .iter()
        .filter(|clause| clause.sentence == event.sentence)
        .any(|clause| (clause.from..clause.to).any(|at| scene.text.is_act(at, Act::Cook)));
    // `selling my bucket`: what goes on is no report of what was done.
    let clause = &scene.clauses[event.clauses.0];
    if event.kind != FactKind::Temperature
        && clause.verb.is_some_and(|verb| {
            // `done draining green`
            let done = verb.at > 0 && scene.text.is_act(verb.at - 1, Act::Finish);
            verb.forms == Forms::ING && verb.act != Act::Smell && !done
        })
        && (clause.stance.subject != Subject::Me || event.lots.iter().all(|lot| lot.amount.is_none()))
    {
        return false;
    }
    match event.kind {
        FactKind::BinGone => !event.bins.is_empty() && (noun || !jokes(scene, clause)),
        // `we buried them 😂`: of a match
        FactKind::Buried if jokes(scene, clause) || buried_them(scene, clause) => noun,
        FactKind::Scraps => {
            bin || !cooking
                && event.use_.is_none()
                && (event.verbal && of(Matter::Scraps)
                    || added_bare(scene, event)
                    || put_in_by_me(scene, event))
        }
        FactKind::Bran => {
            let strange = (clause.from..clause.to).any(|at| is_strange(scene, at));
            let eaten = event.lots.iter().any(|lot| !lot.foods.is_empty());
            bin || of(Matter::Bran)
                && !strange
                && !eaten
                && (event.verbal || adds(scene, event.sentence) || fills_a_bin(scene, event.sentence))
        }
        FactKind::Drained => {
            bin || !drains_another_thing(scene, event) && (of(Matter::Liquid) || drained_bare(scene, event))
        }
        FactKind::Started
        | FactKind::Sealed
        | FactKind::Checked
        | FactKind::Level
        | FactKind::Buried
        | FactKind::Discarded
        | FactKind::BinSet => bin,
        // `washed the bucket for the car`
        FactKind::Cleaned => {
            let strange = (clause.from..clause.to)
                .any(|at| is_strange(scene, at) && !scene.text.is_matter(at, Matter::Water));
            bin && !(event.bins.is_empty() && strange)
        }
        FactKind::Planted | FactKind::PlotSet => !event.plots.is_empty() || event.slots.plot.is_some(),
        FactKind::Temperature => bin || !event.plots.is_empty() || is_read_indoors(scene, event),
        FactKind::StarterMade | FactKind::StarterBought | FactKind::StarterStock => {
            of(Matter::Bran) || event.trade
        }
        FactKind::MeasureSet => true,
        _ => false,
    }
}

/// Whether somebody laughs in the sentence.
fn jokes(scene: &Scene<'_>, clause: &crate::clause::Clause) -> bool {
    let sentence = scene.clauses.iter().filter(|other| other.sentence == clause.sentence);
    sentence.flat_map(|other| other.from..=other.to).any(|at| scene.text.has(at, Mark::Laugh))
}

/// A bin named after a place is meant only where a bin is spoken of: `the garage is empty, you can park`.
fn is_of_the_place(scene: &Scene<'_>, event: &Event) -> bool {
    let clause = &scene.clauses[event.clauses.0];
    let place = event
        .bins
        .iter()
        .all(|bin| matches!(bin, crate::clause::BinRef::Known(index) if scene.named_after_place(*index)));
    let shut =
        event.kind == FactKind::Sealed && clause.verb.is_some_and(|verb| !scene.text.is(verb.at, Cue::Seals));
    let partly = event.slots.fraction.is_some_and(|fraction| fraction > 0.0 && fraction < 1.0);
    // `the cellar is at 16 degrees` and not a word more is a reading.
    let asked = event.kind == FactKind::Checked && scene.clauses.iter().any(|other| other.asks);
    let reading = event.kind == FactKind::Temperature
        && scene.clauses.len() == 1
        && !(clause.from..clause.to).any(|at| is_strange(scene, at));
    // `stuck a thermometer in the carport, it reads 48 degrees`
    let reading = reading
        || event.kind == FactKind::Temperature
            && (0..scene.text.tokens.len()).any(|at| scene.text.is(at, Cue::Thermometer));
    // Rooms do not smell sour, nor have lids.
    let seen = event.slots.smell.is_some() || event.slots.mould.is_some() || event.slots.moisture.is_some();
    let looked_in = seen
        && scene.clauses.iter().any(|other| {
            other.sentence == event.sentence
                && other.verb.is_some_and(|verb| matches!(verb.act, Act::Open | Act::Look | Act::Check))
        });
    let of_bin = event.kind == FactKind::Checked
        && (looked_in
            || event.slots.smell == Some(Smell::SweetSour)
            || (clause.from..clause.to).any(|at| scene.text.is_matter(at, Matter::Lid)));
    let state = !reading
        && !asked
        && !of_bin
        && !partly
        && (shut
            || matches!(
                event.kind,
                FactKind::Level | FactKind::Temperature | FactKind::Cleaned | FactKind::Checked
            ));
    // `apples in the lobby, 3 kg, help yourselves`; `the cafe brought 5 kg of grounds, in the lobby`
    let brought = clause.verb.is_none_or(|verb| scene.text.is(verb.at, Cue::Brought));
    let strewn = scene.clauses.iter().zip(&scene.gists).any(|(other, gist)| {
        other.sentence == clause.sentence && gist.lots.iter().any(|lot| lot.matter == Some(Matter::Bran))
    });
    let offered = event.kind == FactKind::Scraps && brought && !strewn && lies_there(scene, clause);
    place && !event.bins.is_empty() && (state || offered)
}

/// Whether something unclear in a room of people is worth asking back.
pub(crate) fn is_worth_asking(scene: &Scene<'_>, event: &Event) -> bool {
    let stuff = |lot: &crate::clause::Lot| lot.matter.is_some() || !lot.foods.is_empty();
    let measured =
        |lot: &crate::clause::Lot| lot.amount.is_some() && !(lot.bins.is_empty() && event.bins.is_empty());
    // `added 3 to green`; not `2 chairs on the balcony`
    let counted = event.verbal
        && !event.bins.is_empty()
        && event
            .count_piece(scene)
            .is_some_and(|piece| crate::clause::counts_nothing(&scene.text, piece.to - 1));
    // `sealed the attic bin`
    let unknown = |bin: &crate::clause::BinRef| matches!(bin, crate::clause::BinRef::Unknown(_));
    let elsewhere = event.verbal && event.kind == FactKind::Sealed && event.bins.iter().any(unknown);
    // `sealed green on the 31st of November`
    let known = |bin: &crate::clause::BinRef| matches!(bin, crate::clause::BinRef::Known(_));
    let clause = &scene.clauses[event.clauses.0];
    let past = clause.verb.is_some_and(|verb| {
        verb.forms.has(Forms::PAST) && !scene.text.is_act(verb.at.wrapping_sub(1), Act::Get)
    });
    let done = past && !event.counts() && event.bins.iter().any(known);
    // `2 litres of cabbage to bin 1 and some bran`: it stands beside a report, or it would not be here
    let strewn = event.kind == FactKind::Bran && event.vague;
    // `put some bran in dzo`
    let some = event.vague && event.verbal && event.bins.iter().any(known) && clause.stance.asserted();
    counted
        || some
        || strewn
        || done
        || elsewhere
        || event.kind == FactKind::Drained
        || event.lots.iter().any(stuff)
        || event.verbal && event.lots.iter().any(measured)
}

/// `you drained it`, `Marisol drained the lobby`: told of somebody who may tell it himself.
fn spoken_of_others(scene: &Scene<'_>, event: &Event) -> bool {
    let clause = &scene.clauses[event.clauses.0];
    let acts = clause.verb.is_some_and(|verb| verb.act != Act::Smell);
    // `was drained by Ines`
    let by = |at: usize| {
        let person = |token: &crate::text::Token| {
            token.is_word() && token.capital && token.senses.is_empty() && token.name.is_none()
        };
        scene.text.is(at, Cue::ByWhom) && scene.text.tokens.get(at + 1).is_some_and(person)
    };
    (clause.from..clause.to).any(by)
        || clause.stance.subject == Subject::You
        || clause.stance.subject == Subject::Other && acts
}
