//! Letters: shaped, measured and turned into outlines, from fonts that are compiled in.
//!
//! A picture is made of outlines alone, so that it looks the same wherever it is seen or printed. Scripts that run from
//! right to left are put in order (Unicode Standard Annex 9) and joined as they should be.

use std::sync::LazyLock;

use rustybuzz::ttf_parser::{GlyphId, OutlineBuilder};
use rustybuzz::{Direction, Face, GlyphBuffer, UnicodeBuffer};
use tiny_skia::{Path, PathBuilder};
use unicode_bidi::{BidiInfo, Level};

/// A cut of the letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cut {
    /// For reading.
    Regular,
    /// For what is to be seen first.
    Bold,
}

static REGULAR: LazyLock<Face<'static>> =
    LazyLock::new(|| parse(include_bytes!("../../fonts/DejaVuSansCondensed.ttf")));
static BOLD: LazyLock<Face<'static>> =
    LazyLock::new(|| parse(include_bytes!("../../fonts/DejaVuSansCondensed-Bold.ttf")));

fn parse(font: &'static [u8]) -> Face<'static> {
    // The bytes are compiled in: what the tests have read once can always be read.
    Face::from_slice(font, 0).expect("the font that is compiled in can be read")
}

impl Cut {
    fn face(self) -> &'static Face<'static> {
        match self {
            Cut::Regular => &REGULAR,
            Cut::Bold => &BOLD,
        }
    }

    /// The width of a line.
    pub(super) fn width(self, text: &str, size: f32) -> f32 {
        let face = self.face();
        let advance =
            |buffer: &GlyphBuffer| buffer.glyph_positions().iter().map(|glyph| glyph.x_advance).sum::<i32>();
        let advances = self.shaped(text).iter().map(advance).sum::<i32>();
        advances as f32 * scale(face, size)
    }

    /// The line's outline, its left end on the baseline at `x`, `y`; none where it shows nothing.
    pub(super) fn outline(self, text: &str, x: f32, y: f32, size: f32) -> Option<Path> {
        let face = self.face();
        let scale = scale(face, size);
        let mut pen = Pen { path: PathBuilder::new(), scale, x, y };
        for run in self.shaped(text) {
            for (glyph, place) in run.glyph_infos().iter().zip(run.glyph_positions()) {
                let (left, base) = (pen.x, pen.y);
                pen.x = left + place.x_offset as f32 * scale;
                pen.y = base - place.y_offset as f32 * scale;
                let id = u16::try_from(glyph.glyph_id).unwrap_or_default();
                // A glyph without an outline, such as a space, only moves the pen.
                let _ = face.outline_glyph(GlyphId(id), &mut pen);
                (pen.x, pen.y) = (left + place.x_advance as f32 * scale, base);
            }
        }
        pen.path.finish()
    }

    /// The text, or as much of its beginning as fits with an ellipsis.
    pub(super) fn fitted(self, text: &str, size: f32, width: f32) -> String {
        if self.width(text, size) <= width {
            return text.to_owned();
        }
        let letters: Vec<char> = text.chars().collect();
        let cut = |count: usize| format!("{}…", letters[..count].iter().collect::<String>().trim_end());
        let counts: Vec<usize> = (0..letters.len()).collect();
        let fitting = counts.partition_point(|count| self.width(&cut(*count), size) <= width);
        cut(fitting.saturating_sub(1))
    }

    /// The text in lines that are no wider than that, broken at spaces.
    pub(super) fn wrapped(self, text: &str, size: f32, width: f32) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            match lines.last_mut() {
                Some(line) if self.width(&format!("{line} {word}"), size) <= width => {
                    line.push(' ');
                    line.push_str(word);
                }
                _ => lines.push(word.to_owned()),
            }
        }
        lines
    }

    /// Whether the font has letters for any of it.
    pub(super) fn shows(self, text: &str) -> bool {
        let is_known = |c: char| !c.is_whitespace() && self.face().glyph_index(c).is_some();
        text.chars().any(is_known)
    }

    /// The glyphs in the order in which they stand, run by run.
    fn shaped(self, text: &str) -> Vec<GlyphBuffer> {
        let face = self.face();
        let text = known(face, text);
        let order = BidiInfo::new(&text, Some(Level::ltr()));
        let Some(paragraph) = order.paragraphs.first() else { return Vec::new() };
        let (levels, runs) = order.visual_runs(paragraph, paragraph.range.clone());
        let shape = |run: std::ops::Range<usize>| {
            let mut buffer = UnicodeBuffer::new();
            buffer.push_str(&text[run.clone()]);
            buffer.guess_segment_properties();
            let is_leftward = levels[run.start].is_rtl();
            buffer.set_direction(if is_leftward { Direction::RightToLeft } else { Direction::LeftToRight });
            rustybuzz::shape(face, &[], buffer)
        };
        runs.into_iter().map(shape).collect()
    }
}

/// The text without what the font cannot show, such as most emoji.
fn known(face: &Face<'_>, text: &str) -> String {
    let is_known = |c: &char| face.glyph_index(*c).is_some();
    let text = text.replace(|c: char| c.is_whitespace() || c.is_control(), " ");
    let kept: String = text.chars().filter(is_known).collect();
    kept.trim().to_owned()
}

fn scale(face: &Face<'_>, size: f32) -> f32 {
    size / face.units_per_em() as f32
}

/// Draws a glyph at its place on the line.
struct Pen {
    path: PathBuilder,
    scale: f32,
    x: f32,
    y: f32,
}

impl Pen {
    fn place(&self, x: f32, y: f32) -> (f32, f32) {
        (self.x + x * self.scale, self.y - y * self.scale)
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.place(x, y);
        self.path.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.place(x, y);
        self.path.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.place(x1, y1), self.place(x, y));
        self.path.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let ((x1, y1), (x2, y2), (x, y)) = (self.place(x1, y1), self.place(x2, y2), self.place(x, y));
        self.path.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.path.close();
    }
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "the same letters are exactly as wide")]
mod tests {
    use super::*;

    #[test]
    fn both_cuts_have_letters() {
        for cut in [Cut::Regular, Cut::Bold] {
            assert!(cut.outline("Green: 6.1 of 19 l", 0.0, 0.0, 12.0).is_some());
            assert!(cut.width("ab", 24.0) > cut.width("ab", 12.0));
        }
    }

    #[test]
    fn joins_what_is_to_be_joined() {
        // Four Arabic letters standing alone are wider than the word that they make.
        let apart: f32 = "بنفس".chars().map(|letter| Cut::Bold.width(&letter.to_string(), 12.0)).sum();
        assert!(Cut::Bold.width("بنفس", 12.0) < apart);
    }

    #[test]
    fn the_first_letter_of_hebrew_stands_on_the_right() {
        let leftmost = |text: &str| Cut::Bold.outline(text, 0.0, 0.0, 12.0).unwrap().bounds();
        // Lamed alone rises high; the word ends with it on the left.
        let word = Cut::Bold.outline("של", 0.0, 0.0, 12.0).unwrap();
        let highest = word.points().iter().min_by(|one, other| one.y.total_cmp(&other.y)).unwrap();
        assert!(highest.x < leftmost("ל").right(), "{highest:?}");
    }

    #[test]
    fn leaves_out_what_it_cannot_show() {
        assert_eq!(Cut::Bold.width("🥕 green", 12.0), Cut::Bold.width("green", 12.0));
        assert!(Cut::Bold.shows("🥕 green") && !Cut::Bold.shows("🥕 厨房"));
        assert_eq!([Cut::Bold.width("🥕", 12.0), Cut::Bold.width("", 12.0)], [0.0, 0.0]);
    }

    #[test]
    fn a_long_line_ends_in_an_ellipsis() {
        let fitted = Cut::Regular.fitted(&"long ".repeat(40), 12.0, 100.0);
        assert!(fitted.ends_with("long…") || fitted.ends_with('…'));
        assert!(Cut::Regular.width(&fitted, 12.0) <= 100.0);
        assert!(Cut::Regular.width(&fitted, 12.0) > 80.0);
        assert_eq!(Cut::Regular.fitted("short", 12.0, 100.0), "short");
    }

    proptest::proptest! {
        #[test]
        fn any_text_can_be_set(text in "\\PC*", width in 0.0..300.0_f32) {
            let fitted = Cut::Regular.fitted(&text, 12.0, width);
            proptest::prop_assert!(Cut::Regular.width(&fitted, 12.0).is_finite());
            let _ = Cut::Bold.outline(&text, 0.0, 0.0, 12.0);
        }
    }
}
