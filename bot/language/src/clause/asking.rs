//! Which clauses ask: those that open as questions do, and what follows them.

use crate::amount::Unit;
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::text::{Kind, Stop, Text};

use super::in_place::{asks_in_place, is_topic};
use super::indirect::{asked_indirectly, is_question_word};
use super::{Clause, Joint};

/// Marks the clauses that ask: from a question's opening to the end of its sentence.
pub(super) fn mark_questions(text: &Text<'_>, clauses: &mut [Clause], questions: &[usize]) {
    for clause in clauses.iter_mut() {
        let marked = questions.contains(&clause.sentence);
        clause.asks = opens_question(text, clause.from, clause.to, marked);
    }
    for sentence in questions {
        let of: Vec<usize> = (0..clauses.len()).filter(|i| clauses[*i].sentence == *sentence).collect();
        let opens = of.iter().position(|i| clauses[*i].asks);
        let opening = opens
            .or_else(|| of.last().filter(|i| judges(text, &clauses[**i])).map(|_| of.len() - 1))
            .unwrap_or(0);
        for i in &of[opening.min(of.len())..] {
            clauses[*i].asks = true;
        }
    }
    for i in 1..clauses.len() {
        let goes_on = clauses[i - 1].asks && clauses[i].sentence == clauses[i - 1].sentence;
        let own =
            clauses[i].verb.is_some_and(|verb| verb.forms.has(Forms::PAST) && !verb.forms.has(Forms::BASE))
                && clauses[i].joint != Joint::And
                && clauses[i].joint != Joint::None;
        // `what do I do, the bin smells of ammonia`
        let smells =
            clauses[i].verb.is_some_and(|verb| verb.act == Act::Smell && verb.forms.has(Forms::THIRD))
                && asks_what_to_do(text, &clauses[i - 1]);
        if goes_on && !own && !smells {
            clauses[i].asks = true;
        }
        if clauses[i].asks
            && !clauses[i - 1].asks
            && !is_warm(text, &clauses[i - 1])
            && leans_back(text, clauses, i)
        {
            clauses[i - 1].asks = true;
        }
    }
}

/// `what do I do`, `what must I do`
fn asks_what_to_do(text: &Text<'_>, clause: &Clause) -> bool {
    let ends = clause.to - 1;
    let spelt = text.has(clause.from, Mark::What)
        && text.has(ends, Mark::Do)
        && text.has(ends.wrapping_sub(1), Mark::I);
    spelt || text.has(ends, Mark::Worry) && text.word(ends).contains(' ')
}

/// `green's at 18 degrees, is that ok?`: a reading, whatever is asked of it.
pub(super) fn is_warm(text: &Text<'_>, clause: &Clause) -> bool {
    (clause.from..clause.to)
        .any(|at| matches!(text.unit(at), Some(Unit::Degree | Unit::Celsius | Unit::Fahrenheit)))
}

/// `smells like vinegar, that normal?`: but the end of the sentence asks.
fn judges(text: &Text<'_>, clause: &Clause) -> bool {
    let verdict = |at: usize| text.has(at, Mark::Possible) || text.is(at, Cue::Verdict);
    let brief = clause.to - clause.from <= 3 && (clause.from..clause.to).any(verdict);
    // `cellar smells awful, anyone else notice?`
    let others = text.is(clause.from, Cue::AsksOthers);
    clause.joint == Joint::Pause && (brief || others && clause.to - clause.from <= 5)
}

/// `..., which I did on Sunday`, `..., where the paint used to live`: more about what was just named.
fn is_relative(text: &Text<'_>, at: usize) -> bool {
    let told = text.has_any(at + 1, &[Mark::I, Mark::The, Mark::It, Mark::Other, Mark::Someone])
        || text.verb(at + 1).is_some_and(|(_, forms)| forms.has(Forms::PAST))
        || text.has(at, Mark::Which) && text.verb(at + 1).is_some_and(|(_, forms)| forms.has(Forms::THIRD))
        || text.has(at, Mark::Which) && (text.has(at + 1, Mark::Be) || text.is(at + 1, Cue::Leaves))
        || text.is(at, Cue::Who) && text.time(at + 1).is_some();
    at > 0 && text.is_pause(at - 1) && text.has_any(at, &[Mark::Which, Mark::Who, Mark::Where]) && told
}

/// `where:`, `when:`: the name of what is told next.
pub(crate) fn is_label(text: &Text<'_>, from: usize, to: usize) -> bool {
    text.is_word(to, ":") && to == from + 1 && text.is(from, Cue::Label) && text.tokens[from].name.is_none()
}

/// Whether a clause begins as questions do: `how much`, `is blue`, `can I`.
pub(crate) fn opens_question(text: &Text<'_>, from: usize, to: usize, marked: bool) -> bool {
    let skipped = [
        Mark::And,
        Mark::But,
        Mark::Then,
        Mark::Hello,
        Mark::Yes,
        Mark::Sorry,
        Mark::Bot,
        Mark::Please,
        Mark::Laugh,
        Mark::Thanks,
        Mark::No,
    ];
    let mut at = from;
    while at < to
        && !text.has_any(at, &[Mark::How, Mark::HowMuch, Mark::HowLong, Mark::Why, Mark::Status, Mark::Which])
        && (text.has_any(at, &skipped) && text.tokens[at].name.is_none()
            || text.is_sign(at, '@')
            || text.is_stop(at))
    {
        at += 1;
    }
    // `from when is blue ready?`, `about how long till it's full`
    let led = text.has_any(at, &[Mark::From, Mark::About])
        && text.has_any(at + 1, &[Mark::When, Mark::HowLong])
        || text.has(at, Mark::In) && text.has_any(at + 1, &[Mark::What, Mark::Which]);
    at += usize::from(led);
    if at >= to || is_label(text, from, to) {
        return false;
    }
    // `reckon blue's ready or not`
    let guessed = at + usize::from(text.has(at, Mark::Hearsay));
    if asks_in_place(text, guessed, to) || asked_indirectly(text, at, to).is_some() {
        return true;
    }
    if text.has_any(
        at,
        &[Mark::HowMuch, Mark::HowLong, Mark::HowFull, Mark::Whose, Mark::Why, Mark::Worry, Mark::Status],
    ) {
        return true;
    }
    if !marked && is_relative(text, at) {
        return false;
    }
    if text.has_any(at, &[Mark::What, Mark::Where, Mark::Who, Mark::How, Mark::Which]) {
        return !text.has_any(at + 1, &[Mark::A]) || marked;
    }
    if text.has(at, Mark::When) {
        return asks_when(text, at, to, marked);
    }
    opens_with_verb(text, from, at, to, marked)
        || text.is(at, Cue::Any) && (marked || text.is(at + 1, Cue::JuiceOrTea) || !is_food(text, at + 1))
        || is_judged(text, at)
        // `bran recipe?`
        || marked && text.is_matter(at, Matter::Bran) && text.is(at + 1, Cue::Recipe) && at + 2 >= to
        || names_what_is_wanted(text, at, to)
        || text.is(at, Cue::Anything) && text.has(at + 1, Mark::I)
        || has_any(text, at)
}

fn is_food(text: &Text<'_>, at: usize) -> bool {
    text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)))
}

/// `when is blue ready`, `when blue will be ready`; not the condition in `when blue is full we seal it`.
fn asks_when(text: &Text<'_>, at: usize, to: usize, marked: bool) -> bool {
    // In `when blue is full we seal it, right?` the first clause is but a condition.
    let alone = (to >= text.tokens.len() || text.kind(to) == Some(Kind::Stop(Stop::Question)))
        && !(at..to).any(|i| text.is_pause(i));
    // `when blue will be ready`
    let mine = text.has(at + 1, Mark::I) && !(at + 2..to.min(at + 4)).any(|i| text.has(i, Mark::Can));
    let asked = at == 0 || (at + 2..to.min(at + 4)).any(|i| text.has_any(i, &[Mark::Will, Mark::Can]));
    // `when blue's done we could plant on top`: a condition, and what follows from it
    let follows = (at + 2..to).any(|i| text.has(i, Mark::I) && text.has_any(i + 1, &[Mark::Can, Mark::Will]));
    let later = alone && asked && to >= text.tokens.len() && at + 1 < to && !mine && !follows;
    (marked || later) && alone
        || text.has_any(at + 1, &[Mark::Be, Mark::Do, Mark::Can, Mark::Will, Mark::Have])
        || text.is(at, Cue::Contracted)
        || text.is(at, Cue::Whens)
        || text.is(at, Cue::LastDid)
}

/// Whether an auxiliary verb stands where questions have it: `is blue ready`, `can bones go in`.
fn opens_with_verb(text: &Text<'_>, from: usize, at: usize, to: usize, marked: bool) -> bool {
    let aux = [Mark::Be, Mark::Do, Mark::Can, Mark::Will, Mark::Have];
    let subject = |at: usize| {
        text.has_any(at, &[Mark::I, Mark::You, Mark::Other, Mark::It, Mark::The, Mark::A, Mark::Someone])
            || text.tokens.get(at).is_some_and(|token| token.name.is_some())
            || text.is(at, Cue::There)
            || text.is(at, Cue::Any)
            || text.is_vague(at)
            || text.is_matter(at, Matter::Bin) && text.has(at + 1, Mark::Ready)
    };
    // `can get to it in 3 hrs`: I can.
    let able = !marked
        && text.verb(at + 1).is_some_and(|(act, _)| matches!(act, Act::Get | Act::Finish | Act::Read));
    // `May's drained`, of a bin called May
    if text.tokens[at].name.is_some() {
        return false;
    }
    // `could use a hand digging`
    let wants = text.is(at, Cue::CanOrCould) && text.is_act(at + 1, Act::Use) && text.has(at + 2, Mark::A);
    if text.has(at, Mark::Can)
        && !wants
        && !text.tokens[at].word_is_tail()
        && at + 2 < to
        && text.is(at, Cue::Modal)
        && !able
    {
        return true;
    }
    // `can yoghurt, eggshells and skins go in`
    let food = is_food(text, at + 1);
    let verb = text.verb(at + 1).is_some() && text.has_any(at + 2, &[Mark::The, Mark::A, Mark::It, Mark::I]);
    if text.is(at, Cue::ModalOrDo) && food && !verb {
        return true;
    }
    // `have we got bran still`, but not `have a look`
    let owner = text.has_any(at + 1, &[Mark::I, Mark::It])
        || text.tokens.get(at + 1).is_some_and(|token| token.name.is_some());
    let has = text.has(at, Mark::Have)
        && (owner && !text.is(at + 1, Cue::MyOrOur)
            || text.is(at, Cue::Has) && text.has(at + 1, Mark::The)
            || text.is(at + 1, Cue::Anything));
    let aux = if marked || has { &aux[..] } else { &aux[..4] };
    // Of `be` and `do` only the finite forms open a question.
    let finite = !text.has_any(at, &[Mark::Be, Mark::Do]) || text.is(at, Cue::Finite);
    let inverted = finite
        && text.has_any(at, aux)
        && !text.tokens[at].word_is_tail()
        && (subject(at + 1) || marked && at + 1 < to && !text.is(at, Cue::Might))
        // `did blue`
        && (marked || !text.has(at, Mark::Do) || at + 2 < to && !text.is(at + 1, Cue::Article));
    // `green has mould and is a third full`, `smells of ammonia and is too wet, what now?`
    let state = |at: usize| {
        text.senses(at)
            .iter()
            .any(|s| matches!(s, Sense::Level(_) | Sense::Share(_) | Sense::Moisture(_) | Sense::Smell(_)))
    };
    let subject_of = |at: usize| {
        text.tokens[at].name.is_some() || text.has_any(at, &[Mark::It, Mark::The, Mark::I, Mark::You])
    };
    let led = text.has(at, Mark::Be) && text.has(at.wrapping_sub(1), Mark::And);
    let told = (at + 1..to.min(at + 4)).find(|i| state(*i) || subject_of(*i)).is_some_and(state);
    let states = led && told;
    // `undo that, was a mistake`
    let elliptical = !marked && text.is(at, Cue::Was) && text.has(at + 1, Mark::A);
    if states || elliptical {
        return false;
    }
    let judged = text.has(at, Mark::Be)
        && !text.tokens[at].word_is_tail()
        && is_food(text, at + 1)
        && (at..to).any(|i| text.has(i, Mark::Possible));
    // `do napkins go in`, `would dog poo be ok`
    let order = text.is(at, Cue::Do)
        && text.verb(at + 1).is_some_and(|(_, forms)| forms.has(Forms::BASE))
        && (text.has_any(at + 2, &[Mark::The, Mark::A, Mark::It, Mark::I])
            || !text.senses(at + 1).iter().any(|s| matches!(s, Sense::Food(_) | Sense::Matter(_))));
    let of_things = !order
        && text.is(at, Cue::DoOrWill)
        && (at + 1..to).any(|i| {
            text.is_act(i, Act::Go)
                || text.is_act(i, Act::Add)
                || text.has(i, Mark::Be) && text.has(i + 1, Mark::Possible)
        })
        && !text.has_any(at + 1, &[Mark::A, Mark::The, Mark::It]);
    let possible = text.is(at, Cue::IsOrAre)
        && (at + 1..to).any(|i| text.has(i, Mark::Possible))
        && !text.has_any(at + 1, &[Mark::Left]);
    // `is today my day`
    let dated = text.is(at, Cue::IsOrAre) && matches!(text.time(at + 1), Some(TimeWord::Day(_)));
    // `is Kermit ready`
    let ready = text.is(at, Cue::IsOrAre) && text.has(at + 2, Mark::Ready) && text.tokens[at + 1].is_word();
    // `is 20 cm deep enough`
    let named = at > from && text.tokens[at - 1].name.is_some();
    let measured = !named
        && text.is(at, Cue::IsOrAre)
        && (text.digits(at + 1).is_some() || text.cardinal(at + 1).is_some());
    judged
        || possible
        || ready
        || dated
        || measured
        || of_things
        || inverted
        || (text.has(at, Mark::Not) && subject(at + 1) && marked)
        || asks_of_noun(text, from, at)
}

/// `y'all got any news on Tammy`, `got a recipe for bran`
fn has_any(text: &Text<'_>, at: usize) -> bool {
    let verb = at + usize::from(text.has_any(at, &[Mark::I, Mark::You]));
    let thing =
        text.has(verb + 1, Mark::A) && (text.is(verb + 2, Cue::Recipe) || text.has(verb + 2, Mark::Chart));
    (text.has(verb, Mark::Have) || text.is_act(verb, Act::Get))
        && (text.is(verb + 1, Cue::Any) || text.has(verb + 1, Mark::Status) || thing)
}

/// `okay to toss melon rind in`, `too soon to plant`
fn is_judged(text: &Text<'_>, at: usize) -> bool {
    let degree = at + usize::from(text.is(at, Cue::Too));
    let verdict = text.has(degree, Mark::Possible) || degree > at && text.is(degree, Cue::EarlyLate);
    let to = if text.is(degree, Cue::LedTo) { degree + 1 } else { degree + 2 };
    verdict
        && (text.is(degree, Cue::LedTo) || text.is(degree + 1, Cue::To))
        && text.verb(to).is_some_and(|(act, _)| {
            matches!(act, Act::Add | Act::Plant | Act::Bury | Act::Open | Act::Drain | Act::Use | Act::Go)
        })
}

/// `bran for 4 litres`, `list of items added`: a thing that nobody reports.
fn names_what_is_wanted(text: &Text<'_>, at: usize, to: usize) -> bool {
    let measured =
        |from: usize| (from..to).any(|i| text.unit(i).is_some() || text.name(i, NameKind::Measure).is_some());
    let dose = text.is_matter(at, Matter::Bran)
        && (at + 1..to.min(at + 3)).any(|i| text.is(i, Cue::For) && measured(i))
        && (at..to).all(|i| text.verb(i).is_none() || text.matter(i).is_some());
    // `list everything that went in`
    let listed = text.is(at, Cue::List) && (text.has(at + 1, Mark::All) || text.is(at + 1, Cue::Everything));
    dose || listed || text.has_any(at, &[Mark::History, Mark::Chart]) && text.has(at + 1, Mark::Of)
}

/// `is white mould supposed to be there`: a finite verb opens the sentence, and a noun follows it.
fn asks_of_noun(text: &Text<'_>, from: usize, at: usize) -> bool {
    let noun = |at: usize| {
        text.senses(at).iter().any(|sense| {
            matches!(sense, Sense::MouldNoun | Sense::SmellNoun | Sense::Pests | Sense::Matter(_))
        })
    };
    let opens = from == 0 || text.is_stop(from - 1) && !text.is_pause(from - 1);
    let finite = text.is(at, Cue::ModalOrDo) && !text.has(at, Mark::Can) || text.is(at, Cue::IsOrAre);
    let coloured = text.senses(at + 1).iter().any(|sense| matches!(sense, Sense::Colour(_)));
    opens && finite && (noun(at + 1) || coloured && noun(at + 2))
}

/// Whether what a clause asks is about what the clause before names: `garage - where are we at?`, `bran: how much is
/// there?`, `steak fat and gristle, in or out?`
pub(crate) fn leans_back(text: &Text<'_>, clauses: &[Clause], index: usize) -> bool {
    let Some(before) = index.checked_sub(1).map(|before| &clauses[before]) else { return false };
    let clause = &clauses[index];
    let topics = |clause: &Clause| (clause.from..clause.to).filter(|at| is_topic(text, *at)).count();
    let tells = |at: usize| {
        text.tokens[at].name.is_none()
            && text.senses(at).iter().any(|sense| {
                matches!(
                    sense,
                    Sense::Level(_)
                        | Sense::Share(_)
                        | Sense::MouldNoun
                        | Sense::Smell(_)
                        | Sense::Moisture(_)
                        | Sense::Pests
                        | Sense::Lid(_)
                )
            })
            || text.has_any(at, &[Mark::Not, Mark::No, Mark::Done, Mark::Ready, Mark::OutOf, Mark::Left])
    };
    let counts =
        |at: usize| text.unit(at).is_some() || text.digits(at).is_some() || text.cardinal(at).is_some();
    let brief = before.to - before.from <= 3 && !(before.from..before.to).any(counts);
    let asked = (clause.from..clause.to).any(|at| {
        is_question_word(text, at)
            || text.has_any(at, &[Mark::Possible, Mark::Status, Mark::Or])
            || text.is(at, Cue::Choice)
    });
    // `added some curry, about a litre, is that ok?`: how much was added
    let told = index.checked_sub(2).map(|told| &clauses[told]).is_some_and(|told| {
        let past = told.verb.is_some_and(|verb| verb.forms.has(Forms::PAST));
        past && told.sentence == before.sentence && (before.from..before.to).any(|at| text.unit(at).is_some())
    });
    // `one big bowl of dal to neem, how much have we kept?`: a report, and then the question
    let put_in = (before.from..before.to)
        .any(|at| text.is(at, Cue::IntoOrTo) && text.name(at + 1, NameKind::Bin).is_some());
    let measured = |at: usize| {
        text.unit(at).is_some() || text.senses(at).iter().any(|sense| matches!(sense, Sense::Kitchen(..)))
    };
    if told || put_in && (before.from..before.to).any(measured) {
        return false;
    }
    let fed = (before.from..before.to).any(|at| text.senses(at).iter().any(|s| matches!(s, Sense::Food(_))));
    clause.sentence == before.sentence
        && clause.joint == Joint::Pause
        && before.verb.is_none()
        && topics(before) > 0
        && !(before.from..before.to).any(tells)
        && (brief || topics(clause) == 0)
        && (asked || fed && topics(clause) == 0 && !(before.from..before.to).any(counts))
}
