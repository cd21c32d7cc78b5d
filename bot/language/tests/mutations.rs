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

/// Litres become ten decilitres, and the gold stays; not the end of a range, whose beginning would stay litres.
fn decilitres(text: &str, _: &mut Dice) -> Option<String> {
    let words: Vec<&str> = text.split(' ').collect();
    let at = words
        .windows(2)
        .position(|pair| pair[0].parse::<u32>().is_ok() && matches!(pair[1], "litres" | "l" | "liters"))?;
    if at > 0 && matches!(words[at - 1], "to" | "or" | "-") {
        return None;
    }
    let ten = words[at].parse::<u32>().ok()? * 10;
    let mut words: Vec<String> = words.into_iter().map(str::to_owned).collect();
    (words[at], words[at + 1]) = (ten.to_string(), "dl".to_owned());
    Some(words.join(" "))
}

/// `drained green` becomes `I drained green`.
fn first_person(text: &str, dice: &mut Dice) -> Option<String> {
    const REPORTS: [&str; 9] =
        ["added", "put", "drained", "sealed", "buried", "planted", "checked", "emptied", "started"];
    let (first, rest) = text.split_once(' ')?;
    let subjects = ["I", "I've just", "I have", "I just", "we"];
    REPORTS
        .contains(&first.to_lowercase().as_str())
        .then(|| format!("{} {} {rest}", subjects[dice.roll(subjects.len())], first.to_lowercase()))
}

/// Small whole numbers before a unit in words.
fn in_words(text: &str, _: &mut Dice) -> Option<String> {
    const WORDS: [&str; 13] = [
        "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
        "twelve",
    ];
    const UNITS: [&str; 12] = [
        "litres",
        "litre",
        "liters",
        "l",
        "kg",
        "kilos",
        "cups",
        "tbsp",
        "tablespoons",
        "spoons",
        "handfuls",
        "pints",
    ];
    let mut changed = false;
    let words: Vec<&str> = text.split(' ').collect();
    let said = (0..words.len()).map(|at| {
        let unit = words.get(at + 1).is_some_and(|next| UNITS.contains(&next.trim_end_matches([',', '.'])));
        let word = words[at].parse::<usize>().ok().filter(|_| unit).and_then(|value| WORDS.get(value));
        changed |= word.is_some();
        word.copied().unwrap_or(words[at])
    });
    let said = said.collect::<Vec<_>>().join(" ");
    changed.then_some(said)
}

/// Sentences on lines of their own.
fn on_lines(text: &str, _: &mut Dice) -> Option<String> {
    // `1/2 c. grounds` is a cup, `a.m.` a time.
    let abbreviates = [" c. ", "a.m. ", "p.m. "].iter().any(|short| text.contains(short));
    (text.contains(". ") && !abbreviates).then(|| text.replace(". ", "\n"))
}

/// Signs that people type for a stop.
fn trailing(text: &str, dice: &mut Dice) -> Option<String> {
    let signs = ["!", "!!", "...", " ..", " :)", " ;)", "!1"];
    (text.ends_with(char::is_alphabetic)).then(|| format!("{text}{}", signs[dice.roll(signs.len())]))
}

const CHANGES: [(&str, Change, f64); 14] = [
    ("lower case", lower, 0.985),
    ("upper case", upper, 0.95),
    ("spaces", spaces, 1.0),
    ("filler before", filler_before, 0.97),
    ("filler after", filler_after, 0.97),
    ("full stop", full_stop, 0.99),
    ("curly apostrophes", curly, 1.0),
    ("swapped letters", swap, 0.95),
    ("a letter left out", omit, 0.94),
    ("decilitres", decilitres, 1.0),
    ("first person", first_person, 0.97),
    ("numbers in words", in_words, 0.97),
    ("on lines", on_lines, 0.97),
    ("trailing signs", trailing, 0.97),
];

#[test]
fn typing_habits_change_nothing() {
    // What is read wrong as it stands is counted where the corpora are.
    let right = |line: &Value| {
        let plain = serde_json::to_value(branbell_language::read(&message(line))).unwrap();
        Comparison::of(line, &plain).right()
    };
    let lines: Vec<Value> =
        files(Part::Developed).into_iter().flat_map(|file| file.lines).filter(right).collect();
    let mut short = Vec::new();
    for (name, change, least) in CHANGES {
        let mut dice = Dice(20_260_610);
        let (mut tried, mut right, mut wrong) = (0, 0, Vec::new());
        for line in &lines {
            let mut message = message(line);
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
