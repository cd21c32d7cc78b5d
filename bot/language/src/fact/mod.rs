//! From clauses to facts: each clause opens an event, adds to the one before, or says nothing that is recorded.

mod again;
mod attach;
mod by_amount;
mod by_verb;
mod context;
mod crop;
mod dated;
mod event;
mod finish;
mod found;
mod gapped;
mod gone;
mod inventory;
mod liquid;
mod measure;
mod object;
mod open;
mod place;
mod portion;
mod retold;
mod share;
mod spread;
mod stock;
mod supply;
mod symptom;
mod told;
mod untold;

use crate::clause::{BinRef, Clause, Gist, Joint, is_label};
use crate::lexicon::{Act, Mark, Matter};
use crate::reading::{Fact, FactKind, Mould, Slots, UnclearAbout};
use crate::scene::Scene;
use crate::time::When;

pub(crate) use attach::is_heading;
use attach::join_lot;
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
        heading: Vec::new(),
        under: None,
        taken_to: 0,
    };
    for index in 0..scene.clauses.len() {
        builder.take(index);
    }
    let set_aside = builder.set_aside;
    let pending = builder.pending.clone();
    let mut events = spread::spread(scene, builder.events);
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
    /// Times of the heading that the clauses stand under: `Sunday: ...`
    heading: Vec<When>,
    /// The bin of the heading: `green: rinsed, new batch started`
    under: Option<BinRef>,
    /// The token up to which a rule for whole sentences has taken the message.
    pub(crate) taken_to: usize,
}

impl Builder<'_, '_> {
    fn take(&mut self, index: usize) {
        let scene = self.scene;
        let (clause, gist) = (&scene.clauses[index], &scene.gists[index]);
        let label = self.current.is_some() && is_label(&scene.text, clause.from, clause.to);
        if clause.from < self.taken_to || label {
            return;
        }
        if self.tells_when(index) {
            return;
        }
        if self.pending_in.is_some_and(|sentence| sentence != clause.sentence) {
            (self.pending, self.pending_in) = (Gist::default(), None);
        }
        if self.is_not_in_yet(clause) {
            return;
        }
        if self.goes_on_from(index) || share::is_of_liquid(scene, index) && self.just(FactKind::Drained) {
            return;
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
        if gone::open(self, index) || inventory::open(self, index) {
            return;
        }
        if supply::is_none(self, clause, gist) {
            let event = self.begin(FactKind::StarterStock, index);
            self.events[event].slots.g = Some(0.0);
            self.events[event].count = None;
            return;
        }
        if self.blocked(clause, gist) {
            self.current = None;
            self.set_aside = true;
            // `I stuck the thermometer in green, 33 degrees`
            if told::handles_thermometer(&scene.text, clause, gist) && clause.stance.asserted() {
                self.pending.bins.clone_from(&gist.bins);
                self.pending_in = Some(clause.sentence);
            }
            return;
        }
        if self.dates_what_was_told(index) || self.dates_all(index) {
            return;
        }
        let opened = open::open(self, index);
        if !opened {
            self.attach(index);
        }
    }

    /// Whether a clause leaves out what the one before it said: parts of a whole, as much again, another bin.
    fn goes_on_from(&mut self, index: usize) -> bool {
        let clause = &self.scene.clauses[index];
        let plain = !clause.asks && !clause.stance.negated && !clause.stance.planned;
        if plain && portion::take(self, index) {
            return true;
        }
        let Some(current) = self.current else { return false };
        self.all_of_one_sort(index)
            || self.as_much_again(index, current)
            || self.gone_elsewhere(index, current)
            || self.counted_in(index, current)
            || self.fed_too(index, current)
            || self.is_poured_out(index, current)
            || gapped::take(self, index)
    }

    /// `3 litres of scraps here, not in the bin yet`: they were not put in.
    fn is_not_in_yet(&mut self, clause: &Clause) -> bool {
        let text = &self.scene.text;
        let not_in = text.has(clause.from, Mark::Not) && text.has(clause.from + 1, Mark::In);
        let yet = (clause.from..clause.to).any(|at| text.has(at, Mark::Yet));
        let waits = self.just(FactKind::Scraps) && self.goes_on(clause) && clause.verb.is_none();
        if !(not_in && yet && waits) {
            return false;
        }
        if let Some(current) = self.current.take() {
            self.events.remove(current);
        }
        self.set_aside = true;
        true
    }

    /// Whether the clause stands in the sentence of the event told last.
    pub(crate) fn goes_on(&self, clause: &Clause) -> bool {
        self.current.is_some_and(|at| self.events[at].sentence == clause.sentence)
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
        let which = clause.from > 0 && self.scene.text.has(clause.from - 1, Mark::Which);
        if clause.joint == Joint::And && !which && !self.pending.bins.is_empty() && !event.bins.is_empty() {
            // `salt and pepper are half full`
            let mut bins: Vec<_> =
                std::mem::take(&mut self.pending.bins).into_iter().map(|(bin, _)| bin).collect();
            bins.append(&mut event.bins);
            event.bins = bins;
        } else if event.bins.is_empty() && event.lots.iter().all(|lot| lot.bins.is_empty()) {
            event.bins = std::mem::take(&mut self.pending.bins).into_iter().map(|(bin, _)| bin).collect();
            event.trade |= !event.bins.is_empty();
        }
        if event.bins.is_empty() && event.lots.is_empty() {
            event.bins.extend(self.subject_before(kind, index));
        }
        event.heading.clone_from(&self.heading);
        event.under.clone_from(&self.under);
        let before = std::mem::take(&mut self.pending.whens).into_iter().map(|(when, _)| when);
        event.whens.splice(0..0, before);
        if event.plots.is_empty() {
            event.plots = std::mem::take(&mut self.pending.plots).into_iter().map(|(plot, _)| plot).collect();
        }
        self.scene.note(rule_of(kind), clause.from, clause.to);
        self.events.push(event);
        self.current = Some(self.events.len() - 1);
        self.events.len() - 1
    }

    /// `green is full and smells of alcohol, blue is empty`: what is said without a subject is of the bin before.
    fn subject_before(&self, kind: FactKind, index: usize) -> Option<BinRef> {
        let (clause, text) = (&self.scene.clauses[index], &self.scene.text);
        let bare = text.is_act(clause.from, Act::Smell) || text.has_any(clause.from, &[Mark::Be, Mark::Have]);
        let state = matches!(kind, FactKind::Checked | FactKind::Level);
        let before = self.current.map(|at| &self.events[at])?;
        let goes_on = clause.joint == Joint::And && before.sentence == clause.sentence;
        match &before.all_bins()[..] {
            [bin] if state && bare && goes_on => Some(bin.clone()),
            _ => None,
        }
    }

    /// Whether an event without a bin stands right behind one that has it: `threw the green batch out, black mould right through`.
    fn follows_a_bin(&self, at: usize) -> bool {
        let sentence = self.events[at].sentence;
        self.events[..at].iter().any(|before| before.sentence == sentence && before.names_bin())
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
            // `looked at green and blue, green smells sour`
            let looked = self.events[at].bins.len() > 1
                && own_bin.is_some()
                && self.events[at].slots == Slots::default();
            let of_it = own_bin.is_none()
                || known == own_bin
                || (known.is_none() && self.events[at].clauses.1 + 1 >= index && !self.follows_a_bin(at));
            if of_it && !looked {
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
}

/// Later symptoms add to earlier ones.
pub(crate) fn merge(known: &mut Slots, new: &Slots) {
    known.smell = known.smell.or(new.smell);
    // `it's gone mouldy, blue patches`
    known.mould = known.mould.filter(|mould| *mould != Mould::Other).or(new.mould).or(known.mould);
    known.moisture = known.moisture.or(new.moisture);
    // `no rats, but there are ants`
    known.pests = match (known.pests, new.pests) {
        (Some(known), Some(new)) => Some(known || new),
        (known, new) => known.or(new),
    };
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
