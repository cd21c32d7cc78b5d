//! A surface to draw on, in points: shapes with one colour each, painted as a PNG or written as an SVG.

use tiny_skia::{
    FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Rect, Stroke, StrokeDash, Transform,
};

use super::palette::Colour;
use super::typeface::Cut;

/// Why a picture could not be painted.
#[derive(Debug, thiserror::Error)]
pub enum PaintError {
    /// No picture has this size.
    #[error("a picture of {width} by {height} pixels cannot be painted")]
    Size {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The PNG could not be written.
    #[error("the picture cannot be written as PNG: {0}")]
    Png(#[from] png::EncodingError),
}

/// A surface to draw on. One point is a pixel of a phone's layout; `x` runs to the right and `y` down.
pub(super) struct Canvas {
    pub(super) width: f32,
    pub(super) height: f32,
    shapes: Vec<Shape>,
}

struct Shape {
    path: Path,
    colour: Colour,
    ink: Ink,
}

/// How a shape is drawn.
#[derive(Clone, Debug)]
enum Ink {
    Filled,
    Line { width: f32, dash: Option<[f32; 2]> },
}

/// A rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub(super) left: f32,
    pub(super) top: f32,
    pub(super) right: f32,
    pub(super) bottom: f32,
}

impl Area {
    pub(super) fn new(left: f32, top: f32, right: f32, bottom: f32) -> Self {
        Self { left, top, right, bottom }
    }

    pub(super) fn width(&self) -> f32 {
        self.right - self.left
    }
}

/// On which end of a line of text its place is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    Left,
    Middle,
    Right,
}

/// How text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Type {
    pub(super) cut: Cut,
    pub(super) size: f32,
    pub(super) colour: Colour,
    pub(super) anchor: Anchor,
}

impl Type {
    pub(super) const fn new(cut: Cut, size: f32, colour: Colour) -> Self {
        Self { cut, size, colour, anchor: Anchor::Left }
    }

    pub(super) fn at(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    pub(super) fn width(self, text: &str) -> f32 {
        self.cut.width(text, self.size)
    }

    pub(super) fn fitted(self, text: &str, width: f32) -> String {
        self.cut.fitted(text, self.size, width)
    }
}

impl Canvas {
    pub(super) fn new(width: f32, height: f32) -> Self {
        Self { width, height, shapes: Vec::new() }
    }

    /// A filled rectangle; nothing where it has no extent.
    pub(super) fn fill(&mut self, area: Area, colour: Colour) {
        if let Some(rect) = Rect::from_ltrb(area.left, area.top, area.right, area.bottom) {
            self.push(Some(PathBuilder::from_rect(rect)), colour, Ink::Filled);
        }
    }

    /// Rectangles as one shape, so that no seam shows where they meet.
    pub(super) fn cells(&mut self, areas: &[Area], colour: Colour) {
        let mut path = PathBuilder::new();
        let rects =
            areas.iter().filter_map(|area| Rect::from_ltrb(area.left, area.top, area.right, area.bottom));
        rects.for_each(|rect| path.push_rect(rect));
        self.push(path.finish(), colour, Ink::Filled);
    }

    /// The outline of a rectangle, inside it.
    pub(super) fn frame(&mut self, area: Area, colour: Colour, width: f32) {
        let half = width / 2.0;
        let inner = Rect::from_ltrb(area.left + half, area.top + half, area.right - half, area.bottom - half);
        self.push(inner.map(PathBuilder::from_rect), colour, Ink::Line { width, dash: None });
    }

    /// A filled shape through these corners.
    pub(super) fn polygon(&mut self, corners: &[(f32, f32)], colour: Colour) {
        self.push(path(corners, true), colour, Ink::Filled);
    }

    /// A closed line through these corners.
    pub(super) fn outline(&mut self, corners: &[(f32, f32)], colour: Colour, width: f32) {
        self.push(path(corners, true), colour, Ink::Line { width, dash: None });
    }

    /// A line through these points.
    pub(super) fn line(&mut self, points: &[(f32, f32)], colour: Colour, width: f32) {
        self.push(path(points, false), colour, Ink::Line { width, dash: None });
    }

    /// A dashed line through these points.
    pub(super) fn dashes(&mut self, points: &[(f32, f32)], colour: Colour, width: f32) {
        self.push(path(points, false), colour, Ink::Line { width, dash: Some([3.0, 3.0]) });
    }

    /// A filled circle.
    pub(super) fn dot(&mut self, x: f32, y: f32, radius: f32, colour: Colour) {
        self.push(PathBuilder::from_circle(x, y, radius), colour, Ink::Filled);
    }

    /// A line of text at a place on its baseline.
    pub(super) fn text(&mut self, text: &str, x: f32, y: f32, set: Type) {
        let left = match set.anchor {
            Anchor::Left => x,
            Anchor::Middle => x - set.width(text) / 2.0,
            Anchor::Right => x - set.width(text),
        };
        self.push(set.cut.outline(text, left, y, set.size), set.colour, Ink::Filled);
    }

    fn push(&mut self, path: Option<Path>, colour: Colour, ink: Ink) {
        self.shapes.extend(path.map(|path| Shape { path, colour, ink }));
    }

    /// Paints everything, so many pixels to a point, on an opaque ground.
    pub(super) fn paint(&self, ground: Colour, pixels: f32) -> Result<Pixmap, PaintError> {
        let size = |points: f32| (points * pixels).round() as u32;
        let (width, height) = (size(self.width), size(self.height));
        let mut pixmap = Pixmap::new(width, height).ok_or(PaintError::Size { width, height })?;
        pixmap.fill(tiny_skia::Color::from_rgba8(ground.0, ground.1, ground.2, 255));
        let scale = Transform::from_scale(pixels, pixels);
        for Shape { path, colour, ink } in &self.shapes {
            let mut paint = Paint { anti_alias: true, ..Paint::default() };
            paint.set_color_rgba8(colour.0, colour.1, colour.2, 255);
            match ink {
                Ink::Filled => pixmap.fill_path(path, &paint, FillRule::Winding, scale, None),
                Ink::Line { width, dash } => {
                    let dash = dash.and_then(|dash| StrokeDash::new(dash.to_vec(), 0.0));
                    let (line_cap, line_join) = (LineCap::Butt, LineJoin::Round);
                    let stroke = Stroke { width: *width, line_cap, line_join, dash, ..Stroke::default() };
                    pixmap.stroke_path(path, &paint, &stroke, scale, None);
                }
            }
        }
        Ok(pixmap)
    }

    /// The shapes as elements of an SVG.
    pub(super) fn elements(&self) -> String {
        let elements = self.shapes.iter().map(|Shape { path, colour, ink }| {
            let (path, colour) = (data(path), colour.hex());
            match ink {
                Ink::Filled => format!("<path d=\"{path}\" fill=\"{colour}\"/>\n"),
                Ink::Line { width, dash } => {
                    let dash = dash.map(|[on, off]| format!(" stroke-dasharray=\"{on} {off}\"")).unwrap_or_default();
                    format!("<path d=\"{path}\" fill=\"none\" stroke=\"{colour}\" stroke-width=\"{width}\"{dash}/>\n")
                }
            }
        });
        elements.collect()
    }
}

fn path(points: &[(f32, f32)], is_closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    for (place, (x, y)) in points.iter().enumerate() {
        if place == 0 {
            path.move_to(*x, *y);
        } else {
            path.line_to(*x, *y);
        }
    }
    if is_closed {
        path.close();
    }
    path.finish()
}

/// A path in SVG's notation, to a hundredth of a point.
fn data(path: &Path) -> String {
    use tiny_skia::PathSegment::{Close, CubicTo, LineTo, MoveTo, QuadTo};
    let point = |point: tiny_skia::Point| format!("{} {}", short(point.x), short(point.y));
    let segments = path.segments().map(|segment| match segment {
        MoveTo(to) => format!("M{}", point(to)),
        LineTo(to) => format!("L{}", point(to)),
        QuadTo(by, to) => format!("Q{} {}", point(by), point(to)),
        CubicTo(by, and, to) => format!("C{} {} {}", point(by), point(and), point(to)),
        Close => "Z".to_owned(),
    });
    segments.collect()
}

fn short(number: f32) -> f32 {
    (number * 100.0).round() / 100.0
}
