//! What a question names that is none of the room's: a bin that it does not have, a thing that is none of the trade's:
//! `is Kermit ready?`, `is cat litter ok?`

use crate::clause::{BinRef, bin_at};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;

use super::question::Question;

impl Question<'_, '_> {
    /// A bin that is named and that the room does not have.
    pub(super) fn unknown_bin(&self) -> Option<String> {
        self.stranger_asked_about().or_else(|| self.stranger_named())
    }

    /// `is white ready yet?`, where no bin is called so.
    fn stranger_asked_about(&self) -> Option<String> {
        let text = &self.scene.text;
        let auxiliary =
            |at: &usize| text.has_any(*at, &[Mark::Be, Mark::Will, Mark::Do]) || text.has(*at, Mark::Status);
        let word = (self.from..self.to.min(self.from + 3)).find(auxiliary)? + 1;
        let token = text.tokens.get(word).filter(|token| token.name.is_none() && token.is_word())?;
        let colour = text.senses(word).iter().any(|sense| matches!(sense, Sense::Colour(_)));
        let strange = text.senses(word).is_empty()
            && (!crate::lexicon::english().is_ordinary(text.word(word))
                || token.capital && self.scene.message.direct);
        let state = |at: usize| {
            text.has(at, Mark::Ready) || text.senses(at).iter().any(|s| matches!(s, Sense::Level(_)))
        };
        // `is Kermit ready`, `when will Kermit be ready`, `how full is Kermit`
        let next = word + 1 + usize::from(text.has(word + 1, Mark::Be));
        let asked = next < self.to && state(next) || next == self.to && self.has(Mark::HowFull);
        (asked && (colour || strange) && !self.scene.message.bins.is_empty())
            .then(|| text.words(word, word + 1))
    }

    fn stranger_named(&self) -> Option<String> {
        let scene = self.scene;
        scene
            .clauses
            .iter()
            .filter(|clause| clause.to > self.from && clause.to <= self.to)
            .flat_map(|clause| (clause.from..clause.to).map(move |at| (clause, at)))
            .find_map(|(clause, at)| match bin_at(&scene.text, at, clause, scene.message) {
                Some((BinRef::Unknown(name), _)) => Some(name),
                _ => None,
            })
    }

    /// Whether the question is of some thing that is none of the trade's: `is cat litter ok?`
    pub(super) fn names_a_stranger(&self) -> bool {
        let text = &self.scene.text;
        let cleaner = |at: usize| text.is_matter(at, Matter::Cleaner);
        self.scene.message.direct
            && self.any(|at| {
                text.tokens[at].is_word()
                    && (text.senses(at).is_empty() || cleaner(at) || text.is(at, Cue::Litter))
            })
            && !self.any(|at| self.is_of_trade(at) && !cleaner(at))
    }

    /// `is cat litter allowed in the bin?`, `would wax paper be ok for green?`: some thing is judged, and the bin is where it
    /// would go.
    pub(super) fn judges_for_the_bin(&self) -> bool {
        let text = &self.scene.text;
        let opens = |at: usize| text.has_any(at, &[Mark::Be, Mark::Can]);
        let Some(start) = (self.from..self.to).find(|at| opens(*at)) else { return false };
        let Some(verdict) = (start + 1..self.to).find(|at| text.has(*at, Mark::Possible)) else {
            return false;
        };
        let idle = |at: usize| {
            text.has_any(at, &[Mark::Be, Mark::A, Mark::The, Mark::Possible]) || !text.tokens[at].is_word()
        };
        let mut thing = (start + 1..verdict).filter(|at| !idle(*at)).peekable();
        // `dog hair`
        let attribute = |at: usize| text.has(at, Mark::Other) && at + 1 < verdict;
        let stranger = |at: usize| {
            attribute(at) || !self.is_of_trade(at) && !text.is(at, Cue::BinAffairs) && !text.is(at, Cue::Any)
        };
        let named = thing.peek().is_some() && thing.all(stranger);
        let into = |at: usize| {
            text.has(at, Mark::In)
                && (at + 1..self.to.min(at + 3)).any(|i| {
                    text.is_matter(i, Matter::Bin)
                        || text.is(i, Cue::Process)
                        || text.name(i, NameKind::Bin).is_some()
                })
        };
        let put =
            |at: usize| text.is(at - 1, Cue::To) && (text.is_act(at, Act::Go) || text.is_act(at, Act::Add));
        named && (verdict + 1..self.to).any(|at| into(at) || put(at))
    }

    fn is_of_trade(&self, at: usize) -> bool {
        let text = &self.scene.text;
        text.tokens[at].name.is_some()
            || text.time(at).is_some()
            || text.has_any(at, &[Mark::It, Mark::You, Mark::I, Mark::Other, Mark::All, Mark::KitchenPlace])
            || text.digits(at).is_some()
            || text.senses(at).iter().any(|s| {
                matches!(s, Sense::Matter(matter) if *matter != Matter::Cleaner)
                    || matches!(
                        s,
                        Sense::MouldNoun
                            | Sense::SmellNoun
                            | Sense::Smell(_)
                            | Sense::Moisture(_)
                            | Sense::Pests
                            | Sense::Lid(_)
                            | Sense::Level(_)
                            | Sense::Unit(_)
                            | Sense::Cardinal(_)
                    )
            })
    }
}
