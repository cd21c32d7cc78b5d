//! The kinds of what can be said: one that is new does not compile until it has a name here, and is asked for once it has.

use branbell::dialogue::{Answer, Held, Inquiry, Told};
use branbell_language::About;
use branbell_scheduler::fact::What;

/// Kinds of what can be said, with the numbers that they may hold: a new one does not compile until it has a name here.
pub(crate) fn kind(answer: &Answer, facts: &[Told]) -> &'static str {
    match answer {
        Answer::Asked(ask) => asked(ask.about),
        Answer::Inquired(inquiry) => match inquiry {
            Inquiry::Bins(_) => "bins",
            Inquiry::Emissions(_) => "emissions",
            Inquiry::Ground(_) => "ground",
            Inquiry::Dilution(..) => "dilution by ratio",
            Inquiry::Burying(..) => "burying by",
            Inquiry::Trench(..) => "trench",
            Inquiry::Acid(_, Held::InBin) => "acid in bin",
            Inquiry::Acid(_, Held::InSoil(_)) => "acid in soil",
        },
        Answer::Kept(place) => kept(&facts[*place].what),
        Answer::Why(_) => "why",
        Answer::WhoDid(_) => "who did",
        Answer::OwnData(_) => "own data",
        // What was told, said back with its moment, and names.
        Answer::Changed(_)
        | Answer::TakenBack(_)
        | Answer::PutOff(_)
        | Answer::Reopened(_)
        | Answer::Bleach
        | Answer::InPart
        | Answer::AskBack(_)
        | Answer::Took { .. }
        | Answer::TurnOf(_)
        | Answer::Offered(_)
        | Answer::Forgotten(_)
        | Answer::House
        | Answer::NothingThere
        | Answer::LetGo
        | Answer::Unknown { .. }
        | Answer::NothingAsked
        | Answer::DoneAlready
        | Answer::Stewards(_) => "",
    }
}

fn asked(about: About) -> &'static str {
    match about {
        About::Status => "status",
        About::Ready => "ready",
        About::Full => "full",
        About::Drain => "drain",
        About::Bran => "bran",
        About::Dilution => "dilution",
        About::Burying => "burying",
        About::Planting => "planting",
        About::Stock => "stock",
        About::Recipe => "recipe",
        About::Rota => "rota",
        About::Tally => "tally",
        About::History => "history",
        About::Chart => "chart",
        About::Acceptable => "acceptable",
        About::Trouble => "trouble",
        About::Why => "why",
        About::Help => "help",
    }
}

fn kept(what: &What) -> &'static str {
    match what {
        What::Scraps { .. } => "kept scraps",
        What::Bran { .. } => "kept bran",
        What::Drained { .. } => "kept drained",
        What::Started { .. } => "kept started",
        What::Sealed { .. } => "kept sealed",
        What::Checked { .. } => "kept checked",
        What::Temperature { .. } => "kept temperature",
        What::SoilPh { .. } => "kept soil ph",
        What::Level { .. } => "kept level",
        What::Buried { .. } => "kept buried",
        What::Discarded { .. } => "kept discarded",
        What::Planted { .. } => "kept planted",
        What::Cleaned { .. } => "kept cleaned",
        What::StarterMade { .. } => "kept starter made",
        What::StarterBought { .. } => "kept starter bought",
        What::StarterStock { .. } => "kept starter stock",
        What::BinSet { .. } => "kept bin",
        What::BinGone { .. } => "kept bin gone",
        What::PlotSet { .. } => "kept plot",
        What::MeasureSet { .. } => "kept measure",
        // Settings and people: what is said back is what was told.
        What::Setting { .. }
        | What::Away { .. }
        | What::Back { .. }
        | What::Passed { .. }
        | What::Asked { .. }
        | What::Offered { .. }
        | What::Took { .. }
        | What::Opened { .. }
        | What::Member { .. }
        | What::Left { .. }
        | What::Void { .. } => "",
    }
}

/// All of them, as the functions above name them.
pub(crate) const KINDS: [&str; 48] = [
    "status",
    "ready",
    "full",
    "drain",
    "bran",
    "dilution",
    "burying",
    "planting",
    "stock",
    "recipe",
    "rota",
    "tally",
    "history",
    "chart",
    "acceptable",
    "trouble",
    "why",
    "help",
    "bins",
    "emissions",
    "ground",
    "dilution by ratio",
    "burying by",
    "trench",
    "acid in bin",
    "acid in soil",
    "who did",
    "own data",
    "kept scraps",
    "kept bran",
    "kept drained",
    "kept started",
    "kept sealed",
    "kept checked",
    "kept temperature",
    "kept soil ph",
    "kept level",
    "kept buried",
    "kept discarded",
    "kept planted",
    "kept cleaned",
    "kept starter made",
    "kept starter bought",
    "kept starter stock",
    "kept bin",
    "kept bin gone",
    "kept plot",
    "kept measure",
];
