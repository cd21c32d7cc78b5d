//! What a kept fact means now, and what to do.

use branbell_scheduler::fact::{Place, Setting, Signs, Use, What};
use branbell_scheduler::plan::overdue;
use branbell_scheduler::quantity::{acid, bran, dilution, ferment, rest, starter};
use branbell_scheduler::report::BinReport;
use branbell_scheduler::state::Phase;
use branbell_scheduler::units::{Celsius, Millilitres, Ph};

use super::super::topic::owes_bran;
use super::{Speaker, capital};
use crate::say;
use crate::voice::Text;

/// Less bran than a tablespoon is not worth a word.
pub(in crate::dialogue) const WORTH_SAYING: Millilitres = Millilitres(15.0);

impl Speaker<'_> {
    /// What a kept fact means now.
    pub(super) fn meaning(&self, what: &What) -> Text {
        match what {
            What::Scraps { bin, .. } => self.after_scraps(bin),
            What::Bran { bin, .. } => self.after_bran(bin),
            What::Drained { estimated: true, .. } => Text::default(),
            What::Drained { ml, .. } if *ml <= 0.0 => say!(self.voice, "drained-nothing"),
            What::Drained { ml, used, .. } => self.after_draining(Millilitres(*ml), *used),
            What::Started { bin } => self.after_starting(bin),
            What::Sealed { bin } => self.after_sealing(bin),
            What::Checked { signs, .. } if *signs == Signs::default() => self.advice(None, signs),
            What::Temperature { place, c } => self.after_reading(place, Celsius(*c)),
            What::SoilPh { plot, ph } => self.after_strip(plot, Ph(*ph)),
            What::Level { bin, fraction } => self.after_looking(bin, *fraction),
            What::Buried { plot, .. } => self.after_burying(plot.as_deref()),
            What::Planted { plot, .. } => self.after_planting(plot),
            What::Discarded { .. } => say!(self.voice, "discarded-wash"),
            What::Cleaned { .. } => say!(self.voice, "cleaned-fresh", bran = self.first_layer()),
            What::StarterMade { .. } => self.after_making_bran(),
            What::StarterStock { g, ml } if g.or(*ml) == Some(0.0) => Text::default(),
            What::StarterBought { .. } | What::StarterStock { .. } => self.bran_lasts(),
            What::BinSet { bin, capacity_ml, .. } => self.after_naming(bin, capacity_ml.is_some()),
            What::Setting { setting: Setting::House { rule, holds } } => self.house_caution(*rule, *holds),
            What::Back { person } => self.overdue(person),
            What::PlotSet { plot, area_m2: None } => {
                say!(self.voice, "plot-size", plot = plot, system = self.measures.system())
            }
            _ => Text::default(),
        }
    }

    fn first_layer(&self) -> String {
        self.measures.bran(bran::dose(None, Millilitres::ZERO, &[]).value)
    }

    fn after_scraps(&self, bin: &str) -> Text {
        let Some(state) = self.bin(bin) else { return Text::default() };
        if self.is_lost(bin) {
            return say!(self.voice, "status-lost", bin = capital(bin));
        }
        if is_at_the_line(&state) {
            return say!(self.voice, "fill-line", bran = self.top_layer(bin));
        }
        self.bran_please(&state)
    }

    fn bran_please(&self, bin: &BinReport) -> Text {
        let owed = bin.bran_owed_ml;
        if owed < WORTH_SAYING {
            return Text::default();
        }
        say!(self.voice, "bran-please", bran = self.measures.bran(owed))
    }

    fn top_layer(&self, bin: &str) -> String {
        let batch = self.room.bin(bin).and_then(|bin| bin.batch.as_ref());
        let top = batch.map_or(Millilitres::ZERO, |batch| bran::top(self.room, batch).value);
        self.measures.bran(top)
    }

    fn after_bran(&self, bin: &str) -> Text {
        match self.bin(bin) {
            Some(state) if is_at_the_line(&state) => {
                say!(self.voice, "fill-line", bran = self.top_layer(bin))
            }
            Some(state) if state.bran_owed_ml >= WORTH_SAYING => {
                say!(self.voice, "bran-owed", bran = self.measures.bran(state.bran_owed_ml))
            }
            // Under a lid that is shut it stays as it is.
            _ if owes_bran(self.room, bin) => Text::default(),
            _ => say!(self.voice, "bran-covered"),
        }
    }

    fn after_draining(&self, ml: Millilitres, used: Option<Use>) -> Text {
        let water = self.measures.volume(dilution::dilute(ml).water.value);
        match used {
            _ if ml <= Millilitres::ZERO => Text::default(),
            Some(Use::Plants) => say!(self.voice, "drained-plants", water = water),
            Some(Use::Pipes) => say!(self.voice, "drained-pipes"),
            Some(Use::PouredAway) => Text::default(),
            None => say!(self.voice, "drained-choice", water = water),
        }
    }

    fn after_starting(&self, bin: &str) -> Text {
        let is_bare =
            self.room.bin(bin).and_then(|bin| bin.batch.as_ref()).is_none_or(|batch| batch.brans.is_empty());
        if is_bare { say!(self.voice, "started-first", bran = self.first_layer()) } else { Text::default() }
    }

    fn after_sealing(&self, bin: &str) -> Text {
        let Some(bin) = self.room.bin(bin) else { return Text::default() };
        let Some(ferment) = ferment::ferment(self.room, bin, self.now) else { return Text::default() };
        // What was lost before it was sealed is not made good by the lid.
        if self.is_lost(&bin.name) {
            return say!(self.voice, "status-bad", bin = capital(&bin.name));
        }
        let (day, span) = self.forecast(&ferment.ready);
        let id = if bin.tap == Some(false) { "sealed-ready-tapless" } else { "sealed-ready" };
        say!(self.voice, id, day = day, span = span, cold = self.cold())
    }

    fn after_reading(&self, place: &Place, temperature: Celsius) -> Text {
        match place {
            Place::Plot(plot) => self.soil(plot),
            // Of a bin that ferments it is a remark, made once.
            Place::Bin(name)
                if temperature < ferment::TOO_COLD
                    && self.room.bin(name).is_some_and(|bin| bin.filling().is_some()) =>
            {
                say!(self.voice, "cold-move", cold = self.cold(), bin = name)
            }
            Place::Bin(_) | Place::Room => Text::default(),
        }
    }

    fn cold(&self) -> String {
        self.measures.temperature(ferment::TOO_COLD)
    }

    fn soil(&self, plot: &str) -> Text {
        let plot = self.room.plot(plot).filter(|plot| plot.resting().is_some());
        let Some(rest) = plot.and_then(|plot| rest::rest(self.room, plot, self.now)) else {
            return Text::default();
        };
        if rest.is_frozen {
            return say!(self.voice, "temperature-frozen");
        }
        // A strip counts for more.
        if rest.strip.is_some() {
            return Text::default();
        }
        let (early, safe) = (self.calendar.day(rest.over.early), self.calendar.day(rest.over.at));
        say!(self.voice, "temperature-soil", early = early, safe = safe)
    }

    /// What a strip means for planting.
    fn after_strip(&self, plot: &str, ph: Ph) -> Text {
        let resting = self.room.plot(plot).filter(|plot| plot.resting().is_some());
        let rest = resting.and_then(|plot| rest::rest(self.room, plot, self.now));
        let [low, high] = [acid::SOIL.low, acid::SOIL.high].map(|ph| ph.to_string());
        match rest {
            Some(rest) if rest.sour().is_some() => {
                let again = self.calendar.day(rest.over.at.max(self.now));
                say!(self.voice, "strip-sour", again = again, low = low, high = high)
            }
            Some(rest) if rest.over.at <= self.now => say!(self.voice, "strip-free"),
            None if acid::is_sour_soil(ph) => say!(self.voice, "strip-soil-sour", low = low, high = high),
            // It was told of a day before what was buried there, or nothing waits for it.
            Some(_) | None => Text::default(),
        }
    }

    fn after_looking(&self, bin: &str, fraction: f64) -> Text {
        let Some(state) = self.bin(bin).filter(|state| state.phase == Phase::Filling) else {
            return Text::default();
        };
        if fraction >= 0.9 || is_at_the_line(&state) {
            return say!(self.voice, "level-full", bran = self.top_layer(bin));
        }
        self.forecast_full(&state)
    }

    fn after_burying(&self, plot: Option<&str>) -> Text {
        let plot = plot.and_then(|plot| self.room.plot(plot));
        let Some(rest) = plot.and_then(|plot| rest::rest(self.room, plot, self.now)) else {
            return say!(self.voice, "buried-wash");
        };
        if rest.is_frozen {
            return say!(self.voice, "temperature-frozen").then(&say!(self.voice, "buried-wash"));
        }
        let (early, safe) = (self.calendar.day(rest.over.early), self.calendar.day(rest.over.at));
        say!(self.voice, "buried-plant", early = early, safe = safe).then(&self.soil_assumed(&rest))
    }

    /// That it was planted too early after a burial; nothing where it was not.
    fn after_planting(&self, plot: &str) -> Text {
        let plot = self.room.plot(plot);
        let planted = plot.and_then(|plot| plot.plantings.last()).map(|planting| planting.at);
        let rest = plot.and_then(|plot| rest::rest(self.room, plot, self.now));
        let crop = plot.and_then(|plot| plot.plantings.last()?.crop.as_deref()).unwrap_or_default();
        let is_young = self.voice.word("seedling-words").split(", ").any(|word| crop.contains(word));
        match (rest, planted) {
            (Some(rest), Some(planted))
                if is_young && rest.strip.is_none() && rest.since <= planted && planted < rest.seedlings =>
            {
                say!(self.voice, "planted-young", day = self.calendar.day(rest.seedlings))
            }
            (Some(rest), Some(planted)) if rest.since <= planted && planted < rest.over.early => {
                say!(self.voice, "planted-early", safe = self.calendar.day(rest.over.at))
            }
            _ => Text::default(),
        }
    }

    fn after_making_bran(&self) -> Text {
        let brew = self.room.starter.brewing(self.now).last();
        brew.map_or_else(Text::default, |brew| {
            say!(self.voice, "starter-made-ready", day = self.calendar.day(brew.ready_at()))
        })
    }

    fn bran_lasts(&self) -> Text {
        let out = starter::outlook(self.room, self.now).and_then(|outlook| outlook.out);
        out.map_or_else(Text::default, |out| {
            let (day, span) = self.forecast(&out);
            let id = self.lasting("starter-lasts", "starter-lasts-long", &out);
            say!(self.voice, id, day = day, span = span, early = self.calendar.day(out.early))
        })
    }

    /// What waits for somebody who was away.
    fn overdue(&self, person: &str) -> Text {
        let due = overdue(self.room, person, self.now);
        let said =
            due.iter().map(|nudge| self.nudge(nudge)).fold(Text::default(), |said, line| said.newline(&line));
        if said.is_empty() && !self.room.direct {
            Text::default()
        } else if said.is_empty() {
            say!(self.voice, "back-nothing")
        } else {
            say!(self.voice, "back-first").newline(&said)
        }
    }

    fn after_naming(&self, bin: &str, has_size: bool) -> Text {
        let is_empty = self.bin(bin).is_none_or(|bin| bin.phase == Phase::Empty);
        if has_size && is_empty {
            return say!(
                self.voice,
                "bin-first",
                bran = capital(&self.first_layer()),
                system = self.measures.system()
            );
        }
        Text::default()
    }
}

fn is_at_the_line(bin: &BinReport) -> bool {
    bin.phase == Phase::Filling && bin.fraction.is_some_and(|fraction| fraction.get() >= 0.9)
}
