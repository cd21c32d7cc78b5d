//! `branbell read`: the ear alone, a JSON line in, a JSON line out.

use std::io::{BufRead, Write};
use std::process::ExitCode;

use anyhow::Result;

use super::output::out;

/// Reads messages from standard input; a line that cannot be used gets an error on its line, and status 1 in the end.
///
/// # Errors
/// Standard input or output cannot be used.
pub fn run(explain: bool) -> Result<ExitCode> {
    let mut out = std::io::BufWriter::new(out());
    let mut code = ExitCode::SUCCESS;
    for line in std::io::stdin().lock().split(b'\n') {
        let line = line?;
        let line = String::from_utf8_lossy(&line);
        if line.trim().is_empty() {
            continue;
        }
        match branbell_language::parse_line(&line) {
            Ok(message) if explain => {
                writeln!(out, "{}", serde_json::to_string(&branbell_language::explain(&message))?)?;
            }
            Ok(message) => {
                let reading = branbell_language::read(&message);
                writeln!(out, "{}", branbell_language::write_line(message.id.as_ref(), &reading))?;
            }
            Err(error) => {
                code = ExitCode::FAILURE;
                writeln!(out, "{}", serde_json::json!({ "error": error.to_string() }))?;
            }
        }
    }
    out.flush()?;
    Ok(code)
}
