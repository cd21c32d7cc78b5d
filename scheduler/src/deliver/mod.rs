//! Delivery: what is due leaves through the outbox, each row exactly once.

mod hold;
mod lifecycle;
mod outbox;

pub use hold::{heard, hold};
pub use lifecycle::{MOST_SENDS, REPEAT_AFTER, Wanted, answered, put_off, reconcile, sent};
pub use outbox::{Outlet, SendError, flush};
