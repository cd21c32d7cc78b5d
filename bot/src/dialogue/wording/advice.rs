//! What signs mean, and what to do.

use branbell_scheduler::advice::{Advice, Caution, Finding, Step, Verdict, advise};
use branbell_scheduler::fact::{Moisture, Mould, Signs};
use branbell_scheduler::quantity::{bury, ferment};
use branbell_scheduler::units::Centimetres;

use super::{Speaker, capital};
use crate::say;
use crate::voice::Text;

impl Speaker<'_> {
    /// What signs mean that are harmless by themselves, of a batch that is lost by others; none where it is not.
    pub(super) fn still_lost(&self, bin: &str, signs: &Signs) -> Option<Text> {
        let check = self.room.bin(bin)?.batch.as_ref().and_then(ferment::lost_by)?;
        (!advise(signs).forbids_burying()).then(|| {
            let [finding, lost_by] = [signs, &check.signs].map(|signs| self.gravest(&advise(signs), signs));
            let moment = self.calendar.moment(check.at);
            say!(
                self.voice,
                "verdict-still-lost",
                bin = capital(bin),
                finding = finding,
                by = lost_by,
                moment = moment
            )
        })
    }

    /// The gravest that signs mean.
    fn gravest(&self, advice: &Advice, signs: &Signs) -> String {
        let findings: Vec<String> = advice.gravest().map(|finding| self.finding(finding, signs)).collect();
        if findings.is_empty() { self.voice.word("finding-nothing") } else { findings.join("; ") }
    }

    /// What the signs mean, for one bin where that is known, and what to do.
    pub(super) fn advice(&self, bin: Option<&str>, signs: &Signs) -> Text {
        let is_tapless = bin.and_then(|bin| self.room.bin(bin)).is_some_and(|bin| bin.tap == Some(false));
        let advice = if is_tapless { advise(signs).without_tap() } else { advise(signs) };
        let finding = self.gravest(&advice, signs);
        let finding = match bin {
            Some(bin) => say!(self.voice, "verdict-of", bin = bin, finding = finding).plain(),
            None => finding,
        };
        let finding = capital(&finding);
        let head = match advice.verdict {
            Verdict::Unknown if *signs == Signs::default() => return say!(self.voice, "verdict-unknown"),
            Verdict::Unknown | Verdict::Good => return say!(self.voice, "verdict-good", finding = finding),
            Verdict::Watch => say!(self.voice, "verdict-watch", finding = finding),
            Verdict::Mend => say!(self.voice, "verdict-mend", finding = finding),
            Verdict::Lost => say!(self.voice, "verdict-lost", finding = finding),
        };
        let cautions = advice.cautions.iter().map(|caution| self.voice.word(caution_id(*caution)));
        // What must not be done stands first where it is about the next breath.
        let (first, later): (Vec<String>, Vec<String>) =
            cautions.partition(|said| *said == self.voice.word("caution-do-not-sniff"));
        let deep = self.measures.length(Centimetres(bury::DEEP.value));
        let step = |step: &Step| say!(self.voice, step_id(*step), deep = &deep).plain();
        let steps: Vec<String> = advice.steps.iter().map(step).collect();
        let steps = format!("{}.", capital(&steps.join("; ")));
        let rest = first.into_iter().chain([steps]).chain(later).collect::<Vec<_>>().join(" ");
        head.then(&Text::of_words(&rest))
    }

    fn finding(&self, finding: Finding, signs: &Signs) -> String {
        let colour = match signs.mould {
            Some(Mould::Black) => "colour-black",
            Some(Mould::Blue) => "colour-blue",
            _ => "colour-green",
        };
        let id = match finding {
            Finding::BadMould => {
                return say!(self.voice, "finding-bad-mould", colour = self.voice.word(colour)).plain();
            }
            Finding::Rotting => "finding-rotting",
            Finding::UnknownMould => "finding-unknown-mould",
            Finding::Pests => "finding-pests",
            Finding::Ammonia if signs.moisture == Some(Moisture::Dry) => "finding-ammonia-dry",
            Finding::Ammonia => "finding-ammonia",
            Finding::GasPressure => "finding-gas-pressure",
            Finding::AirGetsIn => "finding-air-gets-in",
            Finding::TooWet => "finding-too-wet",
            Finding::TooDry => "finding-too-dry",
            Finding::Yeasts => "finding-yeasts",
            Finding::WhiteMould => "finding-white-mould",
            Finding::SweetSour => "finding-sweet-sour",
            Finding::NoSmell => "finding-no-smell",
        };
        self.voice.word(id)
    }
}

fn step_id(step: Step) -> &'static str {
    match step {
        Step::CloseLid => "step-close-lid",
        Step::TakeOutside => "step-take-outside",
        Step::VentSlowly => "step-vent-slowly",
        Step::BuryDeepOrDiscard => "step-bury-deep-or-discard",
        Step::Discard => "step-discard",
        Step::WashWithVinegar => "step-wash-with-vinegar",
        Step::StartAfresh => "step-start-afresh",
        Step::TakeOffTop => "step-take-off-top",
        Step::Drain => "step-drain",
        Step::AddBran => "step-add-bran",
        Step::PressDown => "step-press-down",
        Step::Tighten => "step-tighten",
        Step::AddDryMatter => "step-add-dry-matter",
        Step::Moisten => "step-moisten",
        Step::LessProtein => "step-less-protein",
        Step::LookAgain => "step-look-again",
    }
}

fn caution_id(caution: Caution) -> &'static str {
    match caution {
        Caution::DoNotSniff => "caution-do-not-sniff",
        Caution::SomebodyElse => "caution-somebody-else",
        Caution::GlovesAndHands => "caution-gloves-and-hands",
        Caution::NeverBleach => "caution-never-bleach",
        Caution::GasPressure => "caution-gas-pressure",
        Caution::PetsAndChildren => "caution-pets-and-children",
    }
}
