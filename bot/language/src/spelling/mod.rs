//! Misspelt words: the term nearest by edit distance, bounded by the length of the word.

/// How many slips a word of that many letters may have.
pub(crate) fn slips_allowed(letters: usize) -> usize {
    match letters {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    }
}

/// The letters a word has, as a set.
pub(crate) fn letters(word: &str) -> u32 {
    word.bytes().fold(0, |set, b| set | 1 << (b.wrapping_sub(b'a') & 31))
}

/// The terms nearest to `word` within the slips its length allows; more than one where they are equally near.
pub(crate) fn nearest<'t>(word: &str, terms: impl Iterator<Item = &'t str>) -> Vec<&'t str> {
    let typed: Vec<char> = word.chars().collect();
    let mut allowed = slips_allowed(typed.len());
    let (set, mut best) = (letters(word), Vec::new());
    if allowed == 0 {
        return best;
    }
    for term in terms {
        if term.len().abs_diff(word.len()) > allowed
            || (letters(term) ^ set).count_ones() as usize > 2 * allowed
        {
            continue;
        }
        // People get the first letter right; swapping the first two is the exception.
        let same_start = term.as_bytes()[0] == word.as_bytes()[0];
        let swapped = term.len() > 1
            && term.as_bytes()[1] == word.as_bytes()[0]
            && word.as_bytes().get(1) == Some(&term.as_bytes()[0]);
        if !same_start && !swapped {
            continue;
        }
        // Four letters are too few to guess one that is wrong; a letter left out or two swapped are slips.
        let replaced = typed.len() == 4 && term.len() == 4 && letters(term) != set;
        if replaced || typed.len() == 4 && term.len() < 4 {
            continue;
        }
        let slips = distance(&typed, term, allowed);
        if slips < allowed {
            allowed = slips;
            best.clear();
        }
        if slips == allowed {
            best.push(term);
        }
    }
    best
}

/// Edit distance with swaps of neighbours (optimal string alignment), or `limit + 1` where it is more than `limit`.
pub(crate) fn distance(typed: &[char], term: &str, limit: usize) -> usize {
    let term: Vec<char> = term.chars().collect();
    if typed.len().abs_diff(term.len()) > limit {
        return limit + 1;
    }
    let width = term.len() + 1;
    let mut rows = [vec![0; width], (0..width).collect::<Vec<usize>>(), vec![0; width]];
    for (i, a) in typed.iter().enumerate() {
        let [older, above, here] = &mut rows;
        here[0] = i + 1;
        for (j, b) in term.iter().enumerate() {
            let mut cost = (above[j] + usize::from(a != b)).min(above[j + 1] + 1).min(here[j] + 1);
            if i > 0 && j > 0 && *a == term[j - 1] && typed[i - 1] == *b {
                cost = cost.min(older[j - 1] + 1);
            }
            here[j + 1] = cost;
        }
        if here.iter().min().is_some_and(|least| *least > limit) {
            return limit + 1;
        }
        rows.rotate_left(1);
    }
    rows[1][term.len()].min(limit + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distance_counts_swaps_once() {
        let of = |a: &str, b: &str| distance(&a.chars().collect::<Vec<_>>(), b, 3);
        assert_eq!(of("drianed", "drained"), 1);
        assert_eq!(of("tempreture", "temperature"), 2);
        assert_eq!(of("gren", "green"), 1);
        assert_eq!(of("same", "same"), 0);
    }

    #[test]
    fn short_words_are_left_alone() {
        assert!(nearest("bed", ["bad"].into_iter()).is_empty());
    }
}
