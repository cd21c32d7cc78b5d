//! Whole seasons from outside: what people text in, what they hear, reviewed line by line in the snapshots, and what must
//! hold of every nudge in every season.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use branbell::season::{Happening, Outcome, Season};
use branbell_store::SqliteStore;
use chrono::{DateTime, FixedOffset, NaiveTime, TimeDelta};
use serde_json::Value;

/// Plays a script and gives each line with what happened by it.
async fn play(script: &str) -> Vec<(Option<Value>, Vec<Happening>)> {
    play_on(script, |_| {}).await
}

/// The same, with something done before each line.
async fn play_on(
    script: &str,
    before: impl Fn(&mut Season<SqliteStore>),
) -> Vec<(Option<Value>, Vec<Happening>)> {
    let mut season = Season::new(SqliteStore::in_memory().await.unwrap());
    let mut played = Vec::new();
    for (number, line) in (1..).zip(script.lines()) {
        before(&mut season);
        let happened = season.line(number, line).await.unwrap();
        played.push((serde_json::from_str(line).ok(), happened));
    }
    played.push((None, season.end().await.unwrap()));
    played
}

/// A season as people read it: theirs with `>`, ours without, nudges with their numbers.
fn told(played: &[(Option<Value>, Vec<Happening>)]) -> String {
    let mut told = String::new();
    for (line, happened) in played {
        let (before, after): (Vec<_>, Vec<_>) = happened.iter().partition(|happening| is_nudge(happening));
        told.extend(before.into_iter().map(ours));
        told.push_str(&line.as_ref().map(theirs).unwrap_or_default());
        told.extend(after.into_iter().map(ours));
    }
    told
}

fn is_nudge(happening: &Happening) -> bool {
    matches!(happening.what, Outcome::Said { nudge: Some(_), .. })
}

fn theirs(line: &Value) -> String {
    let act = ["edit", "delete", "react", "reply"]
        .iter()
        .find_map(|act| Some(format!("{act} {} ", line[*act].as_str()?)));
    let text = line["text"].as_str().or(line["to"].as_str());
    match (line["from"].as_str(), text) {
        (Some(from), text) => {
            format!(
                "\n> {} {from}: {}{}\n",
                clock(&line["at"]),
                act.unwrap_or_default(),
                text.unwrap_or_default()
            )
        }
        _ => String::new(),
    }
}

fn clock(at: &Value) -> String {
    at.as_str().unwrap_or_default().get(5..16).unwrap_or_default().replace('T', " ")
}

fn ours(happening: &Happening) -> String {
    let at = happening.at.map(|at| at.format("%m-%d %H:%M").to_string()).unwrap_or_default();
    match &happening.what {
        Outcome::Said { text, nudge: Some(nudge), to, .. } => {
            let to = if to.is_empty() { String::new() } else { format!(" -> {}", to.join(", ")) };
            format!(
                "\n! {at}{to} [{}]\n  {}\n  {}\n",
                nudge["key"].as_str().unwrap(),
                indent(text),
                nudge["numbers"]
            )
        }
        Outcome::Said { text, .. } => format!("  {}\n", indent(text)),
        Outcome::Shown { state } => format!("\n= {at} {}\n", serde_json::to_string_pretty(state).unwrap()),
        Outcome::Refused { error, .. } => format!("\n? {error}\n"),
    }
}

fn indent(text: &str) -> String {
    text.replace('\n', "\n  ")
}

#[test]
fn seasons_read_well() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    insta::glob!("../seasons", "*.jsonl", |file| {
        let script = std::fs::read_to_string(file).unwrap();
        let played = runtime.block_on(play(&script));
        hold_quiet(&played);
        hold_dilution(&played);
        hold_identity(&played);
        insta::assert_snapshot!(told(&played));
    });
}

/// All that the bot knows is in its store: what a turn was spoken of, which question waits, what was said already.
#[test]
fn a_new_start_before_each_message_changes_nothing() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    insta::glob!("../seasons", "*.jsonl", |file| {
        let script = std::fs::read_to_string(file).unwrap();
        let started_anew = runtime.block_on(play_on(&script, Season::restart));
        let went_on = runtime.block_on(play(&script));
        assert_eq!(told(&started_anew), told(&went_on), "{}", file.display());
    });
}

fn nudges(played: &[(Option<Value>, Vec<Happening>)]) -> impl Iterator<Item = (&Happening, &Value)> {
    played.iter().flat_map(|(_, happened)| happened).filter_map(|happening| match &happening.what {
        Outcome::Said { nudge: Some(nudge), .. } => Some((happening, nudge)),
        _ => None,
    })
}

/// No nudge comes in the room's quiet hours (21:30 to 07:30, where the script sets no others).
fn hold_quiet(played: &[(Option<Value>, Vec<Happening>)]) {
    let sets_its_own = played.iter().any(|(line, _)| {
        line.as_ref().is_some_and(|line| line["text"].as_str().is_some_and(|text| text.starts_with("quiet")))
    });
    let (from, to) =
        (NaiveTime::from_hms_opt(21, 30, 0).unwrap(), NaiveTime::from_hms_opt(7, 30, 0).unwrap());
    for (happening, nudge) in nudges(played).filter(|_| !sets_its_own) {
        let time = happening.at.unwrap().time();
        assert!(time >= to && time < from, "{nudge} at {time}");
    }
}

/// Every drained volume has a hundred times its water.
fn hold_dilution(played: &[(Option<Value>, Vec<Happening>)]) {
    for (_, nudge) in nudges(played).filter(|(_, nudge)| nudge["kind"] == "drain") {
        let [liquid, water] = ["liquid_ml", "water_ml"].map(|key| nudge["numbers"][key].as_f64().unwrap());
        assert!((water - 100.0 * liquid).abs() < 1e-6, "{nudge}");
        assert!(liquid > 0.0, "{nudge}");
    }
}

/// A nudge is said three times at most, and never twice within a day unless somebody put it off or passed it on.
fn hold_identity(played: &[(Option<Value>, Vec<Happening>)]) {
    let mut said: std::collections::HashMap<(String, String), Vec<DateTime<FixedOffset>>> =
        std::collections::HashMap::new();
    for (happening, nudge) in nudges(played) {
        let key = (happening.room.clone().unwrap(), nudge["key"].as_str().unwrap().to_owned());
        said.entry(key).or_default().push(happening.at.unwrap());
    }
    let moves_it = |line: &Value| {
        let says_so = line["text"].as_str().is_some_and(|text| {
            ["can't", "tonight", "after dinner"].iter().any(|later| text.starts_with(later))
        });
        says_so || line["react"] == "💤" || line["react"] == "🙅"
    };
    let put_off = played.iter().any(|(line, _)| line.as_ref().is_some_and(moves_it));
    for (key, times) in said {
        assert!(times.len() <= 3, "{key:?} {times:?}");
        let close = times.windows(2).any(|pair| pair[1] - pair[0] < TimeDelta::hours(20));
        assert!(!close || put_off, "{key:?} {times:?}");
    }
}

#[test]
fn the_rehearsal_shows_a_whole_cycle() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let played = runtime.block_on(play(include_str!("../../bot/rehearsal/kitchen.jsonl")));
    let kinds: std::collections::BTreeSet<&str> =
        nudges(&played).map(|(_, nudge)| nudge["kind"].as_str().unwrap()).collect();
    for kind in ["drain", "full", "check", "bury", "plant"] {
        assert!(kinds.contains(kind), "{kind} is missing of {kinds:?}");
    }
    let all = told(&played);
    for sign in ["of water", "trench", "bran made", "sealed", "white is good", "planted in south"] {
        assert!(all.contains(sign), "{sign} is missing");
    }
}

/// A line that cannot be used is said so, and the season goes on.
#[test]
fn bad_lines_are_refused() {
    let runtime = tokio::runtime::Runtime::new().unwrap();
    let script = r#"
        {"room": "k", "zone": "Mars/Olympus", "at": "2027-01-01T08:00:00Z", "until": "2027-01-02T08:00:00Z"}
        {"room": "k", "from": "ana", "at": "2027-01-01T08:00:00Z", "text": "hello"}
        {"room": "k", "zone": "Europe/Vienna", "direct": true, "people": ["ana"], "at": "2027-01-01T09:00:00+01:00", "until": "2027-01-02T08:00:00Z"}
        {"room": "k", "from": "ana", "at": "2027-01-01T08:30:00+01:00", "text": "back in time"}
        {"room": "k", "from": "ana", "at": "2027-01-01T10:00:00+01:00", "react": "✅", "to": "n9"}
        not json
        {"room": "k", "from": "ana", "at": "2027-01-01T10:00:00+01:00", "text": "new bin green, 19 litres"}
    "#;
    let played = runtime.block_on(play(script));
    insta::assert_snapshot!(told(&played));
}
