//! Amounts listed after the bins or the times that they belong to: `drained green at 8 and blue at 9, 200 and 150 ml`.

use crate::clause::{Lot, Piece, PieceKind};
use crate::lexicon::Cue;
use crate::scene::Scene;
use crate::time::When;

use super::Event;
use crate::clause::counts_nothing;

/// Gives each listed amount its bin or its time, an event for each.
pub(super) fn spread(scene: &Scene<'_>, events: Vec<Event>) -> Vec<Event> {
    let mut out: Vec<Event> = Vec::with_capacity(events.len());
    for mut event in events {
        if in_order(scene, &mut event) {
            out.push(event);
            continue;
        }
        let waiting = waiting(&out, &event);
        let times = moments(&event.whens);
        let wanted = if waiting > 0 { waiting + 1 } else { event.bins.len().max(times.len()) };
        if wanted < 2 || !event.counts() {
            out.push(event);
            continue;
        }
        with_counts(scene, &mut event, wanted);
        // `1 l on monday, 2 l on tuesday to green`: the bin at the end is that of all.
        if let [others @ .., last] = &mut event.lots[..]
            && times.len() == wanted
            && event.bins.is_empty()
            && last.bins.len() == 1
            && others.iter().all(|lot| lot.bins.is_empty())
        {
            event.bins = std::mem::take(&mut last.bins);
        }
        let listed = event.lots.iter().all(|lot| lot.amount.is_some() && lot.bins.is_empty() && !lot.each);
        if event.lots.len() != wanted || !listed {
            out.push(event);
            continue;
        }
        let lots = std::mem::take(&mut event.lots);
        if waiting > 0 {
            let from = out.len() - waiting;
            out.push(event);
            out[from..].iter_mut().zip(lots).for_each(|(event, lot)| event.lots = vec![lot]);
            continue;
        }
        let each = |(i, lot): (usize, Lot)| {
            let mut one = Event { lots: vec![lot], ..event.clone() };
            if event.bins.len() == wanted {
                one.bins = vec![event.bins[i].clone()];
            }
            if times.len() == wanted {
                one.whens = vec![times[i]];
            }
            one
        };
        out.extend(lots.into_iter().enumerate().map(each));
    }
    out
}

/// `3 l and 2 l to green and blue respectively`: each lot to its bin; as many of both, or nobody knows which.
fn in_order(scene: &Scene<'_>, event: &mut Event) -> bool {
    let sentence = scene.clauses.iter().filter(|clause| clause.sentence == event.sentence);
    let said = sentence.flat_map(|clause| clause.from..clause.to).any(|at| scene.text.is(at, Cue::InOrder));
    let bins = event.all_bins();
    if !said || event.lots.len() < 2 || bins.len() < 2 || event.lots.iter().any(|lot| lot.amount.is_none()) {
        return false;
    }
    event.bins.clear();
    let as_many = bins.len() == event.lots.len();
    for (i, lot) in event.lots.iter_mut().enumerate() {
        (lot.bins, lot.each) = (if as_many { vec![bins[i].clone()] } else { bins.clone() }, false);
    }
    true
}

/// How many events before this one, of its kind and sentence, still lack the amount that it lists.
fn waiting(before: &[Event], event: &Event) -> usize {
    before
        .iter()
        .rev()
        .take_while(|other| {
            other.kind == event.kind
                && other.sentence == event.sentence
                && other.lots.is_empty()
                && !other.vague
        })
        .count()
}

/// In `200 and 150 ml` the first number has the unit of the second, in `300 ml and 80` the second that of the first.
fn with_counts(scene: &Scene<'_>, event: &mut Event, wanted: usize) {
    let (from, to) = (scene.clauses[event.clauses.0].from, scene.clauses[event.clauses.1].to);
    let of = |piece: &&Piece| piece.from >= from && piece.to <= to;
    let counts = scene.pieces.iter().filter(of).filter_map(|piece| match piece.kind {
        PieceKind::Count(count) if counts_nothing(&scene.text, piece.from) => Some((count, piece.from)),
        _ => None,
    });
    let counts: Vec<(f64, usize)> = counts.collect();
    let [only] = &event.lots[..] else { return };
    let Some(amount) = only.amount.filter(|_| counts.len() + 1 == wanted) else { return };
    let alike = |(count, at)| Lot {
        amount: Some(amount.of_count(count)),
        at,
        foods: only.foods.clone(),
        ..Lot::default()
    };
    let more: Vec<Lot> = counts.into_iter().map(alike).collect();
    event.lots.extend(more);
    event.lots.sort_by_key(|lot| lot.at);
    event.count = None;
}

/// The times that the words tell, each whole; a later clock time is of the day told before it.
fn moments(whens: &[When]) -> Vec<When> {
    let mut out: Vec<When> = Vec::new();
    for when in whens.iter().filter(|when| when.is_moment() && when.flag.is_none()) {
        match out.last_mut() {
            Some(last) => match last.and(*when) {
                Some(both) => *last = both,
                None => {
                    let date = when.date.or(last.date);
                    out.push(When { date, ..*when });
                }
            },
            None => out.push(*when),
        }
    }
    out
}
