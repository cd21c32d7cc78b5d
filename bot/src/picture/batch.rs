//! The life of a batch: what went in and came out, how warm it was, and how far it is.

use branbell_scheduler::quantity::ferment::ASSUMED;
use branbell_scheduler::report::report;
use branbell_scheduler::series::{Day, Life, life, midnight};
use branbell_scheduler::state::{Batch, Bin};
use branbell_scheduler::units::{Celsius, Fraction, Millilitres};
use chrono::{DateTime, TimeDelta, Utc};

use super::axis::{Scale, TimeAxis};
use super::forecast::Band;
use super::palette::{BLUE, BLUISH_GREEN, Colour, FAINT_INK, INK, ORANGE, REDDISH_PURPLE, SKY_BLUE};
use super::panel::{LEFT, Panel, RIGHT};
use super::{Anchor, Area, BODY, Canvas, MARGIN, SMALL, Scene, Sheet, WIDTH, blank};
use crate::dialogue::wording::capital;
use crate::say;
use crate::voice::Measures;

/// The heights of the plots.
const TALL: f32 = 58.0;
const LOW: f32 = 40.0;
const STRIP: f32 = 16.0;
const HEAD: f32 = 54.0;
const LINE: f32 = 16.0;
const MARKS: f32 = 16.0;
const FOOT: f32 = 34.0;
/// However short its life is, the axis shows so much.
const SHORTEST: TimeDelta = TimeDelta::days(7);

pub(super) fn draw(scene: &Scene<'_>, bin: &str) -> Sheet {
    let found = scene.room.bin(bin).and_then(|bin| Some((bin, life(scene.room, bin, scene.now)?)));
    match found {
        Some((bin, life)) => Story::new(scene, bin, &life).draw(),
        None => {
            let titled = |name: &str| say!(scene.voice, "picture-batch-none", bin = name).plain();
            let title = titled(&Scene::name(bin));
            let mut canvas = blank(&scene.titled(bin, titled), HEAD + 20.0);
            let hint = scene.voice.word("picture-empty");
            canvas.text(&hint, MARGIN, HEAD, BODY);
            Sheet { alt: format!("{title}. {}.", capital(&hint)), title, canvas }
        }
    }
}

/// Draws a panel from a place down, with a plot of a height, and says the same in words.
type DrawPanel<'a> = fn(&Story<'a>, &mut Canvas, f32, f32) -> String;

/// A batch and all that is said of it.
struct Story<'a> {
    scene: &'a Scene<'a>,
    life: &'a Life,
    axis: TimeAxis,
    title: String,
    /// The title as it is drawn.
    heading: String,
    subtitle: Vec<String>,
    forecast: Option<Band>,
    is_sealed: bool,
    mean: Option<Celsius>,
}

impl<'a> Story<'a> {
    fn new(scene: &'a Scene<'a>, bin: &Bin, life: &'a Life) -> Self {
        let now = scene.now;
        let state = report(scene.room, now).bins.into_iter().find(|state| state.bin == bin.name);
        let state = state.filter(|_| life.ended_at.is_none());
        let (next, forecast) = state.as_ref().map(|state| scene.next(state)).unzip();
        let forecast = forecast.flatten();
        let seen = life.progress.last().map(|(at, _)| *at).or(life.ended_at);
        let to = seen.unwrap_or_else(|| forecast.map_or(now, |band| band.late.max(now)));
        let from = midnight(life.started_at.with_timezone(&scene.room.zone).date_naive(), scene.room.zone);
        let axis = TimeAxis { from, to: to.max(from + SHORTEST), left: LEFT, right: RIGHT };
        let number = life.batch.to_string();
        let titled = |name: &str| say!(scene.voice, "picture-batch", bin = name, number = &number).plain();
        let (title, heading) = (titled(&Scene::name(&bin.name)), scene.titled(&bin.name, titled));
        let subtitle = subtitle(scene, bin, life, next);
        let mean =
            branbell_scheduler::quantity::ferment::ferment(scene.room, bin, now).map(|ferment| ferment.mean);
        Self {
            scene,
            life,
            axis,
            title,
            heading,
            subtitle,
            forecast,
            is_sealed: life.sealed_at.is_some(),
            mean,
        }
    }

    fn draw(&self) -> Sheet {
        let mut panels: Vec<(DrawPanel<'a>, f32)> =
            vec![(Self::scraps, TALL), (Self::bran, STRIP), (Self::drained, LOW), (Self::temperature, LOW)];
        if self.is_sealed {
            panels.push((Self::progress, TALL));
        } else if self.forecast.is_some() {
            panels.push((Self::full, STRIP));
        }
        let head = HEAD + LINE * self.subtitle.len() as f32 - LINE;
        let height = head + MARKS + panels.iter().map(|(_, plot)| Panel::height(*plot)).sum::<f32>() + FOOT;
        let mut canvas = blank(&self.heading, height);
        for (place, line) in self.subtitle.iter().enumerate() {
            canvas.text(
                &BODY.fitted(line, WIDTH - 2.0 * MARGIN),
                MARGIN,
                HEAD - 8.0 + LINE * place as f32,
                BODY,
            );
        }
        let (top, end) = (head + MARKS, height - FOOT);
        self.moments(&mut canvas, head, end);
        let mut alt = vec![format!("{}.", self.title), format!("{}.", capital(&self.subtitle.join(", ")))];
        let mut y = top;
        for (panel, plot) in panels {
            let said = panel(self, &mut canvas, y, plot);
            if !said.is_empty() {
                alt.push(format!("{said}."));
            }
            y += Panel::height(plot);
        }
        self.days(&mut canvas, end);
        Sheet { title: self.title.clone(), alt: alt.join(" "), canvas }
    }

    fn scraps(&self, canvas: &mut Canvas, top: f32, plot: f32) -> String {
        let headline = self.headline("panel-scraps", self.life.scraps, Measures::volume);
        self.volumes(canvas, (top, plot), &headline, SKY_BLUE, |day| day.scraps);
        headline
    }

    fn drained(&self, canvas: &mut Canvas, top: f32, plot: f32) -> String {
        let headline = self.headline("panel-drained", self.life.drained, Measures::volume);
        self.volumes(canvas, (top, plot), &headline, BLUE, |day| day.drained);
        headline
    }

    /// What a panel is about, and how much of it there was in all.
    fn headline(&self, id: &str, total: Millilitres, word: fn(Measures, Millilitres) -> String) -> String {
        let has_any = total > Millilitres::ZERO;
        let total =
            if has_any { word(self.scene.measures, total) } else { self.scene.voice.word("picture-none") };
        say!(self.scene.voice, id, total = total).plain()
    }

    /// A bar for each day.
    fn volumes(
        &self,
        canvas: &mut Canvas,
        (top, plot): (f32, f32),
        headline: &str,
        colour: Colour,
        of: impl Fn(&Day) -> Millilitres,
    ) {
        let panel = Panel::open(canvas, top, plot, headline, Some(colour));
        let largest = self.life.days.iter().map(&of).fold(Millilitres::ZERO, Millilitres::max);
        if largest <= Millilitres::ZERO {
            return panel.nothing(canvas);
        }
        let measures = self.scene.measures;
        let scale = Scale::up_to(largest, measures.volume_unit(largest), panel.plot.top, panel.plot.bottom);
        panel.rules(canvas, &scale, |ml| {
            if ml > Millilitres::ZERO { measures.volume_like(ml, largest) } else { "0".to_owned() }
        });
        for day in self.life.days.iter().filter(|day| of(day) > Millilitres::ZERO) {
            panel.bar(canvas, self.breadth(day), scale.y(of(day)), colour);
        }
    }

    /// A mark for each day with bran.
    fn bran(&self, canvas: &mut Canvas, top: f32, plot: f32) -> String {
        let headline = self.headline("panel-bran", self.life.bran, Measures::bran_told);
        let panel = Panel::open(canvas, top, plot, &headline, Some(ORANGE));
        let middle = panel.plot.top + 6.0;
        canvas.line(&[(LEFT, middle), (RIGHT, middle)], FAINT_INK, 1.0);
        for day in self.life.days.iter().filter(|day| day.bran > Millilitres::ZERO) {
            let (left, right) = self.breadth(day);
            let x = f32::midpoint(left, right);
            let corners = [(x, middle - 5.5), (x + 5.5, middle), (x, middle + 5.5), (x - 5.5, middle)];
            canvas.polygon(&corners, ORANGE);
            canvas.outline(&corners, INK, 0.8);
        }
        headline
    }

    fn temperature(&self, canvas: &mut Canvas, top: f32, plot: f32) -> String {
        let (voice, measures) = (self.scene.voice, self.scene.measures);
        let readings = &self.life.temperatures;
        let of =
            |pick: fn(Celsius, Celsius) -> Celsius| readings.iter().map(|(_, celsius)| *celsius).reduce(pick);
        let (Some(low), Some(high)) = (of(Celsius::min), of(Celsius::max)) else {
            let assumed = measures.temperature(Celsius(ASSUMED.value));
            let id = if self.is_sealed { "panel-temperature-assumed" } else { "panel-temperature-none" };
            let headline = say!(voice, id, assumed = assumed).plain();
            let panel = Panel::open(canvas, top, plot, &headline, Some(REDDISH_PURPLE));
            panel.nothing(canvas);
            return headline;
        };
        let span = if high - low < Celsius(0.25) {
            measures.temperature(high)
        } else {
            say!(voice, "span", from = measures.temperature(low), to = measures.temperature(high)).plain()
        };
        let mean = self.mean.map(|mean| measures.temperature(mean));
        let headline = match mean {
            Some(mean) => say!(voice, "panel-temperature-mean", span = span, mean = mean),
            None => say!(voice, "panel-temperature", span = span),
        };
        let headline = headline.plain();
        let panel = Panel::open(canvas, top, plot, &headline, Some(REDDISH_PURPLE));
        let scale = Scale::of_temperatures(low, high, measures, panel.plot.top, panel.plot.bottom);
        panel.rules(canvas, &scale, |celsius| measures.temperature(celsius));
        let points: Vec<(f32, f32)> =
            readings.iter().map(|(at, celsius)| (self.axis.x(*at), scale.y(*celsius))).collect();
        canvas.line(&points, REDDISH_PURPLE, 2.0);
        let radius = if points.len() > 40 { 1.5 } else { 3.0 };
        for (x, y) in points {
            canvas.dot(x, y, radius, REDDISH_PURPLE);
        }
        headline
    }

    /// When it will be full. The subtitle has said it in words.
    fn full(&self, canvas: &mut Canvas, top: f32, plot: f32) -> String {
        let panel = Panel::open(canvas, top, plot, &self.scene.voice.word("panel-full"), Some(SKY_BLUE));
        let middle = panel.plot.top + 6.0;
        canvas.line(&[(LEFT, middle), (RIGHT, middle)], FAINT_INK, 1.0);
        if let Some(Band { early, late, .. }) = self.forecast {
            let (early, late) = (self.axis.x(early), self.axis.x(late));
            let bar = Area::new(early, middle - 5.0, late.max(early + 3.0), middle + 5.0);
            canvas.fill(bar, SKY_BLUE.thinned(0.6));
            canvas.frame(bar, INK, 0.8);
        }
        String::new()
    }

    /// How far it is, by the clock, and will be.
    fn progress(&self, canvas: &mut Canvas, top: f32, plot: f32) -> String {
        let voice = self.scene.voice;
        let past = self.life.progress.partition_point(|(at, _)| *at <= self.scene.now);
        let (past, ahead) = self.life.progress.split_at(past);
        let far = past.last().map_or(0.0, |(_, progress)| progress.get());
        let percent = (far * 100.0).round().to_string();
        let headline = say!(voice, "panel-progress", percent = percent).plain();
        let panel = Panel::open(canvas, top, plot, &headline, Some(BLUISH_GREEN));
        let scale = Scale {
            from: Fraction(0.0),
            to: Fraction(1.0),
            step: Fraction(0.5),
            top: panel.plot.top,
            bottom: panel.plot.bottom,
        };
        panel.rules(canvas, &scale, |share| format!("{} %", (share.get() * 100.0).round()));
        let place = |(at, progress): &(DateTime<Utc>, Fraction)| (self.axis.x(*at), scale.y(*progress));
        let course: Vec<(f32, f32)> = past.iter().map(place).collect();
        if let (Some(first), Some(last)) = (course.first(), course.last()) {
            let mut body = course.clone();
            body.extend([(last.0, panel.plot.bottom), (first.0, panel.plot.bottom)]);
            canvas.polygon(&body, BLUISH_GREEN.thinned(0.35));
        }
        canvas.line(&course, BLUISH_GREEN, 2.2);
        let coming: Vec<(f32, f32)> = past.last().into_iter().chain(ahead).map(place).collect();
        canvas.dashes(&coming, BLUISH_GREEN, 2.0);
        headline
    }

    /// Where on the axis a day stands.
    fn breadth(&self, day: &Day) -> (f32, f32) {
        let zone = self.scene.room.zone;
        let next = day.day.succ_opt().unwrap_or(day.day);
        let (left, right) = (self.axis.x(midnight(day.day, zone)), self.axis.x(midnight(next, zone)));
        let half = ((right - left) * 0.4).clamp(1.6, 6.0);
        let middle = f32::midpoint(left, right).clamp(LEFT + half, RIGHT - half);
        (middle - half, middle + half)
    }

    /// Sealing, today and the forecast, through all panels.
    fn moments(&self, canvas: &mut Canvas, top: f32, end: f32) {
        let voice = self.scene.voice;
        if let Some(forecast) = &self.forecast {
            let (early, late) = (self.axis.x(forecast.early), self.axis.x(forecast.late));
            let area = Area::new(early, top + 14.0, late.max(early + 2.0), end);
            canvas.fill(area, if self.is_sealed { BLUISH_GREEN } else { SKY_BLUE }.thinned(0.14));
        }
        let mut marks: Vec<(f32, String)> = Vec::new();
        if let Some(sealed) = self.life.sealed_at {
            marks.push((self.axis.x(sealed), voice.word("mark-sealed")));
        }
        match self.life.ended_at {
            None if self.axis.holds(self.scene.now) => {
                marks.push((self.axis.x(self.scene.now), voice.word("today")));
            }
            None => {}
            Some(ended) => marks.push((self.axis.x(ended), voice.word("mark-end"))),
        }
        if let Some(forecast) = &self.forecast {
            let middle = f32::midpoint(self.axis.x(forecast.early), self.axis.x(forecast.late));
            marks.push((middle, voice.word(if self.is_sealed { "mark-ready" } else { "mark-full" })));
        }
        let lines = marks.len() - usize::from(self.forecast.is_some());
        for (x, _) in &marks[..lines] {
            canvas.dashes(&[(*x, top + 14.0), (*x, end)], FAINT_INK, 1.0);
        }
        let mut free = LEFT - 20.0;
        for (x, word) in &marks {
            let half = SMALL.width(word) / 2.0;
            let x = x.max(free + half).min(RIGHT - half);
            if x - half >= free - 0.1 {
                canvas.text(word, x, top + 10.0, SMALL.at(Anchor::Middle));
                free = x + half + 6.0;
            }
        }
    }

    fn days(&self, canvas: &mut Canvas, end: f32) {
        canvas.line(&[(LEFT, end), (RIGHT, end)], FAINT_INK, 1.0);
        for at in self.axis.marks(self.scene.room.zone, 60.0).into_iter().filter(|at| self.axis.holds(*at)) {
            let x = self.axis.x(at);
            let word = self.scene.calendar.short(at);
            let half = SMALL.width(&word) / 2.0;
            canvas.line(&[(x, end), (x, end + 4.0)], FAINT_INK, 1.0);
            canvas.text(&word, x.min(RIGHT - half), end + 17.0, SMALL.at(Anchor::Middle));
        }
    }
}

/// What it is doing, and what is next and when.
fn subtitle(scene: &Scene<'_>, bin: &Bin, life: &Life, next: Option<String>) -> Vec<String> {
    let (voice, calendar) = (scene.voice, scene.calendar);
    let begun = calendar.day(life.started_at);
    let said = match (life.ended_at, life.sealed_at) {
        (Some(ended), _) => {
            let is_buried = bin.batches().next_back().is_some_and(Batch::is_buried);
            let id = if is_buried { "batch-buried" } else { "batch-discarded" };
            say!(voice, id, from = begun, to = calendar.day(ended))
        }
        (None, None) => say!(voice, "batch-filling", day = begun),
        (None, Some(sealed)) => say!(voice, "batch-sealed", day = calendar.day(sealed)),
    };
    [Some(said.plain()), next].into_iter().flatten().collect()
}
