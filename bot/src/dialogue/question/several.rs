//! The answer to how much came out of each of several bins, where it tells all at once.

use branbell_scheduler::state::Room;

use super::{Asked, GAP, afterwards, asking, completed, is_an_amount};
use crate::dialogue::fill::Lacks;
use crate::dialogue::{Decision, Occasion};

/// What `100 ml each` and `150 and 100 ml` come to; our question once more where there are not as many amounts as bins, for
/// whose each is would be a guess. None for one amount, which is that of the bin that was asked about.
pub(super) fn for_each(room: &Room, on: Occasion<'_>, asked: &Asked, answer: &str) -> Option<Decision> {
    if asked.then.is_empty() {
        return None;
    }
    let others = asked.then.iter().filter(|seq| room.fact(**seq).is_some());
    let sentences: Vec<String> = (asked.sentences.iter().take(1).cloned())
        .chain(others.flat_map(|seq| afterwards(room, on, Lacks::Drained, *seq).sentences))
        .collect();
    let amounts = match without_each(on, answer) {
        Some(amount) => vec![amount.to_owned(); sentences.len()],
        None => amounts(on, answer)?,
    };
    if !amounts.iter().all(|amount| is_an_amount(room, on, amount)) {
        return None;
    }
    let filled = sentences.iter().zip(&amounts).map(|(sentence, amount)| sentence.replacen(GAP, amount, 1));
    let replaces = [asked.replaces.clone(), asked.then.clone()].concat();
    let whole = Asked { replaces, then: Vec::new(), ..asked.clone() };
    let told = (amounts.len() == sentences.len())
        .then(|| completed(room, on, &whole, &filled.collect::<Vec<_>>().join(". ")))
        .flatten();
    told.or_else(|| Some(asking(asked.clone())))
}

/// The amount that is meant of each bin.
fn without_each<'t>(on: Occasion<'_>, answer: &'t str) -> Option<&'t str> {
    let words = on.voice.word("each-words");
    let mut ends = words.split(", ").filter_map(|each| answer.strip_suffix(each)?.strip_suffix(' '));
    ends.next().map(str::trim)
}

/// Several amounts, in the order in which they are told; a bare number is in the unit of the last.
fn amounts(on: Occasion<'_>, answer: &str) -> Option<Vec<String>> {
    let and = on.voice.word("and-words");
    let listed = and.split(", ").fold(answer.to_owned(), |list, and| list.replace(&format!(" {and} "), ", "));
    let parts: Vec<&str> = listed.split(", ").map(str::trim).filter(|part| !part.is_empty()).collect();
    let is_number = |part: &str| part.chars().all(|c| c.is_ascii_digit() || c == '.');
    let unit = parts.last()?.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.');
    // `1 and 1/2 cups` is one amount.
    if parts.len() < 2 || unit.starts_with('/') {
        return None;
    }
    let with_unit = |part: &&str| if is_number(part) { format!("{part}{unit}") } else { (*part).to_owned() };
    Some(parts.iter().map(with_unit).collect())
}
