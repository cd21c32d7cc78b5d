//! The contract's lines: one JSON object in, one out.

use serde::Serialize;
use serde_json::Value;
use thiserror::Error;

use crate::{Message, Reading, read};

/// Why a line cannot be read.
#[derive(Debug, Error)]
pub enum LineError {
    /// No JSON, or a field that is missing or of the wrong type.
    #[error("this line is not a message: {0}")]
    Malformed(#[from] serde_json::Error),
}

#[derive(Serialize)]
struct Out<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<&'a Value>,
    #[serde(flatten)]
    reading: &'a Reading,
}

/// Parses one line of the contract.
///
/// # Errors
/// Where the line is not JSON, lacks `text`, `now` or `zone`, or has a field of the wrong type.
pub fn parse_line(json: &str) -> Result<Message, LineError> {
    Ok(serde_json::from_str(json)?)
}

/// Writes one reading as a line of the contract, with the message's id.
pub fn write_line(id: Option<&Value>, reading: &Reading) -> String {
    serde_json::to_string(&Out { id, reading }).unwrap_or_else(|error| refusal(&error.to_string()))
}

/// Reads one line: the reading, or `{"error": ...}` where the line is not a message.
pub fn read_line(json: &str) -> String {
    match parse_line(json) {
        Ok(message) => write_line(message.id.as_ref(), &read(&message)),
        Err(error) => refusal(&error.to_string()),
    }
}

fn refusal(sentence: &str) -> String {
    serde_json::json!({ "error": sentence }).to_string()
}
