//! `starter`: bran runs low, and a new lot takes weeks.

use chrono::{DateTime, Utc};

use super::{Nudge, NudgeKey, NudgeKind, Numbers};
use crate::quantity::starter::{self, Outlook};
use crate::state::Room;
use crate::units::{Days, Grams};

/// Due when the stock, with what ferments, falls to the reorder point.
pub(super) fn nudge(room: &Room, now: DateTime<Utc>) -> Option<Nudge> {
    let as_of = room.as_of?;
    let due = as_of + until_reorder(&starter::outlook(room, as_of)?)?.span();
    let outlook = starter::outlook(room, now.max(as_of))?;
    let (out, make) = (outlook.out?, outlook.make?.value);
    let recipe = starter::recipe(make);
    let numbers = Numbers::Starter {
        stock_g: outlook.stock.value,
        out_at: out.at,
        out_early: out.early,
        out_late: out.late,
        make_g: make,
        inoculant_ml: recipe.inoculant,
        molasses_ml: recipe.molasses,
        water_ml: recipe.water.value,
    };
    Some(Nudge {
        key: NudgeKey(format!("{}/{}", NudgeKind::Starter, room.starter.supplies)),
        kind: NudgeKind::Starter,
        subject: None,
        due,
        numbers,
    })
}

/// How long until the stock, with what ferments, falls to the reorder point; nothing where it has.
fn until_reorder(outlook: &Outlook) -> Option<Days> {
    let brewing: Grams = outlook.brewing.iter().map(|brew| brew.mass).sum();
    let spare = (outlook.stock.value + brewing).less(outlook.reorder_at.as_ref()?.value);
    Some(Days(spare.get() / outlook.per_day.as_ref()?.value.get()))
}
