//! Questions about the bot itself: where its last number comes from, what it can do.

use crate::clause::Clause;
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::reading::{About, Ask, Slots};

use super::about::one;
use super::question::Question;

/// `why?`, `where does that number come from?`
pub(super) fn why(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    let phrase = |at: usize| text.has(at, Mark::Why) && text.word(at).split(' ').count() > 2;
    let of_number = (q.cue(Cue::NumberNoun) || told_of_number(q))
        && q.cue(Cue::Origin)
        && (q.has(Mark::Where) || q.has(Mark::What) || q.has(Mark::How));
    // `where d'you get that from?`
    let of_that = q.has(Mark::Where)
        && q.has(Mark::It)
        && q.has(Mark::From)
        && q.cue(Cue::Origin)
        && q.to - q.from <= 8
        && !q.any(|at| text.matter(at).is_some());
    let told = q.any(phrase) || of_number || of_that || doubts(q);
    (q.bins().is_empty() && (told || bare_why(q))).then(|| one(About::Why, Slots::default()))
}

/// `that figure, where is it from?`
fn told_of_number(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let before = |clause: &&Clause| clause.to <= q.from && clause.sentence == q.sentence();
    q.has(Mark::It)
        && q.scene
            .clauses
            .iter()
            .filter(before)
            .any(|clause| (clause.from..clause.to).any(|at| text.is(at, Cue::NumberNoun)))
}

/// `how you take know`, `and the reason for that is?`: how the bot knows, or on what grounds, and nothing else.
fn doubts(q: &Question<'_, '_>) -> bool {
    let knows = q.has(Mark::How) && q.has(Mark::You) && q.cue(Cue::Knows);
    knows && !is_of_trade(q) || q.cue(Cue::Grounds) && !is_of_trade(q) && q.to - q.from <= 7
}

/// Whether the question names anything that the bot keeps account of.
fn is_of_trade(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    q.any(|at| {
        text.tokens[at].name.is_some()
            || text.senses(at).iter().any(|s| matches!(s, Sense::Matter(_) | Sense::Food(_) | Sense::Unit(_)))
    })
}

/// `why?`, `why is 2 litres too much?`, up to the first pause: `so why's that then, if I may ask`.
fn bare_why(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let pause = (q.from + 2..q.to).find(|at| text.is_stop(*at)).unwrap_or(q.to);
    // A riddle about bananas is none of the bot's numbers.
    let story = (q.from..pause).any(|at| {
        text.tokens[at].is_word()
            && text.tokens[at].name.is_none()
            && (text.senses(at).is_empty() || text.senses(at).iter().any(|s| matches!(s, Sense::Food(_))))
    });
    // `how come so much bran`
    let great =
        q.any(|at| (text.is(at, Cue::Degree) || text.is(at, Cue::That)) && text.is(at + 1, Cue::Extent));
    let number = (great || q.amount(true) != (None, None)) && text.has(q.from, Mark::Why);
    let asks = (q.from..pause).any(|at| text.has(at, Mark::Why));
    asks && pause - q.from <= 8 && (number || !(story && pause - q.from > 3))
}

/// `what can you do?`
pub(super) fn help(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    // `would another bin help?`
    let verb = |at: usize| {
        text.is(at, Cue::Help)
            && (q.from..at).any(|i| text.has_any(i, &[Mark::Can, Mark::Will, Mark::Do]))
            && !(q.from..at).any(|i| text.has(i, Mark::You))
    };
    let helps = q.any(|at| text.has(at, Mark::Help) && !verb(at) && !is_with_a_task(q, at));
    // `what is bokashi?`
    let what = text.has(q.from, Mark::What)
        && q.has(Mark::Be)
        && q.to - q.from <= 4
        && text.is(q.to - 1, Cue::NamesItself);
    // `what kind of things can you do for us?`
    let you_can = |at: usize| {
        text.has(at, Mark::Can) && text.has_any(at + 1, &[Mark::You])
            || text.has(at, Mark::You) && text.has_any(at + 1, &[Mark::Can, Mark::Will])
    };
    // `what kind of things can I tell you?`
    let told = q.act(Act::Say) && q.has(Mark::Can) && q.has(Mark::You) && q.has(Mark::I) && !is_of_trade(q);
    let able = q.has(Mark::What) && (q.any(you_can) && q.has(Mark::Do) || told);
    // `which things can you do`, `what sort of things do you do, so`
    let done = q.any(|at| text.has(at, Mark::Do) && text.is(at, Cue::Do) && ends_its_clause(q, at));
    let able = able
        || (q.has(Mark::What) || q.has(Mark::Which))
            && q.has(Mark::You)
            && done
            && !is_of_trade(q)
            && !q.is_past();
    // `what sort of things can I ask you`, `what are your functions`
    let used = q.has(Mark::What) && q.has(Mark::You) && q.cue(Cue::Abilities) && !is_of_trade(q);
    let listed = q.has(Mark::What) && q.has(Mark::You) && q.has(Mark::Do) && q.has(Mark::History);
    // `how does one use this thing`
    let taught =
        q.has(Mark::How) && q.act(Act::Use) && (q.has(Mark::The) || q.has(Mark::It)) && !is_of_trade(q);
    let told_how = explains_entry(q);
    ((helps || what || able || used || listed || taught || told_how) && q.bins().is_empty())
        .then(|| one(About::Help, Slots::default()))
}

/// Whether nothing follows in the clause but a word that goes on.
fn ends_its_clause(q: &Question<'_, '_>, at: usize) -> bool {
    let text = &q.scene.text;
    at + 1 >= q.to || text.is_stop(at + 1)
}

/// `how do I log a drain`, `how can I add a new bin`: how the bot is told of it.
pub(super) fn explains_entry(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let tells = q.act(Act::Say) && q.has(Mark::You);
    let adds = q.act(Act::Add) && q.has(Mark::New) && q.matter(Matter::Bin);
    q.has(Mark::How) && q.has(Mark::I) && (tells || adds || q.any(|at| text.is(at, Cue::Logs)))
}

/// `help me call a plumber`: with some task, which is not what the bot is asked about.
fn is_with_a_task(q: &Question<'_, '_>, help: usize) -> bool {
    let text = &q.scene.text;
    let task = help + 1 + usize::from(text.has_any(help + 1, &[Mark::I, Mark::Other]));
    let does = text.is(task, Cue::OtherOrder)
        || text.verb(task).is_some_and(|(_, forms)| forms.has(Forms::BASE))
        || text.tokens.get(task).is_some_and(|token| token.is_word() && token.senses.is_empty());
    does && task + 1 < q.to && text.has_any(task + 1, &[Mark::A, Mark::The, Mark::I, Mark::It])
}
