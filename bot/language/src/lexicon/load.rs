//! Parses the data files. They are part of the program: a line that makes no sense is a mistake of ours, and a test
//! (`every_line_of_the_data_is_understood`) finds it; at run time it is left out.

use chrono::Weekday;
use rustc_hash::FxHashMap;

use super::plural::plural;
use super::sense::{Act, Forms, Matter, Sense, Senses, TimeUnit, TimeWord};
use super::{Lexicon, Mark, Phrase, Word, verb};
use crate::amount::Unit;
use crate::reading::{Food, Lid, Moisture, Mould, Smell, Use};
use crate::text::folded;

/// One data file: its text, how a meaning's name becomes a sense, and how forms are widened.
struct File {
    text: &'static str,
    sense: fn(&'static str) -> Option<Sense>,
    widen: Widen,
    /// Whether the speller may offer its words.
    spelt: bool,
}

#[derive(Clone, Copy, PartialEq)]
enum Widen {
    None,
    Plurals,
    Verbs,
}

const FILES: [File; 10] = [
    File { text: include_str!("../../en/numbers.tsv"), sense: number, widen: Widen::None, spelt: true },
    File { text: include_str!("../../en/units.tsv"), sense: unit, widen: Widen::Plurals, spelt: true },
    File { text: include_str!("../../en/kitchen.tsv"), sense: kitchen, widen: Widen::None, spelt: true },
    File { text: include_str!("../../en/foods.tsv"), sense: food, widen: Widen::Plurals, spelt: true },
    File {
        text: include_str!("../../en/foods_wordnet.tsv"),
        sense: food,
        widen: Widen::Plurals,
        spelt: false,
    },
    File { text: include_str!("../../en/matter.tsv"), sense: matter, widen: Widen::None, spelt: true },
    File { text: include_str!("../../en/verbs.tsv"), sense: act, widen: Widen::Verbs, spelt: true },
    File { text: include_str!("../../en/times.tsv"), sense: time, widen: Widen::None, spelt: true },
    File { text: include_str!("../../en/states.tsv"), sense: state, widen: Widen::None, spelt: true },
    File {
        text: include_str!("../../en/words.tsv"),
        sense: |name| Mark::named(name).map(Sense::Mark),
        widen: Widen::None,
        spelt: false,
    },
];

/// Builds the English lexicon.
pub(super) fn english() -> Lexicon {
    let mut words: FxHashMap<String, Vec<Sense>> = FxHashMap::default();
    let mut terms = Vec::new();
    for file in &FILES {
        for (name, form) in lines(file.text) {
            for (form, sense) in widened(file, name, form) {
                let key = normal(&form);
                if (file.spelt || is_spelt(sense)) && !key.contains(' ') && key.len() >= 4 {
                    terms.push(key.clone());
                }
                let senses = words.entry(key).or_default();
                if !senses.contains(&sense) {
                    senses.push(sense);
                }
            }
        }
    }
    terms.sort_unstable();
    terms.dedup();
    // As a token has it: `what's`, whose tail is cut off and put back again.
    let vocabulary: Vec<String> = words.keys().map(|key| key.replace(" '", "'")).collect();
    let mut lexicon = Lexicon {
        spoken: lines(include_str!("../../en/spellings.tsv")).map(|(word, spoken)| (spoken, word)).collect(),
        heard: lines(include_str!("../../en/heard.tsv")).map(|(word, heard)| (heard, word)).collect(),
        ..Lexicon::default()
    };
    for word in include_str!("../../en/ordinary.txt").lines().filter(|line| !line.starts_with('#')) {
        if word.starts_with(char::is_uppercase) {
            let name = leak(word.to_lowercase());
            lexicon.proper.insert(name);
            lexicon.ordinary.insert(name);
        } else {
            lexicon.ordinary.insert(word);
        }
    }
    for term in terms {
        let letter = term.as_bytes()[0];
        lexicon.terms.entry(letter).or_default().push(leak(term));
    }
    for (form, cues) in super::cue::english(&vocabulary) {
        let cues = Box::leak(Box::new(cues));
        lexicon.words.insert(leak(form), Word { cues, ..Word::UNKNOWN });
    }
    for (key, senses) in words {
        let parts: Vec<&'static str> = leak(key).split(' ').collect();
        let leaked = Senses::leaked(senses);
        if let [word] = parts[..] {
            lexicon.words.entry(word).or_insert(Word::UNKNOWN).senses = leaked;
        } else {
            lexicon.in_phrases.extend(&parts);
            lexicon
                .phrases
                .entry(parts[0])
                .or_default()
                .entry(parts[1])
                .or_default()
                .push(Phrase { rest: parts[2..].to_vec(), senses: leaked });
        }
    }
    for phrases in lexicon.phrases.values_mut().flat_map(FxHashMap::values_mut) {
        phrases.sort_by_key(|phrase| std::cmp::Reverse(phrase.rest.len()));
    }
    lexicon
}

/// Nouns among the function words that people misspell as they do the terms of the trade.
fn is_spelt(sense: Sense) -> bool {
    matches!(
        sense,
        Sense::Mark(
            Mark::Chart
                | Mark::History
                | Mark::Status
                | Mark::Temperature
                | Mark::Rubbish
                | Mark::KitchenPlace
                | Mark::UnitMetric
                | Mark::UnitImperial
        )
    )
}

/// The vocabulary lives as long as the program.
fn leak(text: String) -> &'static str {
    Box::leak(text.into_boxed_str())
}

/// The pairs of meaning and form of a file.
pub(super) fn lines(text: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    text.lines().filter(|line| !line.starts_with('#')).filter_map(|line| line.split_once('\t')).flat_map(
        |(name, forms)| {
            forms
                .split(',')
                .map(str::trim)
                .filter(|form| !form.is_empty())
                .map(move |form| (name.trim(), form))
        },
    )
}

fn widened(file: &File, name: &'static str, form: &'static str) -> Vec<(String, Sense)> {
    if file.widen == Widen::Verbs {
        let Some(act) = act_named(name) else { return Vec::new() };
        return verb::forms(form).into_iter().map(|(form, forms)| (form, Sense::Verb(act, forms))).collect();
    }
    let Some(sense) = (file.sense)(name) else { return Vec::new() };
    let mut out = vec![(form.to_owned(), sense)];
    // What smells like beer smells of beer.
    if let Some(what) = form.strip_prefix("like ") {
        out.push((format!("of {what}"), sense));
    }
    if file.widen == Widen::Plurals && form.len() > 3 {
        out.push((plural(form), sense));
    }
    out
}

/// A form as the tokeniser would cut it, joined by spaces: hyphens go, contractions stand apart.
fn normal(form: &str) -> String {
    // A tail like `'s` is cut off only where it has a word to be the tail of.
    let whole = if form.starts_with('\'') { format!("x{form}") } else { form.to_owned() };
    let text = crate::text::tokenise(&whole);
    let words: Vec<&str> = (usize::from(form.starts_with('\''))..text.tokens.len())
        .map(|i| text.word(i))
        .filter(|word| !matches!(*word, "-" | "."))
        .collect();
    if words.is_empty() { folded(form) } else { words.join(" ") }
}

/// `caddy 5000`
fn kitchen(name: &'static str) -> Option<Sense> {
    let (name, ml) = name.split_once(' ')?;
    Some(Sense::Kitchen(name, ml.parse().ok()?))
}

fn number(name: &str) -> Option<Sense> {
    if let Some(scale) = name.strip_prefix('x') {
        return scale.parse().ok().map(Sense::Scale);
    }
    if let Some(share) = name.strip_prefix('/') {
        return share.parse::<f64>().ok().map(|n| Sense::Share(1.0 / n));
    }
    if let Some(heard) = name.strip_prefix('~') {
        return heard.parse().ok().map(Sense::Homophone);
    }
    match name {
        "pair" => Some(Sense::Pair),
        "vague" => Some(Sense::Vague),
        _ if name.ends_with(|c: char| c.is_ascii_alphabetic()) => {
            name.trim_end_matches(|c: char| c.is_ascii_alphabetic()).parse().ok().map(Sense::Ordinal)
        }
        _ => name.parse().ok().map(Sense::Cardinal),
    }
}

fn unit(name: &str) -> Option<Sense> {
    Unit::named(name).map(Sense::Unit)
}

/// A variant of one of the contract's enums by its written name.
fn contract<T: serde::de::DeserializeOwned>(name: &str) -> Option<T> {
    serde_json::from_value(serde_json::Value::String(name.to_owned())).ok()
}

fn food(name: &str) -> Option<Sense> {
    contract::<Food>(name).map(Sense::Food)
}

fn matter(name: &str) -> Option<Sense> {
    Some(Sense::Matter(match name {
        "scraps" => Matter::Scraps,
        "bran" => Matter::Bran,
        "liquid" => Matter::Liquid,
        "soil" => Matter::Soil,
        "water" => Matter::Water,
        "cleaner" => Matter::Cleaner,
        "bin" => Matter::Bin,
        "batch" => Matter::Batch,
        "plot" => Matter::Plot,
        "lid" => Matter::Lid,
        "tap" => Matter::Tap,
        "digest" => Matter::Digest,
        "hours" => Matter::Hours,
        "zone" => Matter::Zone,
        "system" => Matter::System,
        _ => return None,
    }))
}

fn act(name: &str) -> Option<Sense> {
    act_named(name).map(|act| Sense::Verb(act, Forms::BASE))
}

fn act_named(name: &str) -> Option<Act> {
    Some(match name {
        "add" => Act::Add,
        "sprinkle" => Act::Sprinkle,
        "drain" => Act::Drain,
        "start" => Act::Start,
        "seal" => Act::Seal,
        "tape" => Act::Tape,
        "check" => Act::Check,
        "look" => Act::Look,
        "open" => Act::Open,
        "bury" => Act::Bury,
        "discard" => Act::Discard,
        "plant" => Act::Plant,
        "clean" => Act::Clean,
        "make" => Act::Make,
        "buy" => Act::Buy,
        "remove" => Act::Remove,
        "hold" => Act::Hold,
        "call" => Act::Call,
        "smell" => Act::Smell,
        "pour" => Act::Pour,
        "give" => Act::Give,
        "go" => Act::Go,
        "get" => Act::Get,
        "take" => Act::Take,
        "use" => Act::Use,
        "water" => Act::Water,
        "dilute" => Act::Dilute,
        "fill" => Act::Fill,
        "run" => Act::Run,
        "mean" => Act::Mean,
        "undo" => Act::Undo,
        "skip" => Act::Skip,
        "remind" => Act::Remind,
        "move" => Act::Move,
        "finish" => Act::Finish,
        "show" => Act::Show,
        "set" => Act::Set,
        "save" => Act::Save,
        "say" => Act::Say,
        "read" => Act::Read,
        "cook" => Act::Cook,
        _ => return None,
    })
}

fn time(name: &str) -> Option<Sense> {
    Some(Sense::Time(match name {
        "today" => TimeWord::Day(0),
        "yesterday" => TimeWord::Day(-1),
        "tomorrow" => TimeWord::Day(1),
        "eve_before" => TimeWord::Day(-2),
        "after_tomorrow" => TimeWord::Day(2),
        "tonight" => TimeWord::Tonight,
        "last_night" => TimeWord::LastNight,
        "midnight" => TimeWord::Midnight,
        "now" => TimeWord::Now,
        "vague" => TimeWord::Vague,
        "old" => TimeWord::Old,
        "earlier" => TimeWord::Earlier,
        "ago" => TimeWord::Ago,
        "last" => TimeWord::Last,
        "this" => TimeWord::This,
        "next" => TimeWord::Next,
        "am" => TimeWord::Am,
        "pm" => TimeWord::Pm,
        "oclock" => TimeWord::Oclock,
        "past" => TimeWord::Past,
        "to" => TimeWord::To,
        "until" => TimeWord::Until,
        "since" => TimeWord::Since,
        _ => return compound_time(name),
    }))
}

/// `part 12:30`, `unit hour`, `feast 12-25`, weekdays and months by their short names.
fn compound_time(name: &str) -> Option<Sense> {
    if let Some(part) = name.strip_prefix("part ") {
        let (hour, minute) = part.split_once(':').unwrap_or((part, "0"));
        return Some(Sense::Time(TimeWord::Part(hour.parse().ok()?, minute.parse().ok()?)));
    }
    if let Some(feast) = name.strip_prefix("feast ") {
        let (month, day) = feast.split_once('-')?;
        return Some(Sense::Time(TimeWord::Feast(month.parse().ok()?, day.parse().ok()?)));
    }
    if let Some(unit) = name.strip_prefix("unit ") {
        return Some(Sense::Time(TimeWord::Unit(match unit {
            "second" => TimeUnit::Second,
            "minute" => TimeUnit::Minute,
            "hour" => TimeUnit::Hour,
            "day" => TimeUnit::Day,
            "week" => TimeUnit::Week,
            "fortnight" => TimeUnit::Fortnight,
            "month" => TimeUnit::Month,
            "year" => TimeUnit::Year,
            "night" => TimeUnit::Night,
            _ => return None,
        })));
    }
    if let Ok(day) = name.parse::<Weekday>() {
        return Some(Sense::Time(TimeWord::Weekday(day)));
    }
    name.parse::<chrono::Month>().ok().map(|month| Sense::Time(TimeWord::Month(month.number_from_month())))
}

fn state(name: &str) -> Option<Sense> {
    let (dimension, value) = name.split_once(' ').unwrap_or((name, ""));
    Some(match dimension {
        "smell" => Sense::Smell(contract::<Smell>(value)?),
        "smell_noun" => Sense::SmellNoun,
        "mould_noun" => Sense::MouldNoun,
        "colour" => Sense::Colour(contract::<Mould>(value)?),
        "moisture" => Sense::Moisture(contract::<Moisture>(value)?),
        "pests" => Sense::Pests,
        "lid" => Sense::Lid(contract::<Lid>(value)?),
        "level" => Sense::Level(value.parse().ok()?),
        "use" => Sense::Use(contract::<Use>(value)?),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_data_is_understood() {
        for file in &FILES {
            for (name, form) in lines(file.text) {
                assert!(!widened(file, name, form).is_empty(), "{name}: {form}");
            }
        }
    }
}
