//! One login and one device, for ever.
//!
//! A homeserver recognises a message that is sent again only from the same device, and the encryption store belongs to
//! it; so the device's name and the store's key are chosen and kept before the first login, which can then be
//! repeated after a crash at any point, and nothing here ever logs out.

use std::path::{Path, PathBuf};
use std::time::Duration;

use anyhow::{Context, bail, ensure};
use matrix_sdk::authentication::matrix::MatrixSession;
use matrix_sdk::config::RequestConfig;
use matrix_sdk::encryption::{BackupDownloadStrategy, EncryptionSettings};
use matrix_sdk::ruma::{DeviceId, OwnedDeviceId};
use matrix_sdk::store::RoomLoadSettings;
use matrix_sdk::{Client, SessionMeta, SessionTokens, SqliteStoreConfig};
use serde::{Deserialize, Serialize};

use super::keep::Keep;
use crate::config::{Config, Login, Secret};

const DEVICE: &str = "device.json";
const SESSION: &str = "session.json";
/// How long one request may take, long polling aside.
const PATIENCE: Duration = Duration::from_secs(30);

/// What to do when the device's keys are gone. Keys from a backup would be worse than none: what was sent with them since
/// would be sent with them again.
pub(super) const NEW_DEVICE: &str = "move the folder `matrix` out of the data directory, name the file `recovery-key` in \
     it as recovery_key_file, and start the bot again with its password. It is a new device then, and cannot read what was \
     encrypted before";

/// What is chosen once, before anything is sent.
#[derive(Serialize, Deserialize)]
struct Device {
    id: OwnedDeviceId,
    store_key: [u8; 32],
}

/// Opens the bot's session: the kept one, or at the very first start a new one.
///
/// # Errors
/// When there is no session and no login to make one, when the homeserver refuses the login, or when the folder belongs
/// to another account.
pub async fn open(config: &Config, keep: &Keep) -> anyhow::Result<Client> {
    let kept: Option<MatrixSession> = keep.read(SESSION)?;
    let session = match (kept, &config.login) {
        (Some(session), _) => session,
        (None, Some(Login::Token(token))) => token_session(config, token).await?,
        (None, Some(Login::Password(password))) => return log_in(config, keep, password).await,
        (None, None) => bail!(
            "there is no session yet: give the account's password by password_file or BRANBELL_PASSWORD (or an \
             access token by access_token_file or BRANBELL_ACCESS_TOKEN)"
        ),
    };
    ensure!(
        session.meta.user_id == config.user,
        "{} belongs to {}, not to {}: name another folder as data, or that account as user",
        keep.path("").display(),
        session.meta.user_id,
        config.user
    );
    let (client, device) = client(config, keep, Some(session.meta.device_id.clone())).await?;
    ensure!(
        device == session.meta.device_id,
        "{} belongs to the device {device}, and the access token to {}: name another folder as data",
        keep.path("").display(),
        session.meta.device_id
    );
    keep.write(SESSION, &session)?;
    client
        .matrix_auth()
        .restore_session(session, RoomLoadSettings::default())
        .await
        .context("the kept session does not open")?;
    Ok(client)
}

async fn log_in(config: &Config, keep: &Keep, password: &Secret) -> anyhow::Result<Client> {
    let (client, device) = client(config, keep, None).await?;
    client
        .matrix_auth()
        .login_username(&config.user, password.reveal())
        .device_id(device.as_str())
        .initial_device_display_name("Branbell")
        .await
        .with_context(|| format!("{} does not let {} in", config.homeserver, config.user))?;
    let session = client.matrix_auth().session().context("the homeserver gave no session")?;
    keep.write(SESSION, &session)?;
    Ok(client)
}

/// The session behind an access token, as the homeserver tells it.
async fn token_session(config: &Config, token: &Secret) -> anyhow::Result<MatrixSession> {
    let nobody = Client::builder().homeserver_url(&config.homeserver).build().await?;
    nobody
        .restore_session(MatrixSession {
            meta: SessionMeta { user_id: config.user.clone(), device_id: DeviceId::new() },
            tokens: SessionTokens { access_token: token.reveal().to_owned(), refresh_token: None },
        })
        .await?;
    let whoami = nobody.whoami().await.context("the homeserver does not take the access token")?;
    let device_id = whoami.device_id.context(
        "the access token belongs to no device, so nothing could be sent exactly once: make one by logging in",
    )?;
    Ok(MatrixSession {
        meta: SessionMeta { user_id: whoami.user_id, device_id },
        tokens: SessionTokens { access_token: token.reveal().to_owned(), refresh_token: None },
    })
}

/// A client on the bot's own store, and the device that the store belongs to.
async fn client(
    config: &Config,
    keep: &Keep,
    known: Option<OwnedDeviceId>,
) -> anyhow::Result<(Client, OwnedDeviceId)> {
    let device = if let Some(device) = keep.read::<Device>(DEVICE)? {
        device
    } else {
        let device = Device { id: known.unwrap_or_else(DeviceId::new), store_key: draw_key()? };
        keep.write(DEVICE, &device)?;
        device
    };
    let store = keep.path("store");
    check(&store).await?;
    let store = SqliteStoreConfig::new(store).key(Some(&device.store_key));
    let client = Client::builder()
        .homeserver_url(&config.homeserver)
        .respect_login_well_known(false)
        .sqlite_store_with_config_and_cache_path(store, None::<PathBuf>)
        // Failures are handled where they matter, with waiting times that are seen in the log.
        .request_config(RequestConfig::new().disable_retry().timeout(PATIENCE))
        .with_encryption_settings(EncryptionSettings {
            auto_enable_cross_signing: false,
            auto_enable_backups: false,
            backup_download_strategy: BackupDownloadStrategy::Manual,
        })
        .build()
        .await
        .context("the encryption store does not open")?;
    Ok((client, device.id))
}

/// Looks through the files of the encryption store, where there are any: a damaged one may open and fail later.
async fn check(store: &Path) -> anyhow::Result<()> {
    let Ok(files) = std::fs::read_dir(store) else { return Ok(()) };
    for file in files.flatten().map(|entry| entry.path()) {
        if file.extension().is_some_and(|extension| extension == "sqlite3")
            && let Some(what) = branbell_store::damage(&file).await
        {
            bail!("the encryption store is damaged ({}: {what}): {NEW_DEVICE}", file.display());
        }
    }
    Ok(())
}

fn draw_key() -> anyhow::Result<[u8; 32]> {
    let mut key = [0; 32];
    getrandom::fill(&mut key).context("the system gives no random numbers")?;
    Ok(key)
}
