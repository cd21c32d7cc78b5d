//! Where what was let out went, told apart from it.

use crate::lexicon::{Cue, Mark};
use crate::reading::FactKind;
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

/// `drained green and blue, green onto the roses, blue down the sink`: where the liquid of one of them went.
fn by_bin(scene: &Scene<'_>, events: &mut Vec<Event>) {
    for (index, clause) in scene.clauses.iter().enumerate() {
        let gist = &scene.gists[index];
        let ([(bin, _)], Some(use_)) = (&gist.bins[..], gist.use_) else { continue };
        let drains = |event: &Event| event.kind == FactKind::Drained && event.sentence == clause.sentence;
        let measured = !gist.lots.is_empty() || gist.count.is_some();
        if measured || clause.asks || events.iter().any(|event| event.clauses.0 == index) {
            continue;
        }
        let told = events.iter().rposition(|event| drains(event) && event.names(bin));
        let Some(event) = told.map(|at| &mut events[at]) else { continue };
        if event.bins.len() > 1 && event.lots.is_empty() {
            event.bins.retain(|known| known != bin);
            let own = Event { bins: vec![bin.clone()], use_: Some(use_), ..event.clone() };
            events.push(own);
        } else if event.bins.len() + event.lots.len() <= 2 {
            event.use_ = Some(use_);
        }
    }
}
