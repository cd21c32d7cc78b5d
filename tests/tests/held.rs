//! What starts the bot in a container that is started again however it ended.

#![allow(clippy::unwrap_used, reason = "a test fails by it")]

use std::fs;
use std::io::{BufRead, BufReader};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};

use tempfile::TempDir;

const HELD: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../deploy/held.sh");

fn script(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    fs::write(&path, format!("#!/bin/sh\n{text}\n")).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).unwrap();
}

/// Starts it with a stand-in for the bot, and with one for `sleep` that tells of itself and ends at once.
fn start(folder: &TempDir, bot: &str) -> Child {
    script(folder.path(), "branbell", bot);
    script(folder.path(), "sleep", "echo \"held: $*\"");
    let path = format!("{}:{}", folder.path().display(), std::env::var("PATH").unwrap());
    Command::new(HELD).arg("serve").env("PATH", path).stdout(Stdio::piped()).spawn().unwrap()
}

fn outcome(bot: &str) -> (Option<i32>, String) {
    let folder = TempDir::new().unwrap();
    let Output { status, stdout, .. } = start(&folder, bot).wait_with_output().unwrap();
    (status.code(), String::from_utf8(stdout).unwrap())
}

#[test]
fn a_session_that_is_over_is_not_started_again() {
    assert_eq!(outcome("exit 77"), (Some(0), "held: infinity\n".into()));
}

#[test]
fn any_other_end_is_its_own() {
    assert_eq!(outcome("echo $1; exit 0"), (Some(0), "serve\n".into()));
    assert_eq!(outcome("exit 1"), (Some(1), String::new()));
}

#[test]
fn told_to_stop_it_lets_the_bot_come_to_its_end() {
    let folder = TempDir::new().unwrap();
    let mut held =
        start(&folder, "trap 'echo stopping; exit 3' TERM\necho serves\nwhile :; do read -r _; done");
    let mut lines = BufReader::new(held.stdout.take().unwrap()).lines().map(Result::unwrap);
    assert_eq!(lines.next().as_deref(), Some("serves"));
    assert!(Command::new("kill").arg(held.id().to_string()).status().unwrap().success());
    assert_eq!(lines.next().as_deref(), Some("stopping"));
    assert_eq!(held.wait().unwrap().code(), Some(3));
}
