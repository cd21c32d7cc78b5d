//! What the facts come to: litres, grams and dates, each with its range and where it came from.

pub mod bran;
pub mod bury;
pub mod density;
mod derivation;
pub mod dilution;
pub mod ferment;
pub mod fill;
pub mod liquid;
pub mod nitrogen;
pub mod rest;
pub mod rhythm;
pub mod rotation;
pub mod starter;
pub mod tally;

pub use derivation::{
    Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, Term, Value, When,
};
