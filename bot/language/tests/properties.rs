//! What must hold for any message.
#![allow(
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    missing_docs,
    unreachable_pub,
    reason = "a test may fail loudly"
)]

use std::collections::BTreeMap;

use branbell_language::{BinName, FactKind, Message, NudgeKind, Units, explain, read, read_line};
use proptest::prelude::*;

fn room(text: &str) -> Message {
    Message {
        text: text.to_owned(),
        now: "2026-06-10T18:20:00+02:00".parse().unwrap(),
        zone: chrono_tz::Tz::Europe__Vienna,
        units: Units::Metric,
        bins: ["green", "left", "bin 2", "Bob", "full"]
            .map(|name| BinName { name: name.to_owned(), capacity_ml: Some(19_000.0) })
            .to_vec(),
        plots: vec!["herb bed".to_owned(), "lemon tree".to_owned()],
        measures: BTreeMap::from([("caddy".to_owned(), 4_500.0)]),
        direct: true,
        reply_to: None,
        id: None,
    }
}

/// Ways to say so many litres.
fn litres() -> impl Strategy<Value = (String, f64)> {
    (1u32..40, 0usize..8).prop_map(|(halves, way)| {
        let value = f64::from(halves) / 2.0;
        let (whole, half) = (halves / 2, halves % 2 == 1);
        let words = match way {
            0 => format!("{value} litres"),
            1 => format!("{value}l"),
            2 => format!("{} litres", value.to_string().replace('.', ",")),
            3 if half && whole > 0 => format!("{whole} 1/2 litres"),
            4 if half && whole > 0 => format!("{whole}½ l"),
            5 if half && whole > 0 => format!("{whole} and a half liters"),
            6 => format!("{} ml", value * 1000.0),
            _ => format!("{value} Ltr"),
        };
        (words, value * 1000.0)
    })
}

/// Carrier sentences for scraps.
const CARRIERS: [&str; 8] = [
    "added {} to green",
    "put {} of peelings in the green bin",
    "{} of scraps into green this morning",
    "chucked about {} in green just now",
    "yesterday I added {} of leftovers to green",
    "ok, so i just emptied {} of kitchen scraps into green, thanks",
    "green: {} of scraps",
    "Hi! {} of veg scraps went into green last night",
];

proptest! {
    #[test]
    fn a_stated_litre_value_survives_any_wording((words, ml) in litres(), carrier in 0..CARRIERS.len()) {
        let text = CARRIERS[carrier].replace("{}", &words);
        let reading = read(&room(&text));
        prop_assert_eq!(reading.facts.len(), 1, "{}: {:?}", text, reading);
        let fact = &reading.facts[0];
        prop_assert_eq!(fact.kind, FactKind::Scraps);
        prop_assert!((fact.slots.ml.unwrap_or(-1.0) - ml).abs() < 1e-6, "{}: {:?}", text, fact);
        prop_assert_eq!(fact.slots.bin.as_deref(), Some("green"), "{}", text);
    }

    #[test]
    fn case_and_spacing_never_matter((words, _) in litres(), carrier in 0..CARRIERS.len(), upper in any::<bool>(), gap in 1usize..4) {
        // `T` is a tablespoon and `t` a teaspoon: the one place where case speaks.
        let text = CARRIERS[carrier].replace("{}", &words);
        let cased = if upper { text.to_uppercase() } else { text.to_lowercase() };
        let spaced = format!("  {} ", cased.replace(' ', &" ".repeat(gap)));
        prop_assert_eq!(read(&room(&text)), read(&room(&spaced)), "{} | {}", text, spaced);
    }

    #[test]
    fn nothing_panics(text in "\\PC{0,120}", direct in any::<bool>(), units in 0..3, reply in 0..4) {
        let mut message = room(&text);
        message.direct = direct;
        message.units = [Units::Metric, Units::Us, Units::Imperial][units as usize];
        message.reply_to = [None, Some(NudgeKind::Drain), Some(NudgeKind::Bran), Some(NudgeKind::Full)][reply as usize];
        let reading = read(&message);
        prop_assert_eq!(&reading, &explain(&message).reading);
    }

    #[test]
    fn words_of_the_trade_in_any_order_never_panic(picks in prop::collection::vec(0..WORDS.len(), 0..24), direct in any::<bool>()) {
        let text: Vec<&str> = picks.into_iter().map(|pick| WORDS[pick]).collect();
        let mut message = room(&text.join(" "));
        message.direct = direct;
        let reading = read(&message);
        prop_assert_eq!(&reading, &read(&message));
        for fact in &reading.facts {
            prop_assert!(fact.slots.ml.is_none_or(f64::is_finite) && fact.slots.g.is_none_or(f64::is_finite));
        }
    }

    #[test]
    fn any_line_gets_a_line(line in "\\PC{0,200}") {
        let out = read_line(&line);
        prop_assert!(serde_json::from_str::<serde_json::Value>(&out).is_ok());
    }
}

const WORDS: [&str; 96] = [
    "added",
    "drained",
    "3",
    "2.5",
    "half",
    "a",
    "and",
    "of",
    "litres",
    "ml",
    "cups",
    "T",
    "t",
    "c.",
    "oz",
    "lb",
    "4",
    "green",
    "left",
    "bin",
    "2",
    "full",
    "is",
    "not",
    "no",
    "the",
    "herb",
    "bed",
    "yesterday",
    "at",
    "7",
    "pm",
    "half",
    "past",
    "quarter",
    "to",
    "nine",
    "on",
    "3/14",
    "march",
    "3rd",
    "ago",
    "an",
    "hour",
    "in",
    "until",
    "friday",
    ",",
    ".",
    "?",
    "!",
    "bran",
    "scraps",
    "liquid",
    "smells",
    "sour",
    "white",
    "mould",
    "lid",
    "bulging",
    "degrees",
    "-",
    "minus",
    "1",
    "x",
    "by",
    "metres",
    "new",
    "called",
    "holds",
    "caddy",
    "quiet",
    "from",
    "10",
    "digest",
    "off",
    "undo",
    "I",
    "meant",
    "sorry",
    "done",
    "later",
    "away",
    "back",
    "how",
    "much",
    "when",
    "ready",
    "why",
    "can",
    "put",
    "bones",
    "😀",
    "½",
    "1/2",
    "'s",
];

#[test]
fn a_bad_line_says_what_is_wrong() {
    for line in [
        "",
        "{",
        "[]",
        "{}",
        r#"{"text":"hi"}"#,
        r#"{"text":"hi","now":"then","zone":"Europe/Vienna"}"#,
        r#"{"text":"hi","now":"2026-06-10T18:20:00Z","zone":"Mars/Base"}"#,
    ] {
        let out: serde_json::Value = serde_json::from_str(&read_line(line)).unwrap();
        assert!(out["error"].as_str().is_some_and(|error| !error.is_empty()), "{line}: {out}");
    }
}

#[test]
fn an_id_is_echoed() {
    let out: serde_json::Value = serde_json::from_str(&read_line(
        r#"{"id":"a1","text":"undo","now":"2026-06-10T18:20:00Z","zone":"Europe/Vienna"}"#,
    ))
    .unwrap();
    assert_eq!(out["id"], "a1");
    assert_eq!(out["facts"][0]["kind"], "undo");
}

#[test]
fn a_new_name_stays_as_it_was_given_however_near_another() {
    for name in ["greem", "grene", "grn", "green2", "bobb", "binas", "binan"] {
        for text in ["new bin {}, 19 litres", "new bin: {}, 19 litres", "new 19 litre bin called {}"] {
            let text = text.replace("{}", name);
            let reading = read(&room(&text));
            let [fact] = &reading.facts[..] else { panic!("{text}: {reading:?}") };
            assert_eq!((fact.kind, fact.slots.bin.as_deref()), (FactKind::BinSet, Some(name)), "{text}");
        }
    }
    // Of a bin that is there already it is a slip.
    let reading = read(&room("added 2 litres to greem"));
    assert_eq!(reading.facts[0].slots.bin.as_deref(), Some("green"));
}

/// Ways to say what two bins got: litres and spoons of bran each.
const PAIRS: [&str; 9] = [
    "{a} l and {p} tbsp bran in green, {b} l and {q} tbsp bran in Bob",
    "{a} l and {p} tbsp bran in green, {b} l and {q} tbsp in Bob",
    "{a} l in green, {p} tbsp bran, {b} l in Bob, {q} tbsp bran",
    "{a} l in green with {p} tbsp bran and {b} l in Bob with {q} tbsp",
    "green {a} l + {p} tbsp bran, Bob {b} l + {q} tbsp bran",
    "green: {a} l, {p} tbsp bran. Bob: {b} l, {q} tbsp bran",
    "added {a} litres with {p} tbsp bran to green and {b} litres with {q} tbsp to Bob",
    "{a} litres of scraps and {p} tbsp bran to green, {b} litres and {q} tbsp to Bob",
    "green got {a} l and {p} tbsp bran, Bob got {b} l and {q} tbsp bran",
];

proptest! {
    #[test]
    fn each_bin_keeps_its_lots(way in 0..PAIRS.len(), a in 2u32..9, b in 2u32..9, p in 2u32..7, q in 2u32..7) {
        let said = [("{a}", a), ("{b}", b), ("{p}", p), ("{q}", q)];
        let text = said.iter().fold(PAIRS[way].to_owned(), |text, (gap, n)| text.replace(gap, &n.to_string()));
        let reading = read(&room(&text));
        let told = |kind: FactKind, bin: &str| -> Vec<f64> {
            let of = reading.facts.iter().filter(|fact| fact.kind == kind);
            of.filter(|fact| fact.slots.bin.as_deref() == Some(bin)).filter_map(|fact| fact.slots.ml).collect()
        };
        let ml = |n: u32, one: f64| vec![f64::from(n) * one];
        prop_assert_eq!(told(FactKind::Scraps, "green"), ml(a, 1000.0), "{}", text);
        prop_assert_eq!(told(FactKind::Scraps, "Bob"), ml(b, 1000.0), "{}", text);
        prop_assert_eq!(told(FactKind::Bran, "green"), ml(p, 15.0), "{}", text);
        prop_assert_eq!(told(FactKind::Bran, "Bob"), ml(q, 15.0), "{}", text);
        prop_assert_eq!(reading.facts.len(), 4, "{}", text);
    }
}
