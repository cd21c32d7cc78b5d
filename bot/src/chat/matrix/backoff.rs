//! How long to wait after the nth failure in a row.

use std::future::Future;
use std::time::Duration;

use matrix_sdk::Room;
use tracing::warn;

/// How often something that goes on in the background is tried; the last wait is about a minute.
const TRIES: u32 = 10;
const FIRST: Duration = Duration::from_millis(250);
const LONGEST: Duration = Duration::from_mins(1);

/// Waits that double from a quarter of a second to a minute.
#[derive(Debug, Default)]
pub struct Backoff {
    failures: u32,
}

impl Backoff {
    /// How long to wait after one more failure.
    pub fn pause(&mut self) -> Duration {
        let wait = FIRST.saturating_mul(2_u32.saturating_pow(self.failures)).min(LONGEST);
        self.failures = self.failures.saturating_add(1);
        wait
    }

    /// It worked: the next failure counts as the first.
    pub fn reset(&mut self) {
        self.failures = 0;
    }
}

/// Does something about a room in the background, again while it fails; `failed` is said of each time that it did.
pub(super) fn persist<F>(room: Room, failed: &'static str, deed: impl Fn(Room) -> F + Send + 'static)
where
    F: Future<Output = anyhow::Result<()>> + Send,
{
    tokio::spawn(async move {
        let mut backoff = Backoff::default();
        for _ in 0..TRIES {
            match deed(room.clone()).await {
                Ok(()) => return,
                Err(error) => warn!(room = %room.room_id(), "{failed}: {error:#}"),
            }
            tokio::time::sleep(backoff.pause()).await;
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_up_to_a_minute_and_begin_anew() {
        let mut backoff = Backoff::default();
        let waits: Vec<u128> = (0..12).map(|_| backoff.pause().as_millis()).collect();
        assert_eq!(waits, [250, 500, 1000, 2000, 4000, 8000, 16_000, 32_000, 60_000, 60_000, 60_000, 60_000]);
        backoff.reset();
        assert_eq!(backoff.pause(), FIRST);
    }
}
