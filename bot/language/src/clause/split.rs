//! Cuts a message into clauses: at stops, at `and` and `but`, and before a second verb.

use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::text::{Kind, Stop, Text};

use super::asking::mark_questions;
use super::at_hand::suppose_what_is_at_hand;
use super::indirect::{asked_indirectly, begins_unmarked};
use super::stance::{Subject, stance};
use super::verb::{Verb, verb_at};
use super::{Clause, Joint, Piece, PieceKind};

/// The clauses of a message, with their stances.
pub(crate) fn split(text: &Text<'_>, pieces: &[Piece], direct: bool) -> Vec<Clause> {
    let mut splitter =
        Splitter { text, out: Vec::new(), from: 0, joint: Joint::Sentence, sentence: 0, verb: None };
    let mut questions: Vec<usize> = Vec::new();
    for (index, piece) in pieces.iter().enumerate() {
        // `green half full blue two thirds full`
        let level =
            |index: usize| pieces.get(index).is_some_and(|piece| matches!(piece.kind, PieceKind::Level(_)));
        let bin = text.name(piece.from, NameKind::Bin).is_some();
        if bin && level(index.wrapping_sub(1)) && level(index + 1) {
            splitter.close(piece.from, Joint::Pause, piece.from);
        }
        splitter.take(*piece, &mut questions);
    }
    splitter.close(text.tokens.len(), Joint::Sentence, text.tokens.len());
    let mut clauses = splitter.out;
    for clause in &mut clauses {
        clause.stance = stance(text, clause.from, clause.to, clause.verb, direct);
    }
    inherit(text, &mut clauses);
    mark_questions(text, &mut clauses, &questions);
    suppose_what_is_at_hand(text, &mut clauses);
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
            Some(Kind::Stop(Stop::Pause)) if self.heads_its_list(at) => return,
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
            Some(Kind::Sign('-')) if !text.tokens[at].glued && !is_minus(text, at) => {
                return self.close(at, Joint::Pause, at + 1);
            }
            _ => {}
        }
        if self.ends_plea(at) {
            self.close(at, Joint::None, at);
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
        if text.has_any(at, &[Mark::And, Mark::Then]) && at > self.from {
            // `could do with knowing`, `in which plot`, `tell me which bins are full`
            let asked = || {
                // `I never know which day it is` asks nothing.
                let wants = text.matter(at + 1).is_some() || !(self.from..at).any(|i| text.has(i, Mark::Not));
                text.has(at - 1, Mark::In) || wants && asked_indirectly(text, self.from, at + 2).is_some()
            };
            let led = text.has(at + 1, Mark::Learn) || text.has(at, Mark::Which) && asked();
            // `lid also ok`
            let too = text.is(at, Cue::AsWell) && self.verb.is_none() && text.is_matter(at - 1, Matter::Lid);
            let joins = led || degree || too || self.lists_people(at) || self.lists_foods(at);
            if !joins {
                return self.close(at, Joint::And, at + 1);
            }
        }
        // `if I add 2 litres how much bran is that`
        let first = (self.from..at).find(|i| text.tokens[*i].is_word() && !text.has(*i, Mark::Bot));
        let supposed = first.is_some_and(|first| text.has(first, Mark::If) || text.is(first, Cue::Supposes))
            && text.has_any(at, &[Mark::How, Mark::HowMuch, Mark::HowLong, Mark::What])
            && at > self.from + 2;
        if at > self.from && (begins_worry(text, at) || begins_unmarked(text, self.from, at)) || supposed {
            self.close(at, Joint::Pause, at);
            return;
        }
        // `green 110 ml and blue 60 ml both down the toilet`
        let went = text.is(at + 1, Cue::On)
            || text.is(at + 1, Cue::OnTo)
            || text.senses(at + 1).iter().any(|sense| matches!(sense, Sense::Use(_)));
        if at > self.from && text.is(at, Cue::BothBins) && went && text.unit(at - 1).is_some() {
            return self.close(at, Joint::Pause, at);
        }
        if let Some(verb) = self.verb.and_then(|known| given(text, known, at)) {
            self.verb = Some(verb);
            return;
        }
        let Some(verb) = verb_at(text, self.from, at) else { return };
        match self.verb {
            None => self.verb = Some(verb),
            Some(_) if self.is_told_beside(at, verb) => {
                self.close(at - 1, Joint::And, at);
                self.verb = Some(verb);
            }
            Some(known)
                if weak(known.act)
                    && (verb.at <= known.at + 2 || !weak(verb.act) && leads_to(text, known.at, verb.at)) =>
            {
                self.verb = Some(verb);
            }
            // `record 200 ml drained from blue`
            Some(known) if is_log(text, known) && verb.forms.has(Forms::PARTICIPLE) => self.verb = Some(verb),
            Some(known)
                if (second(text, known, verb)
                    || known.act == verb.act && self.subject_of(at, known) < at)
                    && asked_indirectly(text, self.from, at + 1).is_none() =>
            {
                let from = self.subject_of(at, known);
                self.close(from, Joint::None, from);
                self.verb = Some(verb);
            }
            Some(_) => {}
        }
    }

    /// `what do I do the bin smells of ammonia`: whether what was asked ends before a token.
    fn ends_plea(&self, at: usize) -> bool {
        let before = at.wrapping_sub(1);
        before == self.from && self.text.has(before, Mark::Worry) && self.text.word(before).ends_with(" do")
    }

    /// `drained 150 ml before adding 2 litres of peelings`: whether a verb tells of something measured of its own.
    fn is_told_beside(&self, at: usize, verb: Verb) -> bool {
        let text = self.text;
        let joint = at.wrapping_sub(1);
        let counted = text.digits(at + 1).or_else(|| text.cardinal(at + 1)).is_some();
        (text.is(joint, Cue::Before) || text.is(joint, Cue::After))
            && verb.forms == Forms::ING
            && (counted || text.has(at + 1, Mark::A))
            && joint > self.from
    }

    /// `lefty got sealed righty got a pint`: where each verb has its bin before it, the second clause begins with the bin.
    fn subject_of(&self, at: usize, known: Verb) -> usize {
        let text = self.text;
        let bin = |at: usize| text.name(at, NameKind::Bin).is_some();
        let noun = usize::from(text.is_matter(at - 1, Matter::Bin) && !bin(at - 1));
        let name = at - 1 - noun;
        let article = usize::from(text.has(name.wrapping_sub(1), Mark::The));
        let led = text.has_any(name.wrapping_sub(1 + article), &[Mark::In, Mark::From, Mark::And]);
        let each = bin(name) && name > known.at && (self.from..known.at).any(bin);
        if each && !led { name - article } else { at }
    }

    /// `bought: 2 kg of bran`, `mould: white`: the colon parts nothing.
    fn heads_its_list(&self, at: usize) -> bool {
        let past = |verb: Verb| verb.at + 1 == at && verb.at == self.from && verb.forms.has(Forms::PAST);
        let seen = self.text.senses(self.from).iter().any(|sense| {
            matches!(sense, Sense::SmellNoun | Sense::MouldNoun | Sense::Pests | Sense::Matter(Matter::Lid))
        });
        let alone = self.from + 1 == at && self.text.tokens[self.from].name.is_none();
        // `green level: half`
        let level =
            self.text.is(at.wrapping_sub(1), Cue::LevelNoun) && self.text.tokens[self.from].name.is_some();
        self.text.is_word(at, ":")
            && (self.verb.is_some_and(past) || seen && alone || level)
            && at + 1 < self.text.tokens.len()
    }

    /// `3 l of onions and carrots went in`: one lot, of which nothing is said before its last food.
    fn lists_foods(&self, and: usize) -> bool {
        let food = |at: usize| self.text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(..)));
        // `teabags and old cheese`
        let described = self.text.has_any(and + 1, &[Mark::Old, Mark::New, Mark::Size]) && food(and + 2);
        // `green and fuzzy`
        let sense = |at: usize, pick: fn(&Sense) -> bool| self.text.senses(at).iter().any(pick);
        let looks = sense(and - 1, |s| matches!(s, Sense::Colour(_)))
            && sense(and + 1, |s| matches!(s, Sense::MouldNoun))
            && self.text.tokens[and - 1].name.is_none();
        looks
            || self.verb.is_none() && (food(and - 1) && (food(and + 1) || described) || self.is_one_lot(and))
    }

    /// `half a caddy of sprout trimmings and satsuma peel went in`: an amount before it, and behind it nothing but a few words
    /// up to what was done with all of it.
    fn is_one_lot(&self, and: usize) -> bool {
        let text = self.text;
        let measured = (self.from..and).any(|at| {
            text.unit(at).is_some() || text.senses(at).iter().any(|s| matches!(s, Sense::Kitchen(..)))
        }) && (self.from..and).any(|at| text.has(at, Mark::Of));
        let end = (and + 1..text.tokens.len().min(and + 5)).find(|at| {
            text.verb(*at)
                .is_some_and(|(act, forms)| matches!(act, Act::Add | Act::Go) && forms.has(Forms::PAST))
        });
        let plain = |at: usize| {
            text.tokens[at].is_word()
                && text.tokens[at].name.is_none()
                && text.unit(at).is_none()
                && text.cardinal(at).is_none()
                && !text.is_vague(at)
                && !text.has_any(at, &[Mark::I, Mark::It, Mark::You, Mark::Other, Mark::A])
        };
        measured && end.is_some_and(|end| end > and + 1 && (and + 1..end).all(plain))
    }

    /// `me and Colm buried it`, `Colm and I drained it`: who did it.
    fn lists_people(&self, and: usize) -> bool {
        let text = self.text;
        let me = |at: usize| text.has(at, Mark::I) && !text.is(at, Cue::MyOrOur);
        let named = |at: usize| {
            text.tokens.get(at).is_some_and(|token| {
                token.is_word() && token.capital && token.senses.is_empty() && token.name.is_none()
            })
        };
        let acts = text.verb(and + 2).is_some_and(|(_, forms)| forms.has(Forms::PAST));
        and == self.from + 1 && acts && (me(self.from) && named(and + 1) || named(self.from) && me(and + 1))
    }

    fn close(&mut self, to: usize, next: Joint, from: usize) {
        // `ok so`, `hi there`: nothing is said yet.
        let text = self.text;
        let filler = |at: usize| {
            text.has_any(at, &[Mark::Hello, Mark::Laugh, Mark::Then, Mark::And, Mark::Yes])
                && text.tokens[at].name.is_none()
                && !text.is_time(at, TimeWord::Since)
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

/// `the garage was -4`: less than nothing, and no dash.
fn is_minus(text: &Text<'_>, at: usize) -> bool {
    let number = text.digits(at + 1).is_some() && text.tokens[at + 1].glued;
    number && (text.has(at.wrapping_sub(1), Mark::Be) || text.is(at.wrapping_sub(1), Cue::At))
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

/// `gave green a drain`, `gave it a good rinse`: what was done, in the form of a thing.
fn given(text: &Text<'_>, known: Verb, at: usize) -> Option<Verb> {
    let (act, forms) = text.verb(at)?;
    let article = (known.at + 2..at).rev().find(|i| !text.has(*i, Mark::Size))?;
    let led = text.has(article, Mark::A)
        || text.is(article, Cue::OwnerWord)
        || text.is(article, Cue::Its)
        || text.is(article, Cue::AnotherOne);
    let work = matches!(act, Act::Drain | Act::Clean | Act::Check);
    let gave = known.act == Act::Give && known.forms.has(Forms::PAST);
    (gave && work && led && forms.has(Forms::BASE) && at < known.at + 6).then_some(Verb {
        act,
        forms: known.forms,
        at,
    })
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
fn inherit(text: &Text<'_>, clauses: &mut [Clause]) {
    for i in 1..clauses.len() {
        let before = clauses[i - 1].clone();
        let here = &mut clauses[i];
        if here.sentence != before.sentence {
            continue;
        }
        here.stance.conditional |= before.stance.conditional;
        let mine = here.stance.subject == Subject::Me;
        here.stance.hearsay |= before.stance.hearsay && before.joint != Joint::But && !mine;
        let continues = here.stance.subject == Subject::None && here.joint != Joint::But;
        let bare = here.verb.is_none_or(|verb| !verb.forms.has(Forms::PAST) || verb.forms.has(Forms::BASE));
        // `we need more bran, there's about 6 oz left`: what there is
        let remains = here.verb.is_none() && text.has(here.to - 1, Mark::Left);
        if continues && bare && !remains {
            here.stance.planned |= before.stance.planned;
            here.stance.imperative |= before.stance.imperative && here.verb.is_none();
            if here.joint == Joint::And || here.verb.is_none() {
                here.stance.negated |= before.stance.negated;
            }
        }
        // `I'll seal green tomorrow and then we start blue on friday`
        let then = (here.from.saturating_sub(1)..=here.from).any(|at| text.has(at, Mark::Then));
        let to_do = here.verb.is_some_and(|verb| verb.forms.has(Forms::BASE) && !verb.forms.has(Forms::PAST));
        // `next week then we bury blue`
        let ahead = (before.from..before.to).any(|at| text.is_time(at, TimeWord::Next));
        if (here.joint == Joint::And || then) && to_do {
            here.stance.planned |= before.stance.planned || then && ahead;
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
