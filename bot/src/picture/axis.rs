//! Scales: moments across a picture, and amounts up a panel.

use branbell_scheduler::fact::Units;
use branbell_scheduler::series::midnight;
use branbell_scheduler::units::{Celsius, Unit};
use chrono::{DateTime, Days, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::voice::Measures;

/// Moments across a picture.
#[derive(Clone, Copy, Debug)]
pub(super) struct TimeAxis {
    pub(super) from: DateTime<Utc>,
    pub(super) to: DateTime<Utc>,
    pub(super) left: f32,
    pub(super) right: f32,
}

/// Days between two marks, the first that leaves room for their words.
const STEPS: [u64; 12] = [1, 2, 4, 7, 14, 28, 56, 112, 224, 448, 896, 1792];

impl TimeAxis {
    /// Where a moment stands; at the end where it lies beyond it.
    pub(super) fn x(&self, at: DateTime<Utc>) -> f32 {
        let whole = (self.to - self.from).num_seconds().max(1) as f32;
        let share = (at - self.from).num_seconds() as f32 / whole;
        self.left + share.clamp(0.0, 1.0) * (self.right - self.left)
    }

    pub(super) fn holds(&self, at: DateTime<Utc>) -> bool {
        at >= self.from && at <= self.to
    }

    /// Beginnings of days in a zone, with at least `gap` between them.
    pub(super) fn marks(&self, zone: Tz, gap: f32) -> Vec<DateTime<Utc>> {
        let days = (self.to - self.from).num_seconds().max(1) as f32 / 86_400.0;
        let a_day = (self.right - self.left) / days;
        let step =
            STEPS.into_iter().find(|step| *step as f32 * a_day >= gap).unwrap_or(STEPS[STEPS.len() - 1]);
        let first = self.from.with_timezone(&zone).date_naive();
        let all = (0..).map_while(|place| first.checked_add_days(Days::new(place * step)));
        let all = all.map(|day| midnight(day, zone)).take_while(|at| *at <= self.to);
        // The day itself on which the axis begins is shown a little left of its true place.
        let nearly = self.from - TimeDelta::hours(24);
        all.filter(|at| *at > nearly).collect()
    }
}

/// Amounts up a panel, from nothing to a little above the largest.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale<U> {
    pub(super) from: U,
    pub(super) to: U,
    pub(super) step: U,
    pub(super) top: f32,
    pub(super) bottom: f32,
}

impl<U: Unit> Scale<U> {
    /// Up to at least `largest` in steps that are round in a unit of this size, as many as are legible.
    pub(super) fn up_to(largest: U, unit: U, top: f32, bottom: f32) -> Self {
        let (largest, unit) = (largest.get(), unit.get());
        let step = round_step(largest / unit / 2.0) * unit;
        let to = (largest * 1.08).max(step);
        Self { from: U::new(0.0), to: U::new(to), step: U::new(step), top, bottom }
    }

    pub(super) fn y(&self, value: U) -> f32 {
        let (from, to) = (self.from.get(), self.to.get());
        let share = (value.get() - from) / (to - from).max(f64::MIN_POSITIVE);
        self.bottom - share.clamp(0.0, 1.0) as f32 * (self.bottom - self.top)
    }

    /// The values to draw a rule at.
    pub(super) fn marks(&self) -> impl Iterator<Item = U> {
        let [from, to, step] = [self.from, self.to, self.step].map(U::get);
        (0..8)
            .map(move |place| from + f64::from(place) * step)
            .take_while(move |value| *value <= to + 1e-9 * step)
            .map(U::new)
    }
}

impl Scale<Celsius> {
    /// Temperatures: round in the room's degrees.
    pub(super) fn of_temperatures(
        Celsius(low): Celsius,
        Celsius(high): Celsius,
        measures: Measures,
        top: f32,
        bottom: f32,
    ) -> Self {
        let degree = if measures.0 == Units::Us { 1.0 / 1.8 } else { 1.0 };
        // Freezing, and so a round figure in either kind of degrees: 0 °C, 32 °F.
        let base = if measures.0 == Units::Us { -32.0 / 1.8 } else { 0.0 };
        let step = round_step((high - low).max(6.0 * degree) / degree) * degree;
        let round = |value: f64, up: f64| ((value - base) / step + up).floor() * step + base;
        let (from, to) = (round(low - 0.1 * step, 0.0), round(high + 0.1 * step, 1.0));
        Self { from: Celsius(from), to: Celsius(to), step: Celsius(step), top, bottom }
    }
}

/// The round number (1, 2 or 5 times a power of ten) that is nearest from below, and more than nothing.
fn round_step(value: f64) -> f64 {
    if !(value.is_finite() && value > 1e-9) {
        return 1.0;
    }
    let ten = 10_f64.powf(value.log10().floor());
    [5.0, 2.0, 1.0].into_iter().find(|factor| factor * ten <= value).unwrap_or(1.0) * ten
}

#[cfg(test)]
#[expect(clippy::float_cmp, reason = "these are exact")]
mod tests {
    use branbell_scheduler::units::Millilitres;

    use super::*;

    #[test]
    fn steps_are_round() {
        assert_eq!([0.7, 3.0, 9.9, 1200.0, 0.0].map(round_step), [0.5, 2.0, 5.0, 1000.0, 1.0]);
    }

    #[test]
    fn temperatures_are_round_in_the_rooms_degrees() {
        let scale = Scale::of_temperatures(Celsius(18.0), Celsius(23.0), Measures(Units::Metric), 0.0, 100.0);
        assert_eq!(scale.marks().collect::<Vec<_>>(), [15.0, 20.0, 25.0].map(Celsius));
        let scale = Scale::of_temperatures(Celsius(18.0), Celsius(23.0), Measures(Units::Us), 0.0, 100.0);
        let degrees: Vec<f64> = scale.marks().map(|Celsius(c)| (c * 1.8 + 32.0).round()).collect();
        assert_eq!(degrees, [60.0, 65.0, 70.0, 75.0]);
    }

    proptest::proptest! {
        #[test]
        fn any_amount_has_a_place(largest in 0.0..1e9_f64, value in -1e9..1e9_f64) {
            let scale = Scale::up_to(Millilitres(largest), Millilitres(1000.0), 10.0, 90.0);
            proptest::prop_assert!((10.0..=90.0).contains(&scale.y(Millilitres(value))));
            proptest::prop_assert!(scale.marks().count() >= 2);
        }

        #[test]
        fn any_span_has_marks_that_do_not_touch(days in 0_i64..4000, minutes in 0_i64..1440) {
            let from = DateTime::UNIX_EPOCH + TimeDelta::minutes(minutes);
            let axis = TimeAxis { from, to: from + TimeDelta::days(days), left: 20.0, right: 340.0 };
            let marks = axis.marks(Tz::America__St_Johns, 60.0);
            for pair in marks.windows(2).skip(1) {
                proptest::prop_assert!(axis.x(pair[1]) - axis.x(pair[0]) >= 55.0);
            }
        }
    }
}
