//! What is next for a bin, and when: in words, and as a band of days.

use branbell_scheduler::quantity::ferment::spoilt_by;
use branbell_scheduler::quantity::fill::FILL_LINE;
use branbell_scheduler::report::BinReport;
use branbell_scheduler::state::Phase;
use chrono::{DateTime, Utc};

use super::Scene;
use crate::dialogue::wording::WIDEST_SPAN;
use crate::say;

/// The days in which something will be so, with the likeliest.
#[derive(Clone, Copy, Debug)]
pub(super) struct Band {
    pub(super) early: DateTime<Utc>,
    pub(super) at: DateTime<Utc>,
    pub(super) late: DateTime<Utc>,
}

impl Band {
    fn of(
        early: Option<DateTime<Utc>>,
        at: Option<DateTime<Utc>>,
        late: Option<DateTime<Utc>>,
    ) -> Option<Self> {
        Some(Self { early: early?, at: at?, late: late? })
    }
}

impl Scene<'_> {
    /// What is next for a bin. A band that is too wide to be of use is not shown.
    pub(super) fn next(&self, bin: &BinReport) -> (String, Option<Band>) {
        let word = |id| (self.voice.word(id), None);
        let is_bad = self.room.bin(&bin.bin).and_then(|bin| spoilt_by(bin.batch.as_ref()?)).is_some();
        let (id, band) = match bin.phase {
            Phase::Empty => return word("picture-empty"),
            Phase::Discarded => return word("picture-discarded"),
            _ if is_bad => return word("picture-bad"),
            Phase::Ready => return word("picture-ready-now"),
            Phase::Sealed => ("picture-ready", Band::of(bin.ready_early, bin.ready_at, bin.ready_late)),
            Phase::Filling if bin.capacity_ml.is_none() => return word("picture-size-please"),
            Phase::Filling if bin.fraction.is_some_and(|fraction| fraction.get() >= FILL_LINE.value) => {
                return word("picture-full-now");
            }
            Phase::Filling => {
                let band = Band::of(bin.full_early, bin.full_at, bin.full_late);
                ("picture-full", band.filter(|band| band.late - band.early <= WIDEST_SPAN))
            }
        };
        let Some(band) = band else { return word("picture-full-unknown") };
        let (day, span) = (self.calendar.day(band.at), self.calendar.span(band.early, band.late));
        (say!(self.voice, id, day = day, span = span).plain(), Some(band))
    }
}
