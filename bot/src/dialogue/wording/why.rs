//! Where a number came from: the formula in words, what went into it and from where, and what would narrow it.

use branbell_scheduler::fact::What;
use branbell_scheduler::plan::{NudgeKind, WEEK, silence};
use branbell_scheduler::quantity::tally::Disposal;
use branbell_scheduler::quantity::{
    Derivation, Narrows, Origin, Source, Term, Value, acid, bran, bury, density, dilution, ferment, fill,
    liquid, nitrogen, rest, rotation, starter, tally,
};
use branbell_scheduler::state::Room;
use branbell_scheduler::units::{
    Celsius, Centimetres, Days, Density, Grams, GramsPerSquareMetre, Millilitres, MillilitresPerLitre,
    SquareMetres,
};
use fluent_bundle::FluentArgs;

use super::super::Topic;
use super::Speaker;
use super::acceptable::LITRE;
use super::inquiry::SEED;
use super::starter::CUSTOMARY_LIQUIDS;
use crate::say;
use crate::voice::{Text, plain};

/// A derivation rests on others; this deep is enough to see every constant that matters, and still fits a phone.
const DEEPEST: usize = 2;

/// No more inputs than this are listed, the nearest first.
const MOST_TERMS: usize = 9;

impl Speaker<'_> {
    /// Where the number that was said last came from.
    pub(super) fn why(&self, topic: Option<&Topic>) -> Text {
        if topic == Some(&Topic::Turns) {
            return self.why_turns();
        }
        let why = topic.and_then(|topic| self.derivation(topic));
        let said = why.map_or_else(|| say!(self.voice, "why-none"), |why| self.derived(&why));
        match topic {
            Some(Topic::Recipe(_)) => said.newline(&self.derived(&starter::customary_moisture().why)),
            _ => said,
        }
    }

    /// The derivation of a number, as it is now.
    pub(super) fn derivation(&self, topic: &Topic) -> Option<Derivation> {
        let (room, now) = (self.room, self.now);
        Some(match topic {
            Topic::Ready(bin) => ferment::ferment(room, room.bin(bin)?, now)?.ready.why,
            Topic::Full(bin) => fill::fill(room, room.bin(bin)?, now)?.full?.why,
            Topic::Level(bin) => fill::fill(room, room.bin(bin)?, now)?.occupied.why,
            Topic::Liquid(bin) => liquid::waiting(room, room.bin(bin)?, now)?.why,
            Topic::Bran(bin) => bran::owed(room, room.bin(bin)?.batch.as_ref()?).why,
            Topic::Dose(ml, foods, bin) => bran::dose(self.filling(bin.as_deref()), *ml, foods).why,
            Topic::FirstLayer => bran::dose(None, Millilitres::ZERO, &[]).why,
            Topic::TopLayer(bin) => bran::top(room, room.bin(bin)?.batch.as_ref()?).why,
            Topic::Progress(bin) => ferment::ferment(room, room.bin(bin)?, now)?.progress.why,
            Topic::Brewed => starter::brewed(room.starter.brewing(now).last()?).why,
            Topic::Silence => silence(room, now)?,
            Topic::Week(until) => tally::tally(room, Some(*until - WEEK), *until).kept_out.why,
            Topic::Expected(seq) => {
                let drain = room.fact(*seq)?;
                let What::Drained { bin, .. } = &drain.what else { return None };
                let before = Room::fold(room.facts().filter(|fact| fact.seq < *seq));
                liquid::waiting(&before, before.bin(bin)?, drain.at)?.why
            }
            Topic::Water(ml) => dilution::dilute(*ml).water.why,
            Topic::Trench(bin) => bury::trench(room, room.bin(bin)?)?.length.why,
            Topic::TrenchCut(bin, width, depth) => {
                let cut = bury::Cut { width: *width, depth: *depth };
                bury::trench_in(room, room.bin(bin)?, cut)?.length.why
            }
            Topic::Acid(ph) => acid::undissociated(*ph).why,
            Topic::Sour => Derivation::of_constant(&acid::SOUR),
            Topic::SoilPh => Derivation::of_constant(&acid::SOIL),
            Topic::Rest(plot) => rest::rest(room, room.plot(plot)?, now)?.over.why,
            Topic::Stock => {
                let outlook = starter::outlook(room, now)?;
                outlook.out.map_or(outlook.stock.why, |out| out.why)
            }
            Topic::Recipe(g) => starter::recipe(*g).water.why,
            Topic::Tally => tally::tally(room, None, now).kept_out.why,
            Topic::TallySince(day) => tally::tally(room, self.midnight(Some(*day)), now).kept_out.why,
            Topic::Bins(further) => {
                let rotation = rotation::rotation(room, further, now, SEED)?;
                if further.is_empty() { rotation.needed.why } else { rotation.all_full.why }
            }
            Topic::Emissions(since) => {
                let kept_out = tally::tally(room, self.midnight(*since), now).kept_out;
                tally::co2e(&kept_out, Disposal::Landfill).why
            }
            Topic::Ground => match nitrogen::yearly(room, now) {
                Some(yearly) => nitrogen::area_for(&yearly).why,
                // Too early to say what a year takes, the beds were told of: the last number is that of the last of them.
                None => room.plots.iter().rev().find_map(|plot| nitrogen::load(room, plot, now))?.why,
            },
            Topic::Load(plot) => nitrogen::load(room, room.plot(plot)?, now)?.why,
            Topic::Diluted(ml, parts) => dilution::dilute_to(*ml, *parts).water.why,
            Topic::Soil(bin) => bury::trench(room, room.bin(bin)?)?.container.why,
            Topic::PotSoil(bin) => bury::trench(room, room.bin(bin)?)?.container_soil.why,
            Topic::Compost(bin) => bury::trench(room, room.bin(bin)?)?.compost.why,
            Topic::Turns => return None,
        })
    }

    /// Why it is somebody's turn: no number, but what counts.
    fn why_turns(&self) -> Text {
        let minutes = |kind: NudgeKind| kind.effort().round() as i64;
        say!(
            self.voice,
            "why-turns",
            drain = minutes(NudgeKind::Drain),
            seal = minutes(NudgeKind::Seal),
            bury = minutes(NudgeKind::Bury),
        )
    }

    fn derived(&self, why: &Derivation) -> Text {
        let mut terms = Vec::new();
        self.terms(why, 0, &mut terms);
        terms.truncate(MOST_TERMS);
        let id = format!("why-{}", why.formula.id.replace(['.', '_'], "-"));
        let formula = match self.voice.find(&id, &self.constants()) {
            Some(words) => words,
            None => say!(self.voice, "why-formula", formula = Text::of_words(&words(why.formula.expression))),
        };
        let listed = terms.into_iter().fold(formula, |said, term| said.newline(&term));
        let narrows: Vec<String> =
            why.narrows.iter().map(|narrows| self.voice.word(narrows_id(*narrows))).collect();
        if narrows.is_empty() {
            return listed;
        }
        let narrows = Text::of_words(&self.choices(&narrows));
        listed.newline(&say!(self.voice, "why-narrows", what = narrows))
    }

    /// The constants that formulas in words name, in the room's units.
    fn constants(&self) -> FluentArgs<'static> {
        let measures = self.measures;
        let kilo = starter::recipe(Grams(1000.0));
        let mut args = FluentArgs::new();
        for (name, constant) in [
            ("indoors", measures.temperature(ferment::REFERENCE)),
            ("outdoors", measures.temperature(Celsius(rest::REFERENCE.value))),
            ("colder", measures.warmer(rest::TEN_DEGREES)),
            ("litre", measures.volume(LITRE)),
            ("kilo", measures.mass(kilo.bran)),
            ("liquids", measures.about_volume(kilo.liquids)),
            ("customary", measures.volume(CUSTOMARY_LIQUIDS)),
            ("density", measures.density(Density(density::DENSITY.value))),
        ] {
            args.set(name, constant);
        }
        args
    }

    fn terms(&self, why: &Derivation, depth: usize, said: &mut Vec<Text>) {
        for term in &why.terms {
            if let Some(text) = self.term(term) {
                said.push(text);
            }
        }
        if depth + 1 < DEEPEST {
            for term in &why.terms {
                if let Origin::Derived(inner) = &term.origin {
                    self.terms(inner, depth + 1, said);
                }
            }
        }
    }

    fn term(&self, term: &Term) -> Option<Text> {
        let value = match &term.value {
            Value::Number(estimate) => self.number(estimate.value, term.unit),
            Value::Course(points) if points.is_empty() => return None,
            Value::Course(points) if term.unit == "Cel" => {
                let mean = points.iter().map(|(_, value)| value).sum::<f64>() / points.len() as f64;
                self.number(mean, term.unit)
            }
            // The inner workings of a forecast: many numbers that say nothing by themselves.
            Value::Course(_) => return None,
        };
        let is_nothing = matches!(term.value, Value::Number(estimate) if estimate.value == 0.0);
        let is_untold = matches!(&term.origin, Origin::Facts(facts) if facts.is_empty());
        if is_nothing && is_untold {
            return None;
        }
        let origin = self.origin(&term.origin);
        let name = self.voice.find(&format!("why-name-{}", term.name.replace('_', "-")), &FluentArgs::new());
        let name = name.unwrap_or_else(|| Text::of_words(&words(term.name)));
        Some(say!(self.voice, "why-term", name = name, value = value, origin = origin))
    }

    /// Texts, not words that people brought in: a source is given whole.
    fn origin(&self, origin: &Origin) -> Text {
        let voice = self.voice;
        match origin {
            Origin::Facts(facts) if facts.is_empty() => say!(voice, "why-as-told"),
            Origin::Facts(facts) => say!(voice, "why-told", count = facts.len(), days = self.days_of(facts)),
            Origin::Constant(source) => self.source(*source),
            Origin::Learnt { observations: 0, prior } => self.source(*prior),
            Origin::Learnt { observations, prior } => {
                say!(voice, "why-learnt", count = *observations, prior = self.source(*prior))
            }
            Origin::Derived(_) => say!(voice, "why-derived"),
            Origin::Asked => say!(voice, "why-asked"),
            Origin::Clock => say!(voice, "why-clock"),
        }
    }

    /// The days that these facts speak of: `3 to 9 April`.
    fn days_of(&self, facts: &[i64]) -> String {
        let moments = || facts.iter().filter_map(|seq| Some(self.room.fact(*seq)?.at));
        let span = moments().min().zip(moments().max());
        span.map(|(first, last)| self.calendar.span(first, last)).unwrap_or_default()
    }

    fn source(&self, source: Source) -> Text {
        match source {
            Source::Published(source) => Text::of_words(source),
            Source::Practice => say!(self.voice, "why-practice"),
            Source::Memory(source) => say!(self.voice, "why-memory", source = Text::of_words(source)),
            Source::Judgement(reason) => say!(self.voice, "why-judgement", reason = Text::of_words(reason)),
        }
    }

    fn a_day(&self, amount: &str) -> String {
        say!(self.voice, "why-a-day", amount = amount).plain()
    }

    /// A number in the room's units, by its UCUM code.
    fn number(&self, value: f64, unit: &str) -> String {
        let measures = self.measures;
        match unit {
            "mL" => measures.about_volume(Millilitres(value)),
            "g" => measures.mass(Grams(value)),
            "Cel" => measures.temperature(Celsius(value)),
            "cm" => measures.length(Centimetres(value)),
            "m2" => measures.area(SquareMetres(value)),
            "g/m2" => measures.load(GramsPerSquareMetre(value)),
            "mL/d" => self.a_day(&measures.about_volume(Millilitres(value))),
            "g/d" => self.a_day(&measures.mass(Grams(value))),
            "d" if value.fract() == 0.0 => self.days(Days(value)),
            "d" => say!(self.voice, "why-days", count = plain(value)).plain(),
            "1" | "[pH]" => plain(value),
            "g/mL" => measures.density(Density(value)),
            "mL/L" => measures.dose(MillilitresPerLitre(value)),
            other => format!(
                "{} {}",
                plain(value),
                other.replace("mL", "ml").replace("L/", "l/").replace("/L", "/l")
            ),
        }
    }
}

/// A name of the model as words.
fn words(name: &str) -> String {
    name.replace('_', " ").replace('*', "×")
}

fn narrows_id(narrows: Narrows) -> &'static str {
    match narrows {
        Narrows::Temperature => "narrows-temperature",
        Narrows::Level => "narrows-level",
        Narrows::Drains => "narrows-drains",
        Narrows::Weights => "narrows-weights",
        Narrows::Foods => "narrows-foods",
        Narrows::MoreWeeks => "narrows-more-weeks",
        Narrows::Stock => "narrows-stock",
        Narrows::SoilTemperature => "narrows-soil-temperature",
        Narrows::PhStrip => "narrows-ph-strip",
        Narrows::Check => "narrows-check",
        Narrows::Capacity => "narrows-capacity",
        Narrows::Area => "narrows-area",
    }
}
