#![doc = include_str!("../README.md")]

pub mod archive;
pub mod calendar;
pub mod chat;
pub mod clock;
pub mod commands;
#[cfg(feature = "matrix")]
pub mod config;
pub mod dialogue;
pub mod host;
pub mod picture;
pub mod season;
pub mod voice;
