//! Reads lines of the contract from standard input: `cargo run --example read < messages.jsonl`.
//! With `--explain`, each reading comes with the rules that made it.

use std::io::{self, BufRead, Write};

fn main() -> io::Result<()> {
    let explained = std::env::args().any(|argument| argument == "--explain");
    let mut out = io::BufWriter::new(io::stdout().lock());
    for line in io::stdin().lock().lines() {
        let line = line?;
        let said = match branbell_language::parse_line(&line) {
            Ok(message) if explained => serde_json::to_string(&branbell_language::explain(&message))?,
            _ => branbell_language::read_line(&line),
        };
        writeln!(out, "{said}")?;
    }
    Ok(())
}
