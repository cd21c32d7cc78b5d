//! The room in the terminal: `branbell` without a command.

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;

use anyhow::Result;
use branbell_scheduler::fact::Units;
use chrono::{DateTime, Utc};
use chrono_tz::Tz;

use super::{data_directory, open_store};
use crate::chat::terminal::Input;
use crate::chat::{Deed, Incoming, Person, RoomInfo};
use crate::clock::Clock;
use crate::host::Host;

/// The terminal's one room, and the one who types.
const ROOM: &str = "terminal";

/// Opens the room and stays until the input ends.
///
/// # Errors
/// The data directory, the store or the terminal cannot be used.
pub async fn run(data: Option<PathBuf>, clock: impl Clock) -> Result<ExitCode> {
    let directory = match data {
        Some(directory) => directory,
        None => data_directory()?,
    };
    let host = Host::new(open_store(&directory).await?);
    let me = std::env::var("USER").unwrap_or_else(|_| "me".to_owned());
    host.open(&room(&me), clock.now()).await?;
    let (mut input, screen) = Input::open(&directory)?;
    let mut typed = 0;
    loop {
        let next = host.deliver(&screen, clock.now()).await?;
        tokio::select! {
            line = input.line() => match line? {
                Some(text) if text.trim().is_empty() => {}
                Some(text) => {
                    typed += 1;
                    host.take(&said(&me, text, typed, clock.now()), clock.now()).await?;
                }
                None => break,
            },
            () = host.woken() => {}
            () = until(next, clock.now()) => {}
        }
    }
    host.deliver(&screen, clock.now()).await?;
    Ok(ExitCode::SUCCESS)
}

fn room(me: &str) -> RoomInfo {
    let people = vec![Person { id: me.to_owned(), name: me.to_owned(), steward: true }];
    RoomInfo { room: ROOM.to_owned(), direct: true, zone: zone(), units: units(), people }
}

/// The zone that this shell is set to (`TZ`), else the system.
fn zone() -> Tz {
    let shell = std::env::var("TZ").ok().and_then(|name| name.trim_start_matches(':').parse().ok());
    let system = || iana_time_zone::get_timezone().ok().and_then(|name| name.parse().ok());
    shell.or_else(system).unwrap_or(Tz::UTC)
}

/// The measures of the system's language: US customary in the United States, else metric.
fn units() -> Units {
    let language = ["LC_ALL", "LC_MEASUREMENT", "LANG"]
        .iter()
        .find_map(|name| std::env::var(name).ok().filter(|value| !value.is_empty()));
    if language.is_some_and(|language| language.contains("_US")) { Units::Us } else { Units::Metric }
}

/// The line typed as the nth since the room was opened.
fn said(me: &str, text: String, nth: u64, now: DateTime<Utc>) -> Incoming {
    Incoming {
        room: ROOM.to_owned(),
        // Two lines are two events, even where the clock stands still or goes back.
        event: format!("typed:{}:{}:{nth}", now.timestamp_micros(), std::process::id()),
        sender: me.to_owned(),
        sent: now,
        direct: true,
        thread: None,
        deed: Deed::Say { text, reply_to: None },
    }
}

/// Looks at the clock again after this long at most: the machine may have slept, or its clock was set.
const LONGEST_NAP: Duration =
    if cfg!(feature = "test-clock") { Duration::from_millis(100) } else { Duration::from_secs(30) };

/// Sleeps until the next thing is due, or it is time to look again.
async fn until(next: Option<DateTime<Utc>>, now: DateTime<Utc>) {
    match next {
        Some(next) => tokio::time::sleep((next - now).to_std().unwrap_or_default().min(LONGEST_NAP)).await,
        None => std::future::pending().await,
    }
}
