//! Rest: how long a plot waits after burying before roots may touch it.

mod season;

use chrono::{DateTime, Utc};

use self::season::Climate;
use super::{Constant, Derivation, Estimate, Formula, Narrows, Origin, Quantity, Source, When, acid};
use crate::state::{Plot, Room, Strip};
use crate::units::{Celsius, Days};

/// Rest at the reference temperature: earliest, and for the careful.
pub const REST: Constant = Constant::range("rest", 21.0, (14.0, 21.0), "d", Source::Practice);
/// The soil temperature at which the customary rest holds: our choice.
pub const REFERENCE: Constant =
    Constant::exact("reference", 18.0, "Cel", Source::Judgement("soil in summer"));
/// The step of temperature that [`Q10`] is told for.
pub const TEN_DEGREES: Celsius = Celsius(10.0);
/// How much faster soil life works when ten degrees warmer.
pub const Q10: Constant = Constant::range(
    "q10",
    2.0,
    (1.43, 2.03),
    "1",
    Source::Published(
        "Chen & Tian 2005, J. Integr. Plant Biol. 47(11): 2; by biome Zhou et al. 2009, JGR 114 G02016",
    ),
);
/// However warm, rest no shorter.
pub const SHORTEST: Constant = Constant::exact("shortest", 14.0, "d", Source::Practice);
/// Days of unfrozen ground after which it has rested, however cold.
pub const LONGEST: Constant = Constant::exact(
    "longest",
    60.0,
    "d",
    Source::Judgement("six weeks is the longest custom; more where cold"),
);
/// Seedlings come this much later than the safe date: they suffer first.
pub const SEEDLINGS_LATER: Days = Days(14.0);
/// A soil reading tells about a burial for so long before and after.
const READING_LASTS: Days = Days(45.0);

/// Days of rest at a steady soil temperature, for a rest of `at_reference` at 18 °C; none where the ground is frozen.
pub fn days_at(temperature: Celsius, at_reference: Days, q10: f64) -> Option<Days> {
    if temperature <= Celsius::ZERO {
        return None;
    }
    let days = at_reference * q10.powf((Celsius(REFERENCE.value) - temperature) / TEN_DEGREES);
    Some(days.clamp(Days(SHORTEST.value), Days(LONGEST.value)))
}

static REST_OVER: Formula = Formula {
    id: "rest.over",
    expression: "first day with sum(1 / (rest * q10 ^ ((reference - temperature) / 10))) = 1",
    evaluate: |why| {
        let points = why.points("temperature");
        let days = |at_reference: f64| season::rested(points, Days(at_reference), why.value("q10")).get();
        let early = days(why.low("rest"));
        let safe = days(why.value("rest"));
        Estimate { value: safe, low: Some(early), high: Some(safe) }
    },
};

/// A strip beats the calendar: where it shows soil that is sour no more the rest is over, and where it shows sour soil it goes
/// on until a strip is held in again.
static BY_STRIP: Formula = Formula {
    id: "rest.strip",
    expression: "min(calendar, measured) where ph >= soil, else max(calendar, measured + again)",
    evaluate: |why| {
        let (measured, again) = (why.value("measured"), why.value("measured") + why.value("again"));
        let is_sour = why.value("ph") < why.low("soil");
        let day = |calendar: f64| if is_sour { calendar.max(again) } else { calendar.min(measured) };
        let (early, safe) = (day(why.low("calendar")), day(why.value("calendar")));
        Estimate { value: safe, low: Some(early), high: Some(safe) }
    },
};

/// When a plot may be planted.
#[derive(Clone, Debug)]
pub struct Rest {
    /// Since when it rests.
    pub since: DateTime<Utc>,
    /// How long it has rested.
    pub rested: Days,
    /// The earliest (`early`) and the safe (`at`) moment to plant.
    pub over: When,
    /// The moment for seedlings.
    pub seedlings: DateTime<Utc>,
    /// The soil's temperature at the moment, read or assumed.
    pub soil: Celsius,
    /// Whether the soil's temperature is assumed, from the season and the hemisphere of the zone.
    pub is_assumed: bool,
    /// Whether the ground is frozen, so that nothing counts down.
    pub is_frozen: bool,
    /// The last pH strip held in since the burial.
    pub strip: Option<Strip>,
}

impl Rest {
    /// The strip that showed sour soil, where none has shown better since.
    pub fn sour(&self) -> Option<&Strip> {
        self.strip.as_ref().filter(|strip| acid::is_sour_soil(strip.ph))
    }
}

/// The last pH strip held into a plot since its last burial.
pub fn strip(plot: &Plot) -> Option<&Strip> {
    let since = plot.burials.last()?.at;
    plot.strips.last().filter(|strip| strip.at >= since)
}

/// When a plot may be planted after its last burial; none where nothing was buried there.
pub fn rest(room: &Room, plot: &Plot, now: DateTime<Utc>) -> Option<Rest> {
    let since = plot.burials.last()?.at;
    let near: Vec<_> = plot
        .temperatures
        .iter()
        .filter(|reading| reading.at >= since - READING_LASTS.span())
        .filter(|reading| reading.at <= since + Days(LONGEST.value * 6.0).span())
        .collect();
    let is_assumed = near.is_empty();
    let (points, origin): (Vec<(f64, f64)>, Origin) = if is_assumed {
        let climate = Climate::of(room.zone);
        (climate.course(since), Origin::Constant(season::SOURCE))
    } else {
        let points = near
            .iter()
            .map(|reading| (Days::of(reading.at - since).get(), reading.temperature.get()))
            .collect();
        (points, Origin::Facts(near.iter().map(|reading| reading.seq).collect()))
    };
    let why = Derivation::by(&REST_OVER)
        .constant(&REST)
        .constant(&Q10)
        .constant(&REFERENCE)
        .course("temperature", points, "Cel", origin)
        .narrowed_by([Narrows::PhStrip, Narrows::SoilTemperature]);
    let rested = Days::of(now - since).max(Days::ZERO);
    let soil = season::temperature_at(why.points("temperature"), rested);
    let strip = strip(plot).copied();
    let over = When::after(since, strip.map_or(why.clone(), |strip| by_strip(why, &strip, since)));
    Some(Rest {
        since,
        rested,
        seedlings: over.at + SEEDLINGS_LATER.span(),
        over,
        soil,
        is_assumed,
        is_frozen: soil <= Celsius::ZERO,
        strip,
    })
}

/// What a strip makes of the rest by the calendar.
fn by_strip(calendar: Derivation, strip: &Strip, since: DateTime<Utc>) -> Derivation {
    let calendar = Quantity::<Days>::of(calendar);
    let measured = Days::of(strip.at - since);
    let why = Derivation::by(&BY_STRIP)
        .told("ph", strip.ph, vec![strip.seq])
        .told("measured", measured, vec![strip.seq])
        .constant(&acid::SOIL)
        .constant(&acid::AGAIN)
        .quantity("calendar", &calendar);
    why.narrowed_by([Narrows::PhStrip, Narrows::SoilTemperature])
}
