//! Questions: which clauses make one, and what it is about.

mod about;
mod acceptable;
mod bot;
mod bran;
mod fallback;
mod food;
mod ground;
mod house;
mod question;
mod stranger;
mod trouble;

use crate::clause::{BinRef, Clause, Joint, asked_indirectly, leans_back, opens_question};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::reading::{About, Ask, UnclearAbout};
use crate::scene::Scene;

pub(crate) use question::Question;

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
        let of_all = indirect.is_some_and(|begins| (from..begins).any(|at| scene.text.is(at, Cue::Anybody)));
        let told = || indirect.is_some() && !marked && !of_all && !shows_at(scene, from);
        let of_people = || told() || between_people(scene, &question);
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
            _ => asked.open |= !(from..to).any(|at| scene.text.has(at, Mark::Hello)),
        }
    }
    asked
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
fn is_status_title(scene: &Scene<'_>, clause: &Clause) -> bool {
    clause.to <= clause.from + 2
        && clause.verb.is_none()
        && scene.text.has(clause.from, Mark::Status)
        && is_title(scene, clause)
}

/// `(how full they are, I mean)`: what was told just before, and no question.
fn is_aside(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let subject = [Mark::I, Mark::It, Mark::Other, Mark::Each, Mark::The];
    text.is_word(clause.from.wrapping_sub(1), "(")
        && text.has_any(clause.from, &[Mark::HowFull, Mark::HowMuch, Mark::How, Mark::What])
        && text.has_any(clause.from + 1, &subject)
}

/// `show me a chart`, `tell me when blue is ready`, or a bare `status`, `help`: questions without their form.
fn shows(scene: &Scene<'_>, index: usize) -> bool {
    let (clause, text) = (&scene.clauses[index], &scene.text);
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
        .any(|at| text.has_any(at, &[Mark::Chart, Mark::History, Mark::Status]) || text.is(at, Cue::Recipe));
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
    let about_bin = text.is(first, Cue::Tell) && super::ask::bin_in(scene, first, clause.to).is_some();
    (tells && (question || thing || wanted || about_bin) || bare && !is_title(scene, clause) || wished)
        && !(reports && !(tells && wanted))
}

fn shows_at(scene: &Scene<'_>, from: usize) -> bool {
    scene.clauses.iter().position(|clause| clause.from == from).is_some_and(|index| shows(scene, index))
}

/// Whether people ask each other: `did you drain it, Mara?`
fn between_people(scene: &Scene<'_>, question: &Question<'_, '_>) -> bool {
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
    let rota =
        question.has(Mark::Whose) || question.has(Mark::Turn) && !past || question.has(Mark::Who) && on_bins;
    (question.from..question.to).any(|at| {
        text.has_any(at, &[Mark::You, Mark::Other, Mark::Someone])
            && !text.is(at, Cue::Them)
            && !(rota
                && (text.has_any(at, &[Mark::Who, Mark::Whose]) || text.has(at.wrapping_sub(1), Mark::Or)))
    }) || mulls_over(scene, question)
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
    mulls && question.any(|at| or(at) || ahead(at))
        || about && question.any(ahead)
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

/// The first bin that a range names.
pub(crate) fn bin_in(scene: &Scene<'_>, from: usize, to: usize) -> Option<BinRef> {
    (from..to).find_map(|at| scene.text.name(at, NameKind::Bin).map(|name| BinRef::Known(name.index)))
}
