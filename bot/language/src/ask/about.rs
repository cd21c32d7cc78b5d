//! What a question is about, by the words of the trade in it: named rules, the most telling first.

use chrono::Months;

use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::name::NameKind;
use crate::reading::{About, Ask, Slots};

use super::acceptable::acceptable;
use super::bot::{help, why};
use super::bran::{bran, dilution, recipe, stock};
use super::fallback;
use super::ground::{burying, planting};
use super::house::{rota, tally};
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

/// `can you draw the bins`: nobody is asked to draw liquid off all of them.
fn asks_to_draw(q: &Question<'_, '_>) -> bool {
    let text = &q.scene.text;
    let draws = |at: usize| {
        text.is_act(at, Act::Drain) && text.is(at, Cue::Draws) && text.has(at.wrapping_sub(1), Mark::You)
    };
    q.scene.message.direct && q.any(draws) && q.matter(Matter::Bin) && !q.matter(Matter::Liquid)
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
    let drawn = drawn && q.plot().is_none() || asks_to_draw(q);
    drawn.then(|| q.with_bin(About::Chart))
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
        // `when's blue due?`
        || q.asks_when() && q.cue(Cue::Due)
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
    // `how close is green to full`
    let near = q.has(Mark::How) && q.cue(Cue::NearFull);
    // `will green last the week`
    let lasts =
        text.has(q.from, Mark::Will) && q.cue(Cue::Last) && !q.bins().is_empty() && !q.matter(Matter::Bran);
    let when = q.asks_when() || q.has(Mark::HowLong) || q.cue(Cue::FullWhen) || q.has(Mark::Will) || near;
    let full = full || lasts;
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
