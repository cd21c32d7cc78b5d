//! A text for people: plain where nothing else shows, HTML where it does. The file of texts marks what is strong with
//! `**…**`, and what may be typed as it stands with backticks; inside the program private characters stand for both, which no
//! word of a person can bring in.

use std::fmt;

use super::looks::is_hidden;

const STRONG: char = '\u{E000}';
const WEAK: char = '\u{E001}';
const CODE: char = '\u{E002}';
const END_OF_CODE: char = '\u{E003}';

/// The longest word (a bin's name, say) that is repeated to people.
const LONGEST_WORD: usize = 80;

/// A text for people.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text(String);

impl Text {
    pub(super) fn marked(text: String) -> Self {
        Self(text)
    }

    /// Words that are plain already.
    pub fn of_words(words: &str) -> Self {
        Self(words.to_owned())
    }

    /// Whether there is nothing to say.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Goes on in the same line.
    #[must_use]
    pub fn then(self, next: &Text) -> Self {
        self.joined(next, " ")
    }

    /// Goes on in a line of its own.
    #[must_use]
    pub fn newline(self, next: &Text) -> Self {
        self.joined(next, "\n")
    }

    fn joined(mut self, next: &Text, between: &str) -> Self {
        if !self.is_empty() && !next.is_empty() {
            self.0.push_str(between);
        }
        self.0.push_str(&next.0);
        self
    }

    /// Without marks, but for the backticks.
    pub fn plain(&self) -> String {
        let shown = self.0.chars().filter(|c| !matches!(*c, STRONG | WEAK));
        shown.map(|c| if matches!(c, CODE | END_OF_CODE) { '`' } else { c }).collect()
    }

    /// With all marks but for what is strong: another text, which it is put into, says what is.
    pub(super) fn not_strong(&self) -> String {
        self.0.chars().filter(|c| !matches!(*c, STRONG | WEAK)).collect()
    }

    /// Its strong beginning, which is complete by itself, without a full stop at the end; the first line where nothing is
    /// strong.
    pub fn head(&self) -> String {
        let first_line = self.0.lines().next().unwrap_or_default();
        let strong = first_line.strip_prefix(STRONG).and_then(|rest| rest.split_once(WEAK));
        let head = strong.map_or(first_line, |(strong, _)| strong);
        Text(head.trim_end_matches(['.', ':', ',']).to_owned()).plain()
    }

    /// As HTML, everything escaped that people typed.
    pub fn html(&self) -> String {
        let mut html = String::with_capacity(self.0.len() + 16);
        for c in self.0.chars() {
            match c {
                STRONG => html.push_str("<strong>"),
                WEAK => html.push_str("</strong>"),
                CODE => html.push_str("<code>"),
                END_OF_CODE => html.push_str("</code>"),
                '&' => html.push_str("&amp;"),
                '<' => html.push_str("&lt;"),
                '>' => html.push_str("&gt;"),
                '"' => html.push_str("&quot;"),
                '\n' => html.push_str("<br>"),
                c => html.push(c),
            }
        }
        html
    }
}

impl fmt::Display for Text {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.plain())
    }
}

/// Puts the private characters for the file's `**` and backticks, in turn.
pub(super) fn mark(source: &str) -> String {
    let mut marked = String::with_capacity(source.len());
    for line in source.split_inclusive('\n') {
        if line.starts_with('#') {
            marked.push_str(line);
        } else {
            let strong = in_turn(line, "**", [STRONG, WEAK]);
            marked.push_str(&in_turn(&strong, "`", [CODE, END_OF_CODE]));
        }
    }
    marked
}

fn in_turn(line: &str, sign: &str, marks: [char; 2]) -> String {
    let mut marked = String::with_capacity(line.len());
    for (place, part) in line.split(sign).enumerate() {
        if place > 0 {
            marked.push(marks[(place + 1) % 2]);
        }
        marked.push_str(part);
    }
    marked
}

/// A person's word, made harmless: no marks, no control or direction characters, one line, not endless.
pub(crate) fn tame(word: &str) -> String {
    let plain = word.chars().map(|c| if c.is_whitespace() { ' ' } else { c });
    let plain: String = plain.filter(|c| !c.is_control() && !is_hidden(*c)).take(LONGEST_WORD).collect();
    // A whole-room mention must not come out of a bin's name.
    plain.replace("@room", "@\u{2060}room")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_plain_or_html() {
        let text = Text::marked(mark("**3 l in <b>&green** (9 of 19 l): `undo`\n"));
        assert_eq!(text.plain(), "3 l in <b>&green (9 of 19 l): `undo`\n");
        let html = "<strong>3 l in &lt;b&gt;&amp;green</strong> (9 of 19 l): <code>undo</code><br>";
        assert_eq!(text.html(), html);
    }

    #[test]
    fn has_a_head() {
        let text = |source: &str| Text::marked(mark(source));
        assert_eq!(text("**Drain green: 180 ml.** With water.").head(), "Drain green: 180 ml");
        assert_eq!(text("All is well.\nReally.").head(), "All is well");
        assert_eq!(text("Well, **really**").head(), "Well, really");
        assert_eq!(Text::default().head(), "");
    }

    #[test]
    fn tames_what_people_type() {
        assert_eq!(tame("gr\u{202E}een\u{E000}\nbin\u{7}"), "green bin");
        assert!(!tame("@room").contains("@room"));
        assert_eq!(tame(&"x".repeat(500)).len(), LONGEST_WORD);
    }

    proptest::proptest! {
        #[test]
        fn html_never_carries_a_tag_of_a_persons(word in ".*") {
            let html = Text::marked(tame(&word)).html();
            proptest::prop_assert!(!html.contains('<') || html.contains("<br>"));
            proptest::prop_assert!(!html.replace("<br>", "").contains('<'));
        }
    }
}
