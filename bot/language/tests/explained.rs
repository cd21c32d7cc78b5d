//! `read --explain` names the rules of words, measures and clauses, with their spans.
#![allow(clippy::unwrap_used, reason = "a test may fail loudly")]

use branbell_language::{Explained, explain, parse_line};

fn explained(text: &str) -> Explained {
    let line = serde_json::json!({
        "text": text, "now": "2026-06-10T20:00:00+02:00", "zone": "Europe/Vienna",
        "bins": [{"name": "green", "capacity_ml": 19000}], "plots": ["herb bed"], "measures": {"dabba": 1500.0},
    });
    explain(&parse_line(&line.to_string()).unwrap())
}

fn rules(text: &str) -> Vec<(String, String, String)> {
    explained(text)
        .rules
        .into_iter()
        .map(|applied| {
            assert_eq!(&text[applied.start..applied.end], applied.words);
            (applied.rule.to_owned(), applied.words, applied.meaning.unwrap_or_default())
        })
        .collect()
}

#[test]
fn words_measures_and_clauses_name_their_rules() {
    let told = rules("addded two and a half litres of orange peel to green yesterday at 7pm");
    let expected = [
        ("spelling", "addded", "added"),
        ("number", "two and a half", "2.5"),
        ("amount", "two and a half litres", "2500 ml"),
        ("food", "orange peel", "citrus"),
        ("name of a bin", "green", "green"),
        ("time", "yesterday at 7pm", "2026-06-09T19:00:00+02:00"),
        ("scraps", "addded two and a half litres of orange peel to green yesterday at 7pm", ""),
    ];
    for (rule, words, meaning) in expected {
        let found =
            told.iter().any(|(a, b, c)| (a.as_str(), b.as_str(), c.as_str()) == (rule, words, meaning));
        assert!(found, "{rule} {words:?} {meaning:?} in {told:#?}");
    }
}

#[test]
fn other_measures_name_their_rules() {
    for (text, rule, meaning) in [
        ("buried it 25 cm down in the herb bed", "length", "25 cm"),
        ("the herb bed is 3 by 2 m", "area", "6 m2"),
        ("kitchen is 64F", "temperature", "17.7777"),
        ("green is half full", "level", "0.5"),
        ("a dabba of tea leaves in green", "name of a measure", "dabba"),
        ("buried it in the herb bed", "name of a plot", "herb bed"),
        ("drained 4 oz", "amount", "113.398"),
    ] {
        let told = rules(text);
        let found = told.iter().any(|(name, _, made)| name == rule && made.starts_with(meaning));
        assert!(found, "{text}: {rule} {meaning:?} in {told:#?}");
    }
}
