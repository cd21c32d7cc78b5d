//! How the bins stand: what is in them, and when they are full, drained and ready.

use branbell_language::Slots;
use branbell_scheduler::plan::{NudgeKind, Subject, plan};
use branbell_scheduler::quantity::{bran, ferment, rest};
use branbell_scheduler::report::BinReport;
use branbell_scheduler::state::Phase;
use branbell_scheduler::units::{Celsius, Millilitres};

use super::inquiry::shown;
use super::meaning::WORTH_SAYING;
use super::{Speaker, capital};
use crate::say;
use crate::voice::{Text, about_percent};

impl Speaker<'_> {
    pub(super) fn status(&self, bin: Option<&str>) -> Text {
        let slots = Slots { bin: bin.map(str::to_owned), ..Slots::default() };
        let bins = self.each(&slots, "status-none", |bin| self.state(bin));
        if bin.is_some() || self.room.bins.is_empty() {
            return bins;
        }
        let report = self.report();
        let stock = report
            .starter
            .g
            .map_or_else(Text::default, |g| say!(self.voice, "status-stock", amount = self.measures.mass(g)));
        let resting = self.room.plots.iter().filter(|plot| plot.resting().is_some()).filter_map(|plot| {
            let rest = rest::rest(self.room, plot, self.now)?;
            if let Some(strip) = rest.sour() {
                let (ph, again) = (shown(strip.ph), self.calendar.day(rest.over.at.max(self.now)));
                let plot = capital(&plot.name);
                return Some(say!(self.voice, "status-resting-sour", plot = plot, ph = ph, again = again));
            }
            if rest.is_frozen {
                return Some(say!(self.voice, "planting-frozen", plot = capital(&plot.name)));
            }
            let (early, safe) = (self.calendar.day(rest.over.early), self.calendar.day(rest.over.at));
            Some(say!(self.voice, "status-resting", plot = capital(&plot.name), early = early, safe = safe))
        });
        resting.fold(bins.newline(&stock), |said, line| said.newline(&line))
    }

    /// How a bin stands, in one line.
    fn state(&self, bin: &BinReport) -> Text {
        let (voice, name) = (self.voice, capital(&bin.bin));
        match bin.phase {
            Phase::Empty => {
                let first = bran::dose(None, Millilitres::ZERO, &[]).value;
                say!(voice, "status-empty", bin = name, bran = capital(&self.measures.bran(first)))
            }
            Phase::Discarded => say!(voice, "status-discarded", bin = name),
            Phase::Ready if self.is_lost(&bin.bin) => say!(voice, "status-bad", bin = name),
            Phase::Ready => say!(voice, "status-ready", bin = name),
            Phase::Filling if self.is_lost(&bin.bin) => say!(voice, "status-lost", bin = name),
            Phase::Filling => {
                let head = match bin.capacity_ml {
                    Some(capacity) => {
                        let (part, whole) = self.measures.share(bin.occupied_ml, capacity);
                        say!(voice, "status-filling", bin = name, part = part, whole = whole)
                    }
                    None => {
                        let part = self.measures.volume(bin.occupied_ml);
                        say!(voice, "status-filling-sizeless", bin = name, part = part)
                    }
                };
                head.then(&self.owed(bin)).then(&self.liquid(bin)).then(&self.forecast_full(bin))
            }
            Phase::Sealed => self.sealed(bin).then(&self.liquid(bin)),
        }
    }

    fn sealed(&self, bin: &BinReport) -> Text {
        let name = capital(&bin.bin);
        let is_bad = self.is_lost(&bin.bin);
        match (bin.ready_at, bin.ready_early, bin.ready_late) {
            (Some(at), Some(early), Some(late)) if !is_bad => say!(
                self.voice,
                "status-sealed",
                bin = name,
                percent = about_percent(bin.progress),
                day = self.calendar.day(at),
                span = self.calendar.span(early, late),
            ),
            _ => say!(self.voice, "status-bad", bin = name),
        }
    }

    fn owed(&self, bin: &BinReport) -> Text {
        let owed = bin.bran_owed_ml;
        if owed < WORTH_SAYING {
            return Text::default();
        }
        say!(self.voice, "status-bran", bran = capital(&self.measures.bran(owed)))
    }

    fn liquid(&self, bin: &BinReport) -> Text {
        let is_waiting = bin.liquid_ml >= Millilitres(10.0);
        if !is_waiting || self.room.bin(&bin.bin).is_some_and(|bin| bin.tap == Some(false)) {
            return Text::default();
        }
        say!(self.voice, "status-liquid", liquid = self.measures.about_volume(bin.liquid_ml))
    }

    /// When it will be full, where that can be said.
    pub(super) fn forecast_full(&self, bin: &BinReport) -> Text {
        let forecast = self.full_forecast(bin);
        forecast.map_or_else(Text::default, |(day, span)| {
            say!(self.voice, "level-forecast", day = day, span = span)
        })
    }

    pub(super) fn ready(&self, bin: &BinReport) -> Text {
        let name = capital(&bin.bin);
        let known = self.room.bin(&bin.bin);
        let is_bad = self.is_lost(&bin.bin);
        let ferment = known.and_then(|bin| ferment::ferment(self.room, bin, self.now));
        match (bin.phase, ferment) {
            (Phase::Ready, _) if !is_bad => say!(self.voice, "ready-now", bin = name),
            (Phase::Filling, _) => {
                let days = self.days(ferment::days(self.room).value);
                say!(self.voice, "ready-filling", bin = name, days = days)
            }
            (Phase::Sealed | Phase::Ready, _) if is_bad => say!(self.voice, "ready-bad", bin = name),
            (Phase::Sealed, Some(ferment)) => {
                let (day, span) = self.forecast(&ferment.ready);
                let warmth = if ferment.readings == 0 {
                    let assumed = [ferment::ASSUMED.low, ferment::ASSUMED.high];
                    let [low, high] = assumed.map(|c| self.measures.temperature(Celsius(c)));
                    say!(self.voice, "ready-assumed", low = low, high = high).plain()
                } else {
                    say!(self.voice, "ready-mean", mean = self.measures.temperature(ferment.mean)).plain()
                };
                let day_of =
                    |instant: chrono::DateTime<chrono::Utc>| (instant - ferment.sealed_at).num_days();
                say!(
                    self.voice,
                    "ready-when",
                    bin = name,
                    day = day,
                    span = span,
                    elapsed = (day_of(self.now) + 1).to_string(),
                    length = day_of(ferment.ready.at).to_string(),
                    warmth = warmth,
                )
            }
            _ => Text::default(),
        }
    }

    pub(super) fn full(&self, bin: &BinReport) -> Text {
        if bin.phase != Phase::Filling {
            return Text::default();
        }
        let name = capital(&bin.bin);
        if self.is_lost(&bin.bin) {
            return say!(self.voice, "status-lost", bin = name);
        }
        let Some(capacity) = bin.capacity_ml else {
            return say!(self.voice, "full-sizeless", bin = &bin.bin, system = self.measures.system());
        };
        let (part, whole) = self.measures.share(bin.occupied_ml, capacity);
        if bin.fraction.is_some_and(|fraction| fraction.get() >= 0.9) {
            return say!(self.voice, "full-now", bin = name);
        }
        if bin.full_early.is_some_and(|early| self.is_too_far(early)) {
            return say!(self.voice, "full-far", bin = name, part = part, whole = whole);
        }
        match self.full_forecast(bin) {
            Some((day, span)) => {
                say!(self.voice, "full-when", bin = name, day = day, span = span, part = part, whole = whole)
            }
            None => say!(self.voice, "full-unknown", bin = name, part = part, whole = whole),
        }
    }

    pub(super) fn draining(&self, bin: &BinReport) -> Text {
        if !matches!(bin.phase, Phase::Filling | Phase::Sealed | Phase::Ready) {
            return Text::default();
        }
        let name = capital(&bin.bin);
        if self.room.bin(&bin.bin).is_some_and(|bin| bin.tap == Some(false)) {
            return say!(self.voice, "drain-no-tap", bin = name);
        }
        let subject = Some(Subject::Bin(bin.bin.clone()));
        let nudges = plan(self.room, self.now);
        let due = nudges.iter().find(|nudge| nudge.kind == NudgeKind::Drain && nudge.subject == subject);
        let liquid = self.measures.about_volume(bin.liquid_ml);
        match due.map(|nudge| (nudge.due, &nudge.numbers)) {
            Some((due, _)) if due > self.now => {
                let day = self.calendar.day(due);
                let id = if day == self.voice.word("today") { "drain-wait-today" } else { "drain-wait" };
                say!(self.voice, id, bin = name, day = day, liquid = liquid)
            }
            Some((_, branbell_scheduler::Numbers::Drain { liquid_ml_low, liquid_ml_high, water_ml, .. })) => {
                say!(
                    self.voice,
                    "drain-yes",
                    bin = name,
                    liquid = liquid,
                    span = self.measures.volume_span(*liquid_ml_low, *liquid_ml_high),
                    water = self.measures.about_volume(*water_ml),
                )
            }
            _ => Text::default(),
        }
    }
}
