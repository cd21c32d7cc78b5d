//! From what was heard to what is kept and said: fills slots from the room's state, asks back where it must, never guesses.
//!
//! [`decide`] is pure: the room, what was heard and the moment give a [`Decision`]. The host keeps its facts, and then
//! [`wording`] says it, seen from the room as it is afterwards.

mod answered;
mod answering;
mod change;
mod claim;
mod decision;
mod fill;
mod hearing;
mod house;
mod inquiry;
mod naming;
mod occasion;
mod own_data;
mod phrase;
mod question;
mod remark;
mod reopened;
mod strip;
mod swap;
pub(crate) mod topic;
mod translate;
mod unit;
mod which;
pub mod wording;

use branbell_language::{About, Ask, Fact, FactKind, Reading, Slots, Unclear, UnclearAbout};
use branbell_scheduler::fact::What;
use branbell_scheduler::plan::overdue;
use branbell_scheduler::state::Room;
use chrono::{DateTime, Utc};

use crate::chat::Deed;
use crate::say;
use crate::voice::{Text, Voice};
pub use answered::TAPS;
pub use answering::{Answering, Item};
pub use decision::{Answer, Decision, Heard, NudgeChange, Span, Told};
use fill::{Filled, Missing};
pub use inquiry::{Held, Inquiry, Way};
use occasion::{Occasion, Source};
use phrase::Phrase;
pub use question::{Asked, Lacking};
pub use remark::{remarks, remarks_beside};
pub use swap::keeps_to_the_point;
pub use topic::Topic;

/// What to keep and to say.
pub fn decide(room: &Room, voice: &Voice, heard: &Heard<'_>, now: DateTime<Utc>) -> Decision {
    let mut decision = match &heard.incoming.deed {
        Deed::Say { text, .. } => say(room, Occasion::new(voice, heard, text, now)),
        Deed::Edit { of, text } => change::edit(room, Occasion::new(voice, heard, text, now), of),
        Deed::Delete { of } => change::delete(room, heard, of),
        Deed::React { key, .. } => answered::react(room, Occasion::new(voice, heard, "", now), key),
        Deed::Other | Deed::Unreadable { .. } | Deed::Lost { .. } | Deed::TooLong { .. } => {
            Decision { asked: heard.asked.clone(), ..Decision::default() }
        }
    };
    strip::say_once(room, heard, &mut decision, now);
    decision
}

fn say(room: &Room, on: Occasion<'_>) -> Decision {
    let heard = on.heard;
    let message = on.message(room, on.source.text);
    let reading = hearing::read_among_others(room, on, &message);
    // Before it may be taken for a short answer to a question of ours: it is none.
    if strip::told(room, on, &reading).is_some() {
        let mut decision = Decision::default();
        act(&mut room.clone(), on, &reading, &mut decision);
        decision.asked = decision.asked.or_else(|| heard.asked.clone());
        return decision;
    }
    if let Some(answer) = inquiry::heard(room, on, &reading)
        && together(room, on).is_none()
    {
        let (answers, asked) = (vec![answer], heard.asked.clone());
        return Decision { answers, asked, ..Decision::default() };
    }
    let completed = heard.asked.as_ref().and_then(|asked| question::complete(room, on, asked, &reading));
    if let Some(mut decision) = completed {
        house::ask_with_first_bin(room, on, &mut decision);
        return decision;
    }
    // `away till friday, can someone take my turn?`: what is told is kept, and the rota skips who is away.
    let tells = |fact: &Fact| !matches!(fact.kind, FactKind::Done | FactKind::Later | FactKind::Skip);
    if !reading.facts.iter().any(tells)
        && let Some(decision) = together(room, on)
    {
        return decision;
    }
    if let Some(decision) = answered::declined(room, on, &reading) {
        return decision;
    }
    let mut decision = Decision::default();
    act(&mut room.clone(), on, &reading, &mut decision);
    house::ask_with_first_bin(room, on, &mut decision);
    // `can I wash it with bleach?` is no question that the ear knows, and the one that must not stay open.
    if matches!(&decision.asked, Some(asked) if asked.lacking == Lacking::Meaning) && speaks_of_bleach(on) {
        return Decision { answers: vec![Answer::Bleach], asked: heard.asked.clone(), ..Decision::default() };
    }
    if reading.is_silent() && is_a_newcomers(room, on) {
        let unclear = Unclear { about: UnclearAbout::Meaning, said: None };
        decision.ask_back(question::unclear(room, on, &unclear));
    }
    if let Some(asked) = &heard.asked
        && goes_on_waiting(asked, room, &reading, &decision)
    {
        decision.asked = Some(asked.clone());
    }
    decision
}

/// Whether somebody who has no bin yet speaks of the trade: they are not left alone with what the ear takes for small talk.
fn is_a_newcomers(room: &Room, on: Occasion<'_>) -> bool {
    let is_new = room.direct && room.bins_in_use().next().is_none() && on.heard.asked.is_none();
    is_new && wording::back::nearest(on.voice, on.source.text).is_some()
}

/// Whether our question still stands after a message that did not answer it: small talk, a question put in between, or a
/// slip put right while a rule of the house is asked. What waits for the room's first bin waits on whatever is said.
fn goes_on_waiting(asked: &Asked, room: &Room, reading: &Reading, decision: &Decision) -> bool {
    let has_no_bin = room.bins_in_use().next().is_none();
    let waits_for_a_bin =
        matches!(asked.lacking, Lacking::Bin | Lacking::Name) && !asked.waiting.is_empty() && has_no_bin;
    match &decision.asked {
        Some(new) => waits_for_a_bin && new.waiting.is_empty(),
        None => {
            let corrects = |fact: &Fact| fact.kind == FactKind::Amended;
            let is_slip = matches!(asked.lacking, Lacking::House(_)) && reading.facts.iter().all(corrects);
            let is_between = reading.facts.is_empty() && asked.lacking != Lacking::Meaning || is_slip;
            reading.is_silent() || is_between || waits_for_a_bin
        }
    }
}

/// What people who share bins say of turns, and ask of each other's work; what they ask of their own data.
fn together(room: &Room, on: Occasion<'_>) -> Option<Decision> {
    if let Some(decision) = swap::decide(room, on) {
        return Some(decision);
    }
    if let Some(decision) = house::decide(room, on) {
        return Some(decision);
    }
    if let Some(decision) = own_data::decide(on) {
        return Some(decision);
    }
    let phrase = Phrase::of(on.source.text);
    let answers = vec![Answer::WhoDid(span(on.voice, &phrase))];
    let is_asked = phrase.has(on.voice, "who-did-words");
    is_asked.then(|| Decision { answers, asked: on.heard.asked.clone(), ..Decision::default() })
}

/// The span that a question names; this month where it names none.
fn span(voice: &Voice, phrase: &Phrase) -> Span {
    let named = [
        ("span-last-month", Span::LastMonth),
        ("span-last-week", Span::LastWeek),
        ("span-week", Span::Week),
        ("span-year", Span::Year),
    ];
    let named = named.into_iter().find(|(words, _)| phrase.has(voice, words));
    named.map_or(Span::Month, |(_, span)| span)
}

/// Acts on a reading: facts in order, then questions, then what stayed unclear. A bin named in the first half of a message
/// may be used in the second: `ahead` is the room as the facts before have left it.
fn act(ahead: &mut Room, on: Occasion<'_>, reading: &Reading, decision: &mut Decision) {
    let heard = on.heard;
    let named = layered(&reading.facts);
    let shown = strip::told(ahead, on, reading);
    let is_told = |fact: &&Fact| shown.as_ref().is_none_or(|shown| !shown.is_taken_for(fact));
    let facts = reading.facts.iter().filter(is_told).map(|fact| in_bin(fact, named.as_deref())).collect();
    for fact in &before_sealing(facts) {
        match fact.kind {
            FactKind::Undo => change::undo(ahead, heard, decision),
            FactKind::Amended => change::amend(ahead, on, fact, decision),
            FactKind::Done => {
                let at = fill::moment(ahead, &fact.slots, on.source.sent);
                answered::done(ahead, on, at, decision);
            }
            FactKind::Later => answered::later(ahead, on, fact, decision),
            FactKind::Skip => answered::skip(ahead, heard, decision),
            _ => keep(ahead, on, fact, decision),
        }
    }
    let asks = reading.asks.iter().filter(|ask| !is_in_the_facts(ask.about, &reading.facts));
    let asks = asks.filter(|ask| shown.is_none() || !strip::answers(ask));
    decision.answers.extend(asks.map(|ask| match ask.about {
        About::Why => Answer::Why(heard.topic.clone()),
        About::Acceptable => Answer::Asked(with_words(ask, on.source.text)),
        About::Bran => Answer::Asked(with_foods(ahead, on, ask)),
        _ => Answer::Asked(ask.clone()),
    }));
    match (shown, &reading.unclear) {
        (Some(shown), _) => strip::keep(ahead, on, shown, decision),
        (None, Some(unclear)) => decision.ask_back(question::unclear(ahead, on, unclear)),
        (None, None) => {}
    }
}

/// A question about a food with all that was said of it: what the food is like may matter more than what it is.
fn with_words(ask: &Ask, text: &str) -> Ask {
    let mut ask = ask.clone();
    // `what can I put in?` is about no food.
    if !ask.slots.foods.is_empty() {
        ask.slots.item.get_or_insert_with(|| text.to_owned());
    }
    ask
}

/// A question how much bran for so much, with the foods that it names as the ear hears them where they are put in.
fn with_foods(room: &Room, on: Occasion<'_>, ask: &Ask) -> Ask {
    let mut ask = ask.clone();
    let lot = |slots: &Slots| (slots.ml, slots.g);
    if !ask.slots.foods.is_empty() || lot(&ask.slots) == (None, None) {
        return ask;
    }
    let text = on.source.text.trim_end_matches(['?', '.', '!', ' ']);
    let starts = text.split_whitespace().map(|word| word.as_ptr() as usize - text.as_ptr() as usize);
    let foods = starts.take(MOST_WORDS).find_map(|start| {
        let sentence = say!(on.voice, "sentence-put-in", lot = Text::of_words(&text[start..])).plain();
        let facts = on.read(room, &sentence).facts;
        let told = facts.iter().find(|fact| fact.kind == FactKind::Scraps)?;
        (lot(&told.slots) == lot(&ask.slots))
            .then(|| told.slots.foods.clone())
            .filter(|foods| !foods.is_empty())
    });
    ask.slots.foods = foods.unwrap_or_default();
    ask
}

/// No question is longer; what comes behind is not looked at.
const MOST_WORDS: usize = 40;

/// Whether a question is answered by the confirmation of what was told with it: trouble by the check.
fn is_in_the_facts(about: About, facts: &[Fact]) -> bool {
    about == About::Trouble && facts.iter().any(|fact| fact.kind == FactKind::Checked)
}

/// Work on the layers of a bin that is being filled, or is filled by it.
fn is_layering(kind: FactKind) -> bool {
    use FactKind::{Bran, Level, Scraps, Sealed, Started};
    matches!(kind, Scraps | Bran | Level | Sealed | Started)
}

/// The one bin that a message names for work on its layers: `sealed left with 4 tbsp bran on top` is about one bin.
fn layered(facts: &[Fact]) -> Option<String> {
    let mut named =
        facts.iter().filter(|fact| is_layering(fact.kind)).filter_map(|fact| fact.slots.bin.as_ref());
    let first = named.next()?;
    named.all(|bin| bin == first).then(|| first.clone())
}

fn in_bin(fact: &Fact, named: Option<&str>) -> Fact {
    let mut fact = fact.clone();
    if is_layering(fact.kind) && fact.slots.bin.is_none() {
        fact.slots.bin = named.map(str::to_owned);
    }
    fact
}

/// In one message what went in went in before the lid was closed: `sealed green with the last litre on top`.
fn before_sealing(facts: Vec<Fact>) -> Vec<Fact> {
    let mut ordered: Vec<Fact> = Vec::with_capacity(facts.len());
    for fact in facts {
        let is_closing = |sealed: &Fact| {
            let slots = (&sealed.slots.bin, &sealed.slots.at);
            sealed.kind == FactKind::Sealed && slots == (&fact.slots.bin, &fact.slots.at)
        };
        let goes_in = matches!(fact.kind, FactKind::Scraps | FactKind::Bran);
        let place = ordered.iter().position(is_closing).filter(|_| goes_in).unwrap_or(ordered.len());
        ordered.insert(place, fact);
    }
    ordered
}

fn keep(ahead: &mut Room, on: Occasion<'_>, fact: &Fact, decision: &mut Decision) {
    let Occasion { heard, source, .. } = on;
    let fact = match naming::named(ahead, on, fact) {
        Ok(fact) => fact,
        Err(missing) => return decision.ask_back(question::missing(on, &missing)),
    };
    match fill::fill(ahead, on, &fact) {
        Ok(Filled { what, .. }) if !may(ahead, &heard.incoming.sender, &what) => {
            decision.answers.push(Answer::only_for_stewards(ahead));
        }
        Ok(Filled { what, at, lacks }) => {
            let what = source.placed(what);
            if source.has_told(ahead, &what, at) {
                return;
            }
            if let Some(bin) = reopened::sealed_bin(ahead, &what, at, source.went) {
                decision.ask_back(reopened::ask(ahead, on, &bin));
                return;
            }
            let opened = reopened::opened_by(ahead, &what, at);
            let bleached = is_bleached(on, &what, decision);
            let in_part = matches!(what, What::Buried { .. })
                && Phrase::of(on.source.text).has(on.voice, "in-part-words")
                && !decision.answers.contains(&Answer::InPart);
            let is_back = matches!(what, What::Back { .. });
            let place = decision.tell(ahead, heard, Told::new(source.event.to_owned(), at, what));
            decision.answers.push(Answer::Kept(place));
            decision.answers.extend(opened.map(Answer::Reopened));
            decision.answers.extend(bleached.then_some(Answer::Bleach));
            decision.answers.extend(in_part.then_some(Answer::InPart));
            if is_back {
                let overdue = overdue(ahead, &heard.incoming.sender, on.now);
                decision.nudges.extend(overdue.into_iter().map(|nudge| (nudge.key.0, NudgeChange::Said)));
            }
            if let Some(lacks) = lacks {
                let seq = heard.seq(place);
                decision.ask_back(question::afterwards(ahead, on, lacks, seq));
            }
        }
        Err(missing) => decision.ask_back(question::missing(on, &missing)),
    }
}

/// Whether a bin was washed, or liquid poured, where there is talk of bleach: warned of once.
fn is_bleached(on: Occasion<'_>, what: &What, decision: &Decision) -> bool {
    let is_met = matches!(what, What::Cleaned { .. } | What::Drained { .. } | What::Discarded { .. });
    is_met && speaks_of_bleach(on) && !decision.answers.contains(&Answer::Bleach)
}

fn speaks_of_bleach(on: Occasion<'_>) -> bool {
    let phrase = Phrase::of(on.source.text);
    phrase.has(on.voice, "bleach-words") && !phrase.has(on.voice, "bleach-not-words")
}

/// Whether a person may tell this: what is shared in a room with stewards is set by them.
fn may(room: &Room, person: &str, what: &What) -> bool {
    let is_shared = matches!(
        what,
        What::BinSet { .. }
            | What::BinGone { .. }
            | What::PlotSet { .. }
            | What::MeasureSet { .. }
            | What::Setting { .. }
            | What::Discarded { .. }
    );
    let mut stewards = room.people.iter().filter(|known| known.here && known.steward).peekable();
    room.direct || !is_shared || stewards.peek().is_none() || stewards.any(|steward| steward.id == person)
}

/// Nothing is guessed from what is unclear.
impl From<&Unclear> for Lacking {
    fn from(unclear: &Unclear) -> Self {
        match unclear.about {
            UnclearAbout::Amount => Lacking::Amount,
            UnclearAbout::Unit => Lacking::Unit,
            UnclearAbout::Bin => Lacking::Bin,
            UnclearAbout::Time => Lacking::Time,
            UnclearAbout::Meaning => Lacking::Meaning,
        }
    }
}

impl From<&Missing> for Lacking {
    fn from(missing: &Missing) -> Self {
        match missing {
            Missing::Bin(_) | Missing::NoBins => Lacking::Bin,
            Missing::Name { .. } => Lacking::Name,
            Missing::Plot(_) => Lacking::Plot,
            Missing::Size { .. } | Missing::Area { .. } => Lacking::Size,
            Missing::Amount | Missing::Fitting { .. } => Lacking::Amount,
        }
    }
}
