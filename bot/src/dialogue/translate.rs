//! The ear's words for things in the model's: the same trade, two crates that need not know each other.

use branbell_language as ear;
use branbell_scheduler::fact;

/// Writes the translation of an enum whose variants have the same names on both sides.
macro_rules! translate {
    ($name:ident: $from:ident => $to:ident { $($variant:ident),+ $(,)? }) => {
        pub(super) fn $name(said: ear::$from) -> fact::$to {
            match said {
                $(ear::$from::$variant => fact::$to::$variant,)+
            }
        }
    };
}

translate!(smell: Smell => Smell { SweetSour, Rotten, Ammonia, Alcohol, None });
translate!(mould: Mould => Mould { White, Green, Black, Blue, Other, None });
translate!(moisture: Moisture => Moisture { Wet, Dry, Fine });
translate!(lid: Lid => Lid { Bulging, Leaking, Loose, Fine });
translate!(used: Use => Use { Plants, Pipes, PouredAway });
translate!(food: Food => Food {
    Vegetable, Fruit, Citrus, Cooked, Meat, Fish, Bone, Dairy, Bread, Grain, Egg, Coffee, Tea, Oil, Liquid, Garden, Other,
});

/// The signs that a message tells.
pub(super) fn signs(slots: &ear::Slots) -> fact::Signs {
    fact::Signs {
        smell: slots.smell.map(smell),
        mould: slots.mould.map(mould),
        moisture: slots.moisture.map(moisture),
        pests: slots.pests,
        lid: slots.lid.map(lid),
    }
}
