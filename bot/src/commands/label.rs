//! `branbell label`: a label for a shared bin, to be printed.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, Result, ensure};
use branbell_scheduler::fact::{HouseRule, Units};
use branbell_scheduler::state::Room;
use branbell_store::Archive;
use clap::ValueEnum;

use super::output::out;
use super::stored::{Stored, at_store, the_room};
use crate::archive;
use crate::picture::label::{Label, svg};
use crate::voice::Voice;

/// Writes a label for a bin (A6, SVG): what goes in, how to log, a code that leads to the room, and what to mind.
///
/// Told where the log is (`--data` or `--store`), it says whether this house takes meat, fish and dairy.
#[derive(Debug, clap::Args)]
pub struct LabelArgs {
    /// The link to the room: `https://matrix.to/#/#bins:example.org` or `matrix:r/bins:example.org`.
    #[arg(long, value_name = "LINK")]
    room: String,
    /// The name of a bin that the label is for; may be given several times.
    #[arg(long = "bin", value_name = "NAME")]
    bins: Vec<String>,
    /// The measures in which the examples speak [default: the room's, or metric].
    #[arg(long, value_enum)]
    units: Option<Measure>,
    /// The room's id in the log; needed where there are several.
    #[arg(long, value_name = "ID")]
    of: Option<String>,
    #[command(flatten)]
    stored: Stored,
    /// The file to write [default: standard output].
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
}

/// Measures, as the command line names them.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Measure {
    Metric,
    Us,
    Imperial,
}

impl From<Measure> for Units {
    fn from(measure: Measure) -> Self {
        match measure {
            Measure::Metric => Self::Metric,
            Measure::Us => Self::Us,
            Measure::Imperial => Self::Imperial,
        }
    }
}

/// Writes the label.
///
/// # Errors
/// The link leads to no room; the log was named and knows no such room or bin; a file cannot be read or written.
pub async fn run(args: LabelArgs) -> Result<ExitCode> {
    let house = if args.of.is_some() || args.stored.is_named() {
        at_store!(args.stored.existing_place()?, look, |store| room(&store, args.of.as_deref()).await?)
    } else {
        Room::default()
    };
    let is_known = |name: &String| house.bins_in_use().any(|bin| bin.name == *name);
    if house.bins_in_use().next().is_some() {
        let unknown = args.bins.iter().find(|name| !is_known(name));
        ensure!(unknown.is_none(), "there is no bin {} in this room", unknown.map_or("", String::as_str));
    }
    let label = Label {
        room: args.room,
        bins: args.bins,
        example: house.bins_in_use().next().map(|bin| bin.name.clone()),
        units: args.units.map_or(house.units, Units::from),
        meat: house.house.get(&HouseRule::MeatAndDairy).copied(),
    };
    let svg = svg(&Voice::english(), &label)?;
    match args.to {
        Some(file) => {
            std::fs::write(&file, svg).with_context(|| format!("{} cannot be written", file.display()))?;
        }
        None => out().write_all(svg.as_bytes())?,
    }
    Ok(ExitCode::SUCCESS)
}

/// The room that was named, or the only one, as its log tells it.
async fn room(store: &impl Archive, named: Option<&str>) -> Result<Room> {
    let id = the_room(store, named).await?;
    archive::room(&store.rows(&id).await?.unwrap_or_default().facts)
}
