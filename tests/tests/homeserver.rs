//! The bot in plain and encrypted rooms of a real homeserver, with people whose clients share no code with it. The
//! scenarios are in `homeserver/`; this makes what they need and runs them.

#![allow(clippy::unwrap_used, reason = "a test fails by it")]

use std::path::{Path, PathBuf};
use std::process::Command;

use branbell_tests::{program, python};

const TARGET: &str = env!("CARGO_TARGET_TMPDIR");
const SCENARIOS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/homeserver");

fn interpreter() -> PathBuf {
    let requirements = Path::new(SCENARIOS).join("requirements.txt");
    python::environment(&Path::new(TARGET).join("homeserver"), &requirements).unwrap()
}

/// Runs a module of the environment in the folder of the scenarios.
fn passes(python: &Path, module: &[&str], program: &Path) -> bool {
    let mut command = Command::new(python);
    command.arg("-m").args(module).current_dir(SCENARIOS).env("BRANBELL_PROGRAM", program);
    // Nothing is left behind between the sources.
    command.env("PYTHONDONTWRITEBYTECODE", "1");
    command.status().unwrap().success()
}

#[test]
fn every_scenario_on_a_homeserver() {
    let target = Path::new(TARGET).parent().unwrap();
    let program = program::bot(target).unwrap();
    let python = interpreter();
    assert!(passes(&python, &["mypy", "."], &program), "the scenarios are not well typed, see above");
    assert!(
        passes(&python, &["ruff", "check", "--no-cache"], &program),
        "the scenarios are not clean, see above"
    );
    assert!(passes(&python, &["pytest"], &program), "a scenario failed, see above");
}
