//! The model's numbers against the same formulas computed elsewhere: numpy and scipy, by other means (see
//! `scheduler/tests/independent/recompute.py`).

use std::path::Path;
use std::process::Command;

use branbell_tests::{program, python};

const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../scheduler/tests/independent");

#[test]
fn five_seasons_agree_within_one_per_cent() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let recount = program::example("recount", folder.parent().unwrap()).unwrap();
    let script = Path::new(SCRIPT);
    let python = python::environment(&folder.join("independent"), &script.join("requirements.txt")).unwrap();
    let status = Command::new(python).arg(script.join("recompute.py")).arg(recount).status().unwrap();
    assert!(status.success(), "the numbers disagree, see above");
}
