//! From clauses to facts: each clause opens an event, adds to the one before, or says nothing that is recorded.

mod crop;
mod event;
mod finish;
mod found;
mod open;
mod place;
mod portion;
mod share;
mod spread;
mod symptom;

use crate::clause::{BinRef, Clause, Gist, Joint, Lot, Subject};
use crate::lexicon::{Act, Forms, Mark, Matter, Sense};
use crate::reading::{Fact, FactKind, Mould, Slots, UnclearAbout};
use crate::scene::Scene;
use crate::time::{Date, Direction, Placed, When};

pub(crate) use event::Event;
pub(crate) use symptom::symptoms;

/// What the clauses tell.
#[derive(Debug, Default)]
pub(crate) struct Told {
    pub(crate) facts: Vec<Fact>,
    /// What keeps one of them from being recorded, and the words.
    pub(crate) unclear: Option<(UnclearAbout, Option<String>)>,
    /// Something was told that is not recorded: a plan, a denial, a story.
    pub(crate) set_aside: bool,
}

/// All facts that a message tells.
pub(crate) fn facts(scene: &Scene<'_>) -> Told {
    let mut builder = Builder {
        scene,
        events: Vec::new(),
        current: None,
        pending: Gist::default(),
        pending_in: None,
        set_aside: false,
    };
    for index in 0..scene.clauses.len() {
        builder.take(index);
    }
    let set_aside = builder.set_aside;
    let pending = builder.pending.clone();
    let mut events = spread::spread(builder.events);
    share::share(scene, &mut events, &pending);
    let mut told = finish::finish(scene, events);
    told.set_aside = set_aside;
    told
}

/// Goes through the clauses in order.
pub(crate) struct Builder<'s, 'm> {
    pub(crate) scene: &'s Scene<'m>,
    pub(crate) events: Vec<Event>,
    /// The event that a clause without a verb adds to.
    current: Option<usize>,
    /// Bins and times that stand before what they belong to.
    pending: Gist,
    /// The sentence that the pending gist stands in; `None` where it is but a bin or a time, as in a heading.
    pending_in: Option<usize>,
    set_aside: bool,
}

impl Builder<'_, '_> {
    fn take(&mut self, index: usize) {
        let scene = self.scene;
        let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
        if self.pending_in.is_some_and(|sentence| sentence != clause.sentence) {
            (self.pending, self.pending_in) = (Gist::default(), None);
        }
        if clause.asks {
            self.current = None;
            if let Some(slots) =
                symptoms(scene, clause).filter(|_| !clause.stance.negated && self.stands_asserted(index))
            {
                self.check(index, slots);
            }
            return;
        }
        if self.blocked(clause, gist) {
            self.current = None;
            self.set_aside = true;
            return;
        }
        let opened = portion::take(self, index) || open::open(self, index);
        if !opened {
            self.attach(index);
        }
    }

    /// In a question, only what it takes for granted is told: `why does it smell of ammonia?`
    fn stands_asserted(&self, index: usize) -> bool {
        let (text, clause) = (&self.scene.text, &self.scene.clauses[index]);
        let about = (clause.from..clause.to).any(|at| {
            text.has(at, Mark::Worry)
                && text.is_word(at + 1, "about")
                && text.has_any(at + 2, &[Mark::The, Mark::It])
        });
        about || text.has(clause.from, Mark::Why)
    }

    /// Whether the clause tells nothing that is recorded.
    fn blocked(&self, clause: &Clause, gist: &Gist) -> bool {
        let stance = clause.stance;
        let direct = self.scene.message.direct;
        if (clause.from..clause.to).any(|at| self.scene.text.word(at) == "recipe") {
            return true;
        }
        if stance.conditional
            || stance.hearsay
            || stance.story
            || self.happens_to_others(clause)
            || self.is_announced(clause, gist)
        {
            return true;
        }
        if matches!(stance.subject, Subject::You) && clause.verb.is_some() {
            return true;
        }
        if stance.negated && clause.verb.is_some() && symptoms(self.scene, clause).is_none() {
            return true;
        }
        if stance.planned && !self.plan_is_told(clause) {
            return true;
        }
        if stance.imperative && clause.verb.is_some_and(|verb| verb.forms.has(Forms::BASE)) {
            let logs = direct
                && (gist.lots.iter().any(|lot| lot.amount.is_some()) || gist.vague || gist.count.is_some());
            return !logs
                && !clause.verb.is_some_and(|verb| {
                    matches!(verb.act, Act::Set | Act::Remove | Act::Call | Act::Start | Act::Seal) && direct
                });
        }
        false
    }

    /// `I'm making bran on Sunday`, `sealing it tonight`: what goes on is told of a day to come.
    fn is_announced(&self, clause: &Clause, gist: &Gist) -> bool {
        let zoned = &self.scene.zoned;
        let ahead = |when: &When| {
            let now = zoned.now.fixed_offset();
            match zoned.place(when, Direction::Future) {
                Placed::At(moment) => moment.at > now && zoned.place(when, Direction::Past) != Placed::Now,
                Placed::Minutes(_) => true,
                _ => false,
            }
        };
        clause.verb.is_some_and(|verb| {
            verb.forms == Forms::ING
                && self.scene.text.has_any(verb.at.wrapping_sub(1), &[Mark::Be, Mark::I])
                && gist.whens.iter().any(|(when, _)| {
                    !matches!(when.date, Some(Date::Days(days)) if days <= 0)
                        && !when.part.is_some_and(|part| part.today && part.hour < 19)
                        && ahead(when)
                })
        })
    }

    /// `I'm drained`, `our team got buried`, `the quay is closed`: done to what is no bin.
    fn happens_to_others(&self, clause: &Clause) -> bool {
        let text = &self.scene.text;
        let Some(verb) = clause.verb.filter(|verb| verb.forms.has(Forms::PARTICIPLE)) else { return false };
        let told = !matches!(verb.act, Act::Finish | Act::Go | Act::Get | Act::Run | Act::Set | Act::Say);
        let mut passive = verb.at;
        while passive > clause.from
            && (text.has(passive - 1, Mark::Be)
                || text.is_act(passive - 1, Act::Get)
                || matches!(text.word(passive - 1), "so" | "all" | "just" | "really" | "completely" | "now"))
        {
            passive -= 1;
        }
        let auxiliary = (passive..verb.at).any(|at| text.has(at, Mark::Be) || text.is_act(at, Act::Get));
        if !told || !auxiliary {
            return false;
        }
        let subject = clause.from..passive;
        let me = passive > clause.from
            && text.has(passive - 1, Mark::I)
            && !matches!(text.word(passive - 1), "my" | "our" | "mine" | "ours");
        let person = me && !text.is_act(passive, Act::Get);
        let of_trade = |at: usize| {
            text.tokens[at].name.is_some()
                || text.matter(at).is_some()
                || text.has_any(at, &[Mark::It, Mark::All])
                || text
                    .senses(at)
                    .iter()
                    .any(|s| matches!(s, Sense::Food(_) | Sense::Unit(_) | Sense::Kitchen(..)))
        };
        let stranger = |at: usize| {
            text.tokens[at].is_word()
                && text.senses(at).is_empty()
                && crate::lexicon::english().is_ordinary(text.word(at))
        };
        person || subject.clone().any(stranger) && !subject.clone().any(of_trade)
    }

    /// Some words of plans tell what is: `need to say`, `can see mould`, `the lid won't close`.
    fn plan_is_told(&self, clause: &Clause) -> bool {
        let text = &self.scene.text;
        let sees = (clause.from..clause.to).any(|at| matches!(text.word(at), "see" | "smell"))
            && (clause.from..clause.to).any(|at| matches!(text.word(at), "can" | "could"));
        sees && symptoms(self.scene, clause).is_some()
    }

    /// Whether the clause before told such a fact.
    pub(crate) fn just(&self, kind: FactKind) -> bool {
        self.current.is_some_and(|at| self.events[at].kind == kind)
    }

    /// Opens an event that the clause's gist goes into.
    pub(crate) fn begin(&mut self, kind: FactKind, index: usize) -> usize {
        let (clause, gist) = (&self.scene.clauses[index], self.scene.gists[index].clone());
        let mut event = Event::new(kind, index, clause.sentence);
        event.verbal = clause.verb.is_some();
        event.use_ = gist.use_.or(self.pending.use_.take());
        event.vague = gist.vague;
        event.count = gist.count.map(|(count, _)| count);
        event.trade = gist.trade;
        event.lots = std::mem::take(&mut self.pending.lots);
        gist.lots.into_iter().for_each(|lot| join_lot(&mut event.lots, lot));
        event.bins = gist.bins.into_iter().map(|(bin, _)| bin).collect();
        event.plots = gist.plots.iter().map(|(plot, _)| *plot).collect();
        event.whens = gist.whens.iter().map(|(when, _)| *when).collect();
        if let Some((cm, _)) = gist.length {
            event.slots.depth_cm = Some(cm);
        }
        event.slots.depth_cm = event.slots.depth_cm.or(self.pending.length.take().map(|(cm, _)| cm));
        if clause.joint == Joint::And && !self.pending.bins.is_empty() && !event.bins.is_empty() {
            // `salt and pepper are half full`
            let mut bins: Vec<_> =
                std::mem::take(&mut self.pending.bins).into_iter().map(|(bin, _)| bin).collect();
            bins.append(&mut event.bins);
            event.bins = bins;
        } else if event.bins.is_empty() && event.lots.iter().all(|lot| lot.bins.is_empty()) {
            event.bins = std::mem::take(&mut self.pending.bins).into_iter().map(|(bin, _)| bin).collect();
            event.trade |= !event.bins.is_empty();
        }
        event.whens.extend(std::mem::take(&mut self.pending.whens).into_iter().map(|(when, _)| when));
        if event.plots.is_empty() {
            event.plots = std::mem::take(&mut self.pending.plots).into_iter().map(|(plot, _)| plot).collect();
        }
        self.scene.note(rule_of(kind), clause.from, clause.to);
        self.events.push(event);
        self.current = Some(self.events.len() - 1);
        self.events.len() - 1
    }

    /// Symptoms go into the check of the same bin, or open one.
    pub(crate) fn check(&mut self, index: usize, slots: Slots) -> usize {
        let gist = &self.scene.gists[index];
        let same = self.events.iter().rposition(|event| event.kind == FactKind::Checked);
        let own_bin = gist
            .bins
            .first()
            .map(|(bin, _)| bin)
            .or_else(|| gist.lots.iter().find_map(|lot| lot.bins.first()))
            .or_else(|| self.pending.bins.first().map(|(bin, _)| bin));
        if let Some(at) = same {
            let known = self.events[at].bins.first();
            if own_bin.is_none()
                || known == own_bin
                || (known.is_none() && self.events[at].clauses.1 + 1 >= index)
            {
                if let Some(bin) = own_bin.cloned()
                    && known.is_none()
                {
                    self.events[at].bins.push(bin);
                }
                self.scene.note("checked", self.scene.clauses[index].from, self.scene.clauses[index].to);
                let event = &mut self.events[at];
                merge(&mut event.slots, &slots);
                event.whens.extend(gist.whens.iter().map(|(when, _)| *when));
                event.trade |= gist.trade;
                event.clauses.1 = index;
                self.current = Some(at);
                return at;
            }
        }
        let at = self.begin(FactKind::Checked, index);
        let event = &mut self.events[at];
        event.slots = slots;
        let more: Vec<_> = event.lots.drain(..).flat_map(|lot| lot.bins).collect();
        event.bins.extend(more);
        at
    }

    /// `drained kea on monday and blue on tuesday`, `last night and again this morning`: the same was done once more.
    fn done_again(&mut self, index: usize, current: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let known = &self.events[current];
        let (kind, bins) = (known.kind, known.bins.clone());
        let joined = clause.joint == Joint::And || known.sentence == clause.sentence && known.counts();
        let own_bin = !gist.bins.is_empty() || gist.lots.iter().any(|lot| !lot.bins.is_empty());
        let timed = !gist.whens.is_empty() && !known.whens.is_empty();
        let placed = kind == FactKind::Buried && !gist.plots.is_empty() && !known.plots.is_empty();
        let again = (clause.from..clause.to).any(|at| text.is_word(at, "again"));
        let counted = gist.count.filter(|_| gist.lots.iter().all(|lot| lot.amount.is_none()));
        let unit = known.lots.last().and_then(|lot| lot.amount);
        let once_more = joined && own_bin && !known.bins.is_empty() && (timed || placed)
            || joined && again && timed
            || joined && own_bin && timed && counted.is_some() && unit.is_some();
        if !once_more || clause.verb.is_some() || counted.is_some() && unit.is_none() {
            return false;
        }
        let at = self.begin(kind, index);
        let event = &mut self.events[at];
        event.verbal = true;
        if let (Some((count, _)), Some(unit)) = (counted, unit) {
            event.count = None;
            let lot = Lot { amount: Some(unit.of_count(count)), ..Lot::default() };
            add_lot(event, lot);
        }
        if !own_bin {
            event.bins = bins;
        }
        true
    }

    /// Adds what a clause without an event of its own names to the current event, or keeps it for the next.
    #[expect(clippy::too_many_lines, reason = "one slot after the other, each a few lines")]
    fn attach(&mut self, index: usize) {
        let (clause, gist) = (&self.scene.clauses[index], self.scene.gists[index].clone());
        let (scene, text) = (self.scene, &self.scene.text);
        let colon = text.word(clause.to) == ":" || (text.word(clause.to) == "-" && !gist.bins.is_empty());
        let Some(current) = self.current.filter(|_| !colon) else {
            self.pending_in = self.pending_in.or((!is_heading(scene, clause)).then_some(clause.sentence));
            self.pending.use_ = gist.use_.filter(|_| clause.verb.is_some_and(|verb| verb.act == Act::Water));
            self.pending.bins.extend(gist.bins);
            for mut lot in gist.lots {
                self.pending
                    .bins
                    .extend(std::mem::take(&mut lot.bins).into_iter().map(|bin| (bin, clause.from)));
                if clause.verb.is_none() && !clause.stance.imperative {
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
        if let Some((cm, _)) = gist.length {
            event.slots.depth_cm = event.slots.depth_cm.or(Some(cm));
        }
        event.plots.extend(gist.plots.iter().map(|(plot, _)| *plot));
        event.whens.extend(gist.whens.iter().map(|(when, _)| *when));
        // `it's in the garage` tells where something stands.
        let place = clause.verb.is_none()
            && (clause.from..clause.to).any(|at| text.has(at, Mark::It))
            && (clause.from..clause.to).any(|at| text.has(at, Mark::Be));
        // `I sealed it and opened lucky`: the other bin is what was opened.
        let other_act = clause.verb.is_some_and(|verb| {
            matches!(verb.act, Act::Open | Act::Check | Act::Look | Act::Move | Act::Fill)
        });
        let own_bins: Vec<BinRef> =
            gist.bins.into_iter().filter(|_| !place && !other_act).map(|(bin, _)| bin).collect();
        let with_lot = event.counts()
            && own_bins.len() == 1
            && gist.lots.iter().any(|lot| lot.amount.is_some() && lot.bins.is_empty());
        let goes_on = clause.joint == Joint::And && gist.lots.is_empty();
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
        if let Some(each) = gist.lots.iter().find(|lot| lot.each && lot.amount.is_some()).cloned() {
            let kind = event.kind;
            for other in self
                .events
                .iter_mut()
                .filter(|other| other.kind == kind && other.counts() && other.lots.is_empty())
            {
                other.lots.push(each.clone());
            }
            return;
        }
        let bare = clause.verb.is_none()
            && gist.lots.len() == 1
            && gist.lots[0].matter.is_none()
            && gist.lots[0].foods.is_empty()
            && own_bins.is_empty()
            && clause.joint == Joint::Pause;
        for mut lot in gist.lots {
            if (bracketed || bare)
                && let Some(last) = event.lots.last_mut()
                && last.amount.is_some_and(|amount| amount.vessel)
                && lot.amount.is_some()
            {
                // `the caddy (about 4.5 l of peelings)`: the same lot, told better.
                last.amount = lot.amount.take();
            }
            if lot.bins.is_empty() && lot.amount.is_some() && event.counts() && own_bins.len() == 1 {
                lot.bins.clone_from(&own_bins);
            }
            add_lot(event, lot);
        }
        if let Some((count, _)) = gist.count.filter(|(count, _)| *count >= 1.0)
            && event.counts()
        {
            match event.lots.last() {
                // `300 ml from tui and 450 from weka`
                Some(last) if last.amount.is_some() && !event.bins.is_empty() => {
                    let amount = last.amount.map(|unit| unit.of_count(count));
                    let bin = event.bins.pop();
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
fn join_lot(lots: &mut Vec<Lot>, lot: Lot) {
    if let Some(last) = lots.last_mut() {
        let same = lot.amount.is_none() || last.amount.is_none();
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
    lot.amount.is_some_and(|amount| {
        matches!(amount.size, crate::amount::AmountSize::Grams(_) | crate::amount::AmountSize::Ounces(..))
    })
}

/// Later symptoms add to earlier ones.
pub(crate) fn merge(known: &mut Slots, new: &Slots) {
    known.smell = known.smell.or(new.smell);
    // `it's gone mouldy, blue patches`
    known.mould = known.mould.filter(|mould| *mould != Mould::Other).or(new.mould).or(known.mould);
    known.moisture = known.moisture.or(new.moisture);
    known.pests = known.pests.or(new.pests);
    known.lid = known.lid.or(new.lid);
}

/// The name under which a fact's rule is explained.
fn rule_of(kind: FactKind) -> &'static str {
    match kind {
        FactKind::Scraps => "scraps",
        FactKind::Bran => "bran",
        FactKind::Drained => "drained",
        FactKind::Started => "started",
        FactKind::Sealed => "sealed",
        FactKind::Checked => "checked",
        FactKind::Temperature => "temperature",
        FactKind::Level => "level",
        FactKind::Buried => "buried",
        FactKind::Discarded => "discarded",
        FactKind::Planted => "planted",
        FactKind::Cleaned => "cleaned",
        FactKind::StarterMade => "starter made",
        FactKind::StarterBought => "starter bought",
        FactKind::StarterStock => "starter stock",
        FactKind::BinSet => "bin set",
        FactKind::BinGone => "bin gone",
        FactKind::PlotSet => "plot set",
        FactKind::MeasureSet => "measure set",
        FactKind::Setting => "setting",
        FactKind::Undo => "undo",
        FactKind::Amended => "amended",
        FactKind::Done => "done",
        FactKind::Later => "later",
        FactKind::Skip => "skip",
        FactKind::Away => "away",
        FactKind::Back => "back",
    }
}

/// Whether a clause names a thing of the trade.
pub(crate) fn names(scene: &Scene<'_>, clause: &Clause, matter: Matter) -> bool {
    (clause.from..clause.to).any(|at| scene.text.is_matter(at, matter))
}
