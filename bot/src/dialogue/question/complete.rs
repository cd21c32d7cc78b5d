//! What an answer completes.

use branbell_language::{FactKind, Message, Reading, UnclearAbout};
use branbell_scheduler::fact::What;
use branbell_scheduler::state::Room;

use super::several::for_each;
use super::{Asked, GAP, Lacking, MOST_WORDS, afterwards, unclear};
use crate::dialogue::fill::Lacks;
use crate::dialogue::phrase::Phrase;
use crate::dialogue::{
    Answer, Decision, Heard, Occasion, Source, Told, act, change, house, naming, own_data, reopened, strip,
    unit, which,
};
use crate::voice::Voice;

/// What the message comes to as the answer to our question; none where it is something of its own.
pub(in crate::dialogue) fn complete(
    room: &Room,
    on: Occasion<'_>,
    asked: &Asked,
    reading: &Reading,
) -> Option<Decision> {
    let text = on.source.text;
    let kinds: Vec<_> = reading.facts.iter().map(|fact| fact.kind).collect();
    // Where something was kept that our question is about, `undo` takes that back.
    let lets_go = match kinds[..] {
        [FactKind::Skip] => true,
        [FactKind::Undo] => !change::has_kept(room, &asked.event),
        _ => false,
    };
    if lets_go {
        return Some(Decision { answers: vec![Answer::LetGo], ..Decision::default() });
    }
    if asked.lacking == Lacking::Unit && asked.yes.is_some() && is_no(on.voice, text.trim()) {
        return Some(unit::without_guess(asked));
    }
    let too_long = !on.heard.incoming.direct && text.split_whitespace().count() > MOST_WORDS;
    if matches!(asked.lacking, Lacking::Reopened | Lacking::Elsewhere) {
        return reopened::complete(room, on, asked, reading).filter(|_| !too_long);
    }
    if asked.lacking == Lacking::Name
        && let Some(decision) = naming::complete(room, on, asked, reading)
    {
        return Some(decision);
    }
    if !asked.waiting.is_empty() && kinds.contains(&FactKind::BinSet) {
        return Some(resumed(room, on, asked, reading));
    }
    if asked.lacking == Lacking::Forgetting {
        return own_data::complete(room, on, reading).filter(|_| !too_long);
    }
    if matches!(asked.lacking, Lacking::House(_)) {
        return house::complete(room, on, asked, reading);
    }
    if asked.lacking == Lacking::Which && reading.facts.is_empty() && !too_long {
        return which::complete(room, on, asked);
    }
    let answer = text.trim().trim_end_matches(['.', '!']);
    if is_how_much(asked.lacking) && Phrase::of(answer).is_one_of(on.voice, "unknown-words") {
        let is_kept = asked.lacking == Lacking::Drained;
        return Some(Decision { answers: vec![Answer::Unknown { is_kept }], ..Decision::default() });
    }
    let leads = if asked.lacking == Lacking::Amount { "amount-lead-words" } else { "answer-lead-words" };
    let bare = without_lead(on.voice, answer, leads);
    let reading = &by_itself(room, on, reading);
    let kinds: Vec<_> = reading.facts.iter().map(|fact| fact.kind).collect();
    // `I meant blue` changes what was told before, but not while it is asked which bin is meant.
    let is_meant = matches!(kinds[..], [FactKind::Amended]) && bare != answer;
    // What we did not follow is not the beginning of another message, which lacks something of its own.
    let lacks_its_own = asked.lacking == Lacking::Meaning
        && reading.unclear.as_ref().is_some_and(|unclear| Lacking::from(unclear) != Lacking::Meaning);
    // `it's a 15 litre bucket` says of no other bin how big it is.
    let is_size = asked.lacking == Lacking::Size
        && reading.facts.iter().all(|fact| fact.kind == FactKind::BinSet && fact.slots.bin.is_none());
    let is_told = !reading.facts.is_empty() && !is_meant && !is_size;
    let of_its_own = is_told || !reading.asks.is_empty() || lacks_its_own;
    if of_its_own || too_long {
        return None;
    }
    if let Some(decision) = for_each(room, on, asked, bare) {
        return Some(decision);
    }
    let yes = asked.yes.iter().filter(|_| is_yes(on.voice, answer)).cloned();
    let sentences = match asked.lacking {
        Lacking::Unit => unit::sentences(room, on, asked, bare),
        _ => &asked.sentences,
    };
    let filled = |answer| sentences.iter().map(move |sentence| sentence.replacen(GAP, answer, 1));
    let within = windows(answer).filter(|_| asked.lacking == Lacking::Size).flat_map(filled);
    let mut answers = yes.chain(filled(bare)).chain(filled(answer)).chain(within);
    let completed = answers.find_map(|sentence| completed(room, on, asked, &sentence));
    completed
        .map(|decision| and_then(room, on, asked, decision))
        .or_else(|| bare_number(room, on, asked, bare))
}

/// The decision on an answer with the question about the next bin, where several were drained by one message.
fn and_then(room: &Room, on: Occasion<'_>, asked: &Asked, mut decision: Decision) -> Decision {
    let mut holding = asked.then.iter().copied().filter(|seq| room.fact(*seq).is_some());
    if let Some(seq) = holding.next().filter(|_| decision.asked.is_none()) {
        let of_question = on.of(Source { event: &asked.event, sent: asked.sent, ..on.source });
        let next = afterwards(room, of_question, Lacks::Drained, seq);
        decision.ask_back(Asked { then: holding.collect(), ..next });
    }
    decision
}

/// The words of an answer without some of those at its ends, the longest first: what is said around a size matters little.
fn windows(answer: &str) -> impl Iterator<Item = &str> {
    let starts: Vec<usize> = answer.split_whitespace().map(|word| offset(answer, word)).collect();
    let ends: Vec<usize> = answer.split_whitespace().map(|word| offset(answer, word) + word.len()).collect();
    let words = starts.len();
    let spans = (2..=words)
        .rev()
        .take(MOST_WORDS * 2)
        .flat_map(move |length| (0..=words - length).map(move |from| (from, from + length - 1)));
    spans.map(move |(first, last)| &answer[starts[first]..ends[last]])
}

fn offset(text: &str, word: &str) -> usize {
    word.as_ptr() as usize - text.as_ptr() as usize
}

/// The question about the unit, where a bare number answers how much it was.
fn bare_number(room: &Room, on: Occasion<'_>, asked: &Asked, answer: &str) -> Option<Decision> {
    let sentence = asked.sentences.first().filter(|_| is_how_much(asked.lacking))?.replacen(GAP, answer, 1);
    let source = Source { event: &asked.event, text: &sentence, sent: asked.sent, again: true, went: None };
    let of_question = on.of(source);
    if asked.lacking == Lacking::Size {
        return answer
            .parse::<f64>()
            .is_ok()
            .then(|| asking(unit::of_size(room, of_question, asked, answer)));
    }
    let reading = of_question.read(room, &sentence);
    let lacking = reading.unclear.filter(|unclear| unclear.about == UnclearAbout::Unit)?;
    let (replaces, then, at) = (asked.replaces.clone(), asked.then.clone(), asked.at);
    let next = Asked { at, replaces, then, ..unclear(room, of_question, &lacking) };
    Some(asking(next))
}

/// Nothing but a question.
pub(in crate::dialogue) fn asking(next: Asked) -> Decision {
    Decision { answers: vec![Answer::AskBack(next.clone())], asked: Some(next), ..Decision::default() }
}

/// What a message says without the work that is due besides: where that was not the last thing we said, our question is
/// nearer, and `700 ml` its answer.
fn by_itself(room: &Room, on: Occasion<'_>, reading: &Reading) -> Reading {
    let heard = on.heard;
    let is_besides =
        heard.last.is_none() && heard.answering.as_ref().is_some_and(|answering| !answering.plainly);
    if !is_besides {
        return reading.clone();
    }
    branbell_language::read(&Message { reply_to: None, ..on.message(room, on.source.text) })
}

/// An answer without what may stand before it: `I meant blue`, `it's the blue one`.
fn without_lead<'t>(voice: &Voice, answer: &'t str, lead_words: &str) -> &'t str {
    let words = answer.split_inclusive(' ');
    let ends = words.scan(0, |end, word| {
        *end += word.len();
        Some(*end)
    });
    let leads = |end: &usize| Phrase::of(&answer[..*end]).is_one_of(voice, lead_words);
    ends.filter(|end| *end < answer.len()).filter(leads).last().map_or(answer, |end| &answer[end..])
}

pub(in crate::dialogue) fn is_no(voice: &Voice, answer: &str) -> bool {
    voice.word("no-words").split_whitespace().any(|word| word == answer.to_lowercase())
}

pub(in crate::dialogue) fn is_yes(voice: &Voice, answer: &str) -> bool {
    voice.word("yes-words").split_whitespace().any(|word| word == answer.to_lowercase())
}

/// The decision on a completed sentence; none where that is not clear either.
pub(in crate::dialogue) fn completed(
    room: &Room,
    on: Occasion<'_>,
    asked: &Asked,
    sentence: &str,
) -> Option<Decision> {
    let source = Source { event: &asked.event, text: sentence, sent: asked.sent, again: true, went: None };
    let of_question = on.of(source);
    let reading = of_question.read(room, sentence);
    let goes_on = reading.unclear.as_ref().is_some_and(|unclear| unit::is_another(asked, unclear));
    let is_strip = strip::told(room, of_question, &reading).is_some();
    let clear = (reading.unclear.is_none() || goes_on)
        && (!reading.facts.is_empty() || asked.lacking == Lacking::Meaning);
    if !is_strip && (!clear || reading.is_silent()) {
        return None;
    }
    if !asked.waiting.is_empty() {
        return Some(resumed(room, on.of(Source { text: sentence, ..on.source }), asked, &reading));
    }
    let mut ahead = room.clone();
    let mut decision = Decision::default();
    void_replaced(&mut ahead, on.heard, asked, &mut decision);
    act(&mut ahead, of_question, &reading, &mut decision);
    if let Some(at) = asked.at {
        decision.facts.iter_mut().for_each(|told| told.at = at);
    }
    let is_still_lacking = !goes_on && decision.asked.as_ref().is_some_and(|again| lacks_too(again, asked));
    (!is_still_lacking && !decision.answers.is_empty()).then_some(decision)
}

/// Whether the answer left the question open: an expected amount in the place of one that was asked for is none.
fn lacks_too(again: &Asked, asked: &Asked) -> bool {
    let is_amount = |lacking| is_how_much(lacking) || lacking == Lacking::Unit;
    again.lacking == asked.lacking || is_amount(asked.lacking) && again.lacking == Lacking::Drained
}

fn is_how_much(lacking: Lacking) -> bool {
    matches!(lacking, Lacking::Amount | Lacking::Drained | Lacking::Size)
}

/// Takes back what the answer's facts take the place of.
pub(in crate::dialogue) fn void_replaced(
    ahead: &mut Room,
    heard: &Heard<'_>,
    asked: &Asked,
    decision: &mut Decision,
) {
    if !asked.replaces.is_empty() {
        let what = What::Void { seqs: asked.replaces.clone() };
        decision.tell(ahead, heard, Told::new(asked.event.clone(), heard.incoming.sent, what));
    }
}

/// The room has its first bin: what was told before it is taken up again.
fn resumed(room: &Room, on: Occasion<'_>, asked: &Asked, reading: &Reading) -> Decision {
    let mut ahead = room.clone();
    let mut decision = Decision::default();
    act(&mut ahead, on, reading, &mut decision);
    void_replaced(&mut ahead, on.heard, asked, &mut decision);
    for waiting in &asked.waiting {
        waiting.take_up(&mut ahead, on, None, &mut decision);
    }
    decision
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_before_an_answer_is_no_part_of_it() {
        let bare = |answer| without_lead(&Voice::english(), answer, "answer-lead-words").to_owned();
        assert_eq!(bare("I meant blue"), "blue");
        assert_eq!(bare("it's blue"), "blue");
        assert_eq!(bare("blue"), "blue");
        assert_eq!(bare("it is"), "it is");
    }
}
