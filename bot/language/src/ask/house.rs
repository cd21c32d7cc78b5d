//! Questions about the people of the house: whose turn it is, and what they have kept out of the rubbish together:
//! `whose week is it?`, `how much have we saved since May?`

use chrono::Datelike;

use crate::lexicon::{Act, Cue, Forms, Mark, Matter, TimeUnit, TimeWord};
use crate::reading::{About, Ask, Slots};
use crate::time::{Bound, Direction, Placed, When};

use super::about::one;
use super::ground::is_covered;
use super::question::Question;

pub(super) fn rota(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let whose = q.has(Mark::Whose) || q.has(Mark::Who) || q.cue(Cue::Rota);
    // `who was the last to drain blue?`
    let tells_of_what_was = q.is_past() || q.cue(Cue::WasOrWere);
    // `who's up for draining together?`: an invitation
    let going_on = |at: usize| q.scene.text.verb(at).is_some_and(|(_, forms)| forms == Forms::ING);
    let joins = |at: usize| q.scene.text.is(at + 1, Cue::For) && going_on(at + 2);
    let turn = q.any(|at| q.scene.text.has(at, Mark::Whose) && q.scene.text.word(at).contains(' '))
        || q.has(Mark::Turn)
        || q.cue(Cue::NextUp)
        || (q.act(Act::Drain) || q.act(Act::Finish)) && !tells_of_what_was
        || q.cue(Cue::RotaSpan) && (q.matter(Matter::Bin) || !q.bins().is_empty()) && !q.has(Mark::What)
        || q.cue(Cue::Assigned)
        || (q.has(Mark::Whose) || q.has(Mark::Who) && q.has(Mark::It) && q.to - q.from <= 6)
            && q.cue(Cue::RotaSpan)
            && q.scene.message.direct;
    // `who wants to go halves on rice bran`
    let wants =
        q.scene.text.has(q.from, Mark::Who) && q.scene.text.has_any(q.from + 1, &[Mark::Want, Mark::Will]);
    if q.any(|at| q.scene.text.has(at, Mark::Whose) && joins(at)) || wants && q.matter(Matter::Bran) {
        return None;
    }
    (whose && turn)
        .then(|| one(About::Rota, Slots::default()))
        .or_else(|| {
            (q.cue(Cue::Me)
                && q.has(Mark::Be)
                && (q.has(Mark::Turn) || q.cue(Cue::Next) || is_on_this_week(q))
                && q.scene.text.has(q.from, Mark::Be))
            .then(|| one(About::Rota, Slots::default()))
        })
        .or_else(|| (q.cue(Cue::My) && q.cue(Cue::TurnOfMine)).then(|| one(About::Rota, Slots::default())))
        // `is this my week`
        .or_else(|| {
            let mine = |at: usize| q.scene.text.is(at, Cue::My) && q.scene.text.is(at + 1, Cue::RotaSpan);
            (q.any(mine) && q.has(Mark::Be)).then(|| one(About::Rota, Slots::default()))
        })
        // `is it Lou's turn or mine`
        .or_else(|| {
            let owned = |at: usize| q.scene.text.is(at, Cue::TailS) && q.scene.text.has(at + 1, Mark::Turn);
            (q.scene.message.direct && q.has(Mark::It) && q.any(owned))
                .then(|| one(About::Rota, Slots::default()))
        })
}

/// `am I on this week`, `is it me today`: a person and a day, and nothing else.
fn is_on_this_week(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let passes = |at: usize| {
        text.time(at).is_some()
            || text.has_any(at, &[Mark::Be, Mark::It, Mark::I, Mark::Or, Mark::The, Mark::Yet])
            || text.is(at, Cue::NextUp)
            || text.senses(at).is_empty() && text.tokens[at].capital
    };
    q.scene.message.direct && q.any(|at| text.time(at).is_some()) && (q.from..q.to).all(passes)
}

pub(super) fn tally(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    // `how much have we put in since 1 April`
    let since = q.any(|at| q.scene.text.is_time(at, TimeWord::Since));
    let filled = since && (q.act(Act::Add) || q.act(Act::Go)) && q.bins().is_empty() && q.has(Mark::HowMuch);
    // `how many kilos since 1 March`
    let measured = |at: usize| q.scene.text.has(at, Mark::HowMuch) && q.scene.text.unit(at + 1).is_some();
    let filled = filled || since && q.any(measured) && q.bins().is_empty() && !q.matter(Matter::Liquid);
    let kept = q.act(Act::Save) || q.cue(Cue::Diverted) || q.has(Mark::Rubbish) || filled;
    let what = q.has(Mark::What) && (q.has(Mark::Rubbish) || q.act(Act::Save));
    let much = q.has(Mark::HowMuch) || q.cue(Cue::Tally) || what;
    // `how much is a bag of compost`
    let price = q.has(Mark::HowMuch) && q.scene.text.has(q.from + 1, Mark::Be) && q.has(Mark::A) && !since;
    if price {
        return None;
    }
    // `a total loss`
    if !(kept && much)
        || q.cue(Cue::Lost)
        || is_covered(q)
        || q.matter(Matter::Bran)
        || q.act(Act::Get) && q.matter(Matter::Liquid)
    {
        return None;
    }
    let own = q.gist.iter().flat_map(|gist| &gist.whens).map(|(when, _)| *when).next();
    let since = own.or_else(|| since_told_before(q));
    let since = since.and_then(|when| date(q, when)).or_else(|| month(q));
    Some(one(About::Tally, Slots { since, ..Slots::default() }))
}

/// `since the 1st of May, how much have we saved?`
fn since_told_before(q: &Question<'_, '_>) -> Option<When> {
    let clauses = q.scene.clauses.iter().zip(&q.scene.gists);
    clauses
        .filter(|(clause, _)| clause.to <= q.from && clause.sentence == q.sentence())
        .flat_map(|(_, gist)| &gist.whens)
        .map(|(when, _)| *when)
        .find(|when| when.bound == Some(Bound::Since))
}

/// `since january`: the first day of the latest such month; `this month`, `this year`: the first day of it.
fn month(q: &Question<'_, '_>) -> Option<chrono::NaiveDate> {
    let text = &q.scene.text;
    let this =
        |unit| q.any(|at| text.is_time(at, TimeWord::This) && text.is_time(at + 1, TimeWord::Unit(unit)));
    let now = q.scene.zoned.now.date_naive();
    if this(TimeUnit::Year) {
        return now.with_day(1)?.with_month(1);
    }
    if this(TimeUnit::Month) {
        return now.with_day(1);
    }
    let at = (q.from..q.to).find(|at| text.is_time(*at, TimeWord::Since))?;
    let Some(TimeWord::Month(month)) = text.time(at + 1) else { return None };
    let year = now.year() - i32::from(month > now.month());
    chrono::NaiveDate::from_ymd_opt(year, month, 1)
}

/// The date that a tally counts from.
fn date(q: &Question<'_, '_>, when: When) -> Option<chrono::NaiveDate> {
    match q.scene.zoned.place(&When { bound: Some(Bound::Since), ..when }, Direction::Past) {
        Placed::At(moment) => Some(moment.at.with_timezone(&q.scene.message.zone).date_naive()),
        _ => None,
    }
}
