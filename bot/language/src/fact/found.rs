//! States that are read off: levels and temperatures.

use crate::amount::{Unit, in_celsius, sign};
use crate::clause::{BinRef, Clause, Gist, Joint, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense, english};
use crate::message::NudgeKind;
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;

use super::{Builder, names};

/// Opens events for the level and the temperature that a clause tells beside `other`.
pub(super) fn states(builder: &mut Builder<'_, '_>, index: usize, other: Option<FactKind>) -> bool {
    let a = level(builder, index, other);
    let b = temperature(builder, index, other);
    a || b
}

fn level(builder: &mut Builder<'_, '_>, index: usize, other: Option<FactKind>) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    // `red is 3/4 full, blue about half`
    let goes_on = builder.just(FactKind::Level) && !gist.bins.is_empty() && gist.lots.is_empty();
    // `biddy's about three quarters`
    let said = !gist.bins.is_empty()
        && clause.verb.is_none()
        && gist.lots.is_empty()
        && (clause.from..clause.to).any(|at| scene.text.has(at, Mark::Be));
    // `green's at 60 %, cellar at 20`
    let percent = goes_on
        && (0..scene.text.tokens.len())
            .any(|at| scene.text.is_sign(at, '%') || scene.text.unit(at) == Some(Unit::Percent));
    let hundredths = gist.count.filter(|(count, _)| percent && (1.0..=100.0).contains(count));
    let hundredths = hundredths.map(|(count, at)| (count / 100.0, at));
    let counted =
        gist.count.filter(|(count, _)| goes_on && *count <= 1.0 || said && *count < 1.0 && *count > 0.0);
    // `half`, in answer to how full it is
    let answers =
        scene.message.reply_to == Some(NudgeKind::Full) && clause.verb.is_none() && gist.lots.is_empty();
    let answered = gist.count.filter(|(count, _)| answers && *count <= 1.0 && *count > 0.0);
    // `porch is 40 % full, nothing in shed`
    let from = clause.from;
    let nothing = goes_on && scene.text.is(from, Cue::Nothing) && scene.text.has(from + 1, Mark::In);
    let nothing = nothing.then_some((0.0, from));
    let Some((fraction, at)) = gist.level.or(nothing).or(hundredths).or(counted).or(answered) else {
        return false;
    };
    // `not full yet`, `a third left before it's full`
    // `nah only two thirds full` answers first.
    let answer = |i: usize| i == clause.from && scene.text.is(i, Cue::PlainNo) && i + 1 < at;
    let short_of = |i: usize| {
        scene.text.has_any(i, &[Mark::Not, Mark::No]) && !answer(i) || scene.text.is(i, Cue::ShortOf)
    };
    if (clause.from.max(at.saturating_sub(3))..at).any(short_of) {
        return false;
    }
    // `the bran jar's half empty`
    let of_bran = names(scene, clause, Matter::Bran) && gist.bins.is_empty();
    // `the caddy's full`: no bin of the room's
    let of_vessel = gist.bins.is_empty()
        && !gist.bin_noun
        && (clause.from..at).any(|i| {
            scene.text.name(i, NameKind::Measure).is_some()
                || scene
                    .text
                    .senses(i)
                    .iter()
                    .any(|s| matches!(s, Sense::Kitchen(name, _) if *name != "bucket"))
        });
    if other.is_some_and(|kind| kind != FactKind::Checked)
        || of_vessel
        || is_of_stranger(builder, clause, at)
        || of_bran
        || gist.foreign
        || names(scene, clause, Matter::Tap)
    {
        return false;
    }
    let bin = !gist.bins.is_empty()
        || gist.bin_noun
        || gist.lots.iter().any(|lot| !lot.bins.is_empty())
        || !builder.pending.bins.is_empty();
    let subject = bin || (clause.from..at).any(|i| scene.text.has_any(i, &[Mark::It, Mark::Be]));
    let adopted = builder.current.is_some_and(|e| {
        !builder.events[e].bins.is_empty()
            || builder.events[e].kind == FactKind::Level
            || !builder.events[e].lots.is_empty()
    });
    let alone = clause.to - clause.from <= 3
        || (clause.from..at)
            .all(|i| scene.text.has(i, Mark::About) || answer(i) || scene.text.is(i, Cue::Adverb))
        || (clause.from..at).any(|i| scene.text.is(i, Cue::LevelNoun));
    if !(subject || adopted || alone)
        || scene.text.is(at, Cue::Empty) && !bin && fraction == 0.0 && clause.to - clause.from > 3
    {
        return false;
    }
    let event = builder.begin(FactKind::Level, index);
    let bins: Vec<BinRef> = builder.events[event].lots.drain(..).flat_map(|lot| lot.bins).collect();
    builder.events[event].bins.extend(bins);
    // `haven't sealed blue, it's only half full`
    if builder.events[event].bins.is_empty()
        && refers_back(builder, clause, at)
        && let Some(bin) = undone_before(builder, index)
    {
        builder.events[event].bins.push(bin);
    }
    if builder.events[event].bins.is_empty()
        && refers_back(builder, clause, at)
        && let Some(bins) = builder.events[..event].last().map(|e| {
            e.bins.iter().chain(e.lots.iter().flat_map(|lot| &lot.bins)).cloned().collect::<Vec<_>>()
        })
    {
        builder.events[event].bins = bins;
    }
    builder.events[event].slots.fraction = Some(fraction);
    true
}

/// `the wok is full`, `hands are full`: nothing that the room has.
fn is_of_stranger(builder: &Builder<'_, '_>, clause: &Clause, at: usize) -> bool {
    let text = &builder.scene.text;
    let strange = |i: usize| {
        let token = &text.tokens[i];
        token.is_word()
            && token.senses.is_empty()
            && token.name.is_none()
            && !token.corrected
            && english().is_ordinary(text.word(i))
    };
    let strange = |i: usize| strange(i) || text.has(i, Mark::KitchenPlace) && text.tokens[i].name.is_none();
    let is = |i: usize| text.has(i, Mark::Be) || text.is(i, Cue::TailS);
    // `hands full with the twins`
    let named = (clause.from..at).any(|i| text.tokens[i].name.is_some() || text.is_matter(i, Matter::Bin));
    let beside = at == clause.from + 1 && strange(at - 1) && !named;
    beside || (clause.from..at).any(|i| strange(i) && is(i + 1))
}

/// The bin of the sentence with which nothing was done.
fn undone_before(builder: &Builder<'_, '_>, index: usize) -> Option<BinRef> {
    let scene = builder.scene;
    let sentence = scene.clauses[index].sentence;
    let undone =
        scene.clauses[..index].iter().filter(|other| other.sentence == sentence && other.stance.negated);
    let mut named =
        undone.flat_map(|other| other.from..other.to).filter_map(|at| scene.text.name(at, NameKind::Bin));
    named.next().map(|name| BinRef::Known(name.index))
}

/// `it's half full` after a bin was named.
fn refers_back(builder: &Builder<'_, '_>, clause: &Clause, at: usize) -> bool {
    // `green has white mould and is a third full`
    let same = clause.joint == Joint::And && builder.scene.text.has(clause.from, Mark::Be);
    same || (clause.from..at).any(|i| builder.scene.text.has(i, Mark::It))
}

fn temperature(builder: &mut Builder<'_, '_>, index: usize, other: Option<FactKind>) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    let text = &scene.text;
    let acidity = || (clause.from..clause.to).any(|at| text.is(at, Cue::Acidity));
    if other.is_some_and(|kind| !matches!(kind, FactKind::Checked)) || acidity() {
        return false;
    }
    let place = (clause.from..clause.to).any(|at| {
        text.has(at, Mark::KitchenPlace) && !text.is(at, Cue::Inside) || text.is_matter(at, Matter::Soil)
    }) || !gist.plots.is_empty();
    // `temperature in kea: 23`
    let from =
        scene.clauses.iter().find(|other| other.sentence == clause.sentence).map_or(clause.from, |first| {
            // `kitchen temp, 21`
            let alone = clause.to - clause.from == 1 && text.is_pause(clause.from.wrapping_sub(1));
            if alone || text.is_word(clause.from.wrapping_sub(1), ":") { first.from } else { clause.from }
        });
    let noun = (from..clause.to).any(|at| text.has(at, Mark::Temperature));
    let below = |at: usize| (at + 1..clause.to.min(at + 4)).any(|i| text.is(i, Cue::Below));
    let held = holds_at(builder, clause, gist);
    let c = match gist.temperature {
        Some((c, at)) if c > 0.0 && below(at) => -c,
        Some((c, _)) => c,
        None if held.is_some() => in_celsius(held.unwrap_or_default(), Unit::Degree, scene.message.units),
        None => {
            let Some((count, at)) = gist.count else { return false };
            // `the herb bed is 3 by 2`: how big it is
            if text.is(at + 1, Cue::By) && text.digits(at + 2).is_some() {
                return false;
            }
            // `two more`; `green is at half`
            let share = count > 0.0 && count < 1.0;
            if share || text.is(at + 1, Cue::More) || text.is(at + 1, Cue::Less) {
                return false;
            }
            let minus = if below(at) { -1.0 } else { sign(text, at.wrapping_sub(1)).0 };
            let reads = text.is_act(at.wrapping_sub(1), Act::Read);
            let bin_at = !gist.bins.is_empty() && (text.is(at.wrapping_sub(1), Cue::At) || reads);
            // `kitchen 18 degrees, blue 22`
            let other = !gist.bins.is_empty() || !gist.plots.is_empty() || !gist.whens.is_empty() || place;
            let goes_on = builder.just(FactKind::Temperature) && other && clause.verb.is_none();
            let soil = clause.verb.is_none()
                && (clause.from..at).any(|i| text.is_matter(i, Matter::Soil))
                && (at + 1 >= clause.to || text.time(at + 1).is_some());
            let told = goes_on
                || soil
                || noun
                || (minus < 0.0
                    && (place || (clause.from..at).any(|i| text.is(i, Cue::Its) || text.has(i, Mark::It))))
                || ((place || bin_at) && states_number(text, clause, at));
            if !told || !gist.lots.is_empty() {
                return false;
            }
            in_celsius(count * minus, Unit::Degree, scene.message.units)
        }
    };
    let event = builder.begin(FactKind::Temperature, index);
    let lots: Vec<BinRef> = builder.events[event].lots.drain(..).flat_map(|lot| lot.bins).collect();
    // `have mercy, it's 94 out here`: the weather, whatever else is named.
    let outdoors = (clause.from..clause.to).any(|at| text.is(at, Cue::Outdoors));
    let here = &mut builder.events[event];
    here.bins.extend(lots);
    if outdoors {
        here.bins.clear();
    }
    here.slots.c = Some(c);
    if held.is_some() {
        here.whens.clear();
    }
    // `in the hot press`: wherever that is
    let somewhere = (clause.from..clause.to).any(|at| leads_to_a_place(builder.scene, clause, at));
    let here = &mut builder.events[event];
    here.elsewhere = here.bins.is_empty() && (place || outdoors || somewhere);
    here.count = None;
    true
}

/// `in the hot press`, not `at 16 degrees`, `at 2:15 pm`, `inside`.
fn leads_to_a_place(scene: &Scene<'_>, clause: &Clause, at: usize) -> bool {
    let text = &scene.text;
    let told = |at: usize| {
        scene
            .pieces
            .iter()
            .any(|piece| !matches!(piece.kind, PieceKind::Word) && (piece.from..piece.to).contains(&at))
    };
    let word = at + 1 < clause.to && text.tokens[at + 1].is_word();
    text.has(at, Mark::In) && word && !told(at) && !told(at + 1) && text.time(at + 1).is_none()
}

/// `shed's down to 4 degrees but green is at 16`: degrees, and no clock.
fn holds_at(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> Option<f64> {
    let text = &builder.scene.text;
    let goes_on = builder.just(FactKind::Temperature) && builder.goes_on(clause);
    let last = clause.to.checked_sub(1)?;
    let at = text.is(last.wrapping_sub(1), Cue::At);
    let degrees = text.digits(last).filter(|_| goes_on && at && !gist.bins.is_empty())?;
    gist.temperature.is_none().then_some(degrees)
}

/// `kitchen is 17`
fn states_number(text: &crate::text::Text<'_>, clause: &Clause, at: usize) -> bool {
    let be = (clause.from..at).any(|i| {
        text.has(i, Mark::Be)
            || text.is(i, Cue::Its)
            || text.senses(i).iter().any(|s| matches!(s, Sense::Verb(crate::lexicon::Act::Read, _)))
    });
    be && (at + 1 >= clause.to
        || text.time(at + 1).is_some()
        || text.has_any(at + 1, &[Mark::In, Mark::Then, Mark::KitchenPlace]))
}
