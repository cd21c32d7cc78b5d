//! What is at hand and asked about, and was not put in: `got 250 ml of tea, how much water with that?`

use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::text::Text;

use super::Clause;
use super::asking::is_warm;

/// What is only at hand, and asked about next, was not put in: `got 250 ml of tea – how much water with that`.
pub(super) fn suppose_what_is_at_hand(text: &Text<'_>, clauses: &mut [Clause]) {
    for i in 1..clauses.len() {
        let asks = clauses[i].asks
            && (clauses[i].from..clauses[i].to).any(|at| {
                text.is_matter(at, Matter::Water)
                    || text.is_matter(at, Matter::Bran)
                    || text.is_act(at, Act::Dilute)
                    || text.is(at, Cue::WaterOrThin)
                    || text.is(at, Cue::Dilution)
            });
        // `I've got a bag of apples, can they go in?`
        let judged = clauses[i].asks
            && (clauses[i].from..clauses[i].to)
                .any(|at| text.has_any(at, &[Mark::Can, Mark::Possible, Mark::Do]))
            && (clauses[i].from..clauses[i].to).any(|at| text.has_any(at, &[Mark::It, Mark::Other]));
        let with_that = (clauses[i].from..clauses[i].to).any(|at| text.has(at, Mark::It));
        let needs = clauses[i].asks && (clauses[i].from..clauses[i].to).any(|at| text.is(at, Cue::Need));
        let same = clauses[i].sentence == clauses[i - 1].sentence;
        let judged = judged && !is_warm(text, &clauses[i - 1]);
        // `drained green, 200 ml, is that ok?`: how much of what was told
        let told = clauses[i - 1].verb.is_none()
            && i.checked_sub(2).map(|before| &clauses[before]).is_some_and(|before| {
                let past = before.verb.is_some_and(|verb| verb.forms.has(Forms::PAST));
                past && before.sentence == clauses[i - 1].sentence
            });
        if told {
            continue;
        }
        // `for 2 kg of scraps in neem how much bran to put?`
        let led = text.is(clauses[i - 1].from, Cue::For) && clauses[i - 1].verb.is_none();
        if asks && same && led {
            clauses[i - 1].stance.conditional = true;
        }
        if (asks || needs || judged) && same && is_at_hand(text, &clauses[i - 1])
            || asks && with_that && is_bare_lot(text, &clauses[i - 1])
        {
            clauses[i - 1].stance.conditional = true;
        }
    }
}

/// `4 kilos of scraps, how much bran goes on that?`: an amount, and not what was done with it.
fn is_bare_lot(text: &Text<'_>, clause: &Clause) -> bool {
    clause.verb.is_none()
        && !clause.asks
        && text.digits(clause.from).or_else(|| text.cardinal(clause.from)).is_some()
        && (clause.from..clause.to).all(|at| {
            text.name(at, NameKind::Bin).is_none()
                && text.time(at).is_none_or(|word| word == TimeWord::To)
                && !text.has_any(at, &[Mark::In, Mark::From])
        })
}

/// `got 250 ml of tea`, `here's 3 litres of peelings for blue`: had, and in no bin yet.
fn is_at_hand(text: &Text<'_>, clause: &Clause) -> bool {
    let called = |at: &usize| {
        text.has_any(*at, &[Mark::Bot, Mark::Hello]) || text.is_sign(*at, '@') || text.is_stop(*at)
    };
    let opening = (clause.from..clause.to).find(|at| !called(at)).unwrap_or(clause.to);
    let subject = opening + usize::from(text.has(opening, Mark::I));
    let nominal = clause.verb.is_none() && opening == clause.from && !text.is(clause.to - 1, Cue::In);
    let has = nominal
        || text.has(subject, Mark::Have)
        || text.is_act(subject, Act::Get)
        || text.is(subject, Cue::Supposes);
    has && !clause.asks
        && clause.verb.is_none_or(|verb| matches!(verb.act, Act::Get | Act::Say | Act::Use))
        && (clause.from..clause.to).all(|at| text.name(at, NameKind::Bin).is_none() || is_meant_for(text, at))
        && (clause.from..clause.to).any(|at| {
            text.unit(at).is_some()
                || text.name(at, NameKind::Measure).is_some()
                || text.senses(at).iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
        })
}

/// `for blue`, `for the blue bin`: where it is to go.
fn is_meant_for(text: &Text<'_>, at: usize) -> bool {
    let led = at - usize::from(text.has(at.wrapping_sub(1), Mark::The));
    text.is(led.wrapping_sub(1), Cue::For)
}
