//! Who is in a room, and which invitations are taken up.

use std::sync::Arc;

use anyhow::Context;
use matrix_sdk::ruma::events::room::member::MembershipState;
use matrix_sdk::{Room, RoomMemberships};
use tracing::{info, warn};

use super::backoff::Backoff;
use crate::chat::{Person, RoomInfo};
use crate::config::{Invite, Rooms};

/// How often a join or a refusal is tried; the last wait is about a minute.
const TRIES: u32 = 10;

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
    tokio::spawn(async move {
        let mut backoff = Backoff::default();
        for _ in 0..TRIES {
            match answer(&room, &allowed).await {
                Ok(()) => return,
                Err(error) => warn!(room = %room.room_id(), "the invitation is not answered yet: {error:#}"),
            }
            tokio::time::sleep(backoff.next()).await;
        }
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
