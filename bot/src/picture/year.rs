//! Twelve months: what was kept out of the rubbish, what was dug in to become soil, and what each plot has had.

use branbell_scheduler::quantity::nitrogen::YARDSTICK;
use branbell_scheduler::report::{PlotReport, report};
use branbell_scheduler::series::{Month, year};
use branbell_scheduler::units::{GramsPerSquareMetre, Unit};

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
    let kept = or_nothing(scene, year.tally.kept_out.value, Measures::mass);
    let kept = say!(scene.voice, "panel-kept-out", total = kept).plain();
    let soil = or_nothing(scene, year.buried, Measures::about_volume);
    let soil = say!(scene.voice, "panel-soil", total = soil).plain();
    let first = Bars {
        scene,
        months: &year.months,
        colour: BLUISH_GREEN,
        of: |month| month.kept_out,
        unit: Measures::mass_unit,
        word: Measures::mass_like,
    };
    let second = Bars {
        scene,
        months: &year.months,
        colour: ORANGE,
        of: |month| month.buried,
        unit: Measures::volume_unit,
        word: Measures::volume_like,
    };
    let middle = HEAD + first.height();
    let low = middle + second.height();
    let mut canvas = blank(&title, low + Panel::height(ROW * rows as f32) + 16.0 + FOOT);
    let kept_by_month = first.draw(&mut canvas, HEAD, &kept);
    let soil_by_month = second.draw(&mut canvas, middle, &soil);
    let nitrogen = scene.nitrogen(&mut canvas, low, &plots);
    let alt = [format!("{title}."), kept_by_month, soil_by_month, nitrogen].join(" ");
    Sheet { title, alt, canvas }
}

fn or_nothing<U: Unit>(scene: &Scene<'_>, amount: U, word: fn(Measures, U) -> String) -> String {
    if amount > U::new(0.0) {
        say!(scene.voice, "picture-about", amount = word(scene.measures, amount)).plain()
    } else {
        scene.voice.word("picture-nothing-yet")
    }
}

/// A panel with a bar for each month.
struct Bars<'a, U> {
    scene: &'a Scene<'a>,
    months: &'a [Month],
    colour: Colour,
    /// What is shown of a month.
    of: fn(&Month) -> U,
    /// The size of the unit in which an amount is said.
    unit: fn(Measures, U) -> U,
    /// An amount in the unit in which another is said.
    word: fn(Measures, U, U) -> String,
}

impl<U: Unit> Bars<'_, U> {
    fn largest(&self) -> U {
        let larger = |one: U, other: U| if other > one { other } else { one };
        self.months.iter().map(self.of).fold(U::new(0.0), larger)
    }

    /// The height of the plot: hardly any where nothing is to be shown.
    fn plot(&self) -> f32 {
        if self.largest() > U::new(0.0) { PLOT } else { LOW }
    }

    fn height(&self) -> f32 {
        Panel::height(self.plot()) + MONTHS
    }

    /// Draws the panel and says it in words.
    fn draw(&self, canvas: &mut Canvas, top: f32, headline: &str) -> String {
        let panel = Panel::open(canvas, top, self.plot(), headline, Some(self.colour));
        let (measures, largest, nothing) = (self.scene.measures, self.largest(), U::new(0.0));
        let breadth = (RIGHT - LEFT) / self.months.len().max(1) as f32;
        let scale = Scale::up_to(largest, (self.unit)(measures, largest), panel.plot.top, panel.plot.bottom);
        if largest > nothing {
            panel.rules(canvas, &scale, |value| {
                if value > nothing { (self.word)(measures, value, largest) } else { "0".to_owned() }
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
            let amount = (self.of)(month);
            if amount > nothing {
                panel.bar(canvas, (left + 3.5, left + breadth - 3.5), scale.y(amount), self.colour);
                said.push(format!("{name} {}", (self.word)(measures, amount, amount)));
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
                Some(load) => self.measures.load(load),
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
        let words = say!(self.voice, "plot-yardstick", load = self.measures.load(yardstick)).plain();
        canvas.text(&words, line.max(MARGIN + SMALL.width(&words)), foot + 13.0, SMALL.at(Anchor::Right));
        if plots.len() > MOST {
            let more = say!(self.voice, "picture-more", count = plots.len() - MOST).plain();
            canvas.text(&more, MARGIN, foot + 30.0, SMALL);
            said.push(more);
        }
        format!("{headline}: {}. {}.", said.join("; "), capital(&words))
    }
}
