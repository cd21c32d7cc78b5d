//! Published check values and worked examples, each beside its source.

mod kitchen;

use branbell_scheduler::quantity::ferment::{BROTH, Cardinal, LACTOSE_FREE_MILK, MILK, days_at, gamma};
use branbell_scheduler::quantity::{dilution, rest, rotation, starter};
use branbell_scheduler::units::{Celsius, Days, Fraction, Grams, GramsPerDay, Millilitres};
use kitchen::assert_close;

const TABLE: [f64; 10] = [10.0, 12.0, 15.0, 18.0, 20.0, 22.0, 25.0, 30.0, 35.0, 40.0];

/// Source: the cardinal temperature model of Rosso 1993 with the three sets of Matejčeková 2019, computed apart.
#[test]
fn growth_by_temperature() {
    let rows = [
        (BROTH, [0.0684, 0.1065, 0.1790, 0.2692, 0.3387, 0.4153, 0.5418, 0.7728, 0.9758, 0.6468]),
        (LACTOSE_FREE_MILK, [0.0415, 0.0844, 0.1746, 0.2927, 0.3846, 0.4846, 0.6437, 0.8943, 0.9942, 0.4699]),
        (MILK, [0.0107, 0.0385, 0.1111, 0.2179, 0.3060, 0.4057, 0.5710, 0.8515, 0.9990, 0.4114]),
    ];
    for (set, row) in rows {
        for (t, wanted) in TABLE.into_iter().zip(row) {
            let found = gamma(Celsius(t), &set);
            assert!((found - wanted).abs() < 1e-3, "{set:?} at {t}: {found}, not {wanted}");
        }
        assert!((gamma(set.best, &set) - 1.0).abs() < 1e-12);
        assert!(gamma(set.lowest, &set).abs() < 1e-12);
        assert!(gamma(set.highest, &set).abs() < 1e-12);
    }
}

/// Source: reference page of the R package macrogrow, function `T_lim`, for 5/20/30.
#[test]
fn growth_as_an_independent_package_has_it() {
    let set = Cardinal { lowest: Celsius(5.0), best: Celsius(20.0), highest: Celsius(30.0) };
    for (t, wanted) in [(22.0, 0.963_333), (10.0, 0.333_333), (25.0, 0.761_905)] {
        assert!((gamma(Celsius(t), &set) - wanted).abs() < 1e-6);
    }
}

/// Measured growth of *L. plantarum* ATCC 8014 at equal pH, salt and lactate: 0.0541 and 0.0207 per hour at 16 and 10
/// degrees, 0.0498/0.0042 and 0.0549/0.0040 at 13 and 7. The model is good to a factor of about two there.
///
/// Source: 2018 study of combined effects of temperature, pH, salt and lactate on its growth rate (13 rows).
#[test]
fn growth_as_measured_in_the_cold() {
    let ratio = |warm: f64, cold: f64| {
        gamma(Celsius(warm), &LACTOSE_FREE_MILK) / gamma(Celsius(cold), &LACTOSE_FREE_MILK)
    };
    for (found, measured) in [
        (ratio(16.0, 10.0), 0.0541 / 0.0207),
        (ratio(13.0, 7.0), 0.0498 / 0.0042),
        (ratio(13.0, 7.0), 0.0549 / 0.0040),
    ] {
        assert!((1.0 / 2.2..=2.2).contains(&(found / measured)), "{found} against {measured}");
    }
}

/// The damped days of the default set; our own damping.
#[test]
fn days_sealed_by_temperature() {
    for (t, wanted) in [(15.0, 28.0), (18.0, 20.4), (20.0, 16.6), (22.0, 14.0), (25.0, 11.3), (30.0, 10.0)] {
        assert!((days_at(Celsius(t), &LACTOSE_FREE_MILK).get() - wanted).abs() < 0.06, "at {t}");
    }
    assert_eq!(days_at(Celsius(-3.0), &LACTOSE_FREE_MILK), Days(28.0));
}

/// Common practice: 150 ml at 1 to 100 is 15 litres of water; exact.
#[test]
fn dilution_of_a_drain() {
    let dilution = dilution::dilute(Millilitres(150.0));
    assert_eq!(dilution.water.value, Millilitres(15_000.0));
    assert_eq!(dilution::dilute_to(Millilitres(10.0), 10.0).water.value, Millilitres(1000.0));
}

/// Six published recipes judged by their water share; bran holds 9.89 %, molasses 22 % water and weighs 1.40 g/ml.
///
/// Source: recipes of six pages, names withheld; water by USDA SR 28, foods 20077 and 19304.
#[test]
fn moisture_of_recipes() {
    const POUND: f64 = 453.592_37;
    const CUP: f64 = 236.588_236_5;
    let recipes = [
        ("A", 20_000.0, 4000.0 + 40.0, 40.0, 25.0),
        ("B", POUND, CUP * 1.01, CUP / 100.0, 40.9),
        ("C", 10.0 * POUND, 20.0 * CUP + CUP * 2.0 / 3.0, CUP * 2.0 / 3.0, 55.8),
        ("D", 4500.0, 2500.0 + 60.0, 60.0, 42.3),
        ("E", 500.0, 250.0 + 15.0, 15.0, 40.6),
        ("F", 1000.0, 500.0 + 1000.0, 30.0, 63.3),
        ("F without the litre", 1000.0, 500.0, 30.0, 39.4),
    ];
    for (name, bran, liquids, molasses_ml, wanted) in recipes {
        let found =
            starter::moisture(Grams(bran), Fraction(0.0989), Grams(liquids), Grams(molasses_ml * 1.40));
        assert!((found.get() * 100.0 - wanted).abs() < 0.2, "{name}: {found:?}, not {wanted}");
    }
}

/// Our recipe comes to the moisture it aims at, for any mass.
#[test]
fn our_recipe_holds_forty_percent() {
    for kilograms in [0.5, 1.0, 1.2, 3.0, 20.0] {
        let recipe = starter::recipe(Grams(kilograms * 1000.0));
        assert_close(recipe.moisture.get(), 0.40, 1e-9);
        assert_close(recipe.liquids.get() / kilograms, 544.0, 0.01);
    }
}

/// Sources: Taylor, Introduction to Management Science, ch. 16 (326.1); Stevenson, Operations Management, 14th ed., ch.
/// 12, example 8 (59.40). The bran rows are computed by hand.
#[test]
fn reorder_points() {
    let at = |d, sigma, lead, sigma_lead, z| {
        starter::reorder_point(GramsPerDay(d), GramsPerDay(sigma), Days(lead), Days(sigma_lead), z).get()
    };
    assert!((at(30.0, 5.0, 10.0, 0.0, 1.65) - 326.09).abs() < 0.01);
    assert!((at(50.0, 5.0, 1.0, 0.0, 1.88) - 59.40).abs() < 0.01);
    assert!((at(12.0, 6.0, 17.0, 0.0, 1.645) - 244.7).abs() < 0.1);
    assert!((at(12.0, 6.0, 17.0, 3.0, 1.645) - 275.9).abs() < 0.1);
}

/// `ceil((filling + fermenting + emptying) / filling)`, by hand.
#[test]
fn vessels() {
    for (filling, fermenting, emptying, wanted) in
        [(10.0, 14.0, 1.0, 3.0), (14.0, 14.0, 0.0, 2.0), (7.0, 14.0, 1.0, 4.0), (21.0, 14.0, 1.0, 2.0)]
    {
        let found = rotation::bins_needed(Days(filling), Days(fermenting), Days(emptying)).value;
        assert!((found.get() - wanted).abs() < 1e-9, "{found:?}, not {wanted}");
    }
}

/// Rest of 14 days at 18 degrees, twice as long when ten degrees colder; from 14 to 60 days, none in frozen ground.
///
/// Source of Q10 = 2: Chen & Tian 2005; of 1.43: Zhou et al. 2009.
#[test]
fn rest_by_soil_temperature() {
    let at = |t, q10| rest::days_at(Celsius(t), Days(14.0), q10).map(Days::get);
    assert_eq!(at(23.0, 2.0), Some(14.0));
    assert_close(at(18.0, 2.0).unwrap(), 14.0, 0.01);
    assert_close(at(13.0, 2.0).unwrap(), 19.8, 0.01);
    assert_close(at(8.0, 2.0).unwrap(), 28.0, 0.01);
    assert_close(at(3.0, 2.0).unwrap(), 39.6, 0.01);
    assert_close(at(8.0, 1.43).unwrap(), 20.0, 0.01);
    assert_eq!(at(0.0, 2.0), None);
}
