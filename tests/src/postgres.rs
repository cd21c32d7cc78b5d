//! A PostgreSQL of our own: from Debian's binaries, in a temporary directory, on a socket in it, for this process only.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::OnceLock;
use std::{env, fs};

use anyhow::{Context, Result, bail, ensure};

/// Serves, and cleans up when its standard input ends: that is when our process does, however it ends.
const SUPERVISE: &str = r#"
trap '' INT TERM HUP
"$@" >"$FOLDER/log" 2>&1 &
cat >/dev/null
kill -INT $! 2>/dev/null
wait
rm -rf "$FOLDER"
"#;

/// A cluster that is running.
#[derive(Debug)]
pub struct Cluster {
    folder: PathBuf,
    supervisor: Child,
}

/// The cluster that the tests of this process share; it is gone when the process ends.
///
/// # Errors
/// PostgreSQL is not installed, or does not start.
pub fn shared() -> Result<&'static Cluster> {
    static SHARED: OnceLock<Result<Cluster>> = OnceLock::new();
    // Tests may lose everything; only what is measured must be on the disk.
    let shared = SHARED.get_or_init(|| Cluster::start(&["-c", "fsync=off"]));
    shared.as_ref().map_err(|error| anyhow::anyhow!("{error:#}"))
}

impl Cluster {
    /// Makes a cluster and starts it with these further arguments.
    ///
    /// # Errors
    /// PostgreSQL is not installed, or does not start.
    pub fn start(arguments: &[&str]) -> Result<Self> {
        let programs = programs()?;
        let folder = tempfile::Builder::new().prefix("branbell-postgres-").tempdir()?.keep();
        let user = unprivileged()?;
        if let Some((user, group)) = user {
            std::os::unix::fs::chown(&folder, Some(user), Some(group))?;
        }
        let data = folder.join("data");
        let made = as_user(user, &programs.join("initdb"))
            .arg("--pgdata")
            .arg(&data)
            .args([
                "--username",
                "branbell",
                "--auth",
                "trust",
                "--encoding",
                "UTF8",
                "--no-locale",
                "--no-sync",
            ])
            .current_dir("/")
            .output()
            .context("initdb does not start")?;
        ensure!(made.status.success(), "initdb fails: {}", String::from_utf8_lossy(&made.stderr));

        let server = as_user(user, &programs.join("postgres"));
        let supervisor = Command::new("sh")
            .args(["-c", SUPERVISE, "postgres"])
            .arg(server.get_program())
            .args(server.get_args())
            .arg("-D")
            .arg(&data)
            .arg("-k")
            .arg(&folder)
            .args(["-c", "listen_addresses=", "-c", "max_connections=200"])
            .args(arguments)
            .env("FOLDER", &folder)
            .current_dir("/")
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?;
        let cluster = Self { folder, supervisor };
        cluster.wait(&programs)?;
        Ok(cluster)
    }

    /// The address of its database.
    pub fn url(&self) -> String {
        format!("postgres:///postgres?host={}&user=branbell", self.folder.display())
    }

    /// The server, as the system numbers it.
    ///
    /// # Errors
    /// It has ended.
    pub fn process(&self) -> Result<u32> {
        let pid =
            fs::read_to_string(self.folder.join("data/postmaster.pid")).context("the server has ended")?;
        Ok(pid.lines().next().unwrap_or_default().trim().parse()?)
    }

    /// Asks until it answers, as its own program does.
    fn wait(&self, programs: &Path) -> Result<()> {
        let mut asked = Command::new(programs.join("pg_isready"));
        let asked = asked.arg("--host").arg(&self.folder).args(["--quiet", "--timeout", "5"]);
        for _ in 0..2_000 {
            if asked.status()?.success() {
                return Ok(());
            }
        }
        bail!(
            "PostgreSQL does not start: {}",
            fs::read_to_string(self.folder.join("log")).unwrap_or_default()
        )
    }
}

impl Drop for Cluster {
    fn drop(&mut self) {
        drop(self.supervisor.stdin.take());
        // Nothing can be done about a supervisor that is gone already.
        let _ = self.supervisor.wait();
    }
}

/// The folder of the newest server's programs.
fn programs() -> Result<PathBuf> {
    let installed = fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let mut installed: Vec<(u32, PathBuf)> = installed
        .filter_map(|entry| Some((entry.file_name().to_str()?.parse().ok()?, entry.path().join("bin"))))
        .filter(|(version, folder)| *version >= 15 && folder.join("initdb").exists())
        .collect();
    installed.sort();
    let on_path = || {
        let path = env::var_os("PATH")?;
        env::split_paths(&path)
            .find(|folder| folder.join("initdb").exists() && folder.join("postgres").exists())
    };
    installed
        .pop()
        .map(|(_, folder)| folder)
        .or_else(on_path)
        .context("PostgreSQL 15 or newer is needed for this test (Debian: apt-get install postgresql)")
}

/// Whom to run as, user and group, where we are root: PostgreSQL refuses to be.
fn unprivileged() -> Result<Option<(u32, u32)>> {
    let number = |arguments: &[&str]| -> Result<u32> {
        let said = Command::new("id").args(arguments).output()?;
        Ok(String::from_utf8(said.stdout)?.trim().parse()?)
    };
    if number(&["-u"])? != 0 {
        return Ok(None);
    }
    let user = |name: &str| Ok((number(&["-u", name])?, number(&["-g", name])?));
    user("postgres").or_else(|_: anyhow::Error| user("nobody")).map(Some)
}

fn as_user(user: Option<(u32, u32)>, program: &Path) -> Command {
    let Some((user, group)) = user else { return Command::new(program) };
    let mut command = Command::new("setpriv");
    command.arg(format!("--reuid={user}")).arg(format!("--regid={group}")).arg("--clear-groups").arg(program);
    command
}

/// A name for an account that no other test of this process has.
pub fn fresh_account() -> String {
    use std::sync::atomic::{AtomicU32, Ordering};
    static COUNT: AtomicU32 = AtomicU32::new(0);
    format!("@bot{}:example.org", COUNT.fetch_add(1, Ordering::Relaxed))
}

/// Tells the server something that only its operator may.
///
/// # Errors
/// It refuses.
pub fn tell(cluster: &Cluster, statement: &str) -> Result<()> {
    let mut told = Command::new(programs()?.join("psql"));
    let mut told = told
        .args(["--quiet", "--set", "ON_ERROR_STOP=1", "--username", "branbell", "--host"])
        .arg(&cluster.folder)
        .arg("postgres")
        .stdin(Stdio::piped())
        .spawn()?;
    told.stdin.take().context("psql has no input")?.write_all(statement.as_bytes())?;
    ensure!(told.wait()?.success(), "the server refuses: {statement}");
    Ok(())
}
