//! All the ways in which what a room's derivations give may be written.

pub(crate) mod kinds;

use std::collections::BTreeMap;

use branbell::voice::{Calendar, Measures};
use branbell_scheduler::fact::Food;
use branbell_scheduler::plan::{self, Explained, Nudge};
use branbell_scheduler::quantity::bury::Cut;
use branbell_scheduler::quantity::rotation::{self, Rotation};
use branbell_scheduler::quantity::tally::{self, Disposal};
use branbell_scheduler::quantity::{
    Derivation, Estimate, Origin, Quantity, Source, Term, Value, When, acid, bran, bury, density, dilution,
    ferment, fill, liquid, nitrogen, rest, starter,
};
use branbell_scheduler::units::{
    Celsius, Centimetres, Density, Grams, GramsPerSquareMetre, Millilitres, MillilitresPerLitre, Ph,
    SquareMetres, Unit,
};
use branbell_scheduler::{Room, hints};
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::Value as Body;

/// The trench that is asked for.
const ASKED_CUT: Cut = Cut { width: Some(Centimetres(18.0)), depth: Some(Centimetres(20.0)) };

/// What may stand in an answer, written in all the ways in which such a thing is written.
pub(crate) struct Written<'a> {
    pub(crate) measures: Measures,
    pub(crate) calendar: Calendar<'a>,
    pub(crate) forms: Vec<String>,
    /// Whether what stands in a `why?` counts too: bare numbers, sources, and from how many logs.
    pub(crate) explains: bool,
    /// When each fact was.
    pub(crate) told: BTreeMap<i64, DateTime<Utc>>,
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
            Origin::Facts(facts) => return self.logs(facts),
            _ => return,
        };
        if let Source::Published(text) | Source::Memory(text) | Source::Judgement(text) = source {
            self.forms.push(text.to_owned());
        }
    }

    /// How many logs something is from, and of which days.
    fn logs(&mut self, facts: &[i64]) {
        self.forms.push(format!("from {} logs", facts.len()));
        let moments = || facts.iter().map(|seq| self.told[seq]);
        if let Some((first, last)) = moments().min().zip(moments().max()) {
            self.forms.push(self.calendar.span(first, last));
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

    pub(crate) fn estimate(&mut self, Estimate { value, low, high }: Estimate, unit: &str) {
        let bounds = [low.unwrap_or(value), high.unwrap_or(value)];
        self.forms.extend(match unit {
            "mL" => vec![self.measures.volume_span(Millilitres(bounds[0]), Millilitres(bounds[1]))],
            "g" => vec![self.measures.mass_span(Grams(bounds[0]), Grams(bounds[1]))],
            "m2" => vec![self.measures.area_span(SquareMetres(bounds[0]), SquareMetres(bounds[1]))],
            _ => Vec::new(),
        });
        for value in [value, bounds[0], bounds[1]] {
            let forms = self.number(value, unit);
            self.forms.extend(forms);
            if self.explains {
                self.forms.extend([plain(value), self.measures.about_volume(Millilitres(value))]);
            }
        }
    }

    fn number(&self, value: f64, unit: &str) -> Vec<String> {
        let measures = self.measures;
        match unit {
            "mL" => vec![
                measures.volume(Millilitres(value)),
                measures.about_volume(Millilitres(value)),
                measures.bran(Millilitres(value)),
            ],
            "mL/L" => vec![measures.bran(Millilitres(value)), measures.dose(MillilitresPerLitre(value))],
            "g/mL" => vec![measures.density(Density(value))],
            "g" | "g/d" => vec![measures.mass(Grams(value))],
            "cm" => vec![measures.length(Centimetres(value))],
            "m2" => vec![measures.area(SquareMetres(value)), measures.about_area(SquareMetres(value))],
            "g/m2" => vec![measures.load(GramsPerSquareMetre(value))],
            "Cel" => vec![measures.temperature(Celsius(value))],
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
            "[pH]" => vec![format!("{value:.1}"), value.to_string()],
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
    pub(crate) fn room(&mut self, room: &Room, now: DateTime<Utc>) {
        self.told = room.facts().map(|fact| (fact.seq, fact.at)).collect();
        // The date of a picture, by the clock.
        self.forms.push(now.with_timezone(&room.zone).format("%-d %B %Y").to_string());
        for bin in room.bins_in_use() {
            // Counted.
            self.forms.extend(bin.batches().map(|batch| format!("batch {}", batch.number)));
            if let Some(capacity) = bin.capacity {
                self.forms.push(self.measures.volume(capacity));
            }
            if let Some(fill) = fill::fill(room, bin, now) {
                self.quantity(&fill.occupied);
                if let Some(capacity) = bin.capacity {
                    let occupied = fill.occupied.why.recompute().value;
                    let (part, whole) = self.measures.share(Millilitres(occupied), capacity);
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
                self.forms.push(self.measures.temperature(ferment.mean));
            }
            for trench in
                [Cut::default(), ASKED_CUT].iter().filter_map(|cut| bury::trench_in(room, bin, *cut))
            {
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
                self.forms.push(self.measures.temperature(rest.soil));
            }
        }
        if let Some(yearly) = nitrogen::yearly(room, now) {
            self.quantity(&yearly);
            self.quantity(&nitrogen::area_for(&yearly));
        }
        // When something is due is a rule of the plan, not a quantity.
        for nudge in plan::plan(room, now) {
            self.forms.push(self.calendar.day(nudge.due));
        }
        self.quantity(&density::of(room));
        self.quantity(&ferment::days(room));
        for constant in [&ferment::ASSUMED, &ferment::COLD, &rest::REFERENCE] {
            self.why(&Derivation::of_constant(constant), "Cel");
        }
        self.why(&Derivation::of_constant(&bury::DEEP), "cm");
        if let Some(outlook) = starter::outlook(room, now) {
            self.quantity(&outlook.stock);
            outlook.out.iter().for_each(|out| self.when(out));
            outlook.per_day.iter().for_each(|rate| self.quantity(rate));
            outlook.reorder_at.iter().for_each(|stock| self.quantity(stock));
            self.why(&Derivation::of_constant(&starter::LEAD_TIME), "d");
            for brew in &outlook.brewing {
                self.when(&starter::brewed(brew));
                self.forms.push(self.measures.mass(brew.mass));
            }
        }
        let tally = tally::tally(room, None, now);
        self.quantity(&tally.kept_out);
        self.quantity(&tally.earth);
        self.why(&tally.drained_why, "mL");
        self.why(&tally.bran_why, "mL");
        self.quantity(&tally::co2e(&tally.kept_out, Disposal::Landfill));
        self.quantity(&tally::co2e(&tally.kept_out, Disposal::Incineration));
    }

    /// How its bins go round, with another one of 60 litres and without.
    pub(crate) fn bins(&mut self, room: &Room, now: DateTime<Utc>) {
        for further in [&[][..], &[Millilitres(60_000.0)]] {
            self.rotation(&rotation::rotation(room, further, now, 1).unwrap());
        }
    }

    /// What the numbers of a nudge come from.
    pub(crate) fn nudge(&mut self, room: &Room, nudge: &Nudge, now: DateTime<Utc>) {
        let explained = plan::why(room, nudge, now);
        for one in &explained {
            match one.from {
                Some(from) => self.when(&When::after(from, one.why.clone())),
                None => self.why(&one.why, unit_of(one.key)),
            }
        }
        // All that is poured on the bran.
        let liquids = ["inoculant_ml", "molasses_ml", "water_ml"];
        let poured = explained.iter().filter(|one| liquids.contains(&one.key));
        self.forms.push(self.measures.volume(Millilitres(poured.map(Explained::recompute).sum())));
    }

    /// The number that a derivation gives, whatever it is a number of: a moment may count from any that matters.
    pub(crate) fn result(&mut self, room: &Room, why: &Derivation, now: DateTime<Utc>) {
        let result = why.recompute();
        let of_moment = ["ferment.ready", "fill.full", "rest.over", "rest.strip", "starter.out", "constant"];
        if of_moment.contains(&why.formula.id) {
            let bins = || room.bins_in_use();
            let sealed = bins().filter_map(|bin| bin.sealed()?.sealed_at);
            let buried = room.plots.iter().filter_map(|plot| Some(plot.burials.last()?.at));
            let brewed = room.starter.brewing(now).map(|brew| brew.at);
            let since: Vec<DateTime<Utc>> = sealed.chain(buried).chain(brewed).chain([now]).collect();
            for from in since {
                let when = When::after(from, why.clone());
                let days = [when.early, when.at, when.late].map(|moment| self.calendar.day(moment));
                self.forms.extend(days);
                self.forms.push(self.calendar.span(when.early, when.late));
            }
        }
        if of_moment.contains(&why.formula.id) && why.formula.id != "constant" {
            return;
        }
        for capacity in room.bins.iter().filter_map(|bin| bin.capacity) {
            let (part, whole) = self.measures.share(Millilitres(result.value), capacity);
            self.forms.push(format!("{part} of {whole}"));
        }
        for unit in ["mL", "g", "cm", "m2", "g/m2", "d", "1", "[pH]"] {
            self.estimate(result, unit);
        }
    }

    /// What people told, as it is said back, and when it was.
    pub(crate) fn facts(&mut self, room: &Room) {
        for fact in room.facts() {
            let moment = self.calendar.moment(fact.at);
            self.forms.extend([moment.replace("yesterday", "Yesterday"), moment, self.calendar.day(fact.at)]);
            let Ok(Body::Object(slots)) = serde_json::to_value(&fact.what) else { continue };
            for (slot, told) in &slots {
                if let Some(told) = told.as_f64() {
                    self.estimate(Estimate::exact(told), unit_of(slot));
                }
            }
        }
    }

    /// What depends on the question.
    pub(crate) fn asked(
        &mut self,
        scraps: Millilitres,
        drained: Millilitres,
        bran_mass: Grams,
        batch: Option<&Room>,
    ) {
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
        for ph in [3.7, 4.8, 5.5] {
            self.quantity(&acid::undissociated(Ph(ph)));
        }
        for constant in [acid::SOUR, acid::RAW, acid::SOIL] {
            self.estimate(Estimate::between(constant.low, constant.value, constant.high), constant.unit);
            self.why(&Derivation::of_constant(&constant), constant.unit);
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
        self.forms.push(self.measures.volume(Millilitres(all)));
        // Of liquids as heavy as water.
        self.forms.push(self.measures.volume(Millilitres(1500.0)));
    }

    /// Whether one of them is in a text, `tomorrow` too.
    pub(crate) fn is_in(&self, text: &str) -> bool {
        let in_words = |form: &&String| !form.contains(|c: char| c.is_ascii_digit()) && !form.is_empty();
        self.rest_of(text) != text || self.forms.iter().filter(in_words).any(|form| text.contains(form))
    }

    /// What is left of a text without them.
    pub(crate) fn rest_of(&self, text: &str) -> String {
        let mut forms: Vec<&String> =
            self.forms.iter().filter(|form| form.contains(|c: char| c.is_ascii_digit())).collect();
        forms.sort_by_key(|form| std::cmp::Reverse(form.len()));
        forms.into_iter().fold(text.to_owned(), |left, form| take_out(&left, form))
    }
}

/// The unit that the name of a number tells.
fn unit_of(key: &str) -> &'static str {
    match key.rsplit('_').next().unwrap_or_default() {
        "ml" | "low" | "high" => "mL",
        "g" => "g",
        "cm" => "cm",
        "m2" => "m2",
        "c" => "Cel",
        "days" => "d",
        "ph" => "[pH]",
        "progress" | "fraction" => "1",
        other => panic!("{other}: what unit is that?"),
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
