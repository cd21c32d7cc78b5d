//! Answers about the ground: where and how a batch is buried, and when something may be planted.

use branbell_language::Slots;
use branbell_scheduler::advice::{Step, advise};
use branbell_scheduler::quantity::rest::Rest;
use branbell_scheduler::quantity::{acid, bury, ferment, nitrogen, rest};
use branbell_scheduler::report::BinReport;
use branbell_scheduler::state::{Phase, Plot};
use branbell_scheduler::units::{Centimetres, Days, Grams};

use super::inquiry::shown;
use super::{Speaker, capital};
use crate::say;
use crate::voice::Text;

/// What was buried since is said to have been buried just now.
const JUST_BURIED: Days = Days(1.0);

impl Speaker<'_> {
    /// The trench for the bin that is named, or for those that ferment, or else for what there is.
    pub(super) fn burying(&self, slots: &Slots) -> Text {
        self.burying_cut(slots, bury::Cut::default())
    }

    /// The same, where it is dug so wide and deep.
    pub(super) fn burying_cut(&self, slots: &Slots, cut: bury::Cut) -> Text {
        let report = self.report();
        let ferments = |bin: &BinReport| matches!(bin.phase, Phase::Sealed | Phase::Ready);
        let any = report.bins.iter().any(ferments);
        let is_meant = |bin: &BinReport| {
            slots.bin.as_ref() == Some(&bin.bin) || slots.bin.is_none() && (!any || ferments(bin))
        };
        let said = self.each(slots, "burying-none", |bin| {
            if is_meant(bin) { self.trench(bin, cut) } else { Text::default() }
        });
        let is_dug_in = |bin: &BinReport| !self.trench(bin, cut).is_empty() && !self.is_far_gone(&bin.bin);
        let digging = report.bins.iter().any(|bin| is_meant(bin) && is_dug_in(bin));
        if digging { said.newline(&say!(self.voice, "burying-care")) } else { said }
    }

    fn trench(&self, bin: &BinReport, cut: bury::Cut) -> Text {
        let Some((bin, batch)) = self.room.bin(&bin.bin).and_then(|bin| Some((bin, bin.batch.as_ref()?)))
        else {
            return Text::default();
        };
        if let Some(lost) = self.burying_lost(&bin.name) {
            return lost;
        }
        let Some(trench) = bury::trench_in(self.room, bin, cut) else { return Text::default() };
        let measures = self.measures;
        let size = say!(
            self.voice,
            "burying-trench",
            bin = capital(&bin.name),
            fermented = measures.about_volume(trench.fermented.value),
            soil = measures.about_volume(trench.soil.value),
            depth = measures.length(trench.depth),
            width = measures.length(trench.width),
            length = measures.length(trench.length.value),
            cover = measures.length(trench.cover),
            spoil = measures.about_volume(trench.spoil.value),
        );
        size.then(&self.best_plot(nitrogen::of_batch(self.room, batch).value))
    }

    /// Where a batch goes that is lost; none where it is not. Into no pot, container or heap.
    pub(super) fn burying_lost(&self, bin: &str) -> Option<Text> {
        let id = if self.is_far_gone(bin) { "burying-far-gone" } else { "burying-lost" };
        let deep = self.measures.length(Centimetres(bury::DEEP.value));
        let care = ["caution-do-not-sniff", "caution-gloves-and-hands"].map(|id| say!(self.voice, id));
        let said = say!(self.voice, id, bin = capital(bin), deep = deep);
        self.is_lost(bin).then(|| care.iter().fold(said, Text::then))
    }

    /// Whether the bin's batch is so lost that it must not be buried either.
    fn is_far_gone(&self, bin: &str) -> bool {
        let batch = self.room.bin(bin).and_then(|bin| bin.batch.as_ref());
        let check = batch.and_then(ferment::spoilt_by);
        check.is_some_and(|check| advise(&check.signs).steps.contains(&Step::Discard))
    }

    /// Where a batch of that nitrogen is best buried; nothing where the room has no plot.
    pub(super) fn best_plot(&self, nitrogen: Grams) -> Text {
        let best = nitrogen::plots_for(self.room, nitrogen, self.now).into_iter().next();
        best.map_or_else(Text::default, |choice| {
            if choice.has_enough {
                say!(self.voice, "burying-no-plot-room", plot = capital(&choice.plot))
            } else if choice.is_exceeded {
                say!(self.voice, "burying-plot-exceeded", plot = choice.plot)
            } else {
                say!(self.voice, "burying-plot", plot = choice.plot)
            }
        })
    }

    pub(super) fn planting(&self, plot: Option<&str>) -> Text {
        let plots = self.room.plots.iter().filter(|known| plot.is_none_or(|name| known.name == name));
        let said = plots.map(|plot| self.rest(plot)).fold(Text::default(), |said, line| said.newline(&line));
        if said.is_empty() { self.with_example("planting-none") } else { said }
    }

    fn rest(&self, plot: &Plot) -> Text {
        let name = capital(&plot.name);
        let Some(rest) = rest::rest(self.room, plot, self.now) else {
            return say!(self.voice, "planting-free", plot = name);
        };
        let rested = self.days(rest.rested);
        if rest.is_frozen {
            say!(self.voice, "planting-frozen", plot = name)
        } else if let Some(strip) = rest.sour() {
            let again = rest.over.at.max(self.now);
            say!(
                self.voice,
                "planting-sour",
                plot = name,
                ph = shown(strip.ph),
                day = self.calendar.day(strip.at),
                again = self.calendar.day(again),
                low = acid::SOIL.low.to_string(),
                high = acid::SOIL.high.to_string(),
            )
        } else if let Some(strip) = rest.strip.filter(|_| rest.over.at <= self.now) {
            let day = self.calendar.day(strip.at);
            say!(self.voice, "planting-free-by-strip", plot = name, ph = shown(strip.ph), day = day)
        } else if rest.over.at <= self.now {
            say!(self.voice, "planting-now", plot = name, rested = rested)
        } else {
            let (early, safe) = (self.calendar.day(rest.over.early), self.calendar.day(rest.over.at));
            let said = if rest.rested < JUST_BURIED {
                say!(self.voice, "planting-just", plot = name, early = early, safe = safe)
            } else {
                say!(self.voice, "planting-when", plot = name, early = early, safe = safe, rested = rested)
            };
            said.then(&self.soil_assumed(&rest))
        }
    }

    /// At what temperature the soil is taken, where nobody read it.
    pub(super) fn soil_assumed(&self, rest: &Rest) -> Text {
        if !rest.is_assumed || rest.strip.is_some() {
            return Text::default();
        }
        say!(self.voice, "planting-assumed", soil = self.measures.temperature(rest.soil))
    }
}
