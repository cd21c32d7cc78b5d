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
        voice.word(list).split(", ").any(|phrase| self.0.starts_with(&format!(" {phrase} ")))
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
        assert!(Phrase::of("I’ll take it!").begins(&voice, "take-words"));
        assert!(!Phrase::of("Will you? I'll take it").begins(&voice, "take-words"));
    }
}
