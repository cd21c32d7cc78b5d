//! `branbell export`: everything of a room, or of one person in it, as files.

use std::fs::{self, DirBuilder, OpenOptions};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use anyhow::{Context, Result, ensure};
use branbell_store::Archive;

use super::output::out;
use super::stored::{Stored, at_store, the_room};
use crate::archive::{self, sheet};

/// The files of an export; `import` looks for the first.
pub(super) const ROOM: &str = "room.jsonl";
const PERSON: &str = "person.jsonl";
const FACTS: &str = "facts.csv";

/// Writes everything of a room: `room.jsonl`, which `import` takes back, and `facts.csv` for spreadsheets.
#[derive(Debug, clap::Args)]
pub struct Export {
    #[command(flatten)]
    stored: Stored,
    /// The room; needed where there are several.
    #[arg(long, value_name = "ID")]
    room: Option<String>,
    /// Only what concerns this person: `person.jsonl` and `facts.csv`.
    #[arg(long, value_name = "ID")]
    person: Option<String>,
    /// The directory to write to; it is made, and must not hold anything yet.
    #[arg(long, value_name = "DIR")]
    to: PathBuf,
}

/// Writes the files, for their owner only.
///
/// # Errors
/// There is no such room or person; the directory holds something; the store or the directory cannot be used.
pub async fn run(export: Export) -> Result<ExitCode> {
    at_store!(export.stored.existing_place()?, look, |store| write(&store, &export).await)
}

async fn write(store: &impl Archive, export: &Export) -> Result<ExitCode> {
    let room = the_room(store, export.room.as_deref()).await?;
    let rows = store.rows(&room).await?.unwrap_or_default();
    let known = archive::room(&rows.facts)?;
    let (name, file, facts) = match &export.person {
        None => (ROOM, archive::write_room(&room, &rows)?, rows.facts),
        Some(person) => {
            let theirs = archive::of_person(&rows, person);
            let theirs =
                theirs.with_context(|| format!("the room {room} knows nobody of the id {person}"))?;
            (PERSON, archive::write_person(&room, person, &theirs)?, theirs.facts)
        }
    };
    make_empty(&export.to)?;
    write_private(&export.to.join(FACTS), &sheet::sheet(&known, &facts)?)?;
    write_private(&export.to.join(name), &file)?;
    writeln!(out(), "{room}: {} facts, in {}", facts.len(), export.to.join(name).display())?;
    Ok(ExitCode::SUCCESS)
}

/// Makes the directory, for its owner only, or sees that it is empty.
fn make_empty(directory: &Path) -> Result<()> {
    let mut builder = DirBuilder::new();
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    match builder.create(directory) {
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            let mut entries =
                fs::read_dir(directory).with_context(|| format!("{} cannot be used", directory.display()))?;
            ensure!(
                entries.next().is_none(),
                "{} holds something already, and nothing is written over: name another directory",
                directory.display()
            );
            Ok(())
        }
        made => made.with_context(|| format!("the directory {} cannot be made", directory.display())),
    }
}

fn write_private(path: &Path, bytes: &[u8]) -> Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let written = options.open(path).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()
    });
    written.with_context(|| format!("{} cannot be written", path.display()))
}
