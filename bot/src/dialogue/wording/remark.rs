//! Remarks that nobody asked for.

use branbell_scheduler::hints::Hint;
use branbell_scheduler::quantity::{ferment, nitrogen};
use branbell_scheduler::state::Room;
use branbell_scheduler::units::GramsPerSquareMetre;
use chrono::{DateTime, Utc};

use super::{Speaker, capital};
use crate::say;
use crate::voice::{Text, Voice};

/// A remark that a nudge brings along, in words.
pub fn remark(voice: &Voice, room: &Room, hint: &Hint, now: DateTime<Utc>) -> Text {
    Speaker::new(voice, room, now).remark(hint)
}

impl Speaker<'_> {
    /// A remark, in a sentence or two.
    pub(super) fn remark(&self, hint: &Hint) -> Text {
        let (voice, measures) = (self.voice, self.measures);
        match hint {
            Hint::TooCold { bin, temperature } => say!(
                voice,
                "hint-too-cold",
                bin = bin,
                temperature = measures.temperature(*temperature),
                cold = measures.temperature(ferment::TOO_COLD),
            ),
            Hint::FillingLong { bin, days } => {
                say!(voice, "hint-filling-long", bin = capital(bin), days = self.days(*days))
            }
            Hint::NoTap { bin } => say!(voice, "hint-no-tap", bin = capital(bin)),
            Hint::NoSpareBin { free_at: None, .. } => say!(voice, "hint-no-spare"),
            Hint::NoSpareBin { free_at: Some(free_at), .. } => {
                say!(voice, "hint-no-spare-until", day = self.calendar.day(*free_at))
            }
            Hint::PlotHasEnough { plot, load } => say!(
                voice,
                "hint-plot-enough",
                plot = capital(plot),
                load = measures.load(*load),
                yardstick = measures.load(GramsPerSquareMetre(nitrogen::YARDSTICK.value)),
            ),
        }
    }
}
