//! A Python of our own with pinned packages, made once and kept in the target directory.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, ensure};

/// An environment with the packages of `requirements`, and gives its interpreter. It is made anew when they change.
///
/// # Errors
/// When Python or a package is missing.
pub fn environment(folder: &Path, requirements: &Path) -> anyhow::Result<PathBuf> {
    let python = folder.join("bin/python");
    let installed = folder.join("installed.txt");
    let wanted = fs::read_to_string(requirements)?;
    // Only a test's build makes the folder that it lies in.
    fs::create_dir_all(folder)?;
    // Tests that need the same one run side by side.
    let lock = File::create(folder.with_extension("lock"))?;
    lock.lock()?;
    if fs::read_to_string(&installed).is_ok_and(|text| text == wanted) {
        return Ok(python);
    }
    run(Command::new("python3").args(["-m", "venv", "--clear"]).arg(folder))
        .context("Python 3.11 or newer with its venv module is needed (Debian: python3-venv)")?;
    run(Command::new(&python).args(["-m", "pip", "install", "--quiet", "--requirement"]).arg(requirements))?;
    fs::write(installed, wanted)?;
    Ok(python)
}

fn run(command: &mut Command) -> anyhow::Result<()> {
    let status = command.status().with_context(|| format!("{command:?} does not start"))?;
    ensure!(status.success(), "{command:?} ended with {status}");
    Ok(())
}
