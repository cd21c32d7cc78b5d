//! What somebody wants to put in: classes of food, or the words where they are none.

use crate::clause::is_told_beside;
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::reading::Food;
use crate::text::{Text, Token};

/// The foods in a range of tokens, sorted.
pub(super) fn foods(text: &Text<'_>, from: usize, to: usize) -> Vec<Food> {
    let mut out: Vec<Food> = (from..to)
        .filter(|at| {
            // `going, mate`
            text.tokens[*at].name.is_none()
                && !text.is(*at, Cue::CalledOut)
                && !is_told_beside(text, *at)
                && !bones_follow(text, *at)
                // `egg cartons`: what food comes in
                && !text.is(at + 1, Cue::Packaging)
        })
        .filter_map(|at| text.sense(at, |s| if let Sense::Food(food) = s { Some(food) } else { None }))
        .collect();
    out.sort_unstable();
    out.dedup();
    out
}

/// `moose bones`: no meat
fn bones_follow(text: &Text<'_>, at: usize) -> bool {
    let meat = |sense: &Sense| matches!(sense, Sense::Food(Food::Meat | Food::Fish));
    text.senses(at).iter().any(meat) && text.senses(at + 1).contains(&Sense::Food(Food::Bone))
}

/// The words of a thing that is no class of food: between the verb (or `are`) and the place.
pub(super) fn item(text: &Text<'_>, from: usize, to: usize) -> Option<String> {
    // `compostable bags`
    let describes = |at: usize| {
        text.word(at).ends_with("able")
            && !text.has(at + 1, Mark::In)
            && text.tokens.get(at + 1).is_some_and(Token::is_word)
    };
    let lead = |at: usize| {
        text.has_any(
            at,
            &[
                Mark::Can,
                Mark::Be,
                Mark::Do,
                Mark::I,
                Mark::The,
                Mark::A,
                Mark::Possible,
                Mark::If,
                Mark::It,
                Mark::What,
                Mark::About,
                Mark::Hello,
                Mark::Bot,
                Mark::Please,
                Mark::And,
                Mark::Will,
                Mark::How,
                Mark::Yes,
                Mark::Of,
                Mark::Or,
            ],
        ) && !describes(at)
            || text
                .verb(at)
                .is_some_and(|(act, _)| matches!(act, Act::Add | Act::Use | Act::Go | Act::Make | Act::Get))
            || text.is(at, Cue::In) && text.is_act(at.wrapping_sub(1), Act::Add)
            || text.is_vague(at)
            || text.is_stop(at)
            || text.is_sign(at, '@')
            || text.is(at, Cue::BeforeFood)
    };
    let start = (from..to).find(|at| !lead(*at))?;
    let ends = |at: usize| {
        text.has_any(at, &[Mark::In, Mark::Possible, Mark::Be]) && !describes(at)
            || text.is_stop(at)
            || text.name(at, crate::name::NameKind::Bin).is_some()
            || text.is_matter(at, Matter::Bin)
            || text.is_act(at, Act::Go)
            || text.is_act(at, Act::Add)
            || text.is(at, Cue::AfterFood)
    };
    let end = (start..to).find(|at| ends(*at)).unwrap_or(to);
    let item = text.words(start, end);
    (!item.is_empty()).then_some(item)
}
