//! Pictures, where people would rather look: the bins, the life of a batch, the year. And a label for a bin.
//!
//! Pure: the room, the moment and the words give a PNG and the same in words. The numbers are the model's
//! ([`mod@branbell_scheduler::report`], [`branbell_scheduler::series`]); here they only get a place.

mod axis;
mod batch;
mod bins;
mod canvas;
mod encoded;
mod forecast;
mod image;
pub mod label;
mod palette;
mod panel;
mod typeface;
mod year;

use branbell_scheduler::state::Room;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::dialogue::wording::capital;
use crate::say;
use crate::voice::{Calendar, Measures, Voice, tame};
use canvas::{Anchor, Area, Canvas, Type};
use palette::{BORDER, FAINT_INK, INK, PAPER};
use typeface::Cut;

pub use canvas::PaintError;

/// What there are pictures of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum View {
    /// Every bin: how full, which phase, what is next and when.
    Bins,
    /// The batch in a bin, or its last one.
    Batch {
        /// The bin.
        bin: String,
    },
    /// Twelve months: what was kept out of the rubbish, what became soil, and what the plots have had.
    Year,
}

impl View {
    /// What a file of it is called.
    fn file_name(&self) -> &'static str {
        match self {
            View::Bins => "bins.png",
            View::Batch { .. } => "batch.png",
            View::Year => "year.png",
        }
    }
}

/// A picture.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Picture {
    /// What a file of it is called.
    pub file_name: String,
    /// What it is called.
    pub title: String,
    /// The same in words.
    pub alt: String,
    /// The image.
    #[serde(with = "encoded")]
    pub png: Vec<u8>,
    /// Pixels across.
    pub width: u32,
    /// Pixels down.
    pub height: u32,
}

/// The width of a phone, in its own points.
const WIDTH: f32 = 360.0;
/// Pixels to a point: what phones have.
const PIXELS: f32 = 3.0;
/// What stays free on each side.
const MARGIN: f32 = 14.0;

const TITLE: Type = Type::new(Cut::Bold, 17.0, INK);
const NAME: Type = Type::new(Cut::Bold, 14.0, INK);
const BODY: Type = Type::new(Cut::Regular, 12.5, INK);
const SMALL: Type = Type::new(Cut::Regular, 11.0, FAINT_INK);

/// Draws a room as it is at a moment.
///
/// # Errors
/// The image cannot be painted or written.
pub fn draw(voice: &Voice, room: &Room, view: &View, now: DateTime<Utc>) -> Result<Picture, PaintError> {
    let sheet = sheet(voice, room, view, now);
    let pixmap = sheet.canvas.paint(PAPER, PIXELS)?;
    let (width, height) = (pixmap.width(), pixmap.height());
    let png = image::png(&pixmap)?;
    Ok(Picture {
        file_name: view.file_name().to_owned(),
        title: sheet.title,
        alt: sheet.alt,
        png,
        width,
        height,
    })
}

/// What a picture of the room would say, in words.
pub fn in_words(voice: &Voice, room: &Room, view: &View, now: DateTime<Utc>) -> String {
    sheet(voice, room, view, now).alt
}

fn sheet(voice: &Voice, room: &Room, view: &View, now: DateTime<Utc>) -> Sheet {
    let scene = Scene::new(voice, room, now);
    match view {
        View::Bins => bins::draw(&scene),
        View::Batch { bin } => batch::draw(&scene, bin),
        View::Year => year::draw(&scene),
    }
}

/// A picture before it is painted.
struct Sheet {
    title: String,
    alt: String,
    canvas: Canvas,
}

/// What all pictures are drawn from.
struct Scene<'a> {
    voice: &'a Voice,
    room: &'a Room,
    measures: Measures,
    calendar: Calendar<'a>,
    now: DateTime<Utc>,
}

impl<'a> Scene<'a> {
    fn new(voice: &'a Voice, room: &'a Room, now: DateTime<Utc>) -> Self {
        let calendar = Calendar { voice, zone: room.zone, now };
        Self { voice, room, measures: Measures(room.units), calendar, now }
    }

    /// A name that people gave, as a heading.
    fn name(given: &str) -> String {
        capital(&tame(given))
    }

    /// A bin's name as it can be drawn: where the font has none of its letters, which of the bins it is.
    fn drawn_bin(&self, given: &str) -> String {
        let place = self.room.bins_in_use().position(|bin| bin.name == given);
        self.drawn(given, "picture-bin-nameless", place)
    }

    /// A bed's name as it can be drawn.
    fn drawn_plot(&self, given: &str) -> String {
        let place = self.room.plots.iter().position(|plot| plot.name == given);
        self.drawn(given, "picture-plot-nameless", place)
    }

    fn drawn(&self, given: &str, nameless: &str, place: Option<usize>) -> String {
        let name = Self::name(given);
        match place.filter(|_| !NAME.cut.shows(&name)) {
            Some(place) => say!(self.voice, nameless, number = place + 1).plain(),
            None => name,
        }
    }

    /// A title with a bin's name in it. Where that is too long it is cut, and not what the title says of it.
    fn titled(&self, bin: &str, title: impl Fn(&str) -> String) -> String {
        let rest = TITLE.width(&title(""));
        title(&TITLE.fitted(&self.drawn_bin(bin), WIDTH - 2.0 * MARGIN - rest))
    }
}

/// A canvas with its border and its title, which fits.
fn blank(title: &str, height: f32) -> Canvas {
    let mut canvas = Canvas::new(WIDTH, height);
    canvas.frame(Area::new(0.0, 0.0, WIDTH, height), BORDER, 1.5);
    canvas.text(title, MARGIN, 28.0, TITLE);
    canvas
}

#[cfg(test)]
mod tests;
