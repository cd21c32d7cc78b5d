//! How a number came about: its inputs, its formula, its constants with their sources, and what would narrow it.
//!
//! A quantity is made only by evaluating a [`Formula`] over the terms of its [`Derivation`], so the terms are complete:
//! evaluating them again gives the number, which [`Derivation::recompute`] does.

use super::{Constant, Quantity, Source};
use crate::units::{Days, Unit};

/// A value with its bounds, before it has a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// The lower bound, where it is uncertain.
    pub low: Option<f64>,
    /// The upper bound.
    pub high: Option<f64>,
}

impl Estimate {
    /// A value that is certain.
    pub fn exact(value: f64) -> Self {
        Self { value, low: None, high: None }
    }

    /// A value with bounds, put in order.
    pub fn between(low: f64, value: f64, high: f64) -> Self {
        Self { value, low: Some(low.min(value)), high: Some(high.max(value)) }
    }
}

/// A formula: its name, how it reads, and how it is evaluated.
#[derive(Debug)]
pub struct Formula {
    /// Its name, by which a language words it: `liquid.waiting`.
    pub id: &'static str,
    /// The formula over the names of its terms: `yield * scraps`.
    pub expression: &'static str,
    /// Evaluates it over the terms of a derivation, and nothing else.
    pub evaluate: fn(&Derivation) -> Estimate,
}

/// How a number came about.
#[derive(Clone, Debug)]
pub struct Derivation {
    /// The formula.
    pub formula: &'static Formula,
    /// What went into it, in the order of the formula.
    pub terms: Vec<Term>,
    /// What would narrow the range, the most useful first.
    pub narrows: Vec<Narrows>,
}

/// One thing that went into a number.
#[derive(Clone, Debug)]
pub struct Term {
    /// Its name in the formula.
    pub name: &'static str,
    /// Its value.
    pub value: Value,
    /// The UCUM code of its unit.
    pub unit: &'static str,
    /// Where it came from.
    pub origin: Origin,
}

/// The value of a term.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number with its bounds.
    Number(Estimate),
    /// A course: pairs of a place (days, or an index) and a value.
    Course(Vec<(f64, f64)>),
}

/// Where a term came from.
#[derive(Clone, Debug)]
pub enum Origin {
    /// From what people told: the facts' places in the log.
    Facts(Vec<i64>),
    /// A constant.
    Constant(Source),
    /// Learnt in this room from so many observations, starting from a customary or published value.
    Learnt {
        /// How many observations.
        observations: usize,
        /// Where the start value came from.
        prior: Source,
    },
    /// From another number.
    Derived(Box<Derivation>),
    /// From the question.
    Asked,
    /// From the clock.
    Clock,
}

/// What would narrow a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Narrows {
    /// A temperature reading now and then.
    Temperature,
    /// A report how full the bin is.
    Level,
    /// Telling what is drained each time.
    Drains,
    /// Weighing a few lots.
    Weights,
    /// Telling what foods went in.
    Foods,
    /// More weeks of logs.
    MoreWeeks,
    /// A look at the stock of bran.
    Stock,
    /// The soil's temperature.
    SoilTemperature,
    /// A pH strip.
    PhStrip,
    /// A look and a smell.
    Check,
    /// The size of the bin.
    Capacity,
    /// The area of the plot.
    Area,
}

/// The value of the first term, whatever its range.
fn first_as_it_is(why: &Derivation) -> Estimate {
    Estimate::exact(why.terms.first().map_or(0.0, |term| why.value(term.name)))
}

impl Derivation {
    /// A derivation by `formula`, without terms yet.
    pub fn by(formula: &'static Formula) -> Self {
        Self { formula, terms: Vec::new(), narrows: Vec::new() }
    }

    /// The derivation of a constant that is used as it is, with its range.
    pub fn of_constant(constant: &Constant) -> Self {
        static CONSTANT: Formula = Formula {
            id: "constant",
            expression: "constant",
            evaluate: |why| why.terms.first().map_or(Estimate::exact(0.0), |term| why.estimate(term.name)),
        };
        Self::by(&CONSTANT).constant(constant)
    }

    /// The derivation of a number that is as people told it.
    pub fn of_told<U: Unit>(value: U, facts: Vec<i64>) -> Self {
        static TOLD: Formula = Formula { id: "told", expression: "told", evaluate: first_as_it_is };
        Self::by(&TOLD).told("told", value, facts)
    }

    /// The derivation of a length of time by the clock, since what facts told.
    pub fn of_elapsed(elapsed: Days, since: Vec<i64>) -> Self {
        static ELAPSED: Formula =
            Formula { id: "elapsed", expression: "now - since", evaluate: first_as_it_is };
        Self::by(&ELAPSED).clock("elapsed", elapsed).course(
            "since",
            Vec::new(),
            Days::CODE,
            Origin::Facts(since),
        )
    }

    /// Adds a term.
    #[must_use]
    pub fn term(mut self, name: &'static str, value: Estimate, unit: &'static str, origin: Origin) -> Self {
        self.terms.push(Term { name, value: Value::Number(value), unit, origin });
        self
    }

    /// Adds a number that people told.
    #[must_use]
    pub fn told<U: Unit>(self, name: &'static str, value: U, facts: Vec<i64>) -> Self {
        self.term(name, Estimate::exact(value.get()), U::CODE, Origin::Facts(facts))
    }

    /// Adds a number from the question.
    #[must_use]
    pub fn asked<U: Unit>(self, name: &'static str, value: U) -> Self {
        self.term(name, Estimate::exact(value.get()), U::CODE, Origin::Asked)
    }

    /// Adds a number that the clock gives.
    #[must_use]
    pub fn clock(self, name: &'static str, value: Days) -> Self {
        self.term(name, Estimate::exact(value.get()), Days::CODE, Origin::Clock)
    }

    /// Adds a constant with its source.
    #[must_use]
    pub fn constant(self, constant: &Constant) -> Self {
        self.term(constant.name, constant.estimate(), constant.unit, Origin::Constant(constant.source))
    }

    /// Adds another quantity with its own derivation.
    #[must_use]
    pub fn quantity<U: Unit>(self, name: &'static str, quantity: &Quantity<U>) -> Self {
        let estimate = Estimate {
            value: quantity.value.get(),
            low: quantity.low.map(Unit::get),
            high: quantity.high.map(Unit::get),
        };
        self.term(name, estimate, U::CODE, Origin::Derived(Box::new(quantity.why.clone())))
    }

    /// Adds a course of values.
    #[must_use]
    pub fn course(
        mut self,
        name: &'static str,
        course: Vec<(f64, f64)>,
        unit: &'static str,
        origin: Origin,
    ) -> Self {
        self.terms.push(Term { name, value: Value::Course(course), unit, origin });
        self
    }

    /// Says what would narrow the range.
    #[must_use]
    pub fn narrowed_by(mut self, narrows: impl IntoIterator<Item = Narrows>) -> Self {
        self.narrows.extend(narrows);
        self
    }

    /// Evaluates the formula over the terms.
    pub fn recompute(&self) -> Estimate {
        (self.formula.evaluate)(self)
    }

    /// The term of that name as a number with its bounds; exactly nothing where there is none.
    pub fn estimate(&self, name: &str) -> Estimate {
        self.terms
            .iter()
            .find_map(|term| match &term.value {
                Value::Number(estimate) if term.name == name => Some(*estimate),
                _ => None,
            })
            .unwrap_or(Estimate::exact(0.0))
    }

    /// The value of the term of that name.
    pub fn value(&self, name: &str) -> f64 {
        self.estimate(name).value
    }

    /// The lower bound of the term of that name, or its value.
    pub fn low(&self, name: &str) -> f64 {
        let estimate = self.estimate(name);
        estimate.low.unwrap_or(estimate.value)
    }

    /// The upper bound of the term of that name, or its value.
    pub fn high(&self, name: &str) -> f64 {
        let estimate = self.estimate(name);
        estimate.high.unwrap_or(estimate.value)
    }

    /// The sum of all terms of that name, bound by bound.
    pub fn sum(&self, name: &str) -> Estimate {
        let mut sum = [0.0; 3];
        for term in self.terms.iter().filter(|term| term.name == name) {
            if let Value::Number(Estimate { value, low, high }) = term.value {
                sum[0] += low.unwrap_or(value);
                sum[1] += value;
                sum[2] += high.unwrap_or(value);
            }
        }
        Estimate::between(sum[0], sum[1], sum[2])
    }

    /// The course of that name; an empty one where there is none.
    pub fn points(&self, name: &str) -> &[(f64, f64)] {
        self.terms
            .iter()
            .find_map(|term| match &term.value {
                Value::Course(course) if term.name == name => Some(course.as_slice()),
                _ => None,
            })
            .unwrap_or(&[])
    }

    /// The facts that went in, those of other numbers included, in the order of the log.
    pub fn facts(&self) -> Vec<i64> {
        let mut all: Vec<i64> = self
            .terms
            .iter()
            .flat_map(|term| match &term.origin {
                Origin::Facts(seqs) => seqs.clone(),
                Origin::Derived(inner) => inner.facts(),
                _ => Vec::new(),
            })
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}
