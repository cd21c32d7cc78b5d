//! The facts in the order in which they are placed, and which of them hold.

use std::collections::HashSet;
use std::sync::Arc;

use crate::fact::{Fact, What};
use crate::growing::Growing;

/// The facts of a room, ordered by the moment they speak of, then by their place in the log.
#[derive(Clone, Debug, Default)]
pub(super) struct Log {
    facts: Growing<Arc<Fact>>,
    voids: Vec<Arc<Fact>>,
    voided: HashSet<i64>,
}

impl Log {
    /// The log of these facts.
    pub(super) fn of(facts: impl Iterator<Item = Fact>) -> Self {
        let (voids, mut facts): (Vec<_>, Vec<_>) =
            facts.map(Arc::new).partition(|fact| matches!(fact.what, What::Void { .. }));
        facts.sort_by_key(|fact| (fact.at, fact.seq));
        let mut log = Self { facts: facts.into_iter().collect(), voids, voided: HashSet::new() };
        log.settle_voids();
        log
    }

    /// Takes a further fact in. Gives the place from which what holds, or its order, has changed.
    pub(super) fn take(&mut self, fact: &Fact) -> usize {
        let fact = Arc::new(fact.clone());
        if matches!(fact.what, What::Void { .. }) {
            let before = self.voided.clone();
            self.voids.push(fact);
            self.settle_voids();
            return self.first_of(self.voided.symmetric_difference(&before).copied().collect());
        }
        let key = (fact.at, fact.seq);
        let is_before = |other: &Arc<Fact>| (other.at, other.seq) <= key;
        // Mostly it is the latest; to search for its place would touch facts all over the log.
        let is_latest = self.facts.last().is_none_or(is_before);
        let place = if is_latest { self.facts.len() } else { self.facts.partition_point(is_before) };
        self.facts.insert(place, fact);
        place
    }

    /// How many facts there are, those that do not hold included.
    pub(super) fn len(&self) -> usize {
        self.facts.len()
    }

    /// The facts that hold, in order.
    pub(super) fn holding(&self) -> impl DoubleEndedIterator<Item = &Fact> {
        self.facts.iter().map(Arc::as_ref).filter(|fact| self.holds(fact))
    }

    /// The fact at a place, where it holds.
    pub(super) fn at(&self, place: usize) -> Option<&Arc<Fact>> {
        self.facts.get(place).filter(|fact| self.holds(fact))
    }

    fn holds(&self, fact: &Fact) -> bool {
        !self.voided.contains(&fact.seq)
    }

    /// The place of the first of these facts; the end where there is none. Those that change are mostly the latest.
    fn first_of(&self, mut seqs: HashSet<i64>) -> usize {
        let mut first = self.facts.len();
        for (place, fact) in (0..first).rev().zip(self.facts.iter().rev()) {
            if seqs.is_empty() {
                break;
            }
            if seqs.remove(&fact.seq) {
                first = place;
            }
        }
        first
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
