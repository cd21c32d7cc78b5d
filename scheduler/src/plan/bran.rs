//! `bran`: a lot went in and its bran was not told.

use chrono::TimeDelta;

use super::{Nudge, NudgeKind, Numbers};
use crate::quantity::{bran, ferment};
use crate::state::{Bin, Room};
use crate::units::{Millilitres, sane};

/// Bran goes on with the lot; after two hours it was forgotten, or not told.
const PATIENCE: TimeDelta = TimeDelta::hours(2);
/// Less than two tablespoons were said when the lot was told; to say it again would nag.
const WORTH_IT: Millilitres = Millilitres(30.0);

/// Due two hours after the last lot, or after it was told, while bran is owed; once a day and per layer of bran told.
pub(super) fn nudge(room: &Room, bin: &Bin) -> Option<Nudge> {
    let batch = bin.filling()?;
    let last = batch.lots.last()?;
    let owed = bran::owed(room, batch).value;
    // Bran that was told with the lot was not forgotten, though it was less than is customary; and a batch that is lost
    // wants none.
    let is_told = batch.brans.last().is_some_and(|layer| layer.at >= last.at);
    if owed < WORTH_IT || is_told || ferment::is_lost(batch) {
        return None;
    }
    let day = last.at.with_timezone(&room.zone).date_naive();
    let cycle = format!("{}/{day}", batch.brans.len());
    // What was told hours later was confirmed then, with its bran.
    let told = room.fact(last.seq).map_or(last.at, |fact| sane(fact.told).max(last.at));
    Some(Nudge::of_bin(NudgeKind::Bran, bin, &cycle, told + PATIENCE, Numbers::Bran { bran_ml: owed }))
}
