//! Clauses: which words belong together, and whether they assert, ask, plan, deny or pass on.

mod all;
mod asking;
mod at_hand;
mod bin;
mod destination;
mod gist;
mod groups;
mod in_place;
mod indirect;
mod piece;
mod split;
mod stance;
mod stuff;
mod verb;

pub(crate) use asking::{is_label, leans_back, opens_question};
pub(crate) use bin::bin_at;
pub(crate) use destination::{destination, fed_after_drain};
pub(crate) use gist::{BinRef, Gist, Lot, gist, of_it};
pub(crate) use groups::{in_the_same_unit, into_groups};
pub(crate) use indirect::{asked_indirectly, is_question_word};
pub(crate) use piece::{Piece, PieceKind, counts_nothing, pieces};
pub(crate) use split::split;
pub(crate) use stance::{Stance, Subject};
pub(crate) use stuff::is_told_beside;
pub(crate) use verb::Verb;

/// How a clause is joined to the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Joint {
    Sentence,
    Pause,
    And,
    But,
    /// A second verb without any word or sign between.
    None,
}

/// A stretch of a message with at most one verb of the trade.
#[derive(Debug, Clone)]
pub(crate) struct Clause {
    /// Tokens, without the joint.
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) joint: Joint,
    /// Which sentence it is in.
    pub(crate) sentence: usize,
    pub(crate) verb: Option<Verb>,
    pub(crate) stance: Stance,
    /// It opens a question.
    pub(crate) asks: bool,
}
