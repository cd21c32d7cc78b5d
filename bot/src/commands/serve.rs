//! `branbell serve`: the bot in its Matrix rooms.

use std::convert::Infallible;
use std::fs::{File, TryLockError};
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::pin::pin;
use std::process::ExitCode;
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, bail};
use branbell_store::{Archive, Taken, standing};
use chrono::{DateTime, Utc};
use matrix_sdk::Client;
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio::sync::watch;
use tokio::time::Instant;
use tracing::{error, info, warn};
use tracing_subscriber::EnvFilter;

use super::output::out;
use crate::chat::matrix::{Backoff, Ended, Keep, Listener, MatrixOutlet, Trust, open_session, secure};
use crate::clock::Clock;
use crate::config::{Config, EXAMPLE};
use crate::host::Host;

/// Looking at the clock again after this long at most, whatever is planned: the machine may have slept.
const LONGEST_NAP: Duration = Duration::from_secs(30);

/// Ended with this, it is of no use to start again before somebody did what was said: `EX_NOPERM` of BSD's `sysexits.h`.
const SESSION_OVER: u8 = 77;

/// Serve the rooms of a Matrix account.
#[derive(Debug, clap::Args)]
pub struct Serve {
    /// The configuration file.
    #[arg(long, value_name = "FILE", required_unless_present = "example")]
    config: Option<PathBuf>,
    /// Print a configuration with comments to begin with, and stop.
    #[arg(long)]
    example: bool,
    /// When the session is over, wait until told to stop instead of ending: for whatever starts it again however it ended.
    #[arg(long)]
    hold: bool,
}

/// Serves until it is told to stop.
///
/// # Errors
/// When it cannot begin, or when the homeserver no longer knows its session.
pub async fn run(serve: Serve, clock: impl Clock) -> anyhow::Result<ExitCode> {
    let Some(file) = serve.config.filter(|_| !serve.example) else {
        out().write_all(EXAMPLE.as_bytes())?;
        return Ok(ExitCode::SUCCESS);
    };
    log();
    let config = Config::read(&file, |name| std::env::var(name).ok())?;
    Keep::open(&config.data)?;
    let mut stop = Stop::listen()?;
    let over = tokio::select! {
        over = serve_account(&config, clock) => over?,
        () = stop.told() => {
            info!("stopping");
            return Ok(ExitCode::SUCCESS);
        }
    };
    error!("{:#}", over.0);
    // By now its data directory is free again: that tells whoever looks after it.
    if serve.hold {
        stop.told().await;
    }
    Ok(ExitCode::from(SESSION_OVER))
}

/// The homeserver no longer knows the session, and what to do about it.
struct SessionOver(anyhow::Error);

/// Serves the account on its store, until its session is over.
async fn serve_account(config: &Config, clock: impl Clock) -> anyhow::Result<SessionOver> {
    match &config.database {
        None => {
            let _lock = lock(&config.data)?;
            let store = super::open_store(&config.data).await?;
            serve_rooms(store, config, clock).await
        }
        #[cfg(feature = "postgres")]
        Some(url) => {
            let store = branbell_store::PostgresStore::open(url.reveal(), config.user.as_str()).await?;
            serve_rooms(store, config, clock).await
        }
        #[cfg(not(feature = "postgres"))]
        Some(_) => bail!("database_file: this branbell was built without PostgreSQL (`--features postgres`)"),
    }
}

/// Serves the rooms of the store's account, as soon as no other process does.
async fn serve_rooms<S: Archive + Clone>(
    store: S,
    config: &Config,
    clock: impl Clock,
) -> anyhow::Result<SessionOver> {
    if store.take(None).await? != Taken::Ours {
        info!("another branbell serves this account: standing by");
        standing::stand_by(&store).await?;
    }
    // In a task of its own: however busy the rooms are, those that stand by get their answer.
    let kept = store.clone();
    let kept = tokio::spawn(async move { standing::keep(&kept).await });
    let keep = Keep::open(&config.data.join("matrix"))?;
    let host = Arc::new(Host::new(store));
    let clock = Arc::new(clock);

    let mut client = open_session(config, &keep).await?;
    report(&secure(&client, config, &keep).await);
    let mut lost = pin!(kept);
    let mut backoff = Backoff::default();
    let mut news = format!("{} listens on {}", config.user, config.homeserver);
    loop {
        let begun = Instant::now();
        let ended = tokio::select! {
            ended = attend(client, &host, &clock, config, &news) => ended?,
            lost = &mut lost => return Err(lost?.into()),
        };
        match ended {
            Ended::SessionOver(over) => return Ok(SessionOver(over)),
            Ended::KeptBehind(error) => warn!("what came is not kept: {error:#}"),
        }
        if begun.elapsed() > LONGEST_NAP {
            backoff.reset();
        }
        "what comes is kept again".clone_into(&mut news);
        client = tokio::select! {
            client = open_again(config, &keep, &mut backoff) => client,
            lost = &mut lost => return Err(lost?.into()),
        };
    }
}

/// Listens and speaks, until the session is over or has to be opened anew; tells `news` when it begins to speak.
async fn attend<S: Archive, C: Clock>(
    client: Client,
    host: &Arc<Host<S>>,
    clock: &Arc<C>,
    config: &Config,
    news: &str,
) -> anyhow::Result<Ended> {
    let outlet = MatrixOutlet::new(client.clone(), Arc::clone(host), Arc::clone(clock));
    let listener = Listener::new(client, Arc::clone(host), Arc::clone(clock), config).await?;
    let (caught_up, ready) = watch::channel(false);
    tokio::select! {
        ended = listener.listen(caught_up) => Ok(ended),
        never = speak(host, &outlet, &**clock, ready, news) => match never {},
    }
}

/// Opens the session once more, as soon as that can be done.
async fn open_again(config: &Config, keep: &Keep, backoff: &mut Backoff) -> Client {
    loop {
        tokio::time::sleep(backoff.pause()).await;
        match open_session(config, keep).await {
            Ok(client) => return client,
            Err(error) => warn!("{error:#}"),
        }
    }
}

/// Tells on standard error what happens; `RUST_LOG` chooses how much. The library calls each answer an error that is none
/// to it (no backup yet, no event of that id), so it is kept quiet where we report for ourselves; and also where it warns
/// of malformed events, for it quotes them.
fn log() {
    let usual = "warn,branbell=info,matrix_sdk_base=error,matrix_sdk::http_client=off,matrix_sdk_crypto::identities=error";
    let filter = EnvFilter::try_from_default_env().unwrap_or_else(|_| EnvFilter::new(usual));
    let colours = std::io::stderr().is_terminal();
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(std::io::stderr).with_ansi(colours).init();
}

/// One program at a time on a data directory: the homeserver takes it for one device.
fn lock(data: &Path) -> anyhow::Result<File> {
    let path = data.join("lock");
    let file = File::create(&path).with_context(|| format!("cannot make {}", path.display()))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => {
            bail!("another branbell is running on {}: stop it first", data.display())
        }
        Err(TryLockError::Error(error)) => {
            Err(error).with_context(|| format!("cannot lock {}", path.display()))
        }
    }
}

/// Sends what is due, when it is due, for ever. It begins when everything was read that came while the bot was away, so
/// that what is in the room already is not sent again.
async fn speak<S: Archive, C: Clock>(
    host: &Host<S>,
    outlet: &MatrixOutlet<S, C>,
    clock: &C,
    mut ready: watch::Receiver<bool>,
    news: &str,
) -> Infallible {
    // The other side is gone only when the program ends.
    if ready.wait_for(|ready| *ready).await.is_err() {
        std::future::pending::<()>().await;
    }
    info!("{news}");
    loop {
        let woken = pin!(host.woken());
        let nap = match host.deliver(outlet, clock.now()).await {
            Ok(next) => nap(next, clock.now()),
            Err(error) => {
                error!("nothing can be sent: {error:#}");
                LONGEST_NAP
            }
        };
        tokio::select! {
            () = woken => {}
            () = tokio::time::sleep(nap) => {}
        }
    }
}

fn nap(next: Option<DateTime<Utc>>, now: DateTime<Utc>) -> Duration {
    // A test's clock jumps.
    let longest = if cfg!(feature = "test-clock") { Duration::from_millis(50) } else { LONGEST_NAP };
    next.map_or(longest, |next| (next - now).to_std().unwrap_or_default().min(longest))
}

fn report(trust: &Trust) {
    for sentence in &trust.missing {
        warn!("{sentence}");
    }
    if let Some(path) = &trust.recovery_key {
        warn!(
            "the bot's recovery key is in {}, which only this user can read. Keep a copy of it apart from this \
             machine: with it, and nothing else, the bot's account can be trusted again after the data directory is \
             lost.",
            path.display()
        );
    }
}

/// What tells it to stop: ctrl-c, and the system that stops the service. It listens all the time, so that nothing of that is
/// lost.
struct Stop {
    interrupt: Signal,
    terminate: Signal,
}

impl Stop {
    fn listen() -> std::io::Result<Self> {
        Ok(Self { interrupt: signal(SignalKind::interrupt())?, terminate: signal(SignalKind::terminate())? })
    }

    async fn told(&mut self) {
        tokio::select! {
            _ = self.interrupt.recv() => {}
            _ = self.terminate.recv() => {}
        }
    }
}
