//! What `branbell serve` needs to know, read from a TOML file and checked before anything is started.

use std::fmt;
use std::io::Read;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

use anyhow::{Context, bail, ensure};
use branbell_scheduler::fact::Units;
use chrono_tz::Tz;
use matrix_sdk::reqwest::Url;
use matrix_sdk::ruma::{OwnedServerName, OwnedUserId, UserId};
use serde::Deserialize;

/// The bits of a file's mode that concern everybody on the machine.
const EVERYBODY: u32 = 0o007;

/// A configuration with a comment on every line, for `branbell serve --example`.
pub const EXAMPLE: &str = include_str!("../../deploy/branbell.toml");

/// Where the bot lives and whom it listens to.
#[derive(Clone, Debug)]
pub struct Config {
    /// The homeserver's address.
    pub homeserver: Url,
    /// The bot's own account.
    pub user: OwnedUserId,
    /// What it logs in with; needed only until a session is kept.
    pub login: Option<Login>,
    /// Opens the cross-signing keys of an account that another client has set up.
    pub recovery_key: Option<Secret>,
    /// The folder where everything is kept.
    pub data: PathBuf,
    /// The address of the PostgreSQL database that what the rooms told is kept in, instead of in the folder.
    pub database: Option<Secret>,
    /// Who may invite it.
    pub invite: Invite,
    /// What a new room begins with.
    pub rooms: Rooms,
}

/// What the bot logs in with.
#[derive(Clone, Debug)]
pub enum Login {
    /// The password of its account.
    Password(Secret),
    /// An access token that was made for it.
    Token(Secret),
}

/// A text that must never be shown.
#[derive(Clone)]
pub struct Secret(String);

impl Secret {
    /// The text itself, to be handed on where it is needed.
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Secret(hidden)")
    }
}

/// Who may invite the bot into a room.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Invite {
    /// Single people.
    #[serde(default)]
    pub people: Vec<OwnedUserId>,
    /// Everybody on these servers.
    #[serde(default)]
    pub servers: Vec<OwnedServerName>,
}

impl Invite {
    /// Whether this person may.
    pub fn allows(&self, person: &UserId) -> bool {
        self.people.iter().any(|p| p == person) || self.servers.iter().any(|s| s == person.server_name())
    }
}

/// What a new room begins with.
#[derive(Clone, Copy, Debug)]
pub struct Rooms {
    /// Its time zone.
    pub zone: Tz,
    /// Its measures.
    pub units: Units,
}

/// The file as it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    homeserver: String,
    user: String,
    password_file: Option<PathBuf>,
    access_token_file: Option<PathBuf>,
    recovery_key_file: Option<PathBuf>,
    data: PathBuf,
    database_file: Option<PathBuf>,
    invite: Invite,
    #[serde(default)]
    rooms: WrittenRooms,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenRooms {
    zone: Option<String>,
    #[serde(default)]
    units: Units,
}

impl Config {
    /// Reads and checks a configuration; secrets come from the files it names or from `environment`.
    ///
    /// # Errors
    /// A sentence that names the key and says what to do about it.
    pub fn read(file: &Path, environment: impl Fn(&str) -> Option<String>) -> anyhow::Result<Self> {
        let text = std::fs::read_to_string(file)
            .with_context(|| format!("cannot read the configuration {}", file.display()))?;
        let folder = file.parent().unwrap_or(Path::new("."));
        Self::parse(&text, folder, environment)
            .with_context(|| format!("the configuration {} needs a change", file.display()))
    }

    fn parse(
        text: &str,
        folder: &Path,
        environment: impl Fn(&str) -> Option<String>,
    ) -> anyhow::Result<Self> {
        let written: Written = toml::from_str(text)?;
        let secret = |key: &str, file: Option<PathBuf>, variable: &str| match (file, environment(variable)) {
            (Some(_), Some(_)) => {
                bail!("{key} and the environment variable {variable} are both set: keep one")
            }
            (Some(file), None) => {
                read_secret(&folder.join(file)).with_context(|| format!("{key} cannot be used")).map(Some)
            }
            (None, value) => Ok(value.map(Secret)),
        };
        let password = secret("password_file", written.password_file, "BRANBELL_PASSWORD")?;
        let token = secret("access_token_file", written.access_token_file, "BRANBELL_ACCESS_TOKEN")?;
        let recovery_key = secret("recovery_key_file", written.recovery_key_file, "BRANBELL_RECOVERY_KEY")?;
        let database = secret("database_file", written.database_file, "BRANBELL_DATABASE")?;
        let login = match (password, token) {
            (Some(_), Some(_)) => bail!("a password and an access token are both given: keep one of them"),
            (Some(password), None) => Some(Login::Password(password)),
            (None, token) => token.map(Login::Token),
        };
        ensure!(
            !(written.invite.people.is_empty() && written.invite.servers.is_empty()),
            "invite: nobody may invite the bot; name somebody in invite.people or a server in invite.servers"
        );
        Ok(Self {
            homeserver: homeserver(&written.homeserver)?,
            user: UserId::parse(&written.user).with_context(|| {
                format!("user: write it in full, as @branbell:example.org, not {:?}", written.user)
            })?,
            login,
            recovery_key,
            data: folder.join(written.data),
            database,
            invite: written.invite,
            rooms: Rooms { zone: zone(written.rooms.zone.as_deref())?, units: written.rooms.units },
        })
    }
}

fn homeserver(address: &str) -> anyhow::Result<Url> {
    let url = Url::parse(address).ok().filter(|url| matches!(url.scheme(), "https" | "http"));
    url.with_context(|| {
        format!("homeserver: write the whole address, as https://matrix.example.org, not {address:?}")
    })
}

fn zone(name: Option<&str>) -> anyhow::Result<Tz> {
    let Some(name) = name else { return Ok(Tz::UTC) };
    name.parse().map_err(|_| {
        anyhow::anyhow!("rooms.zone: {name:?} is no zone of the IANA database; Europe/Berlin would be one")
    })
}

/// Reads a secret from a file that not everybody may read.
fn read_secret(file: &Path) -> anyhow::Result<Secret> {
    let mut opened = std::fs::File::open(file).with_context(|| format!("cannot open {}", file.display()))?;
    let mode =
        opened.metadata().with_context(|| format!("cannot look at {}", file.display()))?.permissions().mode();
    ensure!(
        mode & EVERYBODY == 0,
        "everybody on this machine can read {0}; make it yours alone with: chmod 600 {0}",
        file.display()
    );
    let mut text = String::new();
    opened.read_to_string(&mut text).with_context(|| format!("cannot read {}", file.display()))?;
    let text = text.trim();
    ensure!(!text.is_empty(), "{} is empty", file.display());
    Ok(Secret(text.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLAIN: &str = "homeserver = 'https://matrix.example.org'\nuser = '@branbell:example.org'\n\
                         data = 'data'\ninvite.servers = ['example.org']\n";

    fn parse(text: &str) -> anyhow::Result<Config> {
        Config::parse(text, Path::new("/etc/branbell"), |_| None)
    }

    fn complaint(text: &str) -> String {
        format!("{:#}", parse(text).unwrap_err())
    }

    fn secret_file(mode: u32) -> (tempfile::TempDir, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("password");
        std::fs::write(&file, "correct horse\n").unwrap();
        std::fs::set_permissions(&file, std::fs::Permissions::from_mode(mode)).unwrap();
        (folder, file)
    }

    #[test]
    fn the_example_is_a_configuration() {
        let example = EXAMPLE.replace("password_file", "# password_file");
        let config = parse(&example).unwrap();
        assert_eq!(config.user, "@branbell:example.org");
        assert_eq!(config.rooms.zone, Tz::Europe__Berlin);
        assert_eq!(config.data, Path::new("/var/lib/branbell"));
    }

    #[test]
    fn people_and_whole_servers_may_invite() {
        let config = parse(&format!("{PLAIN}invite.people = ['@ana:elsewhere.example']")).unwrap();
        let allows = |person: &str| config.invite.allows(&UserId::parse(person).unwrap());
        assert!(allows("@ana:elsewhere.example"));
        assert!(allows("@bo:example.org"));
        assert!(!allows("@bo:elsewhere.example"));
        assert!(!allows("@bo:not.example.org"));
    }

    #[test]
    fn a_complaint_names_the_key() {
        assert!(complaint(&PLAIN.replace("https://", "")).contains("homeserver: write the whole address"));
        assert!(complaint(&PLAIN.replace('@', "")).contains("user: write it in full"));
        assert!(complaint(&PLAIN.replace("'example.org'", "")).contains("invite.people"));
        assert!(complaint(&format!("{PLAIN}[rooms]\nzone = 'Berlin'")).contains("rooms.zone"));
        assert!(complaint(&format!("{PLAIN}[rooms]\nunits = 'stone'")).contains("units"));
        assert!(complaint(&format!("pasword_file = 'x'\n{PLAIN}")).contains("pasword_file"));
        assert!(complaint(&PLAIN.replace("data = 'data'", "")).contains("data"));
    }

    #[test]
    fn a_secret_comes_from_its_file_or_the_environment_but_not_from_both() {
        let (_folder, file) = secret_file(0o600);
        let text = format!("password_file = '{}'\n{PLAIN}", file.display());
        let Some(Login::Password(password)) = parse(&text).unwrap().login else { panic!("no password") };
        assert_eq!(password.reveal(), "correct horse");

        let given = |name: &str| (name == "BRANBELL_ACCESS_TOKEN").then(|| "token".to_owned());
        let from_environment = Config::parse(PLAIN, Path::new("."), given).unwrap();
        assert!(matches!(from_environment.login, Some(Login::Token(_))));
        assert!(Config::parse(&text, Path::new("."), given).is_err());
    }

    #[test]
    fn a_secret_that_everybody_can_read_is_refused() {
        let (_folder, file) = secret_file(0o644);
        let text = format!("password_file = '{}'\n{PLAIN}", file.display());
        let complaint = complaint(&text);
        assert!(complaint.contains("password_file") && complaint.contains("chmod 600"), "{complaint}");
    }

    #[test]
    fn secrets_are_never_shown() {
        let canary = |_: &str| Some("canary".to_owned());
        let mut config = Config::parse(PLAIN, Path::new("."), |name| {
            (name != "BRANBELL_ACCESS_TOKEN").then(|| canary(name)).flatten()
        })
        .unwrap();
        assert!(config.login.is_some() && config.recovery_key.is_some());
        assert!(!format!("{config:?} {config:#?}").contains("canary"));
        config.login = Some(Login::Token(Secret("canary".to_owned())));
        assert!(!format!("{config:?} {config:#?}").contains("canary"));
    }
}
