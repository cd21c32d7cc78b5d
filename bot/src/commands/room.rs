//! The room in the terminal: `branbell` without a command.

use std::path::PathBuf;
use std::process::ExitCode;

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
    loop {
        let next = host.deliver(&screen, clock.now()).await?;
        tokio::select! {
            line = input.line() => match line? {
                Some(text) if text.trim().is_empty() => {}
                Some(text) => host.take(&said(&me, text, clock.now()), clock.now()).await?,
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

/// The zone that the system is set to.
fn zone() -> Tz {
    iana_time_zone::get_timezone().ok().and_then(|name| name.parse().ok()).unwrap_or(Tz::UTC)
}

/// The measures of the system's language: US customary in the United States, else metric.
fn units() -> Units {
    let language = ["LC_ALL", "LC_MEASUREMENT", "LANG"]
        .iter()
        .find_map(|name| std::env::var(name).ok().filter(|value| !value.is_empty()));
    if language.is_some_and(|language| language.contains("_US")) { Units::Us } else { Units::Metric }
}

fn said(me: &str, text: String, now: DateTime<Utc>) -> Incoming {
    Incoming {
        room: ROOM.to_owned(),
        // One person types one line at a time: a line is told from the next by its moment.
        event: format!("typed:{}", now.timestamp_micros()),
        sender: me.to_owned(),
        sent: now,
        direct: true,
        deed: Deed::Say { text, reply_to: None },
    }
}

/// Sleeps until the next thing is due.
async fn until(next: Option<DateTime<Utc>>, now: DateTime<Utc>) {
    match next {
        Some(next) => tokio::time::sleep((next - now).to_std().unwrap_or_default()).await,
        None => std::future::pending().await,
    }
}
