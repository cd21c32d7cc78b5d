//! The lines of a season's script.

use branbell_scheduler::fact::Units;
use chrono::{DateTime, FixedOffset};
use chrono_tz::Tz;
use serde::Deserialize;

use crate::chat::{Person, RoomInfo};

/// A line that can be used.
pub(super) struct Line {
    pub(super) at: DateTime<FixedOffset>,
    pub(super) room: String,
    pub(super) from: Option<String>,
    pub(super) id: Option<String>,
    pub(super) direct: bool,
    pub(super) act: Act,
}

/// What a line does.
pub(super) enum Act {
    Open { info: RoomInfo, until: DateTime<FixedOffset> },
    Say { text: String, reply: Option<String> },
    Edit { of: String, text: String },
    Delete { of: String },
    React { key: String, to: String },
    Show,
}

/// A line as it stands.
#[derive(Deserialize)]
struct Raw {
    at: String,
    room: String,
    until: Option<String>,
    zone: Option<String>,
    #[serde(default)]
    units: Units,
    direct: Option<bool>,
    #[serde(default)]
    people: Vec<RawPerson>,
    from: Option<String>,
    id: Option<String>,
    text: Option<String>,
    reply: Option<String>,
    edit: Option<String>,
    delete: Option<String>,
    react: Option<String>,
    to: Option<String>,
    #[serde(default)]
    show: bool,
}

/// Somebody, with or without a role.
#[derive(Deserialize)]
#[serde(untagged)]
enum RawPerson {
    Name(String),
    Role {
        name: String,
        #[serde(default)]
        steward: bool,
    },
}

impl From<RawPerson> for Person {
    fn from(raw: RawPerson) -> Self {
        let (name, steward) = match raw {
            RawPerson::Name(name) => (name, false),
            RawPerson::Role { name, steward } => (name, steward),
        };
        Self { id: name.clone(), name, steward }
    }
}

impl Line {
    /// Reads a line.
    ///
    /// # Errors
    /// What is wrong with it, in words.
    pub(super) fn parse(line: &str) -> Result<Self, String> {
        let raw: Raw = serde_json::from_str(line).map_err(|error| format!("it cannot be read: {error}"))?;
        let at = instant("at", &raw.at)?;
        let (room, from, id) = (raw.room.clone(), raw.from.clone(), raw.id.clone());
        let direct = raw.direct.unwrap_or(false);
        Ok(Self { at, room, from, id, direct, act: Act::of(raw)? })
    }
}

impl Act {
    fn of(raw: Raw) -> Result<Self, String> {
        if let Some(zone) = raw.zone {
            let zone: Tz = zone.parse().map_err(|_| format!("there is no time zone {zone}"))?;
            let until = instant("until", raw.until.as_deref().unwrap_or(&raw.at))?;
            let people = raw.people.into_iter().map(Person::from).collect();
            let direct = raw.direct.unwrap_or(true);
            return Ok(Self::Open {
                info: RoomInfo { room: raw.room, direct, zone, units: raw.units, people },
                until,
            });
        }
        let text = || raw.text.clone().ok_or_else(|| "it has no `text`".to_owned());
        if raw.show {
            Ok(Self::Show)
        } else if let Some(of) = raw.edit {
            Ok(Self::Edit { of, text: raw.text.ok_or_else(|| "it has no `text`".to_owned())? })
        } else if let Some(of) = raw.delete {
            Ok(Self::Delete { of })
        } else if let Some(key) = raw.react {
            Ok(Self::React { key, to: raw.to.ok_or_else(|| "it does not say to what (`to`)".to_owned())? })
        } else {
            Ok(Self::Say { text: text()?, reply: raw.reply })
        }
    }
}

fn instant(field: &str, text: &str) -> Result<DateTime<FixedOffset>, String> {
    DateTime::parse_from_rfc3339(text).map_err(|_| format!("`{field}` is no RFC 3339 time: {text}"))
}
