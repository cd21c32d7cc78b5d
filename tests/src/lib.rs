//! The whole thing from outside: what the tests of this crate share.

pub mod postgres;
pub mod program;
pub mod python;
