//! `branbell label`: a label for a shared bin, to be printed.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Context;
use branbell_scheduler::fact::Units;
use clap::ValueEnum;

use super::output::out;
use crate::picture::label::{Label, svg};
use crate::voice::Voice;

/// Writes a label for a bin (A6, SVG): what goes in, how to log, a code that leads to the room, and what to mind.
#[derive(Debug, clap::Args)]
pub struct LabelArgs {
    /// The link to the room: `https://matrix.to/#/#bins:example.org` or `matrix:r/bins:example.org`.
    #[arg(long, value_name = "LINK")]
    room: String,
    /// The name of a bin that the label is for; may be given several times.
    #[arg(long = "bin", value_name = "NAME")]
    bins: Vec<String>,
    /// The measures in which the examples speak.
    #[arg(long, value_enum, default_value_t = Measure::Metric)]
    units: Measure,
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

/// Writes the label.
///
/// # Errors
/// The link leads to no room, or the file cannot be written.
pub fn run(args: LabelArgs) -> anyhow::Result<ExitCode> {
    let units = match args.units {
        Measure::Metric => Units::Metric,
        Measure::Us => Units::Us,
        Measure::Imperial => Units::Imperial,
    };
    let svg = svg(&Voice::english(), &Label { room: args.room, bins: args.bins, units })?;
    match args.to {
        Some(file) => {
            std::fs::write(&file, svg).with_context(|| format!("{} cannot be written", file.display()))?;
        }
        None => out().write_all(svg.as_bytes())?,
    }
    Ok(ExitCode::SUCCESS)
}
