//! What starts the bot in a container that is started again however it ended.

#![allow(clippy::unwrap_used, reason = "a test fails by it")]

use std::io::{BufRead, BufReader, Write};
use std::os::unix::process::{CommandExt, ExitStatusExt};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread;
use std::time::Duration;

use tempfile::TempDir;

const HELD: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../deploy/held.sh");

/// What has not ended after so long is killed, with all that it started.
const LIMIT: Duration = Duration::from_secs(20);

/// Stops as it is told, with a status of its own.
const STOPS: &str = "trap 'echo stopping; exit 3' TERM\necho serves\nwhile :; do read -r _; done";

/// Not written by this process: the others that it starts in that moment would hold the file open, too, and what is open to
/// be written cannot be run.
fn script(folder: &Path, name: &str, text: &str) {
    let mut install = Command::new("install");
    install.args(["-m", "755", "/dev/stdin"]).arg(folder.join(name)).stdin(Stdio::piped());
    let mut install = install.spawn().unwrap();
    write!(install.stdin.take().unwrap(), "#!/bin/sh\n{text}\n").unwrap();
    assert!(install.wait().unwrap().success());
}

struct Held {
    process: Child,
    /// Dropped when the test has seen its end.
    _limit: Sender<()>,
}

impl Held {
    /// Starts it with what [`stand_in`] made.
    fn start(folder: &TempDir) -> Self {
        let path = format!("{}:{}", folder.path().display(), std::env::var("PATH").unwrap());
        let mut held = Command::new(HELD);
        held.arg("serve").env("PATH", path).stdout(Stdio::piped()).process_group(0);
        let process = held.spawn().unwrap();
        let group = format!("-{}", process.id());
        let (limit, ended) = mpsc::channel();
        thread::spawn(move || {
            if ended.recv_timeout(LIMIT) == Err(RecvTimeoutError::Timeout) {
                Command::new("kill").args(["-KILL", "--", &group]).status().unwrap();
            }
        });
        Self { process, _limit: limit }
    }

    fn stop(&self) {
        assert!(Command::new("kill").arg(self.process.id().to_string()).status().unwrap().success());
    }

    /// Waits until it has ended, and all that writes where it does.
    fn end(self) -> Output {
        self.process.wait_with_output().unwrap()
    }
}

/// Makes a stand-in for the bot, and one for `sleep` that tells of itself and ends at once.
fn stand_in(bot: &str) -> TempDir {
    let folder = TempDir::new().unwrap();
    script(folder.path(), "branbell", bot);
    script(folder.path(), "sleep", "echo \"held: $*\"");
    folder
}

fn outcome(bot: &str) -> (Option<i32>, String) {
    let Output { status, stdout, .. } = Held::start(&stand_in(bot)).end();
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
    let folder = stand_in(STOPS);
    let mut held = Held::start(&folder);
    let mut lines = BufReader::new(held.process.stdout.take().unwrap()).lines().map(Result::unwrap);
    assert_eq!(lines.next().as_deref(), Some("serves"));
    held.stop();
    assert_eq!(lines.next().as_deref(), Some("stopping"));
    assert_eq!(held.end().status.code(), Some(3));
}

/// Whoever of the two it reaches, neither stays.
#[test]
fn told_to_stop_as_it_starts_it_stops() {
    let folder = stand_in(STOPS);
    for round in 0..60 {
        let held = Held::start(&folder);
        thread::sleep(Duration::from_micros(50 * round));
        held.stop();
        let status = held.end().status;
        // Itself before it can be told, the bot before it can be told, or the bot as it wants.
        let stopped = status.signal() == Some(15) || matches!(status.code(), Some(143 | 3));
        assert!(stopped, "round {round}: {status}");
    }
}

#[test]
fn told_to_stop_it_holds_no_session_that_is_over() {
    assert_eq!(outcome("trap '' TERM\nkill $PPID\nexit 77"), (Some(77), String::new()));
}
