//! Forms of verbs: regular ones by rule, irregular ones as the data gives them.

use super::Forms;

/// Expands a data entry (`add`, or `put/puts/put/put/putting`) to its forms.
pub(super) fn forms(entry: &str) -> Vec<(String, Forms)> {
    let parts: Vec<&str> = entry.split('/').map(str::trim).collect();
    let given: Vec<String> =
        if parts.len() == 1 { regular(parts[0]) } else { parts.iter().map(|&p| p.to_owned()).collect() };
    let marks = [Forms::BASE, Forms::THIRD, Forms::PAST, Forms::PARTICIPLE, Forms::ING];
    let mut out: Vec<(String, Forms)> = Vec::with_capacity(5);
    for (form, mark) in given.into_iter().zip(marks) {
        match out.iter_mut().find(|(known, _)| *known == form) {
            Some((_, marks)) => *marks = marks.with(mark),
            None if !form.is_empty() => out.push((form, mark)),
            None => {}
        }
    }
    out
}

fn regular(base: &str) -> Vec<String> {
    let (stem, past, ing) = if let Some(stem) = base.strip_suffix('e') {
        (
            base.to_owned(),
            format!("{stem}ed"),
            if base.ends_with("ee") { format!("{base}ing") } else { format!("{stem}ing") },
        )
    } else if let Some(stem) = base.strip_suffix('y').filter(|stem| !stem.ends_with(['a', 'e', 'o'])) {
        (format!("{stem}ie"), format!("{stem}ied"), format!("{base}ing"))
    } else if doubles(base) {
        let last = &base[base.len() - 1..];
        (base.to_owned(), format!("{base}{last}ed"), format!("{base}{last}ing"))
    } else {
        (base.to_owned(), format!("{base}ed"), format!("{base}ing"))
    };
    let third = if ["s", "x", "z", "ch", "sh"].iter().any(|tail| stem.ends_with(tail)) {
        format!("{stem}es")
    } else {
        format!("{stem}s")
    };
    vec![base.to_owned(), third, past.clone(), past, ing]
}

/// Short verbs ending in consonant, vowel, consonant double the last letter.
fn doubles(base: &str) -> bool {
    let bytes = base.as_bytes();
    let vowel = |b: u8| matches!(b, b'a' | b'e' | b'i' | b'o' | b'u');
    match bytes {
        [.., a, b, c] => {
            let syllables = bytes.windows(2).filter(|pair| vowel(pair[0]) && !vowel(pair[1])).count();
            syllables == 1
                && !vowel(*c)
                && vowel(*b)
                && (!vowel(*a) || (*a == b'u' && bytes.first() == Some(&b's')))
                && !matches!(c, b'w' | b'x' | b'y')
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pasts(base: &str) -> String {
        regular(base)[2].clone()
    }

    #[test]
    fn regular_forms_follow_the_rules_of_spelling() {
        for (base, past) in [
            ("add", "added"),
            ("tip", "tipped"),
            ("drain", "drained"),
            ("seal", "sealed"),
            ("place", "placed"),
            ("empty", "emptied"),
            ("scrub", "scrubbed"),
            ("deposit", "deposited"),
            ("squish", "squished"),
        ] {
            assert_eq!(pasts(base), past);
        }
        assert_eq!(regular("push")[1], "pushes");
        assert_eq!(regular("empty")[1], "empties");
    }
}
