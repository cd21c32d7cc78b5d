//! Where what was let out went, told apart from it.

use crate::clause::{BinRef, Lot};
use crate::lexicon::{Act, Cue, Mark};
use crate::name::NameKind;
use crate::reading::{FactKind, Use};
use crate::scene::Scene;

use crate::fact::Event;

/// `both on the roses`, `all of it down the sink`: where every drain told before went.
pub(super) fn uses(scene: &Scene<'_>, events: &mut Vec<Event>) {
    by_bin(scene, events);
    let text = &scene.text;
    let all = |at: usize| {
        text.has_any(at, &[Mark::All, Mark::Each])
            || text.is(at, Cue::EachAll)
            || text.is(at, Cue::WholeLot) && text.has(at.wrapping_sub(1), Mark::The)
    };
    for (index, clause) in scene.clauses.iter().enumerate() {
        let Some(use_) = scene.gists[index].use_ else { continue };
        if clause.asks || !(clause.from..clause.to).any(all) {
            continue;
        }
        let before = |event: &&mut Event| event.kind == FactKind::Drained && event.clauses.0 <= index;
        events.iter_mut().filter(before).for_each(|event| event.use_ = event.use_.or(Some(use_)));
    }
}

/// `drained green and blue, green onto the roses, blue down the sink`: where the liquid of one of them went; `that one to the
/// sink`: that of the last; `same place`: where that before it went.
fn by_bin(scene: &Scene<'_>, events: &mut Vec<Event>) {
    for (index, clause) in scene.clauses.iter().enumerate() {
        let gist = &scene.gists[index];
        let text = &scene.text;
        // `that to the sink`, `that one to the sink`, `which went to the sink`
        let that = text.is(clause.from, Cue::ThatEntry) || text.has(clause.from, Mark::It);
        let last = that || text.has(clause.from, Mark::Which);
        if !gist.lots.is_empty()
            || gist.count.is_some()
            || clause.asks
            || events.iter().any(|event| event.clauses.0 == index)
        {
            continue;
        }
        if (clause.from..clause.to).any(|at| text.is(at, Cue::Same) && text.is(at + 1, Cue::SamePlace)) {
            same_place(events, index);
            continue;
        }
        let Some(use_) = use_in(scene, index) else { continue };
        match &gist.bins[..] {
            [(bin, _)] => {
                let near = |event: &Event| event.sentence + 1 >= clause.sentence && event.clauses.0 <= index;
                let drains = |event: &Event| event.kind == FactKind::Drained && near(event);
                let told = events.iter().rposition(|event| drains(event) && event.names(bin));
                if let Some(at) = told {
                    let own = own_event(events, at, bin);
                    events[own].use_ = Some(use_);
                }
            }
            [] if last => {
                let told = events.iter().rposition(|event| {
                    event.kind == FactKind::Drained
                        && event.sentence + 1 >= clause.sentence
                        && event.lots.len() > 1
                        && event.clauses.0 < index
                });
                if let Some(event) = told.map(|at| &mut events[at])
                    && let Some(last) = event.lots.pop()
                {
                    let own = Event { lots: vec![last], use_: Some(use_), ..event.clone() };
                    events.push(own);
                }
            }
            _ => {}
        }
    }
}

/// Where a clause says that liquid went: to a plot, too, where it is the liquid of a bin: `green's went on the herb bed`.
fn use_in(scene: &Scene<'_>, index: usize) -> Option<Use> {
    let gist = &scene.gists[index];
    gist.use_.or((!gist.plots.is_empty() && is_of_liquid(scene, index)).then_some(Use::Plants))
}

/// `green's went on the herb bed`, `green's down the sink`: what came out of it, and not the bin.
pub(in crate::fact) fn is_of_liquid(scene: &Scene<'_>, index: usize) -> bool {
    let (text, clause) = (&scene.text, &scene.clauses[index]);
    let whose = (clause.from..clause.to)
        .find(|at| text.name(*at, NameKind::Bin).is_some() && text.is(at + 1, Cue::TailS));
    let Some(next) = whose.map(|at| at + 2) else { return false };
    let went = text.is_act(next, Act::Go) && next < clause.to;
    went || text.is(next, Cue::Toward) || text.has(next, Mark::In)
}

/// The drain before goes for this one, too.
fn same_place(events: &mut [Event], index: usize) {
    let drains = |event: &Event| event.kind == FactKind::Drained && event.clauses.0 <= index;
    let Some(at) = events.iter().rposition(|event| drains(event) && event.use_.is_none()) else { return };
    let use_ = events[..at].iter().rev().find(|event| drains(event)).and_then(|event| event.use_);
    events[at].use_ = use_;
}

/// The place of the event that is of this bin alone; it is made where several bins share one.
fn own_event(events: &mut Vec<Event>, at: usize, bin: &BinRef) -> usize {
    let event = &mut events[at];
    if event.all_bins().iter().all(|known| known == bin) {
        return at;
    }
    let mut own = Event { bins: Vec::new(), lots: Vec::new(), ..event.clone() };
    if event.bins.contains(bin) {
        event.bins.retain(|known| known != bin);
        own.bins = vec![bin.clone()];
        own.lots = event.lots.iter().filter(|lot| lot.bins.is_empty()).cloned().collect();
    }
    for lot in event.lots.iter_mut().filter(|lot| lot.bins.contains(bin)) {
        lot.bins.retain(|known| known != bin);
        own.lots.push(Lot { bins: vec![bin.clone()], ..lot.clone() });
    }
    let taken = |lot: &Lot| own.lots.iter().any(|other| other.at == lot.at && !other.bins.is_empty());
    event.lots.retain(|lot| !(lot.bins.is_empty() && taken(lot)));
    events.push(own);
    events.len() - 1
}
