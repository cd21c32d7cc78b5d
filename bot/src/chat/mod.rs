//! One trait's worth of chat: what comes in from a room, and what goes out to it, whatever carries it.
//!
//! A transport (the terminal, Matrix, a season's script) translates its own events into [`Incoming`], hands them to the
//! [`Host`](crate::host::Host), and sends what it is given as an [`Outlet`](branbell_scheduler::deliver::Outlet).

use branbell_scheduler::fact::Units;
use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

use crate::dialogue::Topic;
use crate::picture::{Picture, View};
use crate::voice::as_it_looks;

#[cfg(feature = "matrix")]
pub mod matrix;
pub mod terminal;

/// A room as its transport sees it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RoomInfo {
    /// The transport's id of the room.
    pub room: String,
    /// A one-to-one room: every message is for the bot.
    pub direct: bool,
    /// The time zone it starts with.
    pub zone: Tz,
    /// The measures it starts with.
    pub units: Units,
    /// Who is in it, without the bot.
    pub people: Vec<Person>,
}

/// Somebody in a room.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// The transport's id of the person.
    pub id: String,
    /// The name to show.
    pub name: String,
    /// May set bins, plots and hours in a shared room.
    pub steward: bool,
}

/// Something that a person did in a room.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Incoming {
    /// The room.
    pub room: String,
    /// The event's id: the same event has the same id however often it is delivered.
    pub event: String,
    /// Who did it.
    pub sender: String,
    /// When it was sent.
    pub sent: DateTime<Utc>,
    /// Said in a one-to-one room, or it mentions or answers the bot.
    pub direct: bool,
    /// The first message of the thread that it was said in, where it was said in one.
    pub thread: Option<String>,
    /// What was done.
    pub deed: Deed,
}

/// What a person did.
#[expect(missing_docs, reason = "each variant's line tells of its fields")]
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Deed {
    /// Said something (`text`); perhaps in answer to an earlier message (`reply_to`).
    Say { text: String, reply_to: Option<String> },
    /// Changed the `text` of an earlier message of theirs (`of`).
    Edit { of: String, text: String },
    /// Took an earlier message (`of`) back.
    Delete { of: String },
    /// Reacted `to` a message with a sign (`key`).
    React { to: String, key: String },
    /// Said something longer than any log, or changed an earlier message to such; it is not read.
    TooLong { reply_to: Option<String> },
    /// Something that concerns nobody here; it is only noted as taken in.
    Other,
    /// A message that cannot be decrypted yet: kept as it came (`raw`) until its key does.
    Unreadable { raw: String },
    /// A message whose key has not come in good time, as with `others` before it: nobody waits for it any longer.
    Lost { others: usize },
}

impl Deed {
    /// The same with what was said as it looks: names that nobody can tell apart are one.
    #[must_use]
    pub(crate) fn as_it_looks(&self) -> Self {
        let mut seen = self.clone();
        if let Self::Say { text, .. } | Self::Edit { text, .. } = &mut seen {
            *text = as_it_looks(text);
        }
        seen
    }

    /// The message that this takes back.
    pub fn deletes(&self) -> Option<&str> {
        match self {
            Self::Delete { of } => Some(of),
            _ => None,
        }
    }
}

/// What the bot says or does in a room: the body of an outbox row.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Saying {
    /// A message.
    Message(Message),
    /// A reaction on a message of our own.
    Reaction {
        /// The transaction id of the message.
        on: String,
        /// The sign.
        key: String,
        /// What the number of that message is about.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        topic: Option<Topic>,
    },
}

/// A message of the bot.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Message {
    /// Plain text; the first line is complete by itself.
    pub text: String,
    /// The same as HTML.
    pub html: String,
    /// The event it answers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub re: Option<String>,
    /// The first message of the thread that it goes into, where it goes into one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<String>,
    /// The people (by id) whose turn it is.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub to: Vec<String>,
    /// What its number is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub topic: Option<Topic>,
    /// The nudges it carries, each with its own words (`text`) and whose turn it is (`to`).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub nudges: Vec<serde_json::Value>,
    /// The picture that goes with it; the text says the same in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<Exhibit>,
}

/// A picture that goes with a message: where the message is kept it is only named, and where it is sent it is drawn.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Exhibit {
    /// To be drawn, from the room as it will be then.
    Of(View),
    /// As a transport gets it.
    Drawn(Picture),
}
