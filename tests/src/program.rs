//! Programs of the workspace, built as a test needs them.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context, ensure};
use serde_json::Value;

/// Builds the bot with these features into a target directory, and gives the program.
///
/// # Errors
/// When it does not build.
pub fn build(features: &[&str], target: &Path) -> anyhow::Result<PathBuf> {
    cargo(&["--package", "branbell", "--features", &features.join(",")], target)
}

/// Builds the bot with everything that the tests on a homeserver need, optimised where the caller is, and gives the
/// program. Whoever builds it builds the same, so that tests that run one after the other do not build it anew.
///
/// # Errors
/// When it does not build.
pub fn bot(target: &Path) -> anyhow::Result<PathBuf> {
    let release: &[&str] = if cfg!(debug_assertions) { &[] } else { &["--release"] };
    let what = ["--package", "branbell", "--features", "matrix,postgres,test-clock"];
    cargo(&[&what, release].concat(), target)
}

/// Builds an example of the model's crate into a target directory, and gives the program.
///
/// # Errors
/// When it does not build.
pub fn example(name: &str, target: &Path) -> anyhow::Result<PathBuf> {
    cargo(&["--package", "branbell-scheduler", "--example", name], target)
}

fn cargo(what: &[&str], target: &Path) -> anyhow::Result<PathBuf> {
    let built = Command::new(env!("CARGO"))
        .args(["build", "--message-format", "json-render-diagnostics"])
        .args(what)
        .arg("--target-dir")
        .arg(target)
        .current_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.."))
        .stderr(Stdio::inherit())
        .output()
        .context("cargo does not start")?;
    ensure!(built.status.success(), "this does not build: {what:?}");
    let messages = String::from_utf8(built.stdout)?;
    let messages = messages.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok());
    let mut programs = messages.filter_map(|message| message["executable"].as_str().map(PathBuf::from));
    programs.next_back().context("cargo tells no program")
}
