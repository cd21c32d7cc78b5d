//! The facts in the order in which they are placed, and which of them hold.

use std::collections::HashSet;
use std::sync::Arc;

use crate::fact::{Fact, What};

/// The facts of a room, ordered by the moment they speak of, then by their place in the log.
#[derive(Clone, Debug, Default)]
pub(super) struct Log {
    facts: Vec<Arc<Fact>>,
    voids: Vec<Arc<Fact>>,
    voided: HashSet<i64>,
}

impl Log {
    /// The log of these facts.
    pub(super) fn of(facts: impl Iterator<Item = Fact>) -> Self {
        let (voids, mut facts): (Vec<_>, Vec<_>) =
            facts.map(Arc::new).partition(|fact| matches!(fact.what, What::Void { .. }));
        facts.sort_by_key(|fact| (fact.at, fact.seq));
        let mut log = Self { facts, voids, voided: HashSet::new() };
        log.settle_voids();
        log
    }

    /// Takes a further fact in. Gives it back where it only has to be added at the end; otherwise what holds, or its
    /// order, has changed before the end.
    pub(super) fn take(&mut self, fact: &Fact) -> Option<Arc<Fact>> {
        let fact = Arc::new(fact.clone());
        if matches!(fact.what, What::Void { .. }) {
            self.voids.push(fact);
            self.settle_voids();
            return None;
        }
        let key = (fact.at, fact.seq);
        let place = self.facts.partition_point(|other| (other.at, other.seq) <= key);
        let at_the_end = place == self.facts.len();
        let holds = !self.voided.contains(&fact.seq);
        self.facts.insert(place, Arc::clone(&fact));
        (at_the_end && holds).then_some(fact)
    }

    /// The facts that hold, in order.
    pub(super) fn holding(&self) -> impl DoubleEndedIterator<Item = &Fact> {
        self.facts.iter().map(Arc::as_ref).filter(|fact| !self.voided.contains(&fact.seq))
    }

    /// A void holds unless a later one voids it, so the latest is settled first.
    fn settle_voids(&mut self) {
        self.voids.sort_by_key(|fact| fact.seq);
        self.voided.clear();
        for void in self.voids.iter().rev() {
            if let What::Void { seqs } = &void.what
                && !self.voided.contains(&void.seq)
            {
                self.voided.extend(seqs.iter().filter(|seq| **seq < void.seq));
            }
        }
    }
}
