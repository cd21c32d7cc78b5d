//! Questions about bran and about the liquid: how much, how to make it, how much is left, how weak.

use crate::clause::{Clause, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::reading::{About, Ask, Slots};

use super::about::one;
use super::food::foods;
use super::question::Question;

/// `how much water for 200 ml of tea?`, `how weak do I make it?`
pub(super) fn dilution(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let water = q.matter(Matter::Water) || q.act(Act::Dilute) || q.cue(Cue::Dilution) || q.waters_down();
    let liquid = q.matter(Matter::Liquid) || q.cue(Cue::JuiceOrTea) || q.amount_or_told(true) != (None, None);
    let about_bran = q.matter(Matter::Bran) && !q.matter(Matter::Liquid);
    // `how much water do I need with that?`
    let answers = q.scene.message.reply_to == Some(crate::message::NudgeKind::Drain);
    let with_that = q.matter(Matter::Water) && q.has(Mark::HowMuch) && (q.has(Mark::It) || answers);
    // `can I use it neat?`
    let neat = q.cue(Cue::Undiluted)
        && (q.has(Mark::Can) || q.has(Mark::Possible))
        && (q.act(Act::Use)
            || q.act(Act::Water)
            || q.act(Act::Pour)
            || q.act(Act::Give)
            || q.cue(Cue::JuiceOrTea)
            || q.matter(Matter::Liquid));
    // `ratio for seedlings?`, `what do I do with the liquid?`
    let ratio = q.cue(Cue::Ratio) && q.to - q.from <= 5
        || q.act(Act::Water) && q.matter(Matter::Batch) && q.has(Mark::What);
    let used = q.matter(Matter::Liquid)
        && q.has(Mark::With)
        && (q.has(Mark::What) && q.has(Mark::Do) || q.has(Mark::Worry))
        || q.has(Mark::How) && q.matter(Matter::Liquid) && q.act(Act::Use)
        || asks_what_to_do_with_what_was_drained(q);
    let about_bran = about_bran || !q.matter(Matter::Liquid) && wets_bran(q);
    if !(water && liquid || q.cue(Cue::Dilute) || with_that || neat || ratio || used) || about_bran {
        return None;
    }
    let (ml, g) = q.amount_or_told(true);
    Some(one(About::Dilution, Slots { ml, g, ..Slots::default() }))
}

/// `drained 120 ml. what do I mix it with?`
fn asks_what_to_do_with_what_was_drained(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let drained = (0..q.from).any(|at| text.is_act(at, Act::Drain));
    let asks = (q.has(Mark::What) || q.has(Mark::How)) && (q.act(Act::Make) || q.act(Act::Use))
        || q.has(Mark::What) && q.has(Mark::With);
    let thing = |at: usize| text.matter(at).is_some() && text.verb(at).is_none();
    let other = q.any(|at| thing(at) || text.tokens[at].name.is_some());
    drained && asks && q.has(Mark::It) && !other && (q.has(Mark::I) || q.has(Mark::Can))
}

/// `2.5 kg of bran: how much water`; not `300 g of bran left, how much water for 200 ml?`
fn wets_bran(q: &Question<'_, '_>) -> bool {
    let left = (0..q.from).any(|at| q.scene.text.has(at, Mark::Left));
    told_of_bran(q) && !(left && q.amount(true).0.is_some())
}

/// Whether the sentence speaks of bran before it asks.
fn told_of_bran(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let before = || (0..q.from).rev().take_while(|at| !text.is_word(*at, "."));
    before().any(|at| text.is_matter(at, Matter::Bran)) && !before().any(|at| text.is_act(at, Act::Drain))
}

/// `how do I make 3 kg of bran?`, `what goes into a kilo of bran?`
pub(super) fn recipe(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let into_bran = q.matter(Matter::Bran) && !q.matter(Matter::Liquid) && q.amount(false).1.is_some();
    if q.matter(Matter::Water) && q.has(Mark::HowMuch) && (wets_bran(q) || into_bran) {
        let (_, g) = q.amount_or_told(false);
        return Some(one(About::Recipe, Slots { g, ..Slots::default() }));
    }
    // `we want to make 2 kg of bran, how do I do that`
    // `only 200 g of bran left, how do I make a kilo of it?` tells how much itself.
    let told = q.amount(false).1.is_some();
    let planned = q.has(Mark::How) && (q.has(Mark::Do) && q.has(Mark::It) && !told || q.to - q.from == 1)
        || q.has(Mark::What) && q.cue(Cue::Need);
    if planned && let Some((from, to)) = planned_recipe(q) {
        let g = q.amount_within(from, to, false).and_then(|(_, g)| g);
        return Some(one(About::Recipe, Slots { g, ..Slots::default() }));
    }
    let make = q.act(Act::Make) || q.cue(Cue::MakeIt) || q.cue(Cue::Making) || is_asked_what_is_in_it(q);
    let taught = q.from > 0 && q.scene.text.is(q.from - 1, Cue::Through);
    let text = &q.scene.text;
    // `steps for making bran`, `how is bran made`
    let for_making = q.any(|at| text.is(at, Cue::For) && text.is_act(at + 1, Act::Make));
    // `how long does bran take`
    let takes = q.has(Mark::HowLong) && q.act(Act::Take) && q.bins().is_empty();
    let make = make || takes;
    let taught = taught || for_making || q.act(Act::Show) || q.has(Mark::Status) && q.act(Act::Make);
    let how = q.has(Mark::How)
        || q.has(Mark::HowLong)
        || taught
        || q.cue(Cue::Recipe)
        || q.has(Mark::What)
        || q.has(Mark::HowMuch);
    let bran = q.matter(Matter::Bran)
        || q.amount(false).1.is_some()
        || q.cue(Cue::ItOrMore) && q.scene.text.typed.len() < 60 && q.cue(Cue::Make);
    let rest = q.has(Mark::HowMuch) && q.has(Mark::Left);
    if !(make && how && bran) || q.has(Mark::Why) || rest {
        return None;
    }
    // `down to 200 g of bran, how do I make 1 kg?`
    let verb = (q.from..q.to).find(|at| text.is_act(*at, Act::Make));
    let wanted = verb.and_then(|at| q.amount_within(at, q.to, false));
    let (_, g) = wanted.unwrap_or_else(|| q.amount(false));
    Some(one(About::Recipe, Slots { g, ..Slots::default() }))
}

/// `what goes into a kilo of bran?`, `what do I need for 2 kg of bran?`: the amount is the bran's own.
fn is_asked_what_is_in_it(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    // `a 5 kg batch of bran`
    let batch = |at: usize| at + usize::from(text.is_matter(at, Matter::Batch));
    let of = |at: usize| batch(at) + usize::from(text.has(batch(at), Mark::Of));
    let of_bran = |at: usize| text.is_matter(of(at), Matter::Bran);
    let own = q.scene.pieces.iter().any(|piece| {
        matches!(piece.kind, PieceKind::Amount(_))
            && piece.from >= q.from
            && piece.to <= q.to
            && of_bran(piece.to)
    });
    // `what do I put in homemade bran`
    let into_bran = |at: usize| {
        text.is(at, Cue::Into) && (at + 1..q.to.min(at + 4)).any(|i| text.is_matter(i, Matter::Bran))
            || (text.is(at, Cue::LedIn) || text.is(at, Cue::LedInto))
                && (at + 1..q.to.min(at + 3)).any(|i| text.is_matter(i, Matter::Bran))
    };
    let puts = q.act(Act::Go) || q.act(Act::Add);
    // `what do I need for the bran`
    let for_bran = |at: usize| {
        let bran = at + 1 + usize::from(text.has(at + 1, Mark::The));
        text.is(at, Cue::For) && text.is_matter(bran, Matter::Bran)
    };
    let own = own || q.bins().is_empty() && q.any(for_bran) && q.cue(Cue::Need);
    q.has(Mark::What)
        && (own && (puts || q.cue(Cue::Need)) || puts && q.bins().is_empty() && q.any(into_bran))
}

/// Where the message says before that bran is to be made.
fn planned_recipe(q: &Question<'_, '_>) -> Option<(usize, usize)> {
    let text = &q.scene.text;
    let plans = |clause: &&Clause| {
        let has = |pick: &dyn Fn(usize) -> bool| (clause.from..clause.to).any(pick);
        clause.to <= q.from
            && (clause.stance.planned || clause.stance.conditional)
            && (q.act(Act::Make) || has(&|at| text.is_act(at, Act::Make)))
            && has(&|at| text.is_matter(at, Matter::Bran))
    };
    q.scene.clauses.iter().rfind(plans).map(|clause| (clause.from, clause.to))
}

/// `how much bran have we got?`, `bran still enough?`
pub(super) fn stock(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    if tells_of_bran_and_asks_the_rest(q) {
        return Some(one(About::Stock, Slots::default()));
    }
    // `how much was the bran?`: what it cost; `when did we last buy bran?`
    let price = q.has(Mark::HowMuch) && q.cue(Cue::WasOrWere) && !q.has(Mark::Left)
        || q.has(Mark::When) && q.cue(Cue::LastDid);
    // `gonna toss 5 lb in, how much bran is that`
    let planned = q.planned_before().and_then(|(from, to)| q.amount_within(from, to, false));
    let for_it = planned.is_some() && !q.has(Mark::Have) && !q.has(Mark::Left);
    if !q.matter(Matter::Bran)
        || price
        || for_it
        || judges_bran(q)
        || q.amount(false) != (None, None) && !q.has(Mark::Left)
    {
        return None;
    }
    // `need to buy bran soon?`, `do I need to make more bran?`
    let gets = q.act(Act::Buy) || q.act(Act::Make) && !q.has(Mark::How) && !q.has(Mark::What);
    let ought = q.has(Mark::Will) || q.cue(Cue::Should) && q.scene.message.direct;
    let buys = gets && ought && !q.has(Mark::HowMuch) && !q.has(Mark::Where);
    // `is the bran nearly gone`
    let gone = q.cue(Cue::UsedUp) && q.has(Mark::Be) && q.bins().is_empty();
    let level = q.cue(Cue::Low)
        || q.cue(Cue::Like) && q.has(Mark::What)
        || gone
        || buys
        || q.cue(Cue::More)
            && q.cue(Cue::Need)
            && !q.has(Mark::HowMuch)
            && q.bins().is_empty()
            && foods(&q.scene.text, q.from, q.to).is_empty()
        || q.has(Mark::How) && q.has(Mark::Be) && !q.has(Mark::HowMuch);
    let have = level && !q.act(Act::Add)
        || !speaks_of_a_dose(q)
        || q.act(Act::Run)
        || q.cue(Cue::RunsOut)
        || q.has(Mark::Have)
        || q.has(Mark::Left)
        || q.has(Mark::OutOf)
        || q.cue(Cue::StockLeft);
    let need = q.cue(Cue::DoseNeeded) || q.act(Act::Add) && !q.has(Mark::Have);
    (have && (!need || level || q.has(Mark::Left))).then(|| one(About::Stock, Slots::default()))
}

/// `bought a kilo of bran, how much do we have now?`
fn tells_of_bran_and_asks_the_rest(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let told = (0..q.from).any(|at| text.is_matter(at, Matter::Bran));
    let other = q.any(|at| text.matter(at).is_some() || text.tokens[at].name.is_some())
        || !foods(text, q.from, q.to).is_empty();
    let rest = q.has(Mark::Have)
        || q.act(Act::Get) && q.has(Mark::I)
        || q.has(Mark::Left)
        || q.cue(Cue::There) && q.has(Mark::Be);
    let kept_out = q.has(Mark::Rubbish) || q.act(Act::Save) || q.cue(Cue::Diverted);
    told && q.has(Mark::HowMuch) && rest && !other && !kept_out && !q.act(Act::Add)
}

/// `is bran good for horses?`
fn judges_bran(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    q.any(|at| text.is_matter(at, Matter::Bran) && text.has(at + 1, Mark::Possible))
}

/// Whether bran is asked about for something: an amount, food, a bin, an act.
fn speaks_of_a_dose(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let bare = q.has(Mark::HowMuch) && q.to - q.from <= 3;
    let what_is = text.has(q.from, Mark::What) && q.has(Mark::Be) && q.to - q.from <= 4;
    // `how many spoons of bran on half a bucket`
    let lot =
        q.scene.pieces.iter().any(|piece| {
            matches!(piece.kind, PieceKind::Amount(_)) && piece.from >= q.from && piece.to <= q.to
        });
    // `how much bran per litre`
    let rate = q.any(|at| text.has(at, Mark::Per) && text.unit(at + 1).is_some());
    bare || what_is
        || lot
        || rate
        || [Act::Add, Act::Sprinkle, Act::Use, Act::Make, Act::Go, Act::Buy].iter().any(|act| q.act(*act))
        || q.cue(Cue::DoseNeeded)
        || q.matter(Matter::Scraps)
        || !q.bins().is_empty()
        || !foods(text, q.from, q.to).is_empty()
        || q.has(Mark::Why)
        || q.has(Mark::Where)
        || q.has(Mark::Who)
}

/// `is 2 tbsp of bran enough for 3 litres?`: the amount that is not the bran's own.
fn amount_under_bran(q: &Question<'_, '_>) -> Option<(Option<f64>, Option<f64>)> {
    let text = &q.scene.text;
    let of_bran = |to: usize| text.is_matter(to + usize::from(text.has(to, Mark::Of)), Matter::Bran);
    let own = q.scene.pieces.iter().find(|piece| {
        matches!(piece.kind, PieceKind::Amount(_))
            && piece.from >= q.from
            && piece.to < q.to
            && of_bran(piece.to)
    })?;
    q.amount_within(own.to, q.to, false)
}

/// `how much bran for 2 litres?`, `does it need more bran?`
pub(super) fn bran(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let asks = q.has(Mark::HowMuch)
        || q.has(Mark::Do)
        || q.has(Mark::Can)
        || q.has(Mark::What)
        || q.has(Mark::Be)
        || q.cue(Cue::For)
        || q.scene.text.typed.contains('?');
    let wonders = q.scene.text.has(q.from, Mark::Why) && q.bins().is_empty() || q.has(Mark::Where);
    // `what is bokashi?`, `how much was the bran?`
    let wonders = wonders
        || q.has(Mark::HowMuch) && q.cue(Cue::WasOrWere) && q.amount(false) == (None, None)
        || q.scene.text.has(q.from, Mark::What)
            && q.has(Mark::Be)
            && q.to - q.from <= 4
            && q.amount(false) == (None, None);
    let past = q.has(Mark::When) && q.cue(Cue::LastDid) || judges_bran(q);
    // `how much bran is left, and how much do I use for 2 litres`
    let of_it = q.has(Mark::HowMuch)
        && q.amount(false) != (None, None)
        && told_of_bran(q)
        && !q.matter(Matter::Water)
        && !q.matter(Matter::Liquid);
    // `how much do I sprinkle on 2 litres`
    let strewn = q.has(Mark::HowMuch) && q.act(Act::Sprinkle) && q.amount(false) != (None, None);
    if !(q.matter(Matter::Bran) || of_it || strewn) || !asks || wonders || past || q.act(Act::Buy) {
        return None;
    }
    let (ml, g) = amount_under_bran(q).unwrap_or_else(|| q.amount_or_told(false));
    let planned = q.planned_before().and_then(|(from, to)| super::bin_in(q.scene, from, to));
    let bin = q.bins().into_iter().next().or(planned).and_then(|bin| q.name(&bin));
    Some(one(About::Bran, Slots { ml, g, bin, ..Slots::default() }))
}
