//! Cuts a text into tokens.

use super::fold::push_token;
use super::numeral::{numeral, vulgar};
use super::token::{Kind, Stop, Text, Token};

/// Cuts `typed` into tokens; what they mean is looked up later.
pub(crate) fn tokenise(typed: &str) -> Text<'_> {
    let mut text = Text {
        typed: "",
        folded: String::with_capacity(typed.len()),
        tokens: Vec::with_capacity(typed.len() / 4 + 2),
    };
    tokenise_next(&mut text, typed);
    text
}

/// Cuts another text: its tokens take the place of those before, its letters come behind theirs.
pub(crate) fn tokenise_next<'t>(text: &mut Text<'t>, typed: &'t str) {
    text.typed = typed;
    text.tokens.clear();
    cut(text);
    fold(text);
}

fn cut(text: &mut Text<'_>) {
    let typed = text.typed;
    let mut at = 0;
    while let Some(c) = typed[at..].chars().next() {
        // Of a part of a message most is blank.
        if c == ' ' {
            at += 1;
            continue;
        }
        at = if c.is_ascii_digit() || (c == '.' && opens_decimal(typed, at)) {
            numeral_token(text, at)
        } else if let Some(share) = vulgar(c) {
            push(text, at, at + c.len_utf8(), Kind::Number(share))
        } else if c.is_alphabetic() {
            word_token(text, at)
        } else {
            sign_token(text, at, c)
        };
    }
}

/// Gives the tokens their words in lower case without accents.
fn fold(text: &mut Text<'_>) {
    let behind = text.folded.len();
    if text.typed.is_ascii() {
        text.folded.push_str(text.typed);
        text.folded[behind..].make_ascii_lowercase();
        text.tokens.iter_mut().for_each(|token| token.low = (behind + token.start, behind + token.end));
        return;
    }
    for token in &mut text.tokens {
        let start = text.folded.len();
        push_token(&mut text.folded, &text.typed[token.start..token.end]);
        token.low = (start, text.folded.len());
    }
}

fn opens_decimal(typed: &str, at: usize) -> bool {
    let bytes = typed.as_bytes();
    bytes.get(at + 1).is_some_and(u8::is_ascii_digit) && (at == 0 || !bytes[at - 1].is_ascii_alphanumeric())
}

/// Adds a token over the bytes `start..end` and returns `end`.
fn push(text: &mut Text<'_>, start: usize, end: usize, kind: Kind) -> usize {
    let mut token = Token::new(start, end, kind);
    // A line's end parts as spaces do.
    let ends_line = |last: &Token| text.typed[last.start..last.end].starts_with(['\n', '\r']);
    token.glued = text.tokens.last().is_some_and(|last| last.end == start && !ends_line(last));
    token.capital = text.typed[start..].chars().next().is_some_and(char::is_uppercase);
    text.tokens.push(token);
    end
}

fn numeral_token(text: &mut Text<'_>, at: usize) -> usize {
    let typed = text.typed;
    if typed.as_bytes()[at] == b'.' {
        let digits = typed[at + 1..].bytes().take_while(u8::is_ascii_digit).count();
        let value = format!("0{}", &typed[at..=at + digits]).parse().unwrap_or(0.0);
        return push(text, at, at + 1 + digits, Kind::Number(value));
    }
    let (kind, length) = numeral(&typed[at..]);
    push(text, at, at + length, kind)
}

/// A word; `'s`, `'ll` and their like are tokens of their own, `n't` stays.
fn word_token(text: &mut Text<'_>, at: usize) -> usize {
    let typed = text.typed;
    let rest = &typed[at..];
    // `this a.m.`: no stops
    if let [b'a' | b'A' | b'p' | b'P', b'.', b'm' | b'M', after @ ..] = rest.as_bytes()
        && !after.first().is_some_and(u8::is_ascii_alphanumeric)
    {
        return push(text, at, at + 3, Kind::Word) + usize::from(after.first() == Some(&b'.'));
    }
    // Plain letters need no decoding, and few words have others.
    let plain = rest.bytes().take_while(u8::is_ascii_alphabetic).count();
    let mut end = plain;
    let mut chars = rest[plain..].char_indices().map(|(offset, c)| (plain + offset, c)).peekable();
    while let Some((offset, c)) = chars.next() {
        let apostrophe = matches!(c, '\'' | '’' | '‘');
        let joins = apostrophe && end > 0 && chars.peek().is_some_and(|(_, next)| next.is_alphabetic());
        if !(c.is_alphabetic() || is_combining(c) || joins) {
            break;
        }
        // `d'you`, `t'sink`
        let clipped = rest[..offset].eq_ignore_ascii_case("t")
            || rest[..offset].eq_ignore_ascii_case("d") && rest[offset + c.len_utf8()..].starts_with('y');
        if joins && clipped {
            return push(text, at, at + offset + c.len_utf8(), Kind::Word);
        }
        if joins && let Some(length) = contraction(&rest[offset + c.len_utf8()..]) {
            let stem = push(text, at, at + offset, Kind::Word);
            return push(text, stem, stem + c.len_utf8() + length, Kind::Word);
        }
        end = offset + c.len_utf8();
    }
    // `m2`, `ft²`
    if matches!(&rest[..end], "m" | "ft" | "cm" | "M")
        && let Some(square) = rest[end..].chars().next().filter(|c| matches!(c, '2' | '²'))
    {
        end += square.len_utf8();
    }
    let end = push(text, at, at + end, Kind::Word);
    // `9 fl. oz.`: the point of a shortened word, and no end.
    let shortened = typed[at..end].eq_ignore_ascii_case("fl") && typed[end..].starts_with('.');
    end + usize::from(shortened)
}

fn is_combining(c: char) -> bool {
    ('\u{300}'..='\u{36f}').contains(&c)
}

/// The length of a contraction's tail, where `rest` is one and then no letter more.
fn contraction(rest: &str) -> Option<usize> {
    let length = rest.chars().take_while(|c| c.is_alphabetic()).map(char::len_utf8).sum();
    let tails = ["s", "ll", "m", "re", "ve", "d"];
    tails.iter().any(|tail| rest[..length].eq_ignore_ascii_case(tail)).then_some(length)
}

fn sign_token(text: &mut Text<'_>, at: usize, c: char) -> usize {
    let end = at + c.len_utf8();
    if c == '\n' || c == '\r' {
        return push(text, at, end, Kind::Stop(Stop::Full));
    }
    if c.is_whitespace()
        || matches!(c, '\u{200b}'..='\u{200d}' | '\u{fe0e}' | '\u{fe0f}' | '\u{feff}' | '\u{1f3fb}'..='\u{1f3ff}' | '*' | '_' | '`')
    {
        return end;
    }
    // `a pound an' a half`: the mark of a letter left out, where nothing is quoted
    let word = text.typed[..at].rsplit([' ', '(']).next().unwrap_or_default();
    let quoted = || text.typed[..at].split([' ', '(']).any(|word| word.starts_with(['\'', '‘', '’']));
    let clipped = matches!(c, '\'' | '’')
        && word.len() > 1
        && word.chars().all(char::is_alphabetic)
        && text.typed[end..].starts_with(' ')
        && !quoted();
    if clipped {
        return end;
    }
    // `3's lid`, of the bin called 3
    let of_number = matches!(c, '\'' | '’') && text.typed[..at].ends_with(|c: char| c.is_ascii_digit());
    if of_number && let Some(length) = contraction(&text.typed[end..]) {
        return push(text, at, end + length, Kind::Word);
    }
    // `2 l -> blue`
    if matches!(c, '-' | '=') && text.typed[end..].starts_with('>') {
        return push(text, at, end + 1, Kind::Sign('>'));
    }
    if c == '/' && parts_list(&text.typed[..at], &text.typed[end..]) {
        return push(text, at, end, Kind::Stop(Stop::Pause));
    }
    let kind = match c {
        '.' | '!' | '…' => Kind::Stop(Stop::Full),
        '?' => Kind::Stop(Stop::Question),
        ',' | ';' | ':' | '–' | '—' | '(' | ')' | '[' | ']' | '|' => Kind::Stop(Stop::Pause),
        '-' | '\u{2010}' | '\u{2011}' | '\u{2212}' => Kind::Sign('-'),
        '×' => Kind::Sign('x'),
        '→' | '⇒' | '➡' => Kind::Sign('>'),
        'º' => Kind::Sign('°'),
        '″' | '“' | '”' => Kind::Sign('"'),
        '′' | '’' | '‘' => Kind::Sign('\''),
        c if c.is_ascii() || c < '\u{2100}' => Kind::Sign(c),
        // An emoji ends what was said before it.
        _ => Kind::Stop(Stop::Pause),
    };
    push(text, at, end, kind)
}

/// `2 litres / 30 ml bran`: a slash with room around it parts what is listed.
fn parts_list(before: &str, after: &str) -> bool {
    let apart = |c: Option<char>| c.is_some_and(char::is_whitespace);
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    // `1 / 2 cup`
    let fraction = digit(before.trim_end().chars().next_back()) && digit(after.trim_start().chars().next());
    apart(before.chars().next_back()) && apart(after.chars().next()) && !fraction
}
