//! Questions about the ground: when it may be planted, where and how deep a batch goes into it: `when can I plant in the
//! herb bed?`, `how deep should the hole be?`

use crate::amount::Unit;
use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::reading::{About, Ask, Slots};

use super::about::one;
use super::question::Question;

pub(super) fn planting(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
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
    (q.goes_into_plot() || plant && asks && !q.matter(Matter::Water) || resting).then(|| {
        let asked =
            |plot: Option<String>| Ask { about: About::Planting, slots: Slots { plot, ..Slots::default() } };
        let plots = q.plots();
        if plots.len() > 1 { plots.into_iter().map(Some).map(asked).collect() } else { vec![asked(q.plot())] }
    })
}

/// `how much soil goes on top?`, `do I have to cover it with soil`
pub(super) fn is_covered(q: &Question<'_, '_>) -> bool {
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

pub(super) fn burying(q: &Question<'_, '_>) -> Option<Vec<Ask>> {
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
