//! Every fact in a few words.

use branbell_scheduler::fact::{Lid, Moisture, Mould, Place, Setting, Signs, Smell, What};
use branbell_scheduler::units::{Celsius, Density, Grams, Millilitres, Ph, SquareMetres};
use branbell_scheduler::{Nudge, NudgeKind, plan};
use chrono::{DateTime, Utc};

use super::Speaker;
use super::house::house_text;
use super::inquiry::shown;
use crate::say;

/// USDA cup of wheat bran, 58 g: 0.245 g/ml. Only to say bran in spoons where it was told in grams.
const BRAN: Density = Density(0.245);

impl Speaker<'_> {
    /// A fact in a few words.
    pub(super) fn brief(&self, what: &What) -> String {
        let (voice, measures) = (self.voice, self.measures);
        let said = match what {
            What::Scraps { bin, ml, g, .. } => {
                let amount = self.amount(ml.map(Millilitres), g.map(Grams));
                say!(voice, "brief-scraps", amount = amount, bin = bin)
            }
            What::Bran { bin, ml, g } => {
                let amount = self.bran_told(ml.map(Millilitres), g.map(Grams));
                say!(voice, "brief-bran", amount = amount, bin = bin)
            }
            What::Drained { bin, ml, estimated: false, .. } if *ml <= 0.0 => {
                say!(voice, "brief-drained-nothing", bin = bin)
            }
            What::Drained { bin, ml, estimated: false, .. } => {
                say!(voice, "brief-drained", amount = measures.volume(Millilitres(*ml)), bin = bin)
            }
            What::Drained { bin, ml: 0.0, .. } => say!(voice, "brief-drained-unknown", bin = bin),
            What::Drained { bin, ml, .. } => {
                say!(voice, "brief-drained-about", amount = measures.volume(Millilitres(*ml)), bin = bin)
            }
            What::Started { bin } => say!(voice, "brief-started", bin = bin),
            What::Sealed { bin } => say!(voice, "brief-sealed", bin = bin),
            What::Checked { bin, signs } => {
                let signs = self.signs(signs);
                if signs.is_empty() {
                    say!(voice, "brief-checked-only", bin = bin)
                } else {
                    say!(voice, "brief-checked", bin = bin, signs = signs.join(", "))
                }
            }
            What::Temperature { place, c } => {
                let amount = measures.temperature(Celsius(*c));
                match place {
                    Place::Room => say!(voice, "brief-temperature", amount = amount),
                    Place::Bin(bin) => say!(voice, "brief-temperature-bin", amount = amount, bin = bin),
                    Place::Plot(plot) => say!(voice, "brief-temperature-plot", amount = amount, plot = plot),
                }
            }
            What::SoilPh { plot, ph } => say!(voice, "brief-soil-ph", plot = plot, ph = shown(Ph(*ph))),
            What::Level { bin, fraction } if *fraction >= 0.99 => say!(voice, "brief-level-full", bin = bin),
            What::Level { bin, fraction } if *fraction <= 0.01 => say!(voice, "brief-level-empty", bin = bin),
            What::Level { bin, fraction } => {
                say!(voice, "brief-level", bin = bin, percent = (fraction * 100.0).round() as i64)
            }
            What::Buried { bin, plot: Some(plot), .. } => {
                say!(voice, "brief-buried-in", bin = bin, plot = plot)
            }
            What::Buried { bin, plot: None, .. } => say!(voice, "brief-buried", bin = bin),
            What::Discarded { bin } => say!(voice, "brief-discarded", bin = bin),
            What::Planted { plot, crop: Some(crop) } => {
                say!(voice, "brief-planted-crop", plot = plot, crop = crop)
            }
            What::Planted { plot, crop: None } => say!(voice, "brief-planted", plot = plot),
            What::Cleaned { bin } => say!(voice, "brief-cleaned", bin = bin),
            What::StarterMade { g } => say!(voice, "brief-starter-made", amount = measures.mass(Grams(*g))),
            What::StarterBought { ml, g } => {
                let amount = self.bran_amount(ml.map(Millilitres), g.map(Grams));
                say!(voice, "brief-starter-bought", amount = amount)
            }
            What::StarterStock { ml, g } if ml.or(*g) == Some(0.0) => say!(voice, "brief-starter-out"),
            What::StarterStock { ml, g } => {
                let amount = self.bran_amount(ml.map(Millilitres), g.map(Grams));
                say!(voice, "brief-starter-stock", amount = amount)
            }
            What::BinSet { bin, capacity_ml: Some(ml), .. } => {
                say!(voice, "brief-bin", bin = bin, amount = measures.volume(Millilitres(*ml)))
            }
            What::BinSet { bin, tap: Some(true), .. } => say!(voice, "brief-bin-tap", bin = bin),
            What::BinSet { bin, tap: Some(false), .. } => say!(voice, "brief-bin-no-tap", bin = bin),
            What::BinSet { bin, .. } => say!(voice, "brief-bin-sizeless", bin = bin),
            What::BinGone { bin } => say!(voice, "brief-bin-gone", bin = bin),
            What::PlotSet { plot, area_m2: Some(area) } => {
                say!(voice, "brief-plot", plot = plot, amount = measures.area(SquareMetres(*area)))
            }
            What::PlotSet { plot, .. } => say!(voice, "brief-plot-sizeless", plot = plot),
            What::MeasureSet { measure, ml } => {
                say!(voice, "brief-measure", measure = measure, amount = measures.volume(Millilitres(*ml)))
            }
            What::Setting { setting } => return self.brief_setting(setting),
            What::Away { until: Some(until), .. } => {
                say!(voice, "brief-away-until", day = self.calendar.day(*until))
            }
            What::Away { .. } => say!(voice, "brief-away"),
            What::Back { .. } => say!(voice, "brief-back"),
            // Told by no person, and so never said back to one.
            What::Passed { .. }
            | What::Asked { .. }
            | What::Offered { .. }
            | What::Took { .. }
            | What::Opened { .. }
            | What::Member { .. }
            | What::Left { .. }
            | What::Void { .. } => {
                return String::new();
            }
        };
        said.plain()
    }

    fn brief_setting(&self, setting: &Setting) -> String {
        let voice = self.voice;
        let said = match setting {
            Setting::Zone(zone) => say!(voice, "brief-zone", zone = super::city(*zone)),
            Setting::Units(units) => say!(voice, "brief-units", units = self.units(*units)),
            Setting::Quiet(quiet) if quiet.is_off() => say!(voice, "brief-quiet-off"),
            Setting::Quiet(quiet) => {
                let clock = |time: chrono::NaiveTime| time.format("%H:%M").to_string();
                say!(voice, "brief-quiet", from = clock(quiet.from), to = clock(quiet.to))
            }
            Setting::House { rule, holds } => say!(voice, house_text(*rule, *holds)),
            Setting::Digest(Some(cron)) => {
                let span = if cron.ends_with("* * *") { "day" } else { "week" };
                match self.next_digest() {
                    Some(next) => {
                        say!(voice, "brief-digest-next", span = span, moment = self.calendar.at(next))
                    }
                    None => say!(voice, "brief-digest", span = span),
                }
            }
            Setting::Digest(None) => say!(voice, "brief-digest-off"),
        };
        said.plain()
    }

    fn next_digest(&self) -> Option<DateTime<Utc>> {
        let mut planned = plan(self.room, self.now).into_iter();
        let next = |nudge: &Nudge| nudge.kind == NudgeKind::Digest && nudge.due > self.now;
        planned.find(next).map(|nudge| nudge.due)
    }

    /// Scraps as they were told: by volume, by mass, or both.
    pub(super) fn amount(&self, ml: Option<Millilitres>, g: Option<Grams>) -> String {
        let volume = ml.map(|ml| self.measures.volume(ml));
        let mass = g.map(|g| self.measures.mass(g));
        match (volume, mass) {
            (Some(volume), Some(mass)) => format!("{volume} ({mass})"),
            (one, other) => one.or(other).unwrap_or_default(),
        }
    }

    /// Bran as it was told: by volume, or else by mass.
    fn bran_told(&self, ml: Option<Millilitres>, g: Option<Grams>) -> String {
        let volume = ml.map(|ml| self.measures.bran_told(ml));
        volume.or(g.map(|g| self.measures.mass(g))).unwrap_or_default()
    }

    /// A stock of bran: by mass, where it was told by volume too, for recipes are by mass.
    fn bran_amount(&self, ml: Option<Millilitres>, g: Option<Grams>) -> String {
        self.measures.mass(g.or(ml.map(|ml| ml * BRAN)).unwrap_or_default())
    }

    /// The signs in words, as far as they were told.
    pub(super) fn signs(&self, signs: &Signs) -> Vec<String> {
        let smell = signs.smell.map(|smell| match smell {
            Smell::SweetSour => "sign-sweet-sour",
            Smell::Rotten => "sign-rotten",
            Smell::Ammonia => "sign-ammonia",
            Smell::Alcohol => "sign-alcohol",
            Smell::None => "sign-no-smell",
        });
        let mould = signs.mould.map(|mould| match mould {
            Mould::White => "sign-white",
            Mould::Green => "sign-green",
            Mould::Black => "sign-black",
            Mould::Blue => "sign-blue",
            Mould::Other => "sign-other",
            Mould::None => "sign-no-mould",
        });
        let moisture = signs.moisture.map(|moisture| match moisture {
            Moisture::Wet => "sign-wet",
            Moisture::Dry => "sign-dry",
            Moisture::Fine => "sign-moist",
        });
        let pests = signs.pests.map(|pests| if pests { "sign-pests" } else { "sign-no-pests" });
        let lid = signs.lid.map(|lid| match lid {
            Lid::Bulging => "sign-bulging",
            Lid::Leaking => "sign-leaking",
            Lid::Loose => "sign-loose",
            Lid::Fine => "sign-lid",
        });
        [mould, smell, moisture, pests, lid].into_iter().flatten().map(|id| self.voice.word(id)).collect()
    }
}
