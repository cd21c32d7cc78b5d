//! A short run of the crash program on each engine; a long one is `cargo run -p branbell-tests --bin crash`.

#![allow(clippy::unwrap_used, reason = "a test fails by it")]

use std::process::Command;

/// Runs it with few kills, and tells whether nothing was lost or doubled.
fn passes(kills: u32, store: &str) -> bool {
    let mut run = Command::new(env!("CARGO_BIN_EXE_crash"));
    run.args(["--kills", &kills.to_string(), "--seed", "1", "--store", store]);
    run.status().unwrap().success()
}

#[test]
fn nothing_is_lost_or_doubled_when_it_is_killed() {
    assert!(passes(12, "sqlite"), "see above");
    assert!(passes(8, "postgres"), "see above");
}
