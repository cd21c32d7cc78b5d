//! What a pH strip shows in the soil: kept, for it counts for more than the calendar. The reading contract has no name for it.

use branbell_language::{About, Ask, Fact, FactKind, Reading, Slots};
use branbell_scheduler::Room;
use branbell_scheduler::fact::What;
use branbell_scheduler::plan::{NudgeKind, Subject, plan};
use branbell_scheduler::quantity::{acid, rest};
use branbell_scheduler::units::Ph;
use chrono::{DateTime, Utc};

use super::fill::{self, Missing};
use super::question::{self, GAP};
use super::{Answer, Asked, Decision, Heard, Item, Lacking, NudgeChange, Occasion, Told, Topic, inquiry};
use crate::say;

/// What a message tells of a strip.
pub(super) struct Shown {
    ph: Ph,
    plot: Result<String, Missing>,
    at: DateTime<Utc>,
}

/// What a message tells of a strip held into the soil of a plot; none where it only asks, where the strip was in a bin, and in a
/// shared room where it does not call us and names no plot.
pub(super) fn told(room: &Room, on: Occasion<'_>, reading: &Reading) -> Option<Shown> {
    if let Some((ph, plot)) = answered(on) {
        return Some(Shown { ph, plot: Ok(plot), at: on.source.sent });
    }
    let told = inquiry::soil_ph(room, on, reading)?;
    let named = told.plot.or_else(|| answered_plot(on.heard));
    let is_for_us = on.heard.incoming.direct || on.source.again || named.is_some();
    // After a word of when to plant a strip is one in the soil; in which is not guessed.
    let is_soil = told.is_soil || named.is_some() || matches!(on.heard.topic, Some(Topic::Rest(_)));
    if room.plots.is_empty() || !is_for_us || !is_soil {
        return None;
    }
    let plot = fill::plot(room, on.heard, &Slots { plot: named, ..Slots::default() });
    Some(Shown { ph: told.ph, plot, at: moment(room, on, told.ph) })
}

/// A bare number in answer to a nudge about a plot, while no question of ours waits for one: `6.4`.
fn answered(on: Occasion<'_>) -> Option<(Ph, String)> {
    let plot = answered_plot(on.heard).filter(|_| on.heard.asked.is_none() && !on.source.again)?;
    let number = on.source.text.trim().trim_end_matches(['.', '!']).replace(',', ".");
    let ph = number.parse().ok().map(Ph).filter(|ph| (Ph::ZERO..=acid::MOST).contains(ph))?;
    Some((ph, plot))
}

/// The plot that the one nudge is about which is answered.
fn answered_plot(heard: &Heard<'_>) -> Option<String> {
    match &heard.answering.as_ref()?.only()?.subject {
        Some(Subject::Plot(plot)) => Some(plot.clone()),
        _ => None,
    }
}

/// The moment it speaks of: the ear hears it where the strip shows degrees.
fn moment(room: &Room, on: Occasion<'_>, Ph(ph): Ph) -> DateTime<Utc> {
    let degrees = on.voice.word("strip-as-degrees");
    let strips = on.voice.word("inquiry-strip-words");
    let as_degrees = |word: &str| {
        let bare = word.trim_matches(|c: char| !c.is_alphanumeric());
        let number = bare.to_lowercase().trim_start_matches("ph").replace(',', ".");
        if strips.split(", ").any(|strip| strip == bare.to_lowercase()) {
            None
        } else if number.parse::<f64>().is_ok_and(|number| (number - ph).abs() < 1e-9) {
            Some(word.replacen(bare, &degrees, 1))
        } else {
            Some(word.to_owned())
        }
    };
    let sentence: Vec<String> = on.source.text.split_whitespace().filter_map(as_degrees).collect();
    let reading = on.read(room, &sentence.join(" "));
    let told = reading.facts.iter().find(|fact| fact.kind == FactKind::Temperature);
    told.map_or(on.source.sent, |fact| fill::moment(room, &fact.slots, on.source.sent))
}

/// Keeps it, or asks in which plot it was.
pub(super) fn keep(ahead: &mut Room, on: Occasion<'_>, shown: Shown, decision: &mut Decision) {
    let plot = match shown.plot {
        Ok(plot) => plot,
        Err(missing) => return decision.ask_back(question::missing(on, &missing)),
    };
    let what = What::SoilPh { plot, ph: shown.ph.get() };
    if !on.source.has_told(ahead, &what, shown.at) {
        let told = Told::new(on.source.event.to_owned(), shown.at, what);
        let place = decision.tell(ahead, on.heard, told);
        decision.answers.push(Answer::Kept(place));
    }
}

impl Shown {
    /// Whether the ear took what the strip shows for degrees, Celsius or Fahrenheit.
    pub(super) fn is_taken_for(&self, fact: &Fact) -> bool {
        let is_it = |c: f64| [c, c * 1.8 + 32.0].iter().any(|shown| (shown - self.ph.get()).abs() < 0.05);
        fact.kind == FactKind::Temperature && fact.slots.c.is_some_and(is_it)
    }
}

/// Whether the confirmation of what the strip shows answers this: whether one may plant.
pub(super) fn answers(ask: &Ask) -> bool {
    ask.about == About::Planting
}

/// A plot of which it was said that it may be planted is not said to be so again by the nudge.
pub(super) fn say_once(room: &Room, heard: &Heard<'_>, decision: &mut Decision, now: DateTime<Utc>) {
    let freed = |what: &What| match what {
        What::SoilPh { plot, ph } if !acid::is_sour_soil(Ph(*ph)) => Some(plot.clone()),
        _ => None,
    };
    let plots: Vec<String> = decision.facts.iter().filter_map(|told| freed(&told.what)).collect();
    if plots.is_empty() {
        return;
    }
    let mut after = room.clone();
    (0..decision.facts.len()).for_each(|place| after.apply(&decision.fact(heard, place)));
    let is_said = |subject: &Option<Subject>| match subject {
        Some(Subject::Plot(plot)) => plots.contains(plot),
        _ => false,
    };
    let nudges = plan(&after, now).into_iter();
    let due = nudges.filter(|nudge| nudge.kind == NudgeKind::Plant && nudge.due <= now);
    let said = due.filter(|nudge| is_said(&nudge.subject));
    decision.nudges.extend(said.map(|nudge| (nudge.key.0, NudgeChange::Said)));
}

/// The question what the strip shows, where a nudge asked for it to be held in again.
pub(super) fn ask_again(room: &Room, on: Occasion<'_>, item: &Item) -> Option<Asked> {
    let Some(Subject::Plot(plot)) = &item.subject else { return None };
    let strip = rest::strip(room.plot(plot)?).filter(|strip| acid::is_sour_soil(strip.ph))?;
    // The nudge before it asked for no strip.
    if !item.key.ends_with(&format!("/{}", strip.seq)) {
        return None;
    }
    let sentences = vec![say!(on.voice, "sentence-soil-ph", plot = plot, answer = GAP).plain()];
    Some(Asked { sentences, ..question::blank(Lacking::Ph, on) })
}
