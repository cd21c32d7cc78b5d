//! Parts of one amount: `300 ml, half to the roses, half down the sink`, `6 litres of peel, 4 in green and the rest in blue`.

use crate::amount::{Amount, AmountSize};
use crate::clause::{BinRef, Clause, PieceKind, destination};
use crate::lexicon::{Act, Cue, Mark, Sense};
use crate::name::NameKind;
use crate::number;
use crate::reading::{FactKind, Use};
use crate::scene::Scene;

use super::{Builder, Event};

/// A part of an amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Portion {
    Share(f64),
    Amount(Amount),
    /// A number in the unit of the whole.
    Count(f64),
    /// What is left of the whole.
    Rest,
}

/// Where a part went.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Target {
    Use(Use),
    Bin(BinRef),
}

/// Takes the clauses that only tell where parts of the amount just told went; false where they are no parts of it.
pub(super) fn take(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let Some(current) = builder.current else { return false };
    let event = &builder.events[current];
    let sentence = scene.clauses[index].sentence;
    if !is_whole(event) || event.sentence != sentence && event.kind != FactKind::Drained {
        return false;
    }
    let mut portions = Vec::new();
    let mut last = index;
    for (at, clause) in scene.clauses.iter().enumerate().skip(index) {
        let idle = clause
            .verb
            .is_none_or(|verb| matches!(verb.act, Act::Go | Act::Add | Act::Pour | Act::Get | Act::Give));
        let follows = clause.sentence == sentence || event.kind == FactKind::Drained && at == index;
        let more = if follows && idle { told_in(scene, clause, event.kind) } else { Vec::new() };
        if more.is_empty() {
            break;
        }
        portions.extend(more);
        last = at;
    }
    // `half on the lawn, half on the roses`: all of it on plants
    if let [(_, Target::Use(first)), rest @ ..] = &portions[..]
        && !rest.is_empty()
        && rest.iter().all(|(_, target)| *target == Target::Use(*first))
    {
        scene.note("parts of a whole", scene.clauses[index].from, scene.clauses[last].to);
        builder.taken_to = scene.clauses[last].to;
        builder.events[current].use_ = Some(*first);
        builder.events[current].clauses.1 = last;
        return true;
    }
    let named = |portion: &(Portion, Target)| {
        matches!(portion.0, Portion::Share(_) | Portion::Rest | Portion::Count(_))
    };
    let whole = Event { portions, ..event.clone() };
    // Half a litre by itself may be told of anything; parts that make the whole are its parts.
    let plain = whole.kind == FactKind::Drained && whole.portions.iter().all(named);
    if whole.portions.is_empty() || !plain && parts(scene, &whole, None).is_none() {
        return false;
    }
    scene.note("parts of a whole", scene.clauses[index].from, scene.clauses[last].to);
    builder.taken_to = scene.clauses[last].to;
    builder.events[current] = Event { clauses: (whole.clauses.0, last), ..whole };
    true
}

/// Bins between which an amount is split.
pub(super) struct Split {
    pub(super) bins: Vec<BinRef>,
    /// As much for each.
    pub(super) evenly: bool,
}

/// `split evenly between green and blue`, `shared between both`, `half in each`.
pub(super) fn split(scene: &Scene<'_>, event: &Event) -> Option<Split> {
    let text = &scene.text;
    let clauses = scene.clauses.iter().filter(|clause| clause.sentence == event.sentence && !clause.asks);
    let to = clauses.map(|clause| clause.to).max()?;
    let range = scene.clauses[event.clauses.0].from..to;
    let half = |at: usize| text.is(at, Cue::Half) && (at + 1..at + 3).any(|i| text.has(i, Mark::Each));
    let word = |at: &usize| text.is(*at, Cue::Evenly) || text.is(*at, Cue::Between) || half(*at);
    let from = range.clone().find(word)?;
    let named = range.clone().filter(|at| *at > from).filter_map(|at| text.name(at, NameKind::Bin));
    let mut bins: Vec<BinRef> = Vec::new();
    for bin in named.map(|name| BinRef::Known(name.index)).chain(event.all_bins()) {
        if !bins.contains(&bin) {
            bins.push(bin);
        }
    }
    let two = bins.len() == 2;
    let evenly = range.clone().any(|at| text.is(at, Cue::Evenly) || half(at) && two);
    (bins.len() > 1).then_some(Split { bins, evenly })
}

/// One amount, of which nothing is told yet where it went.
fn is_whole(event: &Event) -> bool {
    let one = event.lots.iter().filter(|lot| lot.amount.is_some()).count() == 1;
    let open = match event.kind {
        FactKind::Drained => event.use_.is_none(),
        FactKind::Scraps | FactKind::Bran => {
            event.bins.is_empty() && event.lots.iter().all(|lot| lot.bins.is_empty())
        }
        _ => false,
    };
    one && open && event.portions.is_empty()
}

/// The parts that a clause tells, where it opens with one, and where each went.
fn told_in(scene: &Scene<'_>, clause: &Clause, kind: FactKind) -> Vec<(Portion, Target)> {
    let mut starts: Vec<(usize, Portion)> = Vec::new();
    let mut from = clause.from;
    while let Some((at, portion, next)) =
        (from..clause.to).find_map(|at| portion(scene, at).map(|(portion, next)| (at, portion, next)))
    {
        starts.push((at, portion));
        from = next.max(at + 1);
    }
    if starts.first().is_none_or(|(at, _)| *at > clause.from + 1) {
        return Vec::new();
    }
    let end = |i: usize| starts.get(i + 1).map_or(clause.to, |(at, _)| *at);
    let target = |from: usize, to: usize| match kind {
        FactKind::Drained => {
            destination(&scene.text, &Clause { from, to, ..clause.clone() }).map(Target::Use)
        }
        _ => (from..to)
            .find_map(|at| scene.text.name(at, NameKind::Bin))
            .map(|name| Target::Bin(BinRef::Known(name.index))),
    };
    starts
        .iter()
        .enumerate()
        .filter_map(|(i, (at, portion))| Some((*portion, target(*at, end(i))?)))
        .collect()
}

/// `half`, `100 ml`, `100`, `the rest`, `the other kilo` at a token, and the token after it.
fn portion(scene: &Scene<'_>, at: usize) -> Option<(Portion, usize)> {
    let text = &scene.text;
    let measure = |at: usize| {
        text.is(at, Cue::Half)
            || text.is(at, Cue::One)
            || text.unit(at).is_some()
            || text.digits(at).is_some()
            || text.senses(at).iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
    };
    if text.is(at, Cue::Rest) || (text.is(at, Cue::Other) || text.is(at, Cue::TheOther)) && measure(at + 1) {
        return Some((Portion::Rest, at + 1));
    }
    // `the other half` is one part
    if text.is(at.wrapping_sub(1), Cue::Other)
        || text.is(at.wrapping_sub(1), Cue::TheOther)
        || text.digits(at.wrapping_sub(1)).is_some()
    {
        return None;
    }
    let number = number::read(text, at).filter(|_| !text.has(at, Mark::A))?;
    if number.share {
        return Some((Portion::Share(number.value), number.next));
    }
    let amount = scene.pieces.iter().find(|piece| piece.from == at).and_then(|piece| match piece.kind {
        PieceKind::Amount(amount) => Some(amount),
        _ => None,
    });
    Some((amount.map_or(Portion::Count(number.value), Portion::Amount), number.next))
}

/// The parts with where each went, where together they are the whole.
pub(super) fn parts(scene: &Scene<'_>, event: &Event, bin: Option<&BinRef>) -> Option<Vec<(Amount, Target)>> {
    let whole = event.lots.iter().find_map(|lot| lot.amount)?;
    let liquid = event.kind == FactKind::Drained;
    let size = |amount: Amount| {
        let (ml, g) = scene.size(amount, liquid, bin);
        ml.or(g)
    };
    let all = size(whole).filter(|all| *all > 0.0)?;
    let share = |portion: Portion| match portion {
        Portion::Share(share) => Some(share),
        Portion::Amount(amount) if is_mass(amount) == is_mass(whole) => size(amount).map(|part| part / all),
        Portion::Count(count) => size(whole.of_count(count)).map(|part| part / all),
        Portion::Amount(_) | Portion::Rest => None,
    };
    let is_rest = |(portion, _): &&(Portion, Target)| *portion == Portion::Rest;
    if event.portions.iter().any(|portion| !is_rest(&portion) && share(portion.0).is_none()) {
        return None;
    }
    let told: f64 = event.portions.iter().filter_map(|(portion, _)| share(*portion)).sum();
    let rests = event.portions.iter().filter(is_rest).count();
    let rest = 1.0 - told;
    let adds_up = if rests == 1 { rest > 0.0 } else { rests == 0 && rest.abs() <= 0.01 };
    adds_up.then(|| {
        let of = |(portion, target): &(Portion, Target)| {
            (whole.times(share(*portion).unwrap_or(rest)), target.clone())
        };
        event.portions.iter().map(of).collect()
    })
}

fn is_mass(amount: Amount) -> bool {
    matches!(amount.size, AmountSize::Grams(_) | AmountSize::Ounces(..))
}
