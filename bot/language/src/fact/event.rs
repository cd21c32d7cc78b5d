//! Events: facts in the making.

use crate::clause::{BinRef, Lot, Piece, PieceKind};
use crate::reading::{FactKind, Slots, Use};
use crate::scene::Scene;
use crate::time::When;

use super::portion::{Portion, Target};

/// Something told, collected from one or more clauses.
#[expect(clippy::struct_excessive_bools, reason = "independent observations of the clauses")]
#[derive(Debug, Clone)]
pub(crate) struct Event {
    pub(crate) kind: FactKind,
    pub(crate) lots: Vec<Lot>,
    pub(crate) bins: Vec<BinRef>,
    pub(crate) plots: Vec<usize>,
    pub(crate) whens: Vec<When>,
    /// Times of the heading that it stands under.
    pub(crate) heading: Vec<When>,
    /// The bin of the heading that it stands under.
    pub(crate) under: Option<BinRef>,
    pub(crate) use_: Option<Use>,
    /// Slots that need no more work: what was seen, names, values.
    pub(crate) slots: Slots,
    /// `some`: an amount was meant and not told.
    pub(crate) vague: bool,
    /// Parts of its amount with where each went.
    pub(crate) portions: Vec<(Portion, Target)>,
    /// A number without its unit.
    pub(crate) count: Option<f64>,
    pub(crate) sentence: usize,
    /// First and last clause.
    pub(crate) clauses: (usize, usize),
    /// A temperature taken somewhere else than in a bin.
    pub(crate) elsewhere: bool,
    /// Told with a verb, not by an amount alone.
    pub(crate) verbal: bool,
    /// It names something of this trade: a bin, bran, scraps.
    pub(crate) trade: bool,
}

impl Event {
    pub(crate) fn new(kind: FactKind, clause: usize, sentence: usize) -> Self {
        Self {
            kind,
            lots: Vec::new(),
            bins: Vec::new(),
            plots: Vec::new(),
            whens: Vec::new(),
            heading: Vec::new(),
            under: None,
            use_: None,
            slots: Slots::default(),
            vague: false,
            portions: Vec::new(),
            count: None,
            sentence,
            clauses: (clause, clause),
            elsewhere: false,
            verbal: false,
            trade: false,
        }
    }

    /// Where its number stands that has no unit.
    pub(crate) fn count_piece(&self, scene: &Scene<'_>) -> Option<Piece> {
        let (from, to) = (scene.clauses[self.clauses.0].from, scene.clauses[self.clauses.1].to);
        let is_it = |piece: &&Piece| {
            piece.from >= from && piece.to <= to && matches!(piece.kind, PieceKind::Count(_))
        };
        scene.pieces.iter().find(is_it).copied()
    }

    /// Whether it names a bin.
    pub(crate) fn names_bin(&self) -> bool {
        let part = |(_, target): &(Portion, Target)| matches!(target, Target::Bin(_));
        !self.bins.is_empty()
            || self.lots.iter().any(|lot| !lot.bins.is_empty())
            || self.portions.iter().any(part)
    }

    /// The bins that it names, of whatever part of it.
    pub(crate) fn all_bins(&self) -> Vec<BinRef> {
        self.bins.iter().chain(self.lots.iter().flat_map(|lot| &lot.bins)).cloned().collect()
    }

    /// Whether it names that bin.
    pub(crate) fn names(&self, bin: &BinRef) -> bool {
        self.bins.contains(bin) || self.lots.iter().any(|lot| lot.bins.contains(bin))
    }

    /// Whether amounts are its point.
    pub(crate) fn counts(&self) -> bool {
        matches!(
            self.kind,
            FactKind::Scraps
                | FactKind::Bran
                | FactKind::Drained
                | FactKind::StarterMade
                | FactKind::StarterBought
                | FactKind::StarterStock
        )
    }
}
