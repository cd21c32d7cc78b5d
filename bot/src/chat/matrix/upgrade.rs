//! A room that was upgraded: closed by its stewards, who made another one that takes its place.

use anyhow::Context;
use matrix_sdk::ruma::api::client::state::get_state_event_for_key::v3::Request;
use matrix_sdk::ruma::api::error::ErrorKind;
use matrix_sdk::ruma::events::StateEventType;
use matrix_sdk::ruma::{OwnedRoomId, OwnedServerName, RoomId};
use matrix_sdk::{Client, Room, RoomState};
use serde::Deserialize;
use tracing::info;

use super::backoff::persist;

/// The room whose place this one has taken. Both have to say so: anybody can make a room that claims to follow another,
/// and with it would get all that was told there.
///
/// # Errors
/// When the homeserver does not answer.
pub(super) async fn predecessor(room: &Room) -> anyhow::Result<Option<OwnedRoomId>> {
    let Some(old) = room.predecessor_room() else { return Ok(None) };
    let successor = successor(&room.client(), &old.room_id).await?;
    Ok((successor.as_deref() == Some(room.room_id())).then_some(old.room_id))
}

/// The room that takes this one's place, as the homeserver tells it; none where there is none that we may know of.
///
/// # Errors
/// When the homeserver does not answer.
pub(super) async fn successor(client: &Client, room: &RoomId) -> anyhow::Result<Option<OwnedRoomId>> {
    #[derive(Deserialize)]
    struct Tombstone {
        replacement_room: OwnedRoomId,
    }
    let request = Request::new(room.to_owned(), StateEventType::RoomTombstone, String::new());
    match client.send(request).await {
        Ok(found) => Ok(serde_json::from_str::<Tombstone>(found.event_or_content.get())
            .ok()
            .map(|tombstone| tombstone.replacement_room)),
        Err(error)
            if matches!(error.client_api_error_kind(), Some(ErrorKind::NotFound | ErrorKind::Forbidden)) =>
        {
            Ok(None)
        }
        Err(error) => Err(error).context("the homeserver does not tell whether the room was upgraded"),
    }
}

/// Joins the room that takes this one's place; in the background, because it can take long. Where that needs an invitation
/// it comes by itself: whoever upgrades a room asks its people in.
pub(super) fn follow(old: Room) {
    persist(old, "the new room is not joined yet", |old| async move {
        let client = old.client();
        let Some(new) = old.successor_room().map(|new| new.room_id) else { return Ok(()) };
        if client.get_room(&new).is_some_and(|room| room.state() == RoomState::Joined) {
            return Ok(());
        }
        match client.join_room_by_id_or_alias((&*new).into(), &servers(&old).await).await {
            Err(error) if matches!(error.client_api_error_kind(), Some(ErrorKind::Forbidden)) => {
                info!(room = %old.room_id(), %new, "the room was upgraded: waiting to be invited into the new one");
                Ok(())
            }
            joined => Ok(joined.map(drop)?),
        }
    });
}

/// Leaves a room that another has taken the place of; in the background.
pub(super) fn leave(old: Room) {
    persist(old, "the old room is not left yet", |old| async move { Ok(old.leave().await?) });
}

/// Homeservers that may know the way: those of the people of the old room.
async fn servers(old: &Room) -> Vec<OwnedServerName> {
    let people = old.joined_user_ids().await.unwrap_or_default();
    let mut servers: Vec<_> = people.iter().map(|person| person.server_name().to_owned()).collect();
    servers.sort();
    servers.dedup();
    servers.truncate(5);
    servers
}
