//! The outbox is emptied row by row, room by room in turn; a row that will not go holds its room back, and no other.

use std::future::Future;
use std::time::Duration;

use branbell_store::{Millis, Outgoing, Store, StoreError};

/// Rows read from the outbox at a time: a room that has nothing else to be sent waits for so many of others at most.
const BATCH: i64 = 20;

/// The longest pause between two tries, unless the other side asks for a longer one.
const LONGEST_PAUSE: Duration = Duration::from_mins(5);

/// Where rows of the outbox go: a chat transport.
pub trait Outlet: Send + Sync {
    /// Sends one row under its transaction id and gives the id of the event that it became. Sending the same row again
    /// must be harmless: the transport recognises the transaction id.
    ///
    /// # Errors
    /// [`SendError`] tells whether another try can help.
    fn send(&self, row: &Outgoing) -> impl Future<Output = Result<String, SendError>> + Send;
}

/// Why a row could not be sent, and what to do about it.
#[derive(Debug, thiserror::Error)]
pub enum SendError {
    /// It may go later: the line is down, or the other side asked for a pause.
    #[error("not sent yet: {reason}")]
    Retry {
        /// What went wrong.
        reason: String,
        /// How long the other side asked us to wait, if it did.
        after: Option<Duration>,
    },
    /// It will never go: the room is gone, or we may not speak there.
    #[error("cannot be sent: {reason}")]
    GiveUp {
        /// What went wrong.
        reason: String,
    },
}

/// Sends all that may go now.
///
/// A crash after a row went out and before it is marked sends it once more at the next start, under the same transaction
/// id: the transport answers with the event that it became the first time.
///
/// # Errors
/// The store cannot be read or written.
pub async fn flush<S: Store>(store: &S, outlet: &impl Outlet, now: Millis) -> Result<(), StoreError> {
    loop {
        let rows = store.outbox(now, BATCH).await?;
        if rows.is_empty() {
            return Ok(());
        }
        let mut held: Vec<&str> = Vec::new();
        for row in &rows {
            if held.contains(&row.room.as_str()) {
                continue;
            }
            // While the last one went out, this process may have been paused, and another may have taken over.
            store.confirm().await?;
            match outlet.send(row).await {
                Ok(event) => store.sent(row.seq, &event).await?,
                Err(SendError::Retry { after, .. }) => {
                    let pause = after.unwrap_or_default().max(pause(row.tries));
                    store.put_off(row.seq, now.saturating_add(millis(pause))).await?;
                    held.push(row.room.as_str());
                }
                Err(SendError::GiveUp { reason }) => store.give_up(row.seq, &reason).await?,
            }
        }
    }
}

/// 1 s, 2 s, 4 s, … and at most [`LONGEST_PAUSE`].
fn pause(tries: i64) -> Duration {
    let doublings = u32::try_from(tries.clamp(0, 16)).unwrap_or(16);
    Duration::from_secs(1 << doublings).min(LONGEST_PAUSE)
}

fn millis(pause: Duration) -> Millis {
    Millis::try_from(pause.as_millis()).unwrap_or(Millis::MAX)
}
