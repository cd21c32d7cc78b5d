//! A message taken apart: all that the rules for facts and questions look at.

use std::cell::RefCell;

use crate::amount::{Amount, AmountSize, Measures};
use crate::clause::{self, BinRef, Clause, Gist, Piece};
use crate::explain::{Applied, Trace};
use crate::lexicon::{Mark, english};
use crate::message::Message;
use crate::name::{self, Names};
use crate::repair::repair;
use crate::text::{self, Text};
use crate::time::Zoned;

/// A message taken apart.
pub(crate) struct Scene<'m> {
    pub(crate) message: &'m Message,
    pub(crate) text: Text<'m>,
    pub(crate) pieces: Vec<Piece>,
    pub(crate) clauses: Vec<Clause>,
    pub(crate) gists: Vec<Gist>,
    pub(crate) zoned: Zoned,
    trace: RefCell<Trace>,
}

impl<'m> Scene<'m> {
    /// Takes `typed` apart, a message's text or a part of it; `names` are those of its room.
    pub(crate) fn of(message: &'m Message, typed: &'m str, names: &Names, explained: bool) -> Self {
        let lexicon = english();
        let mut text = text::tokenise(typed);
        text::annotate(&mut text, names, lexicon);
        if message.direct {
            text::without_request(&mut text);
        }
        name::settle(&mut text, names, message);
        name::refer(&mut text, message.bins.len());
        let measures = Measures::of(message);
        repair(&mut text, measures);
        let pieces = clause::pieces(&text, measures);
        let clauses = clause::split(&text, &pieces, message.direct);
        let mut gists: Vec<Gist> =
            clauses.iter().map(|clause| clause::gist(&text, &pieces, clause, message)).collect();
        clause::of_it(&text, &mut gists);
        clause::in_the_same_unit(&text, &clauses, &mut gists);
        clause::into_groups(&text, &clauses, &mut gists);
        clause::fed_after_drain(&text, &clauses, &mut gists, message.reply_to);
        let zoned = Zoned { now: message.now.with_timezone(&message.zone), units: message.units };
        Self { message, text, pieces, clauses, gists, zoned, trace: RefCell::new(Trace::new(explained)) }
    }

    /// Notes that a rule took the tokens `from..to`.
    pub(crate) fn note(&self, rule: &'static str, from: usize, to: usize) {
        self.trace.borrow_mut().note(rule, &self.text, from, to);
    }

    /// The rules noted so far.
    pub(crate) fn rules(self) -> Vec<Applied> {
        self.trace.into_inner().rules
    }

    /// A bin's name as the room spells it.
    pub(crate) fn bin_name(&self, index: usize) -> String {
        self.message.bins.get(index).map(|bin| bin.name.clone()).unwrap_or_default()
    }

    /// Whether a bin is called after a room or another place.
    pub(crate) fn named_after_place(&self, index: usize) -> bool {
        let name = crate::text::folded(&self.bin_name(index));
        let words: Vec<&str> = name.split(' ').collect();
        let whole = english().phrase(words[0], |at| words.get(at).copied());
        let senses = if words.len() == 1 {
            Some(english().senses(&name))
        } else {
            whole.filter(|(_, length)| *length == words.len()).map(|(senses, _)| senses)
        };
        senses.is_some_and(|senses| senses.has(Mark::KitchenPlace.bit()))
    }

    /// Millilitres and grams of an amount; ounces are fluid where `liquid`; a bucket is as big as its bin.
    pub(crate) fn size(
        &self,
        amount: Amount,
        liquid: bool,
        bin: Option<&BinRef>,
    ) -> (Option<f64>, Option<f64>) {
        match amount.size {
            AmountSize::Millilitres(ml) => (Some(ml), None),
            AmountSize::Ounces(_, ml) if liquid => (Some(ml), None),
            AmountSize::Grams(g) | AmountSize::Ounces(g, _) => (None, Some(g)),
            AmountSize::Buckets(count) => {
                let bins = &self.message.bins;
                let index = match bin {
                    Some(BinRef::Known(index)) => Some(*index),
                    _ if bins.len() == 1 => Some(0),
                    _ => None,
                };
                (index.and_then(|index| bins.get(index)?.capacity_ml).map(|ml| ml * count), None)
            }
        }
    }
}
