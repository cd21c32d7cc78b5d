//! Standard output. Whoever reads it may leave: `branbell rehearse | head -3` has seen enough, and nothing failed.

use std::io::{self, ErrorKind, StdoutLock, Write};

/// Nobody reads standard output any more: not any broken pipe, for where a database hangs up that is a failure.
#[derive(Debug, thiserror::Error)]
#[error("nobody reads the output any more")]
struct ReaderLeft;

/// Whether a command ended because nobody reads on.
pub fn reader_left(error: &anyhow::Error) -> bool {
    let error = error.downcast_ref::<io::Error>();
    matches!(error.and_then(io::Error::get_ref), Some(inner) if inner.is::<ReaderLeft>())
}

/// Standard output, whose errors tell when nobody reads on.
pub(super) struct Out(StdoutLock<'static>);

pub(super) fn out() -> Out {
    Out(io::stdout().lock())
}

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.write(bytes).map_err(told_apart)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush().map_err(told_apart)
    }
}

fn told_apart(error: io::Error) -> io::Error {
    if error.kind() == ErrorKind::BrokenPipe { io::Error::other(ReaderLeft) } else { error }
}
