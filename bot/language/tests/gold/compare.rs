//! Compares a reading with its gold: facts and asks as multisets, amounts within 1 % (or 2 ml, 2 g), times by the
//! precision of the gold, words without regard to case.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};
use chrono_tz::Tz;
use serde_json::{Map, Value};

/// What came of comparing one message.
#[derive(Debug, Default)]
pub struct Comparison {
    pub differences: Vec<String>,
    /// A fact that is not so, or that has a wrong slot.
    pub wrong_record: bool,
    pub gold_silent: bool,
    pub said_silent: bool,
}

impl Comparison {
    /// Compares what was `said` with the line's gold.
    pub fn of(line: &Value, said: &Value) -> Self {
        let gold = &line["gold"];
        let context = Context::of(line);
        let mut out = Self { gold_silent: silent(gold), said_silent: silent(said), ..Self::default() };
        for (part, name) in [("facts", "kind"), ("asks", "about")] {
            let extra = context.pair(&gold[part], &said[part], name, &mut out.differences);
            out.wrong_record |= part == "facts" && extra;
        }
        let (want, got) = (unclear(gold), unclear(said));
        if want != got {
            out.differences.push(format!("unclear {want:?} -> {got:?}"));
        }
        out
    }

    /// Right in all.
    pub fn right(&self) -> bool {
        self.differences.is_empty()
    }
}

fn unclear(reading: &Value) -> Option<&str> {
    reading["unclear"]["about"].as_str().or_else(|| reading["unclear"].as_str())
}

fn silent(reading: &Value) -> bool {
    let empty = |part: &str| reading[part].as_array().is_none_or(Vec::is_empty);
    empty("facts") && empty("asks") && unclear(reading).is_none()
}

struct Context {
    zone: Tz,
    now: DateTime<FixedOffset>,
}

impl Context {
    fn of(line: &Value) -> Self {
        let now = line["now"].as_str().unwrap();
        Self {
            zone: line["zone"].as_str().unwrap().parse().unwrap(),
            now: DateTime::parse_from_rfc3339(now).unwrap(),
        }
    }

    /// Pairs things of one kind, those that differ least first; true where something was said that is not so.
    fn pair(&self, gold: &Value, said: &Value, name: &str, out: &mut Vec<String>) -> bool {
        let empty = Vec::new();
        let (gold, said) = (gold.as_array().unwrap_or(&empty), said.as_array().unwrap_or(&empty));
        let mut options: Vec<(usize, usize, usize, Vec<String>)> = Vec::new();
        for (i, want) in gold.iter().enumerate() {
            for (j, got) in said.iter().enumerate().filter(|(_, got)| got[name] == want[name]) {
                let differences = self.differences(want, got);
                options.push((differences.len(), i, j, differences));
            }
        }
        options.sort_by_key(|(size, i, j, _)| (*size, *i, *j));
        let (mut used_gold, mut used_said, mut wrong) =
            (vec![false; gold.len()], vec![false; said.len()], false);
        for (size, i, j, differences) in options {
            if used_gold[i] || used_said[j] {
                continue;
            }
            (used_gold[i], used_said[j]) = (true, true);
            if size > 0 {
                wrong = true;
                out.push(format!("~ {}: {}", gold[i][name], differences.join(", ")));
            }
        }
        out.extend(
            gold.iter().zip(&used_gold).filter(|(_, used)| !**used).map(|(want, _)| format!("- {want}")),
        );
        let extra: Vec<String> = said
            .iter()
            .zip(&used_said)
            .filter(|(_, used)| !**used)
            .map(|(got, _)| format!("+ {got}"))
            .collect();
        wrong |= !extra.is_empty();
        out.extend(extra);
        wrong
    }

    /// The slots in which two things of one kind differ.
    fn differences(&self, want: &Value, got: &Value) -> Vec<String> {
        let empty = Map::new();
        let (want, got) = (want.as_object().unwrap_or(&empty), got.as_object().unwrap_or(&empty));
        let precision = want.get("precision").and_then(Value::as_str);
        let mut slots: Vec<&String> = want
            .keys()
            .chain(got.keys())
            .filter(|slot| !matches!(slot.as_str(), "precision" | "kind" | "about"))
            .collect();
        slots.sort();
        slots.dedup();
        let mut out = Vec::new();
        for slot in slots {
            let (mut a, mut b) = (want.get(slot), got.get(slot));
            if let (Some(a), Some(b)) = (a, b)
                && self.same(slot, a, b, precision)
            {
                continue;
            }
            if slot == "at" {
                a = a.filter(|at| !self.near_now(at));
                b = b.filter(|at| !self.near_now(at));
            }
            if a != b {
                out.push(format!("{slot} {a:?} -> {b:?}"));
            }
        }
        out
    }

    fn near_now(&self, at: &Value) -> bool {
        let moment = at.as_str().and_then(|at| DateTime::parse_from_rfc3339(at).ok());
        moment.is_some_and(|moment| (moment - self.now).abs() <= Duration::minutes(2))
    }

    fn same(&self, slot: &str, want: &Value, got: &Value, precision: Option<&str>) -> bool {
        let tolerance = |share: f64, least: f64| match (want.as_f64(), got.as_f64()) {
            (Some(a), Some(b)) => (a - b).abs() <= (a.abs() * share).max(least) + 1e-9,
            _ => false,
        };
        match slot {
            "at" | "until" | "since" => {
                self.same_time(want, got, if slot == "since" { Some("day") } else { precision })
            }
            "ml" | "g" | "capacity_ml" => tolerance(0.01, 2.0),
            "c" => tolerance(0.0, 0.3),
            "fraction" => tolerance(0.0, 0.02),
            "depth_cm" => tolerance(0.01, 0.5),
            "area_m2" => tolerance(0.01, 0.02),
            "minutes" => tolerance(0.0, 1.0),
            _ => match (want, got) {
                (Value::Array(a), Value::Array(b)) => {
                    let sorted = |values: &[Value]| {
                        let mut words: Vec<String> = values.iter().map(Value::to_string).collect();
                        words.sort();
                        words.dedup();
                        words
                    };
                    sorted(a) == sorted(b)
                }
                (Value::String(a), Value::String(b)) => a.trim().to_lowercase() == b.trim().to_lowercase(),
                _ => want == got,
            },
        }
    }

    fn same_time(&self, want: &Value, got: &Value, precision: Option<&str>) -> bool {
        let (Some((a, a_alone)), Some((b, b_alone))) = (self.instant(want), self.instant(got)) else {
            return false;
        };
        if precision == Some("day") || a_alone || b_alone {
            return a.date_naive() == b.date_naive();
        }
        let slack = if precision == Some("part") { Duration::hours(3) } else { Duration::minutes(5) };
        (a - b).abs() <= slack
    }

    /// A time in the room's zone, and whether it is a date alone.
    fn instant(&self, value: &Value) -> Option<(DateTime<Tz>, bool)> {
        let text = value.as_str()?;
        if let Ok(date) = text.parse::<NaiveDate>() {
            let noon = date.and_hms_opt(12, 0, 0)?.and_local_timezone(self.zone).earliest()?;
            return Some((noon, true));
        }
        Some((DateTime::parse_from_rfc3339(text).ok()?.with_timezone(&self.zone), false))
    }
}
