//! What a question is about, by the words of the trade in it: named rules, the most telling first.

use chrono::{Datelike, Months};

use crate::amount::Unit;
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::reading::{About, Ask, Slots};
use crate::time::{Bound, Direction, Placed, When};

use super::acceptable::acceptable;
use super::bot::{help, why};
use super::bran::{bran, dilution, recipe, stock};
use super::fallback;
use super::question::Question;
use super::trouble::trouble;

/// Takes a question, or leaves it to the next rule.
type Rule = fn(&Question<'_, '_>) -> Option<Vec<Ask>>;

/// What the question is about; `None` where no rule takes it.
pub(super) fn about(question: &Question<'_, '_>) -> Option<Vec<Ask>> {
    const RULES: [(&str, Rule); 23] = [
        ("ask trouble", trouble),
        ("ask rota", rota),
        ("ask dilution", dilution),
        ("ask recipe", recipe),
        ("ask acceptable", acceptable),
        ("ask stock", stock),
        ("ask bran", bran),
        ("ask tally", tally),
        ("ask chart", chart),
        ("ask planting", planting),
        ("ask burying", burying),
        ("ask ready", ready),
        ("ask full", full),
        ("ask help", help),
        ("ask drain", drain),
        ("ask history", history),
        ("ask why", why),
        ("ask food by its name", fallback::food),
        ("ask status", status),
        ("ask trouble by what was told", fallback::trouble),
        ("ask food by what was told", fallback::food_told),
        ("ask drain by what was told", fallback::drain),
        ("ask status of a bin", fallback::status),
    ];
    RULES.iter().find_map(|(name, rule)| {
        let found = rule(question)?;
        question.scene.note(name, question.from, question.to);
        Some(found)
    })
}

pub(super) fn one(about: About, slots: Slots) -> Vec<Ask> {
    vec![Ask { about, slots }]
}

fn rota(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
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
    if q.any(|at| q.scene.text.has(at, Mark::Whose) && joins(at)) {
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

fn tally(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    // `how much have we put in since 1 April`
    let since = q.any(|at| q.scene.text.is_time(at, TimeWord::Since));
    let filled = since && (q.act(Act::Add) || q.act(Act::Go)) && q.bins().is_empty() && q.has(Mark::HowMuch);
    let kept = q.act(Act::Save) || q.cue(Cue::Diverted) || q.has(Mark::Rubbish) || filled;
    let what = q.has(Mark::What) && (q.has(Mark::Rubbish) || q.act(Act::Save));
    let much = q.has(Mark::HowMuch) || q.cue(Cue::Tally) || what;
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

/// `since january`: the first day of the latest such month.
fn month(q: &Question<'_, '_>) -> Option<chrono::NaiveDate> {
    let text = &q.scene.text;
    let at = (q.from..q.to).find(|at| text.is_time(*at, TimeWord::Since))?;
    let Some(TimeWord::Month(month)) = text.time(at + 1) else { return None };
    let today = q.scene.zoned.now.date_naive();
    let year = today.year() - i32::from(month > today.month());
    chrono::NaiveDate::from_ymd_opt(year, month, 1)
}

/// The date that a tally counts from.
fn date(q: &Question<'_, '_>, when: When) -> Option<chrono::NaiveDate> {
    match q.scene.zoned.place(&When { bound: Some(Bound::Since), ..when }, Direction::Past) {
        Placed::At(moment) => Some(moment.at.with_timezone(&q.scene.message.zone).date_naive()),
        _ => None,
    }
}

fn chart(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    // `new plot rhubarb` is ground.
    let text = &q.scene.text;
    let heads = (q.from..q.to).any(|at| text.is(at, Cue::PlotWord) && text.is_word(at + 1, ":"));
    // `add a plot, dill corner`
    let noun = q.any(|at| {
        text.is(at, Cue::PlotWord) && text.has(at.wrapping_sub(1), Mark::A) && !text.has(at + 1, Mark::Of)
    });
    let ground = q.has(Mark::New) || q.has(Mark::Which) || noun;
    let drawn = !heads && q.has(Mark::Chart) && (!q.cue(Cue::PlotWord) || q.act(Act::Show) && !ground);
    if drawn && q.cue(Cue::Yearly) {
        let since = q.scene.message.now.date_naive().checked_sub_months(Months::new(12));
        return Some(one(About::Chart, Slots { since, ..Slots::default() }));
    }
    (drawn && q.plot().is_none()).then(|| q.with_bin(About::Chart))
}

fn planting(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    // `how far from the plants should I bury it`
    let buries = q.act(Act::Bury) && q.has(Mark::How);
    let rests = q.has(Mark::HowLong) && q.matter(Matter::Soil) && q.bins().is_empty();
    let plant = (q.act(Act::Plant) || q.cue(Cue::Planting)) && !buries || rests;
    let asks = q.has(Mark::Can)
        || q.has(Mark::When)
        || q.has(Mark::Be)
        || q.has(Mark::HowLong)
        || q.cue(Cue::SafeToPlant)
        || q.scene.message.direct;
    // `is it still too early for seedlings in the herb bed`
    let other = q.act(Act::Bury) || q.act(Act::Add) || q.act(Act::Go) || !q.bins().is_empty();
    let early = q.cue(Cue::SafeToPlant) && !other && !q.matter(Matter::Liquid) && !q.has(Mark::How);
    let resting = q.plot().is_some() && (q.has(Mark::Ready) || early);
    let asks = asks || q.cue(Cue::MullsOver);
    (q.goes_into_plot() || plant && asks && !q.matter(Matter::Water) || resting)
        .then(|| one(About::Planting, Slots { plot: q.plot(), ..Slots::default() }))
}

/// `how much soil goes on top?`, `do I have to cover it with soil`
fn is_covered(q: &Question<'_, '_>) -> bool {
    // `how much ground does 200 ml of tea cover`
    if q.amount(true) != (None, None) {
        return false;
    }
    if q.matter(Matter::Soil) && q.act(Act::Sprinkle) {
        return true;
    }
    let soil =
        |at: usize| q.scene.text.has(at, Mark::HowMuch) && q.scene.text.is_matter(at + 1, Matter::Soil);
    q.any(soil) && [Act::Go, Act::Add, Act::Sprinkle].iter().any(|act| q.act(*act))
}

fn burying(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let digs = q.cue(Cue::Digs) && !q.cue(Cue::Hole);
    // `I'm digging a hole for blue, how big should it be?`
    let told = q.has(Mark::It) && q.has(Mark::HowMuch) && super::digs_before(q.scene, q);
    // `how many inches down should it be`
    let length =
        |at: usize| matches!(q.scene.text.unit(at), Some(Unit::Inch | Unit::Centimetre | Unit::Foot));
    let down = q.has(Mark::HowMuch) && q.has(Mark::Down) && q.any(length);
    let hole = q.has(Mark::Hole) && !digs || q.cue(Cue::Depth) || told || down || is_covered(q);
    if q.scene.text.has(q.from, Mark::Why) {
        return None;
    }
    let bury = q.act(Act::Bury) || q.cue(Cue::Burying);
    let spot = q.cue(Cue::Spot) && q.plot().is_none();
    let place = q.has(Mark::Where) || q.cue(Cue::Where) || q.has(Mark::Which) || q.cue(Cue::Which) || spot;
    let when = q.has(Mark::When) || q.has(Mark::HowLong) || q.has(Mark::Ready) || q.cue(Cue::ReadyYet);
    let bed = q.has(Mark::Which)
        && q.matter(Matter::Plot)
        && ([Act::Go, Act::Add, Act::Get, Act::Use, Act::Take].iter().any(|act| q.act(*act))
            || q.has(Mark::Ready) && q.matter(Matter::Bin)
            || q.cue(Cue::NextUp));
    let go = q.cue(Cue::GoesWhere) && place && !q.matter(Matter::Bran) || bed;
    // `where should blue go when it comes to burying it?`
    let wheres = q.has(Mark::Where) || q.cue(Cue::Where);
    let where_to = wheres && (bury || go) || bed;
    let named = !q.bins().is_empty();
    let site = q.cue(Cue::Spot) && (wheres || q.has(Mark::What) || q.plot().is_some()) && named;
    // `could green go into the herb bed?`
    let fits = q.act(Act::Go) || q.act(Act::Add) || q.has(Mark::Possible);
    let into_bed = named && q.plot().is_some() && q.has(Mark::Can) && fits && !bury;
    // `does the herb bed have room for blue?`
    let room = q.has(Mark::Space) && (q.plot().is_some() || q.cue(Cue::Ground)) && named;
    if !(hole || bury && (place || q.has(Mark::How)) || go || site || room || into_bed)
        || when && !hole && !where_to
    {
        return None;
    }
    let bin = q.bins().first().and_then(|bin| q.name(bin));
    Some(one(About::Burying, Slots { bin, plot: q.plot(), ..Slots::default() }))
}

fn ready(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let refers = !q.bins().is_empty() || q.has(Mark::It) || q.has(Mark::Other);
    let ready = q.has(Mark::Ready)
        || q.has(Mark::HowLong) && refers && !q.act(Act::Fill) && !q.cue(Cue::Been)
        || q.act(Act::Bury)
        || (q.act(Act::Open) || q.cue(Cue::Opened) || q.act(Act::Use) && q.has(Mark::Can))
            && (q.has(Mark::When)
                || (q.has(Mark::Can) || q.has(Mark::Will) || q.has(Mark::Possible)) && !q.bins().is_empty())
            && !q.cue(Cue::Until)
            && !q.cue(Cue::WasOrWere)
            && !q.matter(Matter::Tap)
        || q.has_had_its_time();
    let asks = q.asks_when()
        || q.has(Mark::Be)
        || q.has(Mark::HowLong)
        || q.has(Mark::Can)
        || q.has(Mark::Will)
        || q.has(Mark::Which)
        || q.cue(Cue::Which)
        || q.has_had_its_time()
        || q.scene.message.direct
        || q.scene.text.typed.contains('?');
    let full = q.runs_out_of_room()
        || q.any(|at| {
            q.scene.text.senses(at).iter().any(|s| matches!(s, Sense::Level(_)))
                && q.scene.text.tokens[at].name.is_none()
                && !q.scene.text.is_act(at, Act::Add)
        });
    // `when did you say green would be ready`
    let past = q.has(Mark::When) && q.cue(Cue::LastDid) && !(q.has(Mark::You) && q.act(Act::Say));
    // `did we bury blue?`
    let ago = q.has(Mark::HowLong) && q.cue(Cue::LastDid) && q.has(Mark::I);
    let past = past || ago || q.scene.text.is(q.from, Cue::LastDid);
    let denied = q.has(Mark::Not) && !q.has(Mark::Or);
    (ready && asks && !full && !past && !denied && !is_done_by_us(q) && !q.act(Act::Drain))
        .then(|| q.with_bin(About::Ready))
}

fn full(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    let full = q.any(|at| {
        text.tokens[at].name.is_none()
            && text.senses(at).iter().any(|s| matches!(s, Sense::Level(level) if *level >= 0.9))
    }) || q.act(Act::Fill)
        || q.runs_out_of_room();
    let when = q.asks_when() || q.has(Mark::HowLong) || q.cue(Cue::FullWhen) || q.has(Mark::Will);
    (full && when && !q.has(Mark::HowFull)).then(|| q.with_bin(About::Full))
}

fn drain(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    // Milk is a food.
    let drains = q.any(|at| {
        text.is_act(at, Act::Drain)
            && text.tokens[at].name.is_none()
            && !text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)))
    });
    let drain = drains
        || q.matter(Matter::Tap) && q.act(Act::Open)
        || q.cue(Cue::Draining)
        || q.matter(Matter::Liquid)
            && (q.has(Mark::HowMuch) || q.cue(Cue::AnyThere) || q.act(Act::Take) && !q.bins().is_empty())
        // `is it time to let the juice out of blue?`
        || (q.cue(Cue::JuiceOrTea) || q.matter(Matter::Liquid)) && q.cue(Cue::Lets)
        || q.cue(Cue::JuiceOrTea)
            && (q.has(Mark::HowMuch) && q.cue(Cue::Expected) || q.cue(Cue::AnyThere) && !q.bins().is_empty());
    let past = q.cue(Cue::PastAsked);
    (drain && !past).then(|| q.with_bin(About::Drain))
}

fn history(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    let what = q.has(Mark::What) || q.has(Mark::Which) && q.matter(Matter::Scraps);
    let went = q.has(Mark::History)
        || what
            && (q.act(Act::Add)
                || q.any(|at| text.is_act(at, Act::Go) && !text.has(at.wrapping_sub(1), Mark::The))
                || q.cue(Cue::LastDid) && q.cue(Cue::WasOrWere)
                || q.cue(Cue::WentIn)
                || is_done_by_us(q)
                || q.cue(Cue::In) && q.cue(Cue::TailS) && !q.has(Mark::Temperature) && q.plot().is_none()
                || !q.bins().is_empty() && is_inside(q));
    // `how much did I drain last week`
    let came = (q.act(Act::Drain) || q.act(Act::Get)) && q.cue(Cue::PastAsked) && !q.matter(Matter::Bran);
    let much = q.has(Mark::HowMuch)
        && (q.act(Act::Add) || q.act(Act::Go) || q.cue(Cue::PutIn) || came)
        && !q.has(Mark::Can)
        && !q.cue(Cue::Should);
    let past = q.is_past();
    let last = q.has(Mark::When) && (q.cue(Cue::LastDid) || q.cue(Cue::WasOrWere) && past);
    // `who added the fish?`
    let who =
        q.scene.message.direct && q.has(Mark::Who) && (past || q.cue(Cue::WasOrWere)) && !q.has(Mark::Turn);
    // `was anything added yesterday?`
    let any = q.scene.message.direct && q.cue(Cue::Anything) && (q.act(Act::Add) || q.act(Act::Go)) && past;
    // `what went on`, but `what went in on monday`
    let on_or_should = q.any(|at| text.is(at, Cue::OnOrShould) && text.time(at + 1).is_none());
    // `did anyone drain green this week?`, `how long ago did I drain blue`
    let done = q.scene.message.direct
        && (!q.bins().is_empty() || q.plot().is_some() || q.cue(Cue::There))
        && (text.is(q.from, Cue::LastDid) || q.has(Mark::HowLong) && q.cue(Cue::LastDid))
        && [Act::Drain, Act::Add, Act::Seal, Act::Bury, Act::Start].iter().any(|act| q.act(*act));
    ((went || much || last || who || any || done) && !q.has(Mark::Can) && !on_or_should
        || q.has(Mark::History))
    .then(|| q.with_bin(About::History))
}

/// `what have we done with blue lately?`
fn is_done_by_us(q: &Question<'_, '_>) -> bool {
    q.has(Mark::What) && q.has(Mark::Have) && q.has(Mark::I) && q.act(Act::Finish) && !q.bins().is_empty()
}

/// `what came into blue?`, `dua inside got what`
fn is_inside(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let inside = |at: usize| text.is(at, Cue::Inside) && text.tokens[at].name.is_none();
    q.act(Act::Get) && q.any(inside)
}

fn status(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
    let text = &q.scene.text;
    let where_at = q.has(Mark::Where) && q.cue(Cue::WhereAt);
    let often = q.any(|at| text.is_word(at, "often"));
    let how = q.has(Mark::How) && !often
        || q.has(Mark::What)
        || q.has(Mark::Which)
        || q.has(Mark::HowFull)
        || q.has(Mark::Status)
        || where_at;
    // `aloe?`, `and thorn?`
    let bare = q.is_only(|at| text.name(at, NameKind::Bin).is_some() || text.is_matter(at, Matter::Bin));
    let suggested = (q.has(Mark::What) || q.has(Mark::How)) && q.cue(Cue::About) && !q.bins().is_empty();
    let named =
        !q.bins().is_empty() || q.matter(Matter::Bin) || q.matter(Matter::Batch) || q.cue(Cue::BinAffairs);
    // `how full is she?`
    let named = named || q.has(Mark::HowFull) && q.has(Mark::Other) && q.scene.message.direct;
    let full = q.has(Mark::HowFull)
        || q.any(|at| {
            text.tokens[at].name.is_none() && text.senses(at).iter().any(|s| matches!(s, Sense::Level(_)))
        });
    let brief = q.has(Mark::How) && !q.bins().is_empty() && q.to - q.from <= 4;
    let told = q.cue(Cue::Tell) && q.cue(Cue::About) && !q.bins().is_empty();
    let pause = (q.from..q.to).find(|at| text.is_stop(*at)).unwrap_or(q.to);
    let small_talk = (q.from..pause).any(|at| text.is(at, Cue::SmallTalk));
    let chat = small_talk && q.bins().is_empty() && !q.matter(Matter::Bin)
        || q.has(Mark::Hello) && q.bins().is_empty() && !q.matter(Matter::Bin);
    // `how old is green?`, `how long has green been going?`, `how much is in green?`
    let age = q.cue(Cue::Old) && q.has(Mark::How)
        || q.has(Mark::HowLong) && q.cue(Cue::BeenGoing)
        || q.has(Mark::HowMuch) && q.has(Mark::In) && !q.matter(Matter::Bran);
    let greets = q.has(Mark::Status) && !q.cue(Cue::Up)
        || age && !q.bins().is_empty()
        || how && named && !q.cue(Cue::Must) && (q.has(Mark::Be) || q.cue(Cue::Doing))
        || full && named
        || q.has(Mark::Space) && (named || q.cue(Cue::There))
        || q.act(Act::Hold) && (q.has(Mark::Will) || q.has(Mark::Can)) && !q.bins().is_empty();
    let asked = q.scene.text.typed.contains('?') && q.to - q.from <= 3;
    // `what do I need to do today?`
    // `do the bins need anything from me?`, `does anything need my attention?`
    let needs = q.cue(Cue::Anything)
        && q.cue(Cue::Need)
        && (q.matter(Matter::Bin) || !q.bins().is_empty() || q.scene.text.is(q.from + 1, Cue::Anything));
    let tasks = (q.scene.text.has(q.from, Mark::What) || q.scene.text.is(q.from, Cue::Anything))
        && (q.has(Mark::Will)
            || q.has(Mark::Can)
            || q.has(Mark::HadTo)
            || q.has(Mark::Left)
            || q.cue(Cue::Anything))
        && q.cue(Cue::ToBeDone)
        && (!q.has(Mark::With) || q.matter(Matter::Bin) || !q.bins().is_empty())
        && !q.has(Mark::About)
        && q.gist.iter().all(|gist| gist.lots.is_empty());
    if (tasks || needs) && q.scene.message.direct {
        return Some(q.with_bin(About::Status));
    }
    let to_do = q.cue(Cue::InOrderTo) || q.any(|at| text.is(at, Cue::LedTo));
    let well =
        q.has(Mark::Possible) && !to_do && (asked || q.has(Mark::Be) || q.cue(Cue::Everything)) && named;
    ((greets || well || brief || told || bare || suggested) && !chat).then(|| q.with_bin(About::Status))
}
