//! Reads a room's export. Nothing of a file is used unless all of it is sound: every line is looked at before the
//! checksum is, so that what is wrong is told with the place where it is.

use std::collections::HashSet;

use anyhow::{Context, Result, anyhow, bail, ensure};
use branbell_scheduler::fact::What;
use branbell_store::{FactRow, RoomRows};
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::VERSION;
use super::line::{Format, Header, Line};
use crate::chat::Saying;
use crate::dialogue::Asked;

/// The room of an export, and its rows.
///
/// # Errors
/// A sentence that says what is wrong with the file, and in which line.
pub fn read_room(file: &[u8]) -> Result<(String, RoomRows)> {
    ensure!(!file.is_empty(), "it is empty");
    let (first, body) = split_line(file);
    let header = header(first).context("line 1")?;
    let mut reader = Reader::default();
    let mut rest = body;
    let mut count = 0;
    while !rest.is_empty() && count < header.lines {
        let (line, next) = split_line(rest);
        count += 1;
        reader.line(line).with_context(|| format!("line {}", count + 1))?;
        rest = next;
    }
    ensure!(count == header.lines, "it ends after line {}, and should have {}", count + 1, header.lines + 1);
    ensure!(rest.is_empty(), "line {}: something was added at the end", count + 2);
    ensure!(
        header.clone().sealed(body)?.sha256 == header.sha256,
        "it is not as it was written, though every line can be read: its checksum is not the one in line 1"
    );
    Ok((header.room, RoomRows { last_event: header.last_event, ..reader.rows }))
}

/// The first line, without its end, and what follows it.
fn split_line(text: &[u8]) -> (&[u8], &[u8]) {
    let end = text.iter().position(|byte| *byte == b'\n').unwrap_or(text.len());
    (&text[..end], text.get(end + 1..).unwrap_or_default())
}

fn header(line: &[u8]) -> Result<Header> {
    let foreign = || anyhow!("this is no room that branbell exported");
    let header: Value = serde_json::from_slice(line).map_err(|_| foreign())?;
    let format = header.get("format").cloned().unwrap_or_default();
    match serde_json::from_value(format).map_err(|_| foreign())? {
        Format::Room => {}
        Format::Person => bail!("this is what concerns one person; only a room as a whole can be taken back"),
    }
    let version = header.get("version").and_then(Value::as_u64).ok_or_else(foreign)?;
    ensure!(
        version == u64::from(VERSION),
        "it is written in form {version}, and this branbell reads form {VERSION}: use the version that wrote it"
    );
    parse(line)
}

/// Collects rows, and refuses what cannot stand beside those before.
#[derive(Default)]
struct Reader {
    rows: RoomRows,
    keys: HashSet<(&'static str, String)>,
}

impl Reader {
    fn line(&mut self, line: &[u8]) -> Result<()> {
        match parse(line)? {
            Line::Event(row) => {
                self.once("event", &row.event)?;
                self.rows.events.push(row);
            }
            Line::Fact(row) => self.fact(row)?,
            Line::Nudge(row) => {
                self.once("nudge", &row.key)?;
                self.rows.nudges.push(row);
            }
            Line::Question(row) => {
                self.once("question to", &row.person)?;
                let _: Asked = known(&row.body, "the question")?;
                self.rows.questions.push(row);
            }
            Line::Outgoing(row) => {
                self.once("message", &row.txn)?;
                let _: Saying = known(&row.body, "the message")?;
                self.rows.outbox.push(row);
            }
            Line::Unread(row) => {
                self.once("unread message", &row.event)?;
                self.rows.unread.push(row);
            }
        }
        Ok(())
    }

    fn fact(&mut self, row: FactRow) -> Result<()> {
        let last = self.rows.facts.last().map_or(0, |fact| fact.seq);
        ensure!(Some(row.seq) == last.checked_add(1), "fact {} stands after fact {last}", row.seq);
        let _: What = known(&row.body, "the fact")?;
        self.rows.facts.push(row);
        Ok(())
    }

    fn once(&mut self, kind: &'static str, key: &str) -> Result<()> {
        ensure!(self.keys.insert((kind, key.to_owned())), "the {kind} {key:?} stands there twice");
        Ok(())
    }
}

/// A body that this program understands.
fn known<T: DeserializeOwned>(body: &Value, what: &str) -> Result<T> {
    T::deserialize(body).map_err(|error| {
        let told = error.to_string();
        // What it could have been instead is of no use here.
        anyhow!("{what} cannot be understood: {}", told.split(", expected").next().unwrap_or_default())
    })
}

fn parse<T: DeserializeOwned>(line: &[u8]) -> Result<T> {
    serde_json::from_slice(line).map_err(|error| {
        let told = error.to_string();
        // The reader of one line calls it line 1; we know better.
        let what = told.rsplit_once(" at line ").map_or(told.as_str(), |(what, _)| what);
        anyhow!("at character {}: {what}", error.column())
    })
}
