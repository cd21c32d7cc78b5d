//! The gold corpora and how readings are compared with them.
#![allow(
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    missing_docs,
    unreachable_pub,
    reason = "a test may fail loudly"
)]
#![allow(dead_code, reason = "each test uses a part of it")]

mod compare;

use std::fmt;
use std::path::PathBuf;

use branbell_language::{Message, read};
use serde_json::Value;

pub use compare::Comparison;

/// One corpus.
pub struct File {
    pub name: String,
    pub lines: Vec<Value>,
}

/// What a corpus is for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Developed,
    /// Several things in one message, contrasts, references: harder than what people mostly write.
    Woven,
    HeldBack,
}

/// The files whose messages nobody looks at while working on the reader.
const HELD_BACK: [&str; 12] = [
    "own-bz", "own-ca", "own-cc", "own-ce", "own-he", "own-hf", "own-hg", "own-ka", "own-kd", "own-x",
    "own-y", "own-z",
];

/// The files of messages that weave several things together.
const WOVEN: [&str; 13] = [
    "own-bd", "own-be", "own-bf", "own-bg", "own-bh", "own-bi", "own-bj", "own-bl", "own-cd", "own-cf",
    "own-cl", "own-dh", "own-fg",
];

impl Part {
    /// The part that a file belongs to.
    pub fn of(file: &str) -> Self {
        if HELD_BACK.contains(&file) {
            Self::HeldBack
        } else if WOVEN.contains(&file) {
            Self::Woven
        } else {
            Self::Developed
        }
    }
}

/// The corpora of one part, by name.
pub fn files(part: Part) -> Vec<File> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("corpus");
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "jsonl"));
    paths.sort();
    let file = |path: PathBuf| {
        let text = std::fs::read_to_string(&path).unwrap();
        let lines = text
            .lines()
            .filter(|line| !line.trim().is_empty())
            .map(|line| serde_json::from_str(line).unwrap());
        File { name: path.file_stem().unwrap().to_string_lossy().into_owned(), lines: lines.collect() }
    };
    paths.into_iter().map(file).filter(|file| Part::of(&file.name) == part).collect()
}

/// The message of a line, without its gold.
pub fn message(line: &Value) -> Message {
    let mut line = line.clone();
    line.as_object_mut().unwrap().remove("gold");
    serde_json::from_value(line).unwrap()
}

/// Counts over messages.
#[derive(Debug, Default, Clone)]
pub struct Score {
    pub messages: usize,
    pub right: usize,
    pub wrong_record: usize,
    pub silent: usize,
    pub false_alarm: usize,
    /// What was read wrong, of the developed part only.
    pub failures: Vec<String>,
}

impl Score {
    pub fn add(&mut self, other: Self) {
        self.messages += other.messages;
        self.right += other.right;
        self.wrong_record += other.wrong_record;
        self.silent += other.silent;
        self.false_alarm += other.false_alarm;
        self.failures.extend(other.failures);
    }

    pub fn share_right(&self) -> f64 {
        share(self.right, self.messages)
    }

    pub fn share_wrong_record(&self) -> f64 {
        share(self.wrong_record, self.messages)
    }

    pub fn share_false_alarm(&self) -> f64 {
        share(self.false_alarm, self.silent)
    }
}

fn share(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "right {:.1} % ({}/{}), wrong record {:.1} % ({}), false alarm {:.1} % ({}/{})",
            100.0 * self.share_right(),
            self.right,
            self.messages,
            100.0 * self.share_wrong_record(),
            self.wrong_record,
            100.0 * self.share_false_alarm(),
            self.false_alarm,
            self.silent
        )
    }
}

/// Reads a corpus and compares.
pub fn score(file: &File) -> Score {
    let (part, mut score) = (Part::of(&file.name), Score::default());
    for line in &file.lines {
        let message = message(line);
        let said = serde_json::to_value(read(&message)).unwrap();
        let comparison = Comparison::of(line, &said);
        score.messages += 1;
        score.right += usize::from(comparison.right());
        score.wrong_record += usize::from(comparison.wrong_record);
        score.silent += usize::from(comparison.gold_silent);
        score.false_alarm += usize::from(comparison.gold_silent && !comparison.said_silent);
        if part == Part::Developed && !comparison.right() {
            score.failures.push(format!(
                "{} {:?}: {}",
                line["id"],
                message.text,
                comparison.differences.join("; ")
            ));
        }
    }
    score
}
