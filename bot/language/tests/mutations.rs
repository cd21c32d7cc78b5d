//! Changes to the messages of the corpora whose effect on the gold is known: typing habits change nothing.
//!
//! Seeded, so that every run tries the same. Only the developed part is used and shown.
#![allow(
    clippy::unwrap_used,
    clippy::unnecessary_wraps,
    clippy::missing_panics_doc,
    missing_docs,
    unreachable_pub,
    reason = "a test may fail loudly"
)]

mod gold;

use gold::{Comparison, Part, files, message};
use serde_json::Value;

/// Numbers that look random and are the same in every run (`SplitMix64`).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % sides as u64) as usize
    }
}

type Change = fn(&str, &mut Dice) -> Option<String>;

/// Case carries meaning in `T` and `t`, and in names of people among chatter.
fn lower(text: &str, _: &mut Dice) -> Option<String> {
    let spoons = text.split_whitespace().any(|word| matches!(word, "T" | "T."));
    (!spoons).then(|| text.to_lowercase())
}

fn upper(text: &str, _: &mut Dice) -> Option<String> {
    let spoons = text.split_whitespace().any(|word| matches!(word, "t" | "t." | "c" | "c."));
    (!spoons && text.is_ascii()).then(|| text.to_uppercase())
}

fn spaces(text: &str, _: &mut Dice) -> Option<String> {
    Some(format!("  {}  ", text.replace(' ', "  ")))
}

fn filler_before(text: &str, dice: &mut Dice) -> Option<String> {
    let fillers = ["ok ", "hey, ", "so ", "hi there, ", "oh and ", "ok so "];
    Some(format!("{}{text}", fillers[dice.roll(fillers.len())]))
}

fn filler_after(text: &str, dice: &mut Dice) -> Option<String> {
    let fillers = [", thanks", " thx", " 👍", " 🙂", ", cheers"];
    (!text.contains('?'))
        .then(|| format!("{}{}", text.trim_end_matches('.'), fillers[dice.roll(fillers.len())]))
}

fn full_stop(text: &str, _: &mut Dice) -> Option<String> {
    text.ends_with(char::is_alphabetic).then(|| format!("{text}."))
}

fn curly(text: &str, _: &mut Dice) -> Option<String> {
    text.contains('\'').then(|| text.replace('\'', "’"))
}

/// Swaps two neighbouring letters inside a long word that is known to be of the trade.
fn swap(text: &str, dice: &mut Dice) -> Option<String> {
    const TERMS: [&str; 14] = [
        "drained",
        "litres",
        "peelings",
        "scraps",
        "yesterday",
        "tablespoons",
        "morning",
        "handful",
        "leftovers",
        "vinegar",
        "planted",
        "degrees",
        "coffee",
        "sealed",
    ];
    let found: Vec<&str> = TERMS
        .into_iter()
        .filter(|term| text.split(|c: char| !c.is_alphabetic()).any(|word| word == *term))
        .collect();
    let term = *found.get(dice.roll(found.len().max(1)))?;
    let at = 1 + dice.roll(term.len() - 3);
    let mut letters: Vec<char> = term.chars().collect();
    (letters[at] != letters[at + 1]).then(|| {
        letters.swap(at, at + 1);
        text.replacen(term, &letters.iter().collect::<String>(), 1)
    })
}

/// Leaves out a letter.
fn omit(text: &str, dice: &mut Dice) -> Option<String> {
    const TERMS: [&str; 8] = [
        "drained",
        "yesterday",
        "tablespoons",
        "peelings",
        "leftovers",
        "temperature",
        "handfuls",
        "planted",
    ];
    let term =
        *TERMS.iter().find(|term| text.split(|c: char| !c.is_alphabetic()).any(|word| word == **term))?;
    let at = 1 + dice.roll(term.len() - 2);
    Some(text.replacen(term, &format!("{}{}", &term[..at], &term[at + 1..]), 1))
}

/// Litres become ten decilitres, and the gold stays.
fn decilitres(text: &str, _: &mut Dice) -> Option<String> {
    let words: Vec<&str> = text.split(' ').collect();
    let at = words
        .windows(2)
        .position(|pair| pair[0].parse::<u32>().is_ok() && matches!(pair[1], "litres" | "l" | "liters"))?;
    let ten = words[at].parse::<u32>().ok()? * 10;
    let mut words: Vec<String> = words.into_iter().map(str::to_owned).collect();
    (words[at], words[at + 1]) = (ten.to_string(), "dl".to_owned());
    Some(words.join(" "))
}

const CHANGES: [(&str, Change, f64); 10] = [
    ("lower case", lower, 0.985),
    ("upper case", upper, 0.95),
    ("spaces", spaces, 1.0),
    ("filler before", filler_before, 0.97),
    ("filler after", filler_after, 0.97),
    ("full stop", full_stop, 0.99),
    ("curly apostrophes", curly, 1.0),
    ("swapped letters", swap, 0.95),
    ("a letter left out", omit, 0.95),
    ("decilitres", decilitres, 1.0),
];

#[test]
fn typing_habits_change_nothing() {
    let lines: Vec<Value> = files(Part::Developed).into_iter().flat_map(|file| file.lines).collect();
    let mut short = Vec::new();
    for (name, change, least) in CHANGES {
        let mut dice = Dice(20_260_610);
        let (mut tried, mut right, mut wrong) = (0, 0, Vec::new());
        for line in &lines {
            let mut message = message(line);
            // What is read wrong as it stands is counted where the corpora are.
            let plain = serde_json::to_value(branbell_language::read(&message)).unwrap();
            if !Comparison::of(line, &plain).right() {
                continue;
            }
            let Some(text) = change(&message.text, &mut dice) else { continue };
            message.text = text;
            let said = serde_json::to_value(branbell_language::read(&message)).unwrap();
            let comparison = Comparison::of(line, &said);
            tried += 1;
            right += usize::from(comparison.right());
            if !comparison.right() {
                wrong.push(format!("{:?}: {}", message.text, comparison.differences.join("; ")));
            }
        }
        println!("{name:18} {right}/{tried}");
        for line in &wrong {
            println!("    {line}");
        }
        assert!(tried > 20, "{name}: {tried}");
        if (right as f64) < least * f64::from(tried) {
            short.push(format!("{name}: {right}/{tried}"));
        }
    }
    assert!(short.is_empty(), "{short:#?}");
}
