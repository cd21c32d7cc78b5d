//! Numerals in digits: decimals with point or comma, thousands, clock faces, dates, fractions.

use super::token::Kind;

/// Reads the numeral at the start of `text` (which begins with a digit, or a point and a digit):
/// its kind and its length in bytes.
pub(super) fn numeral(text: &str) -> (Kind, usize) {
    let bytes = text.as_bytes();
    date(text)
        .or_else(|| clock(bytes))
        .or_else(|| pair(bytes))
        .or_else(|| ordinal(bytes))
        .unwrap_or_else(|| decimal(text))
}

fn digits(bytes: &[u8], from: usize) -> usize {
    bytes[from.min(bytes.len())..].iter().take_while(|b| b.is_ascii_digit()).count()
}

fn value(bytes: &[u8], from: usize, length: usize) -> u32 {
    bytes[from..from + length]
        .iter()
        .fold(0, |sum: u32, b| sum.saturating_mul(10).saturating_add(u32::from(b - b'0')))
}

/// `2026-03-14`, `14/3/2026`, `3.14.26`: three groups with one sign, as written.
fn date(text: &str) -> Option<(Kind, usize)> {
    let bytes = text.as_bytes();
    let first = digits(bytes, 0);
    let sign = *bytes.get(first)?;
    if !(1..=4).contains(&first) || first == 3 || !matches!(sign, b'-' | b'/' | b'.') {
        return None;
    }
    let second = digits(bytes, first + 1);
    let third_at = first + 1 + second + 1;
    if !(1..=2).contains(&second) || bytes.get(third_at - 1) != Some(&sign) {
        return None;
    }
    let third = digits(bytes, third_at);
    let plausible =
        if first == 4 { (1..=2).contains(&third) } else { first <= 2 && (third == 2 || third == 4) };
    let end = third_at + third;
    let alone = !bytes.get(end).is_some_and(u8::is_ascii_digit);
    (plausible && alone).then(|| {
        (
            Kind::Date(
                value(bytes, 0, first),
                value(bytes, first + 1, second),
                value(bytes, third_at, third),
            ),
            end,
        )
    })
}

/// `18:30`, `7.30pm`, `18h30`.
fn clock(bytes: &[u8]) -> Option<(Kind, usize)> {
    let first = digits(bytes, 0);
    let sign = *bytes.get(first)?;
    if !(1..=2).contains(&first)
        || !matches!(sign, b':' | b'.' | b'h' | b'H')
        || digits(bytes, first + 1) != 2
    {
        return None;
    }
    let (hour, minute, end) = (value(bytes, 0, first), value(bytes, first + 1, 2), first + 3);
    let half = half_of_day(&bytes[end..]);
    // `at 25:00`: meant for a clock, though none shows it
    let impossible = hour > 24 || minute > 59;
    if impossible && !(sign == b':' && first == 2) || (sign == b'.' && half.is_none()) {
        return None;
    }
    if impossible {
        return Some((Kind::Clock { hour, minute, certain: true }, end));
    }
    let certain = hour > 12 || hour == 0 || bytes[0] == b'0' || matches!(sign, b'h' | b'H');
    Some(match half {
        Some((shift, length)) if (1..=12).contains(&hour) => {
            (Kind::Clock { hour: hour % 12 + shift, minute, certain: true }, end + length)
        }
        _ => (Kind::Clock { hour: hour % 24, minute, certain }, end),
    })
}

/// `am`, `p.m.` and the like right after a clock face: hours to add, and length.
fn half_of_day(rest: &[u8]) -> Option<(u32, usize)> {
    let space = usize::from(rest.first() == Some(&b' '));
    let letter = rest.get(space)?.to_ascii_lowercase();
    let shift = match letter {
        b'a' => 0,
        b'p' => 12,
        _ => return None,
    };
    let mut end = space + 1;
    let dotted = rest.get(end) == Some(&b'.');
    end += usize::from(dotted);
    if !rest.get(end)?.eq_ignore_ascii_case(&b'm') {
        return None;
    }
    end += 1;
    end += usize::from(dotted && rest.get(end) == Some(&b'.'));
    (!rest.get(end).is_some_and(u8::is_ascii_alphanumeric)).then_some((shift, end))
}

/// `1/2`, `3/14`.
fn pair(bytes: &[u8]) -> Option<(Kind, usize)> {
    let first = digits(bytes, 0);
    let slash = match bytes.get(first..)? {
        [b'/', ..] => 1,
        // The fraction slash, U+2044.
        [0xe2, 0x81, 0x84, ..] => 3,
        _ => return None,
    };
    let second = digits(bytes, first + slash);
    ((1..=3).contains(&first) && (1..=3).contains(&second)).then(|| {
        (Kind::Pair(value(bytes, 0, first), value(bytes, first + slash, second)), first + slash + second)
    })
}

/// `3rd`
fn ordinal(bytes: &[u8]) -> Option<(Kind, usize)> {
    let first = digits(bytes, 0);
    let suffix = [*bytes.get(first)?, *bytes.get(first + 1)?].map(|b| b.to_ascii_lowercase());
    let ends = !bytes.get(first + 2).is_some_and(u8::is_ascii_alphanumeric);
    (first <= 3 && ends && matches!(&suffix, b"st" | b"nd" | b"rd" | b"th"))
        .then(|| (Kind::Ordinal(value(bytes, 0, first)), first + 2))
}

/// `3`, `3.5`, `3,5`, `1,200`, `1.2e3`, `2½`.
fn decimal(text: &str) -> (Kind, usize) {
    let bytes = text.as_bytes();
    let mut end = digits(bytes, 0);
    let mut clean = text[..end].to_owned();
    let whole = end;
    while bytes.get(end) == Some(&b',')
        && (1..=3).contains(&whole)
        && bytes[0] != b'0'
        && digits(bytes, end + 1) == 3
    {
        clean.push_str(&text[end + 1..end + 4]);
        end += 4;
    }
    let grouped = end > whole;
    let mark = bytes.get(end).copied();
    let part = digits(bytes, end + 1);
    if part > 0 && (mark == Some(b'.') || (mark == Some(b',') && !grouped)) {
        clean.push('.');
        clean.push_str(&text[end + 1..=end + part]);
        end += 1 + part;
    }
    let exponent = digits(bytes, end + 1);
    if matches!(bytes.get(end), Some(b'e' | b'E'))
        && (1..=2).contains(&exponent)
        && !bytes.get(end + 1 + exponent).is_some_and(u8::is_ascii_alphanumeric)
    {
        clean.push_str(&text[end..=end + exponent]);
        end += 1 + exponent;
    }
    let mut number: f64 = clean.parse().unwrap_or(0.0);
    if let Some((share, length)) = text[end..].chars().next().and_then(|c| Some((vulgar(c)?, c.len_utf8()))) {
        number += share;
        end += length;
    }
    (Kind::Number(number), end)
}

/// The vulgar fractions of Unicode.
pub(super) fn vulgar(c: char) -> Option<f64> {
    Some(match c {
        '½' => 1.0 / 2.0,
        '⅓' => 1.0 / 3.0,
        '⅔' => 2.0 / 3.0,
        '¼' => 1.0 / 4.0,
        '¾' => 3.0 / 4.0,
        '⅕' => 1.0 / 5.0,
        '⅖' => 2.0 / 5.0,
        '⅗' => 3.0 / 5.0,
        '⅘' => 4.0 / 5.0,
        '⅙' => 1.0 / 6.0,
        '⅚' => 5.0 / 6.0,
        '⅛' => 1.0 / 8.0,
        '⅜' => 3.0 / 8.0,
        '⅝' => 5.0 / 8.0,
        '⅞' => 7.0 / 8.0,
        _ => return None,
    })
}
