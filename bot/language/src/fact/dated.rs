//! Clauses that tell nothing but when: `both this morning`, `I put yesterday evening`, `when I emptied the caddy`.

use crate::clause::{Joint, PieceKind};
use crate::lexicon::{Act, Cue, Mark};
use crate::reading::FactKind;
use crate::time::When;

use super::{Builder, Event};

impl Builder<'_, '_> {
    /// `green 3 kg of peel, blue 1 kg of tea leaves, I put yesterday evening`: when all of that was.
    pub(super) fn dates_what_was_told(&mut self, index: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let adds = clause.verb.is_some_and(|verb| verb.act == Act::Add);
        let bare = gist.bins.is_empty() && gist.lots.is_empty() && gist.count.is_none();
        let dated = self.scene.pieces.iter().filter(|piece| matches!(piece.kind, PieceKind::When(_)));
        let dated: Vec<_> = dated.map(|piece| piece.from..piece.to).collect();
        let plain = |at: usize| {
            text.verb(at).is_some()
                || text.has_any(at, &[Mark::I, Mark::It, Mark::All, Mark::And])
                || text.is(at, Cue::BothBins)
                || text.is(at, Cue::Them)
                || at + 1 == clause.to && text.has(at, Mark::In)
                || text.has(at, Mark::In) && text.time(at + 1).is_some()
                || dated.iter().any(|time| time.contains(&at))
        };
        // `2 mugs of tea leaves, 1 tbsp bran also put`
        let done = clause.to == clause.from + 1 && clause.joint == Joint::And;
        let of_it =
            done || (clause.from..clause.to).any(|at| text.has(at, Mark::It) || text.is(at, Cue::Them));
        let only = adds && bare && (of_it || !gist.whens.is_empty()) && (clause.from..clause.to).all(plain);
        let put_in = |event: &Event| matches!(event.kind, FactKind::Scraps | FactKind::Bran);
        let dated_only = !gist.whens.is_empty();
        let told = self.events.iter_mut().filter(|event| {
            event.sentence == clause.sentence && event.counts() && (dated_only || put_in(event))
        });
        let whens: Vec<When> = gist.whens.iter().map(|(when, _)| *when).collect();
        let mut found = false;
        for event in told.filter(|_| only) {
            found = true;
            if event.whens.is_empty() {
                event.whens.clone_from(&whens);
            }
        }
        found
    }

    /// `green: sealed. blue: started. both this morning`: when all was that is told without a time.
    pub(super) fn dates_all(&mut self, index: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let all = text.is(clause.from, Cue::EachAll);
        let dated = |at: usize| {
            self.scene
                .pieces
                .iter()
                .any(|piece| (piece.from..piece.to).contains(&at) && matches!(piece.kind, PieceKind::When(_)))
        };
        if !all || gist.whens.is_empty() || !(clause.from + 1..clause.to).all(dated) {
            return false;
        }
        let whens: Vec<When> = gist.whens.iter().map(|(when, _)| *when).collect();
        let undated = self.events.iter_mut().filter(|event| event.whens.is_empty());
        undated.for_each(|event| event.whens.clone_from(&whens));
        true
    }

    /// `drained green when I emptied the caddy`: when it was, and nothing that was put in.
    pub(super) fn tells_when(&self, index: usize) -> bool {
        let (clause, gist, text) = (&self.scene.clauses[index], &self.scene.gists[index], &self.scene.text);
        let follows = index > 0 && self.scene.clauses[index - 1].sentence == clause.sentence;
        let led = (clause.from.saturating_sub(2)..=clause.from).any(|at| text.has(at, Mark::When));
        let [lot] = &gist.lots[..] else { return false };
        let vessel = lot.amount.is_some_and(|amount| amount.vessel && amount.definite);
        follows && led && vessel && lot.foods.is_empty() && gist.bins.is_empty() && lot.bins.is_empty()
    }
}
