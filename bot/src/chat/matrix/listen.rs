//! The long poll, and what it brings: rooms, invitations, events.

mod missed;
mod unread;

use std::collections::{HashMap, HashSet};
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, anyhow};
use branbell_scheduler::deliver::SendError;
use branbell_store::Archive;
use chrono::{DateTime, Utc};
use matrix_sdk::config::SyncSettings;
use matrix_sdk::deserialized_responses::TimelineEvent;
use matrix_sdk::ruma::api::client::filter::FilterDefinition;
use matrix_sdk::ruma::api::client::receipt::create_receipt::v3::ReceiptType;
use matrix_sdk::ruma::api::error::ErrorKind;
use matrix_sdk::ruma::events::receipt::ReceiptThread;
use matrix_sdk::ruma::{EventId, OwnedEventId, OwnedRoomId, RoomId, UInt};
use matrix_sdk::sync::{JoinedRoomUpdate, State, SyncResponse};
use matrix_sdk::{Client, Room};
use tokio::sync::watch;
use tokio::time::Instant;
use tracing::{debug, warn};

use super::backlog::Backlog;
use super::backoff::Backoff;
use super::event::{Me, Seen, Theirs};
use super::late::Late;
use super::outlet::verdict;
use super::session::NEW_DEVICE;
use super::{people, upgrade};
use crate::chat::Deed;
use crate::clock::Clock;
use crate::config::{Config, Invite, Rooms};
use crate::host::Host;

/// How long the homeserver holds a poll open while nothing happens.
const POLL: Duration = Duration::from_secs(30);
/// How long after a message it is shown as read.
const READ_AFTER: Duration = Duration::from_secs(1);
/// Events of one room in one answer; more than that is a gap, which is paged back.
const TIMELINE: u32 = 50;
/// So many events of a room are taken in before the next room has its turn: a flood in one keeps no other waiting.
const TURN: usize = 50;

/// Why nobody listens any longer.
#[derive(Debug)]
pub enum Ended {
    /// The homeserver no longer knows the session; and what to do about it.
    SessionOver(anyhow::Error),
    /// What came could not be written to the encryption store, and in memory it was used up: a key that comes again would not
    /// be taken. From the store, opened anew, it goes on where it stood.
    KeptBehind(anyhow::Error),
}

/// Takes in what happens in the bot's rooms.
pub struct Listener<S, C> {
    client: Client,
    host: Arc<Host<S>>,
    clock: Arc<C>,
    invite: Arc<Invite>,
    rooms: Rooms,
    me: Me,
    /// Rooms without a gap between what was taken in, or waits for its turn, and what the next poll brings; true for a
    /// one-to-one room.
    current: HashMap<OwnedRoomId, bool>,
    /// Rooms whose gap is read in portions: the event that the last portion ended with.
    go_on_from: HashMap<OwnedRoomId, String>,
    /// What was said and is not taken in yet.
    backlog: Backlog,
    /// Rooms that could not be caught up with.
    late: Late,
    /// Rooms that others have taken the place of: nothing is taken in of them any more.
    over: HashSet<OwnedRoomId>,
    /// Upgraded rooms whose successor was gone for.
    followed: HashSet<OwnedRoomId>,
    /// Rooms with messages that wait for their key, and since when.
    waiting: HashMap<OwnedRoomId, DateTime<Utc>>,
}

impl<S: Archive, C: Clock> Listener<S, C> {
    /// A listener for the account that is logged in.
    ///
    /// # Errors
    /// When nobody is.
    pub async fn new(
        client: Client,
        host: Arc<Host<S>>,
        clock: Arc<C>,
        config: &Config,
    ) -> anyhow::Result<Self> {
        let id = client.user_id().context("nobody is logged in")?.to_owned();
        // The name it shows is a convenience; its id and localpart always work.
        let shown = client.account().get_display_name().await.ok().flatten();
        let me = Me::new(id, shown.as_deref());
        Ok(Self {
            client,
            host,
            clock,
            invite: Arc::new(config.invite.clone()),
            rooms: config.rooms,
            me,
            current: HashMap::new(),
            go_on_from: HashMap::new(),
            backlog: Backlog::default(),
            late: Late::default(),
            over: HashSet::new(),
            followed: HashSet::new(),
            waiting: HashMap::new(),
        })
    }

    /// Listens until the session is over, or has to be opened anew; everything else is waited out. `caught_up` becomes true
    /// once everything has been read that was said while the bot was away, as far as the homeserver gave it.
    pub async fn listen(mut self, caught_up: watch::Sender<bool>) -> Ended {
        let mut backoff = Backoff::default();
        loop {
            let poll = if *caught_up.borrow() { self.poll() } else { Duration::ZERO };
            match self.client.sync_once(SyncSettings::new().filter(filter().into()).timeout(poll)).await {
                Ok(response) => {
                    backoff.reset();
                    self.answer_invitations(&response, !*caught_up.borrow());
                    self.take_in(&response).await;
                    // What came while the bot was away is read to the last; then the rooms take turns.
                    let most = if *caught_up.borrow() { TURN } else { usize::MAX };
                    self.take_turns(most).await;
                    if self.behind().is_empty() {
                        caught_up.send_replace(true);
                    }
                }
                Err(error) => {
                    if let Some(remedy) = remedy(&error) {
                        return Ended::SessionOver(anyhow!("{remedy} ({error})"));
                    }
                    if is_of_a_store(&error) {
                        return Ended::KeptBehind(error.into());
                    }
                    warn!("no news from the homeserver: {error}");
                    tokio::time::sleep(backoff.pause()).await;
                }
            }
        }
    }

    /// How long the homeserver may hold the next poll: not at all while something waits to be taken in, and not past the
    /// moment when a room is to be tried again.
    fn poll(&self) -> Duration {
        if !(self.backlog.is_empty() && self.behind().is_empty()) {
            return Duration::ZERO;
        }
        self.late.next(Instant::now()).unwrap_or(POLL).min(POLL)
    }

    /// Rooms that have to be paged back now, where what is known of them was taken in.
    fn behind(&self) -> Vec<Room> {
        let is_behind = |room: &Room| {
            let id = room.room_id();
            room.is_synced()
                && !self.current.contains_key(id)
                && !self.over.contains(id)
                && !self.backlog.holds(id)
                && self.late.is_due(id, Instant::now())
        };
        self.client.joined_rooms().into_iter().filter(is_behind).collect()
    }

    /// Answers the invitations that came; at first all that are open, because the program may have ended before.
    fn answer_invitations(&self, response: &SyncResponse, all: bool) {
        for room in self.client.invited_rooms() {
            if all || response.rooms.invited.contains_key(room.room_id()) {
                people::answer_invitation(room, Arc::clone(&self.invite));
            }
        }
    }

    async fn take_in(&mut self, response: &SyncResponse) {
        for id in response.rooms.left.keys() {
            self.current.remove(id);
            self.take_turn(id, usize::MAX).await;
            self.go_on_from.remove(id);
            self.late.over(id);
            self.over.remove(id);
            self.followed.remove(id);
        }
        for (id, update) in &response.rooms.joined {
            // A room that is not current, or has a gap now, is paged back below.
            let Some(direct) = self.current.remove(id).filter(|_| !update.timeline.limited) else { continue };
            let Some(room) = self.client.get_room(id) else { continue };
            match self.hear(&room, direct, update).await {
                Ok(direct) => _ = self.current.insert(id.clone(), direct),
                Err(error) => warn!(room = %id, "not heard, it will be read again: {error:#}"),
            }
        }
        self.catch_up_with_all().await;
        for room in self.client.joined_rooms().into_iter().filter(|room| room.is_tombstoned()) {
            if !self.over.contains(room.room_id()) && self.followed.insert(room.room_id().to_owned()) {
                upgrade::follow(room);
            }
        }
        if !response.to_device.is_empty() || self.waiting.values().any(|since| self.is_overdue(*since)) {
            self.read_again().await;
        }
    }

    /// Puts what a poll brought of a room that has no gap behind what waits there; tells whether the room is one-to-one now.
    async fn hear(
        &mut self,
        room: &Room,
        mut direct: bool,
        update: &JoinedRoomUpdate,
    ) -> anyhow::Result<bool> {
        if changes_people(update) {
            let info = people::describe(room, self.rooms).await?;
            self.host.open(&info, self.clock.now()).await?;
            direct = info.direct;
        }
        self.backlog.add(room.room_id(), direct, update.timeline.events.iter().cloned());
        Ok(direct)
    }

    /// Each room's turn: takes in what was said there next.
    async fn take_turns(&mut self, most: usize) {
        for id in self.backlog.rooms() {
            self.take_turn(&id, most).await;
        }
    }

    async fn take_turn(&mut self, id: &RoomId, most: usize) {
        let (Some(room), Some((direct, events))) = (self.client.get_room(id), self.backlog.take(id, most))
        else {
            return;
        };
        if let Err(error) = self.take_events(&room, direct, &events).await {
            warn!(room = %id, "not all was taken in, it will be read again: {error:#}");
            self.current.remove(id);
            self.go_on_from.remove(id);
            self.backlog.forget(id);
            self.late.failed(id, Instant::now());
        }
    }

    async fn take_events(
        &mut self,
        room: &Room,
        direct: bool,
        events: &[TimelineEvent],
    ) -> anyhow::Result<()> {
        let (mut last, mut unread) = (None, false);
        for event in events {
            match Seen::read(event, &self.me) {
                Seen::Nothing => {}
                Seen::Ours { event, txn, sent } => {
                    if let Some(txn) = txn {
                        let sent = self.clock.here(sent);
                        self.host.echoed(room.room_id().as_str(), &txn, &event, sent).await?;
                    }
                }
                Seen::Theirs(theirs) => {
                    last = EventId::parse(&theirs.event).ok();
                    if matches!(theirs.deed, Deed::Unreadable { .. }) {
                        self.wait_for_key(room);
                        unread = true;
                    }
                    self.take(room, direct, theirs).await?;
                }
            }
        }
        if let Some(last) = last {
            tokio::spawn(mark_read(room.clone(), last));
        }
        // A key may have come while its message waited for its turn.
        if unread { self.read_room_again(room, direct).await } else { Ok(()) }
    }

    async fn take(&self, room: &Room, direct: bool, mut theirs: Theirs) -> anyhow::Result<()> {
        let id = room.room_id().as_str();
        let direct = direct || theirs.names_us || self.answers_us(room, &theirs.deed).await?;
        // Catching up brings many events again; only a new edit is worth a request.
        if let Deed::Edit { of, .. } = &theirs.deed
            && !self.host.has_taken(id, &theirs.event).await?
        {
            let original = self.said(room, of).await?;
            theirs = theirs.changing(original);
        }
        self.host.take(&theirs.incoming(id, direct, &*self.clock), self.clock.now()).await
    }

    /// Whether a message answers one of ours.
    async fn answers_us(&self, room: &Room, deed: &Deed) -> anyhow::Result<bool> {
        let (Deed::Say { reply_to: Some(answered), .. } | Deed::TooLong { reply_to: Some(answered) }) = deed
        else {
            return Ok(false);
        };
        self.host.is_ours(room.room_id().as_str(), answered).await
    }

    /// What somebody said before; none where it is nothing that we may see.
    async fn said(&self, room: &Room, event: &str) -> anyhow::Result<Option<Theirs>> {
        // People claim to change what they like: what the homeserver refuses once it refuses again, and the room goes on.
        let Ok(event) = EventId::parse(event) else { return Ok(None) };
        match room.event(&event, None).await {
            Ok(found) => Ok(Seen::read(&found, &self.me).theirs()),
            Err(error) if matches!(verdict(&error), SendError::GiveUp { .. }) => Ok(None),
            Err(error) => Err(error).context("the homeserver does not tell what was changed"),
        }
    }
}

/// Shows the others that we have read so far: good manners, no more, so it waits until the answer is on its way.
async fn mark_read(room: Room, last: OwnedEventId) {
    tokio::time::sleep(READ_AFTER).await;
    if let Err(error) = room.send_single_receipt(ReceiptType::Read, ReceiptThread::Unthreaded, last).await {
        debug!(room = %room.room_id(), "no read receipt: {error}");
    }
}

/// Rooms and nothing around them: who is online or typing does not concern the bot.
fn filter() -> FilterDefinition {
    let mut filter = FilterDefinition::empty();
    filter.presence.not_types = vec!["*".to_owned()];
    filter.room.ephemeral.not_types = vec!["*".to_owned()];
    filter.room.timeline.limit = Some(UInt::from(TIMELINE));
    filter
}

/// Whether somebody came, went, took another name, or may do more or less than before.
fn changes_people(update: &JoinedRoomUpdate) -> bool {
    let concerns =
        |kind: Option<String>| matches!(kind.as_deref(), Some("m.room.member" | "m.room.power_levels"));
    let (State::Before(state) | State::After(state)) = &update.state;
    state.iter().any(|event| concerns(event.get_field("type").ok().flatten()))
        || update.timeline.events.iter().any(|event| concerns(event.raw().get_field("type").ok().flatten()))
}

fn is_of_a_store(error: &matrix_sdk::Error) -> bool {
    use matrix_sdk::Error::{CryptoStoreError, OlmError, StateStore};
    use matrix_sdk::encryption::OlmError::Store;
    match error {
        CryptoStoreError(_) | StateStore(_) => true,
        OlmError(error) => matches!(**error, Store(_)),
        _ => false,
    }
}

/// What to do when the session is over; nothing for an error that passes.
fn remedy(error: &matrix_sdk::Error) -> Option<String> {
    match error.client_api_error_kind()? {
        ErrorKind::UnknownToken(token) if token.soft_logout => Some(
            "the session ran out: remove matrix/session.json from the data directory, and nothing else, and start the \
             bot again with its password"
                .to_owned(),
        ),
        ErrorKind::UnknownToken(_) | ErrorKind::MissingToken => Some(format!(
            "the bot's device was logged out, and with it its keys are gone: {NEW_DEVICE}"
        )),
        ErrorKind::UserDeactivated => Some("the bot's account was closed: give it another one".to_owned()),
        _ => None,
    }
}
