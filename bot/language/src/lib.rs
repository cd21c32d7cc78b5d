//! What a message says.
//!
//! [`read`] takes a message with its context (the room's zone, units, bins, plots, measures, the present moment) and
//! gives a [`Reading`]: facts, questions, and what stays unclear. It is pure: no clock, no input or output, no state.
//! The same message always gives the same reading, and [`explain()`] tells which rules made it.
//!
//! The way of a message: characters -> tokens (`text`) with meanings from the vocabulary (`lexicon`, `name`,
//! `spelling`) -> what its writer takes back or sets aside gives way to what is meant (`repair`) -> measured things (`number`,
//! `amount`, `time`) -> clauses with their stance (`clause`: asserted, planned, denied, passed on, asked) -> facts (`fact`),
//! questions (`ask`), wishes (`settings`) and answers to nudges (`answers`). Where a message has a word to the bot or a
//! question beside a report, each is read by itself (`parts`).

mod amount;
mod answers;
mod ask;
mod chatter;
mod clause;
mod explain;
mod fact;
mod lexicon;
mod line;
mod message;
mod name;
mod number;
mod parts;
mod reader;
mod reading;
mod repair;
mod scene;
mod settings;
mod shape;
mod spelling;
mod text;
mod time;

pub use explain::{Applied, Explained};
pub use line::{LineError, parse_line, read_line, write_line};
pub use message::{BinName, Message, NudgeKind, Units};
pub use reading::{
    About, Ask, Fact, FactKind, Food, Lid, Moisture, Mould, Precision, Reading, SettingName, Slots, Smell,
    Unclear, UnclearAbout, Use,
};

/// All that the bot says in English, in the form of Fluent: the other half of the language's folder.
pub const REPLIES: &str = include_str!("../en/replies.ftl");

/// Reads a message.
pub fn read(message: &Message) -> Reading {
    parts::read(message, false).0
}

/// Reads a message and tells which rules made the reading.
pub fn explain(message: &Message) -> Explained {
    let (reading, rules) = parts::read(message, true);
    Explained { id: message.id.clone(), reading, rules }
}
