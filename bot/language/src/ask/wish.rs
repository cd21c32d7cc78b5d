//! Questions without the form of one: `show me a chart`, a bare `status`, `bin chart please`.

use crate::clause::Clause;
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::scene::Scene;
use crate::text::Text;

/// `for the guests I would like a chart of blue`
fn wishes_for_chart(scene: &Scene<'_>, from: usize, to: usize) -> bool {
    let text = &scene.text;
    let wish = |at: usize| text.is(at, Cue::Wishes) || text.has(at, Mark::Want);
    // `a picture frame`
    let alone =
        |at: usize| text.tokens.get(at + 1).is_none_or(|next| !next.is_word() || !next.senses.is_empty());
    scene.message.direct
        && (from + 1..to).any(|at| {
            text.has(at, Mark::Chart)
                && alone(at)
                && text.has_any(at - 1, &[Mark::A, Mark::The])
                && (from..at).any(wish)
        })
}

/// `Garden log, sunday` over what follows, `log: ...`, `log. blue: ...`
fn is_title(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let ends = |at: usize| text.is_word(at, ":") || text.is_word(at, "\n");
    let passes = |at: usize| {
        text.is_stop(at) && !text.is_word(at, "?") || text.time(at).is_some() || text.digits(at).is_some()
    };
    let Some(next) = (clause.to..text.tokens.len()).find(|at| ends(*at) || !passes(*at)) else {
        return false;
    };
    ends(next) || text.tokens[next].name.is_some() && text.is_word(next + 1, ":")
}

/// `Status` on a line of its own, over what follows.
pub(super) fn is_status_title(scene: &Scene<'_>, clause: &Clause) -> bool {
    clause.to <= clause.from + 2
        && clause.verb.is_none()
        && scene.text.has(clause.from, Mark::Status)
        && is_title(scene, clause)
}

/// `(how full they are, I mean)`: what was told just before, and no question.
pub(super) fn is_aside(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let subject = [Mark::I, Mark::It, Mark::Other, Mark::Each, Mark::The];
    text.is_word(clause.from.wrapping_sub(1), "(")
        && text.has_any(clause.from, &[Mark::HowFull, Mark::HowMuch, Mark::How, Mark::What])
        && text.has_any(clause.from + 1, &subject)
}

/// `show me a chart`, `tell me when blue is ready`, or a bare `status`, `help`: questions without their form.
pub(super) fn shows(scene: &Scene<'_>, index: usize) -> bool {
    let (clause, text) = (&scene.clauses[index], &scene.text);
    if wants_a_chart(scene, clause.from, clause.to) {
        return true;
    }
    let begged = text.has(clause.from, Mark::Please) && text.is(clause.from + 1, Cue::Inform);
    if !scene.message.direct
        && !begged
        && !clause.verb.is_some_and(|verb| verb.act == Act::Show && verb.forms.has(Forms::BASE))
    {
        return false;
    }
    if clause.stance.negated
        || (clause.from..clause.to)
            .any(|at| text.has(at, Mark::Undo) || crate::answers::forgets_the_last(scene, at))
    {
        return false;
    }
    let skipped =
        [Mark::Please, Mark::Hello, Mark::Bot, Mark::And, Mark::Then, Mark::Sorry, Mark::Yes, Mark::Thanks];
    let Some(first) =
        (clause.from..clause.to).find(|at| !text.has_any(*at, &skipped) && !text.is_sign(*at, '@'))
    else {
        return false;
    };
    if text.is(first, Cue::Tally) && names_another(text, first + 1) {
        return false;
    }
    // `I lost the list` orders nothing.
    let done = clause.verb.is_some_and(|verb| verb.forms.has(Forms::PAST) && !verb.forms.has(Forms::BASE));
    let tells = text.is(first, Cue::Orders) && !(done && text.has(first, Mark::I));
    let question = (first..clause.to).any(|at| {
        text.has_any(
            at,
            &[
                Mark::HowMuch,
                Mark::HowLong,
                Mark::When,
                Mark::What,
                Mark::How,
                Mark::Where,
                Mark::Whose,
                Mark::HowFull,
            ],
        )
    });
    let question = question || (first..clause.to).any(|at| text.is(at, Cue::WhenIts));
    let thing = (first..clause.to)
        .any(|at| text.has_any(at, &[Mark::Chart, Mark::History, Mark::Status]) || text.is(at, Cue::Recipe))
        || text.has(first + 1, Mark::I) && text.has(first + 2, Mark::Help)
        || text.has(first + 1, Mark::Help);
    // `pls tell procedure to make 2 kg`, `give me the total`, `suggest depth of pit`
    let wanted = !text.has(first, Mark::I)
        && (first..clause.to)
            .any(|at| text.is(at, Cue::Recipe) || text.has(at, Mark::Hole) || text.is(at, Cue::Tally));
    // `give me the steps for 2 kg of bran`
    let bran = (first..clause.to).any(|at| text.is_matter(at, Matter::Bran));
    let wanted =
        wanted || bran && !text.has(first, Mark::I) && (first..clause.to).any(|at| text.is(at, Cue::Making));
    // `links status`
    let named_status =
        text.has(clause.to - 1, Mark::Status) && clause.to - first <= 4 && clause.verb.is_none();
    let of_recipe = scene.message.direct
        && clause.verb.is_none()
        && (first..clause.to).any(|at| text.is(at, Cue::Recipe));
    // `chart of both bins please`
    let of_something = text.has_any(first, &[Mark::Chart, Mark::History])
        && text.has_any(first + 1, &[Mark::Of, Mark::In, Mark::About]);
    // `dilution for 80 ml please`, `hole size for blue`, `size of hole for blue`
    let measure = scene.message.direct
        && clause.verb.is_none()
        && (text.is(first, Cue::Dilution) && !text.senses(first + 1).contains(&Sense::SmellNoun)
            || text.is(first, Cue::Hole)
            || text.has(first + 1, Mark::Of) && text.is(first + 2, Cue::Hole))
        && !text.has(first + 1, Mark::Be)
        && clause.to > first + 1;
    // `steps for making 2 kg of bran`
    let for_making =
        scene.message.direct && text.is(first + 1, Cue::For) && text.is_act(first + 2, Act::Make);
    let bare = of_recipe
        || measure
        || for_making
        || text.is(first, Cue::Tally) && !text.is(first + 1, Cue::Lost)
        || named_status && scene.message.direct
        || text.has_any(first, &[Mark::Help, Mark::Status, Mark::Why, Mark::Worry])
        || thing
            && clause.to - first <= if of_something { 6 } else { 4 }
            && clause.verb.is_none_or(|v| v.act == Act::Show || !v.forms.has(Forms::PAST));
    let wished = wishes_for_chart(scene, first, clause.to);
    let recipe = of_recipe || text.is(first, Cue::Recipe);
    let reports = !(recipe || measure || for_making)
        && scene.gists[index].lots.iter().any(|lot| lot.amount.is_some())
        && !question;
    // `stick blue on a chart for me`
    let drawn = clause.stance.imperative
        && text.is_act(first, Act::Add)
        && !scene.gists[index].bins.is_empty()
        && (first..clause.to).any(|at| text.has(at, Mark::Chart) && text.has(at.wrapping_sub(1), Mark::A));
    let about_bin = text.is(first, Cue::Tell) && super::bin_in(scene, first, clause.to).is_some();
    (tells && (question || thing || wanted || about_bin)
        || bare && !is_title(scene, clause)
        || wished
        || drawn)
        && !(reports && !(tells && wanted))
}

pub(super) fn shows_at(scene: &Scene<'_>, from: usize) -> bool {
    scene.clauses.iter().position(|clause| clause.from == from).is_some_and(|index| shows(scene, index))
}

/// `total disaster`: a word that means nothing here.
fn names_another(text: &Text<'_>, at: usize) -> bool {
    text.tokens
        .get(at)
        .is_some_and(|token| token.is_word() && token.senses.is_empty() && token.name.is_none())
}

/// `bin chart please`: nobody else draws one.
fn wants_a_chart(scene: &Scene<'_>, from: usize, to: usize) -> bool {
    let text = &scene.text;
    let of_bins = |at: usize| text.is_matter(at, Matter::Bin) || text.name(at, NameKind::Bin).is_some();
    let has = |mark: Mark| (from..to).any(|at| text.has(at, mark));
    let bare = (from..to).all(|at| text.verb(at).is_none() || of_bins(at));
    bare && to - from <= MOST_WORDS_OF_A_WISH
        && has(Mark::Chart)
        && has(Mark::Please)
        && (from..to).any(of_bins)
}

/// Whoever wishes for something in a few words does not tell a story.
const MOST_WORDS_OF_A_WISH: usize = 7;
