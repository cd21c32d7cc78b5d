//! What was done once more, with another bin, time or amount: `drained kea on monday and blue on tuesday`, `same to cellar`,
//! `twice that in blue`.

use chrono::{Datelike, TimeDelta};

use crate::clause::{BinRef, Clause, Gist, Joint, Lot};
use crate::lexicon::{Act, Cue, Mark, Sense, TimeUnit, TimeWord};
use crate::reading::{FactKind, Food};
use crate::text::Text;
use crate::time::{Date, Direction, Placed, When};

use super::attach::add_lot;
use super::by_amount::tells_of_all;
use super::{Builder, Event, crop};

impl Builder<'_, '_> {
    /// `blue 2 kg, green 3 kg, all potato peel`: what each of the amounts told before is of.
    pub(super) fn all_of_one_sort(&mut self, index: usize) -> bool {
        let (clause, gist) = (&self.scene.clauses[index], &self.scene.gists[index]);
        let bare = |event: &Event| {
            event.kind == FactKind::Scraps
                && event.sentence == clause.sentence
                && event.lots.iter().all(|lot| lot.amount.is_some() && lot.foods.is_empty())
        };
        let lots: usize = self.events.iter().filter(|event| bare(event)).map(|event| event.lots.len()).sum();
        if !tells_of_all(&self.scene.text, clause, gist) || lots < 2 {
            return false;
        }
        let foods: Vec<Food> = gist.lots.iter().flat_map(|lot| lot.foods.iter().copied()).collect();
        for event in self.events.iter_mut().filter(|event| bare(event)) {
            event.lots.iter_mut().for_each(|lot| lot.foods.clone_from(&foods));
            event.whens.extend(gist.whens.iter().map(|(when, _)| *when));
        }
        true
    }

    /// `drained kea on monday and blue on tuesday`, `last night and again this morning`: the same was done once more.
    pub(super) fn done_again(&mut self, index: usize, current: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let known = &self.events[current];
        let (kind, bins) = (known.kind, known.all_bins());
        let foods = known.lots.last().map(|lot| lot.foods.clone()).unwrap_or_default();
        let told_on = known.sentence == clause.sentence
            || self.scene.clauses[known.clauses.1].sentence == clause.sentence;
        let joined = clause.joint == Joint::And || told_on;
        let own_bin = !gist.bins.is_empty() || gist.lots.iter().any(|lot| !lot.bins.is_empty());
        let later = self.days_later(index, current);
        let timed = (!gist.whens.is_empty() || later.is_some()) && !known.whens.is_empty();
        let in_soil = matches!(kind, FactKind::Buried | FactKind::Planted);
        let placed = in_soil && !gist.plots.is_empty() && !known.plots.is_empty();
        let grown = kind == FactKind::Planted && placed && (joined || clause.joint == Joint::Pause);
        let again = (clause.from..clause.to).any(|at| text.is(at, Cue::Again));
        let counted =
            gist.count.filter(|_| later.is_none() && gist.lots.iter().all(|lot| lot.amount.is_none()));
        let unit = known.lots.last().and_then(|lot| lot.amount);
        let once_more = joined && own_bin && !known.bins.is_empty() && (timed || placed)
            || joined && again && timed
            || joined && own_bin && timed && counted.is_some() && unit.is_some()
            || joined && timed && counted.is_some() && unit.is_some() && known.lots.len() == 1
            || grown;
        // `I'll drain green tomorrow, blue on thursday`
        let ahead = |when: &When| matches!(self.scene.zoned.place(when, Direction::Past), Placed::Ahead);
        if known.whens.iter().any(ahead) && own_bin && clause.verb.is_none() {
            return true;
        }
        let none = (clause.from..clause.to).any(|at| text.is(at, Cue::NothingCame));
        if none || !once_more || clause.verb.is_some() || counted.is_some() && unit.is_none() {
            return false;
        }
        let gist_foods = gist.lots.iter().any(|lot| !lot.foods.is_empty());
        let at = self.begin(kind, index);
        let event = &mut self.events[at];
        event.verbal = true;
        if kind == FactKind::Planted {
            event.slots.crop = crop::listed(self.scene, clause);
            event.lots.clear();
        }
        if let (Some((count, _)), Some(unit)) = (counted, unit) {
            event.count = None;
            let foods = if gist_foods { Vec::new() } else { foods };
            let lot = Lot { amount: Some(unit.of_count(count)), foods, ..Lot::default() };
            add_lot(event, lot);
        }
        if !own_bin {
            event.bins = bins;
        }
        if let Some(when) = later {
            event.whens = vec![when];
        }
        true
    }

    /// `sealed green on Tuesday and blue the day before`, `two days later`: a day told by the one before it.
    fn days_later(&self, index: usize, current: usize) -> Option<When> {
        let (clause, text) = (&self.scene.clauses[index], &self.scene.text);
        let at = (clause.from..clause.to).find(|at| text.is_time(*at, TimeWord::Unit(TimeUnit::Day)))?;
        let number = || text.cardinal(at - 1).or_else(|| text.digits(at - 1)).unwrap_or(1.0);
        let days = if text.is(at + 1, Cue::LaterThen) || text.is(at + 1, Cue::After) && at + 2 >= clause.to {
            number()
        } else if text.is(at + 1, Cue::Before) && at + 2 >= clause.to {
            -number()
        } else {
            return None;
        };
        let told = self.events[current].whens.iter().find(|when| when.date.is_some())?;
        let Placed::At(moment) = self.scene.zoned.place(told, Direction::Past) else { return None };
        let day = moment.at.date_naive().checked_add_signed(TimeDelta::try_days(days as i64)?)?;
        let date = Date::Calendar(Some(day.year()), day.month(), day.day());
        (day <= self.scene.zoned.now.date_naive()).then(|| When { date: Some(date), ..When::default() })
    }

    /// `2 l to green, same to cellar`, `half that to blue`, `1 pint of tea in green, another of coffee in blue`: as much once more, or
    /// so many times as much.
    pub(super) fn as_much_again(&mut self, index: usize, current: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let known = &self.events[current];
        let Some(factor) = as_much(text, clause) else { return false };
        let bins: Vec<BinRef> = bins_of(gist);
        let measured = gist.lots.iter().any(|lot| lot.amount.is_some());
        let idle = clause.verb.is_none_or(|verb| matches!(verb.act, Act::Get | Act::Give));
        let told = known.counts() && known.lots.iter().any(|lot| lot.amount.is_some());
        // `800 g in green at 8 and the same again at 1`
        let timed = !gist.whens.is_empty() && !known.whens.is_empty();
        if bins.is_empty() && !timed || measured || !idle || !told {
            return false;
        }
        let bins = if bins.is_empty() { known.all_bins() } else { bins };
        let foods: Vec<Food> = gist.lots.iter().flat_map(|lot| lot.foods.iter().copied()).collect();
        let mut once_more = Event { bins, whens: Vec::new(), clauses: (index, index), ..known.clone() };
        if !foods.is_empty() {
            once_more.lots.drain(..once_more.lots.len() - 1);
        }
        for lot in &mut once_more.lots {
            lot.bins.clear();
            lot.amount = lot.amount.map(|amount| amount.times(factor));
            lot.also = lot.also.map(|amount| amount.times(factor));
            if !foods.is_empty() {
                lot.foods.clone_from(&foods);
            }
        }
        once_more.whens.extend(gist.whens.iter().map(|(when, _)| *when));
        self.scene.note("as much again", clause.from, clause.to);
        self.events.push(once_more);
        self.current = Some(self.events.len() - 1);
        true
    }

    /// `150 ml down the sink and another 250 ml on the roses`: let out too, and gone elsewhere.
    pub(super) fn gone_elsewhere(&mut self, index: usize, current: usize) -> bool {
        let (clause, gist) = (&self.scene.clauses[index], &self.scene.gists[index]);
        let known = &self.events[current];
        let [lot] = &gist.lots[..] else { return false };
        let liquid =
            lot.amount.is_some() && lot.foods.is_empty() && lot.bins.is_empty() && gist.bins.is_empty();
        let elsewhere = known.kind == FactKind::Drained
            && known.sentence == clause.sentence
            && clause.verb.is_none()
            && known.use_.zip(gist.use_).is_some_and(|(known, use_)| known != use_)
            && known.lots.iter().filter(|lot| lot.amount.is_some()).count() == 1;
        if !elsewhere || !liquid {
            return false;
        }
        let event = Event {
            bins: known.all_bins(),
            lots: gist.lots.clone(),
            use_: gist.use_,
            clauses: (index, index),
            ..known.clone()
        };
        self.scene.note("gone elsewhere", clause.from, clause.to);
        self.events.push(event);
        self.current = Some(self.events.len() - 1);
        true
    }

    /// `green got the stale bread (600 g), blue the lemons, 450 g`: another bin got something else, measured in what follows.
    pub(super) fn fed_too(&mut self, index: usize, current: usize) -> bool {
        let (clause, gist) = (&self.scene.clauses[index], &self.scene.gists[index]);
        let known = &self.events[current];
        let ([(bin, _)], [lot]) = (&gist.bins[..], &gist.lots[..]) else { return false };
        let stuff = lot.amount.is_none() && !lot.foods.is_empty() && lot.bins.is_empty();
        let told = known.kind == FactKind::Scraps
            && known.sentence == clause.sentence
            && known.lots.iter().all(|lot| lot.amount.is_some())
            && !known.names(bin);
        let measured = self.scene.gists.get(index + 1).is_some_and(|next| {
            next.bins.is_empty()
                && next.lots.first().is_some_and(|lot| lot.amount.is_some() && lot.foods.is_empty())
        });
        if !stuff || !told || !measured || clause.verb.is_some() || clause.joint != Joint::Pause {
            return false;
        }
        self.begin(FactKind::Scraps, index);
        true
    }

    /// `2 tubs of yam peel to green and one of orange peel to blue`: so many more in the same measure.
    pub(super) fn counted_in(&mut self, index: usize, current: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let known = &self.events[current];
        // `one of orange peel` counts, `the one` does not.
        let one = (text.is(clause.from, Cue::One)).then_some((1.0, clause.from));
        let (Some((count, at)), bins) = (gist.count.or(one), bins_of(gist)) else { return false };
        // `2 l in green and one in blue`; `half in blue` may be half of it.
        let end = self.scene.pieces.iter().find(|piece| piece.from == at).map_or(at + 1, |piece| piece.to);
        let led = text.has(end, Mark::In) || text.is(at, Cue::One) && text.has(end, Mark::From);
        let placed = count >= 1.0 && led && gist.lots.is_empty();
        let of = placed || (at + 1..clause.to.min(at + 3)).any(|i| text.has(i, Mark::Of));
        let measured = gist.lots.iter().any(|lot| lot.amount.is_some());
        let told = known.counts() && known.sentence == clause.sentence;
        let Some(unit) = known.lots.last().and_then(|lot| lot.amount) else { return false };
        // `3 mugs of rice, 2 of lentils, in green`
        let listed = of && !placed && gist.lots.iter().any(|lot| !lot.foods.is_empty());
        if bins.is_empty() && !listed || !of || measured || !told || clause.verb.is_some() || count <= 0.0 {
            return false;
        }
        let mut foods: Vec<Food> = gist.lots.iter().flat_map(|lot| lot.foods.iter().copied()).collect();
        if foods.is_empty() {
            foods = known.lots.last().map(|lot| lot.foods.clone()).unwrap_or_default();
        }
        let lot = Lot { amount: Some(unit.of_count(count)), foods, ..Lot::default() };
        let whens = gist.whens.iter().map(|(when, _)| *when).collect();
        let event =
            Event { bins, lots: vec![lot], whens, count: None, clauses: (index, index), ..known.clone() };
        self.scene.note("counted alike", clause.from, clause.to);
        self.events.push(event);
        self.current = Some(self.events.len() - 1);
        true
    }
}

/// How many times as much as was told before: `the same`, `twice that`, `half as much`, `another of tea`.
fn as_much(text: &Text<'_>, clause: &Clause) -> Option<f64> {
    let range = clause.from..clause.to;
    // `a litre of the same` has an amount of its own.
    let same = range.clone().find(|at| text.is(*at, Cue::Same));
    if same.is_some_and(|at| !text.has(at - usize::from(at > 0), Mark::Of)) {
        return Some(1.0);
    }
    let that = |at: usize| {
        let of = at + usize::from(text.has(at, Mark::Of));
        text.has(of, Mark::It)
            || text.is(of, Cue::That)
            || text.is(at, Cue::Degree) && text.is(at + 1, Cue::MuchOrMany)
    };
    range.into_iter().find_map(|at| {
        // `half a pail into green, the other half into blue`
        if (text.is(at, Cue::TheOther) || text.is(at, Cue::Other)) && text.is(at + 1, Cue::Half) {
            return Some(1.0);
        }
        let another = text.is(at, Cue::Another) && (text.has(at + 1, Mark::Of) || at + 1 == clause.to);
        // `as much again`
        let again =
            text.is(at, Cue::Degree) && text.is(at + 1, Cue::MuchOrMany) && text.is(at + 2, Cue::Again);
        if another || again {
            return Some(1.0);
        }
        if !that(at + 1) {
            return None;
        }
        let share = text.sense(at, |s| if let Sense::Share(share) = s { Some(share) } else { None });
        let twice = text.is(at, Cue::Twice).then_some(2.0);
        let times =
            text.is(at, Cue::Times).then(|| text.cardinal(at - 1).or_else(|| text.digits(at - 1))).flatten();
        share.or(twice).or(times)
    })
}

fn bins_of(gist: &Gist) -> Vec<BinRef> {
    gist.bins.iter().map(|(bin, _)| bin).chain(gist.lots.iter().flat_map(|lot| &lot.bins)).cloned().collect()
}
