//! Nudges: each stands alone, without the conversation.

use branbell_scheduler::hints;
use branbell_scheduler::plan::{Nudge, Numbers, Subject, due_work};
use branbell_scheduler::quantity::{acid, bran, bury, ferment};
use branbell_scheduler::state::{Person, Phase, Room};
use branbell_scheduler::units::{Centimetres, Grams, Millilitres};
use chrono::{DateTime, Utc};

use super::inquiry::shown;
use super::{Speaker, WIDEST_SPAN, capital};
use crate::say;
use crate::voice::{Text, Voice, about_percent};

/// A nudge in words; in a shared room it begins with the name of the one whose turn it is.
pub fn nudge(voice: &Voice, room: &Room, nudge: &Nudge, turn: Option<&Person>, now: DateTime<Utc>) -> Text {
    let text = Speaker::new(voice, room, now).nudge(nudge);
    turn.map_or_else(|| text.clone(), |person| say!(voice, "nudge-turn", name = &person.name).then(&text))
}

impl Speaker<'_> {
    pub(super) fn nudge(&self, nudge: &Nudge) -> Text {
        let name = match &nudge.subject {
            Some(Subject::Bin(name) | Subject::Plot(name)) => name.as_str(),
            None => "",
        };
        let (voice, measures, subject) = (self.voice, self.measures, capital(name));
        match &nudge.numbers {
            Numbers::Drain { liquid_ml, liquid_ml_low, liquid_ml_high, water_ml } => say!(
                voice,
                "nudge-drain",
                bin = name,
                liquid = measures.about_volume(*liquid_ml),
                span = measures.volume_span(*liquid_ml_low, *liquid_ml_high),
                water = measures.about_volume(*water_ml),
            ),
            Numbers::Bran { bran_ml } => {
                say!(voice, "nudge-bran", bin = subject, bran = measures.bran(*bran_ml))
            }
            Numbers::Full { full_at, full_early, full_late } => {
                self.will_be_full(name, *full_at, *full_early, *full_late)
            }
            Numbers::Seal { bran_ml, .. } => {
                say!(voice, "nudge-seal", bin = subject, bran = measures.bran(*bran_ml))
            }
            Numbers::Check { .. } if self.is_lost(name) => say!(voice, "nudge-check-lost", bin = name),
            Numbers::Check { progress } => {
                say!(voice, "nudge-check", bin = name, percent = about_percent(*progress))
            }
            Numbers::Bury { .. } if self.is_lost(name) => self.burying_lost(name).unwrap_or_default(),
            Numbers::Bury {
                fermented_ml,
                soil_ml,
                trench_length_cm,
                trench_width_cm,
                trench_depth_cm,
                nitrogen_g,
                ..
            } => {
                let trench = say!(
                    voice,
                    "nudge-bury",
                    bin = subject,
                    fermented = measures.about_volume(*fermented_ml),
                    soil = measures.about_volume(*soil_ml),
                    depth = measures.length(*trench_depth_cm),
                    width = measures.length(*trench_width_cm),
                    length = measures.length(*trench_length_cm),
                    cover = measures.length(Centimetres(bury::COVER.value)),
                );
                trench.then(&self.best_plot(*nitrogen_g)).then(&say!(voice, "nudge-bury-care"))
            }
            Numbers::Plant { ph: Some(ph), .. } => {
                let [low, high] = [acid::SOIL.low, acid::SOIL.high].map(|ph| ph.to_string());
                let id = if acid::is_sour_soil(*ph) { "nudge-plant-sour" } else { "nudge-plant-strip" };
                say!(voice, id, plot = name, ph = shown(*ph), low = low, high = high)
            }
            Numbers::Plant { rested_days, .. } => {
                say!(voice, "nudge-plant", plot = subject, rested = self.days(*rested_days))
            }
            Numbers::Starter {
                out_at,
                out_early,
                out_late,
                make_g,
                inoculant_ml,
                molasses_ml,
                water_ml,
                ..
            } => {
                let liquids = *inoculant_ml + *molasses_ml + *water_ml;
                // A late end far off says nothing that helps.
                let id = if *out_late - *out_early > WIDEST_SPAN {
                    "nudge-starter-early"
                } else {
                    "nudge-starter"
                };
                let head = say!(
                    voice,
                    id,
                    day = self.calendar.day(*out_at),
                    early = self.calendar.day(*out_early),
                    span = self.calendar.span(*out_early, *out_late),
                    bran = measures.mass(*make_g),
                );
                head.then(&say!(
                    voice,
                    "nudge-starter-recipe",
                    liquids = measures.volume(liquids),
                    inoculant = measures.volume(*inoculant_ml),
                    molasses = measures.volume(*molasses_ml),
                ))
            }
            Numbers::Idle { days } => {
                // Who is away in a shared room is away alone: the room goes on.
                let id = if self.room.direct { "nudge-idle" } else { "nudge-idle-shared" };
                say!(voice, id, days = self.days(*days))
            }
            Numbers::Digest { kept_out_g, scraps_ml, drained_ml } => {
                self.week(*kept_out_g, *scraps_ml, *drained_ml).then(&self.still_open())
            }
        }
    }

    /// Whether the bin's batch must not be used: what the last check found, a lid that was closed since does not make good.
    pub(super) fn is_lost(&self, bin: &str) -> bool {
        self.room.bin(bin).and_then(|bin| bin.batch.as_ref()).and_then(ferment::spoilt_by).is_some()
    }

    /// What a week came to.
    fn week(&self, kept_out: Grams, scraps: Millilitres, drained: Millilitres) -> Text {
        let (voice, measures) = (self.voice, self.measures);
        match (scraps > Millilitres::ZERO, drained > Millilitres::ZERO) {
            (false, false) => say!(voice, "nudge-digest-nothing"),
            (false, true) => say!(voice, "nudge-digest-out", liquid = self.liquid_out(drained)),
            (true, _) => say!(
                voice,
                "nudge-digest",
                mass = measures.mass(kept_out),
                scraps = measures.volume(scraps),
                liquid = self.liquid_out(drained),
            ),
        }
    }

    fn liquid_out(&self, ml: Millilitres) -> String {
        if ml <= Millilitres::ZERO {
            return self.voice.word("nudge-digest-dry");
        }
        say!(self.voice, "nudge-digest-liquid", drained = self.measures.volume(ml)).plain()
    }

    /// What is left to do: it was said three times, and is left to the digest.
    fn still_open(&self) -> Text {
        let open = due_work(self.room, self.now);
        let open: Vec<String> = open.iter().map(|nudge| self.work(nudge)).collect();
        if open.is_empty() {
            return Text::default();
        }
        say!(self.voice, "nudge-digest-open", work = open.join(", "))
    }

    fn will_be_full(&self, bin: &str, at: DateTime<Utc>, early: DateTime<Utc>, late: DateTime<Utc>) -> Text {
        let (day, span) = (self.calendar.day(at), self.calendar.span(early, late));
        let layer = self.measures.bran(bran::dose(None, Millilitres::ZERO, &[]).value);
        let free = |phase: Phase| matches!(phase, Phase::Empty | Phase::Discarded);
        let next = self.report().bins.into_iter().find(|bin| free(bin.phase));
        let head = say!(self.voice, "nudge-full", bin = capital(bin), day = day, span = span);
        let taken = || {
            let bin = self.room.bin(bin)?;
            Some(self.remark(&hints::no_spare_bin(self.room, bin, self.now)?))
        };
        head.then(&match next {
            Some(next) => say!(self.voice, "nudge-full-next", next = next.bin, bran = layer),
            None => taken().unwrap_or_else(|| say!(self.voice, "nudge-full-wash", bran = layer)),
        })
    }
}
