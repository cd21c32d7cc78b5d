//! Reads `{"facts": [...], "moments": [...]}` and prints what the model holds at each moment: a report and a plan a line.
//!
//! `cargo run --release -p branbell-scheduler --example recount < season.json`

use std::error::Error;
use std::io;

use branbell_scheduler::fact::Fact;
use branbell_scheduler::{Room, plan, report};
use chrono::{DateTime, Utc};
use serde::Deserialize;

#[derive(Deserialize)]
struct Season {
    facts: Vec<Fact>,
    moments: Vec<DateTime<Utc>>,
}

fn main() -> Result<(), Box<dyn Error>> {
    let Season { facts, moments } = serde_json::from_reader(io::stdin().lock())?;
    for moment in moments {
        let room = Room::fold(facts.iter().filter(|fact| fact.told <= moment));
        let line = serde_json::json!({ "report": report(&room, moment), "plan": plan(&room, moment) });
        println!("{line}");
    }
    Ok(())
}
