//! Bins and plots of the room whose size or tap is told: `green holds 19 litres`, `blue has no tap`.

use crate::amount::AmountSize;
use crate::clause::{BinRef, Piece, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::reading::FactKind;

use super::{Builder, measure};

/// Opens an event where the clause sizes a bin, a plot or a measure.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    measure::open(builder, index)
        || plot_sized(builder, index)
        || sized(builder, index)
        || tap(builder, index)
}

/// `the east bed is 3 by 10 ft`, `south: 4 m²`, `we measured the herb bed, it's 2 by 1 m`
fn plot_sized(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
    let works = |act: Act| matches!(act, Act::Plant | Act::Bury | Act::Add | Act::Sprinkle | Act::Pour);
    if gist.area.is_none() || clause.verb.is_some_and(|verb| works(verb.act)) {
        return false;
    }
    // Where nothing was told of a plot just spoken of, it is its size.
    let before = || {
        let near = |other: usize| scene.clauses[other].sentence + 1 >= clause.sentence;
        let told = builder.events.iter().any(|event| near(event.clauses.1));
        let plot =
            (0..index).rev().filter(|other| near(*other)).find_map(|other| scene.gists[other].plots.first());
        plot.filter(|_| !told && scene.message.direct)
    };
    let Some((plot, _)) = gist.plots.first().or_else(before).copied() else { return false };
    let event = builder.begin(FactKind::PlotSet, index);
    let event = &mut builder.events[event];
    event.plots = vec![plot];
    event.slots.area_m2 = gist.area;
    true
}

/// `green holds 19 litres`, `basement bin: 60 litres`
fn sized(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let (clause, gist, text) = (&scene.clauses[index], &scene.gists[index], &scene.text);
    let holds = (clause.from..clause.to)
        .any(|at| text.is_act(at, Act::Hold) || text.is(at, Cue::Capacity) || text.is(at, Cue::Takes));
    let bin = gist
        .bins
        .first()
        .map(|(bin, _)| bin.clone())
        .or_else(|| gist.lots.iter().find_map(|lot| lot.bins.first().cloned()))
        .or_else(|| measured_before(builder, index));
    let is = gist.bins.first().is_some_and(|(_, at)| {
        text.has(at + 1, Mark::Be) || text.is_matter(at + 1, Matter::Bin) && text.has(at + 2, Mark::Be)
    });
    let volume = gist.lots.iter().find_map(|lot| match lot.amount.map(|amount| amount.size) {
        Some(AmountSize::Millilitres(ml)) if lot.foods.is_empty() && lot.matter.is_none() => Some(ml),
        _ => None,
    });
    // `set blue to 16 litres`
    let set = scene.message.direct
        && clause.verb.is_some_and(|verb| verb.act == Act::Set)
        && (clause.from..clause.to).any(|at| {
            let measured = |piece: &Piece| piece.from == at + 1 && matches!(piece.kind, PieceKind::Amount(_));
            text.is(at, Cue::To) && scene.pieces.iter().any(measured)
        });
    let (Some(bin), Some(ml)) = (bin, volume) else { return false };
    // `measured 200 ml from blue`: what came out of it
    let drawn = |piece: &Piece| {
        (clause.from..clause.to).contains(&piece.from)
            && matches!(piece.kind, PieceKind::Amount(_))
            && text.has(piece.to, Mark::From)
    };
    if scene.pieces.iter().any(drawn) {
        return false;
    }
    // `blue's had 2 litres today`
    let had = (clause.from..clause.to).any(|at| text.is(at, Cue::HasHad));
    if !(holds || set || is && !had && clause.verb.is_none()) {
        return false;
    }
    let event = builder.begin(FactKind::BinSet, index);
    let event = &mut builder.events[event];
    event.lots.clear();
    event.bins = vec![bin];
    event.slots.capacity_ml = Some(ml);
    true
}

/// `I measured green, it holds 18 litres`
fn measured_before(builder: &Builder<'_, '_>, index: usize) -> Option<BinRef> {
    let scene = builder.scene;
    let (clause, before) = (&scene.clauses[index], index.checked_sub(1)?);
    let measures = scene.clauses[before].verb.is_some_and(|verb| verb.act == Act::Hold);
    let it = scene.text.has(clause.from, Mark::It);
    let [(bin, _)] = &scene.gists[before].bins[..] else { return None };
    (measures && it && scene.clauses[before].sentence + 1 >= clause.sentence).then(|| bin.clone())
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
