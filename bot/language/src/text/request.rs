//! Orders put as requests: `could you add a bin called nook?`, `I'd like to add a bin`, `let's add a plot`.

use super::{Kind, Stop, Text};
use crate::lexicon::{Act, Cue, Mark, Matter};

/// Leaves out what makes a request of an order to the bot about what one has.
pub(crate) fn without_request(text: &mut Text<'_>) {
    let called = |at: &usize| text.has(*at, Mark::Bot) || text.is_sign(*at, '@') || text.is_pause(*at);
    let from = (0..text.tokens.len()).find(|at| !called(at)).unwrap_or(0);
    let Some(verb) = asked(text, from).filter(|verb| is_about_things(text, *verb)) else { return };
    let ends = |at: &usize| matches!(text.kind(*at), Some(Kind::Stop(Stop::Full | Stop::Question)));
    if let Some(end) = (0..text.tokens.len()).find(ends) {
        text.tokens[end].kind = Kind::Stop(Stop::Full);
    }
    text.tokens.drain(from..verb);
}

/// The verb that is asked for: after `could you please`, `I want to`, `let's`.
fn asked(text: &Text<'_>, from: usize) -> Option<usize> {
    let leads = |at: usize| {
        text.has_any(at, &[Mark::I, Mark::Please]) || text.is(at, Cue::PlainYou) || text.is(at, Cue::Just)
    };
    let can = |at: usize| text.is(at, Cue::CanOrCould) || text.is(at, Cue::WouldYou);
    let wishes = |at: usize| text.is(at, Cue::WishesTo);
    let verb = (from..text.tokens.len()).find(|at| !leads(*at) && !wishes(*at) && !can(*at))?;
    // `can I remove blue?` asks whether one may.
    let of_you = (from..verb).any(|at| text.is(at, Cue::PlainYou)) || text.is_act(verb, Act::Add);
    ((from..verb).any(wishes) || (from..verb).any(can) && of_you).then_some(verb)
}

/// `add a bin: nook`, `remove blue`, `set green to 20 litres`: what the bot does, and a thing that it keeps; or something put right.
fn is_about_things(text: &Text<'_>, verb: usize) -> bool {
    // `can you change that to 3 litres?`
    if text.has(verb, Mark::Instead) {
        return true;
    }
    let adds = text.is_act(verb, Act::Add) || text.is(verb, Cue::Has);
    let keeps = adds || [Act::Set, Act::Remove, Act::Call].iter().any(|act| text.is_act(verb, *act));
    let led = |at: usize| text.has_any(at, &[Mark::The, Mark::A, Mark::I, Mark::New, Mark::Size, Mark::Old]);
    let object = (verb + 1..text.tokens.len()).find(|at| !led(*at)).unwrap_or(verb);
    let thing = |at: usize| text.is_matter(at, Matter::Bin) || text.is_matter(at, Matter::Plot);
    let ends = |at: usize| at >= text.tokens.len() || text.is_stop(at) || text.has(at, Mark::Please);
    // `can you add bin juice to roses?` asks.
    let named = !adds || text.is_act(object + 1, Act::Call) || ends(object + 1);
    let known = text.tokens.get(object).is_some_and(|token| token.name.is_some()) && !adds;
    keeps
        && (thing(object) && named
            || known && (ends(object + 1) || thing(object + 1) || text.is(object + 1, Cue::To)))
}
