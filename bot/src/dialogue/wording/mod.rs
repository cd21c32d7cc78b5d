//! Puts decisions and nudges into words, seen from the room as it is.

pub(super) mod acceptable;
mod advice;
mod answer;
pub(super) mod back;
mod bins;
mod brief;
mod garden;
mod house;
mod inquiry;
mod meaning;
mod nudge;
mod remark;
mod rota;
mod starter;
mod why;

use branbell_language::About;
use branbell_scheduler::fact::{Signs, Units, What};
use branbell_scheduler::quantity::{Derivation, When, fill};
use branbell_scheduler::report::{BinReport, Report, report};
use branbell_scheduler::state::Room;
use branbell_scheduler::units::Days;
use chrono::{DateTime, NaiveDate, NaiveTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

use super::{Answer, Decision, Topic};
use crate::picture::View;
use crate::say;
use crate::voice::{Calendar, Measures, Text, Voice};

pub(super) use answer::SPOONFUL;
pub(super) use meaning::WORTH_SAYING;
pub use nudge::nudge;
pub use remark::remark;

/// A date that may be four weeks off either way helps nobody.
pub(crate) const WIDEST_SPAN: TimeDelta = TimeDelta::days(28);
/// Beyond it the end of the bran is only said from its early side.
const FAR: TimeDelta = TimeDelta::days(300);

/// All that a sentence may need: the texts, the room, and the moment.
#[derive(Clone, Copy)]
struct Speaker<'a> {
    voice: &'a Voice,
    room: &'a Room,
    measures: Measures,
    calendar: Calendar<'a>,
    now: DateTime<Utc>,
}

impl<'a> Speaker<'a> {
    fn new(voice: &'a Voice, room: &'a Room, now: DateTime<Utc>) -> Self {
        Self {
            voice,
            room,
            measures: Measures(room.units),
            calendar: Calendar { voice, zone: room.zone, now },
            now,
        }
    }

    fn report(&self) -> Report {
        report(self.room, self.now)
    }

    fn bin(&self, name: &str) -> Option<BinReport> {
        self.report().bins.into_iter().find(|bin| bin.bin == name)
    }

    /// The text for how long bran lasts; the second where a day and a span would say more than anybody knows.
    fn lasting(&self, about: &'static str, for_months: &'static str, out: &When) -> &'static str {
        if out.late - self.now > FAR { for_months } else { about }
    }

    /// The day of a forecast, and the span around it.
    fn forecast(&self, when: &When) -> (String, String) {
        (self.calendar.day(when.at), self.calendar.span(when.early, when.late))
    }

    /// When a bin will be full, and the span around it; none while the span is too wide or too far off to be of use.
    fn full_forecast(&self, bin: &BinReport) -> Option<(String, String)> {
        let (at, early, late) = (bin.full_at?, bin.full_early?, bin.full_late?);
        (late - early <= WIDEST_SPAN && !self.is_too_far(late))
            .then(|| (self.calendar.day(at), self.calendar.span(early, late)))
    }

    /// Whether a forecast of a full bin is but the end of how far it looks.
    fn is_too_far(&self, at: DateTime<Utc>) -> bool {
        at - self.now >= fill::LONGEST.span() - TimeDelta::days(1)
    }

    /// `green`, `green or blue`, `green, blue or grey`.
    fn choices(&self, names: &[String]) -> String {
        match names {
            [] => String::new(),
            [only] => only.clone(),
            [first @ .., last] => say!(self.voice, "list-or", first = first.join(", "), last = last).plain(),
        }
    }

    fn days(&self, Days(days): Days) -> String {
        say!(self.voice, "days", count = days.round() as i64).plain()
    }

    /// The first moment of a day, where one is given.
    fn midnight(&self, day: Option<NaiveDate>) -> Option<DateTime<Utc>> {
        let midnight = day?.and_time(NaiveTime::MIN);
        Some(self.room.zone.from_local_datetime(&midnight).earliest()?.to_utc())
    }

    /// A text with examples of what one might say, in the room's units.
    fn with_example(&self, id: &str) -> Text {
        say!(self.voice, id, system = self.measures.system())
    }

    fn units(&self, units: Units) -> String {
        self.voice.word(match units {
            Units::Metric => "units-metric",
            Units::Us => "units-us",
            Units::Imperial => "units-imperial",
        })
    }
}

/// The place that a zone is named for, as people say it: `New York`.
fn city(zone: Tz) -> String {
    zone.name().rsplit('/').next().unwrap_or_default().replace('_', " ")
}

/// The first thing said in a room.
pub fn greeting(voice: &Voice, room: &Room, now: DateTime<Utc>) -> Text {
    let speaker = Speaker::new(voice, room, now);
    let id = if room.direct { "greeting-direct" } else { "greeting-group" };
    // An example of what one would change, not of what is so already.
    let elsewhere = if room.zone == Tz::Europe__Lisbon { Tz::Europe__Athens } else { Tz::Europe__Lisbon };
    let other = if room.units == Units::Us { "metric" } else { "us" };
    say!(
        voice,
        id,
        system = speaker.measures.system(),
        zone = city(room.zone),
        units = speaker.units(room.units),
        elsewhere = city(elsewhere),
        other = other,
    )
}

/// The picture that goes with the reply: the first that was asked for.
pub fn picture(decision: &Decision) -> Option<View> {
    decision.answers.iter().find_map(|answer| match answer {
        Answer::Asked(ask) if ask.about == About::Chart => Some(answer::view(ask)),
        _ => None,
    })
}

/// Where the number about a topic comes from, as it is now: what a `why?` tells.
pub fn derivation(voice: &Voice, room: &Room, topic: &Topic, now: DateTime<Utc>) -> Option<Derivation> {
    Speaker::new(voice, room, now).derivation(topic)
}

/// What is said to messages that cannot be read.
pub fn lost(voice: &Voice, messages: usize) -> Text {
    say!(voice, "back-unread", count = messages)
}

/// That a text is longer than is read.
pub fn too_long(voice: &Voice) -> Text {
    say!(voice, "back-too-long")
}

/// The reply to what somebody did; nothing: silence.
pub fn reply(voice: &Voice, room: &Room, decision: &Decision, now: DateTime<Utc>) -> Text {
    let speaker = Speaker::new(voice, room, now);
    let lines =
        decision.answers.iter().enumerate().map(|(place, answer)| speaker.answer(decision, place, answer));
    let remarks = decision.remarks.iter().map(|hint| speaker.remark(hint));
    lines.chain(remarks).fold(Text::default(), |said, line| said.newline(&line))
}

impl Speaker<'_> {
    fn answer(&self, decision: &Decision, place: usize, answer: &Answer) -> Text {
        let voice = self.voice;
        match answer {
            Answer::Kept(fact) => self.kept(decision, place, *fact, "kept"),
            Answer::Changed(fact) => self.kept(decision, place, *fact, "changed"),
            Answer::TakenBack(facts) => self.taken_back(facts),
            Answer::NothingThere => say!(voice, "nothing-there"),
            Answer::Asked(ask) => self.asked(ask),
            Answer::Inquired(inquiry) => self.inquired(inquiry),
            Answer::Why(topic) => self.why(topic.as_ref()),
            Answer::Reopened(bin) => say!(voice, "reopened-anew", bin = capital(bin)),
            Answer::InPart => say!(voice, "buried-in-part"),
            Answer::Bleach => say!(voice, "bleach-caution"),
            Answer::AskBack(asked) => self.ask_back(asked, decision),
            Answer::PutOff(until) => say!(voice, "put-off", moment = self.calendar.at(*until)),
            Answer::LetGo => say!(voice, "let-go"),
            Answer::Unknown { is_kept: true } => say!(voice, "unknown-kept"),
            Answer::Unknown { is_kept: false } => say!(voice, "unknown-dropped"),
            Answer::NothingAsked => self.with_example("nothing-asked"),
            Answer::TurnOf(person) => self.turn_of(person),
            Answer::Offered(person) => self.offered(person),
            Answer::Took { person, of, nudges } => self.took(person, of.as_deref(), nudges),
            Answer::WhoDid(span) => self.who_did(*span),
            Answer::OwnData(person) => self.own_data(person),
            Answer::Forgotten(logs) => say!(self.voice, "forgotten", logs = *logs),
            Answer::House => self.house(),
            Answer::DoneAlready => say!(voice, "done-already"),
            Answer::Stewards(names) => say!(voice, "only-stewards", names = self.choices(names)),
        }
    }

    /// What was kept, how full that makes the bin, and what it means: the last two once a bin and message.
    fn kept(&self, decision: &Decision, place: usize, fact: usize, id: &str) -> Text {
        let what = &decision.facts[fact].what;
        if let What::Checked { bin, signs } = what
            && *signs != Signs::default()
        {
            // What it means is what was asked by telling it; what was seen need not be said back.
            return self.still_lost(bin, signs).unwrap_or_else(|| self.advice(Some(bin), signs));
        }
        let brief = match id {
            "kept" => capital(&self.brief(what)),
            _ => self.brief(what),
        };
        let later = decision.answers[place + 1..].iter().filter_map(|answer| match answer {
            Answer::Kept(later) | Answer::Changed(later) => Some(&decision.facts[*later].what),
            _ => None,
        });
        let is_last_lot =
            !later.clone().any(|later| matches!(later, What::Scraps { .. }) && same_layer(what, later));
        let is_last = later.filter(|later| same_layer(what, later)).count() == 0;
        let level = if is_last_lot { self.level(what) } else { None };
        let head = match level {
            Some((part, whole)) => {
                say!(self.voice, &format!("{id}-level"), brief = brief, part = part, whole = whole)
            }
            None => say!(self.voice, id, brief = brief),
        };
        if is_last { head.then(&self.meaning(what)) } else { head }
    }

    /// How full scraps make the bin.
    fn level(&self, what: &What) -> Option<(String, String)> {
        let What::Scraps { bin, .. } = what else { return None };
        let bin = self.bin(bin)?;
        Some(self.measures.share(bin.occupied_ml, bin.capacity_ml?))
    }

    fn taken_back(&self, facts: &[(What, DateTime<Utc>)]) -> Text {
        let line = |(what, at): &(What, DateTime<Utc>)| {
            say!(self.voice, "taken-back", brief = self.brief(what), moment = self.calendar.moment(*at))
        };
        facts.iter().map(line).fold(Text::default(), |said, line| said.newline(&line))
    }
}

/// Whether a later fact says what the earlier one means now, too: scraps, bran and level of the same bin.
fn same_layer(what: &What, later: &What) -> bool {
    match (what, later) {
        (
            What::Scraps { bin, .. } | What::Bran { bin, .. },
            What::Scraps { bin: other, .. } | What::Bran { bin: other, .. } | What::Level { bin: other, .. },
        ) => bin == other,
        _ => false,
    }
}

/// With a capital at the beginning, as a sentence has.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
