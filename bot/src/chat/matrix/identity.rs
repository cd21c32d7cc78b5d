//! The bot's device signed by its own account, so that clients which hide or warn about unverified devices show what it
//! says; and the recovery key that opens the account's signing keys again on a new machine.

use std::path::PathBuf;

use anyhow::{Context, bail};
use matrix_sdk::encryption::recovery::RecoveryState;
use matrix_sdk::ruma::api::client::keys::get_keys;
use matrix_sdk::ruma::api::client::uiaa::{AuthData, MatrixUserIdentifier, Password, UserIdentifier};
use matrix_sdk::ruma::{OwnedUserId, assign};
use matrix_sdk::{Client, Error};

use super::keep::Keep;
use crate::config::{Config, Login};

const RECOVERY_KEY: &str = "recovery-key";

/// What other clients can see of the bot, and what the operator should know of it.
#[derive(Debug, Default)]
pub struct Trust {
    /// The recovery key was written here just now.
    pub recovery_key: Option<PathBuf>,
    /// What is missing, in sentences.
    pub missing: Vec<String>,
}

/// Signs the bot's device and keeps the recovery key, as far as that has not been done. What cannot be done is said and
/// does not stop the bot: it is tried again at the next start.
pub async fn secure(client: &Client, config: &Config, keep: &Keep) -> Trust {
    client.encryption().wait_for_e2ee_initialization_tasks().await;
    let mut trust = Trust::default();
    if let Err(error) = sign_device(client, config).await {
        trust.missing.push(format!("Could not have the bot's device signed by its account: {error:#}"));
        return trust;
    }
    if config.recovery_key.is_some() {
        return trust;
    }
    match keep_recovery_key(client, keep).await {
        Ok(written) => trust.recovery_key = written,
        Err(error) => trust.missing.push(format!("There is no recovery key yet: {error:#}")),
    }
    trust
}

async fn sign_device(client: &Client, config: &Config) -> anyhow::Result<()> {
    let encryption = client.encryption();
    if device_is_signed(client).await? {
        return Ok(());
    }
    if !identity_is_published(client).await? {
        return publish_identity(client, config).await;
    }
    let has_keys = encryption.cross_signing_status().await.is_some_and(|status| status.is_complete());
    if !has_keys {
        let Some(key) = &config.recovery_key else {
            bail!(
                "another client has set this account up for encryption; name its recovery key as recovery_key_file, \
                 or give the bot an account of its own"
            )
        };
        encryption.recovery().recover(key.reveal()).await.context("the recovery key does not fit")?;
    }
    if !device_is_signed(client).await? {
        let device = encryption.get_own_device().await?.context("the device is unknown to its own store")?;
        device.verify().await.context("the homeserver does not take the signature")?;
    }
    Ok(())
}

/// Whether the homeserver shows the device with a signature of its account.
async fn device_is_signed(client: &Client) -> anyhow::Result<bool> {
    let encryption = client.encryption();
    encryption.request_user_identity(&me(client)?).await.context("the homeserver does not tell its keys")?;
    Ok(encryption.get_own_device().await?.is_some_and(|device| device.is_cross_signed_by_owner()))
}

/// Whether the homeserver knows signing keys of the account, whoever made them; ours may exist here only.
async fn identity_is_published(client: &Client) -> anyhow::Result<bool> {
    let me = me(client)?;
    let request = assign!(get_keys::v3::Request::new(), { device_keys: [(me.clone(), Vec::new())].into() });
    let keys = client.send(request).await.context("the homeserver does not tell its keys")?;
    Ok(keys.master_keys.contains_key(&me))
}

/// Makes the account's signing keys, publishes them and signs the device with them.
async fn publish_identity(client: &Client, config: &Config) -> anyhow::Result<()> {
    let encryption = client.encryption();
    let Err(refusal) = encryption.bootstrap_cross_signing(None).await else { return Ok(()) };
    let (Some(needed), Some(Login::Password(password))) = (refusal.as_uiaa_response(), &config.login) else {
        return Err(explain(refusal));
    };
    let mut proof = Password::new(
        UserIdentifier::Matrix(MatrixUserIdentifier::new(config.user.to_string())),
        password.reveal().to_owned(),
    );
    proof.session.clone_from(&needed.session);
    encryption
        .bootstrap_cross_signing(Some(AuthData::Password(proof)))
        .await
        .context("the homeserver does not take the new signing keys")
}

fn explain(refusal: Error) -> anyhow::Error {
    if refusal.as_uiaa_response().is_some() {
        return anyhow::anyhow!(
            "the homeserver wants the account's password for that; give it by password_file or BRANBELL_PASSWORD \
             and start again"
        );
    }
    anyhow::Error::new(refusal).context("the homeserver does not take the new signing keys")
}

/// Makes a recovery key and writes it down, unless that was done; tells where, if it was done now.
async fn keep_recovery_key(client: &Client, keep: &Keep) -> anyhow::Result<Option<PathBuf>> {
    let path = keep.path(RECOVERY_KEY);
    if path.exists() {
        return Ok(None);
    }
    let recovery = client.encryption().recovery();
    let key = match recovery.state() {
        // One was made, but the program ended before it was written down.
        RecoveryState::Enabled => recovery.reset_key().await,
        RecoveryState::Disabled | RecoveryState::Unknown => recovery.enable().await,
        RecoveryState::Incomplete => bail!(
            "another client has set this account up for encryption; name its recovery key as recovery_key_file"
        ),
    };
    keep.write_text(RECOVERY_KEY, &key.context("the homeserver does not keep one")?)?;
    Ok(Some(path))
}

fn me(client: &Client) -> anyhow::Result<OwnedUserId> {
    client.user_id().map(ToOwned::to_owned).context("nobody is logged in")
}
