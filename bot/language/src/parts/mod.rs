//! Messages of several parts, each of which is a message of its own: `sealed green. Quiet from ten to seven please`, `skip it.
//! blue had a litre of peelings`, `sealed green at five how much bran is left`.
//!
//! A setting, a correction, an answer to a nudge or a question takes the message around it for its own. So a message that
//! holds one and may hold more is read in parts as well, and these stand where they tell more.

mod asked;
mod word;

use std::ops::Range;

use crate::explain::Applied;
use crate::message::Message;
use crate::reader::{self, Read};
use crate::reading::Reading;

/// Nobody puts more parts into one message; so many places are tried at most.
const MOST: usize = 6;

/// Reads a message, in its parts where these tell more; the rules only where they are wanted.
pub(crate) fn read(message: &Message, explained: bool) -> (Reading, Vec<Applied>) {
    let whole = reader::read(message, explained);
    let whole = in_parts(message, &whole, explained).unwrap_or(whole);
    (whole.reading, whole.rules)
}

fn in_parts(message: &Message, whole: &Read, explained: bool) -> Option<Read> {
    // Among people the whole tells whether anything is said to us.
    if !message.direct || whole.shape.breaks.is_empty() {
        return None;
    }
    word::apart(message, whole, explained).or_else(|| asked::apart(message, whole, explained))
}

/// Reads some parts of a message as one, each where it stood.
fn part(message: &Message, parts: &[Range<usize>], explained: bool) -> Read {
    reader::read(&only(message, parts), explained)
}

/// The message with nothing but some parts of its text, each where it stood.
fn only(message: &Message, parts: &[Range<usize>]) -> Message {
    let mut text = String::with_capacity(message.text.len());
    for part in parts {
        text.extend(std::iter::repeat_n(' ', part.start - text.len()));
        text.push_str(message.text.get(part.clone()).unwrap_or_default());
    }
    Message { text, ..message.clone() }
}
