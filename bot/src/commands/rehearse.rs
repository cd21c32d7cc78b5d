//! `branbell rehearse`: six weeks in an invented kitchen, as a conversation, for a newcomer to watch.

use std::collections::HashMap;
use std::io::{self, Write};
use std::process::ExitCode;

use anyhow::Result;
use branbell_store::SqliteStore;
use chrono::DateTime;
use serde_json::Value;

use super::output::out;
use crate::season::{Happening, Outcome, Season};

/// The script: an invented kitchen.
const KITCHEN: &str = include_str!("../../rehearsal/kitchen.jsonl");

/// Plays the kitchen and prints it.
///
/// # Errors
/// The store or standard output cannot be used.
pub async fn run() -> Result<ExitCode> {
    let mut season = Season::new(SqliteStore::in_memory().await?);
    let mut teller = Teller::default();
    for (number, line) in (1..).zip(KITCHEN.lines()) {
        let happenings = season.line(number, line).await?;
        // What was due before the message was said before it.
        let spoken = serde_json::from_str::<Value>(line).ok();
        let (before, after): (Vec<_>, Vec<_>) = happenings.into_iter().partition(is_nudge);
        teller.we(&before)?;
        if let Some(line) = spoken {
            teller.person(&line)?;
        }
        teller.we(&after)?;
    }
    teller.we(&season.end().await?)?;
    Ok(ExitCode::SUCCESS)
}

fn is_nudge(happening: &Happening) -> bool {
    matches!(happening.what, Outcome::Said { nudge: Some(_), .. })
}

/// Tells a season as a conversation: a line a day, then who said what when.
#[derive(Default)]
struct Teller {
    day: String,
    said: HashMap<String, String>,
}

impl Teller {
    fn person(&mut self, line: &Value) -> io::Result<()> {
        let (Some(at), Some(from)) = (line["at"].as_str(), line["from"].as_str()) else { return Ok(()) };
        let Ok(at) = DateTime::parse_from_rfc3339(at) else { return Ok(()) };
        let text = match (line["react"].as_str(), line["to"].as_str()) {
            (Some(sign), Some(to)) => format!("{sign} on “{}”", self.said.get(to).map_or("", String::as_str)),
            _ => line["text"].as_str().unwrap_or_default().to_owned(),
        };
        self.line(at, from, &text)
    }

    fn we(&mut self, happenings: &[Happening]) -> io::Result<()> {
        for happening in happenings {
            if let (Some(at), Outcome::Said { id, text, .. }) = (happening.at, &happening.what) {
                self.said.insert(
                    id.clone(),
                    text.split_terminator(['.', ':']).next().unwrap_or_default().to_owned(),
                );
                self.line(at, "branbell", text)?;
            }
        }
        Ok(())
    }

    fn line(&mut self, at: DateTime<chrono::FixedOffset>, who: &str, text: &str) -> io::Result<()> {
        let day = at.format("%A %-d %B").to_string();
        if day != self.day {
            writeln!(out(), "\n── {day} ──")?;
            self.day = day;
        }
        let head = format!("{} {who:>8}  ", at.format("%H:%M"));
        let width = head.chars().count();
        writeln!(out(), "{head}{}", text.replace('\n', &format!("\n{}", " ".repeat(width))))
    }
}
