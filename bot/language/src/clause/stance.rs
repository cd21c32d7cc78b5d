//! Is a clause asserted by its writer as something that happened?

use crate::lexicon::{Act, Cue, Forms, Mark, TimeWord};
use crate::text::{Kind, Text};

use super::Verb;

/// How a clause is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "independent observations, each with its own word in the text"
)]
pub(crate) struct Stance {
    /// `haven't drained`
    pub(crate) negated: bool,
    /// `I'll drain`, `needs draining`, `should`
    pub(crate) planned: bool,
    /// `drain it!`
    pub(crate) imperative: bool,
    /// `if`, `once`, `when I get home`
    pub(crate) conditional: bool,
    /// `apparently`, `Rui says`
    pub(crate) hearsay: bool,
    /// `last year`
    pub(crate) story: bool,
    pub(crate) subject: Subject,
}

/// Who acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Subject {
    #[default]
    None,
    Me,
    You,
    /// Somebody else, or a name that is no bin's.
    Other,
    /// A thing: `it`, a bin, scraps.
    Thing,
}

impl Stance {
    /// Whether it tells what was done.
    pub(crate) fn asserted(self) -> bool {
        !(self.negated || self.planned || self.conditional || self.hearsay || self.story)
    }
}

/// Reads the stance of the clause in tokens `from..to`.
pub(super) fn stance(text: &Text<'_>, from: usize, to: usize, verb: Option<Verb>, direct: bool) -> Stance {
    let mut stance = Stance::default();
    let aside = (from + 1..to).find(|at| is_aside(text, *at)).unwrap_or(to);
    let verb = verb.filter(|verb| verb.at < aside);
    let limit = verb.map_or(aside, |verb| verb.at);
    for at in from..to {
        if text.time(at) == Some(TimeWord::Old) {
            stance.story = true;
        }
        if at >= limit {
            continue;
        }
        // `not much left` tells of a little.
        let little = text.is(at + 1, Cue::Little);
        stance.negated |= text.has(at, Mark::Not) && !little;
        // A bin called Will promises nothing.
        let will = text.has(at, Mark::Will) && text.tokens[at].name.is_none();
        stance.planned |= will || (text.has(at, Mark::Can) && !had(text, at, verb) && !is_vessel(text, at));
        let about_to =
            text.is(at, Cue::About) && text.is(at + 1, Cue::To) && verb.is_some_and(|verb| verb.at == at + 2);
        stance.planned |= about_to;
        stance.conditional |= text.has(at, Mark::If) && !text.is(at, Cue::Hope)
            || conditional_when(text, at, from, verb)
            || conditional_after(text, at, from, verb);
        let led = at == from || text.is(at, Cue::LedI) || text.has(at.wrapping_sub(1), Mark::I);
        let unsure = led || guesses(text, at);
        // `according to the thermometer`
        let measured = (at + 1..at + 3).any(|at| text.has(at, Mark::Temperature));
        stance.hearsay |=
            text.has(at, Mark::Hearsay) && !guesses(text, at) && !(direct && (unsure || measured));
        if stance.subject == Subject::None {
            stance.subject = subject(text, from, at, verb);
        }
        // `Colm and I drained it`
        let me = |at: usize| text.has(at, Mark::I) && !text.is(at, Cue::MyOrOur);
        let beside_me = at > from && text.is(at - 1, Cue::And) && (me(at) || at > from + 1 && me(at - 2));
        if stance.subject == Subject::Other && beside_me {
            stance.subject = Subject::Me;
        }
    }
    if let Some(verb) = verb {
        let mine = direct && text.has(verb.at.wrapping_sub(1), Mark::I)
            || (from..verb.at).any(|at| text.has(at, Mark::Temperature));
        stance.hearsay |= verb.act == Act::Say && text.has(verb.at, Mark::Hearsay) && !mine;
        let given = text.is_act(verb.at, Act::Give) && text.is(verb.at + 2, Cue::Nothing);
        stance.negated |= given
            || text.is(verb.at + 1, Cue::Nothing)
            || (from..verb.at).any(|at| text.is(at, Cue::Nothing));
        // `thought about washing`: the doing is but named.
        let gerund = verb.forms == Forms::ING
            && verb.at > from
            && (text.has_any(verb.at - 1, &[Mark::About, Mark::Of, Mark::In, Mark::From, Mark::With])
                // `balcony bin giving a smell`: the bin is a thing
                || text.matter(verb.at - 1).is_none() && text.verb(verb.at - 1).is_some_and(|(act, forms)| {
                    // `ended up dumping the batch`
                    let up = act == Act::Go && text.word(verb.at - 1).contains(' ');
                    !((act == Act::Finish || up) && forms.has(Forms::PAST.with(Forms::PARTICIPLE)))
                }));
        // `love feeding the bin`
        let liked = verb.forms == Forms::ING
            && verb.act != Act::Smell
            && (from..verb.at).any(|at| {
                text.tokens[at].is_word() && text.senses(at).is_empty() && text.tokens[at].name.is_none()
            });
        // `I'm after burying the bin`: it is done
        let perfect =
            text.is(verb.at.wrapping_sub(1), Cue::After) && text.has(verb.at.wrapping_sub(2), Mark::Be);
        let gerund = (gerund || liked) && !perfect;
        stance.planned |= gerund || is_coming(text, from, to, verb) || is_in_hand(text, from, to, verb);
        // `almost I drained it`
        let nearly = |at: usize| text.is(at, Cue::Nearly);
        stance.negated |= verb.at > from && nearly(verb.at - 1)
            || verb.at == from + 2 && nearly(from) && text.has(from + 1, Mark::I);
        // `green gets buried on saturday`, but `had to get thrown out`
        stance.planned |= verb.forms.has(Forms::PARTICIPLE)
            && verb.at > from
            && text.is(verb.at - 1, Cue::Gets)
            && !text.has(verb.at.wrapping_sub(2), Mark::HadTo);
        // `ordered 2 kg of bran, arrives Friday`
        stance.planned |= verb.act == Act::Buy && verb.forms == Forms::THIRD;
        stance.imperative = is_imperative(text, from, verb, stance.subject);
        let bare = verb.forms.has(Forms::BASE) && !verb.forms.has(Forms::PAST);
        // `Tito please seal it`, `Tito seal it`: somebody is asked to.
        // `please add 2 litres to blue`, said to the bot: to be kept.
        let told = direct
            && matches!(verb.act, Act::Add | Act::Set | Act::Remove | Act::Call)
            && stance.subject == Subject::None;
        stance.planned |= (from..to).any(|at| text.has(at, Mark::Please))
            && !told
            && (bare || verb.forms.has(Forms::BASE) && stance.subject == Subject::None)
            || (bare || verb.forms == Forms::THIRD && !tells_state(verb.act))
                && stance.subject == Subject::Other;
    }
    stance
}

/// `down the toilet before anyone could complain`: a reason or an outcome, with a subject of its own.
fn is_aside(text: &Text<'_>, at: usize) -> bool {
    let led = at + 1 + usize::from(text.is(at + 1, Cue::That));
    text.is(at, Cue::Aside)
        && (text.has_any(led, &[Mark::I, Mark::You, Mark::Other, Mark::Someone, Mark::The, Mark::It])
            || text.is(led, Cue::Anybody))
}

/// Verbs whose present tells what is.
fn tells_state(act: Act) -> bool {
    matches!(act, Act::Smell | Act::Hold | Act::Say | Act::Look | Act::Read)
}

/// `sealing blue tomorrow`, `burying it on Saturday`: what goes on at a time to come is a plan. `Was burying it on Saturday` is
/// none, nor is `sealing it now`.
fn is_coming(text: &Text<'_>, from: usize, to: usize, verb: Verb) -> bool {
    let told = (from..verb.at).any(|at| text.is(at, Cue::WasDone));
    let past = |at: usize| matches!(text.time(at.wrapping_sub(1)), Some(TimeWord::Last | TimeWord::Since));
    let coming = |at: usize| match text.time(at) {
        Some(TimeWord::Day(days)) => days > 0,
        Some(TimeWord::Tonight | TimeWord::Next | TimeWord::Weekday(_)) => !past(at),
        Some(TimeWord::This) => text.is(at + 1, Cue::ThisComing),
        _ => text.is(at, Cue::LaterThen),
    };
    verb.forms == Forms::ING && !told && (from..to).any(|at| at != verb.at && coming(at))
}

/// `we've got two buckets to put in`: what one has, and is yet to do.
fn is_in_hand(text: &Text<'_>, from: usize, to: usize, verb: Verb) -> bool {
    let holds = |at: usize| {
        text.has(at, Mark::Have)
            || text.is_act(at, Act::Get) && text.verb(at).is_some_and(|(_, f)| f.has(Forms::PAST))
    };
    let measured = |at: usize| text.unit(at).is_some() || text.matter(at).is_some();
    // `got a pound of peelings to go in the pantry bin`
    let waits = (verb.at..to).find(|at| text.is(*at, Cue::ToGo) && text.has(at + 1, Mark::In));
    if verb.act == Act::Get && waits.is_some_and(|waits| (verb.at..waits).any(measured)) {
        return true;
    }
    let held = (from..verb.at).find(|at| holds(*at));
    let led = verb.at > from && text.is(verb.at - 1, Cue::To);
    led && matches!(verb.act, Act::Add | Act::Go) && held.is_some_and(|held| (held..verb.at).any(measured))
}

/// `maybe 2 litres`, but `supposedly 2 litres` is what others say
fn guesses(text: &Text<'_>, at: usize) -> bool {
    about_amount(text, at) && !text.is(at, Cue::Reported)
}

fn about_amount(text: &Text<'_>, at: usize) -> bool {
    matches!(text.kind(at + 1), Some(Kind::Number(_) | Kind::Pair(..)))
        || text.cardinal(at + 1).is_some()
        || text.has_any(at + 1, &[Mark::A, Mark::About])
        || text.unit(at.wrapping_sub(1)).is_some()
}

/// `I'd drained`
fn had(text: &Text<'_>, at: usize, verb: Option<Verb>) -> bool {
    text.is(at, Cue::HadClipped) && verb.is_some_and(|verb| verb.at == at + 1 && !verb.forms.has(Forms::BASE))
}

/// `our coffee can holds`
fn is_vessel(text: &Text<'_>, at: usize) -> bool {
    text.is(at, Cue::Can) && text.verb(at + 1).is_some_and(|(_, forms)| forms == Forms::THIRD)
}

/// `after we bury it`, `before you drain it`: told of nothing that was done
fn conditional_after(text: &Text<'_>, at: usize, from: usize, verb: Option<Verb>) -> bool {
    at == from
        && (text.is(at, Cue::After) || text.is(at, Cue::Before) || text.is(at, Cue::Until))
        && text.has_any(at + 1, &[Mark::I, Mark::You, Mark::Other, Mark::Someone])
        && verb.is_some_and(|verb| verb.forms.has(Forms::BASE) && !verb.forms.has(Forms::PAST))
}

/// `when you drain it`, as opposed to `when I drained it`
fn conditional_when(text: &Text<'_>, at: usize, from: usize, verb: Option<Verb>) -> bool {
    text.has(at, Mark::When)
        && at == from
        && !text.is_word(at + 1, ":")
        // `when I open blue there is a smell of beer`
        && !verb.is_some_and(|verb| verb.act == Act::Open && text.has(verb.at.wrapping_sub(1), Mark::I))
        && verb.is_none_or(|verb| !verb.forms.has(Forms::PAST))
}

fn subject(text: &Text<'_>, from: usize, at: usize, verb: Option<Verb>) -> Subject {
    if text.has(at, Mark::I) && !text.is(at, Cue::MineOrUs) {
        return Subject::Me;
    }
    // `fyi y'all there's`: only called to.
    let ends = text.is(at, Cue::CallsAll) && (at + 1 >= text.tokens.len() || text.is_stop(at + 1));
    let called = ends
        || text.is(at + 1, Cue::There)
        || text.is_stop(at + 1)
        || at == from && text.has(at + 1, Mark::I);
    if text.has(at, Mark::You) && !text.is(at, Cue::Your) && !called {
        return Subject::You;
    }
    if text.has_any(at, &[Mark::Other, Mark::Someone]) && !called && !text.is(at, Cue::Them) {
        return Subject::Other;
    }
    if text.tokens[at].name.is_some() || text.has(at, Mark::It) {
        return Subject::Thing;
    }
    // `Rui drained it`
    let token = &text.tokens[at];
    let person = token.capital
        && text.word(at).len() > 1
        && token.is_word()
        && token.senses.is_empty()
        && (at > from || verb.is_some_and(|verb| verb.at > at));
    // `Mama I put two cans in`
    let called = text.has(at + 1, Mark::I) && at == from;
    if person && !called && verb.is_some_and(|verb| verb.at > at && verb.at <= at + 3) {
        Subject::Other
    } else {
        Subject::None
    }
}

/// A bare verb without subject: `drain it`.
fn is_imperative(text: &Text<'_>, from: usize, verb: Verb, subject: Subject) -> bool {
    let plain = verb.forms.has(Forms::BASE) && !verb.forms.has(Forms::PAST);
    let led = (from..verb.at).all(|at| {
        text.has_any(
            at,
            &[
                Mark::Please,
                Mark::And,
                Mark::Then,
                Mark::Bot,
                Mark::Hello,
                Mark::But,
                Mark::Sorry,
                Mark::Yes,
                Mark::No,
            ],
        ) || text.is_stop(at)
            || text.is(at, Cue::Do)
            || text.is_sign(at, '@')
    });
    // `smell like beer` tells, `smell it!` orders.
    let tells = verb.act == Act::Smell && !text.has_any(verb.at + 1, &[Mark::It, Mark::The]);
    plain && subject == Subject::None && led && !tells
}
