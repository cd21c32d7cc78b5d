//! Letters without case and accents, so that `Onca` finds the bin `onça`.

/// Pushes what stands in a text as a token: quotation marks of any kind are apostrophes.
pub(super) fn push_token(out: &mut String, typed: &str) {
    for c in typed.chars() {
        if matches!(c, '’' | '‘') { out.push('\'') } else { push_folded(out, c) }
    }
}

/// Pushes `c` in lower case without its accent.
fn push_folded(out: &mut String, c: char) {
    if c.is_ascii() {
        out.push(c.to_ascii_lowercase());
        return;
    }
    for c in c.to_lowercase() {
        match c {
            'à'..='å' | 'ā' | 'ă' | 'ą' => out.push('a'),
            'ç' | 'ć' | 'č' => out.push('c'),
            'è'..='ë' | 'ē' | 'ę' | 'ě' => out.push('e'),
            'ì'..='ï' | 'ī' | 'ı' => out.push('i'),
            'ñ' | 'ń' | 'ň' => out.push('n'),
            'ò'..='ö' | 'ø' | 'ō' | 'ő' => out.push('o'),
            'ù'..='ü' | 'ū' | 'ů' | 'ű' => out.push('u'),
            'ý' | 'ÿ' => out.push('y'),
            'š' | 'ś' | 'ş' => out.push('s'),
            'ž' | 'ź' | 'ż' => out.push('z'),
            'ł' => out.push('l'),
            'ß' => out.push_str("ss"),
            'æ' => out.push_str("ae"),
            'œ' => out.push_str("oe"),
            '²' => out.push('2'),
            // Combining marks belong to the letter before them.
            '\u{300}'..='\u{36f}' => {}
            other => out.push(other),
        }
    }
}

/// A whole text in lower case without accents.
pub(crate) fn folded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    text.chars().for_each(|c| push_folded(&mut out, c));
    out
}
