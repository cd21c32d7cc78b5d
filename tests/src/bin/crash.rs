//! Kills the bot at random and at named instants while people talk to it, its homeserver goes away and its line fails, and
//! then looks for what is lost or there twice:
//!
//! ```text
//! cargo run -p branbell-tests --bin crash -- --kills 1000 --seed 1 --store postgres
//! ```
//!
//! The run itself is `homeserver/crash.py`; this makes what it needs: a Python, the bot (optimised if this program is), a
//! PostgreSQL of our own. It fails if anything was lost or doubled.

use std::path::Path;
use std::process::{Command, ExitCode};

use anyhow::Context;
use branbell_tests::postgres::Cluster;
use branbell_tests::{program, python};
use clap::{Parser, ValueEnum};

const SCENARIOS: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/homeserver");

/// Kills the bot over and over, and looks for what is lost or there twice.
#[derive(Parser)]
struct Arguments {
    /// How often the bot is killed.
    #[arg(long, value_name = "N")]
    kills: u32,
    /// Decides what people do, where the bot is killed and what goes wrong on the line.
    #[arg(long, value_name = "S", default_value_t = 1)]
    seed: u64,
    /// Where the bot keeps what it was told.
    #[arg(long, value_enum, default_value = "sqlite")]
    store: Engine,
}

#[derive(Clone, Copy, PartialEq, ValueEnum)]
enum Engine {
    /// A file.
    Sqlite,
    /// A database, with a second process that takes over.
    Postgres,
}

fn main() -> anyhow::Result<ExitCode> {
    let arguments = Arguments::parse();
    let here = std::env::current_exe()?;
    let target = here.ancestors().nth(2).context("this program is in no target directory")?;
    let bot = program::bot(target)?;
    let python = python::environment(
        &target.join("tmp").join("homeserver"),
        &Path::new(SCENARIOS).join("requirements.txt"),
    )?;
    let cluster =
        (arguments.store == Engine::Postgres).then(|| Cluster::start(&["-c", "fsync=off"])).transpose()?;

    let mut run = Command::new(python);
    run.arg("crash.py").current_dir(SCENARIOS);
    run.args(["--kills", &arguments.kills.to_string(), "--seed", &arguments.seed.to_string()]);
    run.env("BRANBELL_PROGRAM", bot).env("PYTHONDONTWRITEBYTECODE", "1");
    if let Some(cluster) = &cluster {
        run.args(["--database", &cluster.url()]);
    }
    let ended = run.status().context("Python does not start")?;
    Ok(if ended.success() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
