//! What tokens can mean, asked by position; past the end there is nothing.

use super::{Kind, Stop, Text};
use crate::amount::Unit;
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeUnit, TimeWord};
use crate::name::{Name, NameKind};

impl Text<'_> {
    /// All meanings of the token.
    pub(crate) fn senses(&self, at: usize) -> &'static [Sense] {
        self.tokens.get(at).map_or(&[], |token| token.senses.list())
    }

    /// The first meaning that `pick` takes.
    pub(crate) fn sense<T>(&self, at: usize, pick: impl Fn(Sense) -> Option<T>) -> Option<T> {
        self.senses(at).iter().find_map(|sense| pick(*sense))
    }

    pub(crate) fn kind(&self, at: usize) -> Option<Kind> {
        self.tokens.get(at).map(|token| token.kind)
    }

    /// Whether the token can be that function word.
    pub(crate) fn has(&self, at: usize, mark: Mark) -> bool {
        self.tokens.get(at).is_some_and(|token| token.senses.has(mark.bit()))
    }

    /// Whether the token can be any of those function words.
    pub(crate) fn has_any(&self, at: usize, marks: &[Mark]) -> bool {
        let bits = marks.iter().fold(0, |bits, mark| bits | mark.bit());
        self.tokens.get(at).is_some_and(|token| token.senses.has(bits))
    }

    /// Whether the token is such a cue.
    pub(crate) fn is(&self, at: usize, cue: Cue) -> bool {
        self.tokens.get(at).is_some_and(|token| token.cues.has(cue))
    }

    pub(crate) fn is_word(&self, at: usize, word: &str) -> bool {
        self.word(at) == word
    }

    pub(crate) fn is_stop(&self, at: usize) -> bool {
        matches!(self.kind(at), Some(Kind::Stop(_)))
    }

    pub(crate) fn is_pause(&self, at: usize) -> bool {
        self.kind(at) == Some(Kind::Stop(Stop::Pause))
    }

    pub(crate) fn is_sign(&self, at: usize, sign: char) -> bool {
        self.kind(at) == Some(Kind::Sign(sign))
    }

    pub(crate) fn cardinal(&self, at: usize) -> Option<f64> {
        self.tokens.get(at)?.senses.cardinal()
    }

    pub(crate) fn scale(&self, at: usize) -> Option<f64> {
        self.sense(at, |sense| if let Sense::Scale(value) = sense { Some(value) } else { None })
    }

    /// A number that dictation wrote as another word.
    pub(crate) fn heard(&self, at: usize) -> Option<f64> {
        self.sense(at, |sense| if let Sense::Homophone(value) = sense { Some(value) } else { None })
    }

    /// A numeral in digits.
    pub(crate) fn digits(&self, at: usize) -> Option<f64> {
        match self.kind(at) {
            Some(Kind::Number(value)) => Some(value),
            _ => None,
        }
    }

    pub(crate) fn unit(&self, at: usize) -> Option<Unit> {
        self.tokens.get(at)?.senses.unit()
    }

    pub(crate) fn is_vague(&self, at: usize) -> bool {
        self.senses(at).contains(&Sense::Vague)
    }

    pub(crate) fn matter(&self, at: usize) -> Option<Matter> {
        self.sense(at, |sense| if let Sense::Matter(matter) = sense { Some(matter) } else { None })
    }

    pub(crate) fn is_matter(&self, at: usize, matter: Matter) -> bool {
        self.tokens.get(at).is_some_and(|token| token.senses.is_matter(matter))
    }

    pub(crate) fn verb(&self, at: usize) -> Option<(Act, Forms)> {
        self.sense(at, |sense| if let Sense::Verb(act, forms) = sense { Some((act, forms)) } else { None })
    }

    /// Whether the token can be a form of that verb.
    pub(crate) fn is_act(&self, at: usize, act: Act) -> bool {
        self.tokens.get(at).is_some_and(|token| token.senses.is_act(act))
    }

    pub(crate) fn time(&self, at: usize) -> Option<TimeWord> {
        self.tokens.get(at)?.senses.time()
    }

    pub(crate) fn is_time(&self, at: usize, word: TimeWord) -> bool {
        self.time(at).is_some() && self.senses(at).contains(&Sense::Time(word))
    }

    pub(crate) fn time_unit(&self, at: usize) -> Option<TimeUnit> {
        self.time(at)?;
        self.sense(at, |sense| if let Sense::Time(TimeWord::Unit(unit)) = sense { Some(unit) } else { None })
    }

    /// The bin, plot or measure that the token names.
    pub(crate) fn name(&self, at: usize, kind: NameKind) -> Option<Name> {
        self.tokens.get(at).and_then(|token| token.name).filter(|name| name.kind == kind)
    }
}
