//! Calendar, export, import, forget, backup, restore and move as an operator calls them.

#![expect(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::fs;
use std::io::Write;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

use branbell_store::{SqliteStore, Store, Taken};

/// A kitchen in Vienna: a room of two people.
const SCRIPT: &str = r#"{"room": "kitchen", "zone": "Europe/Vienna", "units": "metric", "direct": false, "people": [{"name": "zenobia", "steward": true}, {"name": "bo"}], "at": "2027-03-01T08:00:00+01:00", "until": "2027-03-01T09:00:00+01:00"}
{"at": "2027-03-01T08:01:00+01:00", "room": "kitchen", "from": "zenobia", "id": "m1", "direct": true, "text": "new bin green, 19 litres"}
{"at": "2027-03-01T08:02:00+01:00", "room": "kitchen", "from": "zenobia", "id": "m2", "direct": true, "text": "added three litres"}
{"at": "2027-03-01T08:03:00+01:00", "room": "kitchen", "from": "bo", "id": "m3", "direct": true, "text": "2 tbsp bran"}
{"at": "2027-03-01T08:04:00+01:00", "room": "kitchen", "from": "zenobia", "id": "m4", "direct": true, "text": "whose turn is it?"}
"#;

fn start(arguments: &[&str]) -> Child {
    let mut program = Command::new(env!("CARGO_BIN_EXE_branbell"));
    program.args(arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    program.spawn().unwrap()
}

fn branbell(arguments: &[&str], input: &str) -> Output {
    let mut program = start(arguments);
    program.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    program.wait_with_output().unwrap()
}

/// What it says where all goes well.
fn done(arguments: &[&str]) -> String {
    let output = branbell(arguments, "");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// What it says where it refuses.
fn refused(arguments: &[&str]) -> String {
    let output = branbell(arguments, "");
    assert!(!output.status.success() && output.stdout.is_empty(), "{arguments:?}");
    String::from_utf8(output.stderr).unwrap()
}

/// A folder with the kitchen's log in `log`.
struct Kitchen {
    folder: tempfile::TempDir,
}

impl Kitchen {
    fn new() -> Self {
        let kitchen = Self { folder: tempfile::tempdir().unwrap() };
        let output = branbell(&["season", "--data", &kitchen.path("log")], SCRIPT);
        assert!(output.status.success());
        kitchen
    }

    fn path(&self, name: &str) -> String {
        self.folder.path().join(name).display().to_string()
    }

    fn read(&self, name: &str) -> Vec<u8> {
        fs::read(self.folder.path().join(name)).unwrap()
    }

    /// The names in a folder.
    fn names(&self, folder: &str) -> Vec<String> {
        let names = fs::read_dir(self.path(folder)).unwrap();
        let mut names: Vec<_> =
            names.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    /// What is exported of a store's file that is taken from its folder alone.
    fn exported(&self, file: &str) -> (Vec<u8>, Vec<u8>) {
        let taken = tempfile::tempdir_in(self.folder.path()).unwrap();
        let (alone, out) = (taken.path().join("alone.sqlite"), taken.path().join("out"));
        fs::copy(self.path(file), &alone).unwrap();
        let store = format!("sqlite://{}", alone.display());
        done(&["export", "--store", &store, "--to", &out.display().to_string()]);
        (fs::read(out.join("room.jsonl")).unwrap(), fs::read(out.join("facts.csv")).unwrap())
    }

    /// Whether the text stands in any file of the log.
    fn log_holds(&self, text: &str) -> bool {
        let holds = |path: PathBuf| {
            fs::read(path).unwrap().windows(text.len()).any(|window| window == text.as_bytes())
        };
        fs::read_dir(self.path("log")).unwrap().any(|entry| holds(entry.unwrap().path()))
    }
}

#[test]
fn a_room_moves_house() {
    let kitchen = Kitchen::new();
    let (log, other, out, again) =
        (kitchen.path("log"), kitchen.path("other"), kitchen.path("out"), kitchen.path("again"));
    assert!(done(&["export", "--data", &log, "--to", &out]).starts_with("kitchen: "));
    done(&["import", "--data", &other, "--from", &out]);
    done(&["export", "--data", &other, "--to", &again]);
    for file in ["room.jsonl", "facts.csv"] {
        assert_eq!(kitchen.read(&format!("out/{file}")), kitchen.read(&format!("again/{file}")));
    }
    // It goes on there as it would have here.
    assert_eq!(done(&["calendar", "--data", &log]).len(), done(&["calendar", "--data", &other]).len());

    let twice = refused(&["import", "--data", &other, "--from", &out]);
    assert!(twice.contains("the room kitchen is here already"), "{twice}");
    let full = refused(&["export", "--data", &log, "--to", &out]);
    assert!(full.contains("holds something already"), "{full}");
}

#[cfg(unix)]
#[test]
fn an_export_is_its_owners_only() {
    use std::os::unix::fs::PermissionsExt;
    let kitchen = Kitchen::new();
    done(&["export", "--data", &kitchen.path("log"), "--to", &kitchen.path("out")]);
    let mode =
        |path: &str| fs::metadata(Path::new(&kitchen.path(path))).unwrap().permissions().mode() & 0o777;
    assert_eq!((mode("out"), mode("out/room.jsonl"), mode("out/facts.csv")), (0o700, 0o600, 0o600));
}

#[test]
fn a_damaged_export_changes_nothing() {
    let kitchen = Kitchen::new();
    let (log, other, out) = (kitchen.path("log"), kitchen.path("other"), kitchen.path("out"));
    done(&["export", "--data", &log, "--to", &out]);
    let file = String::from_utf8(kitchen.read("out/room.jsonl")).unwrap();
    fs::write(kitchen.path("out/room.jsonl"), file.replacen("3000.0", "9000.0", 1)).unwrap();
    let said = refused(&["import", "--data", &other, "--from", &out]);
    assert!(said.contains("nothing was imported from") && said.contains("checksum"), "{said}");
    assert!(!Path::new(&other).exists());
}

#[test]
fn a_person_is_given_their_data_and_forgotten() {
    let kitchen = Kitchen::new();
    let log = kitchen.path("log");
    done(&[
        "export",
        "--data",
        &log,
        "--room",
        "kitchen",
        "--person",
        "zenobia",
        "--to",
        &kitchen.path("theirs"),
    ]);
    let theirs = String::from_utf8(kitchen.read("theirs/person.jsonl")).unwrap();
    assert!(
        theirs.contains("3000.0") && !theirs.contains("\"kind\":\"bran\""),
        "their facts, and not the others': {theirs}"
    );

    assert!(kitchen.log_holds("zenobia") || kitchen.log_holds("Zenobia"));
    let said = done(&["forget", "--data", &log, "--room", "kitchen", "--person", "zenobia"]);
    assert!(said.contains("zenobia is forgotten in kitchen"), "{said}");
    assert!(!kitchen.log_holds("zenobia") && !kitchen.log_holds("Zenobia"));
    done(&["export", "--data", &log, "--to", &kitchen.path("after")]);
    let after = String::from_utf8(kitchen.read("after/room.jsonl")).unwrap();
    assert!(after.contains("3000.0") && after.contains("somebody-1"), "{after}");
    let again = refused(&["forget", "--data", &log, "--room", "kitchen", "--person", "zenobia"]);
    assert!(again.contains("knows nobody of the id zenobia"), "{again}");

    done(&["forget", "--data", &log, "--room", "kitchen", "--everything"]);
    let gone = refused(&["export", "--data", &log, "--to", &kitchen.path("gone")]);
    assert!(gone.contains("there is no room here"), "{gone}");
}

#[test]
fn a_backup_is_restored_and_written_over_nothing() {
    let kitchen = Kitchen::new();
    let (log, backup, new) = (kitchen.path("log"), kitchen.path("backup.sqlite"), kitchen.path("new"));
    let said = done(&["backup", &backup, "--data", &log]);
    assert!(said.ends_with(&format!("is backed up in {backup}.\n")), "{said}");
    assert_eq!(kitchen.names("."), ["backup.sqlite", "log"], "one file, and nothing beside it");
    let whole = kitchen.exported("backup.sqlite");
    done(&["export", "--data", &log, "--to", &kitchen.path("out")]);
    assert_eq!(whole, (kitchen.read("out/room.jsonl"), kitchen.read("out/facts.csv")));

    let said = done(&["restore", &backup, "--data", &new]);
    assert!(said.contains(&format!("{backup} is restored to {new}")), "{said}");
    assert_eq!(kitchen.exported("new/branbell.sqlite"), whole);

    let nothing = refused(&["restore", &kitchen.path("no.sqlite"), "--data", &kitchen.path("never")]);
    assert!(nothing.contains("no.sqlite"), "{nothing}");
    assert!(!Path::new(&kitchen.path("never")).exists(), "where nothing can be restored, nothing is made");

    let full = refused(&["restore", &backup, "--data", &new]);
    assert!(
        full.contains("holds something already, and nothing is written over: choose an empty one"),
        "{full}"
    );
    let there = refused(&["backup", &backup, "--data", &log]);
    assert!(there.contains(&format!("the file {backup} cannot be used")), "{there}");
    for file in ["backup.sqlite", "new/branbell.sqlite"] {
        assert_eq!(kitchen.exported(file), whole);
    }
}

#[test]
fn a_store_moves_there_and_back() {
    let kitchen = Kitchen::new();
    let url = |file: &str| format!("sqlite://{}", kitchen.path(file));
    let (home, there, back) = (url("log/branbell.sqlite"), url("a/folder/there.sqlite"), url("back.sqlite"));
    let carried = done(&["move", "--from", &home, "--to", &there]);
    assert!(carried.contains("Serve it from there only."), "{carried}");
    done(&["move", "--from", &there, "--to", &back]);
    let whole = kitchen.exported("log/branbell.sqlite");
    assert_eq!(
        (kitchen.exported("a/folder/there.sqlite"), kitchen.exported("back.sqlite")),
        (whole.clone(), whole)
    );

    for (path, mode) in [("a", 0o700), ("a/folder", 0o700), ("a/folder/there.sqlite", 0o600)] {
        let found = fs::metadata(kitchen.path(path)).unwrap().permissions().mode();
        assert_eq!(found & 0o777, mode, "{path}");
    }

    for full in [&there, &home] {
        let said = refused(&["move", "--from", &home, "--to", full]);
        assert!(said.contains("nothing is written over: choose an empty one"), "{said}");
    }
}

/// A label says what the house it is for accepts, as far as the log tells it.
#[test]
fn a_label_has_the_rule_of_its_house() {
    let kitchen = Kitchen::new();
    let log = kitchen.path("log");
    let label = ["label", "--room", "https://matrix.to/#/#bins:example.org", "--bin", "green"];
    let of_house = [&label[..], &["--data", &log]].concat();
    for untold in [done(&label), done(&of_house)] {
        assert!(untold.contains("Meat, fish and dairy: ask the room first."));
    }
    let rule = SCRIPT.lines().next().unwrap().replace("2027-03-01", "2027-03-02")
        + r#"
{"at": "2027-03-02T08:01:00+01:00", "room": "kitchen", "from": "zenobia", "id": "n1", "direct": true, "text": "set the house rules"}
{"at": "2027-03-02T08:02:00+01:00", "room": "kitchen", "from": "zenobia", "id": "n2", "direct": true, "text": "yes"}
{"at": "2027-03-02T08:03:00+01:00", "room": "kitchen", "from": "zenobia", "id": "n3", "direct": true, "text": "no"}
{"at": "2027-03-02T08:04:00+01:00", "room": "kitchen", "from": "zenobia", "id": "n4", "direct": true, "text": "no"}
"#;
    assert!(branbell(&["season", "--data", &log], &rule).status.success());
    let told = done(&of_house);
    assert!(told.contains("Stays out Meat, fish and dairy. Big bones") && !told.contains("ask the room"));
    let other = [&label[..4], &["red", "--data", &log]].concat();
    assert!(refused(&other).contains("there is no bin red in this room"));
}

/// While a bot serves the account its rooms can be looked at, and nothing of them changed.
#[test]
fn leaves_a_room_to_the_bot_that_serves_it() {
    let kitchen = Kitchen::new();
    let log = kitchen.path("log");
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    let file = PathBuf::from(&log).join("branbell.sqlite");
    let bot = runtime.block_on(SqliteStore::open(&file)).unwrap();
    assert_eq!(runtime.block_on(bot.take(None)).unwrap(), Taken::Ours);
    done(&["export", "--data", &log, "--to", &kitchen.path("out")]);
    let before = kitchen.read("out/room.jsonl");
    for whom in [&["--person", "zenobia"][..], &["--everything"]] {
        let said = refused(&[&["forget", "--data", &log, "--room", "kitchen"], whom].concat());
        assert!(said.contains("another branbell serves"), "{said}");
    }
    done(&["export", "--data", &log, "--to", &kitchen.path("after")]);
    assert_eq!(kitchen.read("after/room.jsonl"), before);
}

/// As `branbell rehearse | head -3` does: whoever has read enough leaves, and that is no failure of what was done.
#[test]
fn ends_quietly_when_nobody_reads_on() {
    let kitchen = Kitchen::new();
    let (log, backup) = (kitchen.path("log"), kitchen.path("backup.sqlite"));
    for arguments in [&["rehearse"][..], &["calendar", "--data", &log], &["backup", &backup, "--data", &log]]
    {
        let mut program = start(arguments);
        drop(program.stdout.take());
        let output = program.wait_with_output().unwrap();
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(output.status.success() && said.is_empty(), "{arguments:?}: {said}");
    }
    assert!(Path::new(&backup).exists());
}

#[test]
fn says_what_is_missing() {
    let kitchen = Kitchen::new();
    let log = kitchen.path("log");
    let nowhere = kitchen.path("nowhere");
    assert!(refused(&["calendar", "--data", &nowhere]).contains("there is no log at"));
    assert!(!Path::new(&nowhere).exists());
    assert!(
        refused(&["calendar", "--data", &log, "--room", "cellar"]).contains("there is no room cellar here")
    );
    assert!(refused(&["import", "--data", &log, "--from", &nowhere]).contains("cannot be read"));
    assert!(refused(&["forget", "--data", &log, "--room", "kitchen"]).contains("--everything"));
}
