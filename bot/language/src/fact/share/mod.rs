//! Bins and times that several facts share: what opens or closes a message covers all of it.

mod refer;
mod times;
mod uses;

pub(super) use uses::is_of_liquid;

use crate::clause::{BinRef, Gist, PieceKind};
use crate::lexicon::{Cue, Forms, Mark};
use crate::name::NameKind;
use crate::reading::FactKind;
use crate::scene::Scene;
use crate::text::Text;

use super::Event;

/// Gives events without a bin or a time those that cover them.
pub(super) fn share(scene: &Scene<'_>, events: &mut Vec<Event>, pending: &Gist) {
    refer::of_the_same(scene, events);
    within_lots(events);
    for_each(scene, events);
    closing_bins(events);
    refer::referred(scene, events);
    refer::there(scene, events);
    let covering_bin = covering_bin(scene, events, pending);
    let named_at = events.iter().position(|event| bin_of(event).is_some()).unwrap_or(0);
    for (index, event) in events.iter_mut().enumerate().filter(|(_, event)| wants_bin(event)) {
        // `sealed it last night. this morning started blue`: some other bin, known before
        let other = index < named_at && points_at_it(scene, event);
        if let Some(bin) = covering_bin.clone().filter(|_| !other) {
            event.bins.push(bin);
        }
    }
    for event in events.iter_mut().filter(|event| wants_bin(event)) {
        event.bins.extend(event.under.clone());
    }
    of_the_sentence(scene, events);
    neighbours(scene, events);
    seen_in_passing(scene, events);
    uses::uses(scene, events);
    times::times(scene, events, pending);
}

fn wants_bin(event: &Event) -> bool {
    let kind = matches!(
        event.kind,
        FactKind::Scraps
            | FactKind::Bran
            | FactKind::Drained
            | FactKind::Started
            | FactKind::Sealed
            | FactKind::Checked
            | FactKind::Level
            | FactKind::Buried
            | FactKind::Discarded
            | FactKind::Cleaned
    );
    let temperature = event.kind == FactKind::Temperature && !event.elsewhere;
    (kind || temperature)
        && event.slots.bin.is_none()
        && event.bins.is_empty()
        && event.lots.iter().all(|lot| lot.bins.is_empty())
}

/// `2 l into blue, 1 l into green, 30 ml of bran on each`: every bin named before.
fn for_each(scene: &Scene<'_>, events: &mut [Event]) {
    for i in 1..events.len() {
        // `..., each with a spoon of bran`
        let before = scene.clauses[..events[i].clauses.0].last();
        let led = before
            .is_some_and(|before| before.to == before.from + 1 && scene.text.has(before.from, Mark::Each));
        let each = events[i].lots.iter().any(|lot| (lot.each || led) && lot.amount.is_some());
        if !each || !wants_bin(&events[i]) {
            continue;
        }
        let mut bins: Vec<BinRef> = Vec::new();
        for bin in events[..i]
            .iter()
            .flat_map(|event| event.bins.iter().chain(event.lots.iter().flat_map(|lot| &lot.bins)))
        {
            if !bins.contains(bin) {
                bins.push(bin.clone());
            }
        }
        if bins.len() > 1 {
            events[i].bins = bins;
        }
    }
}

/// In `3 litres and 2 tbsp bran to both` the bins are those of both.
fn closing_bins(events: &mut [Event]) {
    let put_in = |event: &Event| matches!(event.kind, FactKind::Scraps | FactKind::Bran);
    for i in 0..events.len() {
        let others = || events.iter().filter(|other| other.sentence == events[i].sentence);
        let (Some(last), 1) =
            (others().next_back(), others().filter(|other| bin_of(other).is_some()).count())
        else {
            continue;
        };
        if !put_in(last) || !put_in(&events[i]) || !wants_bin(&events[i]) {
            continue;
        }
        let of_all = last.bins.clone();
        let of_lot = last.lots.iter().find(|lot| lot.bins.len() > 1).cloned();
        if of_all.len() > 1 {
            events[i].bins = of_all;
        } else if let Some(named) = of_lot {
            for lot in &mut events[i].lots {
                (lot.bins, lot.each) = (named.bins.clone(), named.each);
            }
        }
    }
}

/// In `2 l of salad and 2 tbsp bran into haldi` the bin is that of both.
fn within_lots(events: &mut [Event]) {
    for event in events {
        if event.bins.is_empty() && event.lots.len() > 1 {
            let named: Vec<usize> =
                (0..event.lots.len()).filter(|i| !event.lots[*i].bins.is_empty()).collect();
            if let [only] = named[..] {
                event.bins = event.lots[only].bins.clone();
                event.lots[only].bins.clear();
            }
        }
    }
}

/// `Esi, 1 kg of bread and a handful of bran`: the one bin that opens a sentence covers it. `blue I washed out, lid is fine`: what
/// is seen is seen at the one bin that the sentence names.
fn of_the_sentence(scene: &Scene<'_>, events: &mut [Event]) {
    for event in events.iter_mut().filter(|event| wants_bin(event)) {
        let clauses = || scene.clauses.iter().filter(|clause| clause.sentence == event.sentence);
        let named = |at: &usize| scene.text.name(*at, NameKind::Bin).is_some();
        let bins: Vec<usize> = clauses().flat_map(|clause| clause.from..clause.to).filter(named).collect();
        let Some(first) = bins.first().copied() else { continue };
        let index = |at: usize| scene.text.name(at, NameKind::Bin).map(|name| name.index);
        if bins.iter().any(|at| index(*at) != index(first)) {
            continue;
        }
        let begins =
            clauses().next().is_some_and(|clause| (clause.from..first).all(|at| leads(&scene.text, at)));
        let here = &scene.clauses[event.clauses.0];
        let seen = scene.message.direct
            && matches!(event.kind, FactKind::Checked | FactKind::Level)
            && !scene.gists[event.clauses.0].bin_noun;
        if let Some(bin) = index(first).filter(|_| first < here.to && (begins || seen)) {
            event.bins.push(BinRef::Known(bin));
        }
    }
}

/// Whether `it` follows the verb of an event, and another verb of work the bin that is named later.
fn points_at_it(scene: &Scene<'_>, event: &Event) -> bool {
    let verb = scene.clauses[event.clauses.0].verb;
    let later = scene.clauses[event.clauses.1 + 1..].iter().filter(|clause| !clause.asks);
    let other = later
        .filter_map(|clause| clause.verb)
        .any(|verb| verb.forms.has(Forms::PAST.with(Forms::PARTICIPLE)));
    verb.is_some_and(|verb| scene.text.has(verb.at + 1, Mark::It)) && other
}

/// What may stand before the bin that opens a sentence.
fn leads(text: &Text<'_>, at: usize) -> bool {
    text.is_stop(at)
        || text.has_any(
            at,
            &[Mark::The, Mark::In, Mark::And, Mark::Then, Mark::Hello, Mark::Bot, Mark::Please, Mark::Sorry],
        )
        || text.time(at).is_some()
        || !text.tokens[at].is_word()
}

/// Events of one clause, or joined without a new verb, share what only one of them names.
fn neighbours(scene: &Scene<'_>, events: &mut [Event]) {
    for i in 0..events.len() {
        if !wants_bin(&events[i]) {
            continue;
        }
        let near = |j: usize| {
            let (a, b) = (&events[i], &events[j]);
            let group = |kind| matches!(kind, FactKind::Scraps | FactKind::Bran | FactKind::Started);
            a.sentence == b.sentence && group(a.kind) && group(b.kind)
        };
        // In `1.5 l into left and a handful of bran` the bin is that of the litres alone.
        let from = scene.clauses[events[i].clauses.0].from;
        let text = &scene.text;
        // `2 l into green with 3 spoons of bran`
        let plus = text.is(from.wrapping_sub(1), Cue::Plus)
            || events[i].kind == FactKind::Bran && leads_lot(text, &events[i]);
        // `..., 2 tbsp of bran with it`
        let to = scene.clauses[events[i].clauses.1].to;
        let along = (from..=to).any(|at| text.has(at, Mark::With) && text.has(at + 1, Mark::It));
        let on_top = events[i].kind == FactKind::Bran
            && (plus
                || along
                || (scene.clauses[events[i].clauses.0].from..scene.clauses[events[i].clauses.1].to)
                    .any(|at| lies_on_it(scene, at)));
        // `2 litres in green in the morning, another litre in the evening`
        let more = events[i].kind == FactKind::Scraps
            && (scene.clauses[events[i].clauses.0].from..scene.clauses[events[i].clauses.1].to)
                .any(|at| scene.text.is(at, Cue::Another));
        let heads = |j: usize| j > i || on_top || more || !events[j].bins.is_empty();
        let gives = |j: &usize| *j != i && near(*j) && heads(*j) && bin_of(&events[*j]).is_some();
        let donor = (0..i).rev().find(gives).or_else(|| (i + 1..events.len()).find(gives));
        // The last lot before it is the one that it goes with.
        let bin = |j: usize| if j < i { last_bin_of(&events[j]) } else { bin_of(&events[j]) };
        if let Some(bin) = donor.and_then(|j| bin(j).cloned()) {
            events[i].bins.push(bin);
        }
    }
}

/// Whether `with` or a plus stands before one of an event's lots.
fn leads_lot(text: &Text<'_>, event: &Event) -> bool {
    let led = |at: usize| {
        text.has_any(at, &[Mark::With, Mark::Then]) || text.is(at, Cue::Plus) || text.is_sign(at, '+')
    };
    event.lots.iter().any(|lot| led(lot.at.wrapping_sub(1)))
}

/// `drained green 200 ml, smells sour`: what is seen at the one bin that the message names.
fn seen_in_passing(scene: &Scene<'_>, events: &mut [Event]) {
    let mut named =
        events.iter().flat_map(|event| event.bins.iter().chain(event.lots.iter().flat_map(|lot| &lot.bins)));
    let Some(bin) = named.next().filter(|first| named.all(|other| other == *first)).cloned() else { return };
    let told = events.iter().position(|event| bin_of(event).is_some()).unwrap_or(0);
    for event in events.iter_mut().skip(told + 1).filter(|event| wants_bin(event)) {
        let seen = matches!(event.kind, FactKind::Checked | FactKind::Level);
        // A bin of some other sort would be named.
        let other = scene.gists[event.clauses.0].bin_noun;
        if seen && !other {
            event.bins.push(bin.clone());
        }
    }
}

/// `bran on top`, `over it`: on what was just put in.
fn lies_on_it(scene: &Scene<'_>, at: usize) -> bool {
    let text = &scene.text;
    let last = |to: usize| to >= text.tokens.len() || !text.has_any(to, &[Mark::Of, Mark::In]);
    // `on top of it`
    let of_it = |to: usize| text.has(to, Mark::Of) && text.has(to + 1, Mark::It);
    let top = text.is(at, Cue::On) && text.is(at + 1, Cue::Top) && (last(at + 2) || of_it(at + 2))
        || text.is(at, Cue::OnTopOf) && text.has(at + 1, Mark::It)
        || text.is(at, Cue::TopLayer) && of_it(at + 1);
    let the = usize::from(text.has(at + 1, Mark::The));
    let it = text.is(at, Cue::Over) && (text.has(at + 1, Mark::It) || text.is(at + 1 + the, Cue::Top));
    top || it || text.is(at, Cue::OnTop)
}

fn bin_of(event: &Event) -> Option<&BinRef> {
    event.bins.first().or_else(|| event.lots.iter().find_map(|lot| lot.bins.first()))
}

fn last_bin_of(event: &Event) -> Option<&BinRef> {
    event.lots.iter().rev().find_map(|lot| lot.bins.first()).or(event.bins.first())
}

/// The bin that opens or closes the message, where there is but one.
fn covering_bin(scene: &Scene<'_>, events: &[Event], pending: &Gist) -> Option<BinRef> {
    let mut named: Vec<&BinRef> = events
        .iter()
        .flat_map(|event| event.bins.iter().chain(event.lots.iter().flat_map(|lot| &lot.bins)))
        .collect();
    named.extend(pending.bins.iter().map(|(bin, _)| bin));
    let first = (*named.first()?).clone();
    if named.iter().any(|bin| **bin != first) {
        return None;
    }
    let text = &scene.text;
    let bins: Vec<usize> = scene
        .clauses
        .iter()
        .zip(&scene.gists)
        .filter(|(clause, _)| !clause.asks)
        .flat_map(|(clause, _)| clause.from..clause.to)
        .filter(|at| text.name(*at, NameKind::Bin).is_some())
        .collect();
    let (opening, closing) = (*bins.first()?, *bins.last()?);
    let times = scene.pieces.iter().filter(|piece| matches!(piece.kind, PieceKind::When(_)));
    let times: Vec<_> = times.map(|piece| piece.from..piece.to).collect();
    let idle = |at: usize| {
        says_nothing(text, at)
            || text.has_any(at, &[Mark::The, Mark::In, Mark::From])
            || text.time(at).is_some()
            || text.is_matter(at, crate::lexicon::Matter::Bin)
            || text.name(at, NameKind::Bin).is_some()
            || times.iter().any(|time| time.contains(&at))
    };
    let end =
        scene.clauses.iter().rev().find(|clause| !clause.asks).map_or(text.tokens.len(), |clause| clause.to);
    let opens = (0..opening).all(idle);
    let closes = (closing + 1..end).all(idle);
    (opens || closes).then_some(first)
}

/// Whether a token tells nothing: a stop, a sign, a greeting, thanks or a word that only goes on.
fn says_nothing(text: &Text<'_>, at: usize) -> bool {
    let idle = [
        Mark::Thanks,
        Mark::Hello,
        Mark::Laugh,
        Mark::Sorry,
        Mark::Then,
        Mark::Ta,
        Mark::Yes,
        Mark::Bot,
        Mark::Please,
        Mark::And,
    ];
    text.is_stop(at) || text.has_any(at, &idle) || !text.tokens[at].is_word()
}
