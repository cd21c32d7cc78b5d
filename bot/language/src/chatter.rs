//! A room of people: only what plainly is a report of work on the bins is taken.

use crate::fact::Told;
use crate::scene::Scene;

/// Drops what the room says to itself.
pub(crate) fn keep_plain_reports(_scene: &Scene<'_>, told: &mut Told) {
    told.unclear = None;
}
