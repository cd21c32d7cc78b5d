//! Questions: which clauses make one, and what it is about.

mod about;
mod acceptable;
mod bot;
mod bran;
mod fallback;
mod food;
mod ground;
mod house;
mod people;
mod question;
mod stranger;
mod trouble;
mod wish;

use crate::clause::{BinRef, Clause, Joint, asked_indirectly, leans_back, opens_question};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::reading::{About, Ask, UnclearAbout};
use crate::scene::Scene;

pub(crate) use question::Question;

use people::between_people;
use wish::{is_aside, is_status_title, shows, shows_at};

/// What the questions of a message come to.
#[derive(Debug, Default)]
pub(crate) struct Asked {
    pub(crate) asks: Vec<Ask>,
    /// A bin that the room does not have.
    pub(crate) unclear: Option<(UnclearAbout, Option<String>)>,
    /// Something was asked that is not about the bins, or not understood.
    pub(crate) open: bool,
}

/// Nobody asks more in one message; what would be read of more costs time for nothing.
const MOST_QUESTIONS: usize = 16;

/// All questions that a message asks the bot.
pub(crate) fn asks(scene: &Scene<'_>) -> Asked {
    let mut asked = Asked::default();
    for (from, to) in units(scene).into_iter().take(MOST_QUESTIONS) {
        let indirect = asked_indirectly(&scene.text, from, to);
        let question = Question::new(scene, indirect.unwrap_or(from), to);
        let opened = opens_question(&scene.text, from, to, true)
            || shows_at(scene, from)
            || is_verdict_asked(scene, from, to);
        // `tell me what went in`, said among people
        let marked = scene.text.typed.contains('?');
        let of_all = indirect.is_some_and(|begins| {
            (from..begins).any(|at| scene.text.is(at, Cue::Anybody))
                || scene.text.is(begins.wrapping_sub(1), Cue::AsksAll)
        });
        let told = || indirect.is_some() && !marked && !of_all && !shows_at(scene, from);
        let tag = to == from + 1 && scene.text.has(from, Mark::Yes);
        let of_people = || tag || told() || between_people(scene, &question);
        if !scene.message.direct && (!opened || of_people()) {
            asked.open = true;
            continue;
        }
        if let Some(unknown) = question.unknown_bin() {
            if scene.message.direct {
                asked.unclear.get_or_insert((UnclearAbout::Bin, Some(unknown)));
            }
            continue;
        }
        match about::about(&question) {
            Some(found) if scene.message.direct || question.of_the_trade(&found) => {
                for ask in found.into_iter().map(|ask| of_the_one_named(scene, &question, ask)) {
                    if !asked.asks.iter().any(|known| says_no_more(&ask, known)) {
                        asked.asks.push(ask);
                    }
                }
            }
            None if is_elliptic(scene, &question) && !asked.asks.is_empty() => {
                let again = asked.asks.last().cloned().map(|ask| (ask.about, question.bins()));
                if let Some((about, bins)) = again {
                    asked.asks.extend(bins.iter().map(|bin| {
                        let slots = crate::reading::Slots { bin: question.name(bin), ..Default::default() };
                        Ask { about, slots }
                    }));
                }
            }
            _ => asked.open |= !(from..to).any(|at| scene.text.has(at, Mark::Hello)),
        }
    }
    asked
}

/// `when will squat be ready, and when will tall`: the rest of the question is that of the one before.
fn is_elliptic(scene: &Scene<'_>, question: &Question<'_, '_>) -> bool {
    let text = &scene.text;
    let plain = |at: usize| {
        text.name(at, NameKind::Bin).is_some()
            || text.has_any(
                at,
                &[Mark::When, Mark::Will, Mark::Be, Mark::Do, Mark::The, Mark::And, Mark::HowLong],
            )
            || text.is_matter(at, Matter::Bin)
    };
    scene.message.direct && !question.bins().is_empty() && (question.from..question.to).all(plain)
}

/// `green smells sour, normal?`: one word after the report.
fn is_verdict_asked(scene: &Scene<'_>, from: usize, to: usize) -> bool {
    let text = &scene.text;
    to == from + 1 && text.is_word(to, "?") && (text.has(from, Mark::Possible) || text.is(from, Cue::Verdict))
}

/// Whether a question is one that was asked before: `where do I bury blue and how deep should the hole be?`
fn says_no_more(ask: &Ask, known: &Ask) -> bool {
    let follows = ask.about == About::Trouble || ask.slots == crate::reading::Slots::default();
    ask == known || ask.about == known.about && follows
}

/// `blue's done, can I bury it?`: the one bin that the message names before.
fn of_the_one_named(scene: &Scene<'_>, question: &Question<'_, '_>, ask: Ask) -> Ask {
    let ask = in_the_one_plot(scene, question, ask);
    if ask.about == About::Chart && ask.slots.bin.is_none() {
        return drawn_of(scene, question, ask);
    }
    let of_bin = matches!(
        ask.about,
        About::Ready | About::Full | About::Drain | About::Status | About::Burying | About::History
    );
    let dug = ask.about == About::Burying && digs_before(scene, question);
    // `Shazza's half full, when's she going to be full`
    let room = question.has(Mark::Space) && question.cue(Cue::There);
    // `I sealed blue two weeks ago. Ready?`
    let bare = question.to - question.from <= 2;
    let refers = question.has(Mark::It) || room || bare || scene.message.direct && question.has(Mark::Other);
    if !of_bin || ask.slots.bin.is_some() || !(refers || dug) {
        return ask;
    }
    let mut named = (0..scene.text.tokens.len()).filter_map(|at| scene.text.name(at, NameKind::Bin));
    let one = named.next().filter(|first| named.all(|other| other.index == first.index));
    // `green is sealed, where should I bury it? blue smells sour`: the one of its sentence
    let sentence = question.sentence();
    let here = || {
        let before = |clause: &&Clause| clause.sentence == sentence && clause.to <= question.from;
        let tokens = scene.clauses.iter().filter(before).flat_map(|clause| clause.from..clause.to);
        let mut named = tokens.filter_map(|at| scene.text.name(at, NameKind::Bin));
        let first = named.next()?;
        named.all(|other| other.index == first.index).then_some(first)
    };
    let bin = one.or_else(here).map(|name| scene.bin_name(name.index));
    Ask { slots: crate::reading::Slots { bin, ..ask.slots }, ..ask }
}

/// `can I have tui as a picture`: the bin of which nothing is told before the picture.
fn drawn_of(scene: &Scene<'_>, question: &Question<'_, '_>, ask: Ask) -> Ask {
    let before = scene.clauses.iter().rfind(|clause| clause.from < question.from);
    let idle = |clause: &&Clause| clause.verb.is_none() && clause.sentence == question.sentence();
    let named = before.filter(idle).and_then(|clause| bin_in(scene, clause.from, question.from));
    let bin = named.and_then(|bin| question.name(&bin));
    Ask { slots: crate::reading::Slots { bin, ..ask.slots }, ..ask }
}

/// `I'm going to dig in blue, how deep should the hole be?`
fn digs_before(scene: &Scene<'_>, question: &Question<'_, '_>) -> bool {
    let text = &scene.text;
    let digs = |at: usize| text.is_act(at, Act::Bury) || text.is(at, Cue::Digs) || text.is(at, Cue::Ground);
    (0..question.from).any(|at| digs(at) || text.has(at, Mark::Hole))
}

/// `buried blue in the herb bed, when can I plant there?`: the one plot that the message names before.
fn in_the_one_plot(scene: &Scene<'_>, question: &Question<'_, '_>, ask: Ask) -> Ask {
    // `herb bed - can I plant?`
    let topic = |clause: &Clause| {
        clause.to <= question.from && clause.sentence == question.sentence() && clause.verb.is_none()
    };
    let headed = scene.clauses.iter().any(topic);
    let points = question.has(Mark::It) || question.cue(Cue::There);
    let refers = points || headed;
    if ask.about != About::Planting || ask.slots.plot.is_some() || !refers {
        return ask;
    }
    let to = if points { scene.text.tokens.len() } else { question.from };
    let mut named = (0..to).filter_map(|at| scene.text.name(at, NameKind::Plot));
    let one = named.next().filter(|first| named.all(|other| other.index == first.index));
    let plot = one.and_then(|name| scene.message.plots.get(name.index).cloned());
    Ask { slots: crate::reading::Slots { plot, ..ask.slots }, ..ask }
}

/// The ranges of tokens that ask.
fn units(scene: &Scene<'_>) -> Vec<(usize, usize)> {
    let mut out: Vec<(usize, usize)> = Vec::new();
    let mut open = false;
    for (i, clause) in scene.clauses.iter().enumerate() {
        let shows = shows(scene, i);
        if !clause.asks && !shows || is_aside(scene, clause) || is_status_title(scene, clause) {
            open = false;
            continue;
        }
        let marked = scene.text.typed.contains('?');
        let opens =
            opens_question(&scene.text, clause.from, clause.to, marked && clause.joint != Joint::Pause)
                || shows;
        let same = i > 0 && scene.clauses[i - 1].sentence == clause.sentence;
        match out.last_mut() {
            Some(last)
                if open
                    && same
                    && (!opens
                        || only_lists(scene, clause)
                        || leans_back(&scene.text, &scene.clauses, i)) =>
            {
                last.1 = clause.to;
            }
            _ => out.push((clause.from, clause.to)),
        }
        open = true;
    }
    out
}

/// `can I put mango skin and tea bags inside or not`: what follows the `and` is but more of the same.
fn only_lists(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let food = |at: usize| text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)));
    clause.joint == Joint::And
        && clause.verb.is_none_or(|verb| verb.at > clause.from)
        && (food(clause.from) || food(clause.from + 1))
}

/// The first bin that a range names.
pub(crate) fn bin_in(scene: &Scene<'_>, from: usize, to: usize) -> Option<BinRef> {
    (from..to).find_map(|at| scene.text.name(at, NameKind::Bin).map(|name| BinRef::Known(name.index)))
}
