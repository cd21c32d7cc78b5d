//! Answers about the bran: how much there is, and how more is made.

use branbell_scheduler::quantity::starter::{self, Outlook};
use branbell_scheduler::units::{Days, Fraction, Grams, Millilitres};

use super::Speaker;
use crate::say;
use crate::voice::Text;

/// The liquids of the customary recipe by volume: a millilitre of them weighs a gram.
pub(super) const CUSTOMARY_LIQUIDS: Millilitres = Millilitres(starter::CUSTOMARY_LIQUIDS.value);

impl Speaker<'_> {
    /// How much bran there is, how long it lasts, and when more has to be started.
    pub(super) fn stock(&self) -> Text {
        let brewing = self.room.starter.brewing(self.now).map(|brew| {
            let (amount, day) = (self.measures.mass(brew.mass), self.calendar.day(brew.ready_at()));
            say!(self.voice, "stock-brewing", amount = amount, day = day)
        });
        let brewing = brewing.fold(Text::default(), |said, line| said.then(&line));
        let Some(outlook) = starter::outlook(self.room, self.now) else {
            return self.with_example("stock-unknown").then(&brewing);
        };
        let lasts =
            outlook.out.as_ref().zip(outlook.per_day.as_ref()).map_or_else(Text::default, |(out, rate)| {
                let (day, span) = self.forecast(out);
                say!(
                    self.voice,
                    self.lasting("stock-lasts", "stock-lasts-long", out),
                    rate = self.measures.mass(Grams(rate.value.get())),
                    day = day,
                    span = span,
                    early = self.calendar.day(out.early),
                )
            });
        say!(self.voice, "stock-is", amount = self.measures.mass(outlook.stock.value))
            .then(&lasts)
            .then(&self.reorder(&outlook))
            .then(&brewing)
    }

    /// At what stock new bran has to be started; nothing while some ferments.
    fn reorder(&self, outlook: &Outlook) -> Text {
        let Some(at) = outlook.reorder_at.as_ref().filter(|_| outlook.brewing.is_empty()) else {
            return Text::default();
        };
        let id = if outlook.stock.value > at.value { "stock-reorder" } else { "stock-reorder-now" };
        let lead = self.days(Days(starter::LEAD_TIME.value));
        say!(self.voice, id, amount = self.measures.mass(at.value), lead = lead)
    }

    /// How so much bran is made.
    pub(super) fn recipe(&self, bran: Grams) -> Text {
        let recipe = starter::recipe(bran);
        let measures = self.measures;
        say!(
            self.voice,
            "recipe-for",
            bran = measures.mass(recipe.bran),
            liquids = measures.volume(recipe.liquids),
            inoculant = measures.volume(recipe.inoculant),
            molasses = measures.volume(recipe.molasses),
            water = measures.volume(recipe.water.value),
        )
        .newline(&say!(
            self.voice,
            "recipe-how",
            litres = measures.volume(CUSTOMARY_LIQUIDS),
            kilo = measures.mass(Grams(1000.0)),
            wet = percent(starter::customary_moisture().value),
            right = percent(recipe.moisture),
        ))
    }
}

/// A share as a whole percentage.
fn percent(share: Fraction) -> i64 {
    (share.get() * 100.0).round() as i64
}
