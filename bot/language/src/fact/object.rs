//! What a verb is done to: a bin, all of it, the soil, the house or what is none of the trade's: `put green in the shade`,
//! `chucked it`, `sealed the deal`.

use crate::amount::AmountSize;
use crate::clause::{Clause, Gist, Joint, Lot};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, english};
use crate::name::NameKind;
use crate::reading::{FactKind, Food};
use crate::text::Text;

use super::by_amount::HANDFUL;
use super::gone::{is_part_of, tells_of_breakage};
use super::{Builder, names};

/// `emptied blue into the trench in the herb bed`
pub(super) fn moved_to_soil(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let Some(verb) = clause.verb else { return false };
    let object = gist.bins.iter().any(|(_, at)| {
        *at <= verb.at + 4
            && !(verb.at + 1..*at).any(|i| builder.scene.text.has_any(i, &[Mark::In, Mark::From]))
    });
    let compost = |at: usize| {
        builder.scene.text.is(at, Cue::CompostHeap)
            && (at.saturating_sub(3)..at).any(|i| builder.scene.text.has(i, Mark::In))
    };
    let soil = (verb.at..clause.to).any(compost)
        || names(builder.scene, clause, Matter::Soil)
        || names(builder.scene, clause, Matter::Plot)
        || !gist.plots.is_empty()
        || digs_before(builder, clause);
    object && soil && gist.lots.iter().all(|lot| lot.amount.is_none())
}

/// `dug a trench and put blue in`: whether an earlier clause of the sentence tells of digging.
fn digs_before(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let digs = |other: &Clause| other.verb.is_some_and(|verb| verb.act == Act::Bury);
    builder.scene.clauses.iter().any(|other| {
        other.sentence == clause.sentence && other.from < clause.from && !other.asks && digs(other)
    })
}

/// `put green in the shade`, `emptied blue`: a bin is moved or emptied, and nothing is added to one.
pub(super) fn moves_bin(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let Some(verb) = clause.verb else { return false };
    let object = gist.bins.iter().map(|(_, at)| *at).find(|at| {
        (verb.at + 1..verb.at + 4).contains(at)
            && !(verb.at + 1..*at).any(|i| text.has_any(i, &[Mark::In, Mark::From]))
    });
    let Some(object) = object else { return false };
    let placed = (object + 1..clause.to).any(|at| text.has(at, Mark::In));
    let put = text.is(verb.at, Cue::SetDown);
    gist.lots.iter().all(|lot| lot.foods.is_empty() && lot.matter.is_none())
        && !gist.vague
        && gist.count.is_none()
        && (placed && put || text.is(verb.at, Cue::Empties))
}

/// `into blue`: a bin of the room's after `in`.
pub(super) fn puts_into_bin(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    let bin = |at: usize| text.name(at, NameKind::Bin).is_some();
    (clause.from..clause.to).any(|at| {
        text.has(at, Mark::In) && !text.has(at, Mark::From) && (at + 1..clause.to.min(at + 3)).any(bin)
    })
}

/// `put it in the boiler cupboard`
pub(super) fn moves_it(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let Some(verb) = clause.verb else { return false };
    let place =
        (verb.at + 2..clause.to).any(|at| text.has(at, Mark::KitchenPlace) || text.is(at, Cue::Corner));
    let put = text.is(verb.at, Cue::PutAway);
    put && text.is(verb.at + 1, Cue::It) && place && gist.bins.is_empty() && gist.lots.is_empty()
}

/// Whether nothing says of what the amounts of a clause are, and all are too much for a layer of bran.
pub(super) fn lots_are_bare(gist: &Gist) -> bool {
    let much = |lot: &Lot| {
        lot.amount.is_some_and(|amount| match amount.size {
            AmountSize::Millilitres(much) | AmountSize::Grams(much) => much > HANDFUL,
            AmountSize::Ounces(..) => false,
            AmountSize::Buckets(_) => true,
        })
    };
    let bare = |lot: &Lot| lot.matter.is_none() && lot.foods.is_empty() && much(lot);
    gist.use_.is_none() && gist.lots.iter().all(bare)
}

/// `gave green`, `gave the green bin`
pub(super) fn gives_to_bin(text: &Text<'_>, gist: &Gist, verb: usize) -> bool {
    let bin = verb + 1 + usize::from(text.has(verb + 1, Mark::The));
    gist.bins.iter().any(|(_, at)| *at == bin) || text.name(bin, NameKind::Bin).is_some()
}

/// `blue got 3 today`: a bin, and a number that counts nothing named.
pub(super) fn is_fed_a_count(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist, verb: usize) -> bool {
    let text = &builder.scene.text;
    let bin = verb.wrapping_sub(1 + usize::from(text.is_matter(verb.wrapping_sub(1), Matter::Bin)));
    let fed = text.name(bin, NameKind::Bin).is_some() && bin <= clause.from + 1;
    let ends = |at: usize| at >= clause.to || text.time(at).is_some();
    fed && builder.current.is_none()
        && gist.lots.is_empty()
        && gist.count.is_some_and(|(_, at)| at == verb + 1 && ends(at + 1))
}

/// `stuck in the lab`, `popped in to the office`: somebody, in a place that is no bin.
fn is_somewhere(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let Some(verb) = clause.verb.filter(|verb| verb.act == Act::Add && verb.at == clause.from) else {
        return false;
    };
    let place = verb.at + 2 + usize::from(text.has_any(verb.at + 2, &[Mark::The, Mark::A]));
    let nothing = gist.lots.is_empty() && gist.count.is_none() && gist.bins.is_empty() && !gist.vague;
    let unknown = text.tokens.get(place).is_some_and(|token| token.is_word() && token.senses.is_empty());
    text.has(verb.at + 1, Mark::In) && nothing && !gist.bin_noun && unknown && place + 1 == clause.to
}

/// `we filled blue today`: to the brim, where no stuff is named.
pub(super) fn fills_bin(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let Some(verb) = clause.verb else { return false };
    let text = &builder.scene.text;
    let object = |at: usize| (verb.at + 1..verb.at + 4).contains(&at);
    gist.bins.iter().any(|(_, at)| object(*at) && !text.has_any(at - 1, &[Mark::In, Mark::From]))
        && gist.lots.iter().all(|lot| lot.foods.is_empty() && lot.matter.is_none())
        && gist.level.is_none()
        && verb.forms.has(Forms::PAST)
}

/// `sealed the windows in the kitchen`: what it was done to is a part of the house.
fn is_done_to_the_house(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    let Some(verb) = clause.verb else { return false };
    let object = (verb.at + 1..clause.to)
        .find(|at| !text.has_any(*at, &[Mark::The, Mark::A, Mark::I, Mark::All, Mark::Size]));
    object.is_some_and(|at| {
        text.has(at, Mark::KitchenPlace)
            && text.tokens[at].name.is_none()
            && !text.has(at, Mark::In)
            && !text.is_matter(at + 1, Matter::Bin)
            && !text.is(at + 1, Cue::One)
    })
}

/// `sealed the deal`, `buried the hatchet`, `my battery drained`: done to what is no thing of the trade.
fn is_of_something_else(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist) -> bool {
    let text = &builder.scene.text;
    let Some(verb) = clause.verb else { return false };
    let of_trade = |at: usize| {
        text.tokens[at].name.is_some()
            || text.matter(at).is_some() && at != verb.at
            || text.has_any(at, &[Mark::It, Mark::All])
            || text.unit(at).is_some()
    };
    let ordinary = |at: usize| {
        text.tokens
            .get(at)
            .is_some_and(|token| token.is_word() && token.senses.is_empty() && !token.corrected)
            && english().is_ordinary(text.word(at))
    };
    let led = |at: usize| text.has_any(at, &[Mark::The, Mark::A]) || text.is(at, Cue::MyOrOur);
    // `drained the pasta`
    let food = |at: usize| {
        verb.act == Act::Drain
            && text
                .senses(at)
                .iter()
                .any(|s| matches!(s, Sense::Food(food) if !matches!(food, Food::Liquid | Food::Tea)))
    };
    let object = led(verb.at + 1)
        && (ordinary(verb.at + 2) || food(verb.at + 2))
        && !(verb.at + 1..clause.to).any(of_trade);
    let subject = verb.at > clause.from
        && !(clause.from..clause.to).any(of_trade)
        && ordinary(verb.at - 1)
        && (clause.from..verb.at - 1).any(led)
        && (verb.at + 1 >= clause.to || !led(verb.at + 1));
    !gist.bin_noun && builder.pending.bins.is_empty() && (object || subject)
}

/// `chucked it`, `tossed blue`: the bin or all of it, and nowhere in particular.
pub(super) fn chucks_all(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    let Some(verb) = clause.verb else { return false };
    let thrown = text.is(verb.at, Cue::Chucks);
    let object = verb.at + 1 + usize::from(text.is(verb.at + 1, Cue::The));
    let whole =
        text.is(object, Cue::It) || text.has(object, Mark::All) || text.name(object, NameKind::Bin).is_some();
    let past_noun = object + 1 + usize::from(text.is_matter(object + 1, Matter::Bin));
    let ends = past_noun >= clause.to || text.time(past_noun).is_some() || text.has(past_noun, Mark::All);
    thrown && whole && ends && (text.name(object, NameKind::Bin).is_some() || builder.scene.message.direct)
}

/// `went in the rubbish`
pub(super) fn rubbish(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    (clause.from..clause.to)
        .any(|at| text.has(at, Mark::Rubbish) && text.has_any(at.wrapping_sub(1), &[Mark::In, Mark::The]))
}

/// `threw it out`, `binned the lot`, with nothing else named.
pub(super) fn thrown_whole(builder: &Builder<'_, '_>, clause: &Clause) -> bool {
    let text = &builder.scene.text;
    names(builder.scene, clause, Matter::Batch)
        || (clause.from..clause.to).any(|at| text.has_any(at, &[Mark::It, Mark::All]))
}

/// Whether a verb of the trade is done to something that is not its: `sealed the deal`, `threw away the lid of blue`.
pub(super) fn is_done_to_something_else(
    builder: &Builder<'_, '_>,
    clause: &Clause,
    gist: &Gist,
    act: Act,
) -> bool {
    let text = &builder.scene.text;
    let has = |matter| names(builder.scene, clause, matter);
    let amount = gist.lots.iter().any(|lot| lot.amount.is_some());
    let work = matches!(act, Act::Seal | Act::Drain | Act::Clean);
    // `emptied the fridge: 2 lb of cheese went in cellar`
    let emptied =
        act == Act::Add && !amount && clause.verb.is_some_and(|verb| text.is(verb.at, Cue::Empties));
    let strange = (work || emptied) && is_done_to_the_house(builder, clause)
        || (work || act == Act::Bury) && is_of_something_else(builder, clause, gist);
    // `shared out equally between green and blue`
    let shared = act == Act::Give && (clause.from..clause.to).any(|at| text.is(at, Cue::Between));
    // `250 ml drained and thrown away`
    let thrown = act == Act::Discard
        && builder.just(FactKind::Drained)
        && builder.goes_on(clause)
        && clause.joint == Joint::And
        && gist.bins.is_empty()
        && !has(Matter::Batch);
    // `threw away the lid of blue`, `the handle on blue broke`, `got rid of the mould in blue`: something of it
    let verb_at = clause.verb.map_or(0, |verb| verb.at);
    let lid = act == Act::Discard
        && !amount
        && (has(Matter::Lid) || has(Matter::Tap))
        && !tells_of_breakage(builder, clause);
    let part = act == Act::Remove
        && !amount
        && gist.bins.first().is_some_and(|(_, at)| is_part_of(text, clause, verb_at, *at));
    strange || shared || thrown || lid || part || is_somewhere(builder, clause, gist)
}

/// Whether a bin's name stands before a verb that is not passive, with something strange behind it.
pub(super) fn throws_something_else(text: &Text<'_>, clause: &Clause, gist: &Gist) -> bool {
    let Some(verb) = clause.verb else { return false };
    let subject = gist.bins.iter().any(|(_, at)| at + 1 == verb.at);
    subject && text.has(verb.at + 1, Mark::A)
}
