//! What a clause without an event of its own adds to the one before it, or keeps for the next.

use crate::amount::{Amount, AmountSize};
use crate::clause::{BinRef, Clause, Gist, Joint, Lot};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense, english};
use crate::reading::FactKind;
use crate::scene::Scene;
use crate::text::{Kind, Text};

use super::gapped::{begins_list, is_bare};
use super::{Builder, Event};

impl Builder<'_, '_> {
    /// Adds what a clause without an event of its own names to the current event, or keeps it for the next.
    #[expect(clippy::too_many_lines, reason = "one slot after the other, each a few lines")]
    pub(super) fn attach(&mut self, index: usize) {
        let (clause, gist) = (&self.scene.clauses[index], self.scene.gists[index].clone());
        let (scene, text) = (self.scene, &self.scene.text);
        let gist = if forgot_bran(text, clause) { Gist { whens: Vec::new(), ..gist } } else { gist };
        // `green`, on a line of its own
        let line = |at: usize| text.word(at) == "\n";
        let lone = line(clause.to) && (clause.from == 0 || line(clause.from - 1)) && is_bare(text, clause);
        let colon = text.word(clause.to) == ":"
            || lone && gist.bins.len() == 1
            || (text.word(clause.to) == "-" && !gist.bins.is_empty());
        if is_dated_heading(scene, clause, &gist) {
            let pending = std::mem::take(&mut self.pending.whens);
            self.heading = pending.iter().chain(&gist.whens).map(|(when, _)| *when).collect();
            self.current = None;
            return;
        }
        if colon {
            let alone = clause.verb.is_none() && gist.lots.is_empty() && gist.bins.len() == 1;
            self.under = gist.bins.first().filter(|_| alone).map(|(bin, _)| bin.clone());
        }
        let Some(current) = self.current.filter(|_| !colon && !begins_list(self, index)) else {
            self.pending_in = self.pending_in.or((!is_heading(scene, clause)).then_some(clause.sentence));
            self.pending.use_ = gist.use_.filter(|_| clause.verb.is_some_and(|verb| verb.act == Act::Water));
            let mut gist = gist;
            // `green 100 ml, blue 250 ml drained`: the amount is of the bin before it.
            let paired = clause.verb.is_none() && !clause.stance.imperative;
            if let ([_], [lot]) = (&gist.bins[..], &mut gist.lots[..])
                && paired
                && lot.amount.is_some()
                && lot.bins.is_empty()
            {
                lot.bins.extend(gist.bins.drain(..).map(|(bin, _)| bin));
                join_lot(&mut self.pending.lots, std::mem::take(lot));
                gist.lots.clear();
            }
            self.pending.bins.extend(gist.bins);
            for mut lot in gist.lots {
                self.pending
                    .bins
                    .extend(std::mem::take(&mut lot.bins).into_iter().map(|bin| (bin, clause.from)));
                // `candy isn't allowed, so green only got 2 litres of guts`
                let denied = !lot.foods.is_empty() && (clause.from..clause.to).any(|at| text.has(at, Mark::Not));
                if clause.verb.is_none() && !clause.stance.imperative && !denied {
                    join_lot(&mut self.pending.lots, lot);
                }
            }
            self.pending.whens.extend(gist.whens);
            self.pending.plots.extend(gist.plots);
            self.pending.length = self.pending.length.or(gist.length);
            return;
        };
        if self.done_again(index, current) {
            return;
        }
        let event = &mut self.events[current];
        if clause.sentence != event.sentence
            && !gist.whens.is_empty()
            && gist.bins.is_empty()
            && gist.lots.is_empty()
        {
            // A time in a sentence of its own belongs to what that sentence tells.
            let alone = clause.verb.is_none()
                && (clause.from..clause.to).all(|at| {
                    text.time(at).is_some()
                        || text.digits(at).is_some()
                        || matches!(text.kind(at), Some(Kind::Pair(..) | Kind::Date(..) | Kind::Ordinal(_)))
                        || text.senses(at).is_empty()
                        || text.has_any(at, &[Mark::In, Mark::The, Mark::About])
                });
            if !alone {
                return;
            }
        }
        event.clauses.1 = index;
        event.trade |= gist.trade;
        event.use_ = event.use_.or(gist.use_);
        event.vague |= gist.vague && event.counts() && event.lots.iter().all(|lot| lot.amount.is_none());
        // `3 litres to green and some to blue`
        let apart = gist.lots.is_empty() && !gist.bins.is_empty() && clause.verb.is_none();
        event.vague |= gist.vague && event.counts() && apart;
        let all = (clause.from..clause.to).any(|at| text.is(at, Cue::BothBins) || text.has_any(at, &[Mark::All, Mark::Each]));
        if let Some((cm, _)) = gist.length.filter(|_| all && event.kind == FactKind::Buried) {
            let buried = self.events.iter_mut().filter(|other| other.kind == FactKind::Buried);
            buried.for_each(|other| other.slots.depth_cm = other.slots.depth_cm.or(Some(cm)));
            return;
        }
        if let Some((cm, _)) = gist.length {
            event.slots.depth_cm = event.slots.depth_cm.or(Some(cm));
        }
        // `planted garlic in the side bed, nothing in the olive row`
        let none = (clause.from..clause.to).any(|at| text.is(at, Cue::NothingCame));
        event.plots.extend(gist.plots.iter().filter(|_| !none).map(|(plot, _)| *plot));
        event.whens.extend(gist.whens.iter().map(|(when, _)| *when));
        // `it's in the garage` tells where something stands.
        let placed = !event.bins.is_empty() || event.lots.iter().any(|lot| !lot.bins.is_empty());
        let place = clause.verb.is_none()
            && (placed || event.kind != FactKind::Scraps)
            && (clause.from..clause.to).any(|at| text.has(at, Mark::It))
            && (clause.from..clause.to).any(|at| text.has(at, Mark::Be));
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
        let apart = placed || clause.sentence != event.sentence;
        let elsewhere = place || other_act || stays || apart && (state || !measured && (speaks_apart(text, clause) || goes_on_apart(scene, index)));
        let own_bins: Vec<BinRef> =
            gist.bins.into_iter().filter(|_| !elsewhere).map(|(bin, _)| bin).collect();
        let with_lot = event.counts()
            && own_bins.len() == 1
            && gist.lots.iter().any(|lot| lot.amount.is_some() && lot.bins.is_empty());
        let goes_on = clause.joint == Joint::And && gist.lots.is_empty();
        // `3 litres in green and blue each`, `..., each`
        if (goes_on && !own_bins.is_empty() || clause.to == clause.from + 1)
            && (clause.from..clause.to).any(|at| text.has(at, Mark::Each))
            && let [only] = &mut event.lots[..]
        {
            only.each = true;
            only.bins.append(&mut event.bins);
            only.bins.extend(own_bins);
            return;
        }
        if goes_on
            && let Some(last) = event.lots.last_mut()
            && last.each
            && !last.bins.is_empty()
        {
            last.bins.extend(own_bins);
            return;
        }
        for bin in own_bins.iter().filter(|_| !with_lot).cloned() {
            if !event.bins.contains(&bin) && event.lots.iter().all(|lot| !lot.bins.contains(&bin)) {
                event.bins.push(bin);
            }
        }
        let bracketed = clause.from > 0 && text.word(clause.from - 1) == "(";
        let of_each = |lot: &&Lot| lot.each && lot.amount.is_some() && lot.bins.is_empty();
        if let Some(each) = gist.lots.iter().find(of_each).cloned() {
            // `two bags of bran, 1.5 kg each`
            if let Some(last) = event.lots.last_mut()
                && let Some(count) = last.amount.and_then(Amount::vessels)
                && let Some(amount) = each.amount
            {
                last.amount = Some(amount.times(count));
                return;
            }
            let kind = event.kind;
            let unmeasured = |other: &&mut Event| {
                other.kind == kind && other.counts() && other.lots.iter().all(|lot| lot.amount.is_none())
            };
            self.events.iter_mut().filter(unmeasured).for_each(|other| measure_each(other, &each));
            return;
        }
        // `2 litres of peelings (it weighed 950 g)`
        let weighed = |verb: crate::clause::Verb| text.is(verb.at, Cue::Weighs);
        let bare = clause.verb.is_none_or(weighed)
            && gist.lots.len() == 1
            && gist.lots[0].matter.is_none()
            && gist.lots[0].foods.is_empty()
            && own_bins.is_empty()
            && (gist.lots[0].bins.is_empty() || !placed)
            && clause.joint == Joint::Pause;
        // `the bread I kept for the birds`
        let kept = clause.verb.is_some_and(|verb| {
            matches!(verb.act, Act::Set | Act::Save | Act::Give | Act::Cook | Act::Buy)
        });
        // `..., and the strawberries drank it all`
        let watered = event.kind == FactKind::Drained && gist.use_.is_some();
        let lots =
            gist.lots.into_iter().filter(|lot| !(watered || kept) || lot.amount.is_some() || lot.foods.is_empty());
        for mut lot in lots {
            if (bracketed || bare)
                && let Some(last) = event.lots.last_mut()
                && last.amount.is_some_and(|amount| amount.vessel)
                && lot.amount.is_some()
            {
                // `the caddy (about 4.5 l of peelings)`: the same lot, told better.
                last.amount = lot.amount.take();
            }
            // `2 lb of trimmings, 1.5 l, in green`: the same lot, told both ways.
            if bare
                && event.kind == FactKind::Scraps
                && let Some(last) = event.lots.last_mut()
                && let Some(amount) = lot.amount
                && last.also.is_none()
                && last.amount.is_some_and(|known| is_mass(known) != is_mass(amount) && !amount.small)
            {
                last.also = lot.amount.take();
            }
            if lot.bins.is_empty() && lot.amount.is_some() && event.counts() && own_bins.len() == 1 {
                lot.bins.clone_from(&own_bins);
            }
            // `green got 2 kg, blue a kilo of crusts plus 500 ml of salad`
            if let Some(last) = event.lots.last()
                && clause.joint == Joint::And
                && own_bins.is_empty()
                && lot.bins.is_empty()
                && lot.amount.is_some()
                && !event.bins.is_empty()
                && !last.bins.is_empty()
            {
                lot.bins.clone_from(&last.bins);
            }
            add_lot(event, lot);
        }
        if let Some((count, count_at)) = gist.count.filter(|(count, _)| *count >= 1.0)
            && event.counts()
        {
            match event.lots.last() {
                // `300 ml from tui and 450 from weka`
                Some(last)
                    if last.amount.is_some()
                        && !event.bins.is_empty()
                        && !own_bins.is_empty()
                        && counts_nothing(text, count_at) =>
                {
                    let amount = last.amount.map(|unit| unit.of_count(count));
                    let bin = event.bins.pop();
                    // `drained green, 250 ml to the lime tree. blue only gave 40 and that went down the sink`
                    if event.use_.is_some() && clause.sentence != event.sentence {
                        let lots = vec![Lot { amount, ..Lot::default() }];
                        let own = Event {
                            lots,
                            bins: bin.into_iter().collect(),
                            use_: None,
                            whens: Vec::new(),
                            clauses: (index, index),
                            sentence: clause.sentence,
                            ..event.clone()
                        };
                        self.events.push(own);
                        self.current = Some(self.events.len() - 1);
                        return;
                    }
                    event.lots.push(crate::clause::Lot {
                        amount,
                        bins: bin.into_iter().collect(),
                        ..Default::default()
                    });
                }
                _ => event.count = event.count.or(Some(count)),
            }
        }
    }
}

/// `forgot the bran last night`: when nothing was done
fn forgot_bran(text: &Text<'_>, clause: &Clause) -> bool {
    let bran = |at: usize| text.has(at, Mark::It) || text.is_matter(at, Matter::Bran);
    (clause.from..clause.to).any(|at| text.is(at, Cue::Forgot) && (at + 1..at + 3).any(bran))
}

/// `green has flies, blue has none`, `drained green, blue still to do`: something else is said of the other bin.
fn speaks_apart(text: &Text<'_>, clause: &Clause) -> bool {
    let strange = |at: usize| {
        let token = &text.tokens[at];
        token.is_word() && token.senses.is_empty() && token.name.is_none() && english().is_ordinary(text.word(at))
    };
    let idle = |at: usize| text.is(at, Cue::Adverb) || text.is(at, Cue::Just) || text.is(at, Cue::AsWell);
    (clause.from..clause.to).any(|at| {
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
                && (before.from..before.to).any(|at| scene.text.is(at, Cue::LetBe) && scene.text.tokens[at].name.is_none())
        })
        && !scene.gists[index].bins.is_empty()
}

/// `bran on green and blue, a handful each`: so much in each of an event's bins.
fn measure_each(event: &mut Event, each: &Lot) {
    let mut measured = each.clone();
    for lot in event.lots.drain(..) {
        event.bins.extend(lot.bins);
        measured.matter = measured.matter.or(lot.matter);
        measured.foods.extend(lot.foods);
    }
    event.vague = false;
    event.lots.push(measured);
}

/// Whether the number stands alone: in `two eggshells` it counts something else than the unit told before.
pub(crate) fn counts_nothing(text: &Text<'_>, at: usize) -> bool {
    let next = at + 1;
    text.is_stop(next)
        || !text.tokens.get(next).is_some_and(crate::text::Token::is_word)
        || text.has_any(next, &[Mark::From, Mark::In, Mark::And, Mark::Of])
        || text.time(next).is_some()
        || text.tokens[next].name.is_some()
}

/// `Levels today:`, `Garden log, Sunday` on a line of its own: a day over what follows.
fn is_dated_heading(scene: &Scene<'_>, clause: &Clause, gist: &Gist) -> bool {
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

/// Adds a lot to an event: foods without amount go to the lot before.
pub(crate) fn add_lot(event: &mut Event, lot: crate::clause::Lot) {
    if !event.counts() {
        event.bins.extend(lot.bins);
        return;
    }
    join_lot(&mut event.lots, lot);
}

/// Adds a lot to others: what only goes on with the last one becomes part of it.
pub(super) fn join_lot(lots: &mut Vec<Lot>, lot: Lot) {
    if let Some(last) = lots.last_mut() {
        // `2 litres and a bit of bran`: the litres are not of bran.
        let beside = lot.matter == Some(Matter::Bran)
            && lot.amount.is_none()
            && last.matter.is_none()
            && last.amount.is_some_and(|amount| !amount.small);
        // `the peel in green, 2 l, and the coffee in blue, 1 l`
        let elsewhere = last.amount.is_some() && !lot.bins.is_empty() && !last.bins.is_empty() && lot.bins != last.bins && !lot.foods.is_empty();
        let same = (lot.amount.is_none() || last.amount.is_none()) && !beside && !elsewhere;
        let both = last.amount.is_some()
            && last.also.is_none()
            && lot.amount.is_some()
            && last.foods.is_empty()
            && last.matter.is_none()
            && last.bins.is_empty()
            && dimension(last) != dimension(&lot);
        if both {
            last.also = lot.amount;
        }
        if same {
            last.amount = last.amount.or(lot.amount);
            last.also = last.also.or(lot.also);
        }
        if same || both {
            last.matter = last.matter.or(lot.matter);
            last.foods.extend(lot.foods);
            last.bins.extend(lot.bins);
            last.each |= lot.each;
            return;
        }
    }
    lots.push(lot);
}

fn dimension(lot: &Lot) -> bool {
    lot.amount.is_some_and(is_mass)
}

fn is_mass(amount: Amount) -> bool {
    matches!(amount.size, AmountSize::Grams(_) | AmountSize::Ounces(..))
}
