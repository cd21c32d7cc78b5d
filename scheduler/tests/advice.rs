//! Every combination of signs gets advice that is safe and agrees with itself.

use branbell_scheduler::advice::{Caution, Finding, Step, Verdict, advise};
use branbell_scheduler::fact::{Lid, Moisture, Mould, Signs, Smell};

fn with_none<T: Copy>(all: &[T]) -> Vec<Option<T>> {
    std::iter::once(None).chain(all.iter().copied().map(Some)).collect()
}

fn all_signs() -> Vec<Signs> {
    let smells = with_none(&[Smell::SweetSour, Smell::Rotten, Smell::Ammonia, Smell::Alcohol, Smell::None]);
    let moulds =
        with_none(&[Mould::White, Mould::Green, Mould::Black, Mould::Blue, Mould::Other, Mould::None]);
    let mut all = Vec::new();
    for smell in smells {
        for mould in moulds.iter().copied() {
            for moisture in with_none(&[Moisture::Wet, Moisture::Dry, Moisture::Fine]) {
                for pests in with_none(&[true, false]) {
                    for lid in with_none(&[Lid::Bulging, Lid::Leaking, Lid::Loose, Lid::Fine]) {
                        all.push(Signs { smell, mould, moisture, pests, lid });
                    }
                }
            }
        }
    }
    all
}

#[test]
fn all_of_them() {
    let all = all_signs();
    assert_eq!(all.len(), 6 * 7 * 4 * 3 * 5);
    for signs in all {
        let advice = advise(&signs);
        let has = |step| advice.steps.contains(&step);
        let warns = |caution| advice.cautions.contains(&caution);
        let is_bad_mould = matches!(signs.mould, Some(Mould::Green | Mould::Black | Mould::Blue));
        let is_rotten = signs.smell == Some(Smell::Rotten);

        // Black, green, blue mould and rot, and only those, are lost: not sniffed at, buried deep or thrown away, and the
        // bin washed with vinegar, never with bleach.
        assert_eq!(advice.verdict == Verdict::Lost, is_bad_mould || is_rotten, "{signs:?}");
        assert_eq!(advice.forbids_burying(), advice.verdict == Verdict::Lost);
        if advice.verdict == Verdict::Lost {
            let ways = [Step::BuryDeepOrDiscard, Step::Discard].map(has);
            assert!(ways[0] != ways[1] && has(Step::WashWithVinegar), "{signs:?}");
            // The worse it is, the less it belongs into a garden.
            let is_both = is_bad_mould && is_rotten;
            let is_worse = signs.mould == Some(Mould::Black) || is_both || signs.pests == Some(true);
            assert_eq!(has(Step::Discard), is_worse, "{signs:?}");
            assert!(warns(Caution::DoNotSniff) && warns(Caution::SomebodyElse), "{signs:?}");
            assert!(warns(Caution::NeverBleach) && warns(Caution::GlovesAndHands), "{signs:?}");
            assert!(!has(Step::AddBran) && !has(Step::TakeOffTop), "lost is not mended: {signs:?}");
        } else {
            assert!(
                !has(Step::BuryDeepOrDiscard) && !has(Step::Discard) && !has(Step::StartAfresh),
                "{signs:?}"
            );
        }
        // Vinegar is never named without the warning of bleach.
        assert!(!has(Step::WashWithVinegar) || warns(Caution::NeverBleach), "{signs:?}");
        // Gas is let out before anything else is done at the bin, face away.
        if signs.lid == Some(Lid::Bulging) {
            assert!(has(Step::VentSlowly) && warns(Caution::GasPressure), "{signs:?}");
            let place = |step| advice.steps.iter().position(|one| *one == step).unwrap_or(usize::MAX);
            for later in
                [Step::Drain, Step::TakeOffTop, Step::AddBran, Step::BuryDeepOrDiscard, Step::Discard]
            {
                assert!(place(Step::VentSlowly) < place(later), "{signs:?}");
            }
        }
        // Opposites are not both advised, no step is told twice, and what is watched is looked at again.
        assert!(!(has(Step::AddDryMatter) && has(Step::Moisten)), "{signs:?}");
        let mut once = advice.steps.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), advice.steps.len(), "{signs:?}");
        assert!(!(has(Step::Drain) && signs.moisture == Some(Moisture::Dry)), "{signs:?}");
        assert!(!(has(Step::Tighten) && has(Step::CloseLid)), "{signs:?}");
        if matches!(advice.verdict, Verdict::Mend | Verdict::Watch) {
            assert!(has(Step::LookAgain), "{signs:?}");
        }
        // Where there is no tap nothing is drained, and else it is the same.
        let tapless = advice.clone().without_tap();
        assert!(!tapless.steps.contains(&Step::Drain), "{signs:?}");
        assert_eq!(tapless.steps.contains(&Step::AddDryMatter), has(Step::Drain) || has(Step::AddDryMatter));
        assert_eq!((tapless.verdict, &tapless.cautions), (advice.verdict, &advice.cautions));
        // What it means is told of every sign that weighs.
        assert_eq!(advice.gravest().next(), advice.findings.first().copied(), "{signs:?}");
        // Every verdict but ignorance says what to do, and why.
        assert_eq!(advice.verdict == Verdict::Unknown, signs == Signs::default(), "{signs:?}");
        assert_eq!(advice.verdict == Verdict::Unknown, advice.steps.is_empty(), "{signs:?}");
    }
}

#[test]
fn white_is_good() {
    let signs = Signs { mould: Some(Mould::White), smell: Some(Smell::SweetSour), ..Signs::default() };
    let advice = advise(&signs);
    assert_eq!(advice.verdict, Verdict::Good);
    assert_eq!(advice.steps, [Step::CloseLid]);
    assert!(advice.cautions.is_empty());
    assert_eq!(advice.findings, [Finding::WhiteMould, Finding::SweetSour]);
}

#[test]
fn more_signs_never_make_it_better() {
    for signs in all_signs() {
        let alone = advise(&Signs { mould: signs.mould, ..Signs::default() }).verdict;
        assert!(advise(&signs).verdict >= alone, "{signs:?}");
    }
}
