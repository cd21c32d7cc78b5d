//! Twelve months: what was kept out of the rubbish, what was dug in to become soil, and what each plot has had.

use branbell_scheduler::quantity::nitrogen::YARDSTICK;
use branbell_scheduler::report::{PlotReport, report};
use branbell_scheduler::series::{Month, year};
use branbell_scheduler::units::GramsPerSquareMetre;

use super::axis::Scale;
use super::palette::{BLUISH_GREEN, Colour, INK, ORANGE, RULE, SKY_BLUE, VERMILLION};
use super::panel::{LEFT, Panel, RIGHT};
use super::{Anchor, Area, BODY, Canvas, MARGIN, SMALL, Scene, Sheet, blank};
use crate::dialogue::wording::capital;
use crate::say;
use crate::voice::Measures;

/// More plots than these are only counted.
const MOST: usize = 8;
const HEAD: f32 = 40.0;
const PLOT: f32 = 84.0;
const LOW: f32 = 8.0;
const MONTHS: f32 = 22.0;
const ROW: f32 = 30.0;
const FOOT: f32 = 16.0;

pub(super) fn draw(scene: &Scene<'_>) -> Sheet {
    let year = year(scene.room, scene.now);
    let plots = report(scene.room, scene.now).plots;
    let title = say!(scene.voice, "picture-year", day = scene.calendar.date(scene.now)).plain();
    let rows = plots.len().clamp(1, MOST) + usize::from(plots.len() > MOST);
    let measures = scene.measures;
    let or_nothing = |amount: f64, word: fn(Measures, f64) -> String| {
        if amount > 0.0 {
            say!(scene.voice, "picture-about", amount = word(measures, amount)).plain()
        } else {
            scene.voice.word("picture-nothing-yet")
        }
    };
    let kept = or_nothing(year.tally.kept_out.value.get(), Measures::mass);
    let kept = say!(scene.voice, "panel-kept-out", total = kept).plain();
    let soil = or_nothing(year.buried.get(), Measures::about_volume);
    let soil = say!(scene.voice, "panel-soil", total = soil).plain();
    let mass = |month: &Month| month.kept_out.get();
    let volume = |month: &Month| month.buried.get();
    let largest = |of: &dyn Fn(&Month) -> f64| year.months.iter().map(of).fold(0.0, f64::max);
    let first = Bars {
        scene,
        months: &year.months,
        colour: BLUISH_GREEN,
        plot: plot(largest(&mass)),
        unit: measures.mass_unit(largest(&mass)),
        word: &|g, like| measures.mass_like(g, like),
    };
    let second = Bars {
        colour: ORANGE,
        plot: plot(largest(&volume)),
        unit: measures.volume_unit(largest(&volume)),
        word: &|ml, like| measures.volume_like(ml, like),
        ..first
    };
    let middle = HEAD + first.height();
    let low = middle + second.height();
    let mut canvas = blank(&title, low + Panel::height(ROW * rows as f32) + 16.0 + FOOT);
    let kept_by_month = first.draw(&mut canvas, HEAD, &kept, mass);
    let soil_by_month = second.draw(&mut canvas, middle, &soil, volume);
    let nitrogen = scene.nitrogen(&mut canvas, low, &plots);
    let alt = [format!("{title}."), kept_by_month, soil_by_month, nitrogen].join(" ");
    Sheet { title, alt, canvas }
}

/// A panel with a bar for each month.
struct Bars<'a> {
    scene: &'a Scene<'a>,
    months: &'a [Month],
    colour: Colour,
    plot: f32,
    unit: f64,
    /// An amount in the unit in which another is said.
    word: &'a dyn Fn(f64, f64) -> String,
}

/// The height of a plot: hardly any where nothing is to be shown.
fn plot(largest: f64) -> f32 {
    if largest > 0.0 { PLOT } else { LOW }
}

impl Bars<'_> {
    fn height(&self) -> f32 {
        Panel::height(self.plot) + MONTHS
    }

    /// Draws the panel and says it in words.
    fn draw(&self, canvas: &mut Canvas, top: f32, headline: &str, of: impl Fn(&Month) -> f64) -> String {
        let panel = Panel::open(canvas, top, self.plot, headline, Some(self.colour));
        let largest = self.months.iter().map(&of).fold(0.0, f64::max);
        let breadth = (RIGHT - LEFT) / self.months.len().max(1) as f32;
        let scale = Scale::up_to(largest, self.unit, panel.plot.top, panel.plot.bottom);
        if largest > 0.0 {
            panel.rules(canvas, &scale, |value| {
                if value > 0.0 { (self.word)(value, largest) } else { "0".to_owned() }
            });
        } else {
            panel.nothing(canvas);
        }
        let mut said = Vec::new();
        for (place, month) in self.months.iter().enumerate() {
            let left = LEFT + breadth * place as f32;
            let name = self.scene.calendar.month(month.first);
            let middle = left + breadth / 2.0;
            canvas.text(&name, middle, panel.plot.bottom + 14.0, SMALL.at(Anchor::Middle));
            if of(month) > 0.0 {
                panel.bar(canvas, (left + 3.5, left + breadth - 3.5), scale.y(of(month)), self.colour);
                said.push(format!("{name} {}", (self.word)(of(month), of(month))));
            }
        }
        if said.is_empty() { format!("{headline}.") } else { format!("{headline} ({}).", said.join(", ")) }
    }
}

impl Scene<'_> {
    /// A bar for each plot, and the yardstick; gives the same in words.
    fn nitrogen(&self, canvas: &mut Canvas, top: f32, plots: &[PlotReport]) -> String {
        let yardstick = GramsPerSquareMetre(YARDSTICK.value);
        let shown = &plots[..plots.len().min(MOST)];
        let headline = self.voice.word("panel-nitrogen");
        let panel = Panel::open(canvas, top, ROW * shown.len().max(1) as f32, &headline, Some(SKY_BLUE));
        if plots.is_empty() {
            let none = self.voice.word("picture-no-plots");
            canvas.text(&none, MARGIN, panel.plot.top + 16.0, BODY);
            return format!("{headline}: {none}.");
        }
        let loads = shown.iter().filter_map(|plot| plot.nitrogen_g_m2_year);
        let largest = loads.fold(yardstick, GramsPerSquareMetre::max).get() * 1.05;
        let x = |load: f64| MARGIN + (load / largest).clamp(0.0, 1.0) as f32 * (RIGHT - MARGIN);
        let line = x(yardstick.get());
        let mut said = Vec::new();
        for (place, plot) in shown.iter().enumerate() {
            let y = panel.plot.top + ROW * place as f32;
            let load = plot.nitrogen_g_m2_year;
            let word = match load {
                Some(load) => self.measures.load(load.get()),
                None => self.voice.word("picture-plot-sizeless"),
            };
            let is_over = load.is_some_and(|load| load >= yardstick);
            let word = if is_over { say!(self.voice, "plot-enough", load = word).plain() } else { word };
            canvas.text(&word, RIGHT, y + 12.0, BODY.at(Anchor::Right));
            let name = Self::name(&plot.plot);
            canvas.text(
                &BODY.fitted(&self.drawn_plot(&plot.plot), RIGHT - MARGIN - BODY.width(&word) - 10.0),
                MARGIN,
                y + 12.0,
                BODY,
            );
            canvas.fill(Area::new(MARGIN, y + 17.0, RIGHT, y + 26.0), RULE.thinned(0.6));
            if let Some(load) = load {
                let colour = if is_over { VERMILLION } else { SKY_BLUE };
                canvas.fill(Area::new(MARGIN, y + 17.0, x(load.get()), y + 26.0), colour);
            }
            canvas.line(&[(line, y + 15.0), (line, y + 28.0)], INK, 1.6);
            said.push(format!("{name} {word}"));
        }
        let foot = panel.plot.bottom;
        let words = say!(self.voice, "plot-yardstick", load = self.measures.load(yardstick.get())).plain();
        canvas.text(&words, line.max(MARGIN + SMALL.width(&words)), foot + 13.0, SMALL.at(Anchor::Right));
        if plots.len() > MOST {
            let more = say!(self.voice, "picture-more", count = plots.len() - MOST).plain();
            canvas.text(&more, MARGIN, foot + 30.0, SMALL);
            said.push(more);
        }
        format!("{headline}: {}. {}.", said.join("; "), capital(&words))
    }
}
