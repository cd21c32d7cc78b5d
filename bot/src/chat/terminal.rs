//! The terminal as a chat: line editing and history where there is a person, plain lines where the input is a pipe.

use std::io::{BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use anyhow::Result;
use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_store::Outgoing;
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{Config, Editor, ExternalPrinter};
use tokio::sync::mpsc;

use super::{Exhibit, Message, Saying};

const PROMPT: &str = "› ";

/// What can be said to a nudge, shown behind it.
const TAPS: &str = "(done · later · skip)";

/// What was typed, in the data directory.
const HISTORY: &str = "history.txt";

/// The folder of the pictures, in the data directory.
const PICTURES: &str = "pictures";

/// The lines that are typed.
pub struct Input {
    lines: mpsc::Receiver<std::io::Result<String>>,
    typed: Option<mpsc::Sender<()>>,
}

/// Where our messages are shown.
pub struct Screen {
    /// The folder into which pictures are put.
    pictures: PathBuf,
    printer: Option<Printer>,
}

/// Prints above the line that is being typed.
type Printer = Mutex<Box<dyn ExternalPrinter + Send>>;

impl Input {
    /// Opens the terminal, or the pipe. A directory keeps what was typed, and pictures.
    ///
    /// # Errors
    /// The terminal cannot be used.
    pub fn open(directory: &Path) -> Result<(Self, Screen)> {
        let is_terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
        let (input, printer) = if is_terminal { edited(&directory.join(HISTORY))? } else { (piped(), None) };
        Ok((input, Screen { pictures: directory.join(PICTURES), printer }))
    }

    /// The next line; none at the end.
    ///
    /// # Errors
    /// The input cannot be read.
    pub async fn line(&mut self) -> Result<Option<String>> {
        if let Some(typed) = &self.typed {
            // The last line was answered: the prompt may come.
            let _ = typed.try_send(());
        }
        Ok(self.lines.recv().await.transpose()?)
    }
}

/// Lines from a pipe, each read when the one before was dealt with.
fn piped() -> Input {
    let (sender, lines) = mpsc::channel(1);
    std::thread::spawn(move || {
        for line in std::io::stdin().lock().split(b'\n') {
            let line = line.map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
            if sender.blocking_send(line).is_err() {
                return;
            }
        }
    });
    Input { lines, typed: None }
}

/// Lines from a person, with editing and history.
fn edited(history: &Path) -> Result<(Input, Option<Printer>)> {
    let config = Config::builder().auto_add_history(true).max_history_size(1_000)?.build();
    let mut editor: Editor<(), DefaultHistory> = Editor::with_config(config)?;
    // There is none at the first start.
    let _ = editor.load_history(history);
    let printer: Box<dyn ExternalPrinter + Send> = Box::new(editor.create_external_printer()?);
    let (sender, lines) = mpsc::channel(1);
    let (typed, answered) = mpsc::channel(1);
    let history = history.to_owned();
    std::thread::spawn(move || type_lines(editor, &history, &sender, answered));
    Ok((Input { lines, typed: Some(typed) }, Some(Mutex::new(printer))))
}

fn type_lines(
    mut editor: Editor<(), DefaultHistory>,
    history: &PathBuf,
    sender: &mpsc::Sender<std::io::Result<String>>,
    mut answered: mpsc::Receiver<()>,
) {
    while answered.blocking_recv().is_some() {
        let line = match editor.readline(PROMPT) {
            Ok(line) => Ok(line),
            Err(ReadlineError::Eof | ReadlineError::Interrupted) => break,
            Err(ReadlineError::Io(error)) => Err(error),
            Err(error) => Err(std::io::Error::other(error)),
        };
        if sender.blocking_send(line).is_err() {
            break;
        }
    }
    // A history that cannot be kept is no reason to lose the room.
    let _ = editor.save_history(history);
}

impl Outlet for Screen {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        let saying = serde_json::from_value(row.body.clone());
        let saying = saying.map_err(|error| SendError::GiveUp { reason: error.to_string() })?;
        if let Saying::Message(message) = saying {
            let retry = |error: String| SendError::Retry { reason: error, after: None };
            let picture = self.keep(row.seq, &message).map_err(|error| retry(error.to_string()))?;
            match &self.printer {
                Some(printer) => {
                    let mut printer = printer.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
                    printer
                        .print(shown(&message, picture.as_deref(), true))
                        .map_err(|error| retry(error.to_string()))?;
                }
                None => {
                    let mut out = std::io::stdout().lock();
                    let written = out
                        .write_all(shown(&message, picture.as_deref(), false).as_bytes())
                        .and_then(|()| out.flush());
                    written.map_err(|error| retry(error.to_string()))?;
                }
            }
        }
        Ok(format!("shown:{}", row.txn))
    }
}

impl Screen {
    /// Puts the picture of a message into a file, and gives its path.
    fn keep(&self, seq: i64, message: &Message) -> std::io::Result<Option<PathBuf>> {
        let Some(Exhibit::Drawn(picture)) = &message.picture else { return Ok(None) };
        std::fs::create_dir_all(&self.pictures)?;
        let path = self.pictures.join(format!("{seq}-{}", picture.file_name));
        std::fs::write(&path, &picture.png)?;
        Ok(Some(path))
    }
}

/// A message as the terminal shows it, with the path of its picture.
fn shown(message: &Message, picture: Option<&Path>, bold: bool) -> String {
    let mut text = if bold { bold_of(&message.html) } else { message.text.clone() };
    if !message.nudges.is_empty() {
        text = format!("⏰ {text} {TAPS}");
    }
    let picture = picture.map_or_else(String::new, |path| format!("\n→ {}", path.display()));
    format!("{text}{picture}\n\n")
}

/// The HTML of our own messages with the terminal's bold for what is strong.
fn bold_of(html: &str) -> String {
    let marked = html.replace("<strong>", "\x1b[1m").replace("</strong>", "\x1b[0m").replace("<br>", "\n");
    marked.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shows_what_is_strong_in_bold() {
        let message = Message {
            text: "3 l in <b>".to_owned(),
            html: "<strong>3 l</strong> in &lt;b&gt; &amp;lt;".to_owned(),
            ..Message::default()
        };
        assert_eq!(shown(&message, None, false), "3 l in <b>\n\n");
        assert_eq!(shown(&message, Some(Path::new("1-bins.png")), false), "3 l in <b>\n→ 1-bins.png\n\n");
        assert_eq!(shown(&message, None, true), "\x1b[1m3 l\x1b[0m in <b> &lt;\n\n");
    }
}
