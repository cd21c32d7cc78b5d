//! Measures of the room's own: `our caddy holds 5 litres`, `a mug is 350 ml`, `1 dabba = 2 litres`.

use crate::amount::{Amount, AmountSize};
use crate::clause::{Clause, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;

use super::Builder;

/// No household measure is as big as a bin, millilitres.
const BIN_FROM: f64 = 7_000.0;

/// Opens an event where the clause, or all of its sentence, tells how much a measure holds.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let clause = &scene.clauses[index];
    // `my bag holds 20 litres`, among others, is talk; `our bowl holds 2 litres` tells what all measure with.
    let text = &scene.text;
    let shared =
        (clause.from..clause.to).any(|at| text.is(at, Cue::OfUsAll) || text.senses(at).iter().any(is_vessel));
    let holds = (clause.from..clause.to).any(|at| text.is_act(at, Act::Hold));
    if !(scene.message.direct || shared && holds) {
        return false;
    }
    let end = end_of(scene, index);
    let (told, to) = if let Some(told) = in_clause(scene, clause, end) {
        (told, end)
    } else if let Some(told) = in_sentence(scene, index) {
        told
    } else {
        return false;
    };
    let told = Held { bin: told.bin && scene.message.direct, ..told };
    let event = builder.begin(if told.bin { FactKind::BinSet } else { FactKind::MeasureSet }, index);
    let event = &mut builder.events[event];
    event.lots.clear();
    event.bins.clear();
    if told.bin {
        (event.slots.bin, event.slots.capacity_ml) = (Some(told.name), Some(told.ml));
    } else {
        (event.slots.measure, event.slots.ml) = (Some(told.name.to_lowercase()), Some(told.ml));
    }
    event.clauses.1 = scene.clauses.iter().rposition(|clause| clause.from < to).unwrap_or(index);
    builder.taken_to = to;
    true
}

fn is_vessel(sense: &Sense) -> bool {
    matches!(sense, Sense::Kitchen(..))
}

/// Where a clause ends, or the one that its last word leads to: `a tin that holds 900 ml`.
fn end_of(scene: &Scene<'_>, index: usize) -> usize {
    let (clause, text) = (&scene.clauses[index], &scene.text);
    let leads = text.is(clause.to - 1, Cue::That) || text.has(clause.to - 1, Mark::Which);
    scene.clauses.get(index + 1).filter(|_| leads).map_or(clause.to, |next| next.to)
}

/// What holds how much.
struct Held {
    name: String,
    ml: f64,
    /// It can be but a bin.
    bin: bool,
}

/// `our caddy holds 5 litres`: the measure, `holds` or `is`, and how much.
fn in_clause(scene: &Scene<'_>, clause: &Clause, to: usize) -> Option<Held> {
    let text = &scene.text;
    let from = (clause.from..clause.to).find(|at| !leads(scene, *at))?;
    let held = (from + 1..to).find(|at| is_held(scene, *at) && volume(scene, *at + 1, to).is_some())?;
    let ml = volume(scene, held + 1, to)?;
    // `that tub was 1.5 litres, not 2`: what was put in, put right.
    if text.is(held, Cue::ShouldBe) && (held..to).any(|at| text.is(at, Cue::Not)) {
        return None;
    }
    let holds = text.is_act(held, Act::Hold) || text.is(held, Cue::Takes) || text.is_sign(held, '=');
    let (end, ours) = without_relative(scene, from, held);
    if end < held && !(holds || ours) {
        return None;
    }
    // `the amount was 2 litres` puts something right.
    let present =
        holds || !text.has(held, Mark::Be) || text.is(held, Cue::IsOrAre) || text.is(held, Cue::TailS);
    let named = || named(scene, clause.from, from, end, holds).filter(|_| present);
    let name = measure_at(scene, from, end).or_else(named)?;
    let bare = from == clause.from && end == from + 1 && known_measure(scene, from).is_none();
    Some(Held { name, ml, bin: bare && ml >= BIN_FROM && text.is_act(held, Act::Hold) })
}

/// Words before the measure: `hi, our`, `one`, `we use a`, `measured the`.
fn leads(scene: &Scene<'_>, at: usize) -> bool {
    const OPENING: [Mark; 8] =
        [Mark::The, Mark::A, Mark::I, Mark::Size, Mark::And, Mark::Each, Mark::Bot, Mark::Hello];
    let text = &scene.text;
    text.tokens[at].name.is_none()
        && (text.has_any(at, &OPENING)
            || text.is_sign(at, '@')
            || text.is(at, Cue::SetupOpening)
            || (text.has(at, Mark::Have) || text.is_act(at, Act::Use))
                && text.has_any(at + 1, &[Mark::A, Mark::The]))
}

fn is_held(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    text.is_act(at, Act::Hold)
        || text.has(at, Mark::Be)
        || text.is_sign(at, '=')
        || text.is(at, Cue::Equals)
        || text.is_act(at, Act::Mean)
}

/// How much is told from `from` on, with no more than a few words before it.
fn volume(scene: &Scene<'_>, from: usize, to: usize) -> Option<f64> {
    let piece = scene
        .pieces
        .iter()
        .find(|piece| piece.from >= from && !matches!(piece.kind, PieceKind::Word | PieceKind::When(_)))?;
    match piece.kind {
        PieceKind::Amount(Amount {
            size: AmountSize::Millilitres(ml) | AmountSize::Ounces(_, ml),
            vessel: false,
            ..
        }) if piece.to <= to
            && piece.from <= from + 3
            // `measured 350 ml out of the tap`: what came out of it
            && !scene.text.has_any(piece.to, &[Mark::Of, Mark::From]) =>
        {
            Some(ml)
        }
        _ => None,
    }
}

/// `the yoghurt tub we use`, `a beaker at ours`: where the name ends before `to`, and whether what follows says but whose it is.
fn without_relative(scene: &Scene<'_>, from: usize, to: usize) -> (usize, bool) {
    let text = &scene.text;
    let relative = |at: usize| text.has_any(at, &[Mark::I, Mark::Which]) || text.is(at, Cue::That);
    // `the caddy in this house`, `the jug on the counter`
    let stands = |at: usize| text.has(at, Mark::In) && known_measure(scene, at - 1).is_some();
    let whose = |at: usize| {
        (text.has(at, Mark::Of) || text.is(at, Cue::For) || text.is(at, Cue::At)) && text.has(at + 1, Mark::I)
    };
    let to = (from + 1..=to).rfind(|at| !text.is(at - 1, Cue::Adverb)).unwrap_or(to);
    let ends = |at: &usize| relative(*at) || whose(*at) || stands(*at) || text.is(*at, Cue::Here);
    let Some(end) = (from + 1..to).find(ends) else { return (to, true) };
    let used = (end..to).any(|at| text.is_act(at, Act::Use) || text.has(at, Mark::Have));
    (end, whose(end) || stands(end) || text.is(end, Cue::Here) || used)
}

/// The room's measure at a token.
fn known_measure(scene: &Scene<'_>, at: usize) -> Option<String> {
    let text = &scene.text;
    if let Some(known) = text.name(at, NameKind::Measure) {
        return scene.message.measures.keys().nth(known.index).cloned();
    }
    // A bucket is a bin.
    text.sense(at, |sense| if let Sense::Kitchen(name, _) = sense { Some(name) } else { None })
        .filter(|name| *name != "bucket")
        .map(str::to_owned)
}

/// The room's measure that the tokens name.
fn measure_at(scene: &Scene<'_>, from: usize, to: usize) -> Option<String> {
    known_measure(scene, from).filter(|_| to == from + 1)
}

/// A measure of the room's own may have any name: `the pudding basin holds 1.5 l`, `our dabba is 2 litres`.
fn named(scene: &Scene<'_>, clause: usize, from: usize, to: usize, holds: bool) -> Option<String> {
    let text = &scene.text;
    let words = (from..to).all(|i| text.tokens[i].is_word() && !text.has_any(i, &[Mark::I, Mark::You]));
    if to == from || to - from > 3 || !words {
        return None;
    }
    // `our salt bucket`: no bin, by what it is for
    let for_food =
        |i: usize| i > from && text.senses(i - 1).iter().any(|sense| matches!(sense, Sense::Food(_)));
    let of_bin = |i: usize| {
        text.name(i, NameKind::Bin).is_some()
            || text.is_matter(i, Matter::Bin) && text.is(i, Cue::BinOrBucket) && !for_food(i)
            || text.has(i, Mark::It)
    };
    let plain = |i: usize| text.tokens[i].senses.is_empty() && text.tokens[i].name.is_none();
    let vessel = to - from > 1 && known_measure(scene, to - 1).is_some()
        || text.is(to - 1, Cue::Store) && text.matter(to - 1).is_none_or(|matter| matter == Matter::Plot);
    let called = if holds {
        !(from..to).any(of_bin)
    } else {
        from > clause && ((from..to).all(plain) || vessel && !(from..to).any(of_bin))
    };
    called.then(|| text.words(from, to))
}

/// `got a new caddy, holds 7 litres`, `caddy size: 4 litres`, `set the caddy to 6 litres`: a sentence of a measure, how much it
/// holds, and that it does.
fn in_sentence(scene: &Scene<'_>, index: usize) -> Option<(Held, usize)> {
    let text = &scene.text;
    let sentence = scene.clauses[index].sentence;
    let told = || scene.clauses.iter().filter(|clause| clause.sentence == sentence);
    let (from, to) = (told().next()?.from, told().next_back()?.to);
    if from != scene.clauses[index].from || told().any(|clause| clause.asks) {
        return None;
    }
    let declared = introduced(scene, from, to).or_else(|| counts_for(scene, from, to));
    if let Some(held) = declared.or_else(|| used_as(scene, from, to)) {
        return Some((held, to));
    }
    let measured = |at: usize| known_measure(scene, at).map(|name| (name, at));
    let (name, at) = (from..to).find_map(measured)?;
    let amounts = scene.pieces.iter().filter(|piece| {
        piece.from >= from && piece.to <= to && !matches!(piece.kind, PieceKind::Word | PieceKind::When(_))
    });
    let amounts: Vec<_> = amounts.filter(|piece| !(piece.from..piece.to).contains(&at)).collect();
    let [piece] = amounts[..] else { return None };
    let ml = volume(scene, piece.from, to)?;
    let says = |at: usize| {
        is_held(scene, at) && !text.has(at, Mark::Be)
            || text.is(at, Cue::Volume)
            || text.is(at, Cue::Sized)
            || text.has(at, Mark::New)
            || text.is_act(at, Act::Set) && text.is(piece.from.wrapping_sub(1), Cue::To)
    };
    let rest = |i: usize| i == at || (piece.from..piece.to).contains(&i);
    let ours = text.is(from, Cue::For) && text.has(from + 1, Mark::I);
    let all = (from..to).all(|i| rest(i) || says(i) || is_filler(scene, i));
    (all && ((from..to).any(|i| !rest(i) && says(i)) || ours)).then_some((Held { name, ml, bin: false }, to))
}

/// `count a biscuit tin as 2 litres`, `treat a mug as 300 ml`
fn counts_for(scene: &Scene<'_>, from: usize, to: usize) -> Option<Held> {
    let text = &scene.text;
    let verb = (from..to).find(|at| !is_filler(scene, *at)).filter(|at| text.is(*at, Cue::CountsFor))?;
    let start = (verb + 1..to).find(|at| !leads(scene, *at))?;
    let end = (start + 1..to).find(|at| text.is(*at, Cue::As))?;
    let ml = volume(scene, end + 1, to)?;
    let name = measure_at(scene, start, end).or_else(|| named(scene, verb, start, end, true))?;
    Some(Held { name, ml, bin: false })
}

/// `we use a 2 litre ice cream tub as a caddy`
fn used_as(scene: &Scene<'_>, from: usize, to: usize) -> Option<Held> {
    let text = &scene.text;
    let used = (from..to).find(|at| text.is_act(*at, Act::Use))?;
    if !(from..used).all(|at| is_filler(scene, at)) {
        return None;
    }
    let name = known_measure(scene, to - 1)?;
    let joint = (used + 1..to - 1).rfind(|at| !leads(scene, *at)).filter(|at| text.is(*at, Cue::As))?;
    let ml = volume(scene, used + 1, joint)?;
    Some(Held { name, ml, bin: false })
}

/// A word of such a sentence that says nothing of its own.
fn is_filler(scene: &Scene<'_>, at: usize) -> bool {
    const MARKS: [Mark; 8] =
        [Mark::Be, Mark::It, Mark::Of, Mark::Have, Mark::About, Mark::Please, Mark::Which, Mark::Bot];
    const CUES: [Cue; 6] = [Cue::To, Cue::For, Cue::Here, Cue::Adverb, Cue::TailS, Cue::By];
    let text = &scene.text;
    leads(scene, at)
        || text.is_stop(at)
        || text.time(at).is_some()
        || text.has_any(at, &MARKS)
        || [Act::Get, Act::Buy, Act::Check, Act::Say].iter().any(|act| text.is_act(at, *act))
        || text.has(at, Mark::When)
        || CUES.iter().any(|cue| text.is(at, *cue))
}

/// `new measure: pudding basin, 1.5 litres`
fn introduced(scene: &Scene<'_>, from: usize, to: usize) -> Option<Held> {
    let text = &scene.text;
    let measure = (from..to.min(from + 4)).find(|at| text.is(*at, Cue::MeasureWord))?;
    if !(from..measure).all(|at| leads(scene, at) || text.has(at, Mark::New) || text.is_act(at, Act::Add)) {
        return None;
    }
    let skipped = |at: usize| {
        text.is_stop(at)
            || text.is(at, Cue::SetupFiller)
            || text.is_act(at, Act::Call)
            || text.is_sign(at, '"')
            || text.has(at, Mark::A)
    };
    let start = (measure + 1..to).find(|at| !skipped(*at))?;
    let ends = |at: usize| {
        is_held(scene, at)
            || skipped(at)
            || volume(scene, at, to).is_some()
                && scene.pieces.iter().any(|piece| piece.from == at && piece.kind != PieceKind::Word)
    };
    let end = (start..to).find(|at| ends(*at))?;
    let ml = volume(scene, end, to)?;
    (end > start && end - start <= 3).then(|| Held { name: text.words(start, end), ml, bin: false })
}
