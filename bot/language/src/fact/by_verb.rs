//! Which event a verb tells of, by what it is done to and with.

use crate::chatter::is_strange;
use crate::clause::{Clause, Gist};
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense};
use crate::message::NudgeKind;
use crate::reading::FactKind;
use crate::time::Bound;

use super::context::{after_have, drains_then, left, measured_after, scene_has, was_off, weighed};
use super::gone::tells_of_breakage;
use super::liquid::{
    drains_people, gives_liquid, has_liquid_source, is_liquid, may_be_liquid, names_a_drain, nothing_came,
    takes_off,
};
use super::object::{
    chucks_all, fills_bin, gives_to_bin, is_done_to_something_else, is_fed_a_count, lots_are_bare,
    moved_to_soil, moves_bin, moves_it, puts_into_bin, rubbish, thrown_whole, throws_something_else,
};
use super::open::is_strewn;
use super::supply::names_bran_near;
use super::{Builder, crop, names, supply};

#[expect(clippy::too_many_lines, reason = "one table of verbs, a line each")]
pub(super) fn by_verb(builder: &Builder<'_, '_>, clause: &Clause, gist: &Gist, act: Act) -> Option<FactKind> {
    let scene = builder.scene;
    let text = &scene.text;
    let has = |matter| names(scene, clause, matter);
    let amount = gist.lots.iter().any(|lot| lot.amount.is_some());
    let lots = |matter| gist.lots.iter().any(|lot| lot.matter == Some(matter));
    let out = (clause.from..clause.to).any(|at| text.is(at, Cue::Out));
    let after_drain = builder.current.is_some_and(|at| builder.events[at].kind == FactKind::Drained);
    let bin = !gist.bins.is_empty()
        || gist.lots.iter().any(|lot| !lot.bins.is_empty())
        || gist.bin_noun
        || !builder.pending.bins.is_empty();
    let announced = builder.pending.lots.iter().any(|lot| lot.matter == Some(Matter::Bran));
    let bran = lots(Matter::Bran) || announced && matches!(act, Act::Make | Act::Buy);
    let word = clause.verb.map_or(0, |verb| verb.at);
    // `Grace drained me with her stories`, `the kids buried me in the sand`
    let to_people = text.is(word + 1, Cue::MineOrUs) && !text.is(word + 1, Cue::MyOrOur);
    let to_people = to_people && matches!(act, Act::Drain | Act::Bury);
    if to_people || is_done_to_something_else(builder, clause, gist, act) {
        return None;
    }
    if let Some(kind) = supply::by_verb(builder, clause, gist, act) {
        return Some(kind);
    }
    // `made bran today, came to 2.1 kg`: how much that was
    if act == Act::Get && amount && text.is(word + 1, Cue::To) && word == clause.from {
        return None;
    }
    // `the thermometer stuck in green says 33 degrees`
    if gist.temperature.is_some() && !amount && matches!(act, Act::Add | Act::Set) {
        return None;
    }
    match act {
        // `only 150 g of bran left so I bought 3 kg`
        Act::Buy
            if amount
                && (builder.just(FactKind::StarterStock) || builder.just(FactKind::StarterMade))
                && gist.lots.iter().all(|lot| lot.foods.is_empty()) =>
        {
            Some(FactKind::StarterBought)
        }
        // `bought 3 kg of bran, also made 1 kg at home`
        Act::Make if amount && builder.just(FactKind::StarterBought) => Some(FactKind::StarterMade),
        // `that brings green to two thirds full`
        _ if gist.level.is_some() && !amount && text.is(word, Cue::Brings) => None,
        // `that gives us about 3 kg of bran`
        Act::Give if bran && amount && text.is(word + 1, Cue::GaveUs) => Some(FactKind::StarterStock),
        // `gave green a 100 ml drain`
        Act::Give | Act::Get | Act::Finish if amount && names_a_drain(text, clause) => {
            Some(FactKind::Drained)
        }
        // `gave green 3.5 litres, 1.8 kg of apple cores`
        Act::Give if amount && lots_are_bare(gist) && gives_to_bin(text, gist, word) => {
            Some(FactKind::Scraps)
        }
        // `blue got 3 today`: of what, its unit would tell
        Act::Get if is_fed_a_count(builder, clause, gist, word) => Some(FactKind::Scraps),
        // `green got a good wash`
        Act::Get | Act::Give
            if !amount && (clause.from..clause.to).any(|at| at > word && text.is_act(at, Act::Clean)) =>
        {
            Some(FactKind::Cleaned)
        }
        Act::Add | Act::Move | Act::Set | Act::Go | Act::Take | Act::Pour | Act::Finish
            if moved_to_soil(builder, clause, gist) =>
        {
            Some(FactKind::Buried)
        }
        Act::Add | Act::Sprinkle | Act::Pour | Act::Fill
            if (has(Matter::Lid) || has(Matter::Tap)) && !amount =>
        {
            None
        }
        Act::Add | Act::Sprinkle | Act::Pour if after_drain && !amount && gist.use_.is_some() => None,
        // `gave up on green, put it out with the rubbish`: how it was thrown out
        Act::Add if !amount && builder.just(FactKind::Discarded) && text.is(word + 1, Cue::It) => None,
        // `popped green open`
        Act::Add if !amount && (word + 1..clause.to).any(|at| text.is_act(at, Act::Open)) => None,
        Act::Add
            if (out || text.is(word, Cue::Chucks))
                && !amount
                && gist.bin_noun
                && !gist.bins.is_empty()
                && !has(Matter::Batch)
                && tells_of_breakage(builder, clause) =>
        {
            Some(FactKind::BinGone)
        }
        Act::Add
            if out
                && text.is(word, Cue::Throws)
                && !amount
                && !after_drain
                && (bin || thrown_whole(builder, clause)) =>
        {
            Some(FactKind::Discarded)
        }
        Act::Add
            if (amount || gist.lots.iter().any(may_be_liquid) && measured_after(builder, clause))
                && has_liquid_source(builder, clause, gist)
                || lots(Matter::Liquid) && gist.use_.is_some() =>
        {
            Some(FactKind::Drained)
        }
        // `used two spoons on green`
        Act::Use if bin && amount && is_strewn(text, clause, &gist.lots) => Some(FactKind::Bran),
        // `got a fresh batch going in green`
        Act::Get if bin && !amount && has(Matter::Batch) && scene_has(builder, clause, &[Mark::New]) => {
            Some(FactKind::Started)
        }
        // `new batch going into green`
        Act::Add if has(Matter::Batch) && !amount && scene_has(builder, clause, &[Mark::New]) => {
            Some(FactKind::Started)
        }
        Act::Add
            if has(Matter::Batch)
                && !amount
                && (scene_has(builder, clause, &[Mark::HadTo])
                    || !(clause.from..clause.to)
                        .any(|at| text.has(at, Mark::In) && text.time(at + 1).is_none()))
                && (bin || thrown_whole(builder, clause)) =>
        {
            Some(FactKind::Discarded)
        }
        Act::Add
            if !gist.plots.is_empty()
                && !amount
                && !bin
                && gist.lots.iter().any(|lot| !lot.foods.is_empty()) =>
        {
            Some(FactKind::Planted)
        }
        // `the herb bed is planted, put rhubarb in it`
        Act::Add
            if builder.just(FactKind::Planted)
                && !amount
                && !bin
                && gist.lots.iter().any(|lot| !lot.foods.is_empty()) =>
        {
            Some(FactKind::Planted)
        }
        // `tomatoes went in on sunday`
        Act::Add
            if scene.message.reply_to == Some(NudgeKind::Plant)
                && !amount
                && gist.lots.iter().any(|lot| !lot.foods.is_empty()) =>
        {
            Some(FactKind::Planted)
        }
        Act::Add if (bin || has(Matter::Batch)) && !amount && rubbish(builder, clause) => {
            Some(FactKind::Discarded)
        }
        // `hauled the whole batch to the dump`
        Act::Move | Act::Take if has(Matter::Batch) && !amount && rubbish(builder, clause) => {
            Some(FactKind::Discarded)
        }
        Act::Add if !amount && !after_drain && chucks_all(builder, clause) => Some(FactKind::Discarded),
        Act::Add | Act::Take | Act::Set if !amount && !bran && moves_bin(builder, clause, gist) => None,
        Act::Add if !amount && !bran && moves_it(builder, clause, gist) => None,
        // `covered it with soil` adds nothing.
        Act::Sprinkle if !(amount || bran || gist.vague || gist.count.is_some()) => None,
        Act::Add | Act::Sprinkle => Some(FactKind::Scraps),
        Act::Pour if lots(Matter::Liquid) || gist.use_.is_some() && amount => Some(FactKind::Drained),
        // `drew on the bin with a marker`
        Act::Drain if text.is(word, Cue::Draws) && text.is(word + 1, Cue::On) => None,
        Act::Drain if drains_people(builder, gist, word) => None,
        Act::Drain => Some(FactKind::Drained),
        Act::Fill if !amount && !bran && fills_bin(builder, clause, gist) => Some(FactKind::Level),
        Act::Open | Act::Run if has(Matter::Tap) && (amount || measured_after(builder, clause)) => {
            Some(FactKind::Drained)
        }
        Act::Start if bran && (amount || measured_after(builder, clause)) => Some(FactKind::StarterMade),
        Act::Start
            if scene_has(builder, clause, &[Mark::New])
                && (clause.from..clause.to).any(|at| text.is(at, Cue::One)) =>
        {
            Some(FactKind::Started)
        }
        // `our little one starts school`: what somebody begins with
        Act::Start
            if is_strange(builder.scene, word + 1)
                && text.verb(word + 1).is_none()
                && !text.is(word + 1, Cue::Again) =>
        {
            None
        }
        // `blue mould starting in magpie`
        Act::Start if (clause.from..word).any(|at| text.senses(at).contains(&Sense::MouldNoun)) => None,
        Act::Start if bin || has(Matter::Batch) || gist.trade => Some(FactKind::Started),
        // `rinsed green and started it up again`
        Act::Start
            if text.is(word + 1, Cue::It)
                && [FactKind::Cleaned, FactKind::Buried, FactKind::Discarded]
                    .iter()
                    .any(|kind| builder.just(*kind)) =>
        {
            Some(FactKind::Started)
        }
        // `left the lid off, closed it now`: the lid, not for two weeks
        Act::Seal if gist.bins.is_empty() && builder.just(FactKind::Checked) && was_off(builder) => None,
        // `taped it shut`, `closed green up and sealed it`
        Act::Seal
            if gist.bins.is_empty()
                && builder.just(FactKind::Sealed)
                && (has(Matter::Lid) || builder.goes_on(clause)) =>
        {
            None
        }
        // `shut up between midnight and 8`
        Act::Seal
            if !bin
                && clause
                    .verb
                    .is_some_and(|verb| text.is(verb.at, Cue::ShutUp) && verb.at == clause.from) =>
        {
            None
        }
        // `the hall is closed until Monday`: when a place opens
        Act::Seal
            if !scene.message.direct
                && !text.is(word, Cue::Seals)
                && text.has(word.wrapping_sub(1), Mark::Be)
                && gist.whens.iter().any(|(when, _)| when.bound == Some(Bound::Until)) =>
        {
            None
        }
        // `the hall's shut for the roofers`
        Act::Seal if !bin && (clause.from..word).any(|at| text.has(at, Mark::KitchenPlace)) => None,
        Act::Seal if !has(Matter::Tap) => Some(FactKind::Sealed),
        Act::Tape
            if scene
                .clauses
                .iter()
                .any(|other| other.sentence == clause.sentence && names(scene, other, Matter::Lid))
                && !builder.just(FactKind::Sealed) =>
        {
            Some(FactKind::Sealed)
        }
        // `taped Bruce down for good`
        Act::Tape if bin && (word + 1..clause.to).any(|at| text.has(at, Mark::Down)) => {
            Some(FactKind::Sealed)
        }
        Act::Check if !bran => Some(FactKind::Checked),
        // `looked in on blue`
        Act::Look
            if gist.bins.iter().any(|(_, at)| clause.verb.is_some_and(|verb| verb.at < *at))
                && clause.verb.is_some_and(|verb| verb.forms.has(Forms::PAST)) =>
        {
            Some(FactKind::Checked)
        }
        // `dug a trench in the herb bed`: nothing lies in it yet
        Act::Bury
            if gist.bins.is_empty()
                && !has(Matter::Batch)
                && (word + 1..clause.to).any(|at| text.is(at, Cue::Dug))
                && !(clause.from..clause.to).any(|at| text.has(at, Mark::It)) =>
        {
            None
        }
        Act::Bury => Some(FactKind::Buried),
        Act::Discard
            if !amount
                && gist.bin_noun
                && !has(Matter::Batch)
                && (scene_has(builder, clause, &[Mark::Old])
                    || tells_of_breakage(builder, clause)
                    || text.is(word, Cue::Scrapped)) =>
        {
            Some(FactKind::BinGone)
        }
        // `biffed in 2 litres of stalks`, `pitched 2 litres into blue`
        Act::Discard if amount && (text.is(word + 1, Cue::In) || puts_into_bin(builder, clause)) => {
            Some(FactKind::Scraps)
        }
        // `blue: black mould. Discarded.`
        Act::Discard if clause.to - clause.from == 1 && !builder.events.is_empty() => {
            Some(FactKind::Discarded)
        }
        // `our lefty pitched a shutout`: of somebody of that name
        Act::Discard if !amount && throws_something_else(text, clause, gist) => None,
        Act::Discard if !amount && (bin || thrown_whole(builder, clause)) => Some(FactKind::Discarded),
        Act::Plant if crop::is_set_on_things(scene, clause) => None,
        Act::Plant => Some(FactKind::Planted),
        // `spilled some, cleaned it up`
        Act::Clean if gist.bins.is_empty() && (clause.from..clause.to).any(|at| text.is(at, Cue::Up)) => None,
        Act::Clean => Some(FactKind::Cleaned),
        Act::Make if builder.scene.message.reply_to == Some(NudgeKind::Starter) => {
            Some(FactKind::StarterMade)
        }
        Act::Buy if builder.scene.message.reply_to == Some(NudgeKind::Starter) => {
            Some(FactKind::StarterBought)
        }
        Act::Make if bran || (has(Matter::Batch) && amount) => Some(FactKind::StarterMade),
        // `made 2 kg, so we have 3 kg of bran now`
        Act::Make if amount && weighed(gist) && names_bran_near(builder, clause) => {
            Some(FactKind::StarterMade)
        }
        Act::Buy if bran => Some(FactKind::StarterBought),
        // `bran came today, 2 kg`
        Act::Get if bran && text.is(word, Cue::Flows) && (amount || measured_after(builder, clause)) => {
            Some(FactKind::StarterBought)
        }
        // `ordered bran, 3 kg came today`
        Act::Get
            if amount && weighed(gist) && text.is(word, Cue::Flows) && names_bran_near(builder, clause) =>
        {
            Some(FactKind::StarterBought)
        }
        // `nothing came out of blue`
        Act::Get | Act::Give | Act::Take
            if (bin || builder.taps(clause)) && !amount && nothing_came(builder, clause) =>
        {
            Some(FactKind::Drained)
        }
        // `got 200 ml when I drained green`
        Act::Get if amount && !bran && !weighed(gist) && drains_then(builder, clause) => {
            Some(FactKind::Drained)
        }
        Act::Get if amount && !bran && !weighed(gist) && text.is(word, Cue::Flows) => Some(FactKind::Drained),
        Act::Take | Act::Get if amount && takes_off(builder, clause, gist) => Some(FactKind::Drained),
        Act::Get | Act::Take
            if (amount || lots(Matter::Liquid)) && has_liquid_source(builder, clause, gist) =>
        {
            Some(FactKind::Drained)
        }
        Act::Get
            if bran
                && (amount || measured_after(builder, clause))
                && gist.bins.first().is_some_and(|(_, at)| *at < word) =>
        {
            Some(FactKind::Scraps)
        }
        // `still got 300 g of bran`
        Act::Get if bran && amount && text.is(word.wrapping_sub(1), Cue::Remains) => {
            Some(FactKind::StarterStock)
        }
        // `for now it got half a cup of bran`
        Act::Get if bran && amount && word > clause.from && text.has(word - 1, Mark::It) => {
            Some(FactKind::Scraps)
        }
        Act::Get
            if bran
                && (amount || measured_after(builder, clause))
                && !left(builder, clause)
                && gist.bins.is_empty()
                && clause.verb.is_some_and(|v| v.forms.has(Forms::PAST))
                && !after_have(builder, clause) =>
        {
            Some(FactKind::StarterBought)
        }
        Act::Get if amount && bin && !after_drain => Some(FactKind::Scraps),
        // `green got the leftovers, about a gallon`
        Act::Get
            if gist.bins.first().is_some_and(|(_, at)| clause.verb.is_some_and(|verb| *at < verb.at))
                && gist
                    .lots
                    .iter()
                    .any(|lot| !lot.foods.is_empty() || lot.matter == Some(Matter::Scraps))
                && (measured_after(builder, clause) || gist.vague || scene.message.direct) =>
        {
            Some(FactKind::Scraps)
        }
        // `removed the lid of blue`
        Act::Remove if (has(Matter::Lid) || has(Matter::Tap)) && !amount => None,
        Act::Remove if bin && has(Matter::Batch) => Some(FactKind::Discarded),
        // `the basement bin's gone`
        Act::Go
            if gist.bin_noun
                && gist.bins.len() == 1
                && !amount
                && text.is(word, Cue::GoneOrAway)
                && text.has(word.wrapping_sub(1), Mark::Be)
                && (word + 1 >= clause.to || text.time(word + 1).is_some()) =>
        {
            Some(FactKind::BinGone)
        }
        // `blue lost`: of a game
        Act::Remove
            if clause.verb.is_some_and(|verb| text.is(verb.at, Cue::Lost) && verb.at + 1 == clause.to) =>
        {
            None
        }
        // `removed 350 ml from blue`
        Act::Remove if amount && has_liquid_source(builder, clause, gist) => Some(FactKind::Drained),
        // `removed 2 litres of scraps from green`: taken out again
        Act::Remove if amount => None,
        // `cracked green open`
        Act::Remove if (word + 1..clause.to).any(|at| text.is_act(at, Act::Open)) => None,
        // `forget green, how's blue doing`
        Act::Remove if text.is(word, Cue::Revert) && scene.clauses.iter().any(|other| other.asks) => None,
        Act::Remove if bin && !amount => Some(FactKind::BinGone),
        Act::Give
            if !amount
                && gist.use_.is_none()
                && !gist.bins.is_empty()
                && gist.bin_noun
                && !has(Matter::Batch)
                && (clause.from..clause.to).any(|at| text.is(at, Cue::To)) =>
        {
            Some(FactKind::BinGone)
        }
        // `gave green its bran, 3 spoons`
        // `gave green 6 of veg scraps`
        Act::Give
            if bin
                && gist.count.is_some()
                && gist
                    .lots
                    .iter()
                    .any(|lot| lot.matter == Some(Matter::Scraps) || !lot.foods.is_empty()) =>
        {
            Some(FactKind::Scraps)
        }
        // `bran done for green and blue, a handful each`
        Act::Give | Act::Finish if bran && bin && (amount || measured_after(builder, clause)) => {
            Some(FactKind::Scraps)
        }
        Act::Give if gives_liquid(builder, clause, gist) => Some(FactKind::Drained),
        Act::Give
            if gist.lots.iter().any(is_liquid)
                && (amount || measured_after(builder, clause))
                && (gist.use_.is_some() || has_liquid_source(builder, clause, gist)) =>
        {
            Some(FactKind::Drained)
        }
        Act::Give if bin && out && !after_drain => Some(FactKind::BinGone),
        Act::Run if bran && (amount || clause.verb.is_some_and(|verb| verb.forms.has(Forms::PAST))) => {
            Some(FactKind::StarterStock)
        }
        _ => None,
    }
}
