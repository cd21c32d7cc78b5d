#![doc = include_str!("../README.md")]

pub mod advice;
pub mod deliver;
pub mod fact;
pub mod growing;
pub mod hints;
pub mod plan;
pub mod quantity;
pub mod quiet;
pub mod report;
pub mod series;
pub mod shares;
pub mod state;
pub mod units;

pub use plan::{Nudge, NudgeKey, NudgeKind, Numbers, Subject, plan, send_at};
pub use quantity::{Derivation, Quantity, When};
pub use quiet::Quiet;
pub use report::{Report, report};
pub use state::{Bin, Phase, Room};
