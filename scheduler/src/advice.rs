//! What signs mean and what to do about them, without words of any language.

use serde::{Deserialize, Serialize};

use crate::fact::{Lid, Moisture, Mould, Signs, Smell};

/// What a look and a smell come to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Advice {
    /// What becomes of the batch.
    pub verdict: Verdict,
    /// What the signs mean, the gravest first.
    pub findings: Vec<Finding>,
    /// What to do, in order.
    pub steps: Vec<Step>,
    /// What to take care of while doing it.
    pub cautions: Vec<Caution>,
}

/// What becomes of a batch, from good to lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Nothing was told that could be judged.
    Unknown,
    /// It ferments as it should.
    Good,
    /// It goes on, and wants looking at again in a few days.
    Watch,
    /// It goes on if what is wrong is put right now.
    Mend,
    /// It must not be kept or used: discard it, or bury it deep at once.
    Lost,
}

/// What a sign means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Finding {
    /// Green, black or blue mould: other moulds have taken over; some make poisons.
    BadMould,
    /// A rotten smell: it putrefies instead of souring.
    Rotting,
    /// Mould of some other colour: not known to be harmless.
    UnknownMould,
    /// Flies or maggots: the lid is not tight.
    Pests,
    /// A smell of ammonia: too much protein, too little bran, or too wet.
    Ammonia,
    /// Gas lifts the lid.
    GasPressure,
    /// The lid lets air in.
    AirGetsIn,
    /// Too wet: drain, and more bran.
    TooWet,
    /// Too dry: souring slows.
    TooDry,
    /// A smell of alcohol: yeasts, from much sugar or starch; harmless.
    Yeasts,
    /// White mould: a sign of the right kind of life.
    WhiteMould,
    /// A sweet-sour smell: as it should be.
    SweetSour,
    /// No smell at all; early, cold or well sealed.
    NoSmell,
}

/// Something to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Put the lid back on and leave it.
    CloseLid,
    /// Take the bin outside.
    TakeOutside,
    /// Open the lid a little, slowly, face turned away, and let the gas out.
    VentSlowly,
    /// Bury it deep (30 cm or more) or put it in the rubbish.
    BuryDeepOrDiscard,
    /// Put it in the rubbish, well closed: it is too far gone for a garden.
    Discard,
    /// Wash the bin with vinegar; never with bleach.
    WashWithVinegar,
    /// Begin a new batch with fresh bran.
    StartAfresh,
    /// Take off the spoilt top.
    TakeOffTop,
    /// Drain the liquid.
    Drain,
    /// Add bran on top: an extra layer.
    AddBran,
    /// Press it down, and lay something flat on top to keep air off.
    PressDown,
    /// Close the bin airtight: clean the seal, weigh or tape the lid.
    Tighten,
    /// Add something dry: torn cardboard, bread.
    AddDryMatter,
    /// Sprinkle a little water, or add wetter scraps.
    Moisten,
    /// Less meat, fish and dairy, and more bran with it.
    LessProtein,
    /// Look again in three days.
    LookAgain,
}

/// Something to take care of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Caution {
    /// Do not sniff at it.
    DoNotSniff,
    /// With asthma or a weak immune system, let somebody else do it.
    SomebodyElse,
    /// Gloves, and wash your hands.
    GlovesAndHands,
    /// Vinegar and bleach never together, nor the bin's liquid and bleach: chlorine gas.
    NeverBleach,
    /// Gas under pressure: face away, never in glass.
    GasPressure,
    /// Keep pets and children off it.
    PetsAndChildren,
}

impl Advice {
    /// Whether the clock may not call the batch ready.
    pub fn forbids_burying(&self) -> bool {
        self.verdict == Verdict::Lost
    }

    /// The same for a bin without a tap: what cannot be drained is soaked up.
    #[must_use]
    pub fn without_tap(mut self) -> Self {
        if let Some(drain) = self.steps.iter_mut().find(|step| **step == Step::Drain) {
            *drain = Step::AddDryMatter;
            self.steps.sort_unstable_by_key(|step| order(*step));
            self.steps.dedup();
        }
        self
    }

    /// What was found that weighs as much as the verdict: the rest is in order.
    pub fn gravest(&self) -> impl Iterator<Item = Finding> {
        self.findings.iter().copied().filter(|finding| {
            finding.verdict() == self.verdict || self.is_dubious() && finding.verdict() >= Verdict::Watch
        })
    }

    /// Whether the batch wants looking at again soon.
    pub fn is_dubious(&self) -> bool {
        matches!(self.verdict, Verdict::Watch | Verdict::Mend)
    }
}

/// What the signs come to.
pub fn advise(signs: &Signs) -> Advice {
    let findings = findings(*signs);
    let gravest = findings.iter().map(|finding| finding.verdict()).max();
    let verdict =
        gravest.unwrap_or(if *signs == Signs::default() { Verdict::Unknown } else { Verdict::Good });
    let mut steps: Vec<Step> = Vec::new();
    let mut cautions: Vec<Caution> = Vec::new();
    if verdict == Verdict::Lost {
        steps = vec![
            Step::CloseLid,
            Step::TakeOutside,
            if is_far_gone(*signs) { Step::Discard } else { Step::BuryDeepOrDiscard },
            Step::WashWithVinegar,
            Step::StartAfresh,
        ];
        if findings.contains(&Finding::GasPressure) {
            steps.insert(2, Step::VentSlowly);
        }
        cautions = vec![
            Caution::DoNotSniff,
            Caution::SomebodyElse,
            Caution::GlovesAndHands,
            Caution::NeverBleach,
            Caution::PetsAndChildren,
        ];
    } else {
        for step in findings.iter().flat_map(|finding| finding.steps()) {
            if !steps.contains(step) {
                steps.push(*step);
            }
        }
        // What is dry has nothing to drain, and what is closed airtight has its lid on.
        let (is_dry, is_tight) = (findings.contains(&Finding::TooDry), steps.contains(&Step::Tighten));
        steps.retain(|step| !(is_dry && *step == Step::Drain || is_tight && *step == Step::CloseLid));
        steps.sort_unstable_by_key(|step| order(*step));
        if steps.is_empty() && verdict == Verdict::Good {
            steps.push(Step::CloseLid);
        }
    }
    for caution in findings.iter().flat_map(|finding| finding.cautions()) {
        if !cautions.contains(caution) {
            cautions.push(*caution);
        }
    }
    Advice { verdict, findings, steps, cautions }
}

/// Whether what is lost is too far gone to be buried: black mould, mould that rots as well, or vermin in it, which a dog would
/// dig up (common practice, no source).
fn is_far_gone(signs: Signs) -> bool {
    let is_rotten = signs.smell == Some(Smell::Rotten);
    let is_mouldy = matches!(signs.mould, Some(Mould::Green | Mould::Blue));
    signs.mould == Some(Mould::Black) || is_mouldy && is_rotten || signs.pests == Some(true)
}

fn findings(signs: Signs) -> Vec<Finding> {
    let mould = signs.mould.and_then(|mould| match mould {
        Mould::White => Some(Finding::WhiteMould),
        Mould::Green | Mould::Black | Mould::Blue => Some(Finding::BadMould),
        Mould::Other => Some(Finding::UnknownMould),
        Mould::None => None,
    });
    let smell = signs.smell.map(|smell| match smell {
        Smell::SweetSour => Finding::SweetSour,
        Smell::Rotten => Finding::Rotting,
        Smell::Ammonia => Finding::Ammonia,
        Smell::Alcohol => Finding::Yeasts,
        Smell::None => Finding::NoSmell,
    });
    let moisture = signs.moisture.and_then(|moisture| match moisture {
        Moisture::Wet => Some(Finding::TooWet),
        Moisture::Dry => Some(Finding::TooDry),
        Moisture::Fine => None,
    });
    let pests = (signs.pests == Some(true)).then_some(Finding::Pests);
    let lid = signs.lid.and_then(|lid| match lid {
        Lid::Bulging => Some(Finding::GasPressure),
        Lid::Leaking | Lid::Loose => Some(Finding::AirGetsIn),
        Lid::Fine => None,
    });
    let mut all: Vec<Finding> = [mould, smell, moisture, pests, lid].into_iter().flatten().collect();
    all.sort_unstable();
    all
}

impl Finding {
    fn verdict(self) -> Verdict {
        match self {
            Self::BadMould | Self::Rotting => Verdict::Lost,
            Self::UnknownMould | Self::Pests | Self::Ammonia | Self::AirGetsIn | Self::TooWet => {
                Verdict::Mend
            }
            Self::GasPressure | Self::TooDry | Self::Yeasts => Verdict::Watch,
            Self::WhiteMould | Self::SweetSour | Self::NoSmell => Verdict::Good,
        }
    }

    fn steps(self) -> &'static [Step] {
        match self {
            Self::BadMould | Self::Rotting => &[],
            Self::UnknownMould => {
                &[Step::TakeOffTop, Step::AddBran, Step::PressDown, Step::Tighten, Step::LookAgain]
            }
            Self::Pests => &[Step::AddBran, Step::PressDown, Step::Tighten, Step::LookAgain],
            Self::Ammonia => &[Step::Drain, Step::AddBran, Step::LessProtein, Step::LookAgain],
            Self::GasPressure => &[Step::VentSlowly, Step::CloseLid, Step::LookAgain],
            Self::AirGetsIn => &[Step::PressDown, Step::Tighten, Step::LookAgain],
            Self::TooWet => &[Step::Drain, Step::AddBran, Step::AddDryMatter, Step::LookAgain],
            Self::TooDry => &[Step::Moisten, Step::PressDown, Step::CloseLid, Step::LookAgain],
            Self::Yeasts => &[Step::AddBran, Step::CloseLid, Step::LookAgain],
            Self::WhiteMould | Self::SweetSour | Self::NoSmell => &[Step::CloseLid],
        }
    }

    fn cautions(self) -> &'static [Caution] {
        match self {
            Self::UnknownMould => &[Caution::DoNotSniff, Caution::SomebodyElse, Caution::GlovesAndHands],
            Self::Pests => &[Caution::GlovesAndHands, Caution::PetsAndChildren],
            Self::GasPressure => &[Caution::GasPressure],
            Self::Ammonia => &[Caution::NeverBleach],
            _ => &[],
        }
    }
}

/// The order in which one would do them: let gas out, drain, take off, add, press, close.
fn order(step: Step) -> u8 {
    match step {
        Step::TakeOutside => 0,
        Step::VentSlowly => 1,
        Step::Drain => 2,
        Step::TakeOffTop => 3,
        Step::AddDryMatter | Step::Moisten => 4,
        Step::AddBran => 5,
        Step::PressDown => 6,
        Step::Tighten => 7,
        Step::CloseLid => 8,
        Step::BuryDeepOrDiscard | Step::Discard => 9,
        Step::WashWithVinegar => 10,
        Step::StartAfresh => 11,
        Step::LessProtein => 12,
        Step::LookAgain => 13,
    }
}
