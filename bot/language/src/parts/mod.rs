//! Messages of several parts, each of which is a message of its own: `sealed green. Quiet from ten to seven please`, `skip it.
//! blue had a litre of peelings`, `sealed green at five how much bran is left`.
//!
//! A setting, a correction, an answer to a nudge or a question takes the message around it for its own. So a message that
//! holds one and may hold more is read in parts as well, and these stand where they tell more.

mod asked;
mod word;

use std::cell::RefCell;
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
    let parts = Parts::of(reader);
    word::apart(&parts, whole).or_else(|| asked::apart(&parts, whole))
}

/// A message's parts, each read once however often it is asked for.
struct Parts<'r> {
    reader: &'r Reader<'r>,
    known: RefCell<Vec<(Vec<Range<usize>>, Read)>>,
}

impl<'r> Parts<'r> {
    fn of(reader: &'r Reader<'r>) -> Self {
        Self { reader, known: RefCell::default() }
    }

    fn message(&self) -> &Message {
        self.reader.message
    }

    /// One part, read where it stood.
    fn read(&self, part: Range<usize>) -> Read {
        self.read_as_one(&[part])
    }

    /// Some parts read as one message, each where it stood.
    fn read_as_one(&self, parts: &[Range<usize>]) -> Read {
        let parts: Vec<Range<usize>> = parts.iter().map(|part| self.without_blanks(part)).collect();
        if let Some((_, read)) = self.known.borrow().iter().find(|(known, _)| *known == parts) {
            return read.clone();
        }
        let read = self.reader.read(&only(&self.message().text, &parts));
        self.known.borrow_mut().push((parts, read.clone()));
        read
    }

    /// A part without the spaces around it; a line's end tells something.
    fn without_blanks(&self, part: &Range<usize>) -> Range<usize> {
        let text = self.message().text.get(part.clone()).unwrap_or_default();
        let from = part.start + (text.len() - text.trim_start_matches(' ').len());
        from..from + text.trim_matches(' ').len()
    }
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
