//! Answers to questions about the bins, the bran and the beds.

use branbell_language::{About, Ask, Slots};
use branbell_scheduler::fact::{Fact, Food, What};
use branbell_scheduler::quantity::dilution::Dilution;
use branbell_scheduler::quantity::{bran, density, dilution, tally};
use branbell_scheduler::report::BinReport;
use branbell_scheduler::state::{Batch, Bin};
use branbell_scheduler::units::{Grams, Millilitres, MillilitresPerLitre};
use chrono::TimeDelta;

use super::super::translate;
use super::acceptable::LITRE;
use super::meaning::WORTH_SAYING;
use super::{Speaker, capital};
use crate::picture::{self, View};
use crate::say;
use crate::voice::Text;

/// `What went in?` looks back so far, and tells no more than so many logs: a phone shows them whole.
const HISTORY: TimeDelta = TimeDelta::days(7);
const MOST_LINES: usize = 12;

/// Liquid to say a proportion for.
pub(in crate::dialogue) const SPOONFUL: Millilitres = Millilitres(10.0);

/// A recipe for nobody's quantity in particular.
const USUAL_BRAN: Grams = Grams(1000.0);

/// What is to be drawn: a batch where a bin is named, the year where so much time is, else the bins.
pub(super) fn view(ask: &Ask) -> View {
    match &ask.slots {
        Slots { bin: Some(bin), .. } => View::Batch { bin: bin.clone() },
        Slots { since: Some(_), .. } => View::Year,
        _ => View::Bins,
    }
}

impl Speaker<'_> {
    /// The answer to a question.
    pub(super) fn asked(&self, ask: &Ask) -> Text {
        let slots = &ask.slots;
        match ask.about {
            About::Status => self.status(slots.bin.as_deref()),
            About::Ready => self.each(slots, "ready-none", |bin| self.ready(bin)),
            About::Full => self.each(slots, "full-none", |bin| self.full(bin)),
            About::Drain => self.each(slots, "drain-none", |bin| self.draining(bin)),
            About::Bran => self.bran(slots),
            About::Dilution => self.dilution(slots.ml.map(Millilitres)),
            About::Burying => self.burying(slots),
            About::Planting => self.planting(slots.plot.as_deref()),
            About::Stock => self.stock(),
            About::Recipe => self.recipe(slots.g.filter(|g| *g > 0.0).map_or(USUAL_BRAN, Grams)),
            About::Rota => self.rota(),
            About::Tally => self.tally(slots),
            About::History => self.history(slots.bin.as_deref()),
            About::Trouble => self.advice(slots.bin.as_deref(), &translate::signs(slots)),
            About::Chart => Text::of_words(&picture::in_words(self.voice, self.room, &view(ask), self.now)),
            About::Acceptable => self.acceptable(slots),
            // Asked about the last number, which the decision knows.
            About::Why => Text::default(),
            About::Help => self.help(),
        }
    }

    fn help(&self) -> Text {
        let help = self.with_example("help");
        if self.room.direct { help } else { help.newline(&say!(self.voice, "help-together")) }
    }

    /// What is said of each bin, or of the one that is named; where nothing is said of any, that.
    pub(super) fn each(&self, slots: &Slots, none: &str, say: impl Fn(&BinReport) -> Text) -> Text {
        let report = self.report();
        if report.bins.is_empty() {
            return self.with_example("status-none");
        }
        let named = slots.bin.as_deref();
        let lines = report.bins.iter().filter(|bin| named.is_none_or(|name| bin.bin == name)).map(say);
        let said = lines.fold(Text::default(), |said, line| said.newline(&line));
        if said.is_empty() { self.with_example(none) } else { said }
    }

    fn bran(&self, slots: &Slots) -> Text {
        let (ml, g) = (slots.ml.map(Millilitres), slots.g.map(Grams));
        let told = ml.or(g.map(|g| g / density::of(self.room).value));
        if let Some(scraps) = told.filter(|scraps| *scraps > Millilitres::ZERO) {
            let foods: Vec<Food> = slots.foods.iter().copied().map(translate::food).collect();
            let dose = bran::dose(self.filling(slots.bin.as_deref()), scraps, &foods);
            return say!(
                self.voice,
                "bran-for",
                bran = self.measures.bran(dose.value),
                amount = self.amount(ml, g),
                dose = self.measures.bran_span(dose.low(), dose.high()),
            );
        }
        let report = self.report();
        let named = slots.bin.as_deref();
        let owing = report
            .bins
            .iter()
            .filter(|bin| named.is_none_or(|name| bin.bin == name))
            .filter(|bin| bin.bran_owed_ml >= WORTH_SAYING);
        let lines = owing.map(|bin| {
            let owed = self.measures.bran(bin.bran_owed_ml);
            say!(self.voice, "bran-owed-answer", bin = capital(&bin.bin), bran = owed)
        });
        let said = lines.fold(Text::default(), |said, line| said.newline(&line));
        if !said.is_empty() {
            return said;
        }
        let [low, high] = [bran::DOSE.low, bran::DOSE.high].map(|dose| LITRE * MillilitresPerLitre(dose));
        let (litre, dose) = (self.measures.volume(LITRE), self.measures.bran_span(low, high));
        let id = if report.bins.is_empty() { "bran-of-a-litre" } else { "bran-none-owed" };
        say!(self.voice, id, litre = litre, dose = dose, system = self.measures.system())
    }

    /// The batch that more would go to: that of the bin that is named, or the first that fills.
    pub(super) fn filling(&self, bin: Option<&str>) -> Option<&Batch> {
        let named = bin.and_then(|bin| self.room.bin(bin)).and_then(Bin::filling);
        named.or_else(|| self.room.bins_in_use().find_map(Bin::filling))
    }

    fn dilution(&self, ml: Option<Millilitres>) -> Text {
        match ml.filter(|ml| *ml > Millilitres::ZERO) {
            Some(ml) => self.mixture(&dilution::dilute(ml)),
            None => self.proportion(&dilution::dilute(SPOONFUL)),
        }
    }

    /// A spoonful with its water, where nobody said how much there is.
    pub(super) fn proportion(&self, mixed: &Dilution) -> Text {
        say!(
            self.voice,
            "dilution-rule-at",
            parts = mixed.ratio.round() as i64,
            small = self.measures.volume(mixed.liquid),
            unit = self.measures.volume(mixed.water.value),
        )
    }

    /// So much liquid with its water.
    pub(super) fn mixture(&self, mixed: &Dilution) -> Text {
        say!(
            self.voice,
            "dilution-for",
            water = self.measures.volume(mixed.water.value),
            liquid = self.measures.volume(mixed.liquid),
            can = self.measures.volume(Millilitres(dilution::CAN.value)),
            parts = mixed.ratio.round() as i64,
            cans = mixed.cans.value.get().round().max(1.0) as i64,
            area = self.measures.area(mixed.area.value),
        )
    }

    fn tally(&self, slots: &Slots) -> Text {
        let sum = tally::tally(self.room, self.midnight(slots.since), self.now);
        let measures = self.measures;
        let kept_out = say!(
            self.voice,
            "tally-all",
            mass = measures.mass(sum.kept_out.value),
            span = measures.mass_span(sum.kept_out.low(), sum.kept_out.high()),
            batches = i64::from(sum.batches),
        );
        let earth = if sum.batches > 0 {
            say!(self.voice, "tally-earth", earth = measures.about_volume(sum.earth.value))
        } else {
            Text::default()
        };
        let (drained, bran) = (measures.volume(sum.drained), measures.volume(sum.bran));
        kept_out.then(&earth).then(&say!(
            self.voice,
            "tally-drained",
            drained = capital(&drained),
            bran = bran
        ))
    }

    fn history(&self, bin: Option<&str>) -> Text {
        let since = self.now - HISTORY;
        let told = self.room.facts().filter(|fact| fact.at >= since).filter(|fact| is_work(&fact.what, bin));
        let lines: Vec<Text> = told
            .map(|fact| match self.room.person(&fact.author).filter(|_| !self.room.direct) {
                Some(person) => {
                    let (moment, brief) = (capital(&self.calendar.moment(fact.at)), self.brief(&fact.what));
                    say!(self.voice, "history-line-by", moment = moment, name = &person.name, brief = brief)
                }
                None => self.history_line(fact),
            })
            .collect();
        if lines.is_empty() {
            return say!(self.voice, "history-none");
        }
        latest(&say!(self.voice, "history-head"), &lines)
    }

    /// What is kept of a person: their name, and what they told.
    pub(super) fn own_data(&self, person: &str) -> Text {
        let told = self.room.facts().filter(|fact| fact.author == person);
        let lines: Vec<Text> = told
            .filter(|fact| !self.brief(&fact.what).is_empty())
            .map(|fact| self.history_line(fact))
            .collect();
        let Some(name) = self.room.person(person).map(|person| &person.name) else {
            return say!(self.voice, "own-data-none");
        };
        let head = say!(self.voice, "own-data-head", name = name, logs = lines.len());
        latest(&head, &lines).newline(&say!(self.voice, "own-data-more"))
    }

    fn history_line(&self, fact: &Fact) -> Text {
        let (moment, brief) = (capital(&self.calendar.moment(fact.at)), self.brief(&fact.what));
        say!(self.voice, "history-line", moment = moment, brief = brief)
    }
}

/// The last lines that a phone shows.
fn latest(head: &Text, lines: &[Text]) -> Text {
    lines.iter().skip(lines.len().saturating_sub(MOST_LINES)).fold(head.clone(), Text::newline)
}

/// Whether it is work on the bins, or on the one that is asked about.
fn is_work(what: &What, asked: Option<&str>) -> bool {
    match what {
        What::Scraps { bin, .. }
        | What::Bran { bin, .. }
        | What::Drained { bin, .. }
        | What::Started { bin }
        | What::Sealed { bin }
        | What::Checked { bin, .. }
        | What::Level { bin, .. }
        | What::Buried { bin, .. }
        | What::Discarded { bin }
        | What::Cleaned { bin } => asked.is_none_or(|asked| asked == bin),
        What::Planted { .. }
        | What::SoilPh { .. }
        | What::StarterMade { .. }
        | What::StarterBought { .. }
        | What::StarterStock { .. } => asked.is_none(),
        _ => false,
    }
}
