//! Phrases about living together that the ear, which knows the trade, leaves alone: recognised by the lists in the texts.

use crate::voice::Voice;

/// A message as phrases are looked for in it: in small letters, its words a space apart, a space at both ends.
pub(super) struct Phrase(String);

impl Phrase {
    /// The phrase of a message.
    pub(super) fn of(text: &str) -> Self {
        let plain = text.to_lowercase().replace(['’', '\''], "");
        let words = plain.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        Self(format!(" {} ", words.collect::<Vec<_>>().join(" ")))
    }

    /// Whether it holds one of the phrases of a list.
    pub(super) fn has(&self, voice: &Voice, list: &str) -> bool {
        voice.word(list).split(", ").any(|phrase| self.0.contains(&format!(" {phrase} ")))
    }

    /// Whether it is one of the phrases of a list.
    pub(super) fn is_one_of(&self, voice: &Voice, list: &str) -> bool {
        voice.word(list).split(", ").any(|phrase| self.0.trim() == phrase)
    }

    /// Whether it begins with one of the phrases of a list.
    pub(super) fn begins(&self, voice: &Voice, list: &str) -> bool {
        self.rest().pass(voice, list)
    }

    /// Whether it holds all of another, which says something.
    pub(super) fn holds(&self, other: &Self) -> bool {
        !other.0.trim().is_empty() && self.0.contains(&other.0)
    }

    /// Its words.
    pub(super) fn words(&self) -> impl Iterator<Item = &str> {
        self.0.split_whitespace()
    }

    /// All of it, to be read from the left.
    pub(super) fn rest(&self) -> Rest<'_> {
        Rest(self.0.trim())
    }
}

/// What is left of a phrase that is read from the left.
#[derive(Clone, Copy)]
pub(super) struct Rest<'a>(&'a str);

impl Rest<'_> {
    /// Goes past the longest phrase of a list that it begins with, if there is one.
    pub(super) fn pass(&mut self, voice: &Voice, list: &str) -> bool {
        let (list, left) = (voice.word(list), self.0);
        let after = |phrase: &str| {
            let rest = left.strip_prefix(phrase)?;
            (rest.is_empty() || rest.starts_with(' ')).then(|| rest.trim_start())
        };
        // The longest leaves least.
        let shortest = list.split(", ").filter_map(after).min_by_key(|rest| rest.len());
        if let Some(rest) = shortest {
            self.0 = rest;
        }
        shortest.is_some()
    }

    /// Goes past all words that are in a list, numbers or one of `names`; whether there was any.
    pub(super) fn pass_any(&mut self, voice: &Voice, list: &str, names: &[String]) -> bool {
        let list = voice.word(list);
        let before = self.0;
        while !self.0.is_empty() {
            let (word, rest) = self.0.split_once(' ').unwrap_or((self.0, ""));
            let is_number = word.starts_with(|c: char| c.is_ascii_digit());
            if !(is_number
                || list.split(' ').any(|known| known == word)
                || names.iter().any(|name| name == word))
            {
                break;
            }
            self.0 = rest;
        }
        self.0.len() < before.len()
    }

    /// Whether nothing is left.
    pub(super) fn is_over(&self) -> bool {
        self.0.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_are_whole_words() {
        let voice = Voice::english();
        assert!(Phrase::of("Can someone take my turn?").has(&voice, "offer-words"));
        assert!(!Phrase::of("take my turntable").has(&voice, "offer-words"));
        assert!(Phrase::of("Is Cellar full?").holds(&Phrase::of("cellar")));
        assert!(!Phrase::of("Is Cellar full?").holds(&Phrase::of("!")));
    }

    #[test]
    fn a_phrase_is_read_from_the_left() {
        let voice = Voice::english();
        let phrase = Phrase::of("I’ll take care of it tonight!");
        let mut rest = phrase.rest();
        assert!(!rest.pass(&voice, "claim-it-words") && rest.pass(&voice, "claim-who-words"));
        assert!(rest.pass(&voice, "claim-it-words") && !rest.is_over());
        assert!(rest.pass_any(&voice, "claim-more-words", &[]) && rest.is_over());
    }
}
