//! Questions that the reading contract has no name for: what if there were another bin, how strong, how without a garden.
//!
//! They are looked for in what is said to the bot and tells nothing. The words stand with the texts, the sizes are read by
//! the ear.

use branbell_language::{About, Ask, Fact, FactKind, Reading, UnclearAbout};
use branbell_scheduler::quantity::dilution;
use branbell_scheduler::state::Room;
use chrono::NaiveDate;

use super::{Heard, Topic, hearing};
use crate::say;
use crate::voice::Voice;

/// A question of that kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Inquiry {
    /// How the bins go round, with further ones of these sizes in ml.
    Bins(Vec<f64>),
    /// What was saved in carbon dioxide equivalents, since a day.
    Emissions(Option<NaiveDate>),
    /// How much nitrogen and ground a year takes, or what a plot has had.
    Ground(Option<String>),
    /// Water for so many ml of liquid, at so many parts to one.
    Dilution(Option<f64>, f64),
    /// How to bury without a trench.
    Burying(Way, Option<String>),
}

/// Where a batch goes if not into a trench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// A closed container with soil.
    Container,
    /// A pot or a raised bed.
    Pot,
    /// Finished compost.
    Compost,
}

/// Nobody asks for further bins by the hundred.
const MOST_BINS: f64 = 10.0;
/// Nobody dilutes further, and the number stays one that fits a line.
const MOST_PARTS: f64 = 10_000.0;

/// The inquiry that a message makes, if it makes one.
pub(super) fn heard(
    room: &Room,
    voice: &Voice,
    heard: &Heard<'_>,
    text: &str,
    reading: &Reading,
) -> Option<Inquiry> {
    if !heard.incoming.direct || !is_open(reading) {
        return None;
    }
    let words = Phrasing::of(room, voice, text);
    // A bin that is only supposed is no bin.
    let tells = |fact: &Fact| fact.kind != FactKind::BinSet || !words.has("inquiry-if-words");
    if reading.facts.iter().any(tells) {
        return None;
    }
    let ask = reading.asks.first();
    words
        .dilution(heard, ask)
        .or_else(|| words.emissions(ask))
        .or_else(|| words.bins(room, heard))
        .or_else(|| words.ground())
        .or_else(|| words.burying(ask))
}

/// Whether the ear left it open, or took it for a question that such an inquiry may be in other words.
fn is_open(reading: &Reading) -> bool {
    use About::{Burying, Dilution, Full, Help, Ready, Status, Tally};
    let by_asks = match &reading.asks[..] {
        [] => true,
        [ask] => matches!(ask.about, Burying | Dilution | Full | Help | Ready | Status | Tally),
        _ => false,
    };
    by_asks && reading.unclear.as_ref().is_none_or(|unclear| unclear.about == UnclearAbout::Meaning)
}

/// The words of a message, without the names of bins and plots.
struct Phrasing<'a> {
    voice: &'a Voice,
    words: Vec<String>,
    padded: String,
    /// The plot that is named.
    plot: Option<String>,
}

impl<'a> Phrasing<'a> {
    fn of(room: &Room, voice: &'a Voice, text: &str) -> Self {
        let spaced = text.to_lowercase().replace(':', " : ");
        let kept = |c: char| c.is_alphanumeric() || c == '.' || c == ':' || c == '²' || c == '₂';
        let split = spaced.split(|c: char| !kept(c)).map(|word| word.trim_end_matches('.'));
        let mut padded = split.filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ");
        padded = format!(" {padded} ");
        let is_named = |name: &str| padded.contains(&format!(" {} ", name.to_lowercase()));
        let beds = room.plots.iter().filter(|plot| is_named(&plot.name));
        let plot = beds.max_by_key(|plot| plot.name.len()).map(|plot| plot.name.clone());
        let names = room.bins.iter().map(|bin| &bin.name).chain(room.plots.iter().map(|plot| &plot.name));
        for name in names {
            padded = padded.replace(&format!(" {} ", name.to_lowercase()), " ");
        }
        let words = padded.split_whitespace().map(str::to_owned).collect();
        Self { voice, words, padded, plot }
    }

    /// Whether it has one of the phrases that the text of this name lists.
    fn has(&self, id: &str) -> bool {
        self.voice.word(id).split(", ").any(|phrase| self.padded.contains(&format!(" {phrase} ")))
    }

    fn is(&self, place: usize, id: &str) -> bool {
        let known = self.voice.word(id);
        self.words.get(place).is_some_and(|word| known.split(", ").any(|known| known == word))
    }

    fn bins(&self, room: &Room, heard: &Heard<'_>) -> Option<Inquiry> {
        if !self.has("inquiry-bin-words") {
            return None;
        }
        let supposed = self.has("inquiry-if-words") || self.has("inquiry-would-words");
        let more = self.has("inquiry-more-words");
        let size = self.size(room, heard);
        if supposed && (more || size.is_some()) {
            let size = size.or_else(|| usual_size(room))?;
            return Some(Inquiry::Bins(vec![size; self.count(room, heard)]));
        }
        let enough = self.has("inquiry-enough-words") || more && self.has("inquiry-need-words");
        (enough || self.has("inquiry-how-many-words") && self.has("inquiry-need-words"))
            .then(|| Inquiry::Bins(Vec::new()))
    }

    /// The size of a bin that is named, ml.
    fn size(&self, room: &Room, heard: &Heard<'_>) -> Option<f64> {
        let capacity = |size: &str| {
            let sentence = say!(self.voice, "sentence-bin-size", bin = "spare", answer = size).plain();
            let reading = read(room, heard, &sentence);
            reading.facts.first().and_then(|fact| fact.slots.capacity_ml).filter(|ml| *ml > 0.0)
        };
        self.words.windows(2).find_map(|pair| capacity(&pair.join(" ")))
    }

    /// How many more: `two more bins`.
    fn count(&self, room: &Room, heard: &Heard<'_>) -> usize {
        let more = (0..self.words.len()).find(|place| self.is(*place, "inquiry-more-words"));
        let number = more.and_then(|place| self.words.get(place.checked_sub(1)?));
        let count = number.and_then(|number| {
            let lot = say!(self.voice, "sentence-added", amount = format!("{number} l")).plain();
            read(room, heard, &lot).facts.first()?.slots.ml
        });
        count.map_or(1, |ml| (ml / 1000.0).round().clamp(1.0, MOST_BINS) as usize)
    }

    fn emissions(&self, ask: Option<&Ask>) -> Option<Inquiry> {
        let since = ask.filter(|ask| ask.about == About::Tally).and_then(|ask| ask.slots.since);
        self.has("inquiry-emissions-words").then_some(Inquiry::Emissions(since))
    }

    fn ground(&self) -> Option<Inquiry> {
        let much = self.has("inquiry-how-much-words") && self.has("inquiry-need-words");
        let enough = self.plot.is_some() && self.has("inquiry-had-enough-words");
        (self.has("inquiry-nitrogen-words") || enough || much && self.has("inquiry-ground-words"))
            .then(|| Inquiry::Ground(self.plot.clone()))
    }

    /// `how much water for 300 ml at 1:200`, or `1:200 please` and `weaker` where the last number was such water.
    fn dilution(&self, heard: &Heard<'_>, ask: Option<&Ask>) -> Option<Inquiry> {
        let asked = ask.filter(|ask| ask.about == About::Dilution);
        let (last, parts) = match heard.topic {
            Some(Topic::Water(ml)) => (Some(ml), dilution::RATIO.value),
            Some(Topic::Diluted(ml, parts)) => (Some(ml), parts),
            _ => (None, dilution::RATIO.value),
        };
        if asked.is_none() && (last.is_none() || ask.is_some()) {
            return None;
        }
        let weaker = || self.has("inquiry-weaker-words").then(|| (parts * 2.0).min(MOST_PARTS));
        let ratio = self.ratio().or_else(weaker)?;
        Some(Inquiry::Dilution(asked.and_then(|ask| ask.slots.ml).or(last), ratio))
    }

    /// The parts of water in `1:200`, `1 to 200`.
    fn ratio(&self) -> Option<f64> {
        (2..self.words.len()).find_map(|place| {
            let is_one = self.is(place - 2, "ratio-one-words") && self.is(place - 1, "ratio-to-words");
            let parts = self.words[place].parse::<f64>().ok().filter(|parts| is_one && *parts >= 1.0)?;
            Some(parts.min(MOST_PARTS))
        })
    }

    fn burying(&self, ask: Option<&Ask>) -> Option<Inquiry> {
        let asks = match ask {
            Some(ask) => matches!(ask.about, About::Burying | About::Ready),
            None => self.has("inquiry-ask-words"),
        };
        let way = if self.has("inquiry-compost-words") {
            Way::Compost
        } else if self.has("inquiry-pot-words") {
            Way::Pot
        } else if self.has("inquiry-container-words") {
            Way::Container
        } else {
            return None;
        };
        asks.then(|| Inquiry::Burying(way, ask.and_then(|ask| ask.slots.bin.clone())))
    }
}

fn read(room: &Room, heard: &Heard<'_>, sentence: &str) -> Reading {
    let mut message = hearing::message(room, heard, sentence, heard.incoming.sent);
    message.reply_to = None;
    branbell_language::read(&message)
}

/// The mean size of a room's bins, ml: what another one would be like.
fn usual_size(room: &Room) -> Option<f64> {
    let sizes: Vec<f64> = room.bins_in_use().filter_map(|bin| Some(bin.capacity?.0)).collect();
    (!sizes.is_empty()).then(|| sizes.iter().sum::<f64>() / sizes.len() as f64)
}

#[cfg(test)]
mod tests {
    use branbell_scheduler::fact::{Fact, What};
    use chrono::{DateTime, Utc};

    use super::*;
    use crate::chat::{Deed, Incoming};
    use crate::dialogue::{Answer, decide};

    fn room() -> Room {
        let bin = |name: &str, litres: f64| What::BinSet {
            bin: name.into(),
            capacity_ml: Some(litres * 1000.0),
            tap: None,
        };
        let plot = What::PlotSet { plot: "pot bed".into(), area_m2: Some(3.0) };
        let told = [bin("green", 20.0), bin("blue", 10.0), plot];
        let fact = |(seq, what)| Fact {
            seq,
            event: String::new(),
            author: "ana".into(),
            at: DateTime::UNIX_EPOCH,
            told: DateTime::UNIX_EPOCH,
            what,
        };
        Room::fold(&(1..).zip(told).map(fact).collect::<Vec<_>>())
    }

    /// What a message comes to, after a number about `topic`.
    fn inquiry(text: &str, topic: Option<Topic>, direct: bool) -> Option<Inquiry> {
        let now: DateTime<Utc> = "2027-05-01T10:00:00Z".parse().unwrap();
        let incoming = Incoming {
            room: "kitchen".into(),
            event: "$1".into(),
            sender: "ana".into(),
            sent: now,
            direct,
            thread: None,
            deed: Deed::Say { text: text.into(), reply_to: None },
        };
        let heard = Heard { incoming: &incoming, answering: None, asked: None, topic, last_seq: 3 };
        let decision = decide(&room(), &Voice::english(), &heard, now);
        assert!(decision.facts.is_empty(), "{text}: {:?}", decision.facts);
        decision.answers.into_iter().find_map(|answer| match answer {
            Answer::Inquired(inquiry) => Some(inquiry),
            _ => None,
        })
    }

    #[test]
    fn further_bins_are_supposed() {
        for (text, further) in [
            ("what if we had another 60 l bin?", vec![60_000.0]),
            ("What if we got two more 19 litre buckets", vec![19_000.0; 2]),
            ("would a third bin help?", vec![15_000.0]),
            ("suppose we had an extra bin of 30 litres", vec![30_000.0]),
            ("how many bins do we need?", vec![]),
            ("are two bins enough bins for us?", vec![]),
            ("do we need another bin?", vec![]),
            ("are we short of bins?", vec![]),
        ] {
            assert_eq!(inquiry(text, None, true), Some(Inquiry::Bins(further)), "{text}");
        }
    }

    #[test]
    fn liquid_is_diluted_as_asked() {
        let water = || Some(Topic::Water(300.0));
        let wanted = |ml, parts| Some(Inquiry::Dilution(Some(ml), parts));
        assert_eq!(inquiry("how much water for 200 ml at 1:50?", None, true), wanted(200.0, 50.0));
        assert_eq!(inquiry("how much water for 200 ml, 1 to 300", None, true), wanted(200.0, 300.0));
        assert_eq!(inquiry("1:200 please", water(), true), wanted(300.0, 200.0));
        assert_eq!(inquiry("weaker please", water(), true), wanted(300.0, 200.0));
        assert_eq!(inquiry("weaker", Some(Topic::Diluted(300.0, 200.0)), true), wanted(300.0, 400.0));
        assert_eq!(inquiry("1:200 please", None, true), None);
    }

    #[test]
    fn other_ways_and_the_year_are_asked_about() {
        let by = |way| Some(Inquiry::Burying(way, None));
        assert_eq!(inquiry("what do I do with it without a garden?", None, true), by(Way::Container));
        assert_eq!(inquiry("how big a box do I need?", None, true), by(Way::Container));
        assert_eq!(inquiry("can I bury it in a pot?", None, true), by(Way::Pot));
        assert_eq!(inquiry("how do I bury it in a raised bed?", None, true), by(Way::Pot));
        assert_eq!(inquiry("can I mix it with compost?", None, true), by(Way::Compost));
        assert_eq!(inquiry("how much CO2e have we saved?", None, true), Some(Inquiry::Emissions(None)));
        assert_eq!(inquiry("how much ground do we need?", None, true), Some(Inquiry::Ground(None)));
        assert_eq!(inquiry("how many square metres a year?", None, true), Some(Inquiry::Ground(None)));
        let bed = Some(Inquiry::Ground(Some("pot bed".into())));
        assert_eq!(inquiry("has the pot bed had enough?", None, true), bed);
    }

    /// What the ear understands stays with it, a bed's name is no pot, and a group's talk is left alone.
    #[test]
    fn what_is_something_else_is_left() {
        for text in [
            "how's the green bin?",
            "when will it be full?",
            "how much water for 200 ml?",
            "how big a hole do I need?",
            "how big a hole in the pot bed?",
            "can I plant in the pot bed yet?",
            "how much have we kept out of the rubbish?",
            "what if the bin smells?",
            "how much bran for 2 litres?",
            "does the other bin need draining?",
            "thanks!",
        ] {
            assert_eq!(inquiry(text, Some(Topic::Water(300.0)), true), None, "{text}");
        }
        assert_eq!(inquiry("what if we had another 60 l bin?", None, false), None);
    }
}
