//! Every bin: how full, which phase, and a band of days in which it will be full or ready.

use branbell_scheduler::quantity::fill::FILL_LINE;
use branbell_scheduler::report::{BinReport, report};
use branbell_scheduler::state::Phase;
use chrono::TimeDelta;

use super::axis::TimeAxis;
use super::forecast::Band;
use super::palette::{BLUISH_GREEN, Colour, FAINT_INK, INK, ORANGE, RULE, SKY_BLUE, VERMILLION};
use super::{Anchor, Area, BODY, Canvas, Cut, MARGIN, NAME, SMALL, Scene, Sheet, Type, WIDTH, blank};
use crate::say;
use crate::voice::{Text, about_percent};

/// More bins than these are only counted: a picture is to be seen at a glance.
const MOST: usize = 12;
const HEAD: f32 = 42.0;
/// A row with a band, and one without.
const BANDED: f32 = 82.0;
const PLAIN: f32 = 76.0;
/// Below the rows: the days, and what stays free where there are none.
const FOOT: f32 = 34.0;
const NO_DAYS: f32 = 10.0;
const MORE: f32 = 16.0;
/// Where the words of a row begin, right of the bin.
const WORDS: f32 = 76.0;
const PERCENT: Type = Type { anchor: Anchor::Middle, ..Type::new(Cut::Bold, 12.0, INK) };
/// The axis shows at least two weeks, and no more than two months.
const SHORTEST: TimeDelta = TimeDelta::days(14);
const LONGEST: TimeDelta = TimeDelta::days(61);

/// A bin as its row shows it.
struct Row {
    bin: BinReport,
    /// Its name as it is drawn.
    name: String,
    phase: String,
    level: String,
    forecast: String,
    band: Option<Band>,
}

impl Row {
    fn height(&self) -> f32 {
        if self.band.is_some() { BANDED } else { PLAIN }
    }
}

pub(super) fn draw(scene: &Scene<'_>) -> Sheet {
    let rows: Vec<Row> = report(scene.room, scene.now).bins.into_iter().map(|bin| scene.row(bin)).collect();
    let title = say!(scene.voice, "picture-bins", day = scene.calendar.date(scene.now)).plain();
    let shown = &rows[..rows.len().min(MOST)];
    let more = rows.len() - shown.len();
    let end = HEAD + shown.iter().map(Row::height).sum::<f32>();
    let axis = axis(scene, shown);
    let foot = if axis.is_some() || rows.is_empty() { FOOT } else { NO_DAYS };
    let mut canvas = blank(&title, end + foot + if more > 0 { MORE } else { 0.0 });
    if let Some(axis) = &axis {
        scene.days(&mut canvas, axis, end);
    }
    let mut top = HEAD;
    for (place, row) in shown.iter().enumerate() {
        if place > 0 {
            canvas.line(&[(MARGIN, top), (WIDTH - MARGIN, top)], RULE, 1.0);
        }
        draw_row(&mut canvas, row, top, axis.as_ref());
        top += row.height();
    }
    let rest = match (rows.is_empty(), more) {
        (true, _) => scene.voice.word("picture-bins-none"),
        (_, 0) => String::new(),
        (_, more) => say!(scene.voice, "picture-more", count = more).plain(),
    };
    canvas.text(&rest, MARGIN, if rows.is_empty() { 60.0 } else { end + foot + 2.0 }, SMALL);
    let alt = rows
        .iter()
        .map(|row| scene.bin_in_words(row))
        .fold(format!("{title}."), |alt, line| format!("{alt} {line}"));
    Sheet { alt: if rows.is_empty() { format!("{alt} {rest}.") } else { alt }, title, canvas }
}

impl Scene<'_> {
    fn row(&self, bin: BinReport) -> Row {
        let (forecast, band) = self.next(&bin);
        let (name, phase) = (self.drawn_bin(&bin.bin), self.voice.word(phase_word(bin.phase)));
        Row { name, phase, level: self.level(&bin), forecast, band, bin }
    }

    /// How full, or how far.
    fn level(&self, bin: &BinReport) -> String {
        if matches!(bin.phase, Phase::Empty | Phase::Discarded) {
            let capacity = bin.capacity_ml.map(|capacity| self.measures.volume(capacity));
            return capacity.unwrap_or_default();
        }
        let level = match bin.capacity_ml {
            Some(capacity) => {
                let (part, whole) = self.measures.share(bin.occupied_ml, capacity);
                say!(self.voice, "picture-level", part = part, whole = whole)
            }
            None => {
                say!(self.voice, "picture-level-sizeless", part = self.measures.volume(bin.occupied_ml))
            }
        };
        if bin.phase == Phase::Sealed {
            let percent = about_percent(bin.progress);
            return say!(self.voice, "picture-level-sealed", level = level, percent = percent).plain();
        }
        level.plain()
    }

    fn bin_in_words(&self, row: &Row) -> String {
        let name = Self::name(&row.bin.bin);
        let words = [&row.phase, &row.level, &row.forecast];
        let words: Vec<&str> =
            words.into_iter().map(String::as_str).filter(|words| !words.is_empty()).collect();
        say!(self.voice, "picture-bin", bin = name, state = Text::of_words(&words.join(", "))).plain()
    }

    /// The days along the foot, with a rule for each through all rows, and today.
    fn days(&self, canvas: &mut Canvas, axis: &TimeAxis, end: f32) {
        let days = axis.marks(self.room.zone, 58.0).into_iter().skip(1).filter(|at| axis.holds(*at));
        for (x, word) in days
            .map(|at| (axis.x(at), self.calendar.short(at)))
            .chain([(axis.left, self.voice.word("today"))])
        {
            canvas.line(&[(x, end), (x, end + 4.0)], FAINT_INK, 1.0);
            let half = SMALL.width(&word) / 2.0;
            canvas.text(&word, x.min(WIDTH - MARGIN - half), end + 17.0, SMALL.at(Anchor::Middle));
        }
        canvas.line(&[(axis.left, end), (axis.right, end)], FAINT_INK, 1.0);
    }
}

/// From now to the end of the last band; none where nothing has a date.
fn axis(scene: &Scene<'_>, rows: &[Row]) -> Option<TimeAxis> {
    let last = rows.iter().filter_map(|row| row.band).map(|band| band.late).max()?;
    let to = last.clamp(scene.now + SHORTEST, scene.now + LONGEST);
    Some(TimeAxis { from: scene.now, to, left: WORDS, right: WIDTH - MARGIN - 4.0 })
}

fn draw_row(canvas: &mut Canvas, row: &Row, top: f32, axis: Option<&TimeAxis>) {
    let colour = phase_colour(row.bin.phase);
    let middle = top + row.height() / 2.0;
    draw_bin(canvas, &row.bin, Area::new(MARGIN + 2.0, middle - 30.0, MARGIN + 50.0, middle + 28.0), colour);
    let right = WIDTH - MARGIN;
    let phase = BODY.at(Anchor::Right);
    canvas.text(&row.phase, right, top + 21.0, phase);
    let dot = right - phase.width(&row.phase) - 9.0;
    canvas.dot(dot, top + 17.0, 4.5, INK);
    canvas.dot(dot, top + 17.0, 3.5, colour);
    canvas.text(&NAME.fitted(&row.name, dot - 12.0 - WORDS), WORDS, top + 21.0, NAME);
    canvas.text(&BODY.fitted(&row.level, right - WORDS), WORDS, top + 38.0, BODY);
    let lower = match axis.zip(row.band) {
        Some((axis, band)) => {
            draw_band(canvas, axis, band, top + 52.0, colour);
            top + 74.0
        }
        None => top + 56.0,
    };
    canvas.text(&BODY.fitted(&row.forecast, right - WORDS), WORDS, lower, BODY);
}

/// A thin line of waiting, the band, and a mark at the likeliest day.
fn draw_band(canvas: &mut Canvas, axis: &TimeAxis, band: Band, middle: f32, colour: Colour) {
    let (early, at, late) = (axis.x(band.early), axis.x(band.at), axis.x(band.late));
    canvas.line(&[(axis.left, middle), (early, middle)], FAINT_INK, 1.0);
    let late = late.max(early + 3.0);
    let bar = Area::new(early, middle - 5.0, late, middle + 5.0);
    canvas.fill(bar, colour.thinned(0.6));
    canvas.frame(bar, INK, 0.8);
    if axis.holds(band.at) {
        canvas.fill(Area::new(at - 1.5, middle - 7.0, at + 1.5, middle + 7.0), INK);
    }
    if !axis.holds(band.late) {
        let tip = axis.right + 4.0;
        canvas.polygon(&[(tip, middle), (tip - 5.0, middle - 5.0), (tip - 5.0, middle + 5.0)], INK);
    }
}

/// A bin: as full as it is, with the fill line, and a lid once it is closed.
fn draw_bin(canvas: &mut Canvas, bin: &BinReport, area: Area, colour: Colour) {
    // The walls lean inwards by a tenth towards the foot.
    let lean = area.width() * 0.1;
    let (rim, foot) = (area.top + 6.0, area.bottom);
    let wall = |y: f32| {
        let inset = lean * (y - rim) / (foot - rim);
        (area.left + inset, area.right - inset)
    };
    let body = |from: f32| {
        let (left, right) = wall(from);
        [(left, from), (right, from), (area.right - lean, foot), (area.left + lean, foot)]
    };
    canvas.polygon(&body(rim), colour.thinned(0.06));
    let height = |fraction: f64| foot - fraction.clamp(0.0, 1.0) as f32 * (foot - rim);
    let fraction = bin.fraction.map(branbell_scheduler::units::Fraction::get);
    if let Some(fraction) = fraction.filter(|fraction| *fraction > 0.0) {
        canvas.polygon(&body(height(fraction)), colour.thinned(0.55));
    }
    if bin.phase == Phase::Filling {
        let line = height(FILL_LINE.value);
        let (left, right) = wall(line);
        canvas.dashes(&[(left, line), (right, line)], INK, 1.0);
    }
    canvas.outline(&body(rim), INK, 1.6);
    let word = match (bin.phase, fraction) {
        (Phase::Empty | Phase::Discarded, _) => String::new(),
        (_, Some(fraction)) => format!("{} %", (fraction * 100.0).round()),
        (_, None) => "?".to_owned(),
    };
    let (centre, middle) = (f32::midpoint(area.left, area.right), f32::midpoint(rim, foot));
    let below = if bin.phase == Phase::Ready { 1.0 } else { 5.0 };
    canvas.text(&word, centre, middle + below, PERCENT);
    match bin.phase {
        Phase::Sealed => draw_lid(canvas, area),
        Phase::Ready => {
            draw_lid(canvas, area);
            let tick =
                [(centre - 8.0, middle + 13.0), (centre - 2.0, middle + 18.0), (centre + 9.0, middle + 6.0)];
            canvas.line(&tick, INK, 2.4);
        }
        Phase::Discarded => {
            canvas.line(&[(centre - 9.0, middle - 9.0), (centre + 9.0, middle + 9.0)], VERMILLION, 3.0);
            canvas.line(&[(centre - 9.0, middle + 9.0), (centre + 9.0, middle - 9.0)], VERMILLION, 3.0);
        }
        Phase::Empty | Phase::Filling => {}
    }
}

fn draw_lid(canvas: &mut Canvas, area: Area) {
    canvas.fill(Area::new(area.left - 3.0, area.top + 2.0, area.right + 3.0, area.top + 8.0), INK);
    let middle = f32::midpoint(area.left, area.right);
    canvas.fill(Area::new(middle - 7.0, area.top - 1.0, middle + 7.0, area.top + 2.0), INK);
}

fn phase_word(phase: Phase) -> &'static str {
    match phase {
        Phase::Empty => "phase-empty",
        Phase::Filling => "phase-filling",
        Phase::Sealed => "phase-sealed",
        Phase::Ready => "phase-ready",
        Phase::Discarded => "phase-discarded",
    }
}

fn phase_colour(phase: Phase) -> Colour {
    match phase {
        Phase::Empty => FAINT_INK,
        Phase::Filling => SKY_BLUE,
        Phase::Sealed => ORANGE,
        Phase::Ready => BLUISH_GREEN,
        Phase::Discarded => VERMILLION,
    }
}
