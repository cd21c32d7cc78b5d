//! Colours that people tell apart whatever colours they see.
//!
//! Source: M. Okabe, K. Ito, Color Universal Design (2002, revised 2008): the set of eight. Nothing is told by colour
//! alone: what a colour stands for is written beside it.

/// A colour: red, green, blue.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Colour(pub(super) u8, pub(super) u8, pub(super) u8);

pub(super) const ORANGE: Colour = Colour(230, 159, 0);
pub(super) const SKY_BLUE: Colour = Colour(86, 180, 233);
pub(super) const BLUISH_GREEN: Colour = Colour(0, 158, 115);
pub(super) const BLUE: Colour = Colour(0, 114, 178);
pub(super) const VERMILLION: Colour = Colour(213, 94, 0);
pub(super) const REDDISH_PURPLE: Colour = Colour(204, 121, 167);

/// The ground of a picture: its own, so that it reads alike in light and dark clients.
pub(super) const PAPER: Colour = Colour(252, 251, 247);
/// What is written.
pub(super) const INK: Colour = Colour(32, 33, 36);
/// What is written in second place.
pub(super) const FAINT_INK: Colour = Colour(88, 91, 97);
/// Lines to measure by.
pub(super) const RULE: Colour = Colour(214, 212, 204);
/// The border: seen on white and on black.
pub(super) const BORDER: Colour = Colour(128, 130, 134);
/// The ground of the label, which is printed.
pub(super) const WHITE: Colour = Colour(255, 255, 255);

impl Colour {
    /// The colour thinned with paper: `share` of it remains.
    pub(super) fn thinned(self, share: f32) -> Self {
        let mix =
            |one: u8, other: u8| (f32::from(one) * share + f32::from(other) * (1.0 - share)).round() as u8;
        Self(mix(self.0, PAPER.0), mix(self.1, PAPER.1), mix(self.2, PAPER.2))
    }

    pub(super) fn hex(self) -> String {
        format!("#{:02x}{:02x}{:02x}", self.0, self.1, self.2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast ratio. Source: W3C, Web Content Accessibility Guidelines 2.2.
    fn contrast(one: Colour, other: Colour) -> f64 {
        let linear = |channel: u8| {
            let share = f64::from(channel) / 255.0;
            if share <= 0.04045 { share / 12.92 } else { ((share + 0.055) / 1.055).powf(2.4) }
        };
        let luminance = |c: Colour| 0.2126 * linear(c.0) + 0.7152 * linear(c.1) + 0.0722 * linear(c.2);
        let (one, other) = (luminance(one), luminance(other));
        (one.max(other) + 0.05) / (one.min(other) + 0.05)
    }

    #[test]
    fn text_and_border_are_seen() {
        // WCAG 2.2: 4.5 for text (success criterion 1.4.3), 3 for what is needed to make out a graphic (1.4.11).
        assert!(contrast(INK, PAPER) >= 4.5);
        assert!(contrast(FAINT_INK, PAPER) >= 4.5);
        for fill in [ORANGE, SKY_BLUE, BLUISH_GREEN, VERMILLION] {
            assert!(contrast(INK, fill.thinned(0.55)) >= 4.5, "{fill:?}");
        }
        assert!(contrast(BORDER, WHITE) >= 3.0 && contrast(BORDER, Colour(20, 20, 20)) >= 3.0);
    }
}
