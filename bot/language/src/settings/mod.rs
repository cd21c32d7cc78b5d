//! Wishes about the bot: quiet hours, the digest, units, the time zone.

use std::sync::LazyLock;

use chrono::Weekday;
use chrono_tz::{TZ_VARIANTS, Tz};

use crate::clause::PieceKind;
use crate::lexicon::{Cue, Mark, Matter, TimeWord};
use crate::reading::{Fact, FactKind, SettingName, Slots};
use crate::scene::Scene;
use crate::text::{Text, folded};
use crate::time::Clock;

/// Zones with their names and cities in lower case; those of no place (`Etc/GMT+5`) left out.
static ZONES: LazyLock<Vec<(String, String, Tz)>> = LazyLock::new(|| {
    const PLACES: [&str; 10] = [
        "Africa/",
        "America/",
        "Asia/",
        "Atlantic/",
        "Australia/",
        "Europe/",
        "Indian/",
        "Pacific/",
        "Antarctica/",
        "Arctic/",
    ];
    let of_place = |zone: &&Tz| PLACES.iter().any(|place| zone.name().starts_with(place));
    let entry = |zone: &Tz| {
        let name = zone.name().to_lowercase();
        let city = name.rsplit('/').next().unwrap_or_default().to_owned();
        (name, city, *zone)
    };
    TZ_VARIANTS.iter().filter(of_place).map(entry).collect()
});

/// The settings that a message asks for.
pub(crate) fn settings(scene: &Scene<'_>) -> Vec<Fact> {
    if !scene.message.direct || scene.clauses.iter().all(|clause| clause.asks && !polite(scene)) {
        return Vec::new();
    }
    let found = [quiet(scene), digest(scene), zone(scene), units(scene)];
    found.into_iter().flatten().collect()
}

/// `can you turn the digest off?`
fn polite(scene: &Scene<'_>) -> bool {
    (0..scene.text.tokens.len()).any(|at| scene.text.has_any(at, &[Mark::Can, Mark::Please]))
}

fn setting(scene: &Scene<'_>, name: SettingName, value: String, at: usize) -> Fact {
    scene.note("setting", at, at + 1);
    Fact {
        kind: FactKind::Setting,
        slots: Slots { name: Some(name), value: Some(value), ..Slots::default() },
    }
}

/// The clocks told after token `from`, up to `to`.
fn clocks(scene: &Scene<'_>, from: usize, to: usize) -> Vec<Clock> {
    let pieces = scene.pieces.iter().filter(|piece| piece.from >= from && piece.from < to);
    pieces
        .filter_map(|piece| match piece.kind {
            PieceKind::When(when) => when
                .clock
                .map(|clock| match when.part {
                    Some(part) if !clock.certain && part.hour >= 12 => {
                        Clock { hour: clock.hour % 12 + 12, certain: true, ..clock }
                    }
                    Some(_) if !clock.certain => Clock { hour: clock.hour % 12, certain: true, ..clock },
                    _ => clock,
                })
                .or(when.part.map(|part| Clock { hour: part.hour, minute: part.minute, certain: true })),
            PieceKind::Count(hour) if (0.0..24.0).contains(&hour) && hour.fract() == 0.0 => {
                Some(Clock { hour: hour as u32, minute: 0, certain: hour > 12.0 })
            }
            _ => None,
        })
        .collect()
}

fn find(scene: &Scene<'_>, matter: Matter) -> Option<usize> {
    (0..scene.text.tokens.len()).find(|at| scene.text.is_matter(*at, matter))
}

fn is_off(scene: &Scene<'_>, from: usize, to: usize) -> bool {
    (from..to)
        .any(|at| scene.text.has_any(at, &[Mark::Off, Mark::No, Mark::Not]) || scene.text.is(at, Cue::Revert))
}

/// `quiet from 10 pm to 7 am`
fn quiet(scene: &Scene<'_>) -> Option<Fact> {
    let text = &scene.text;
    let end = text.tokens.len();
    // `sorry for the radio silence`
    let excused = |at: usize| (at.saturating_sub(4)..at).any(|i| text.has(i, Mark::Sorry));
    let at = (0..end)
        .find(|at| text.is_matter(*at, Matter::Hours) && !excused(*at) || asks_for_silence(scene, *at))?;
    let digest = find(scene, Matter::Digest).unwrap_or(end);
    let (from, to) = if digest < at { (at, end) } else { (0, digest.max(at + 1)) };
    let mut times = clocks(scene, from, to);
    if times.len() < 2 {
        // `from 10 to 7` reads like a time before the hour; here both are hours.
        let hour = |at: usize| {
            text.digits(at).or_else(|| text.cardinal(at)).filter(|hour| hour.fract() == 0.0 && *hour < 24.0)
        };
        // `from 2200 to 0630`
        let faces: Vec<Clock> = (from..to).filter_map(|at| clock_face(text, at)).collect();
        if let [start, stop] = faces[..] {
            times = vec![start, stop];
        }
        let hours: Vec<f64> = (from..to).filter_map(hour).collect();
        if let [start, stop] = hours[..] {
            times = [start, stop]
                .map(|hour| Clock { hour: hour as u32, minute: 0, certain: hour > 12.0 })
                .to_vec();
        }
    }
    if times.len() < 2 {
        // `mute` turns nothing off.
        let off = is_off(scene, at.saturating_sub(2), at) || is_off(scene, at + 1, to);
        return (off && text.is_matter(at, Matter::Hours)
            || (at > 0
                && text.is_matter(at, Matter::Hours)
                && text.has_any(at - 1, &[Mark::No, Mark::Off])))
        .then(|| setting(scene, SettingName::Quiet, "off".to_owned(), at));
    }
    let start = evening(times[0]);
    let stop = morning(times[1], start);
    Some(setting(
        scene,
        SettingName::Quiet,
        format!("{:02}:{:02}-{:02}:{:02}", start.hour, start.minute, stop.hour, stop.minute),
        at,
    ))
}

/// `2200`, `0630`: hours and minutes without a sign between.
fn clock_face(text: &Text<'_>, at: usize) -> Option<Clock> {
    let value = text.digits(at).filter(|_| text.word(at).len() == 4)? as u32;
    let (hour, minute) = (value / 100, value % 100);
    (hour < 24 && minute < 60).then_some(Clock { hour, minute, certain: true })
}

/// `don't message me`, `no pings`: whether a token begins such a wish.
pub(crate) fn asks_for_silence(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    let end = text.tokens.len();
    text.is(at, Cue::ShutUp)
        || text.is(at, Cue::Stop) && (at + 1..end.min(at + 5)).any(|i| text.is(i, Cue::Notify))
}

/// Quiet hours begin in the evening and end in the morning, where the half of the day is not said.
fn evening(clock: Clock) -> Clock {
    if clock.certain || clock.hour < 6 || clock.hour == 12 {
        Clock { hour: if clock.hour == 12 && !clock.certain { 0 } else { clock.hour }, ..clock }
    } else {
        Clock { hour: clock.hour % 12 + 12, ..clock }
    }
}

fn morning(clock: Clock, _start: Clock) -> Clock {
    if clock.certain { clock } else { Clock { hour: clock.hour % 12, ..clock } }
}

/// `digest on sundays at 6pm`, `turn the digest off`
fn digest(scene: &Scene<'_>) -> Option<Fact> {
    let text = &scene.text;
    let at = find(scene, Matter::Digest)?;
    let clause = scene.clauses.iter().find(|clause| (clause.from..clause.to).contains(&at))?;
    let to = scene
        .clauses
        .iter()
        .filter(|other| other.sentence == clause.sentence)
        .map(|other| other.to)
        .max()
        .unwrap_or(clause.to);
    let quiet = find(scene, Matter::Hours).filter(|quiet| *quiet > at).unwrap_or(to);
    let day = (clause.from..quiet.min(to)).find_map(|i| match text.time(i) {
        Some(TimeWord::Weekday(day)) => Some(short(day).to_owned()),
        _ if text.has(i, Mark::Daily) || text.is(i, Cue::DailyDigest) => Some("DAILY".to_owned()),
        _ => None,
    });
    let stops = (clause.from..clause.to).any(|i| text.is(i, Cue::Stop));
    if day.is_none() && (stops || is_off(scene, clause.from, clause.to)) {
        return Some(setting(scene, SettingName::Digest, "off".to_owned(), at));
    }
    let clock = clocks(scene, clause.from, quiet.min(to)).first().copied().map(daytime);
    let value = match (day, clock) {
        (Some(day), Some(clock)) => format!("{day} {:02}:{:02}", clock.hour, clock.minute),
        (Some(day), None) => day,
        (None, Some(clock)) => format!("{:02}:{:02}", clock.hour, clock.minute),
        (None, None) => {
            if !(clause.from..clause.to).any(|i| {
                text.has(i, Mark::On) && !text.is(i, Cue::On)
                    || text.is(i, Cue::On) && i + 1 >= clause.to
                    || text.is(i, Cue::TurnOn)
            }) {
                return None;
            }
            "on".to_owned()
        }
    };
    Some(setting(scene, SettingName::Digest, value, at))
}

/// A digest is read in waking hours: 7 to 12 in the morning, 1 to 6 in the afternoon.
fn daytime(clock: Clock) -> Clock {
    if clock.certain || clock.hour >= 7 { clock } else { Clock { hour: clock.hour + 12, ..clock } }
}

fn short(day: Weekday) -> &'static str {
    match day {
        Weekday::Mon => "MON",
        Weekday::Tue => "TUE",
        Weekday::Wed => "WED",
        Weekday::Thu => "THU",
        Weekday::Fri => "FRI",
        Weekday::Sat => "SAT",
        Weekday::Sun => "SUN",
    }
}

/// `set the time zone to Europe/Vienna`, `we're in Lisbon now`
fn zone(scene: &Scene<'_>) -> Option<Fact> {
    let text = &scene.text;
    // `set the zone to Auckland`
    let sets = |at: usize| text.is_act(at, crate::lexicon::Act::Set);
    let zone = |at: &usize| text.is(*at, Cue::ZoneWord) && (at.saturating_sub(2)..*at).any(sets);
    let named = find(scene, Matter::Zone).or_else(|| (0..text.tokens.len()).find(zone));
    let moved = (0..text.tokens.len()).any(|at| text.is(at, Cue::LiveIn))
        && (0..text.tokens.len()).any(|at| text.has(at, Mark::I));
    // `we're in Lisbon`, before there is a bin: where the room is.
    let here = scene.message.bins.is_empty()
        && text.has(0, Mark::I)
        && text.has(1, Mark::Be)
        && text.is(2, Cue::LocatedIn);
    // `we're on Dublin time now`, `use Dublin time`
    let on_time = (2..text.tokens.len()).any(|at| {
        text.is(at, Cue::Time) && (at.saturating_sub(3)..at - 1).any(|i| text.is(i, Cue::On) || sets(i))
    });
    let moved = moved || here || on_time;
    // Most messages end here: the list of zones is long.
    if named.is_none() && !moved && !text.typed.contains('/') {
        return None;
    }
    let typed = folded(text.typed).split_whitespace().collect::<Vec<_>>().join("_");
    // Most slashes stand between numbers, or between words that end in no zone.
    let slashed = typed
        .as_bytes()
        .windows(3)
        .any(|of| of[1] == b'/' && of[0].is_ascii_alphabetic() && of[2].is_ascii_alphabetic());
    let whole = ZONES.iter().find(|(name, _, _)| slashed && typed.contains(name)).map(|(_, _, zone)| zone);
    if let Some(zone) = whole {
        return Some(setting(scene, SettingName::Zone, zone.name().to_owned(), named.unwrap_or(0)));
    }
    if named.is_none() && !moved {
        return None;
    }
    let city = city(&typed)?;
    Some(setting(scene, SettingName::Zone, city.name().to_owned(), named.unwrap_or(0)))
}

/// The zone whose city the text names; the longest name wins.
fn city(typed: &str) -> Option<Tz> {
    let named = |city: &str| {
        typed.match_indices(city).any(|(at, _)| {
            let edge = |c: Option<char>| c.is_none_or(|c| !c.is_alphanumeric());
            edge(typed[..at].chars().next_back()) && edge(typed[at + city.len()..].chars().next())
        })
    };
    ZONES
        .iter()
        .filter(|(name, city, _)| name.contains('/') && city.len() > 3 && named(city))
        .max_by_key(|(_, city, _)| city.len())
        .map(|(_, _, zone)| *zone)
        .or_else(|| (named("utc") || named("gmt")).then_some(Tz::UTC))
}

/// `use US units`, `switch to metric`
fn units(scene: &Scene<'_>) -> Option<Fact> {
    let text = &scene.text;
    let end = text.tokens.len();
    let system = find(scene, Matter::System);
    let of = |at: usize| {
        if text.has(at, Mark::UnitMetric) {
            Some("metric")
        } else if text.has(at, Mark::UnitImperial) {
            Some("imperial")
        } else if text.has(at, Mark::UnitUs)
            && (system.is_some() || text.word(at).contains(' ') || text.unit(at + 1).is_some())
            && !(text.is(at, Cue::Us)
                && text.matter(at + 1) != Some(Matter::System)
                && text.unit(at + 1).is_none()
                && !text.is(at.wrapping_sub(1), Cue::To))
        {
            Some("us")
        } else {
            None
        }
    };
    let negated = |at: usize| {
        at > 0 && (text.is(at - 1, Cue::Not) || text.is(at - 1, Cue::From) || text.is(at - 1, Cue::InsteadOf))
    };
    // `litres` alone is a measure, and asks for its system only in so many words.
    let named = |at: usize| of(at).filter(|_| !negated(at) && !text.is(at, Cue::Litres));
    let told = (0..end).find_map(|at| named(at).map(|value| (at, value)));
    let Some((at, value)) = told else {
        return by_measures(scene)
            .map(|(at, value)| setting(scene, SettingName::Units, value.to_owned(), at));
    };
    let asked = system.is_some()
        || (0..end).any(|at| {
            text.is_act(at, crate::lexicon::Act::Set)
                || text.has_any(at, &[Mark::Please, Mark::Want, Mark::Can])
        })
        || end <= 2
        // `metric units, and the digest on Tuesdays`
        || text.word(at).contains(' ')
        || (0..end).any(|at| text.is(at, Cue::Prefer));
    asked.then(|| setting(scene, SettingName::Units, value.to_owned(), at))
}

/// `we use cups and pounds`, `I think in ounces`: the system that has such measures where the room is.
fn by_measures(scene: &Scene<'_>) -> Option<(usize, &'static str)> {
    let text = &scene.text;
    let prefers = |at: usize| {
        text.is(at, Cue::PreferWhat)
            || text.is_act(at, crate::lexicon::Act::Use)
            || text.is_act(at, crate::lexicon::Act::Set)
    };
    let measure = |at: usize| text.unit(at).is_some();
    let idle = |at: usize| {
        prefers(at)
            || text.is_stop(at)
            || text.has_any(
                at,
                &[Mark::I, Mark::And, Mark::Please, Mark::Will, Mark::Hello, Mark::Not, Mark::Can, Mark::You],
            )
            || text.is(at, Cue::To)
    };
    let all = 0..text.tokens.len();
    if !all.clone().any(prefers) || !all.clone().all(|at| idle(at) || measure(at)) {
        return None;
    }
    let (at, metric) =
        all.into_iter().find_map(|at| text.unit(at)?.is_metric().map(|metric| (at, metric)))?;
    let zone = scene.message.zone.name();
    let american = zone.starts_with("America/") || zone == "Pacific/Honolulu";
    let customary = if american { "us" } else { "imperial" };
    Some((at, if metric { "metric" } else { customary }))
}
