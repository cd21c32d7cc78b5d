//! Puts a reading together: facts, wishes, answers and questions; and where nothing came of a message, why.

use crate::answers::{answer, opens_with_delay, presence};
use crate::ask::{Asked, asks};
use crate::clause::{Clause, Subject};
use crate::explain::{self, Applied};
use crate::fact::{Told, facts};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, english};
use crate::message::{BinName, Message};
use crate::name::Names;
use crate::reading::{Fact, FactKind, Mould, Reading, Unclear, UnclearAbout};
use crate::scene::Scene;
use crate::settings::settings;
use crate::shape::Shape;
use crate::text::Kind;

/// A message read as one.
#[derive(Clone)]
pub(crate) struct Read {
    pub(crate) reading: Reading,
    pub(crate) rules: Vec<Applied>,
    pub(crate) shape: Shape,
}

/// Reads what is written in a room: a message, or parts of it.
pub(crate) struct Reader<'m> {
    pub(crate) message: &'m Message,
    names: Names,
    /// The rules are wanted, too.
    explained: bool,
}

impl<'m> Reader<'m> {
    /// A reader of the message's room.
    pub(crate) fn of(message: &'m Message, explained: bool) -> Self {
        Self { message, names: Names::of(message, english()), explained }
    }

    /// Reads the message's text or a part of it.
    pub(crate) fn read(&self, typed: &str) -> Read {
        let read = self.read_once(typed);
        let Some(known) = with_new_bins(self.message, &read.reading) else { return read };
        // `new bin: attic, 22 litres. Started a batch in attic`
        let again = Reader::of(&known, self.explained).read_once(typed);
        if bins_set(&again.reading).eq(bins_set(&read.reading)) { again } else { read }
    }

    fn read_once(&self, typed: &str) -> Read {
        let scene = Scene::of(self.message, typed, &self.names, self.explained);
        let reading = assemble(&scene);
        let mut rules = if self.explained { explain::words(&scene) } else { Vec::new() };
        let shape = Shape::of(&scene);
        rules.extend(scene.rules());
        Read { reading, rules, shape }
    }
}

/// The message in a room that has the bins too that it sets up beside telling more.
fn with_new_bins(message: &Message, reading: &Reading) -> Option<Message> {
    let tells_more = reading.facts.iter().any(|fact| fact.kind != FactKind::BinSet)
        || !reading.asks.is_empty()
        || reading.unclear.is_some();
    let known = |name: &str| message.bins.iter().any(|bin| bin.name.eq_ignore_ascii_case(name));
    let new = bins_set(reading).filter_map(|fact| {
        let name = fact.slots.bin.clone().filter(|name| !known(name))?;
        Some(BinName { name, capacity_ml: fact.slots.capacity_ml })
    });
    let new: Vec<BinName> = new.collect();
    (tells_more && !new.is_empty())
        .then(|| Message { bins: message.bins.iter().cloned().chain(new).collect(), ..message.clone() })
}

fn bins_set(reading: &Reading) -> impl Iterator<Item = &Fact> {
    reading.facts.iter().filter(|fact| fact.kind == FactKind::BinSet)
}

fn assemble(scene: &Scene<'_>) -> Reading {
    let settings = settings(scene);
    if !settings.is_empty() {
        return Reading { facts: settings, ..Reading::default() };
    }
    let told = facts(scene);
    let asked = asks(scene);
    let presence: Vec<Fact> = presence(scene).into_iter().map(|(fact, _)| fact).collect();
    let tells = !told.facts.is_empty() || told.unclear.is_some() && !opens_with_delay(scene);
    let sets = |fact: &Fact| matches!(fact.kind, FactKind::MeasureSet | FactKind::BinSet | FactKind::PlotSet);
    if presence.is_empty()
        && asked.asks.is_empty()
        && !told.facts.iter().any(sets)
        && let Some(fact) = answer(scene, tells)
    {
        let facts = if fact.kind == FactKind::Done { with_done(told, fact) } else { vec![fact] };
        return Reading { facts, ..Reading::default() };
    }
    let unclear = unclear(scene, &told, &asked, presence.is_empty());
    let mut facts = presence;
    facts.extend(told.facts);
    let mut asks = asked.asks;
    // `mould on top, white, is that bad?`: the trouble is what was seen
    let seen = facts.iter().find_map(|fact| fact.slots.mould);
    for ask in asks.iter_mut().filter(|ask| ask.slots.mould == Some(Mould::Other)) {
        ask.slots.mould = seen.or(ask.slots.mould);
    }
    Reading { facts, asks, unclear }
}

fn with_done(told: Told, done: Fact) -> Vec<Fact> {
    let mut facts = told.facts;
    facts.insert(0, done);
    facts
}

fn unclear(scene: &Scene<'_>, told: &Told, asked: &Asked, alone: bool) -> Option<Unclear> {
    let found = told.unclear.clone().or_else(|| asked.unclear.clone());
    if !scene.message.direct && found.is_none() {
        return None;
    }
    let nothing = told.facts.is_empty() && asked.asks.is_empty() && alone;
    let (about, said) = found.or_else(|| {
        (nothing && wants_something(scene, told, asked)).then_some((UnclearAbout::Meaning, None))
    })?;
    scene.note("unclear", 0, scene.text.tokens.len());
    Some(Unclear { about, said })
}

/// Whether a message of which nothing was understood plainly wants something; small talk does not.
fn wants_something(scene: &Scene<'_>, told: &Told, asked: &Asked) -> bool {
    let text = &scene.text;
    let words = text.tokens.iter().filter(|token| token.is_word()).count();
    if words == 0 && !text.tokens.iter().any(|token| matches!(token.kind, Kind::Number(_) | Kind::Pair(..))) {
        return false;
    }
    let small_talk =
        (0..text.tokens.len()).any(|at| text.has_any(at, &[Mark::Thanks, Mark::Hello, Mark::Laugh]));
    // `I need you to change something`
    let begs = |at: usize| {
        text.has(at, Mark::You)
            && text.has_any(at.wrapping_sub(1), &[Mark::Will, Mark::Want])
            && text.is(at + 1, Cue::To)
    };
    if asked.open || (0..text.tokens.len()).any(begs) {
        return true;
    }
    // `stop sending reminders`, `that's wrong`: not understood, but meant for the bot
    let complains = words <= 6
        && (0..text.tokens.len())
            .any(|at| text.is(at, Cue::Complaint) || crate::settings::asks_for_silence(scene, at));
    if complains && !small_talk {
        return true;
    }
    let moves = |clause: &Clause| {
        clause.verb.is_some_and(|verb| {
            verb.forms.has(Forms::PAST)
                && (verb.act == Act::Move
                    || matches!(verb.act, Act::Add | Act::Take | Act::Set)
                        && (clause.from..clause.to).any(|at| text.has(at, Mark::KitchenPlace)))
        })
    };
    if scene.clauses.iter().any(moves) && told.unclear.is_none() {
        return false;
    }
    if told.set_aside && !scene.clauses.iter().any(|clause| clause.stance.imperative && clause.verb.is_some())
    {
        return false;
    }
    // `a good one` counts nothing.
    let counts = |(count, at): (f64, usize)| {
        (count - 1.0).abs() > f64::EPSILON || words == 1 || text.digits(at).is_some()
    };
    let amount = scene
        .gists
        .iter()
        .any(|gist| gist.lots.iter().any(|lot| lot.amount.is_some()) || gist.count.is_some_and(counts));
    let slot_alone = is_slot_alone(scene) && !small_talk;
    let bin_alone = slot_alone || scene.gists.iter().any(|gist| !gist.bins.is_empty());
    let orders = scene.clauses.iter().any(|clause| {
        orders(scene, clause.from, clause.to)
            || clause.stance.imperative
                && clause.stance.subject == Subject::None
                && !clause.verb.is_some_and(|verb| text.has(verb.at + 1, Mark::You))
    });
    let gibberish = words > 0
        && text.tokens.iter().filter(|token| token.is_word()).all(|token| {
            token.senses.is_empty()
                && token.name.is_none()
                && !crate::lexicon::english().is_ordinary(&text.folded[token.low.0..token.low.1])
        });
    if small_talk && !amount && !orders {
        return false;
    }
    amount || bin_alone || orders || gibberish
}

/// A day, a clock time or a plot and nothing else: an answer to something.
fn is_slot_alone(scene: &Scene<'_>) -> bool {
    let [gist] = &scene.gists[..] else { return false };
    let placed = gist.whens.iter().any(|(when, _)| when.date.is_some() || when.clock.is_some());
    (placed || !gist.plots.is_empty()) && crate::fact::is_heading(scene, &scene.clauses[0])
}

/// A clause that begins with a bare verb, or asks politely.
fn orders(scene: &Scene<'_>, from: usize, to: usize) -> bool {
    let text = &scene.text;
    let first = (from..to)
        .find(|at| !text.has_any(*at, &[Mark::Please, Mark::Bot, Mark::And, Mark::Hello, Mark::Yes]));
    let Some(first) = first else { return false };
    if (from..to).any(|at| text.has_any(at, &[Mark::Thanks, Mark::Laugh]) && !text.has(at, Mark::Ta)) {
        return false;
    }
    let base = text
        .senses(first)
        .iter()
        .any(|s| matches!(s, Sense::Verb(_, forms) if forms.has(Forms::BASE) && !forms.has(Forms::PAST)))
        || text.is(first, Cue::OtherOrder);
    base && to - first > 1
        && !text.has(first + 1, Mark::You)
        && !text.has(first + 1, Mark::Not)
        && !text.is_matter(first, Matter::Bin)
        || (from..to).any(|at| text.has(at, Mark::Please)) && to - from > 2
}
