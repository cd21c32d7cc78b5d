//! A person is forgotten at their own wish, in the room.

use anyhow::{Context, Result};
use branbell_store::Archive;
use chrono::{DateTime, Utc};

use super::Host;
use super::known::Known;
use crate::archive;

impl<S: Archive> Host<S> {
    /// Takes a person out of what is kept of a room; `known` is the room without them afterwards. Their facts stay. Who is
    /// already forgotten is no error: the message that asks for it may come again after a crash.
    pub(super) async fn forget_person(
        &self,
        known: &mut Known,
        room: &str,
        person: &str,
        now: DateTime<Utc>,
    ) -> Result<()> {
        loop {
            let before = self.store.rows(room).await?.context("the room is not kept")?;
            let Some(forgotten) = archive::forget(&before, person, now)? else { break };
            // Something came in meanwhile: look again.
            if self.store.rewrite(room, &before, &forgotten.rows).await? {
                break;
            }
        }
        known.forget();
        known.load(&self.store, room).await
    }
}
