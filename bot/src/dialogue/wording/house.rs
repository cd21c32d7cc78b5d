//! The rules of a shared scheme in words, and what follows from them.

use branbell_language::Food;
use branbell_scheduler::fact::HouseRule;

use super::{Speaker, capital};
use crate::say;
use crate::voice::Text;

/// The text that says a rule.
pub(super) fn house_text(rule: HouseRule, holds: bool) -> &'static str {
    match (rule, holds) {
        (HouseRule::SamePremises, true) => "house-premises",
        (HouseRule::SamePremises, false) => "house-premises-not",
        (HouseRule::Animals, true) => "house-animals",
        (HouseRule::Animals, false) => "house-animals-not",
        (HouseRule::MeatAndDairy, true) => "house-meat",
        (HouseRule::MeatAndDairy, false) => "house-meat-not",
    }
}

impl Speaker<'_> {
    /// The question for a rule.
    pub(super) fn house_question(&self, rule: HouseRule) -> Text {
        match rule {
            HouseRule::SamePremises => say!(self.voice, "house-premises-ask"),
            HouseRule::Animals => say!(self.voice, "house-animals-ask"),
            HouseRule::MeatAndDairy => say!(self.voice, "house-meat-ask"),
        }
    }

    /// The rules that were told, with what follows from them.
    pub(super) fn house(&self) -> Text {
        if self.room.house.is_empty() {
            return say!(self.voice, "house-none");
        }
        let lines = self.room.house.iter().map(|(rule, holds)| {
            let rule_text = say!(self.voice, house_text(*rule, *holds)).plain();
            say!(self.voice, "house-line", rule = capital(&rule_text))
                .then(&self.house_caution(*rule, *holds))
        });
        lines.fold(say!(self.voice, "house-head"), |said, line| said.newline(&line))
    }

    /// What law asks of such a scheme.
    ///
    /// Source: UK guidance on home composting of kitchen waste with animal content (on the property where it arises, out of
    /// reach of farm animals; elsewhere with an approval), and Regulation (EC) No 1069/2009, article 11, which forbids
    /// feeding catering waste to farmed animals; both from memory.
    pub(super) fn house_caution(&self, rule: HouseRule, holds: bool) -> Text {
        match (rule, holds) {
            (HouseRule::SamePremises, false) => say!(self.voice, "house-premises-caution"),
            (HouseRule::Animals, true) => say!(self.voice, "house-animals-caution"),
            _ => Text::default(),
        }
    }

    /// What the house's rules say of a food before anything else does.
    pub(super) fn against_the_house(&self, food: Food) -> Option<Text> {
        if self.is_refused(food) {
            return Some(say!(self.voice, "food-not-here"));
        }
        let is_doubtful = food == Food::Cooked && self.takes_no_meat();
        is_doubtful.then(|| say!(self.voice, "food-cooked-meatless"))
    }

    fn is_refused(&self, food: Food) -> bool {
        self.takes_no_meat() && matches!(food, Food::Meat | Food::Fish | Food::Bone | Food::Dairy)
    }

    fn takes_no_meat(&self) -> bool {
        self.room.house.get(&HouseRule::MeatAndDairy) == Some(&false)
    }

    /// What follows from the rules for food of animals.
    pub(super) fn house_cautions(&self, foods: &[Food]) -> Text {
        let is_animal = |food: &Food| {
            matches!(food, Food::Meat | Food::Fish | Food::Bone | Food::Dairy | Food::Egg | Food::Cooked)
        };
        let goes_in = foods.iter().filter(|food| !self.is_refused(**food));
        if !goes_in.clone().any(is_animal) {
            return Text::default();
        }
        let rules = self.room.house.iter();
        rules.fold(Text::default(), |said, (rule, holds)| said.then(&self.house_caution(*rule, *holds)))
    }
}
