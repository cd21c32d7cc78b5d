//! Events that no client of good will sends, by the million: what they may do to the bot, and what they may not.
//!
//! ```text
//! cargo run --package branbell --features matrix --example hostile -- --events 1000000 --seed 1
//! ```
//!
//! Valid events are changed at random (types, sizes, depths, names, times, whose they are), read as the Matrix transport reads
//! them, and held against the JSON as another reader understands it. One in some goes on into a room with a store, whose
//! rows are looked through at the end of each thousand. It prints totals, and fails at the first thing that does not hold,
//! with the event that did it.

mod check;
mod kitchen;
mod make;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

use anyhow::{Context, Result, ensure};
use branbell::chat::Deed;
use branbell::chat::matrix::{Me, Seen};
use clap::Parser;
use matrix_sdk::deserialized_responses::{TimelineEvent, UnableToDecryptInfo, UnableToDecryptReason};
use matrix_sdk::ruma::UserId;
use matrix_sdk::ruma::serde::Raw;

use kitchen::Kitchen;
use make::{ME, Maker};

/// No event takes longer: with thousands a minute from one room, the others would wait.
const LONGEST: Duration = Duration::from_secs(1);

/// Feeds the bot with hostile events.
#[derive(Parser)]
struct Arguments {
    /// How many events.
    #[arg(long, value_name = "N", default_value_t = 100_000)]
    events: u64,
    /// Decides which.
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u64,
    /// One event of others in so many goes on into a room.
    #[arg(long, value_name = "K", default_value_t = 50)]
    kept: u64,
}

#[tokio::main(flavor = "current_thread")]
async fn main() -> Result<()> {
    let arguments = Arguments::parse();
    let me = Me::new(UserId::parse(ME)?, Some("Bin Keeper"));
    let mut maker = Maker::new(arguments.seed);
    let mut kitchen = Kitchen::open().await?;
    // The vocabulary is made ready when the first message is read; that time is no event's.
    let first =
        branbell_language::parse_line(r#"{"text": "", "now": "2027-01-15T08:00:00Z", "zone": "Etc/UTC"}"#)?;
    branbell_language::read(&first);
    let mut totals = Totals::default();
    let mut theirs_so_far = 0;
    for _ in 0..arguments.events {
        let raw = maker.event();
        let begun = Instant::now();
        let seen = read(&raw, &me).with_context(|| shortened(&raw))?;
        totals.read.add(begun.elapsed(), &raw);
        totals.count(seen.as_ref());
        let Some(seen) = seen else { continue };
        check::holds(&raw, &seen).with_context(|| shortened(&raw))?;
        let Seen::Theirs(theirs) = seen else { continue };
        theirs_so_far += 1;
        if theirs_so_far % arguments.kept != 0 {
            continue;
        }
        let begun = Instant::now();
        kitchen.take(theirs).await.with_context(|| shortened(&raw))?;
        totals.taken.add(begun.elapsed(), &raw);
        maker.know(kitchen.newest());
    }
    kitchen.close().await?;
    totals.print(&arguments, &kitchen);
    for Slowest { time, event } in [&totals.read, &totals.taken] {
        ensure!(*time < LONGEST, "an event took {time:?}: {event}");
    }
    Ok(())
}

/// Reads an event as it comes from a homeserver; none where it is no JSON, which ends at the homeserver's answer.
fn read(raw: &str, me: &Me) -> Result<Option<Seen>> {
    let Ok(event) = Raw::from_json_string(raw.to_owned()) else { return Ok(None) };
    let seen = catch_unwind(AssertUnwindSafe(|| {
        let event = if raw.contains("m.room.encrypted") {
            let reason = UnableToDecryptReason::Unknown;
            TimelineEvent::from_utd(event, UnableToDecryptInfo { session_id: None, reason })
        } else {
            TimelineEvent::from_plaintext(event)
        };
        Seen::read(&event, me)
    }));
    seen.map(Some).map_err(|_| anyhow::anyhow!("reading it panics"))
}

/// An event as it can be printed.
fn shortened(raw: &str) -> String {
    format!("{} bytes: {}", raw.len(), raw.chars().take(9_000).collect::<String>())
}

/// What came of the events.
#[derive(Default)]
struct Totals {
    outcomes: BTreeMap<&'static str, u64>,
    read: Slowest,
    taken: Slowest,
}

/// The event that took longest.
#[derive(Default)]
struct Slowest {
    time: Duration,
    event: String,
}

impl Slowest {
    fn add(&mut self, time: Duration, event: &str) {
        if time > self.time {
            *self = Self { time, event: shortened(event) };
        }
    }
}

impl Totals {
    fn count(&mut self, seen: Option<&Seen>) {
        let outcome = match seen {
            None => "no JSON",
            Some(Seen::Nothing) => "no event, or of the room itself",
            Some(Seen::Ours { .. }) => "our own",
            Some(Seen::Theirs(theirs)) => match theirs.deed {
                Deed::Say { .. } => "said",
                Deed::Edit { .. } => "changed",
                Deed::Delete { .. } => "deleted",
                Deed::React { .. } => "reacted",
                Deed::TooLong { .. } => "too long",
                Deed::Unreadable { .. } => "encrypted",
                Deed::Other | Deed::Lost { .. } => "of no concern",
            },
        };
        *self.outcomes.entry(outcome).or_default() += 1;
    }

    fn print(&self, arguments: &Arguments, kitchen: &Kitchen) {
        println!("{} events, seed {}", arguments.events, arguments.seed);
        for (outcome, count) in &self.outcomes {
            println!("  {count:9} {outcome}");
        }
        println!("{}", kitchen.totals);
        println!("the slowest: read in {:?}, taken in in {:?}", self.read.time, self.taken.time);
        println!("0 broken");
    }
}
