//! Answers to what the reading contract has no name for.

use branbell_language::Slots;
use branbell_scheduler::quantity::acid::{self, Souring};
use branbell_scheduler::quantity::rotation::{self, Rotation};
use branbell_scheduler::quantity::tally::{self, Disposal};
use branbell_scheduler::quantity::{bury, dilution, nitrogen, rest};
use branbell_scheduler::report::BinReport;
use branbell_scheduler::state::{Phase, Plot};
use branbell_scheduler::units::{Celsius, Fraction, Grams, GramsPerSquareMetre, Millilitres, Ph};
use chrono::NaiveDate;

use super::super::inquiry::{Held, Inquiry, Way};
use super::answer::SPOONFUL;
use super::{Speaker, capital};
use crate::say;
use crate::voice::Text;

/// The futures that are played are the same for the same room and moment: asked twice, the same answer.
pub(crate) const SEED: u32 = 1;

/// The chance of being without a bin is known to three in a hundred: so it is said in steps.
const CHANCE_STEP: f64 = 0.05;

impl Speaker<'_> {
    /// The answer to an inquiry.
    pub(super) fn inquired(&self, inquiry: &Inquiry) -> Text {
        match inquiry {
            Inquiry::Bins(further) => self.rotation(further),
            Inquiry::Emissions(since) => self.emissions(*since),
            Inquiry::Ground(plot) => self.ground(plot.as_deref()),
            Inquiry::Dilution(ml, parts) => self.diluted(*ml, *parts),
            Inquiry::Burying(way, bin) => self.burying_by(*way, bin.as_deref()),
            Inquiry::Trench(cut, bin) => {
                self.burying_cut(&Slots { bin: bin.clone(), ..Slots::default() }, *cut)
            }
            Inquiry::Acid(ph, held) => self.acid(*ph, held),
        }
    }

    fn rotation(&self, further: &[Millilitres]) -> Text {
        let of = |sizes: &[Millilitres]| rotation::rotation(self.room, sizes, self.now, SEED);
        let (Some(now), Some(then)) = (of(&[]), of(further)) else {
            return say!(self.voice, "bins-unknown");
        };
        if let [size, ..] = further {
            return say!(
                self.voice,
                "bins-what-if",
                count = further.len(),
                size = self.measures.volume(*size),
                chance = self.chance(then.all_full.value),
                before = self.chance(now.all_full.value),
                bins = then.bins,
                needed = count(then.needed.value),
            )
            .then(&self.round(&then));
        }
        let (low, high) = (count(now.needed.low()), count(now.needed.high()));
        let id = if low == high { "bins-needed" } else { "bins-needed-about" };
        say!(self.voice, id, needed = count(now.needed.value), low = low, high = high)
            .then(&self.round(&now))
            .then(&say!(self.voice, "bins-chance", bins = now.bins, chance = self.chance(now.all_full.value)))
    }

    fn round(&self, rotation: &Rotation) -> Text {
        let (filling, fermenting) = (self.days(rotation.filling.value), self.days(rotation.fermenting.value));
        say!(self.voice, "bins-round", filling = filling, fermenting = fermenting)
    }

    fn chance(&self, chance: Fraction) -> String {
        let percent = (chance.get() / CHANCE_STEP).round() * CHANCE_STEP * 100.0;
        if percent < 1.0 {
            self.voice.word("chance-hardly")
        } else if percent > 99.0 {
            self.voice.word("chance-surely")
        } else {
            say!(self.voice, "chance-about", percent = percent.round() as i64).plain()
        }
    }

    fn emissions(&self, since: Option<NaiveDate>) -> Text {
        let kept_out = tally::tally(self.room, self.midnight(since), self.now).kept_out;
        let saved = tally::co2e(&kept_out, Disposal::Landfill);
        let rate = |constant: f64| format!("{constant:.2}");
        say!(
            self.voice,
            "emissions-up-to",
            saved = self.measures.mass(saved.value),
            mass = self.measures.mass(kept_out.value),
            disposed = rate(tally::LANDFILLED.value),
            composted = rate(tally::COMPOSTED.value),
            burnt = rate(tally::COMBUSTED.value),
        )
    }

    fn ground(&self, plot: Option<&str>) -> Text {
        if let Some(plot) = plot.and_then(|plot| self.room.plot(plot)) {
            return self.load(plot).newline(&say!(
                self.voice,
                "ground-yardstick",
                yardstick = self.yardstick()
            ));
        }
        let loads = self.room.plots.iter().map(|plot| self.load(plot));
        let Some(yearly) = nitrogen::yearly(self.room, self.now) else {
            let said = loads.fold(Text::default(), |said, line| said.newline(&line));
            return said.newline(&say!(self.voice, "ground-unknown"));
        };
        let area = nitrogen::area_for(&yearly);
        let head = say!(
            self.voice,
            "ground-yearly",
            nitrogen = self.measures.mass(yearly.value),
            span = self.measures.mass_span(yearly.low(), yearly.high()),
            area = self.measures.about_area(area.value),
            areas = self.measures.area_span(area.low(), area.high()),
            yardstick = self.yardstick(),
        );
        loads.fold(head, |said, line| said.newline(&line))
    }

    fn yardstick(&self) -> String {
        self.measures.load(GramsPerSquareMetre(nitrogen::YARDSTICK.value))
    }

    /// What a plot has had over the year, and may still take.
    fn load(&self, plot: &Plot) -> Text {
        let name = capital(&plot.name);
        let load = nitrogen::load(self.room, plot, self.now);
        let Some((load, left)) = load.zip(nitrogen::left(self.room, plot, self.now)) else {
            return say!(self.voice, "ground-plot-sizeless", plot = name, system = self.measures.system());
        };
        let left = left.value;
        let id = if left > Grams::ZERO { "ground-plot" } else { "ground-plot-enough" };
        let (load, left) = (self.measures.load(load.value), self.measures.mass(left));
        say!(self.voice, id, plot = name, load = load, left = left)
    }

    fn diluted(&self, ml: Option<Millilitres>, parts: f64) -> Text {
        let mixed = dilution::dilute_to(ml.unwrap_or(SPOONFUL), parts);
        let ratio = mixed.ratio.round() as i64;
        let head = if parts < mixed.ratio {
            say!(self.voice, "dilution-too-strong", asked = parts.round() as i64, parts = ratio)
        } else {
            Text::default()
        };
        let rest = match ml {
            Some(_) => self.mixture(&mixed),
            None => self.proportion(&mixed),
        };
        head.then(&rest)
    }

    /// What a pH means where the strip was held.
    fn acid(&self, ph: Ph, held: &Held) -> Text {
        let said = shown(ph);
        let (sour, until) = (acid::SOUR.low.to_string(), acid::SOUR.high.to_string());
        match held {
            Held::InSoil(plot) => {
                let id = if acid::is_sour_soil(ph) { "acid-soil-sour" } else { "acid-soil" };
                let place = plot.clone().unwrap_or_else(|| self.voice.word("acid-soil-place"));
                let (low, high) = (acid::SOIL.low.to_string(), acid::SOIL.high.to_string());
                say!(self.voice, id, ph = said, place = place, low = low, high = high)
            }
            Held::InBin => match acid::in_bin(ph) {
                Souring::Sour => {
                    let share = acid::undissociated(ph).value.get();
                    let percent = (share * 100.0).round() as i64;
                    say!(self.voice, "acid-bin-sour", ph = said, percent = percent, usual = sour)
                }
                Souring::Between => {
                    let raw = acid::RAW.low.to_string();
                    say!(self.voice, "acid-bin-between", ph = said, sour = sour, until = until, raw = raw)
                }
                Souring::Not => say!(self.voice, "acid-bin-not", ph = said, sour = sour, until = until),
            },
        }
    }

    /// The batches that ferment, or that is named, put into soil without a trench.
    fn burying_by(&self, way: Way, named: Option<&str>) -> Text {
        let report = self.report();
        let ferments = |bin: &&BinReport| matches!(bin.phase, Phase::Sealed | Phase::Ready);
        let any = report.bins.iter().any(|bin| ferments(&bin));
        let meant = report.bins.iter().filter(|bin| match named {
            Some(name) => bin.bin == name,
            None => !any || ferments(bin),
        });
        let meant: Vec<&str> = meant.map(|bin| bin.bin.as_str()).collect();
        let lines = meant.iter().map(|bin| self.without_trench(way, bin));
        let said = lines.fold(Text::default(), |said, line| said.newline(&line));
        if said.is_empty() {
            return say!(self.voice, "burying-none");
        }
        if meant.iter().all(|bin| self.is_lost(bin)) {
            return said;
        }
        said.newline(&say!(self.voice, "burying-care-hands"))
    }

    fn without_trench(&self, way: Way, name: &str) -> Text {
        if let Some(lost) = self.burying_lost(name) {
            return lost;
        }
        let trench = self.room.bin(name).and_then(|bin| bury::trench(self.room, bin));
        let Some(trench) = trench else { return Text::default() };
        let (measures, bin) = (self.measures, capital(name));
        let fermented = measures.about_volume(trench.fermented.value);
        let span = |one: &branbell_scheduler::quantity::Quantity<Millilitres>| {
            measures.volume_span(one.low(), one.high())
        };
        let soil = measures.about_volume(trench.container_soil.value);
        match way {
            Way::Container => say!(
                self.voice,
                "burying-container",
                bin = bin,
                fermented = fermented,
                soil = soil,
                size = measures.about_volume(trench.container.value),
            ),
            Way::Pot => say!(
                self.voice,
                "burying-pot",
                bin = bin,
                fermented = fermented,
                soil = soil,
                cover = measures.length(trench.cover),
                warmth = measures.temperature(Celsius(rest::REFERENCE.value)),
            ),
            Way::Compost => say!(
                self.voice,
                "burying-compost",
                bin = bin,
                fermented = fermented,
                compost = measures.about_volume(trench.compost.value),
                span = span(&trench.compost),
            ),
        }
    }
}

/// A pH as a strip shows it.
pub(super) fn shown(Ph(ph): Ph) -> String {
    format!("{ph:.1}")
}

/// Bins are counted whole.
fn count(bins: Fraction) -> i64 {
    bins.get().round().clamp(1.0, 99.0) as i64
}
