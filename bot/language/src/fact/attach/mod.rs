//! What a clause without an event of its own adds to the one before it, or keeps for the next.

mod apart;
mod lot;

use crate::amount::Amount;
use crate::clause::{BinRef, Clause, Gist, Joint, Lot, PieceKind, counts_nothing};
use crate::lexicon::{Act, Cue, Mark};
use crate::reading::FactKind;
use crate::text::Text;

use super::gapped::{begins_list, is_bare, is_of_bins};
use super::{Builder, Event};
use apart::{
    forgot_bran, heads_what_follows, is_dated_heading, is_elsewhere, is_of_another_sentence, moves_on,
};
use lot::{is_mass, measure_each};

pub(crate) use apart::is_heading;
pub(in crate::fact) use lot::{add_lot, join_lot};

impl Builder<'_, '_> {
    /// Adds what a clause without an event of its own names to the current event, or keeps it for the next.
    pub(super) fn attach(&mut self, index: usize) {
        let (clause, gist) = (&self.scene.clauses[index], self.scene.gists[index].clone());
        let (scene, text) = (self.scene, &self.scene.text);
        let gist = if forgot_bran(text, clause) { Gist { whens: Vec::new(), ..gist } } else { gist };
        // `1 Feb: 2 l in green, 3 Feb: 1 l in blue`
        let next = !self.heading.is_empty() && text.is_word(clause.to, ":");
        if is_dated_heading(scene, clause, &gist) && (next || !self.goes_on(clause)) {
            let pending = std::mem::take(&mut self.pending.whens);
            self.heading = pending.iter().chain(&gist.whens).map(|(when, _)| *when).collect();
            self.current = None;
            return;
        }
        let heads = heads_what_follows(text, clause, &gist);
        if heads {
            let alone = clause.verb.is_none() && gist.lots.is_empty() && gist.bins.len() == 1;
            self.under = gist.bins.first().filter(|_| alone).map(|(bin, _)| bin.clone());
        }
        let moves_on = moves_on(text, clause, &gist) || self.begins_anew(index);
        let Some(current) = self.current.filter(|_| !heads && !moves_on && !begins_list(self, index)) else {
            self.current = self.current.filter(|_| !moves_on);
            return self.keep(index, gist);
        };
        if self.done_again(index, current)
            || self.begins_another_lot(index, current, &gist)
            || self.joins_a_bin(index, &gist)
            || is_of_another_sentence(text, clause, &gist, &self.events[current])
            || self.bury_all(clause, &gist, current)
            || self.drained_elsewhere(index, &gist, current)
        {
            return;
        }
        let elsewhere = is_elsewhere(scene, index, &self.events[current]);
        let placed = self.events[current].names_bin();
        let event = &mut self.events[current];
        event.clauses.1 = index;
        add_slots(event, text, clause, &gist);
        let own_bins: Vec<BinRef> =
            gist.bins.iter().filter(|_| !elsewhere).map(|(bin, _)| bin.clone()).collect();
        if add_bins(event, text, clause, &gist, &own_bins) || self.add_each(current, &gist) {
            return;
        }
        self.add_lots(index, current, &gist, &own_bins, placed);
        self.add_count(index, current, &gist, &own_bins);
    }

    /// `..., 250 ml drained. Blue, 1 kg of bread added`: a bin that opens a sentence is of what follows in it.
    fn begins_anew(&self, index: usize) -> bool {
        let (scene, clause) = (self.scene, &self.scene.clauses[index]);
        let told = self.current.is_some_and(|at| self.events[at].names_bin());
        let more = scene.clauses.get(index + 1).is_some_and(|next| next.sentence == clause.sentence);
        let first =
            index.checked_sub(1).is_none_or(|before| scene.clauses[before].sentence != clause.sentence);
        told && more && first && scene.gists[index].bins.len() == 1 && is_bare(&scene.text, clause)
    }

    /// Keeps what a clause names for the event to come.
    fn keep(&mut self, index: usize, mut gist: Gist) {
        let (clause, text) = (&self.scene.clauses[index], &self.scene.text);
        self.pending_in = self.pending_in.or((!is_heading(self.scene, clause)).then_some(clause.sentence));
        self.pending.use_ = gist.use_.filter(|_| clause.verb.is_some_and(|verb| verb.act == Act::Water));
        // `green 100 ml, blue 250 ml drained`: the amount is of the bin before it.
        let plain = clause.verb.is_none() && !clause.stance.imperative;
        if let ([_], [lot]) = (&gist.bins[..], &mut gist.lots[..])
            && plain
            && lot.amount.is_some()
            && lot.bins.is_empty()
        {
            lot.bins.extend(gist.bins.drain(..).map(|(bin, _)| bin));
            join_lot(&mut self.pending.lots, std::mem::take(lot));
            gist.lots.clear();
        }
        self.pending.bins.extend(gist.bins);
        // `candy isn't allowed, so green only got 2 litres of guts`
        let denied = (clause.from..clause.to).any(|at| text.has(at, Mark::Not));
        // `turkey day: 2 kg of bones in green`: what the day was called
        let next = self.scene.gists.get(index + 1).and_then(|next| next.lots.first());
        let titled = text.is_word(clause.to, ":") && next.is_some_and(|lot| !lot.foods.is_empty());
        gist.lots.retain(|lot| !titled || lot.amount.is_some());
        for mut lot in gist.lots {
            let bins = std::mem::take(&mut lot.bins).into_iter().map(|bin| (bin, clause.from));
            self.pending.bins.extend(bins);
            let put_in = !denied || lot.foods.is_empty();
            if plain && put_in {
                join_lot(&mut self.pending.lots, lot);
            }
        }
        self.pending.whens.extend(gist.whens);
        self.pending.plots.extend(gist.plots);
        self.pending.length = self.pending.length.or(gist.length);
    }

    /// `the peelings in green, two litres, and the coffee in blue, half a litre`: what is measured next is of the other bin.
    fn begins_another_lot(&mut self, index: usize, current: usize, gist: &Gist) -> bool {
        let (clause, event) = (&self.scene.clauses[index], &self.events[current]);
        let bins: Vec<&BinRef> =
            gist.bins.iter().map(|(bin, _)| bin).chain(gist.lots.iter().flat_map(|lot| &lot.bins)).collect();
        let [lot] = &gist.lots[..] else { return false };
        let stuff = lot.amount.is_none() && !lot.foods.is_empty() && clause.verb.is_none();
        let measured = event.lots.iter().any(|lot| lot.amount.is_some());
        let next = self.scene.clauses.get(index + 1).filter(|next| next.sentence == clause.sentence);
        let follows =
            next.is_some() && self.scene.gists[index + 1].lots.iter().any(|lot| lot.amount.is_some());
        let other = matches!(bins[..], [bin] if !event.names(bin)) && event.names_bin();
        if !(event.kind == FactKind::Scraps && stuff && measured && follows && other) {
            return false;
        }
        let kind = event.kind;
        self.begin(kind, index);
        true
    }

    /// `3 litres to green and blue today`: one more of the bins that the lot before went into.
    fn joins_a_bin(&mut self, index: usize, gist: &Gist) -> bool {
        let (clause, text) = (&self.scene.clauses[index], &self.scene.text);
        let times = self.scene.pieces.iter().filter(|piece| matches!(piece.kind, PieceKind::When(_)));
        let times: Vec<_> = times.map(|piece| piece.from..piece.to).collect();
        let plain = |at: usize| is_of_bins(text, at) || times.iter().any(|time| time.contains(&at));
        let bare = gist.lots.is_empty() && gist.count.is_none() && (clause.from..clause.to).all(plain);
        let before =
            index.checked_sub(1).and_then(|before| self.scene.gists[before].lots.last()?.bins.last());
        let Some(before) = before.filter(|_| bare && clause.joint == Joint::And) else { return false };
        for event in self.events.iter_mut().rev() {
            if let Some(lot) = event.lots.iter_mut().rfind(|lot| lot.bins.last() == Some(before)) {
                lot.bins.extend(gist.bins.iter().map(|(bin, _)| bin.clone()));
                event.whens.extend(gist.whens.iter().map(|(when, _)| *when));
                return true;
            }
        }
        false
    }

    /// `buried green in the herb bed, blue in the rose bed, both a foot deep`
    fn bury_all(&mut self, clause: &Clause, gist: &Gist, current: usize) -> bool {
        let text = &self.scene.text;
        let all = (clause.from..clause.to)
            .any(|at| text.is(at, Cue::BothBins) || text.has_any(at, &[Mark::All, Mark::Each]));
        let length = gist.length.filter(|_| all && self.events[current].kind == FactKind::Buried);
        let Some((cm, _)) = length else { return false };
        let buried = self.events.iter_mut().filter(|other| other.kind == FactKind::Buried);
        buried.for_each(|other| other.slots.depth_cm = other.slots.depth_cm.or(Some(cm)));
        true
    }

    /// `drained green, 250 ml to the lime tree. blue 40 ml down the sink`: another bin's liquid, which went elsewhere.
    fn drained_elsewhere(&mut self, index: usize, gist: &Gist, current: usize) -> bool {
        let (event, clause) = (&self.events[current], &self.scene.clauses[index]);
        let [lot] = &gist.lots[..] else { return false };
        let bins: Vec<BinRef> = gist
            .bins
            .iter()
            .map(|(bin, _)| bin)
            .chain(&lot.bins)
            .filter(|bin| !event.names(bin))
            .cloned()
            .collect();
        let measured = lot.amount.is_some() && event.lots.iter().any(|known| known.amount.is_some());
        let other = gist.use_.map_or(clause.sentence != event.sentence, |use_| Some(use_) != event.use_);
        if event.kind != FactKind::Drained || event.use_.is_none() || bins.len() != 1 || !measured || !other {
            return false;
        }
        // `drained yesterday, green 1 l to the roses, blue 50 ml down the sink`
        let opening = &self.scene.gists[event.clauses.0];
        let shared = opening.bins.is_empty() && opening.lots.is_empty() && event.sentence == clause.sentence;
        let shared = opening.whens.iter().filter(|_| shared && gist.whens.is_empty());
        let own = Event {
            lots: vec![Lot { bins: Vec::new(), ..lot.clone() }],
            bins,
            use_: gist.use_,
            whens: gist.whens.iter().chain(shared).map(|(when, _)| *when).collect(),
            clauses: (index, index),
            sentence: clause.sentence,
            ..event.clone()
        };
        self.events.push(own);
        self.current = Some(self.events.len() - 1);
        true
    }

    /// `two bags of bran, 1.5 kg each`, `bran on green and blue, a handful each`
    fn add_each(&mut self, current: usize, gist: &Gist) -> bool {
        let of_each = |lot: &&Lot| lot.each && lot.amount.is_some() && lot.bins.is_empty();
        let Some(each) = gist.lots.iter().find(of_each).cloned() else { return false };
        let event = &mut self.events[current];
        if let Some(last) = event.lots.last_mut()
            && let Some(count) = last.amount.and_then(Amount::vessels)
            && let Some(amount) = each.amount
        {
            last.amount = Some(amount.times(count));
            return true;
        }
        let kind = event.kind;
        let unmeasured = |other: &&mut Event| {
            other.kind == kind && other.counts() && other.lots.iter().all(|lot| lot.amount.is_none())
        };
        self.events.iter_mut().filter(unmeasured).for_each(|other| measure_each(other, &each));
        true
    }

    /// The lots that a clause names.
    fn add_lots(&mut self, index: usize, current: usize, gist: &Gist, own_bins: &[BinRef], placed: bool) {
        let (clause, text) = (&self.scene.clauses[index], &self.scene.text);
        let event = &mut self.events[current];
        let bracketed = clause.from > 0 && text.word(clause.from - 1) == "(";
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
        let kept = clause
            .verb
            .is_some_and(|verb| matches!(verb.act, Act::Set | Act::Save | Act::Give | Act::Cook | Act::Buy));
        // `..., and the strawberries drank it all`
        let watered = event.kind == FactKind::Drained && gist.use_.is_some();
        let told = |lot: &&Lot| !(watered || kept) || lot.amount.is_some() || lot.foods.is_empty();
        for mut lot in gist.lots.iter().filter(told).cloned() {
            tell_better(event, &mut lot, bracketed || bare, bare);
            if lot.bins.is_empty() && lot.amount.is_some() && event.counts() && own_bins.len() == 1 {
                lot.bins.extend_from_slice(own_bins);
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
    }

    /// A number without its unit.
    fn add_count(&mut self, index: usize, current: usize, gist: &Gist, own_bins: &[BinRef]) {
        let (clause, text) = (&self.scene.clauses[index], &self.scene.text);
        let event = &mut self.events[current];
        let Some((count, count_at)) = gist.count.filter(|(count, _)| *count >= 1.0) else { return };
        if !event.counts() {
            return;
        }
        // `300 ml from tui and 450 from weka`
        let unit = event.lots.last().and_then(|last| last.amount);
        let alike = !event.bins.is_empty() && !own_bins.is_empty() && counts_nothing(text, count_at);
        let Some(unit) = unit.filter(|_| alike) else {
            event.count = event.count.or(Some(count));
            return;
        };
        let bins: Vec<BinRef> = event.bins.pop().into_iter().collect();
        let amount = Some(unit.of_count(count));
        if event.use_.is_none() || clause.sentence == event.sentence {
            event.lots.push(Lot { amount, bins, ..Lot::default() });
            return;
        }
        // `drained green, 250 ml to the lime tree. blue only gave 40 and that went down the sink`
        let own = Event {
            lots: vec![Lot { amount, ..Lot::default() }],
            bins,
            use_: None,
            whens: Vec::new(),
            clauses: (index, index),
            sentence: clause.sentence,
            ..event.clone()
        };
        self.events.push(own);
        self.current = Some(self.events.len() - 1);
    }
}

/// What a clause tells beside bins and lots.
fn add_slots(event: &mut Event, text: &Text<'_>, clause: &Clause, gist: &Gist) {
    event.trade |= gist.trade;
    event.use_ = event.use_.or(gist.use_);
    let measured = event.lots.iter().any(|lot| lot.amount.is_some());
    // `3 litres to green and some to blue`
    let got = clause.verb.is_none_or(|verb| verb.act == Act::Get);
    let apart = gist.lots.is_empty() && !gist.bins.is_empty() && got;
    // `gus got 2 quarts and walter got some`: the quarts are of gus alone
    if apart && gist.vague && gist.use_.is_none() && measured && event.counts() {
        let bins = std::mem::take(&mut event.bins);
        let open = event.lots.iter_mut().filter(|lot| lot.bins.is_empty());
        open.for_each(|lot| lot.bins.clone_from(&bins));
    }
    event.vague |= gist.vague && event.counts() && (!measured || apart);
    event.slots.depth_cm = event.slots.depth_cm.or(gist.length.map(|(cm, _)| cm));
    // `planted garlic in the side bed, nothing in the olive row`
    let none = (clause.from..clause.to).any(|at| text.is(at, Cue::NothingCame));
    event.plots.extend(gist.plots.iter().filter(|_| !none).map(|(plot, _)| *plot));
    event.whens.extend(gist.whens.iter().map(|(when, _)| *when));
}

/// The bins that a clause names; true where they are all that it tells.
fn add_bins(event: &mut Event, text: &Text<'_>, clause: &Clause, gist: &Gist, own: &[BinRef]) -> bool {
    let with_lot = event.counts()
        && own.len() == 1
        && gist.lots.iter().any(|lot| lot.amount.is_some() && lot.bins.is_empty());
    let goes_on = clause.joint == Joint::And && gist.lots.is_empty();
    // `3 litres in green and blue each`, `..., each`
    if (goes_on && !own.is_empty() || clause.to == clause.from + 1)
        && (clause.from..clause.to).any(|at| text.has(at, Mark::Each))
        && let [only] = &mut event.lots[..]
    {
        only.each = true;
        only.bins.append(&mut event.bins);
        only.bins.extend_from_slice(own);
        return true;
    }
    if goes_on
        && let Some(last) = event.lots.last_mut()
        && last.each
        && !last.bins.is_empty()
    {
        last.bins.extend_from_slice(own);
        return true;
    }
    for bin in own.iter().filter(|_| !with_lot) {
        if !event.names(bin) {
            event.bins.push(bin.clone());
        }
    }
    false
}

/// The same lot, told better: `the caddy (about 4.5 l of peelings)`, `2 lb of trimmings, 1.5 l, in green`.
fn tell_better(event: &mut Event, lot: &mut Lot, measures: bool, bare: bool) {
    let scraps = event.kind == FactKind::Scraps;
    let Some(last) = event.lots.last_mut() else { return };
    if measures && last.amount.is_some_and(|amount| amount.vessel) && lot.amount.is_some() {
        last.amount = lot.amount.take();
    }
    let both = |known: Amount, amount: Amount| is_mass(known) != is_mass(amount) && !amount.small;
    if bare
        && scraps
        && last.also.is_none()
        && last.amount.zip(lot.amount).is_some_and(|(known, amount)| both(known, amount))
    {
        last.also = lot.amount.take();
    }
}
