//! Bins, plots and measures that are named or sized: `new bin: basement, 60 litres, no tap`.

use crate::amount::{Amount, AmountSize};
use crate::clause::{Clause, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::text::Kind;

use super::Builder;

/// Opens an event where the clause names or sizes a bin, a plot or a measure, or goes on with one.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    measure(builder, index)
        || new_thing(builder, index)
        || sized(builder, index)
        || tap(builder, index)
        || goes_on(builder, index)
}

/// `our caddy holds 5 litres`, `a mug is 350 ml`, `1 dabba = 2 litres`
pub(super) fn measure(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let skipped = |at: usize| {
        text.has_any(
            at,
            &[Mark::The, Mark::A, Mark::I, Mark::Size, Mark::And, Mark::Each, Mark::Bot, Mark::Hello],
        ) || text.is_sign(at, '@')
            || text.is(at, Cue::SetupOpening)
    };
    let mut at = clause.from;
    while at < clause.to && skipped(at) {
        at += 1;
    }
    if at >= clause.to {
        return false;
    }
    let known = text.name(at, NameKind::Measure).map(|name| name.index);
    // A bucket is a bin.
    let kitchen = text
        .sense(at, |s| if let Sense::Kitchen(name, _) = s { Some(name) } else { None })
        .filter(|name| *name != "bucket");
    let mut end = at + 1;
    let held = |i: usize| {
        text.is_act(i, Act::Hold) || text.has(i, Mark::Be) || text.is_sign(i, '=') || text.is(i, Cue::Equals)
    };
    // A measure of the room's own may have any name: `the pudding basin holds 1.5 l`.
    while end < clause.to && !held(end) && end < at + 4 {
        end += 1;
    }
    if end >= clause.to || !held(end) {
        return false;
    }
    let holds = text.is_act(end, Act::Hold) || text.is(end, Cue::Takes) || text.is_sign(end, '=');
    let name = match (known, kitchen) {
        (Some(index), _) => scene.message.measures.keys().nth(index).cloned(),
        (None, Some(name)) if end == at + 1 || end == at + 2 && text.is(at + 1, Cue::Here) => {
            Some(name.to_owned())
        }
        _ if end > at
            && !holds
            && text.is(end, Cue::Is)
            && at > clause.from
            && (at..end).all(|i| {
                text.tokens[i].senses.is_empty() && text.tokens[i].name.is_none() && text.tokens[i].is_word()
            }) =>
        {
            Some(text.words(at, end).to_lowercase())
        }
        _ if holds
            && (at..end).all(|i| {
                text.name(i, NameKind::Bin).is_none()
                    && !(text.is_matter(i, Matter::Bin) && text.is(i, Cue::BinOrBucket))
                    && !text.has(i, Mark::It)
            })
            && (at..end).all(|i| text.tokens[i].is_word() && !text.has_any(i, &[Mark::I, Mark::You])) =>
        {
            Some(text.words(at, end).to_lowercase())
        }
        _ => None,
    };
    let Some(name) = name.filter(|name| !name.is_empty()) else { return false };
    let Some(ml) = volume_after(builder, clause, end) else { return false };
    // `that tub was 1.5 litres, not 2`: what was put in, put right.
    if text.is(end, Cue::ShouldBe) && (end..clause.to).any(|at| text.is(at, Cue::Not)) {
        return false;
    }
    let event = builder.begin(FactKind::MeasureSet, index);
    let event = &mut builder.events[event];
    event.lots.clear();
    event.bins.clear();
    event.slots.measure = Some(name);
    event.slots.ml = Some(ml);
    true
}

fn volume_after(builder: &Builder<'_, '_>, clause: &Clause, from: usize) -> Option<f64> {
    builder.scene.pieces.iter().filter(|piece| piece.from > from && piece.to <= clause.to).find_map(|piece| {
        match piece.kind {
            PieceKind::Amount(Amount {
                size: AmountSize::Millilitres(ml) | AmountSize::Ounces(_, ml),
                ..
            }) => Some(ml),
            _ => None,
        }
    })
}

/// `new bin green, 19 litres`, `got a new bed called south`
fn new_thing(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let Some(new) = (clause.from..clause.to).find(|at| {
        text.has(*at, Mark::New) && !text.is(*at, Cue::Another)
            || adds_named(text, clause, *at)
            || introduces(builder, index, *at)
    }) else {
        return false;
    };
    let Some(noun) = (new + 1..clause.to.min(new + 6))
        .find(|at| text.is_matter(*at, Matter::Bin) || text.is_matter(*at, Matter::Plot))
    else {
        return false;
    };
    let between_ok = (new + 1..noun).all(|at| {
        text.has_any(at, &[Mark::Size, Mark::A, Mark::The, Mark::New])
            || text.tokens[at].senses.is_empty()
            || text.matter(at).is_some()
            || matches!(text.kind(at), Some(Kind::Number(_)))
            || text.unit(at).is_some()
    });
    if !between_ok
        || clause
            .verb
            .is_some_and(|verb| matches!(verb.act, Act::Start | Act::Drain | Act::Seal | Act::Plant))
    {
        return false;
    }
    let bin = text.is_matter(noun, Matter::Bin);
    let kind = if bin { FactKind::BinSet } else { FactKind::PlotSet };
    let named_next = scene.clauses.get(index + 1).is_some_and(|next| names_it(text, next));
    let named_here = !named_next || text.is_act(noun + 1, Act::Call);
    let name = || name_after(builder, index, noun + 1).or_else(|| name_before(builder, index, new, noun));
    let name = if named_here { name() } else { None };
    if name.is_none() && !text.is_stop(clause.to) && !named_next {
        return false;
    }
    let event = builder.begin(kind, index);
    let event = &mut builder.events[event];
    event.bins.clear();
    event.plots.clear();
    if bin {
        event.slots.bin = name;
    } else {
        event.slots.plot = name;
    }
    size_into(builder, index);
    true
}

/// `add a bin named cellar`, `another bin: red`
fn adds_named(text: &crate::text::Text<'_>, clause: &Clause, at: usize) -> bool {
    let adds = text.is_act(at, Act::Add)
        || text.is_act(at, Act::Set)
        || text.is_act(at, Act::Get)
        || text.is(at, Cue::Registers);
    let thing = |i: usize| text.is_matter(i, Matter::Bin) || text.is_matter(i, Matter::Plot);
    let noun = (at + 1..clause.to.min(at + 4)).find(|i| thing(*i));
    let named = noun.is_some_and(|noun| {
        text.is_act(noun + 1, Act::Call) || noun + 1 == clause.to && text.is_word(noun + 1, ":")
    });
    adds && named
}

/// `I have a 20 litre bucket, call it spot`, `we've a raised bed called roses, 2 by 1 m`: what one tells us one has is to be known,
/// where it gets a name.
fn introduces(builder: &Builder<'_, '_>, index: usize, at: usize) -> bool {
    let scene = builder.scene;
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let thing = |i: usize| text.is_matter(i, Matter::Bin) || text.is_matter(i, Matter::Plot);
    // `my bin is called dora`
    if scene.message.direct && text.is(at, Cue::MyOrOur) && thing(at + 1) {
        return text.has(at + 2, Mark::Be) && text.is_act(at + 3, Act::Call);
    }
    let has = text.has(at, Mark::Have) || text.is_act(at, Act::Get) || text.is_act(at, Act::Use);
    let mine = (clause.from..at).all(|i| text.has_any(i, &[Mark::I, Mark::Have, Mark::Hello, Mark::And]));
    if !(scene.message.direct && has && mine) {
        return false;
    }
    let Some(noun) = (at + 1..clause.to.min(at + 7)).find(|i| thing(*i)) else { return false };
    let called = text.is_act(noun + 1, Act::Call);
    called || scene.clauses.get(index + 1).is_some_and(|next| names_it(text, next))
}

/// `call it spot`, `name is spot`
fn names_it(text: &crate::text::Text<'_>, clause: &Clause) -> bool {
    text.is_act(clause.from, Act::Call) && clause.to - clause.from <= 5
}

/// A new name after its noun: `called X`, `: X`, or right after it.
fn name_after(builder: &Builder<'_, '_>, index: usize, from: usize) -> Option<String> {
    let scene = builder.scene;
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let mut at = from;
    while at < clause.to
        && (text.is_act(at, Act::Call)
            || text.is(at, Cue::AroundName)
            || text.is_sign(at, '"')
            || text.is_sign(at, '\''))
    {
        at += 1;
    }
    // `oops`, `please`, `half`: words that come before a name, or in place of one.
    let never = [Mark::Sorry, Mark::Please, Mark::Laugh, Mark::It];
    if text.tokens.get(at).is_some_and(|token| token.name.is_none())
        && (text.has_any(at, &never) || text.is(at, Cue::NeverName))
    {
        return None;
    }
    // `new bed behind the shed`: where it is, not how it is called
    if text.has(at, Mark::In) && text.tokens[at].name.is_none() {
        return None;
    }
    let end = (at..clause.to)
        .find(|i| {
            scene.pieces.iter().any(|piece| {
                piece.from == *i
                    && piece.kind != PieceKind::Word
                    && !matches!(piece.kind, PieceKind::Count(_))
            }) || text.is_stop(*i)
                || text.is_sign(*i, '"')
                || text.has_any(*i, &[Mark::With, Mark::No, Mark::Be])
                || *i > at && text.is(*i, Cue::AfterName)
                || text.is_act(*i, Act::Hold)
        })
        .unwrap_or(clause.to);
    let name = text.words(at, end);
    (!name.is_empty() && end - at <= 4).then_some(name)
}

/// `a new green bin`, `new herb bed`
fn name_before(builder: &Builder<'_, '_>, index: usize, new: usize, noun: usize) -> Option<String> {
    let text = &builder.scene.text;
    let words: Vec<usize> = (new + 1..noun)
        .filter(|at| {
            !text.has_any(*at, &[Mark::Size, Mark::A, Mark::The])
                && text.unit(*at).is_none()
                && text.digits(*at).is_none()
                && text.matter(*at).is_none()
        })
        .collect();
    let (first, last) = (*words.first()?, *words.last()?);
    // The name may follow in the next clause: `new bin: basement`.
    let colon = text.word(builder.scene.clauses[index].to) == ":";
    let _ = index;
    (!colon).then(|| text.words(first, last + 1))
}

/// `green holds 19 litres`, `the east bed is 3 by 10 ft`, `basement bin: 60 litres`
fn sized(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist, text) = (&scene.clauses[index], &scene.gists[index], &scene.text);
    if gist.area.is_some()
        && !gist.plots.is_empty()
        && !clause.verb.is_some_and(|verb| matches!(verb.act, Act::Plant | Act::Bury))
    {
        let plot = gist.plots[0].0;
        let event = builder.begin(FactKind::PlotSet, index);
        let event = &mut builder.events[event];
        event.plots = vec![plot];
        event.slots.area_m2 = gist.area;
        return true;
    }
    let holds = (clause.from..clause.to)
        .any(|at| text.is_act(at, Act::Hold) || text.is(at, Cue::Capacity) || text.is(at, Cue::Takes));
    let bin = gist
        .bins
        .first()
        .map(|(bin, _)| bin.clone())
        .or_else(|| gist.lots.iter().find_map(|lot| lot.bins.first().cloned()));
    let is = gist.bins.first().is_some_and(|(_, at)| {
        text.has(at + 1, Mark::Be) || text.is_matter(at + 1, Matter::Bin) && text.has(at + 2, Mark::Be)
    });
    let volume = gist.lots.iter().find_map(|lot| match lot.amount.map(|amount| amount.size) {
        Some(AmountSize::Millilitres(ml)) if lot.foods.is_empty() && lot.matter.is_none() => Some(ml),
        _ => None,
    });
    let (Some(bin), Some(ml)) = (bin, volume) else { return false };
    // `blue's had 2 litres today`
    let had = (clause.from..clause.to).any(|at| text.is(at, Cue::HasHad));
    if !(holds || is && !had && clause.verb.is_none()) {
        return false;
    }
    let event = builder.begin(FactKind::BinSet, index);
    let event = &mut builder.events[event];
    event.lots.clear();
    event.bins = vec![bin];
    event.slots.capacity_ml = Some(ml);
    true
}

/// `green has no tap`
fn tap(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist, text) = (&scene.clauses[index], &scene.gists[index], &scene.text);
    let Some(tap) = (clause.from..clause.to).find(|at| text.is_matter(*at, Matter::Tap)) else {
        return false;
    };
    let between = |at: usize| {
        (at + 1..tap).all(|i| {
            text.has_any(i, &[Mark::A, Mark::No, Mark::Not, Mark::OutOf, Mark::New, Mark::Size])
                || text.senses(i).is_empty()
                || text.is(i, Cue::Got)
        })
    };
    let has =
        (clause.from..tap).any(|at| (text.has(at, Mark::Have) || text.is(at, Cue::TailS)) && between(at));
    if !has || gist.bins.is_empty() || clause.verb.is_some() {
        return false;
    }
    let none = (clause.from..tap).any(|at| text.has_any(at, &[Mark::No, Mark::Not, Mark::OutOf]));
    let event = builder.begin(FactKind::BinSet, index);
    builder.events[event].slots.tap = Some(!none);
    true
}

/// What follows a new bin or plot: its name after a colon, its size, its tap.
fn goes_on(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let clause = &scene.clauses[index];
    let Some(current) = builder.current else { return false };
    let kind = builder.events[current].kind;
    if !matches!(kind, FactKind::BinSet | FactKind::PlotSet)
        || builder.events[current].clauses.1 + 1 != index
        || clause.verb.is_some_and(|verb| !matches!(verb.act, Act::Call | Act::Hold | Act::Take))
    {
        return false;
    }
    let unnamed = match kind {
        FactKind::BinSet => {
            builder.events[current].slots.bin.is_none() && builder.events[current].bins.is_empty()
        }
        _ => builder.events[current].slots.plot.is_none() && builder.events[current].plots.is_empty(),
    };
    if unnamed {
        let name = name_after(builder, index, clause.from);
        let event = &mut builder.events[current];
        if kind == FactKind::BinSet { event.slots.bin = name } else { event.slots.plot = name }
    }
    builder.events[current].clauses.1 = index;
    size_into(builder, index);
    true
}

/// Puts the size and the tap that the clause tells into the current event.
fn size_into(builder: &mut Builder<'_, '_>, index: usize) {
    let scene = builder.scene;
    let (clause, gist, text) = (&scene.clauses[index], &scene.gists[index], &scene.text);
    let Some(current) = builder.current else { return };
    let volume =
        scene.pieces.iter().filter(|piece| piece.from >= clause.from && piece.to <= clause.to).find_map(
            |piece| match piece.kind {
                PieceKind::Amount(Amount { size: AmountSize::Millilitres(ml), .. }) => Some(ml),
                _ => None,
            },
        );
    let event = &mut builder.events[current];
    event.lots.clear();
    if event.kind == FactKind::BinSet {
        event.slots.capacity_ml = event.slots.capacity_ml.or(volume);
        if let Some(tap) = (clause.from..clause.to).find(|at| text.is_matter(*at, Matter::Tap)) {
            let none = (clause.from..tap)
                .any(|at| text.has_any(at, &[Mark::No, Mark::Not, Mark::OutOf]) || text.is(at, Cue::Without))
                || text.is(tap + 1, Cue::Less);
            event.slots.tap = Some(!none);
        }
    } else {
        event.slots.area_m2 = event.slots.area_m2.or(gist.area);
    }
    event.vague = false;
}
