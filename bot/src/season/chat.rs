//! The chat of a season: who said what under which name, and what we said.

use std::collections::{BTreeMap, HashMap};
use std::sync::Mutex;

use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_store::Outgoing;
use chrono::{DateTime, FixedOffset, Utc};
use chrono_tz::Tz;
use serde::Serialize;
use serde_json::{Value, json};

use crate::chat::{Exhibit, Message, RoomInfo, Saying};

/// Something that happened, as a line.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Happening {
    /// When, in the room's zone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<DateTime<FixedOffset>>,
    /// Where.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    /// What.
    #[serde(flatten)]
    pub what: Outcome,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Outcome {
    /// We said something.
    Said {
        /// The name it got.
        id: String,
        /// What it answers.
        #[serde(skip_serializing_if = "Option::is_none")]
        re: Option<String>,
        /// The words.
        text: String,
        /// Whose turn it is.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        to: Vec<String>,
        /// The picture that goes with it: what it says, and its size.
        picture: Option<Value>,
        /// The nudge. A message that carries several has a line for each, all under its name, with its part of the words.
        #[serde(skip_serializing_if = "Option::is_none")]
        nudge: Option<Value>,
    },
    /// What the model holds.
    Shown {
        /// It.
        state: Value,
    },
    /// A line that could not be used.
    Refused {
        /// Why.
        error: String,
        /// Which.
        line: usize,
    },
}

/// Where the season is played: keeps what is said until it is asked for.
#[derive(Default)]
pub(super) struct Stage(Mutex<Script>);

/// The names and places of a season.
#[derive(Default)]
pub(super) struct Script {
    now: Option<DateTime<Utc>>,
    rooms: BTreeMap<String, RoomInfo>,
    events: HashMap<(String, String), String>,
    names: HashMap<String, String>,
    replies: usize,
    nudges: usize,
    happened: Vec<Happening>,
}

/// What marks an event of ours: a season may be continued by a later one, so names alone are not enough to tell events apart.
const OURS: &str = "ours:";

impl Stage {
    fn with<T>(&self, run: impl FnOnce(&mut Script) -> T) -> T {
        // A panic elsewhere leaves the names as they were: they are still good.
        run(&mut self.0.lock().unwrap_or_else(std::sync::PoisonError::into_inner))
    }

    pub(super) fn script_mut(&mut self) -> &mut Script {
        self.0.get_mut().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    pub(super) fn set_clock(&self, now: DateTime<Utc>) {
        self.with(|script| script.now = Some(now));
    }

    pub(super) fn happened(&self) -> Vec<Happening> {
        self.with(|script| std::mem::take(&mut script.happened))
    }

    pub(super) fn refuse(&self, line: usize, reason: &str) {
        let error = format!("line {line} is left out: {reason}");
        self.with(|script| {
            script.happened.push(Happening { at: None, room: None, what: Outcome::Refused { error, line } });
        });
    }

    pub(super) fn show(&self, room: &str, state: Value) {
        self.with(|script| script.happen(room, Outcome::Shown { state }));
    }
}

impl Script {
    pub(super) fn open(&mut self, info: &RoomInfo) {
        self.rooms.insert(info.room.clone(), info.clone());
    }

    pub(super) fn is_open(&self, room: &str) -> bool {
        self.rooms.contains_key(room)
    }

    pub(super) fn is_direct(&self, room: &str) -> bool {
        self.rooms.get(room).is_some_and(|info| info.direct)
    }

    /// Notes a person's message under its name and gives the event's id.
    pub(super) fn enter(&mut self, room: &str, name: &str, at: DateTime<Utc>) -> String {
        self.note(room, name, format!("{name}@{}", at.timestamp_millis()))
    }

    fn note(&mut self, room: &str, name: &str, event: String) -> String {
        self.events.insert((room.to_owned(), name.to_owned()), event.clone());
        self.names.insert(event.clone(), name.to_owned());
        event
    }

    /// The event of that name.
    pub(super) fn event(&self, room: &str, name: &str) -> Result<String, String> {
        let event = self.events.get(&(room.to_owned(), name.to_owned()));
        event.cloned().ok_or_else(|| format!("there is no message {name} in {room}"))
    }

    pub(super) fn is_ours(event: &str) -> bool {
        event.starts_with(OURS)
    }

    fn happen(&mut self, room: &str, what: Outcome) {
        let zone = self.rooms.get(room).map_or(Tz::UTC, |info| info.zone);
        let at = self.now.map(|now| now.with_timezone(&zone).fixed_offset());
        self.happened.push(Happening { at, room: Some(room.to_owned()), what });
    }

    fn say(&mut self, room: &str, txn: &str, message: Message) -> String {
        let name = if message.nudges.is_empty() {
            self.replies += 1;
            format!("b{}", self.replies)
        } else {
            self.nudges += 1;
            format!("n{}", self.nudges)
        };
        let event = self.note(room, &name, format!("{OURS}{txn}"));
        let re = message.re.map(|event| self.names.get(&event).cloned().unwrap_or(event));
        let picture = message.picture.and_then(|exhibit| match exhibit {
            Exhibit::Drawn(picture) => Some(json!({ "alt": picture.alt, "png_bytes": picture.png.len() })),
            Exhibit::Of(_) => None,
        });
        if message.nudges.is_empty() {
            let (id, text, to) = (name, message.text, message.to);
            self.happen(room, Outcome::Said { id, re, text, to, picture, nudge: None });
            return event;
        }
        for mut nudge in message.nudges {
            let (id, re, picture) = (name.clone(), re.clone(), picture.clone());
            let text = nudge["text"].take().as_str().unwrap_or_default().to_owned();
            let to = nudge["to"].take().as_str().map(str::to_owned).into_iter().collect();
            if let Some(tag) = nudge.as_object_mut() {
                tag.retain(|key, _| key != "text" && key != "to");
            }
            self.happen(room, Outcome::Said { id, re, text, to, picture, nudge: Some(nudge) });
        }
        event
    }
}

impl Outlet for Stage {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        let saying = serde_json::from_value(row.body.clone());
        let saying = saying.map_err(|error| SendError::GiveUp { reason: error.to_string() })?;
        Ok(match saying {
            Saying::Message(message) => self.with(|script| script.say(&row.room, &row.txn, message)),
            // Reactions of ours stand ready for tapping; nothing happens by them.
            Saying::Reaction { .. } => format!("{OURS}{}", row.txn),
        })
    }
}
