//! What a message may be about: the question that waits, the nudge that is answered, what was said last.

use anyhow::Result;
use branbell_scheduler::state::Room;
use branbell_store::{Archive, Millis, Said};
use chrono::{DateTime, Utc};
use serde::Deserialize;

use super::known::Known;
use super::rows::stray_key;
use super::{Host, due};
use crate::chat::{Deed, Incoming, Saying};
use crate::dialogue::{Answering, Heard, Item, Topic};

/// The last thing we said is taken to be meant for so long, where it was a nudge and nobody says what else is meant.
const FRESH_NUDGE: Millis = 12 * 60 * 60 * 1_000;

impl<S: Archive> Host<S> {
    /// What somebody did, with what it may be about.
    pub(super) async fn heard<'a>(
        &self,
        known: &Known,
        incoming: &'a Incoming,
        now: DateTime<Utc>,
    ) -> Result<Heard<'a>> {
        let said = self.store.last_said(&incoming.room).await?;
        let is_fresh = |said: &&Said| incoming.sent.timestamp_millis() - said.created <= FRESH_NUDGE;
        let fresh = said.as_ref().filter(is_fresh);
        let last = match fresh {
            Some(said) => self.work_of(&incoming.room, &known.room, said, incoming.sent, false).await?,
            None => None,
        };
        let to_the_point = match &said {
            Some(said) => self.store.nudge(&incoming.room, &stray_key(said)).await?.is_none(),
            None => false,
        };
        Ok(Heard {
            incoming,
            due: known.room.direct.then(|| Answering::all_due(&known.room, incoming.sent, false)).flatten(),
            answering: self.answering(incoming, &known.room, last.clone()).await?,
            last,
            tells_turns: fresh.is_some_and(tells_turns),
            to_the_point,
            about: self.about(incoming).await?,
            asked: self.asked(incoming, now).await?,
            topic: said.as_ref().and_then(topic),
            last_seq: known.last_seq,
        })
    }

    /// The nudges that this answers: those it replies to, or the last thing we said. In a shared room that was said to
    /// somebody; who speaks to us means what is due.
    async fn answering(
        &self,
        incoming: &Incoming,
        room: &Room,
        last: Option<Answering>,
    ) -> Result<Option<Answering>> {
        let named = match &incoming.deed {
            Deed::Say { reply_to, .. } => reply_to.as_deref(),
            Deed::React { to, .. } => Some(to.as_str()),
            _ => return Ok(None),
        };
        if let Some(event) = named {
            let said = self.store.said(&incoming.room, event).await?;
            return match said {
                Some(said) => self.work_of(&incoming.room, room, &said, incoming.sent, true).await,
                None => Ok(None),
            };
        }
        if room.direct {
            return Ok(last);
        }
        let (person, sent) = (&incoming.sender, incoming.sent);
        let theirs = last.and_then(|last| last.put_to(room, person, sent));
        let due = || Answering::due(room, person, sent).filter(|_| incoming.direct);
        Ok(theirs.or_else(due))
    }

    /// The message of a person that this replies to, or to our answer to which.
    async fn about(&self, incoming: &Incoming) -> Result<Option<String>> {
        let Deed::Say { reply_to: Some(event), .. } = &incoming.deed else { return Ok(None) };
        let ours = self.store.said(&incoming.room, event).await?;
        Ok(Some(ours.map_or_else(|| event.clone(), |ours| ours.cause)))
    }

    /// The nudges that something of ours carried, or stood on; or the work that is due, where it says whose turn it is.
    async fn work_of(
        &self,
        id: &str,
        room: &Room,
        said: &Said,
        now: DateTime<Utc>,
        plainly: bool,
    ) -> Result<Option<Answering>> {
        if tells_turns(said) {
            return Ok(Answering::all_due(room, now, plainly));
        }
        let open = self.store.open_nudges(id).await?;
        let is_open = |key: &str| open.iter().any(|row| row.key == key);
        let items = due::keys(&said.cause).filter_map(|key| Item::of_key(room, key, is_open(key)));
        Ok(Answering::of(items.collect(), plainly))
    }
}

fn tells_turns(said: &Said) -> bool {
    topic(said) == Some(Topic::Turns)
}

/// What the number in something of ours is about.
fn topic(said: &Said) -> Option<Topic> {
    match Saying::deserialize(&said.body).ok()? {
        Saying::Message(message) => message.topic,
        Saying::Reaction { topic, .. } => topic,
    }
}
