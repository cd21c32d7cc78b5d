//! Questions that do not open as questions do: wrapped in a wish to know, or begun in mid-sentence without a sign.

use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::text::Text;

/// How many tokens the wish to know may take before its own word: `I don't suppose you could possibly tell me`.
const LEAD: usize = 9;

/// How many idle tokens may stand between that word and the question: `tell us once more please how`.
const IDLE: usize = 4;

/// `wondering whether blue is ready`, `would dearly like to know how much bran goes in`: the token with which the question
/// itself begins.
pub(crate) fn asked_indirectly(text: &Text<'_>, from: usize, to: usize) -> Option<usize> {
    // `does anyone know if bones can go in`
    if text.is(from.wrapping_sub(1), Cue::AsksAll) && text.is(from, Cue::Whether) && from + 1 < to {
        return Some(from);
    }
    (from..to.min(from + LEAD))
        .take_while(|at| *at == from || is_light(text, at - 1))
        .filter(|at| wants_to_know(text, from, *at))
        .find_map(|at| question_after(text, at, to))
}

/// Whether a token can stand in a wish to know: it tells nothing of the bins.
fn is_light(text: &Text<'_>, at: usize) -> bool {
    let told = text.senses(at).iter().any(|sense| match sense {
        Sense::Matter(_) | Sense::Unit(_) => true,
        Sense::Verb(act, forms) => {
            forms.has(Forms::PAST) && !matches!(act, Act::Say | Act::Get | Act::Mean | Act::Go | Act::Look)
        }
        _ => false,
    });
    let named = text.tokens[at].name.is_some() || text.digits(at).is_some();
    !named && !text.is_stop(at) && (!told || is_wish(text, at))
}

fn is_wish(text: &Text<'_>, at: usize) -> bool {
    text.has_any(at, &[Mark::Want, Mark::Please, Mark::Wonder]) || text.is(at, Cue::Wishes)
}

/// Whether the word at `at`, after what begins at `from`, says that its writer wants to be told.
fn wants_to_know(text: &Text<'_>, from: usize, at: usize) -> bool {
    let wished = (from..at).any(|i| is_wish(text, i));
    let unknown = (from..at).any(|i| text.has_any(i, &[Mark::Not, Mark::No]));
    // `can anyone tell me how full it is`
    let put_to_all = text.has_any(from, &[Mark::Do, Mark::Can, Mark::Will])
        && (from..at).any(|i| text.is(i, Cue::Anybody));
    let to_me = usize::from(text.has(at + 1, Mark::I));
    let asked =
        |i: usize| text.has_any(i, &[Mark::Please, Mark::Can, Mark::You, Mark::Then, Mark::Hello, Mark::Bot]);
    text.has(at, Mark::Wonder)
        || text.has(at, Mark::Learn) && (wished || unknown)
        // `a guest asks if cream is allowed`
        || text.is(at, Cue::PassesOn) && text.is(at + 1, Cue::Whether)
        || text.is(at, Cue::Tells)
            && (text.is(at, Cue::Explains) && is_question_word(text, at + 1)
                || text.has(at + 1, Mark::I)
                || text.is(at + 1, Cue::For) && text.has(at + 2, Mark::I))
            && (wished || (from..at).all(asked))
        || text.is(at, Cue::Tells) && put_to_all && is_question_word(text, at + 1 + to_me)
}

/// The question that follows the word at `at`.
fn question_after(text: &Text<'_>, at: usize, to: usize) -> Option<usize> {
    let idle =
        |i: usize| text.has_any(i, &[Mark::About, Mark::I, Mark::Please]) || text.is(i, Cue::IdleInWish);
    let begins = (at + 1..to.min(at + 2 + IDLE)).find(|i| !idle(*i))?;
    // `remind me when I'm back` is no question.
    let later =
        text.is_act(at, Act::Remind) && (text.has(begins, Mark::When) || text.is(begins, Cue::WhenIts));
    // `talk me through making 2 kg of bran`
    let shown = text.is(begins - 1, Cue::Through)
        && text.verb(begins).is_some_and(|(_, forms)| forms.has(Forms::ING));
    // `could you work out the bran for 850 g`, `can you tell me our bran stock`
    let bran = begins + usize::from(text.has(begins, Mark::The));
    let dose = text.is_matter(bran, Matter::Bran)
        && (text.is(bran + 1, Cue::For) || text.has(bran + 1, Mark::Left) || text.is(bran + 1, Cue::Recipe));
    // `can you tell me does green need draining`, `tell me is blue ready`
    let subject = |at: usize| {
        text.tokens.get(at).is_some_and(|token| token.name.is_some())
            || text.has_any(at, &[Mark::It, Mark::The, Mark::I])
    };
    let inverted =
        text.is(begins, Cue::Finite) && text.has_any(begins, &[Mark::Be, Mark::Do]) && subject(begins + 1);
    let asks = is_question_word(text, begins)
        || dose
        || inverted
        || text.is(begins, Cue::Whether)
        || text.is(begins, Cue::WhenIts)
        || shown;
    (asks && !later && (begins + 1 < to || text.is(begins, Cue::How))).then_some(begins)
}

pub(crate) fn is_question_word(text: &Text<'_>, at: usize) -> bool {
    text.has_any(
        at,
        &[
            Mark::How,
            Mark::HowMuch,
            Mark::HowLong,
            Mark::HowFull,
            Mark::What,
            Mark::When,
            Mark::Where,
            Mark::Which,
            Mark::Who,
            Mark::Whose,
            Mark::Why,
        ],
    )
}

/// `sealed blue on monday when can I bury it`, `... question is when's it ready`: whether a question begins at `at` without
/// any sign, after something told since `from`.
pub(super) fn begins_unmarked(text: &Text<'_>, from: usize, at: usize) -> bool {
    let told = (from..at).any(|i| {
        text.tokens[i].name.is_some()
            || text.verb(i).is_some()
            || text
                .senses(i)
                .iter()
                .any(|s| matches!(s, Sense::Matter(_) | Sense::MouldNoun | Sense::Unit(_)))
    });
    let led = is_question_word(text, at - 1)
        || text.has_any(
            at - 1,
            &[
                Mark::In,
                Mark::From,
                Mark::With,
                Mark::Of,
                Mark::About,
                Mark::And,
                Mark::Or,
                Mark::If,
                Mark::But,
            ],
        );
    let end = (at..text.tokens.len()).find(|i| text.is_stop(*i)).unwrap_or(text.tokens.len());
    // `at this rate how long before blue is full`
    let how_long = text.has(at, Mark::HowLong) && text.is(at + 1, Cue::FullWhen);
    // `dua got black mould how`
    let seen = (from..at).any(|i| {
        text.senses(i).iter().any(|s| matches!(s, Sense::MouldNoun | Sense::Pests | Sense::Smell(_)))
    });
    if seen && !led && text.is(at, Cue::How) && at + 1 == end {
        return true;
    }
    (told || how_long)
        && at >= from + 2
        && !led
        && asked_indirectly(text, from, end).is_none()
        && (is_inverted(text, at) || opens_wish(text, at, end))
}

/// `wondering when it'll be full`, `tell me how I do that`
fn opens_wish(text: &Text<'_>, at: usize, end: usize) -> bool {
    let told = text.is(at, Cue::Tells)
        && text.has(at + 1, Mark::I)
        && (is_question_word(text, at + 2) || text.is(at + 2, Cue::WhenIts));
    told || text.has_any(at, &[Mark::Wonder]) && asked_indirectly(text, at, end).is_some()
}

/// `when can I`, `how much bran should we`, `what on earth do I`, `when's blue`: the verb before who does it.
pub(super) fn is_inverted(text: &Text<'_>, at: usize) -> bool {
    let words = [Mark::How, Mark::HowMuch, Mark::HowLong, Mark::HowFull, Mark::What, Mark::When, Mark::Where];
    let subject = |i: usize| {
        text.has_any(i, &[Mark::I, Mark::It, Mark::The])
            || text.tokens.get(i).is_some_and(|token| token.name.is_some())
    };
    let verb = |i: usize| {
        text.has_any(i, &[Mark::Can, Mark::Will])
            || text.is(i, Cue::TailS)
            || text.has_any(i, &[Mark::Be, Mark::Do]) && text.is(i, Cue::Finite)
    };
    let clipped = text.is(at, Cue::Contracted) || text.is(at, Cue::Whens);
    // Of what, or what in the world: `how much water for that do I`
    let between = |i: usize| text.tokens[i].is_word() && text.tokens[i].name.is_none() && !subject(i);
    // `how long till it's ready`
    let till = text.has(at, Mark::HowLong) && text.is(at + 1, Cue::FullWhen);
    // `how much water goes with it`, `what went in before that`
    let goes = |i: usize, form: Forms| {
        text.senses(i).iter().any(|s| matches!(s, Sense::Verb(Act::Go, forms) if forms.has(form)))
    };
    let itself = text.has(at, Mark::HowMuch) && goes(at + 2, Forms::THIRD)
        || text.has(at, Mark::What) && goes(at + 1, Forms::PAST) && !text.has(at - 1, Mark::Be);
    text.has_any(at, &words)
        && (till
            || itself
            || clipped && subject(at + 1)
            || (at + 1..text.tokens.len().min(at + 6))
                .take_while(|i| (at + 1..*i).all(between))
                .any(|i| verb(i) && subject(i + 1)))
}
