//! How long to wait after the nth failure in a row.

use std::time::Duration;

const FIRST: Duration = Duration::from_millis(250);
const LONGEST: Duration = Duration::from_mins(1);

/// Waits that double from a quarter of a second to a minute.
#[derive(Debug, Default)]
pub(super) struct Backoff {
    failures: u32,
}

impl Backoff {
    /// How long to wait after one more failure.
    pub(super) fn next(&mut self) -> Duration {
        let wait = FIRST.saturating_mul(2_u32.saturating_pow(self.failures)).min(LONGEST);
        self.failures = self.failures.saturating_add(1);
        wait
    }

    /// It worked: the next failure counts as the first.
    pub(super) fn reset(&mut self) {
        self.failures = 0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_up_to_a_minute_and_begin_anew() {
        let mut backoff = Backoff::default();
        let waits: Vec<u128> = (0..12).map(|_| backoff.next().as_millis()).collect();
        assert_eq!(waits, [250, 500, 1000, 2000, 4000, 8000, 16_000, 32_000, 60_000, 60_000, 60_000, 60_000]);
        backoff.reset();
        assert_eq!(backoff.next(), FIRST);
    }
}
