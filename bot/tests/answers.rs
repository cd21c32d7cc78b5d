//! Every number in every answer comes from a derivation: what is left of an answer when all that its derivations give, worked
//! out again from their terms, is taken out of it, has no digit in it. The same holds of the terms that a `why?` lists.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use branbell::chat::{Deed, Incoming};
use branbell::dialogue::{self, Heard, Topic, decide, wording};
use branbell::voice::{Calendar, Measures, Voice};
use branbell_scheduler::fact::{Fact, Food, Place, Units, What};
use branbell_scheduler::quantity::rotation::{self, Rotation};
use branbell_scheduler::quantity::tally::{self, Disposal};
use branbell_scheduler::quantity::{
    Derivation, Estimate, Origin, Quantity, Source, Term, Value, When, bran, bury, density, dilution,
    ferment, fill, liquid, nitrogen, rest, starter,
};
use branbell_scheduler::units::{Grams, Millilitres, Unit};
use branbell_scheduler::{Room, hints, plan};
use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

fn day(days: f64) -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2027, 4, 1, 8, 0, 0).unwrap() + TimeDelta::minutes((days * 1440.0) as i64)
}

/// A kitchen with a batch sealed, one filling, one buried, bran in stock and some brewing.
fn facts(units: Units) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut tell = |at: f64, what: What| {
        let seq = i64::try_from(facts.len()).unwrap() + 1;
        let (at, author) = (day(at), "ana".to_owned());
        facts.push(Fact { seq, event: format!("$e{seq}"), author, at, told: at, what });
    };
    tell(0.0, What::Opened { zone: Tz::Europe__Vienna, units, direct: true });
    for (bin, ml) in [("green", 19_000.0), ("blue", 15_000.0), ("grey", 8_000.0)] {
        tell(0.0, What::BinSet { bin: bin.into(), capacity_ml: Some(ml), tap: Some(true) });
    }
    tell(0.0, What::PlotSet { plot: "south".into(), area_m2: Some(3.6) });
    tell(0.0, What::StarterBought { g: Some(600.0), ml: None });
    for d in 0..40 {
        let at = f64::from(d);
        let bin = ["grey", "green", "blue"][[0, 5, 20].iter().filter(|from| d >= **from).count() - 1];
        let g = (d % 6 == 0).then_some(720.0);
        let foods = [vec![], vec![Food::Vegetable], vec![Food::Meat]][d as usize % 3].clone();
        tell(at + 0.4, What::Scraps { bin: bin.into(), ml: Some(1300.0), g, foods });
        tell(at + 0.41, What::Bran { bin: bin.into(), ml: Some(25.0), g: None });
        if d % 3 == 2 {
            tell(at + 0.42, What::Drained { bin: bin.into(), ml: 130.0, used: None, estimated: false });
        }
        match d {
            4 => tell(at + 0.45, What::Sealed { bin: "grey".into() }),
            12 => tell(at + 0.45, What::Level { bin: "green".into(), fraction: 0.45 }),
            19 => tell(at + 0.45, What::Sealed { bin: "green".into() }),
            21 => tell(at + 0.45, What::Temperature { place: Place::Room, c: 19.0 }),
            22 => tell(
                at + 0.45,
                What::Buried { bin: "grey".into(), plot: Some("south".into()), depth_cm: None },
            ),
            25 => tell(at + 0.45, What::StarterMade { g: 900.0 }),
            _ => {}
        }
    }
    facts
}

/// What may stand in an answer, written in all the ways in which such a thing is written.
struct Written<'a> {
    measures: Measures,
    calendar: Calendar<'a>,
    forms: Vec<String>,
    /// Whether what stands in a `why?` counts too: bare numbers, sources, and from how many logs.
    explains: bool,
}

impl Written<'_> {
    /// A derivation's number, worked out again, and what went into it, all the way down.
    fn why(&mut self, why: &Derivation, unit: &str) {
        self.estimate(why.recompute(), unit);
        for term in &why.terms {
            if let Value::Number(estimate) = term.value {
                self.estimate(estimate, term.unit);
            }
            if let Origin::Derived(inner) = &term.origin {
                self.why(inner, term.unit);
            }
            if self.explains {
                self.origin(term);
            }
        }
    }

    /// What is said of a term in a `why?` beside its number.
    fn origin(&mut self, term: &Term) {
        if let Value::Course(points) = &term.value
            && term.unit == "Cel"
        {
            let mean = points.iter().map(|(_, value)| value).sum::<f64>() / points.len().max(1) as f64;
            self.estimate(Estimate::exact(mean), term.unit);
        }
        let source = match &term.origin {
            Origin::Constant(source) => *source,
            Origin::Learnt { observations, prior } => {
                self.forms.push(format!("from {observations} logs"));
                *prior
            }
            Origin::Facts(facts) => return self.forms.push(format!("from {} logs", facts.len())),
            _ => return,
        };
        if let Source::Published(text) | Source::Memory(text) | Source::Judgement(text) = source {
            self.forms.push(text.to_owned());
        }
    }

    fn quantity<U: Unit>(&mut self, quantity: &Quantity<U>) {
        assert!(
            (quantity.why.recompute().value - quantity.value.get()).abs()
                <= 1e-9 * quantity.value.get().abs()
        );
        self.why(&quantity.why, U::CODE);
    }

    /// A moment: its days, worked out again, after the one from which they count.
    fn when(&mut self, when: &When) {
        let estimate = when.why.recompute();
        let at = |days: f64| when.from + TimeDelta::milliseconds((days * 86_400_000.0) as i64);
        let [early, late] = [estimate.low, estimate.high].map(|bound| at(bound.unwrap_or(estimate.value)));
        assert!((at(estimate.value) - when.at).num_seconds().abs() <= 1, "{when:?}");
        // A span that ends on one day is said as that day.
        self.forms.extend([early, at(estimate.value), late].map(|moment| self.calendar.day(moment)));
        self.forms.push(self.calendar.span(early, late));
        self.forms.push(format!("{} days", (at(estimate.value) - when.from).num_days()));
        self.why(&when.why, "d");
    }

    fn estimate(&mut self, Estimate { value, low, high }: Estimate, unit: &str) {
        let bounds = [low.unwrap_or(value), high.unwrap_or(value)];
        self.forms.extend(match unit {
            "mL" => vec![self.measures.volume_span(bounds[0], bounds[1])],
            "g" => vec![self.measures.mass_span(bounds[0], bounds[1])],
            "m2" => vec![self.measures.area_span(bounds[0], bounds[1])],
            _ => Vec::new(),
        });
        for value in [value, bounds[0], bounds[1]] {
            let forms = self.number(value, unit);
            self.forms.extend(forms);
            if self.explains {
                self.forms.extend([plain(value), self.measures.about_volume(value)]);
            }
        }
    }

    fn number(&self, value: f64, unit: &str) -> Vec<String> {
        let measures = self.measures;
        match unit {
            "mL" => vec![measures.volume(value), measures.about_volume(value), measures.bran(value)],
            "mL/L" => vec![measures.bran(value)],
            "g" | "g/d" => vec![measures.mass(value)],
            "cm" => vec![measures.length(value)],
            "m2" => vec![measures.area(value), measures.about_area(value)],
            "g/m2" => vec![measures.load(value)],
            "Cel" => vec![measures.temperature(value)],
            "d" => vec![format!("{} days", value.round())],
            "kg/kg" => vec![format!("{value:.2} "), format!("{value:.2})")],
            "1" => vec![
                format!("{:.0} %", value * 100.0),
                format!("{:.0} %", (value * 20.0).round() * 5.0),
                format!("1 to {value:.0}"),
                format!("{value:.0} parts of water"),
                format!("{value:.0} bins are"),
                format!("you need {value:.0}."),
                format!("({value:.0} to"),
                format!("{value:.0})"),
                format!("{value:.0} cans"),
            ],
            _ => Vec::new(),
        }
    }

    fn rotation(&mut self, rotation: &Rotation) {
        self.quantity(&rotation.filling);
        self.quantity(&rotation.fermenting);
        self.quantity(&rotation.needed);
        self.quantity(&rotation.all_full);
        // Counted.
        self.forms.push(format!("the {} you have", rotation.bins));
        self.forms.push(format!("makes {},", rotation.bins));
    }

    /// All that a room can say of itself.
    fn room(&mut self, room: &Room, now: DateTime<Utc>) {
        for bin in room.bins_in_use() {
            if let Some(capacity) = bin.capacity {
                self.forms.push(self.measures.volume(capacity.get()));
            }
            if let Some(fill) = fill::fill(room, bin, now) {
                self.quantity(&fill.occupied);
                if let Some(capacity) = bin.capacity {
                    let occupied = fill.occupied.why.recompute().value;
                    let (part, whole) = self.measures.share(occupied, capacity.get());
                    self.forms.push(format!("{part} of {whole}"));
                }
                fill.full.iter().for_each(|full| self.when(full));
            }
            if let Some(days) = hints::filling_for(bin, now) {
                self.quantity(&days);
            }
            if let Some(waiting) = liquid::waiting(room, bin, now) {
                self.quantity(&waiting);
                self.quantity(&dilution::dilute(waiting.value).water);
            }
            if let Some(batch) = bin.batch.as_ref() {
                self.quantity(&bran::owed(room, batch));
                self.quantity(&bran::top(room, batch));
            }
            if let Some(ferment) = ferment::ferment(room, bin, now) {
                self.quantity(&ferment.progress);
                self.when(&ferment.ready);
                // By the clock: the day it is, since sealing.
                let length = ferment.ready.why.recompute().value.floor();
                let elapsed = (now - ferment.sealed_at).num_days() + 1;
                self.forms.push(format!("Day {elapsed} of about {length};"));
                self.forms.push(self.measures.temperature(ferment.mean.get()));
            }
            if let Some(trench) = bury::trench(room, bin) {
                self.quantity(&trench.length);
                self.quantity(&trench.spoil);
                self.quantity(&trench.container);
                self.quantity(&trench.container_soil);
                self.quantity(&trench.compost);
                self.quantity(&trench.soil);
            }
        }
        for plot in &room.plots {
            if let Some(load) = nitrogen::load(room, plot, now) {
                self.quantity(&load);
                self.quantity(&nitrogen::left(room, plot, now).unwrap());
            }
            if let Some(rest) = rest::rest(room, plot, now) {
                self.when(&rest.over);
                self.forms.push(format!("{} days", rest.rested.get().round()));
            }
        }
        if let Some(yearly) = nitrogen::yearly(room, now) {
            self.quantity(&yearly);
            self.quantity(&nitrogen::area_for(&yearly));
        }
        // When something is due is a rule of the plan, not a quantity.
        for nudge in plan(room, now) {
            self.forms.push(self.calendar.day(nudge.due));
        }
        self.quantity(&density::of(room));
        self.quantity(&ferment::days(room));
        for constant in [&ferment::ASSUMED, &ferment::COLD] {
            self.why(&Derivation::of_constant(constant), "Cel");
        }
        if let Some(outlook) = starter::outlook(room, now) {
            self.quantity(&outlook.stock);
            outlook.out.iter().for_each(|out| self.when(out));
            outlook.per_day.iter().for_each(|rate| self.quantity(rate));
            for brew in &outlook.brewing {
                self.when(&starter::brewed(brew));
                self.forms.push(self.measures.mass(brew.mass.get()));
            }
        }
        let tally = tally::tally(room, None, now);
        self.quantity(&tally.kept_out);
        self.why(&tally.drained_why, "mL");
        self.why(&tally.bran_why, "mL");
        self.quantity(&tally::co2e(&tally.kept_out, Disposal::Landfill));
        self.quantity(&tally::co2e(&tally.kept_out, Disposal::Incineration));
    }

    /// How its bins go round, with another one of 60 litres and without.
    fn bins(&mut self, room: &Room, now: DateTime<Utc>) {
        for further in [&[][..], &[Millilitres(60_000.0)]] {
            self.rotation(&rotation::rotation(room, further, now, 1).unwrap());
        }
    }

    /// What depends on the question.
    fn asked(&mut self, scraps: Millilitres, drained: Millilitres, bran_mass: Grams, batch: Option<&Room>) {
        let filling = batch.and_then(|room| room.bins_in_use().find_map(|bin| bin.filling()));
        for foods in [&[][..], &[Food::Meat]] {
            for litres in [scraps, Millilitres(1000.0)] {
                self.quantity(&bran::dose(filling, litres, foods));
            }
            self.quantity(&bran::dose(None, Millilitres::ZERO, foods));
        }
        for ml in [drained, Millilitres(10.0)] {
            for parts in [100.0, 200.0] {
                let mixed = dilution::dilute_to(ml, parts);
                self.quantity(&mixed.water);
                self.quantity(&mixed.cans);
                self.quantity(&mixed.area);
            }
        }
        // Stronger than customary is refused, and said back.
        self.forms.push("1 to 50".to_owned());
        let recipe = starter::recipe(bran_mass);
        self.quantity(&recipe.water);
        self.why(&starter::inoculant_why(bran_mass), "mL");
        self.why(&starter::molasses_why(bran_mass), "mL");
        self.quantity(&starter::customary_moisture());
        let all = starter::inoculant_why(bran_mass).recompute().value
            + starter::molasses_why(bran_mass).recompute().value
            + recipe.water.why.recompute().value;
        self.forms.push(self.measures.volume(all));
        // Of liquids as heavy as water.
        self.forms.push(self.measures.volume(1500.0));
    }

    /// What is left of a text without them.
    fn rest_of(&self, text: &str) -> String {
        let mut forms: Vec<&String> =
            self.forms.iter().filter(|form| form.contains(|c: char| c.is_ascii_digit())).collect();
        forms.sort_by_key(|form| std::cmp::Reverse(form.len()));
        forms.into_iter().fold(text.to_owned(), |left, form| take_out(&left, form))
    }
}

/// A bare number, three figures.
fn plain(value: f64) -> String {
    let decimals = (2.0 - value.abs().max(1e-4).log10().floor()).clamp(0.0, 6.0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Takes a form out where it stands by itself: `5 ml` is not found in `45 ml`.
fn take_out(text: &str, form: &str) -> String {
    let mut left = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(form) {
        let before = rest[..at].chars().next_back().or(left.chars().next_back());
        let after = rest[at + form.len()..].chars().next();
        let is_longer_before = before.is_some_and(|c| c.is_ascii_digit() || c == '.');
        let is_longer_behind =
            form.ends_with(char::is_alphanumeric) && after.is_some_and(char::is_alphanumeric);
        let stands_alone = !is_longer_before && !is_longer_behind;
        left.push_str(&rest[..at]);
        left.push_str(if stands_alone { "…" } else { form });
        rest = &rest[at + form.len()..];
    }
    left + rest
}

const QUESTIONS: [&str; 36] = [
    "how's everything?",
    "how's green?",
    "how's blue?",
    "when is green ready?",
    "when is blue ready?",
    "when will blue be full?",
    "does green need draining?",
    "how much bran for 2 litres?",
    "how much bran for 2 litres of meat?",
    "how much bran do I need?",
    "how much water for 300 ml?",
    "how much water for 300 ml at 1:200?",
    "how much water for 300 ml at 1:50?",
    "how do I dilute it?",
    "how big a hole do I need for green?",
    "how big a hole do I need?",
    "can I bury it in a pot?",
    "what do I do without a garden?",
    "can I mix it with compost?",
    "can I plant in south yet?",
    "how much bran have we got?",
    "how do I make 2 kg of bran?",
    "how much have we kept out of the rubbish?",
    "how much CO2 have we saved?",
    "how many bins do we need?",
    "what if we had another 60 l bin?",
    "how much ground do we need?",
    "has south had enough?",
    "can I put chicken bones in?",
    "can I put cheese in?",
    "whose turn is it?",
    "there's green mould, what do I do?",
    "can I put bread in?",
    "how much water for 10 ml?",
    "where should green go?",
    "what can you tell me about green?",
];

/// Reports, and the numbers in them as they are said back.
const REPORTS: [(&str, &[(f64, &str)]); 11] = [
    ("added 2 litres to blue", &[(2000.0, "mL")]),
    ("30 ml bran on blue", &[(30.0, "mL")]),
    ("drained 300 ml from blue", &[(300.0, "mL")]),
    ("sealed blue", &[]),
    ("blue is full", &[]),
    ("blue is half full", &[(0.5, "1")]),
    ("made 2 kg of bran", &[(2000.0, "g")]),
    ("500 g of bran left", &[(500.0, "g")]),
    ("it's 12 °C in the kitchen", &[(12.0, "Cel")]),
    ("buried green in south", &[]),
    ("washed grey", &[]),
];

/// The answer, and the room after it.
fn answer(room: &Room, voice: &Voice, text: &str, now: DateTime<Utc>, last_seq: i64) -> (String, Room) {
    let (said, after, _) = answer_to(room, voice, text, None, now, last_seq);
    (said, after)
}

/// The answer after a number about `topic`, the room after it, and what its own number is about.
fn answer_to(
    room: &Room,
    voice: &Voice,
    text: &str,
    topic: Option<Topic>,
    now: DateTime<Utc>,
    last_seq: i64,
) -> (String, Room, Option<Topic>) {
    let incoming = Incoming {
        room: "kitchen".into(),
        event: "$asked".into(),
        sender: "ana".into(),
        sent: now,
        direct: true,
        thread: None,
        deed: Deed::Say { text: text.into(), reply_to: None },
    };
    let heard = Heard { incoming: &incoming, answering: None, asked: None, topic, last_seq };
    let mut decision = decide(room, voice, &heard, now);
    let mut after = room.clone();
    for place in 0..decision.facts.len() {
        after.apply(&decision.fact(&heard, place));
    }
    decision.remarks = dialogue::remarks(&after, &decision, now);
    let said = wording::reply(voice, &after, &decision, now).plain();
    let topic = decision.topic(&after, now);
    (said, after, topic)
}

fn every_number_of_every_answer_is_derived(units: Units) {
    let (voice, facts) = (Voice::english(), facts(units));
    let mut room = Room::default();
    let (mut with_numbers, mut explained) = (0, 0);
    for (place, fact) in facts.iter().enumerate() {
        room.apply(fact);
        if place < 17 || place % 17 != 0 {
            continue;
        }
        let now = fact.at + TimeDelta::minutes(30);
        let written = |room: &Room, explains: bool| {
            let (measures, calendar) = (Measures(units), Calendar { voice: &voice, zone: room.zone, now });
            let mut written = Written { measures, calendar, forms: Vec::new(), explains };
            written.room(room, now);
            written.asked(Millilitres(2000.0), Millilitres(300.0), Grams(2000.0), Some(room));
            written
        };
        let mut of_now = written(&room, false);
        of_now.bins(&room, now);
        let mut hold = |text: &str, said: &str, written: &Written<'_>| {
            with_numbers += usize::from(said.contains(|c: char| c.is_ascii_digit()));
            let left = known_texts(&written.rest_of(said));
            assert!(!left.contains(|c: char| c.is_ascii_digit()), "{now} {text}\n{said}\nleft: {left}");
        };
        for text in QUESTIONS {
            hold(text, &answer(&room, &voice, text, now, fact.seq).0, &of_now);
        }
        let mut of_why = written(&room, true);
        of_why.bins(&room, now);
        for text in QUESTIONS {
            let (_, _, topic) = answer_to(&room, &voice, text, None, now, fact.seq);
            let Some(topic) = topic else { continue };
            let said = answer_to(&room, &voice, "why?", Some(topic), now, fact.seq).0;
            // The other lines are fixed texts: the formula, and what would help.
            let terms = said.lines().filter(|line| line.contains(": ") && line.ends_with(')'));
            for term in terms {
                explained += 1;
                hold(text, term, &of_why);
            }
        }
        for (text, told) in REPORTS {
            let (said, after) = answer(&room, &voice, text, now, fact.seq);
            let mut written = written(&after, false);
            for (value, unit) in told {
                written.estimate(Estimate::exact(*value), unit);
            }
            hold(text, &said, &written);
        }
        let nobody = "about 123.4 l in 37 days";
        assert_eq!(of_now.rest_of(nobody), nobody, "a number of nobody's is found");
    }
    assert!(with_numbers > 200 && explained > 200, "{with_numbers} {explained}");
}

/// Numbers that are parts of a sentence, not of a room, and where they come from.
fn known_texts(text: &str) -> String {
    [
        // Common practice, no source: what is lost is buried deeper than what is good.
        "30 cm deep",
        // Common practice, no source: where roots are at ease.
        "pH strip at 6 to 7",
        // The reference of the rest: our choice.
        "rest at 18 °C",
        // The source's name.
        "Emission Factors Hub 2026, Table 9",
        "CO2e",
    ]
    .iter()
    .fold(text.to_owned(), |left, known| left.replace(known, "…"))
}

#[test]
fn every_number_of_every_answer_is_derived_in_litres() {
    every_number_of_every_answer_is_derived(Units::Metric);
}

#[test]
fn every_number_of_every_answer_is_derived_in_cups() {
    every_number_of_every_answer_is_derived(Units::Us);
}
