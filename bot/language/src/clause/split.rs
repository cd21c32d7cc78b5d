//! Cuts a message into clauses: at stops, at `and` and `but`, and before a second verb.

use crate::lexicon::{Act, Cue, Forms, Mark, Sense};
use crate::text::{Kind, Stop, Text};

use super::stance::{Subject, stance};
use super::verb::{Verb, verb_at};
use super::{Clause, Joint, Piece, PieceKind};

/// The clauses of a message, with their stances.
pub(crate) fn split(text: &Text<'_>, pieces: &[Piece], direct: bool) -> Vec<Clause> {
    let mut splitter =
        Splitter { text, out: Vec::new(), from: 0, joint: Joint::Sentence, sentence: 0, verb: None };
    let mut questions: Vec<usize> = Vec::new();
    for piece in pieces {
        splitter.take(*piece, &mut questions);
    }
    splitter.close(text.tokens.len(), Joint::Sentence, text.tokens.len());
    let mut clauses = splitter.out;
    for clause in &mut clauses {
        clause.stance = stance(text, clause.from, clause.to, clause.verb, direct);
    }
    inherit(&mut clauses);
    mark_questions(text, &mut clauses, &questions);
    clauses
}

struct Splitter<'s, 't> {
    text: &'s Text<'t>,
    out: Vec<Clause>,
    from: usize,
    joint: Joint,
    sentence: usize,
    verb: Option<Verb>,
}

impl Splitter<'_, '_> {
    fn take(&mut self, piece: Piece, questions: &mut Vec<usize>) {
        let (text, at) = (self.text, piece.from);
        if piece.kind != PieceKind::Word {
            return;
        }
        match text.kind(at) {
            Some(Kind::Stop(Stop::Pause)) => return self.close(at, Joint::Pause, at + 1),
            Some(Kind::Stop(stop)) => {
                if text.word(at) == "."
                    && text.tokens.get(at + 1).is_some_and(|next| next.glued && next.is_word())
                {
                    return;
                }
                if stop == Stop::Question {
                    questions.push(self.sentence);
                }
                self.close(at, Joint::Sentence, at + 1);
                self.sentence += 1;
                return;
            }
            Some(Kind::Sign('-')) if !text.tokens[at].glued => return self.close(at, Joint::Pause, at + 1),
            _ => {}
        }
        if text.has(at, Mark::Ta) {
            return self.close(at, Joint::Pause, at + 1);
        }
        if text.has(at, Mark::But) {
            return self.close(at, Joint::But, at + 1);
        }
        // `so bad`, `as much`
        let degree = text.is(at, Cue::Degree)
            && text.senses(at + 1).iter().any(|s| {
                matches!(
                    s,
                    Sense::Smell(_)
                        | Sense::Moisture(_)
                        | Sense::Level(_)
                        | Sense::Mark(Mark::Size | Mark::Possible)
                )
            });
        if text.has_any(at, &[Mark::And, Mark::Then]) && at > self.from && !degree && !self.lists_foods(at) {
            return self.close(at, Joint::And, at + 1);
        }
        if at > self.from && begins_worry(text, at) {
            self.close(at, Joint::Pause, at);
            return;
        }
        let Some(verb) = verb_at(text, self.from, at) else { return };
        match self.verb {
            None => self.verb = Some(verb),
            Some(known)
                if weak(known.act)
                    && (verb.at <= known.at + 2 || !weak(verb.act) && leads_to(text, known.at, verb.at)) =>
            {
                self.verb = Some(verb);
            }
            // `record 200 ml drained from blue`
            Some(known) if is_log(text, known) && verb.forms.has(Forms::PARTICIPLE) => self.verb = Some(verb),
            Some(known) if second(text, known, verb) => {
                self.close(at, Joint::None, at);
                self.verb = Some(verb);
            }
            Some(_) => {}
        }
    }

    /// `3 l of onions and carrots went in`: one lot, of which nothing is said before its last food.
    fn lists_foods(&self, and: usize) -> bool {
        let food = |at: usize| self.text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(..)));
        self.verb.is_none() && food(and - 1) && food(and + 1)
    }

    fn close(&mut self, to: usize, next: Joint, from: usize) {
        // `ok so`, `hi there`: nothing is said yet.
        let text = self.text;
        let filler = |at: usize| {
            text.has_any(at, &[Mark::Hello, Mark::Laugh, Mark::Then, Mark::And, Mark::Yes])
                && text.tokens[at].name.is_none()
                && !text
                    .has_any(at, &[Mark::Done, Mark::Status, Mark::Why, Mark::Undo, Mark::With, Mark::Which])
        };
        while self.from + 1 < to && filler(self.from) && self.verb.is_none_or(|verb| verb.at > self.from) {
            if self.joint == Joint::Pause && text.is(self.from, Cue::And) {
                self.joint = Joint::And;
            }
            self.from += 1;
        }
        if to > self.from {
            self.out.push(Clause {
                from: self.from,
                to,
                joint: self.joint,
                sentence: self.sentence,
                verb: self.verb,
                stance: super::Stance::default(),
                asks: false,
            });
            self.joint = next;
        } else if next == Joint::Sentence || self.joint == Joint::Pause {
            self.joint = next;
        }
        self.from = from;
        self.verb = None;
    }
}

/// `there's blue mould in the carport what do i do`: a question of several words that needs no sign before it.
fn begins_worry(text: &Text<'_>, at: usize) -> bool {
    let led = text.has_any(at - 1, &[Mark::Hello, Mark::And, Mark::Yes, Mark::Sorry, Mark::Laugh]);
    let judged = text.is(at, Cue::IsOrAre)
        && text.has(at + 1, Mark::It)
        && (text.has(at + 2, Mark::Possible) || text.is(at + 2, Cue::Judged))
        && !text.has_any(at - 1, &[Mark::What, Mark::How, Mark::When, Mark::Why, Mark::Where]);
    !led && (text.has(at, Mark::Worry) && (text.word(at).contains(' ') || at + 1 == text.tokens.len())
        || judged)
}

/// Verbs that only lead to another: `got drained`, `went to seal`.
fn weak(act: Act) -> bool {
    matches!(
        act,
        Act::Get
            | Act::Go
            | Act::Finish
            | Act::Say
            | Act::Take
            | Act::Set
            | Act::Show
            | Act::Move
            | Act::Run
            | Act::Look
            | Act::Call
            | Act::Use
            | Act::Read
    )
}

/// Verbs of keeping a record.
fn is_log(text: &Text<'_>, verb: Verb) -> bool {
    verb.act == Act::Add && text.is(verb.at, Cue::Logs)
}

fn leads_to(text: &Text<'_>, from: usize, to: usize) -> bool {
    (from + 1..to).any(|at| text.is(at, Cue::To))
}

/// Whether a second verb opens a clause of its own without any sign.
fn second(text: &Text<'_>, known: Verb, verb: Verb) -> bool {
    let finite = verb.forms.has(Forms::PAST) || verb.forms.has(Forms::THIRD);
    let led = text.has_any(verb.at - 1, &[Mark::Will, Mark::Can, Mark::Have, Mark::Do, Mark::Be])
        || text.is(verb.at - 1, Cue::To);
    let led = led || text.has(verb.at + 1, Mark::HowMuch);
    finite && verb.act != Act::Call && !led && verb.at > known.at + 1 && verb.act != known.act
}

/// What a clause without a subject of its own takes over from the one before.
fn inherit(clauses: &mut [Clause]) {
    for i in 1..clauses.len() {
        let before = clauses[i - 1].clone();
        let here = &mut clauses[i];
        if here.sentence != before.sentence {
            continue;
        }
        here.stance.conditional |= before.stance.conditional;
        here.stance.hearsay |= before.stance.hearsay && before.joint != Joint::But;
        let continues = here.stance.subject == Subject::None && here.joint != Joint::But;
        let bare = here.verb.is_none_or(|verb| !verb.forms.has(Forms::PAST) || verb.forms.has(Forms::BASE));
        if continues && bare {
            here.stance.planned |= before.stance.planned;
            here.stance.imperative |= before.stance.imperative && here.verb.is_none();
            if here.joint == Joint::And || here.verb.is_none() {
                here.stance.negated |= before.stance.negated;
            }
        }
        if continues {
            here.stance.subject = before.stance.subject;
        }
    }
    for i in 0..clauses.len() {
        if clauses[i].stance.story {
            let sentence = clauses[i].sentence;
            clauses
                .iter_mut()
                .filter(|clause| clause.sentence == sentence)
                .for_each(|clause| clause.stance.story = true);
        }
    }
}

/// Marks the clauses that ask: from a question's opening to the end of its sentence.
fn mark_questions(text: &Text<'_>, clauses: &mut [Clause], questions: &[usize]) {
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
        if goes_on && !own {
            clauses[i].asks = true;
        }
    }
}

/// `smells like vinegar, that normal?`: but the end of the sentence asks.
fn judges(text: &Text<'_>, clause: &Clause) -> bool {
    let verdict = |at: usize| text.has(at, Mark::Possible) || text.is(at, Cue::Verdict);
    let brief = clause.to - clause.from <= 3 && (clause.from..clause.to).any(verdict);
    // `cellar smells awful, anyone else notice?`
    let others = text.is(clause.from, Cue::AsksOthers);
    clause.joint == Joint::Pause && (brief || others && clause.to - clause.from <= 5)
}

/// `corridor bin how ah`, `blue ready or not`: the topic first, the question at the end.
fn asks_at_its_end(text: &Text<'_>, from: usize, to: usize) -> bool {
    let mut end = to;
    while end > from && text.has_any(end - 1, &[Mark::Laugh, Mark::Yet, Mark::Thanks]) {
        end -= 1;
    }
    let topic = text.tokens[from].name.is_some()
        || text.has(from, Mark::The) && text.tokens.get(from + 1).is_some_and(|token| token.name.is_some());
    if end < from + 2 || !topic {
        return false;
    }
    text.has(end - 1, Mark::How) && text.word(end - 1).starts_with('h')
        || text.has(end - 1, Mark::Not) && text.has(end - 2, Mark::Or)
        || text.is(end - 1, Cue::OrNot)
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
        && (text.has_any(at, &skipped) || text.is_sign(at, '@') || text.is_stop(at))
    {
        at += 1;
    }
    if at >= to {
        return false;
    }
    if asks_at_its_end(text, at, to) {
        return true;
    }
    let aux = [Mark::Be, Mark::Do, Mark::Can, Mark::Will, Mark::Have];
    if text.has_any(
        at,
        &[Mark::HowMuch, Mark::HowLong, Mark::HowFull, Mark::Whose, Mark::Why, Mark::Worry, Mark::Status],
    ) {
        return true;
    }
    if text.has_any(at, &[Mark::What, Mark::Where, Mark::Who, Mark::How, Mark::Which]) {
        return !text.has_any(at + 1, &[Mark::A]) || marked;
    }
    if text.has(at, Mark::When) {
        // In `when blue is full we seal it, right?` the first clause is but a condition.
        let alone = (to >= text.tokens.len() || text.kind(to) == Some(Kind::Stop(Stop::Question)))
            && !(at..to).any(|i| text.is_pause(i));
        return marked && alone
            || text.has_any(at + 1, &[Mark::Be, Mark::Do, Mark::Can, Mark::Will, Mark::Have])
            || text.is(at, Cue::Contracted)
            || text.is(at, Cue::Whens);
    }
    let subject = |at: usize| {
        text.has_any(at, &[Mark::I, Mark::You, Mark::Other, Mark::It, Mark::The, Mark::A, Mark::Someone])
            || text.tokens.get(at).is_some_and(|token| token.name.is_some())
            || text.is(at, Cue::There)
            || text.is(at, Cue::Any)
            || text.is_matter(at, crate::lexicon::Matter::Bin) && text.has(at + 1, Mark::Ready)
    };
    if text.has(at, Mark::Can) && !text.tokens[at].word_is_tail() && at + 2 < to && text.is(at, Cue::Modal) {
        return true;
    }
    // `can yoghurt, eggshells and skins go in`
    let food = text.senses(at + 1).iter().any(|s| matches!(s, Sense::Food(_)));
    let verb = text.verb(at + 1).is_some() && text.has_any(at + 2, &[Mark::The, Mark::A, Mark::It, Mark::I]);
    if text.is(at, Cue::ModalOrDo) && food && !verb {
        return true;
    }
    let aux = if marked { &aux[..] } else { &aux[..4] };
    // Of `be` and `do` only the finite forms open a question.
    let finite = !text.has_any(at, &[Mark::Be, Mark::Do]) || text.is(at, Cue::Finite);
    let inverted = finite
        && text.has_any(at, aux)
        && !text.tokens[at].word_is_tail()
        && (subject(at + 1) || marked && at + 1 < to && !text.is(at, Cue::Might))
        // `did blue`
        && (marked || !text.has(at, Mark::Do) || at + 2 < to && !text.is(at + 1, Cue::Article));
    let judged = text.has(at, Mark::Be)
        && !text.tokens[at].word_is_tail()
        && text.senses(at + 1).iter().any(|s| matches!(s, crate::lexicon::Sense::Food(_)))
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
    judged
        || possible
        || of_things
        || inverted
        || (text.has(at, Mark::Not) && subject(at + 1) && marked)
        || (text.is(at, Cue::Any) && (marked || text.has(at + 1, Mark::Space)))
}
