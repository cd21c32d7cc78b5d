//! May it go in? By class of food, and by word for what is no food.

use branbell_language::{Food, Slots};
use branbell_scheduler::fact::HouseRule;
use branbell_scheduler::quantity::bran;
use branbell_scheduler::units::Millilitres;

use super::{Speaker, capital};
use crate::say;
use crate::voice::{Text, Voice};

/// A litre of scraps, to say a dose for.
pub(super) const LITRE: Millilitres = Millilitres(1_000.0);

/// What is no food, and the text that says what to do with it. The words of each stand in `<text>-words`.
const THINGS: [&str; 14] = [
    "thing-soup",
    "thing-medicine",
    "thing-pet-waste",
    "thing-carcass",
    "thing-hazard",
    "thing-sweepings",
    "thing-bioplastic",
    "thing-plastic",
    "thing-mouldy",
    "thing-paper",
    "thing-ash",
    "thing-cleaner",
    "thing-eggshell",
    "thing-shell",
];

/// What is no food, of which an item speaks.
pub(crate) fn thing(voice: &Voice, item: &str) -> Option<&'static str> {
    let letters = item.to_lowercase().replace(|c: char| !c.is_alphanumeric(), " ");
    let padded = format!(" {letters} ");
    let holds = |word: &str| padded.contains(&format!(" {word} ")) || padded.contains(&format!(" {word}s "));
    let named = |id: &&str| voice.word(&format!("{id}-words")).split(", ").any(holds);
    THINGS.iter().copied().find(|id| named(id))
}

impl Speaker<'_> {
    /// The answer to `can I put … in?`.
    pub(super) fn acceptable(&self, slots: &Slots) -> Text {
        // Mouldy bread is bread, but that is not the point.
        let thing =
            slots.item.as_deref().and_then(|item| thing(self.voice, item)).map(|id| say!(self.voice, id));
        let mut said: Vec<Text> = match thing {
            Some(thing) => vec![thing],
            None => slots.foods.iter().map(|food| self.food(*food)).collect(),
        };
        said.dedup();
        match said.len() {
            0 => match &slots.item {
                Some(item) => say!(self.voice, "acceptable-unknown", item = capital(item)),
                None => self.all_acceptable(),
            },
            _ => said.iter().fold(Text::default(), Text::newline),
        }
        .newline(&self.house_cautions(&slots.foods).then(&say!(self.voice, "acceptable-rules")))
    }

    /// What goes in and what does not, by the rule of the house.
    fn all_acceptable(&self) -> Text {
        let takes_meat = self.room.house.get(&HouseRule::MeatAndDairy).copied().unwrap_or(true);
        say!(self.voice, if takes_meat { "acceptable-all" } else { "acceptable-all-meatless" })
    }

    fn food(&self, food: Food) -> Text {
        if let Some(said) = self.against_the_house(food) {
            return said;
        }
        let rich = [super::super::translate::food(food)];
        let dose = self.measures.bran(bran::dose(self.layered(), LITRE, &rich).value);
        let litre = self.measures.volume(LITRE);
        let id = match food {
            Food::Meat | Food::Fish => "food-rich",
            Food::Bone => "food-bone",
            Food::Dairy | Food::Egg | Food::Cooked => "food-extra",
            Food::Oil => "food-oil",
            Food::Liquid => "food-liquid",
            Food::Garden => "food-garden",
            Food::Citrus => "food-citrus",
            Food::Bread | Food::Grain => "food-dry",
            Food::Coffee | Food::Tea => "food-grounds",
            Food::Vegetable | Food::Fruit | Food::Other => "food-plain",
        };
        say!(self.voice, id, bran = dose, litre = litre)
    }

    /// A batch that has its first layer already, so that a dose is for the scraps alone.
    fn layered(&self) -> Option<&branbell_scheduler::state::Batch> {
        self.room.bins_in_use().find_map(|bin| bin.filling()).filter(|batch| !batch.is_untouched())
    }
}
