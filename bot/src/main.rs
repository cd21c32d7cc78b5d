//! Branbell: text what you did to the bokashi bin, and hear what is next.

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;

use branbell::{clock, commands};
use clap::{Parser, Subcommand};
use tokio::runtime::{Builder, Runtime};

/// Text what you did to the bokashi bin, and hear what is next.
///
/// Without a command: a room to text into, here in the terminal.
#[derive(Parser)]
#[command(version)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
    /// Where the room's log is kept [default: the user's data directory].
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// A file with the time, for tests.
    #[cfg(feature = "test-clock")]
    #[arg(long, value_name = "FILE", global = true)]
    clock: Option<PathBuf>,
}

#[derive(Subcommand)]
enum Command {
    /// Reads messages (JSON lines) and writes what each is understood to say.
    Read {
        /// Tells which rules made each reading, and of which words.
        #[arg(long)]
        explain: bool,
    },
    /// Plays a script of dated messages (JSON lines) against a virtual clock and writes what happens.
    Season {
        /// Keeps the log in this directory; a second run goes on from there [default: in memory].
        #[arg(long, value_name = "DIR")]
        data: Option<PathBuf>,
    },
    /// Shows six weeks in an invented kitchen, as a conversation.
    Rehearse,
    /// Writes a label for a shared bin, to be printed.
    Label(commands::label::LabelArgs),
    Backup(commands::backup::Backup),
    Restore(commands::restore::Restore),
    #[command(name = "move")]
    Move(commands::move_rooms::Move),
    Calendar(commands::calendar::Calendar),
    Export(commands::export::Export),
    Import(commands::import::Import),
    Forget(commands::forget::Forget),
    /// Serves rooms on a Matrix homeserver.
    #[cfg(feature = "matrix")]
    Serve(commands::serve::Serve),
}

/// What still goes on in the background at the end is given so long. It may wait for a file that another process has taken
/// over by then, and nothing is lost with it: whatever it is, a kill at that point loses nothing either.
const LAST_WRITES: Duration = Duration::from_secs(3);

fn main() -> ExitCode {
    let cli = Cli::parse();
    let done = runtime(cli.command.as_ref()).map_err(anyhow::Error::from).and_then(|runtime| {
        let done = runtime.block_on(run(cli));
        runtime.shutdown_timeout(LAST_WRITES);
        done
    });
    match done {
        Ok(code) => code,
        Err(error) if commands::reader_left(&error) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("branbell: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn runtime(command: Option<&Command>) -> std::io::Result<Runtime> {
    // A season waits for the store a hundred times a day it plays, and for nothing else. The store works in a thread of its
    // own: on one core, taking turns costs a tenth of what waking another core does.
    if matches!(command, Some(Command::Season { .. } | Command::Rehearse)) {
        stay_on_this_core();
        return Builder::new_current_thread().enable_all().build();
    }
    Builder::new_multi_thread().enable_all().build()
}

/// Keeps this thread, and those it starts, to the core it runs on. Where that cannot be had, all is only slower.
fn stay_on_this_core() {
    #[cfg(target_os = "linux")]
    {
        use nix::sched::{CpuSet, sched_getcpu, sched_setaffinity};
        let mut here = CpuSet::new();
        let _ = sched_getcpu()
            .and_then(|core| here.set(core))
            .and_then(|()| sched_setaffinity(nix::unistd::Pid::from_raw(0), &here));
    }
}

async fn run(cli: Cli) -> anyhow::Result<ExitCode> {
    match cli.command {
        None => {
            #[cfg(feature = "test-clock")]
            if let Some(file) = cli.clock {
                return commands::room::run(cli.data, clock::FileClock { file }).await;
            }
            commands::room::run(cli.data, clock::SystemClock).await
        }
        Some(Command::Read { explain }) => commands::read::run(explain),
        Some(Command::Season { data }) => commands::season::run(data).await,
        Some(Command::Rehearse) => commands::rehearse::run().await,
        Some(Command::Label(args)) => commands::label::run(args).await,
        Some(Command::Backup(backup)) => commands::backup::run(backup).await,
        Some(Command::Restore(restore)) => commands::restore::run(restore).await,
        Some(Command::Move(command)) => commands::move_rooms::run(command).await,
        Some(Command::Calendar(calendar)) => commands::calendar::run(calendar, clock::SystemClock).await,
        Some(Command::Export(export)) => commands::export::run(export).await,
        Some(Command::Import(import)) => commands::import::run(import).await,
        Some(Command::Forget(forget)) => commands::forget::run(forget, clock::SystemClock).await,
        #[cfg(feature = "matrix")]
        Some(Command::Serve(serve)) => {
            #[cfg(feature = "test-clock")]
            if let Some(file) = cli.clock {
                return Box::pin(commands::serve::run(serve, clock::FileClock { file })).await;
            }
            Box::pin(commands::serve::run(serve, clock::SystemClock)).await
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_sound() {
        super::Cli::command().debug_assert();
    }
}
