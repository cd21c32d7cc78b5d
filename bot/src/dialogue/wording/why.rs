//! Where a number came from: the formula in words, what went into it and from where, and what would narrow it.

use branbell_scheduler::quantity::{
    Derivation, Narrows, Origin, Source, Term, Value, bran, bury, dilution, ferment, fill, liquid, rest,
    starter, tally,
};
use branbell_scheduler::units::{Grams, Millilitres};

use super::super::Topic;
use super::Speaker;
use crate::say;
use crate::voice::Text;

/// A derivation rests on others; this deep is enough to see every constant that matters, and still fits a phone.
const DEEPEST: usize = 2;

/// No more inputs than this are listed, the nearest first.
const MOST_TERMS: usize = 9;

impl Speaker<'_> {
    /// Where the number that was said last came from.
    pub(super) fn why(&self, topic: Option<&Topic>) -> Text {
        let why = topic.and_then(|topic| self.derivation(topic));
        why.map_or_else(|| say!(self.voice, "why-none"), |why| self.derived(&why))
    }

    /// The derivation of a number, as it is now.
    fn derivation(&self, topic: &Topic) -> Option<Derivation> {
        let (room, now) = (self.room, self.now);
        Some(match topic {
            Topic::Ready(bin) => ferment::ferment(room, room.bin(bin)?, now)?.ready.why,
            Topic::Full(bin) => fill::fill(room, room.bin(bin)?, now)?.full?.why,
            Topic::Level(bin) => fill::fill(room, room.bin(bin)?, now)?.occupied.why,
            Topic::Liquid(bin) => liquid::waiting(room, room.bin(bin)?, now)?.why,
            Topic::Bran(bin) => bran::owed(room, room.bin(bin)?.batch.as_ref()?).why,
            Topic::Dose(ml) => bran::dose(None, Millilitres(*ml), &[]).why,
            Topic::Water(ml) => dilution::dilute(Millilitres(*ml)).water.why,
            Topic::Trench(bin) => bury::trench(room, room.bin(bin)?)?.length.why,
            Topic::Rest(plot) => rest::rest(room, room.plot(plot)?, now)?.over.why,
            Topic::Stock => {
                let outlook = starter::outlook(room, now)?;
                outlook.out.map_or(outlook.stock.why, |out| out.why)
            }
            Topic::Recipe(g) => starter::recipe(Grams(*g)).water.why,
            Topic::Tally => tally::tally(room, None, now).kept_out.why,
        })
    }

    fn derived(&self, why: &Derivation) -> Text {
        let mut terms = Vec::new();
        self.terms(why, 0, &mut terms);
        terms.truncate(MOST_TERMS);
        let id = format!("why-{}", why.formula.id.replace('.', "-"));
        let formula = match self.voice.find(&id) {
            Some(words) => words,
            None => say!(self.voice, "why-formula", formula = words(why.formula.expression)),
        };
        let listed = terms.into_iter().fold(formula, |said, term| said.newline(&term));
        let narrows: Vec<String> =
            why.narrows.iter().map(|narrows| self.voice.word(narrows_id(*narrows))).collect();
        if narrows.is_empty() {
            return listed;
        }
        listed.newline(&say!(self.voice, "why-narrows", what = self.choices(&narrows)))
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
        let origin = self.origin(&term.origin)?;
        Some(say!(self.voice, "why-term", name = words(term.name), value = value, origin = origin))
    }

    fn origin(&self, origin: &Origin) -> Option<String> {
        let voice = self.voice;
        Some(match origin {
            Origin::Facts(facts) if facts.is_empty() => return None,
            Origin::Facts(facts) => say!(voice, "why-told", count = facts.len()).plain(),
            Origin::Constant(source) => self.source(*source),
            Origin::Learnt { observations, prior } => {
                say!(voice, "why-learnt", count = *observations, prior = self.source(*prior)).plain()
            }
            Origin::Derived(_) => voice.word("why-derived"),
            Origin::Asked => voice.word("why-asked"),
            Origin::Clock => voice.word("why-clock"),
        })
    }

    fn source(&self, source: Source) -> String {
        match source {
            Source::Published(source) => source.to_owned(),
            Source::Practice => self.voice.word("why-practice"),
            Source::Memory(source) => say!(self.voice, "why-memory", source = source).plain(),
            Source::Judgement(reason) => say!(self.voice, "why-judgement", reason = reason).plain(),
        }
    }

    /// A number in the room's units, by its UCUM code.
    fn number(&self, value: f64, unit: &str) -> String {
        let measures = self.measures;
        match unit {
            "mL" => measures.about_volume(value),
            "g" => measures.mass(value),
            "Cel" => measures.temperature(value),
            "cm" => measures.length(value),
            "m2" => measures.area(value),
            "d" => say!(self.voice, "why-days", count = plain(value)).plain(),
            "1" => plain(value),
            other => format!("{} {other}", plain(value)),
        }
    }
}

/// A bare number, three figures.
fn plain(value: f64) -> String {
    let decimals = if value.abs() >= 100.0 { 0 } else { 2 };
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
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
