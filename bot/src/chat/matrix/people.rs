//! Who is in a room, and which invitations are taken up.

use std::sync::Arc;

use anyhow::Context;
use matrix_sdk::ruma::events::room::member::MembershipState;
use matrix_sdk::{Room, RoomMemberships};
use tracing::info;

use super::backoff::persist;
use crate::chat::{Person, RoomInfo};
use crate::config::{Invite, Rooms};

/// The room and its people, as the homeserver tells them, and what it begins with if it is new.
pub(super) async fn describe(room: &Room, new: Rooms) -> anyhow::Result<RoomInfo> {
    let members =
        room.members(RoomMemberships::JOIN).await.context("the homeserver does not tell who is here")?;
    let people: Vec<Person> = members
        .iter()
        .filter(|member| !member.is_account_user())
        .map(|member| Person {
            id: member.user_id().to_string(),
            name: member.name().to_owned(),
            // Who may put others out keeps the house, in the chat as in the kitchen.
            steward: member.can_kick(),
        })
        .collect();
    Ok(RoomInfo {
        room: room.room_id().to_string(),
        direct: people.len() == 1,
        zone: new.zone,
        units: new.units,
        people,
    })
}

/// Joins the room if its inviter may invite, else declines; in the background, because both can take long.
pub(super) fn answer_invitation(room: Room, allowed: Arc<Invite>) {
    persist(room, "the invitation is not answered yet", move |room| {
        let allowed = Arc::clone(&allowed);
        async move { answer(&room, &allowed).await }
    });
}

async fn answer(room: &Room, allowed: &Invite) -> anyhow::Result<()> {
    let me = room.own_user_id();
    let own = room.get_member_no_sync(me).await?.context("the invitation does not say who sent it")?;
    if *own.membership() != MembershipState::Invite {
        return Ok(());
    }
    let inviter = own.event().sender().to_owned();
    if allowed.allows(&inviter) {
        info!(room = %room.room_id(), %inviter, "joining");
        room.join().await?;
    } else {
        info!(room = %room.room_id(), %inviter, "declining: the inviter is not in the configuration's invite list");
        room.leave().await?;
    }
    Ok(())
}
