//! Clauses that say something else of another bin, or give a heading.

use crate::clause::{Clause, Gist, Joint};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense, english};
use crate::reading::FactKind;
use crate::scene::Scene;
use crate::text::{Kind, Text};

use crate::fact::Event;
use crate::fact::gapped::is_bare;

/// Whether the bins that a clause names take no part in the event before it.
pub(super) fn is_elsewhere(scene: &Scene<'_>, index: usize, event: &Event) -> bool {
    let (clause, gist, text) = (&scene.clauses[index], &scene.gists[index], &scene.text);
    let any = |mark: Mark| (clause.from..clause.to).any(|at| text.has(at, mark));
    // `it's in the garage` tells where something stands.
    let placed = event.names_bin();
    let place =
        clause.verb.is_none() && (placed || event.kind != FactKind::Scraps) && any(Mark::It) && any(Mark::Be);
    // `I sealed it and opened lucky`: the other bin is what was opened.
    let other_act = clause.verb.is_some_and(|verb| {
        matches!(verb.act, Act::Open | Act::Check | Act::Look | Act::Move | Act::Fill | Act::Set | Act::Save)
    });
    // `blue's been sold, only green left`
    let stays = matches!(event.kind, FactKind::BinGone | FactKind::BinSet)
        && !(clause.from..clause.to).all(|at| {
            text.tokens[at].name.is_some()
                || text.has_any(at, &[Mark::The, Mark::I])
                || text.is_matter(at, Matter::Bin)
        });
    // `green is full, blue up to the handles`
    let state = matches!(event.kind, FactKind::Level | FactKind::Checked) && !is_bare(text, clause);
    let measured = gist.lots.iter().any(|lot| lot.amount.is_some());
    let said = !measured && (speaks_apart(text, clause) || goes_on_apart(scene, index));
    let apart = placed || clause.sentence != event.sentence;
    place || other_act || stays || apart && (state || said)
}

/// Whether a time stands in a sentence of its own and belongs to what that sentence tells.
pub(super) fn is_of_another_sentence(text: &Text<'_>, clause: &Clause, gist: &Gist, event: &Event) -> bool {
    let timed = !gist.whens.is_empty() && gist.bins.is_empty() && gist.lots.is_empty();
    let alone = clause.verb.is_none()
        && (clause.from..clause.to).all(|at| {
            text.time(at).is_some()
                || text.digits(at).is_some()
                || matches!(text.kind(at), Some(Kind::Pair(..) | Kind::Date(..) | Kind::Ordinal(_)))
                || text.senses(at).is_empty()
                || text.has_any(at, &[Mark::In, Mark::The, Mark::About])
        });
    clause.sentence != event.sentence && timed && !alone
}

/// `forgot the bran last night`: when nothing was done
pub(super) fn forgot_bran(text: &Text<'_>, clause: &Clause) -> bool {
    let bran = |at: usize| text.has(at, Mark::It) || text.is_matter(at, Matter::Bran);
    (clause.from..clause.to).any(|at| text.is(at, Cue::Forgot) && (at + 1..at + 3).any(bran))
}

/// `green has flies, blue has none`, `drained green, blue still to do`: something else is said of the other bin.
fn speaks_apart(text: &Text<'_>, clause: &Clause) -> bool {
    let strange = |at: usize| {
        let token = &text.tokens[at];
        token.is_word()
            && token.senses.is_empty()
            && token.name.is_none()
            && english().is_ordinary(text.word(at))
    };
    let idle = |at: usize| text.is(at, Cue::Adverb) || text.is(at, Cue::Just) || text.is(at, Cue::AsWell);
    // `green's tap, 150 ml, and blue's, 60 ml`
    let whose = |at: usize| text.is(at, Cue::TailS) && at + 1 == clause.to && at == clause.from + 1;
    (clause.from..clause.to).filter(|at| !whose(*at)).any(|at| {
        text.has_any(at, &[Mark::Not, Mark::No, Mark::Be, Mark::Have, Mark::Will, Mark::Can, Mark::Skip])
            || text.is(at, Cue::Nothing)
            || text.is(at, Cue::NothingCame)
            || text.is(at, Cue::LetBe) && text.tokens[at].name.is_none()
            || strange(at) && !idle(at)
    })
}

/// `kept green and blue going`: the second of those of which something else was said.
fn goes_on_apart(scene: &Scene<'_>, index: usize) -> bool {
    let clause = &scene.clauses[index];
    let before = index.checked_sub(1).map(|before| &scene.clauses[before]);
    clause.joint == Joint::And
        && before.is_some_and(|before| {
            before.sentence == clause.sentence
                && (before.from..before.to)
                    .any(|at| scene.text.is(at, Cue::LetBe) && scene.text.tokens[at].name.is_none())
        })
        && !scene.gists[index].bins.is_empty()
}

/// `green is full, so on to blue`: the bin that what follows is about.
pub(super) fn moves_on(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let first = (clause.from..clause.to).find(|at| !text.has_any(*at, &[Mark::Then, Mark::And, Mark::I]));
    let on = first.is_some_and(|at| {
        let to = |i: usize| text.is(i, Cue::To) || text.is(i, Cue::OnTo);
        text.is(at, Cue::OnTo)
            || (text.is(at, Cue::On) || text.is(at, Cue::Moves)) && (at + 1..at + 3).any(to)
    });
    on && gist.bins.len() == 1 && gist.lots.is_empty() && clause.to - clause.from <= 6
}

/// `green:`, `green -`, `green` on a line of its own: a heading.
pub(super) fn heads_what_follows(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let line = |at: usize| text.word(at) == "\n";
    let own_line = line(clause.to) && (clause.from == 0 || line(clause.from - 1)) && is_bare(text, clause);
    text.word(clause.to) == ":"
        || own_line && gist.bins.len() == 1
        || text.word(clause.to) == "-" && !gist.bins.is_empty()
}

/// `Levels today:`, `Garden log, Sunday` on a line of its own: a day over what follows.
pub(super) fn is_dated_heading(scene: &Scene<'_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &scene.text;
    let headed = text.word(clause.to) == ":" || text.word(clause.to) == "\n";
    headed
        && clause.verb.is_none()
        && gist.whens.iter().any(|(when, _)| when.is_moment())
        && gist.bins.is_empty()
        && gist.plots.is_empty()
        && gist.lots.is_empty()
}

/// Whether a clause names nothing but bins, times and amounts: it may stand before its sentence.
pub(crate) fn is_heading(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    (clause.from..clause.to).all(|at| {
        let measured = text.senses(at).iter().any(|s| {
            matches!(
                s,
                Sense::Unit(_)
                    | Sense::Kitchen(..)
                    | Sense::Food(_)
                    | Sense::Matter(_)
                    | Sense::Cardinal(_)
                    | Sense::Share(_)
                    | Sense::Time(_)
            )
        });
        text.tokens[at].name.is_some()
            || !text.tokens[at].is_word()
            || measured
            || text.has_any(at, &[Mark::The, Mark::A, Mark::In, Mark::Of, Mark::About])
    })
}
