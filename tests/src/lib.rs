//! The whole thing from outside: what the tests of this crate share.

pub mod program;
pub mod python;
