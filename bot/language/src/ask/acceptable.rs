//! Whether something may go in: `can I put bones in?`, `chicken bone can or not?`, `bones?`

use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, english};
use crate::reading::{About, Ask, Slots};

use super::about::one;
use super::bot::explains_entry;
use super::food::{foods, item};
use super::question::Question;

pub(super) fn acceptable(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    // `what can I put in?`, `what doesn't go in?`
    let put_in = q.put_in() || q.act(Act::Go) && q.has(Mark::Not) || q.act(Act::Add) && q.has(Mark::Not);
    // `anything I can't put in?`
    let what = text.has(q.from, Mark::What) || (q.cue(Cue::Anything) || q.cue(Cue::Any)) && q.has(Mark::Not);
    // `what can go in the green bin?`, `what goes in?`
    let rule = |at: usize| text.verb(at).is_some_and(|(act, forms)| act == Act::Add && forms == Forms::THIRD);
    let can = text.has(q.from + 1, Mark::Can) && (q.act(Act::Go) || q.act(Act::Add));
    let goes = text.has(q.from, Mark::What) && (can || rule(q.from + 1)) && !q.matter(Matter::Bran);
    // `what am I allowed to put in?`, `what's not allowed in the bin?`
    let allowed = text.has(q.from, Mark::What) && q.cue(Cue::Allowed);
    let anything = put_in && what && (q.has(Mark::Can) || q.has(Mark::Not)) && q.bins().is_empty();
    // `what about tea bags, can they go in`
    let suggested = q.cue(Cue::About) && !foods(text, q.from, q.to).is_empty();
    if goes || (allowed || anything) && !suggested {
        return Some(one(About::Acceptable, Slots::default()));
    }
    if q.has(Mark::HowMuch)
        || q.has(Mark::HowLong)
        || q.has(Mark::HowFull)
        || q.has(Mark::When)
        || q.has(Mark::Where)
        || q.has(Mark::Who)
        || q.has(Mark::How) && q.cue(Cue::Depth)
        // `should I add bran on top of 2 cups of rice`
        || q.matter(Matter::Bran) && !q.cue(Cue::Process) && q.amount(false) != (None, None)
        || q.has(Mark::Which) && q.matter(Matter::Plot)
        || text.has(q.from, Mark::Which)
        // `what's the bran like`
        || q.matter(Matter::Bran) && q.cue(Cue::Like) && q.has(Mark::What)
        || q.goes_into_plot()
        || explains_entry(q)
    {
        return None;
    }
    let foods = foods(text, q.from, q.to);
    let goes = q.cue(Cue::Does) && !q.has(Mark::What) && (q.act(Act::Go) || q.act(Act::Add));
    let eats = (q.has(Mark::Will) || q.has(Mark::Can)) && q.cue(Cue::Accepts);
    let put = q.act(Act::Add) || q.act(Act::Go) || q.cue(Cue::TakesFood) || eats;
    let may = q.has(Mark::Can) || q.has(Mark::Possible) || q.cue(Cue::Allowed) || goes || eats;
    let judged = q.has(Mark::Possible) && (q.has(Mark::Be) || !foods.is_empty());
    let suggested = (q.has(Mark::What) || q.has(Mark::How)) && q.cue(Cue::About);
    // `bones?`
    let bare = q.is_only(|at| text.senses(at).iter().any(|s| matches!(s, Sense::Food(_))));
    let other = [
        Act::Plant,
        Act::Bury,
        Act::Drain,
        Act::Open,
        Act::Show,
        Act::Set,
        Act::Seal,
        Act::Start,
        Act::Smell,
        Act::Remind,
        Act::Water,
        Act::Dilute,
    ]
    .iter()
    .any(|act| q.act(*act));
    // `chicken bone can or not?`
    let or_not = q.has(Mark::Or) && q.has(Mark::Not) && !other && !foods.is_empty();
    if or_not {
        return Some(one(About::Acceptable, Slots { foods, ..Slots::default() }));
    }
    if other && !q.act(Act::Add) || q.has(Mark::Not) {
        return None;
    }
    // `would a few mouldy crusts do any harm in there?`
    let harm = q.has(Mark::Can) && q.cue(Cue::Harmful);
    if !foods.is_empty() && (may && put || judged || suggested || bare || harm) {
        return Some(one(About::Acceptable, Slots { foods, ..Slots::default() }));
    }
    let putting = may && (q.act(Act::Add) || q.act(Act::Go) || q.cue(Cue::Ferments));
    // `can we start emptying blue`
    let putting = putting && (!q.cue(Cue::Opened) || q.bins().is_empty());
    let asks = putting && !q.has(Mark::You) && !q.matter(Matter::Liquid) && !q.matter(Matter::Bran);
    let judged = (judged || suggested) && q.names_a_stranger() || q.judges_for_the_bin();
    let item = (asks || judged).then(|| item(text, q.from, q.to)).flatten()?;
    // `do I have to press it down?`, `can I open it to add more?`: about the work.
    let is = |words: &str, cue: Cue| english().cues(words).has(cue);
    let pronoun = |word: &str| is(word, Cue::It) || english().senses(word).has(Mark::Other.bit());
    if is(&item, Cue::Particle)
        || item.split(' ').all(pronoun)
        || item.split(' ').any(|word| is(word, Cue::It))
    {
        return None;
    }
    // `can I still add to blue?`
    if item.split(' ').all(|word| is(word, Cue::StillMore)) {
        return (!q.bins().is_empty()).then(|| q.with_bin(About::Status));
    }
    Some(one(About::Acceptable, Slots { item: Some(item), ..Slots::default() }))
}
