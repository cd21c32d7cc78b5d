//! What the facts come to: litres, grams and dates, each with its range and where it came from.

pub mod acid;
mod answer;
pub mod bran;
pub mod bury;
mod constant;
pub mod counts;
pub mod density;
mod derivation;
pub mod dilution;
pub mod ferment;
pub mod fill;
pub mod liquid;
pub mod nitrogen;
pub mod rest;
mod rhythm;
pub mod rotation;
pub mod starter;
pub mod tally;

pub use answer::{Quantity, When};
pub use constant::{Constant, Source};
pub use derivation::{Derivation, Estimate, Formula, Narrows, Origin, Term, Value};
