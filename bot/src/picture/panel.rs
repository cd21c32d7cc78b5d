//! A panel: a headline, and below it a plot with rules to measure by.

use branbell_scheduler::units::Unit;

use super::axis::Scale;
use super::palette::{Colour, FAINT_INK, PAPER, RULE};
use super::{Anchor, Area, Canvas, Cut, INK, MARGIN, SMALL, Type, WIDTH};

/// Where plots begin and end, between their scale and the margin.
pub(super) const LEFT: f32 = 56.0;
pub(super) const RIGHT: f32 = WIDTH - MARGIN;
/// From the headline's top to the plot's.
const HEADLINE: f32 = 29.0;
const HEAD: Type = Type::new(Cut::Bold, 12.5, INK);

/// A panel that is being drawn.
pub(super) struct Panel {
    pub(super) plot: Area,
}

impl Panel {
    /// What a panel with a plot of this height takes.
    pub(super) fn height(plot: f32) -> f32 {
        HEADLINE + plot
    }

    /// Begins a panel: writes its headline, what it is and how much, with a spot of its colour.
    pub(super) fn open(
        canvas: &mut Canvas,
        top: f32,
        plot: f32,
        headline: &str,
        colour: Option<Colour>,
    ) -> Self {
        let left = match colour {
            Some(colour) => {
                canvas.dot(MARGIN + 5.0, top + 16.0, 5.0, INK);
                canvas.dot(MARGIN + 5.0, top + 16.0, 4.0, colour);
                MARGIN + 15.0
            }
            None => MARGIN,
        };
        let headline = HEAD.fitted(headline, RIGHT - left);
        // No mark of a moment runs through the words.
        canvas.fill(Area::new(left - 2.0, top + 8.0, left + HEAD.width(&headline) + 3.0, top + 24.0), PAPER);
        canvas.text(&headline, left, top + 20.5, HEAD);
        Self { plot: Area::new(LEFT, top + HEADLINE, RIGHT, top + HEADLINE + plot) }
    }

    /// Rules across the plot with what they stand for.
    pub(super) fn rules<U: Unit>(&self, canvas: &mut Canvas, scale: &Scale<U>, word: impl Fn(U) -> String) {
        for (place, value) in scale.marks().enumerate() {
            let y = scale.y(value);
            canvas.line(&[(LEFT, y), (RIGHT, y)], if place == 0 { FAINT_INK } else { RULE }, 1.0);
            if y <= self.plot.bottom && y >= self.plot.top - 0.5 {
                canvas.text(&word(value), LEFT - 5.0, y + 4.0, SMALL.at(Anchor::Right));
            }
        }
    }

    /// A bar from the foot of the plot.
    pub(super) fn bar(&self, canvas: &mut Canvas, (left, right): (f32, f32), top: f32, colour: Colour) {
        if top < self.plot.bottom {
            canvas.fill(Area::new(left, top.min(self.plot.bottom - 1.0), right, self.plot.bottom), colour);
        }
    }

    /// The foot of a plot that has nothing to show: the headline says so.
    pub(super) fn nothing(&self, canvas: &mut Canvas) {
        canvas.line(&[(LEFT, self.plot.bottom), (RIGHT, self.plot.bottom)], FAINT_INK, 1.0);
    }
}
