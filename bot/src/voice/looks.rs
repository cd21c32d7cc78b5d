//! Texts as they look: what shows nothing, or looks like something else, makes no other name of a bin.

/// Whether a character shows nothing, turns what stands around it, or is a mark of our own. Source: Unicode 16,
/// `DerivedCoreProperties.txt`, `Default_Ignorable_Code_Point`, without the variation selectors, which emoji need.
pub(super) fn is_hidden(c: char) -> bool {
    matches!(c,
        '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{115F}' | '\u{1160}' | '\u{17B4}' | '\u{17B5}' | '\u{180B}'..='\u{180F}'
        | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{3164}'
        | '\u{E000}'..='\u{F8FF}' | '\u{FEFF}' | '\u{FFA0}' | '\u{FFF0}'..='\u{FFFB}' | '\u{1BCA0}'..='\u{1BCA3}'
        | '\u{1D173}'..='\u{1D17A}' | '\u{E0000}'..='\u{E0FFF}')
}

/// A text without what cannot be seen in it, and with its words in Latin letters where each of their letters is one or looks
/// like one: with a Cyrillic `е`, `grеen` is the bin `green`.
pub(crate) fn as_it_looks(text: &str) -> String {
    let mut looks = String::with_capacity(text.len());
    let mut word = String::new();
    for c in text.chars().filter(|c| !is_hidden(*c) && (!c.is_control() || c.is_whitespace())) {
        let is_selector = matches!(c, '\u{FE00}'..='\u{FE0F}');
        if c.is_alphabetic() {
            word.push(c);
        } else if !is_selector || word.is_empty() {
            push_word(&mut looks, &mut word);
            looks.push(c);
        }
    }
    push_word(&mut looks, &mut word);
    looks
}

fn push_word(looks: &mut String, word: &mut String) {
    let before = looks.len();
    for c in word.chars() {
        match latin(c) {
            Some(latin) => looks.push(latin),
            None => {
                looks.truncate(before);
                looks.push_str(word);
                break;
            }
        }
    }
    word.clear();
}

/// The Latin letter that this one is or looks like. Source: Unicode Technical Standard 39, `confusables.txt`: the Cyrillic,
/// Greek and Armenian letters that stand for a single Latin one.
fn latin(c: char) -> Option<char> {
    const ALIKE: [(&str, &str); 6] = [
        ("аеорсухѕіјԁԛԝһӏ", "aeopcyxsijdqwhl"),
        ("АВЕКМНОРСТУХЅІЈԚԜҮ", "ABEKMHOPCTYXSIJQWY"),
        ("οναιρυ", "ovaipu"),
        ("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ", "ABEZHIKMNOPTYX"),
        ("օոսհցզ", "onuhgq"),
        ("ՕՍՏ", "OUS"),
    ];
    if c < '\u{370}' {
        return Some(c);
    }
    let found = |(others, latin): &(&str, &str)| {
        others.chars().position(|o| o == c).and_then(|at| latin.chars().nth(at))
    };
    ALIKE.iter().find_map(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_looks_alike_is_one_name() {
        for alike in [
            "gr\u{435}en",
            "gr\u{AD}een",
            "\u{2066}gr\u{200B}een\u{2069}",
            "green\u{FE0F}",
            "gr\u{2060}een\u{E0041}",
            "gr\0een",
        ] {
            assert_eq!(as_it_looks(alike), "green", "{alike:?}");
        }
    }

    #[test]
    fn other_words_stay_as_they_are() {
        for text in ["бочка", "Kübel für Ölreste", "κάδος", "♻\u{FE0F} 3 l", "added 2½ l\nand 1 tbsp", "桶"]
        {
            assert_eq!(as_it_looks(text), text);
        }
    }

    #[test]
    fn each_letter_has_its_like() {
        assert_eq!(as_it_looks("сосо РАТЕ ΤΟΜΑΤΟ"), "coco PATE TOMATO");
    }
}
