//! Who serves an account: one process at a time.
//!
//! A homeserver recognises a message that is sent twice only from one device, and a device is one process. So whoever
//! serves an account holds a *token*, kept in the store. Every write shows it in its own transaction; whoever takes over
//! raises it, and a process that was paused meanwhile and comes back can write nothing any more and learns so from
//! [`StoreError::FencedOff`].
//!
//! Taking over needs to know that the one before is gone. Two signs, either is enough:
//!
//! - it has let go of its lock (a lock file beside the SQLite file, a session lock of PostgreSQL), as every process does
//!   when it ends or is killed: taken over at once
//! - it does not answer: a standby asks in the store every [`LOOK`], and who serves answers every [`BEAT`]; after
//!   [`PATIENCE`] looks in vain it is taken over. No clocks are compared.
//!
//! Whoever takes over has a lock of its own before its token can be seen, so that the one before, when it comes back and
//! ends, leaves nothing behind that looks like an end of the new one.
//!
//! The worst case is a process that is paused just after an answer: [`PATIENCE`] looks, [`LOOK`] apart, so 4.5 s.

use std::time::Duration;

use crate::{Store, StoreError};

/// How often the one that serves answers.
pub const BEAT: Duration = Duration::from_secs(1);

/// How often a standby looks.
pub const LOOK: Duration = Duration::from_millis(500);

/// After so many looks without an answer the one that serves is taken to be gone: four beats, so that some may be late.
pub const PATIENCE: u32 = 8;

/// How whoever serves the account stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lease {
    /// What it shows with every write.
    pub token: i64,
    /// The last question of a standby that it answered.
    pub answered: i64,
}

/// What came of taking an account.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Taken {
    /// This handle serves it.
    Ours,
    /// Somebody else does; it was asked for a sign of life.
    Others(Lease),
}

/// Counts looks at a lease that does not change.
#[derive(Debug, Default)]
pub struct Watch {
    seen: Option<Lease>,
    in_vain: u32,
}

impl Watch {
    /// Takes a look into account, and gives the lease back once its holder is taken to be gone.
    pub fn look(&mut self, lease: Lease) -> Option<Lease> {
        self.in_vain = if self.seen == Some(lease) { self.in_vain + 1 } else { 0 };
        self.seen = Some(lease);
        (self.in_vain >= PATIENCE).then_some(lease)
    }
}

/// Waits until the account is ours, however long another process serves it.
///
/// # Errors
/// The store cannot be read or written.
pub async fn stand_by(store: &impl Store) -> Result<(), StoreError> {
    let mut watch = Watch::default();
    let mut stale = None;
    while let Taken::Others(lease) = store.take(stale).await? {
        stale = watch.look(lease);
        tokio::time::sleep(LOOK).await;
    }
    Ok(())
}

/// Serves the account: answers standbys until another process takes over, and tells so. What else fails may pass.
pub async fn keep(store: &impl Store) -> StoreError {
    loop {
        match store.beat().await {
            Err(lost) if lost.is_lost() => return lost,
            _ => tokio::time::sleep(BEAT).await,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn who_answers_is_never_taken_to_be_gone() {
        let mut watch = Watch::default();
        for answered in 0..50 {
            // An answer comes every other look at the latest, and one may be late.
            for _ in 0..PATIENCE {
                assert_eq!(watch.look(Lease { token: 1, answered }), None);
            }
        }
    }

    #[test]
    fn who_falls_silent_is_given_up_after_some_looks() {
        let mut watch = Watch::default();
        let silent = Lease { token: 1, answered: 7 };
        let looks = (1..100).find(|_| watch.look(silent).is_some());
        assert_eq!(looks, Some(PATIENCE + 1));
        assert_eq!(watch.look(Lease { token: 2, answered: 7 }), None, "another one took over first");
    }
}
