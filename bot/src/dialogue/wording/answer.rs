//! Answers to questions about the bins, the bran and the beds.

use branbell_language::{About, Ask, Slots};
use branbell_scheduler::fact::{Fact, Food, What};
use branbell_scheduler::plan::{NudgeKind, Subject, plan};
use branbell_scheduler::quantity::dilution::Dilution;
use branbell_scheduler::quantity::{bran, density, dilution, ferment, rest, tally};
use branbell_scheduler::report::BinReport;
use branbell_scheduler::state::{Batch, Bin, Phase};
use branbell_scheduler::units::{Grams, Millilitres};
use chrono::TimeDelta;

use super::super::translate;
use super::inquiry::shown;
use super::meaning::WORTH_SAYING_ML;
use super::{Speaker, capital};
use crate::picture::{self, View};
use crate::say;
use crate::voice::Text;

/// `What went in?` looks back so far, and tells no more than so many logs: a phone shows them whole.
const HISTORY: TimeDelta = TimeDelta::days(7);
const MOST_LINES: usize = 12;

/// Liquid to say a proportion for.
pub(super) const SPOONFUL: Millilitres = Millilitres(10.0);

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
            About::Dilution => self.dilution(slots.ml),
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
            About::Help => self.with_example("help"),
        }
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

    fn status(&self, bin: Option<&str>) -> Text {
        let slots = Slots { bin: bin.map(str::to_owned), ..Slots::default() };
        let bins = self.each(&slots, "status-none", |bin| self.state(bin));
        if bin.is_some() || self.room.bins.is_empty() {
            return bins;
        }
        let report = self.report();
        let stock = report.starter.g.map_or_else(Text::default, |g| {
            say!(self.voice, "status-stock", amount = self.measures.mass(g.get()))
        });
        let resting = self.room.plots.iter().filter(|plot| plot.resting().is_some()).filter_map(|plot| {
            let rest = rest::rest(self.room, plot, self.now)?;
            if let Some(strip) = rest.sour() {
                let (ph, again) = (shown(strip.ph.get()), self.calendar.day(rest.over.at.max(self.now)));
                let plot = capital(&plot.name);
                return Some(say!(self.voice, "status-resting-sour", plot = plot, ph = ph, again = again));
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
                say!(voice, "status-empty", bin = name, bran = capital(&self.measures.bran(first.get())))
            }
            Phase::Discarded => say!(voice, "status-discarded", bin = name),
            Phase::Ready => say!(voice, "status-ready", bin = name),
            Phase::Filling => {
                let head = match bin.capacity_ml {
                    Some(capacity) => {
                        let (part, whole) = self.measures.share(bin.occupied_ml.get(), capacity.get());
                        say!(voice, "status-filling", bin = name, part = part, whole = whole)
                    }
                    None => {
                        let part = self.measures.volume(bin.occupied_ml.get());
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
        let is_bad = self.room.bin(&bin.bin).and_then(|bin| bin.sealed()).is_some_and(ferment::is_lost);
        match (bin.ready_at, bin.ready_early, bin.ready_late) {
            (Some(at), Some(early), Some(late)) if !is_bad => say!(
                self.voice,
                "status-sealed",
                bin = name,
                percent = (bin.progress.get() * 100.0).round().to_string(),
                day = self.calendar.day(at),
                span = self.calendar.span(early, late),
            ),
            _ => say!(self.voice, "status-bad", bin = name),
        }
    }

    fn owed(&self, bin: &BinReport) -> Text {
        let owed = bin.bran_owed_ml.get();
        if owed < WORTH_SAYING_ML {
            return Text::default();
        }
        say!(self.voice, "status-bran", bran = capital(&self.measures.bran(owed)))
    }

    fn liquid(&self, bin: &BinReport) -> Text {
        let is_waiting = bin.liquid_ml.get() >= 10.0;
        if !is_waiting || self.room.bin(&bin.bin).is_some_and(|bin| bin.tap == Some(false)) {
            return Text::default();
        }
        say!(self.voice, "status-liquid", liquid = self.measures.about_volume(bin.liquid_ml.get()))
    }

    /// When it will be full, where that can be said.
    pub(super) fn forecast_full(&self, bin: &BinReport) -> Text {
        let forecast = self.full_forecast(bin);
        forecast.map_or_else(Text::default, |(day, span)| {
            say!(self.voice, "level-forecast", day = day, span = span)
        })
    }

    fn ready(&self, bin: &BinReport) -> Text {
        let name = capital(&bin.bin);
        let known = self.room.bin(&bin.bin);
        let is_bad = known.and_then(|bin| bin.sealed()).is_some_and(ferment::is_lost);
        let ferment = known.and_then(|bin| ferment::ferment(self.room, bin, self.now));
        match (bin.phase, ferment) {
            (Phase::Ready, _) => say!(self.voice, "ready-now", bin = name),
            (Phase::Filling, _) => {
                let days = self.days(ferment::days(self.room).value.get());
                say!(self.voice, "ready-filling", bin = name, days = days)
            }
            (Phase::Sealed, _) if is_bad => say!(self.voice, "ready-bad", bin = name),
            (Phase::Sealed, Some(ferment)) => {
                let (day, span) = self.forecast(&ferment.ready);
                let warmth = if ferment.readings == 0 {
                    let assumed = [ferment::ASSUMED.low, ferment::ASSUMED.high];
                    let [low, high] = assumed.map(|c| self.measures.temperature(c));
                    say!(self.voice, "ready-assumed", low = low, high = high).plain()
                } else {
                    say!(self.voice, "ready-mean", mean = self.measures.temperature(ferment.mean.get()))
                        .plain()
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

    fn full(&self, bin: &BinReport) -> Text {
        if bin.phase != Phase::Filling {
            return Text::default();
        }
        let name = capital(&bin.bin);
        let Some(capacity) = bin.capacity_ml else {
            return say!(self.voice, "full-sizeless", bin = &bin.bin, system = self.measures.system());
        };
        let (part, whole) = self.measures.share(bin.occupied_ml.get(), capacity.get());
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

    fn draining(&self, bin: &BinReport) -> Text {
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
        let liquid = self.measures.about_volume(bin.liquid_ml.get());
        match due.map(|nudge| (nudge.due, &nudge.numbers)) {
            Some((due, _)) if due > self.now => {
                say!(self.voice, "drain-wait", bin = name, day = self.calendar.day(due), liquid = liquid)
            }
            Some((_, branbell_scheduler::Numbers::Drain { liquid_ml_low, liquid_ml_high, water_ml, .. })) => {
                say!(
                    self.voice,
                    "drain-yes",
                    bin = name,
                    liquid = liquid,
                    span = self.measures.volume_span(liquid_ml_low.get(), liquid_ml_high.get()),
                    water = self.measures.about_volume(water_ml.get()),
                )
            }
            _ => Text::default(),
        }
    }

    fn bran(&self, slots: &Slots) -> Text {
        let told = slots.ml.map(Millilitres).or(slots.g.map(|g| Grams(g) / density::of(self.room).value));
        if let Some(scraps) = told.filter(|scraps| *scraps > Millilitres::ZERO) {
            let foods: Vec<Food> = slots.foods.iter().copied().map(translate::food).collect();
            let dose = bran::dose(self.filling(slots.bin.as_deref()), scraps, &foods);
            return say!(
                self.voice,
                "bran-for",
                bran = self.measures.bran(dose.value.get()),
                amount = self.amount(slots.ml, slots.g),
                low = self.measures.bran(dose.low().get()),
                high = self.measures.bran(dose.high().get()),
            );
        }
        let report = self.report();
        let named = slots.bin.as_deref();
        let owing = report
            .bins
            .iter()
            .filter(|bin| named.is_none_or(|name| bin.bin == name))
            .filter(|bin| bin.bran_owed_ml.get() >= WORTH_SAYING_ML);
        let lines = owing.map(|bin| {
            let owed = self.measures.bran(bin.bran_owed_ml.get());
            say!(self.voice, "bran-owed-answer", bin = capital(&bin.bin), bran = owed)
        });
        let said = lines.fold(Text::default(), |said, line| said.newline(&line));
        if !said.is_empty() {
            return said;
        }
        let (low, high) = (self.measures.bran(bran::DOSE.low), self.measures.bran(bran::DOSE.high));
        say!(self.voice, "bran-none-owed", low = low, high = high)
    }

    /// The batch that more would go to: that of the bin that is named, or the first that fills.
    pub(super) fn filling(&self, bin: Option<&str>) -> Option<&Batch> {
        let named = bin.and_then(|bin| self.room.bin(bin)).and_then(Bin::filling);
        named.or_else(|| self.room.bins_in_use().find_map(Bin::filling))
    }

    fn dilution(&self, ml: Option<f64>) -> Text {
        match ml.filter(|ml| *ml > 0.0) {
            Some(ml) => self.mixture(&dilution::dilute(Millilitres(ml))),
            None => self.proportion(&dilution::dilute(SPOONFUL)),
        }
    }

    /// A spoonful with its water, where nobody said how much there is.
    pub(super) fn proportion(&self, mixed: &Dilution) -> Text {
        say!(
            self.voice,
            "dilution-rule-at",
            parts = mixed.ratio.round() as i64,
            small = self.measures.volume(mixed.liquid.get()),
            unit = self.measures.volume(mixed.water.value.get()),
        )
    }

    /// So much liquid with its water.
    pub(super) fn mixture(&self, mixed: &Dilution) -> Text {
        say!(
            self.voice,
            "dilution-for",
            water = self.measures.volume(mixed.water.value.get()),
            liquid = self.measures.volume(mixed.liquid.get()),
            can = self.measures.volume(dilution::CAN.value),
            parts = mixed.ratio.round() as i64,
            cans = mixed.cans.value.get().round().max(1.0) as i64,
            area = self.measures.area(mixed.area.value.get()),
        )
    }

    fn tally(&self, slots: &Slots) -> Text {
        let sum = tally::tally(self.room, self.midnight(slots.since), self.now);
        let measures = self.measures;
        let kept_out = say!(
            self.voice,
            "tally-all",
            mass = measures.mass(sum.kept_out.value.get()),
            span = measures.mass_span(sum.kept_out.low().get(), sum.kept_out.high().get()),
            batches = i64::from(sum.batches),
        );
        let earth = if sum.batches > 0 {
            say!(self.voice, "tally-earth", earth = measures.about_volume(sum.earth.value.get()))
        } else {
            Text::default()
        };
        let (drained, bran) = (measures.volume(sum.drained.get()), measures.volume(sum.bran.get()));
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
