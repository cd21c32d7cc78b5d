//! Questions of ours.

use branbell_scheduler::fact::What;
use branbell_scheduler::units::Millilitres;

use super::super::phrase::Phrase;
use super::super::{Asked, Decision, Lacking};
use super::Speaker;
use crate::say;
use crate::voice::{Text, Voice};

/// The words by which the nearest example is found, and the example; the most telling first.
const NEAR: [(&str, &str); 17] = [
    ("near-quiet-words", "near-quiet"),
    ("near-drain-words", "near-drain"),
    ("near-bran-words", "near-bran"),
    ("near-check-words", "near-check"),
    ("near-seal-words", "near-seal"),
    ("near-bury-words", "near-bury"),
    ("near-plant-words", "near-plant"),
    ("near-plot-words", "near-plot"),
    ("near-warmth-words", "near-warmth"),
    ("near-level-words", "near-level"),
    ("near-ready-words", "near-ready"),
    ("near-undo-words", "near-undo"),
    ("near-time-words", "near-time"),
    ("near-next-words", "near-next"),
    ("near-bin-words", "near-bin"),
    ("near-acceptable-words", "near-acceptable"),
    ("near-scraps-words", "near-scraps"),
];

/// The text with an example of what would be understood, near to what was said.
pub(crate) fn nearest(voice: &Voice, said: &str) -> Option<&'static str> {
    let phrase = Phrase::of(said);
    NEAR.iter().find(|(words, _)| phrase.has(voice, words)).map(|(_, example)| *example)
}

impl Speaker<'_> {
    /// The example that is nearest to what was said; where there is no bin yet, all begins with one.
    fn nearest(&self, said: &str) -> Option<&'static str> {
        let has_no_bin = self.room.bins_in_use().next().is_none();
        nearest(self.voice, said).or_else(|| has_no_bin.then_some("near-bin"))
    }

    /// A question of ours, with the choices.
    pub(super) fn ask_back(&self, asked: &Asked, decision: &Decision) -> Text {
        let (voice, choices) = (self.voice, self.choices(&asked.choices));
        match (asked.lacking, &asked.said) {
            (Lacking::Reopened, said) => self.ask_reopened(said.as_deref().unwrap_or_default(), &choices),
            (Lacking::Bin, _) if asked.waiting.len() > 1 => self.with_example("back-no-bins-again"),
            (Lacking::Name, _) if asked.waiting.is_empty() => say!(voice, "back-name"),
            (Lacking::Name, _) => say!(voice, "back-name-first"),
            (Lacking::Bin | Lacking::Elsewhere, _) if asked.choices.is_empty() => {
                self.with_example("back-no-bins")
            }
            (Lacking::Bin, Some(said)) => {
                say!(voice, "back-bin-unknown", said = said, choices = super::capital(&choices))
            }
            (Lacking::Elsewhere, _) if asked.choices.len() == 1 => {
                say!(voice, "back-elsewhere", bin = choices)
            }
            (Lacking::Bin, None) | (Lacking::Elsewhere, _) => say!(voice, "back-bin", choices = choices),
            (Lacking::Plot, _) if asked.choices.is_empty() => self.with_example("back-no-plots"),
            (Lacking::Plot, _) if decision.facts.is_empty() => say!(voice, "back-plot", choices = choices),
            (Lacking::Plot, _) => say!(voice, "buried-which-plot"),
            (Lacking::Ph, _) => say!(voice, "back-ph"),
            (Lacking::Amount, Some(bin)) => self.ask_fitting(bin),
            (Lacking::Amount, None) => say!(voice, "back-amount"),
            (Lacking::Unit, _) => self.ask_unit(asked, &choices),
            (Lacking::Time, _) => say!(voice, "back-time"),
            (Lacking::Size, Some(name)) => say!(voice, "back-size", name = name),
            (Lacking::Size, None) => say!(voice, "bin-size"),
            (Lacking::Drained, Some(bin)) if !asked.then.is_empty() || drains_others(decision, bin) => {
                say!(voice, "drained-how-much-from", bin = bin)
            }
            (Lacking::Drained, _) => say!(voice, "drained-how-much"),
            (Lacking::Scraps, said) => {
                say!(
                    voice,
                    "back-amount-scraps",
                    amount = super::capital(said.as_deref().unwrap_or_default())
                )
            }
            (Lacking::Liquid, said) => {
                say!(
                    voice,
                    "back-amount-liquid",
                    amount = super::capital(said.as_deref().unwrap_or_default())
                )
            }
            (Lacking::Forgetting, _) => say!(voice, "back-forgetting"),
            (Lacking::House(rule), _) => self.house_question(rule),
            (Lacking::Which, _) => say!(voice, "back-which", choices = choices),
            (Lacking::Meaning, said) => match said.as_deref().and_then(|said| self.nearest(said)) {
                Some(example) => {
                    let example = self.with_example(example);
                    say!(voice, "back-meaning-near", example = example)
                }
                None => say!(voice, "back-meaning"),
            },
        }
    }

    /// In which unit a number is meant. Where the amount expected stands until then, something is written down.
    fn ask_unit(&self, asked: &Asked, choices: &str) -> Text {
        let voice = self.voice;
        let question = match &asked.said {
            Some(number) if asked.yes.is_some() => {
                say!(voice, "back-unit-guess", amount = say!(voice, "amount-ml", number = number))
            }
            _ => say!(voice, "back-unit", choices = super::capital(choices)),
        };
        if asked.replaces.is_empty() { question.then(&say!(voice, "back-nothing-yet")) } else { question }
    }

    /// How much it was, where more was told than a bin can hold.
    fn ask_fitting(&self, bin: &str) -> Text {
        let capacity = self.room.bin(bin).and_then(|bin| bin.capacity);
        let Some(capacity) = capacity else { return say!(self.voice, "back-amount") };
        let whole = self.measures.share(Millilitres::ZERO, capacity).1;
        say!(self.voice, "back-too-much", bin = super::capital(bin), whole = whole)
    }

    /// Whether a sealed bin was opened again, or which other bin is meant.
    fn ask_reopened(&self, bin: &str, others: &str) -> Text {
        let sealed = self.room.bin(bin).and_then(|bin| bin.sealed()?.sealed_at);
        let since = sealed.map(|at| self.calendar.day(at)).unwrap_or_default();
        let id = if others.is_empty() { "back-reopened-only" } else { "back-reopened" };
        say!(self.voice, id, bin = super::capital(bin), since = since, others = others)
    }
}

/// Whether another bin was drained, too: the question names which it is about.
fn drains_others(decision: &Decision, bin: &str) -> bool {
    let is_other = |what: &What| matches!(what, What::Drained { bin: other, .. } if other != bin);
    decision.facts.iter().any(|told| is_other(&told.what))
}
