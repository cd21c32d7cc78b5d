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
use crate::reader::{Read, Reader};
use crate::reading::Reading;

/// Nobody puts more parts into one message; so many places are tried at most.
const MOST: usize = 6;

/// Reads a message, in its parts where these tell more; the rules only where they are wanted.
pub(crate) fn read(message: &Message, explained: bool) -> (Reading, Vec<Applied>) {
    let reader = Reader::of(message, explained);
    let whole = reader.read(&message.text);
    let whole = in_parts(&reader, &whole).unwrap_or(whole);
    (whole.reading, whole.rules)
}

fn in_parts(reader: &Reader<'_>, whole: &Read) -> Option<Read> {
    // Among people the whole tells whether anything is said to us.
    if !reader.message.direct || whole.shape.breaks.is_empty() {
        return None;
    }
    word::apart(reader, whole).or_else(|| asked::apart(reader, whole))
}

/// Reads some parts of a message as one, each where it stood.
fn part(reader: &Reader<'_>, parts: &[Range<usize>]) -> Read {
    reader.read(&only(&reader.message.text, parts))
}

/// Nothing but some parts of a text, each where it stood.
fn only(text: &str, parts: &[Range<usize>]) -> String {
    let mut out = String::with_capacity(text.len());
    for part in parts {
        out.extend(std::iter::repeat_n(' ', part.start - out.len()));
        out.push_str(text.get(part.clone()).unwrap_or_default());
    }
    out
}
