//! What people ask each other.

use crate::lexicon::{Act, Cue, Forms, Mark, Matter, TimeWord};
use crate::scene::Scene;

use super::Question;
use super::food::foods;

/// Whether people ask each other: `did you drain it, Mara?`
pub(super) fn between_people(scene: &Scene<'_>, question: &Question<'_, '_>) -> bool {
    let text = &scene.text;
    let past = question.cue(Cue::WasOrWere);
    // `who's doing the bins tomorrow?`
    let duty = question.act(Act::Finish) || question.cue(Cue::Assigned);
    // `who drains blue this week?`
    let drains = text.has(question.from, Mark::Who)
        && text.is_act(question.from + 1, Act::Drain)
        && text.verb(question.from + 1).is_some_and(|(_, forms)| forms.has(Forms::THIRD))
        && !question.bins().is_empty();
    let on_bins = (duty && question.matter(Matter::Bin) || drains) && !question.is_past();
    // `could one of the custodians drain it?`
    let one_of = text.has_any(question.from, &[Mark::Can, Mark::Will])
        && text.cardinal(question.from + 1).is_some()
        && text.has(question.from + 2, Mark::Of);
    let rota =
        question.has(Mark::Whose) || question.has(Mark::Turn) && !past || question.has(Mark::Who) && on_bins;
    // `can lemons go in, or do they upset the bin`
    let called =
        |at: usize| text.is(at, Cue::CallsAll) && text.is_pause(at.wrapping_sub(1)) && at + 1 >= question.to;
    let of_food = |at: usize| text.is(at, Cue::They) && !foods(text, question.from, at).is_empty();
    let of_rota = |at: usize| {
        rota && (text.has_any(at, &[Mark::Who, Mark::Whose]) || text.has(at.wrapping_sub(1), Mark::Or))
    };
    (question.from..question.to).any(|at| {
        text.has_any(at, &[Mark::You, Mark::Other, Mark::Someone])
            && !(text.is(at, Cue::Them) || called(at) || of_food(at) || of_rota(at))
    }) || one_of
        || mulls_over(scene, question)
        || named_person(scene, question)
        || scene.clauses.iter().any(|clause| {
            clause.sentence == question.sentence()
                && (clause.from..clause.to).any(|at| text.has(at, Mark::You) && !text.is(at, Cue::Anybody))
        })
}

/// `shall we bury blue or leave it till sunday`: what they might do, to be settled among them.
fn mulls_over(scene: &Scene<'_>, question: &Question<'_, '_>) -> bool {
    let text = &scene.text;
    let or = |at: usize| text.has(at, Mark::Or) && !text.has(at + 1, Mark::Not) && at + 1 < question.to;
    // `shall we bury blue on saturday?`
    let ahead = |at: usize| match text.time(at) {
        Some(TimeWord::Day(days)) => days > 0,
        Some(word) => matches!(word, TimeWord::Weekday(_) | TimeWord::Next | TimeWord::Tonight),
        None => false,
    };
    let mulls = text.is(question.from, Cue::MullsOver) && text.has(question.from + 1, Mark::I);
    // `how about Saturday for burying blue?`, `what if we bury it?`, `when do we meet to bury it?`
    let about =
        text.has_any(question.from, &[Mark::How, Mark::What]) && text.is(question.from + 1, Cue::About);
    let supposes = text.has(question.from, Mark::What) && text.has(question.from + 1, Mark::If);
    let together = text.has(question.from + 2, Mark::I) && !scene.message.direct;
    mulls && question.any(|at| or(at) || ahead(at))
        || about && (together || question.any(ahead))
        || supposes
        || question.cue(Cue::Gathers)
}

/// `Thabo what did you put in?`: a name that is no bin's, at the question's edge.
fn named_person(scene: &Scene<'_>, question: &Question<'_, '_>) -> bool {
    let text = &scene.text;
    let ends = |at: usize| at >= text.tokens.len() || text.is_stop(at);
    let person = |at: usize| {
        let token = &text.tokens[at];
        token.is_word()
            && token.capital
            && token.senses.is_empty()
            && token.name.is_none()
            && !((at == 0 || text.is_stop(at - 1) && !(text.is_pause(at - 1) && ends(at + 1)))
                && (crate::lexicon::english().is_ordinary(text.word(at)) || text.word(at).len() < 4))
    };
    let (from, to) = scene
        .clauses
        .iter()
        .filter(|clause| clause.sentence == question.sentence())
        .fold((usize::MAX, 0), |(a, b), clause| (a.min(clause.from), b.max(clause.to)));
    (from.min(question.from)..to.max(question.to)).any(person)
}
