//! Corrections: `no, 2 not 3`, `I meant blue`, `make that yesterday`.

use std::ops::Range;

use crate::clause::{Clause, PieceKind};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::reading::{Fact, FactKind, Slots};
use crate::scene::Scene;
use crate::text::Text;
use crate::time::{Direction, Placed, When};

/// A correction of the last fact.
pub(super) fn amend(scene: &Scene<'_>, tells: bool) -> Option<Fact> {
    let text = &scene.text;
    let end = text.tokens.len();
    if scene.clauses.iter().any(|clause| clause.asks) || scene.message.reply_to.is_some() && !corrects(scene)
    {
        return None;
    }
    // `I make it 850 g`
    let estimates = |at: usize| text.is(at, Cue::MakeIt) && text.has(at.wrapping_sub(1), Mark::I);
    // `drained green, actually blue smells sour`: a turn in a report
    let turns = |at: usize| {
        let told = scene.clauses.iter().any(|clause| clause.to <= at && clause.verb.is_some());
        text.is(at, Cue::Actually) && told && !text.has_any(at + 1, &[Mark::It, Mark::Be])
    };
    let instead =
        |at: usize| text.has(at, Mark::Instead) && !estimates(at) && !turns(at) && !is_emphasis(scene, at);
    let marks = |at: usize| instead(at) || means(text, at) || text.is(at, Cue::Corrects);
    // `not much from green, 30 ml`
    let little = text.is(0, Cue::Not) && text.is(1, Cue::MuchOrMany);
    let led = !little && (opens_with_no(scene) || (0..end).any(marks));
    // `it went in blue, not green`
    let went = |at: usize| at == 1 && text.has(0, Mark::It) && text.is(at, Cue::GoesIn);
    let verb = scene.clauses.iter().filter_map(|clause| clause.verb).find(|verb| {
        !text.is(verb.at, Cue::Wait)
            && !went(verb.at)
            && !matches!(
                verb.act,
                Act::Mean | Act::Set | Act::Call | Act::Go | Act::Get | Act::Say | Act::Undo
            )
    });
    // `bought 1 kg of bran instead`, in answer to a nudge
    let done = |verb: crate::clause::Verb| {
        matches!(
            verb.act,
            Act::Buy | Act::Make | Act::Seal | Act::Drain | Act::Bury | Act::Clean | Act::Start
        ) && verb.forms.has(Forms::PAST)
    };
    if scene.message.reply_to.is_some() && verb.is_some_and(done) {
        return None;
    }
    // `meant to drain green, drained blue instead`: a report of what was done
    let other = |clause: &Clause| clause.verb.is_some() && (clause.stance.negated || clause.stance.planned);
    let past = |clause: &Clause| {
        clause.stance.asserted() && clause.verb.is_some_and(|verb| verb.forms.has(Forms::PAST))
    };
    if tells && scene.clauses.iter().any(other) && scene.clauses.iter().any(past) {
        return None;
    }
    let dated = is_restated(scene);
    let retracted = retracted(scene).is_some();
    if let Some(fact) = crop_restated(scene).or_else(|| act_restated(scene)) {
        return Some(fact);
    }
    let strong = dated || retracted || (0..end).any(|at| means(text, at) || instead(at));
    if !(led || dated || retracted)
        || verb.is_some_and(|_| !strong)
        || tells && !strong && !negates_value(scene) && !says_no(scene)
    {
        return None;
    }
    let slots = changed(scene)?;
    scene.note("amended", 0, end);
    Some(Fact { kind: FactKind::Amended, slots })
}

/// `spring is actually happening`: in a clause of its own that changes nothing.
fn is_emphasis(scene: &Scene<'_>, at: usize) -> bool {
    let within = |clause: &&Clause| (clause.from..clause.to).contains(&at);
    let Some(clause) = scene.clauses.iter().find(within) else { return false };
    let value = |piece: &crate::clause::Piece| {
        piece.from >= clause.from
            && piece.to <= clause.to
            && (piece.kind != PieceKind::Word || scene.text.tokens[piece.from].name.is_some())
    };
    // `appears rather dry`
    if scene.text.is(at, Cue::Rather) {
        let value = |piece: &crate::clause::Piece| {
            piece.from == at + 1
                && (piece.kind != PieceKind::Word || scene.text.tokens[piece.from].name.is_some())
        };
        let ends = at + 1 >= scene.text.tokens.len() || scene.text.is_stop(at + 1);
        return !(ends
            || scene.pieces.iter().any(value)
            || scene.text.has_any(at + 1, &[Mark::The, Mark::In]));
    }
    scene.text.is(at, Cue::Actually) && clause.from > 0 && at > clause.from && !scene.pieces.iter().any(value)
}

/// `it was yesterday`, `that last one was 3 litres`: one thing of the last fact told again, and nothing else.
fn is_restated(scene: &Scene<'_>) -> bool {
    let (text, end) = (&scene.text, scene.text.tokens.len());
    let mut at = (0..end)
        .find(|at| {
            !text.has_any(*at, &[Mark::Sorry, Mark::No, Mark::Hello, Mark::Laugh, Mark::Bot])
                && !text.is_stop(*at)
                && !text.is_sign(*at, '@')
        })
        .unwrap_or(end);
    let last = |at: usize| text.is(at, Cue::Latest);
    if text.has_any(at, &[Mark::The, Mark::It, Mark::I]) && last(at + 1) {
        at += 2 + usize::from(text.is(at + 2, Cue::LastWhat));
    } else if text.is(at, Cue::ThatEntry) {
        // `that drain was 210 ml, not 120`
        let entry = text.is_act(at + 1, Act::Drain) || text.is_matter(at + 1, Matter::Scraps);
        at += 1 + usize::from(entry && text.is(at + 2, Cue::ShouldBe));
    } else {
        return false;
    }
    let was = text.is(at, Cue::ShouldBe);
    if !(was || text.has(at, Mark::Be)) {
        return false;
    }
    at += 1;
    let filler = |at: usize| {
        text.has_any(at, &[Mark::About, Mark::In, Mark::From, Mark::The, Mark::Instead])
            || text.is(at, Cue::LeadsToValue)
            || text.is_matter(at, Matter::Bin)
            || text.is_stop(at)
    };
    // `..., I read the scale wrong`
    let excuse = (at..end)
        .find(|i| (text.has(*i, Mark::I) || text.is_stop(*i)) && (*i..end).any(|i| text.is(i, Cue::Excuse)));
    let told = scene.pieces.iter().filter(|piece| piece.from >= at && piece.to <= excuse.unwrap_or(end));
    let mut values = 0;
    for piece in told {
        match piece.kind {
            PieceKind::When(_) => values += 1,
            PieceKind::Amount(_) | PieceKind::Length(_) | PieceKind::Level(_) if was => values += 1,
            PieceKind::Word if was && text.name(piece.from, NameKind::Bin).is_some() => values += 1,
            PieceKind::Word if filler(piece.from) => {}
            // `it was a third full, not half`
            _ if denied(scene, piece.from) || text.is(piece.from, Cue::Replaces) => {}
            _ => return false,
        }
    }
    values == 1
}

/// `I meant`, and not what others mean.
fn means(text: &Text<'_>, at: usize) -> bool {
    // `meant to do it earlier`
    text.is_act(at, Act::Mean) && !text.has(at.wrapping_sub(1), Mark::You) && !text.is(at + 1, Cue::To)
}

/// `I told you ten inches but it was fifteen`: the token before which what is told is the old value.
fn retracted(scene: &Scene<'_>) -> Option<usize> {
    let text = &scene.text;
    // `I said green, blue I meant`
    let last = text.tokens.len().checked_sub(1)?;
    let ends_meant = last > 1 && text.is_act(last, Act::Mean) && text.has(last - 1, Mark::I);
    // `I typed 20 tbsp, should be 2`
    let should =
        |at: usize| text.is_pause(at) && text.has(at + 1, Mark::Instead) && text.is(at + 1, Cue::ShouldBe);
    let turns = |at: &usize| text.has(*at, Mark::But) || ends_meant && text.is_pause(*at) || should(*at);
    let but = (1..text.tokens.len()).find(turns)?;
    let said = (0..but).any(|at| text.is(at, Cue::SaidBefore) && (0..at).any(|i| text.has(i, Mark::I)));
    let was = (but + 1..text.tokens.len().min(but + 4))
        .any(|at| text.has(at, Mark::Be) || text.is_act(at, Act::Mean) || text.is(at, Cue::ShouldBe))
        || ends_meant;
    (said && was).then_some(but)
}

/// `no, it was blue I sealed`, `it was 500 ml that I drained`: the one thing that was otherwise.
fn act_restated(scene: &Scene<'_>) -> Option<Fact> {
    let (text, end) = (&scene.text, scene.text.tokens.len());
    let it = (0..end).find(|at| !text.has_any(*at, &[Mark::No, Mark::Sorry]) && !text.is_stop(*at))?;
    if !(text.has(it, Mark::It) && text.is(it + 1, Cue::ShouldBe)) {
        return None;
    }
    let from = it + 2 + usize::from(text.has(it + 2, Mark::The));
    let piece = scene.pieces.iter().find(|piece| piece.from == from)?;
    let noun = piece.to + usize::from(text.is_matter(piece.to, Matter::Bin));
    // `it was blue not green I sealed`, `it was blue that I sealed`
    let said = (noun..end.min(noun + 5)).find(|at| text.has(*at, Mark::I))?;
    let done = scene
        .clauses
        .iter()
        .filter_map(|clause| clause.verb)
        .any(|verb| verb.at > said && verb.at <= said + 2 && verb.forms.has(Forms::PAST));
    let mut slots = Slots::default();
    match piece.kind {
        PieceKind::Amount(amount) => set(scene, &mut slots, amount),
        PieceKind::Word => {
            let name = text.name(from, NameKind::Bin)?;
            slots.bin = Some(scene.bin_name(name.index));
        }
        _ => return None,
    }
    done.then(|| {
        scene.note("amended", it, end);
        Fact { kind: FactKind::Amended, slots }
    })
}

/// `it was carrots I planted not beets`
fn crop_restated(scene: &Scene<'_>) -> Option<Fact> {
    let text = &scene.text;
    let opens = text.has(0, Mark::It) && text.is(1, Cue::ShouldBe);
    let verb = scene.clauses.iter().filter_map(|clause| clause.verb).find(|verb| verb.act == Act::Plant)?;
    let to = (2..verb.at).find(|at| text.has(*at, Mark::I) || text.is(*at, Cue::That)).unwrap_or(verb.at);
    let crop = text.words(2, to);
    if !opens || crop.is_empty() || text.has(2, Mark::Not) {
        return None;
    }
    scene.note("amended", 0, text.tokens.len());
    Some(Fact { kind: FactKind::Amended, slots: Slots { crop: Some(crop), ..Slots::default() } })
}

fn corrects(scene: &Scene<'_>) -> bool {
    (0..scene.text.tokens.len())
        .any(|at| scene.text.is_act(at, Act::Mean) || scene.text.has(at, Mark::Instead))
}

fn opens_with_no(scene: &Scene<'_>) -> bool {
    let text = &scene.text;
    (0..text.tokens.len().min(3)).any(|at| {
        let answer = text.has(at, Mark::No)
            && (text.is_stop(at + 1)
                || text.has_any(at + 1, &[Mark::Be, Mark::It, Mark::I, Mark::Sorry])
                || text.digits(at + 1).is_some()
                || text.is(at, Cue::Nope));
        answer
            || text.has(at, Mark::Sorry)
                && !(text.is(at, Cue::Sorry)
                    && (text.is(at + 1, Cue::SorryFor)
                        || text.is(at + 1, Cue::That) && !text.has(at + 2, Mark::Be)))
            || !text.is(at + 1, Cue::NotSoMuch) && text.is(at, Cue::Actually)
    })
}

/// `no, ...` and `correction: ...`, as opposed to `oops` before a report.
fn says_no(scene: &Scene<'_>) -> bool {
    let text = &scene.text;
    (0..text.tokens.len().min(2))
        .any(|at| text.has(at, Mark::No) && text.is_stop(at + 1) || text.is(at, Cue::Correction))
}

/// `2 not 3`
fn negates_value(scene: &Scene<'_>) -> bool {
    let text = &scene.text;
    let bin = |at: usize| text.name(at, NameKind::Bin).is_some();
    // `green is full, not blue` tells of green and corrects nothing
    let of_other = |at: usize| (0..at).any(|i| bin(i) && text.has(i + 1, Mark::Be));
    (0..text.tokens.len()).any(|at| {
        text.is(at, Cue::Not)
            && (text.digits(at + 1).is_some()
                || text.cardinal(at + 1).is_some()
                || bin(at + 1) && !of_other(at)
                || text.time(at + 1).is_some()
                || text.is(at + 1, Cue::The) && (bin(at + 2) || text.time(at + 2).is_some()))
    })
}

/// The slots that change; what stands after `not` is the old value.
fn changed(scene: &Scene<'_>) -> Option<Slots> {
    let mut slots = Slots::default();
    let retracted = retracted(scene).unwrap_or(0);
    let old = |at: usize| at < retracted || denied(scene, at);
    let mut count = None;
    let mut crop: Option<Range<usize>> = None;
    let mut whole: Option<When> = None;
    for piece in &scene.pieces {
        if old(piece.from) {
            // `2 not 3 litres`: the unit stands after the old value
            if let (PieceKind::Amount(amount), Some(value)) = (piece.kind, count) {
                set(scene, &mut slots, amount.of_count(value));
                count = None;
            }
            continue;
        }
        match piece.kind {
            // `that tub was 1.5 litres, not 2`
            PieceKind::Amount(amount) if amount.vessel && amount.definite => {}
            PieceKind::Amount(amount) if slots.ml.is_none() && slots.g.is_none() => {
                set(scene, &mut slots, amount);
            }
            PieceKind::Count(value) => count = count.or(Some(value)),
            PieceKind::When(when) if when.is_moment() => {
                whole = Some(whole.map_or(when, |known| known.and(when).unwrap_or(known)));
            }
            PieceKind::Temperature(c) => slots.c = Some(c),
            PieceKind::Level(level) => slots.fraction = Some(level),
            PieceKind::Length(cm) => slots.depth_cm = Some(cm),
            PieceKind::Word if grows(scene, piece.from) => match &mut crop {
                Some(words) if words.end == piece.from => words.end = piece.to,
                Some(_) => {}
                None => crop = Some(piece.from..piece.to),
            },
            PieceKind::Word => word(scene, piece.from, &mut slots),
            _ => {}
        }
    }
    if let Some(when) = whole {
        match scene.zoned.place(&when, Direction::Past) {
            Placed::At(moment) => {
                slots.at = Some(moment.at);
                slots.precision = Some(moment.precision);
            }
            Placed::Now => {}
            _ => return None,
        }
    }
    // `they were leeks, not onions`
    if let Some(words) = crop.filter(|_| slots == Slots::default() && count.is_none()) {
        slots.crop = Some(scene.text.words(words.start, words.end));
    }
    if slots == Slots::default()
        && let Some(value) = count
    {
        slots.value = Some(value.to_string());
    }
    (slots != Slots::default()).then_some(slots)
}

fn set(scene: &Scene<'_>, slots: &mut Slots, amount: crate::amount::Amount) {
    (slots.ml, slots.g) = scene.size(amount, false, None);
}

fn word(scene: &Scene<'_>, at: usize, slots: &mut Slots) {
    let text = &scene.text;
    if let Some(name) = text.name(at, NameKind::Bin) {
        slots.bin = slots.bin.take().or(Some(scene.bin_name(name.index)));
        return;
    }
    if let Some(name) = text.name(at, NameKind::Plot).filter(|name| name.whole) {
        slots.plot = scene.message.plots.get(name.index).cloned();
        return;
    }
    for sense in text.senses(at) {
        match sense {
            Sense::Use(use_) if *use_ != crate::reading::Use::PouredAway => {
                slots.use_ = slots.use_.or(Some(*use_));
            }
            _ => {}
        }
    }
}

/// Whether a word names what may have been planted.
fn grows(scene: &Scene<'_>, at: usize) -> bool {
    scene.text.tokens[at].name.is_none()
        && scene.text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)))
}

/// Whether `not` stands before a token in its clause, with at most a few words between.
fn denied(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    let start = scene
        .clauses
        .iter()
        .find(|clause: &&Clause| (clause.from..clause.to).contains(&at))
        .map_or(0, |clause| clause.from);
    (start.max(at.saturating_sub(4))..at).any(|i| text.is(i, Cue::Replaces))
}
