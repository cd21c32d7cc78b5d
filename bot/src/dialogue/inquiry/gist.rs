//! What a question is about as a whole, where neither the ear nor a rule understands it: the bin, the plot or the thing that it
//! names. An answer about that is worth more than that we do not follow.

use branbell_language::{About, Ask, Slots};

use super::super::Answer;
use super::{Inquiry, Part, Parts, Way};

/// The answer about what the question names; none where it names nothing of ours, or is no question.
pub(super) fn answer(q: &Parts<'_>) -> Option<Answer> {
    if !q.asks() {
        return None;
    }
    of_bin(q).or_else(|| of_plot(q)).or_else(|| of_thing(q)).or_else(|| reason(q))
}

fn ask(about: About, slots: Slots) -> Answer {
    Answer::Asked(Ask { about, slots })
}

/// What is asked of a bin as it stands: a time or a measure.
const STANDING: [Part; 7] =
    [Part::HowLong, Part::HowMuch, Part::HowFar, Part::Soon, Part::Full, Part::Room, Part::Last];

/// `roughly how many days has green got`, `is it too soon for blue`
fn of_bin(q: &Parts<'_>) -> Option<Answer> {
    let bin = q.room.bin(q.bin.as_deref()?).filter(|_| q.any(&STANDING))?;
    let goes_into_soil = q.any(&[Part::Bury, Part::Soil, Part::Trench, Part::Ground]);
    let about = if goes_into_soil {
        About::Burying
    } else if !q.has(Part::HowLong) {
        About::Status
    } else if bin.filling().is_some() {
        About::Full
    } else {
        About::Ready
    };
    Some(ask(about, Slots { bin: q.bin.clone(), ..Slots::default() }))
}

/// `is the rose bed overloaded`, `should I use the north bed again`
fn of_plot(q: &Parts<'_>) -> Option<Answer> {
    let plot = q.plot.clone()?;
    Some(Answer::Inquired(Inquiry::Ground(Some(plot))))
}

/// `how many buckets for a family like ours`, `what happens to the earth that doesn't fit back in`
fn of_thing(q: &Parts<'_>) -> Option<Answer> {
    let much = |thing| q.asks_how_much(thing);
    Some(if q.any(&[Part::Soil, Part::Trench]) {
        ask(About::Burying, Slots::default())
    } else if much(Part::Bin) && !q.measures() {
        Answer::Inquired(Inquiry::Bins(Vec::new()))
    } else if much(Part::Ground) {
        Answer::Inquired(Inquiry::Ground(None))
    } else if q.has(Part::Bran) && !q.measures() {
        ask(About::Stock, Slots::default())
    } else if q.has(Part::Flat) || q.lacks(Part::Ground) {
        Answer::Inquired(Inquiry::Burying(Way::Container, None))
    } else {
        return None;
    })
}

/// `what are you basing this on`, where there was a number.
fn reason(q: &Parts<'_>) -> Option<Answer> {
    let topic = q.on.heard.topic.clone()?;
    q.has(Part::Reason).then_some(Answer::Why(Some(topic)))
}
