//! The Matrix transport: logs in once, signs its own device, listens in its rooms and speaks in them, encrypted ones
//! included.
//!
//! | file | what it is for |
//! | --- | --- |
//! | `keep` | files that only the bot's own user can read |
//! | `session` | one login and one device, for ever |
//! | `identity` | the device signed by the account, and the recovery key |
//! | `event` | what an event of the room means: one of ours, or what a person did (pure) |
//! | `address` | whether a text is meant for the bot (pure) |
//! | `listen` | the long poll, and what it brings: rooms, invitations, events |
//! | `history` | paging back to what was taken in last, on start and after a gap |
//! | `backlog` | what was said and is not taken in yet, room by room (pure) |
//! | `late` | rooms in trouble, tried again later and later (pure) |
//! | `upgrade` | a room that another takes the place of |
//! | `people` | who is in a room, and who may invite |
//! | `outlet` | what the bot says, each row of the outbox once |
//! | `backoff` | how long to wait after the nth failure |
//!
//! The library saves its place in the stream of events before anybody has seen them, so that place is not trusted: the last
//! event taken in, room by room, is kept with its facts, and whenever a room may have a gap we page back to it.

mod address;
mod backlog;
mod backoff;
mod event;
mod history;
mod identity;
mod image;
mod keep;
mod late;
mod listen;
mod outlet;
mod people;
mod session;
mod upgrade;

pub use backoff::Backoff;
pub use event::{Me, Seen, Theirs};
pub use identity::{Trust, secure};
pub use keep::Keep;
pub use listen::{Ended, Listener};
pub use outlet::MatrixOutlet;
pub use session::open as open_session;
