//! The one clock. Everything below is told the time.

use chrono::{DateTime, Utc};

/// Tells the time.
pub trait Clock: Send + Sync + 'static {
    /// Now.
    fn now(&self) -> DateTime<Utc>;

    /// An instant that somebody else's clock told, by this one: never later than now, whatever the other says.
    fn here(&self, told: DateTime<Utc>) -> DateTime<Utc> {
        told.min(self.now())
    }
}

/// The machine's clock.
#[derive(Clone, Copy, Debug, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    #[expect(clippy::disallowed_methods, reason = "this is the one clock")]
    fn now(&self) -> DateTime<Utc> {
        Utc::now()
    }
}

/// A clock for tests: a file that holds an instant (RFC 3339), read anew each time.
#[cfg(feature = "test-clock")]
#[derive(Clone, Debug)]
pub struct FileClock {
    /// The file.
    pub file: std::path::PathBuf,
}

#[cfg(feature = "test-clock")]
impl Clock for FileClock {
    /// The machine's time where the file holds no instant.
    fn now(&self) -> DateTime<Utc> {
        let text = std::fs::read_to_string(&self.file).unwrap_or_default();
        DateTime::parse_from_rfc3339(text.trim())
            .map_or_else(|_| SystemClock.now(), |instant| instant.to_utc())
    }

    /// What happens while a test has set the time happens at that time.
    fn here(&self, _: DateTime<Utc>) -> DateTime<Utc> {
        self.now()
    }
}
