//! A store that goes to PostgreSQL and back, by the program as an operator calls it.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use branbell_tests::postgres::{fresh_account, shared};
use branbell_tests::program;

const KITCHEN: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../bot/rehearsal/kitchen.jsonl");

/// So often a command is tried that finds the store served: a server lets go of a process that has ended in its own time.
const TRIES: usize = 100;

/// The program, and the folder it works in.
struct Operator {
    program: PathBuf,
    folder: tempfile::TempDir,
}

impl Operator {
    fn new() -> Self {
        let target = Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap();
        let program = program::build(&["postgres"], target).unwrap();
        Self { program, folder: tempfile::tempdir().unwrap() }
    }

    fn branbell(&self, arguments: &[&str]) -> Command {
        let mut branbell = Command::new(&self.program);
        branbell.args(arguments).current_dir(self.folder.path());
        branbell
    }

    fn call(&self, arguments: &[&str]) -> Output {
        let served =
            |output: &Output| String::from_utf8_lossy(&output.stderr).contains("another branbell serves");
        let mut tries = (0..TRIES).map(|_| self.branbell(arguments).output().unwrap());
        tries.find(|output| !served(output)).expect("it is served for ever")
    }

    fn done(&self, arguments: &[&str]) {
        let output = self.call(arguments);
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    }

    fn refused(&self, arguments: &[&str]) -> String {
        let output = self.call(arguments);
        assert!(!output.status.success() && output.stdout.is_empty(), "{arguments:?}");
        String::from_utf8(output.stderr).unwrap()
    }

    /// What is exported of a store.
    fn exported(&self, store: &str, account: &str) -> (Vec<u8>, Vec<u8>) {
        self.done(&["export", "--store", store, "--account", account, "--to", "out"]);
        let out = self.folder.path().join("out");
        let files = (fs::read(out.join("room.jsonl")).unwrap(), fs::read(out.join("facts.csv")).unwrap());
        fs::remove_dir_all(out).unwrap();
        files
    }

    /// What is exported of a file of SQLite that is taken from its folder alone.
    fn exported_alone(&self, file: &str) -> (Vec<u8>, Vec<u8>) {
        fs::copy(self.folder.path().join(file), self.folder.path().join("alone.sqlite")).unwrap();
        self.exported("sqlite://alone.sqlite", "")
    }
}

#[test]
fn a_store_moves_to_postgresql_and_back() {
    let operator = Operator::new();
    let mut season = operator.branbell(&["season", "--data", "."]);
    assert!(season.stdin(File::open(KITCHEN).unwrap()).output().unwrap().status.success());
    let (home, back, database) =
        ("sqlite://branbell.sqlite", "sqlite://back.sqlite", shared().unwrap().url());
    let (account, other) = (fresh_account(), fresh_account());

    operator.done(&["move", "--from", home, "--to", &database, "--account", &account]);
    let whole = operator.exported_alone("branbell.sqlite");
    assert!(whole.0.len() > 10_000, "six weeks are more than that");
    assert_eq!(operator.exported(&database, &account), whole);
    operator.done(&["move", "--from", &database, "--to", back, "--account", &account]);
    assert_eq!(operator.exported_alone("back.sqlite"), whole);

    let stored = ["--store", &database, "--account"];
    operator.done(&[&["backup", "backup.sqlite"], &stored[..], &[&account]].concat());
    assert_eq!(operator.exported_alone("backup.sqlite"), whole);
    operator.done(&[&["restore", "backup.sqlite"], &stored[..], &[&other]].concat());
    assert_eq!(operator.exported(&database, &other), whole);
    let full = operator.refused(&[&["restore", "backup.sqlite"], &stored[..], &[&other]].concat());
    assert!(full.contains("nothing is written over: choose an empty one"), "{full}");
}
