//! What the parts of a question mean together: the most telling first.

use branbell_language::{About, Ask, Slots};
use branbell_scheduler::quantity::bury::Cut;
use branbell_scheduler::quantity::dilution;
use branbell_scheduler::state::Room;
use branbell_scheduler::units::{Grams, Millilitres};

use super::super::{Answer, Topic};
use super::{Held, Inquiry, Part, Parts, Way};

/// Nobody dilutes further, and the number stays one that fits a line.
const MOST_PARTS: f64 = 10_000.0;

/// The answer to a question, which the ear took for `ask`; none where it is nothing of ours.
pub(super) fn answer(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Answer> {
    if let Some(diluted) = diluted(q, ask) {
        return Some(Answer::Inquired(diluted));
    }
    if ask.is_none() && !q.asks() {
        return None;
    }
    emissions(q, ask)
        .or_else(|| ground(q, ask))
        .or_else(|| supposed(q).filter(|_| !is_amount(ask)))
        .or_else(|| bins(q).filter(|_| !is_of_one_bin(ask)))
        .or_else(|| burying_by(q, ask))
        .or_else(|| trench(q))
        .map(Answer::Inquired)
        .or_else(|| named(q, ask).filter(|meant| may_be_meant(meant, ask)).map(Answer::Asked))
}

/// Whether that may be what was asked, where the ear took it for `ask`: in so many words it knows these.
fn may_be_meant(meant: &Ask, ask: Option<&Ask>) -> bool {
    let is_plain = |about| matches!(about, About::Full | About::Burying);
    ask.is_none_or(|ask| ask.about == meant.about || !is_plain(ask.about))
}

/// The answer to a question about an amount of bran or liquid that the ear took for something told.
pub(super) fn about_amount(q: &Parts<'_>) -> Option<Answer> {
    if !q.asks() {
        return None;
    }
    if q.sizes_vessel() && q.opens_as_question() {
        return supposed(q).or_else(|| burying_by(q, None)).map(Answer::Inquired);
    }
    if !q.begins_with_amount() && !q.opens_as_question() {
        return None;
    }
    let spread = || spread(q).filter(|_| q.has(Part::Tea));
    spread().or_else(|| recipe(q, None).filter(|_| q.has(Part::Bran))).map(Answer::Asked)
}

/// Whether the ear took it for a question about when a bin is full: `how much longer before I run out of room in blue`.
fn is_of_one_bin(ask: Option<&Ask>) -> bool {
    ask.is_some_and(|ask| ask.about == About::Full && ask.slots.bin.is_some())
}

/// What the contract has a name for.
fn named(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Ask> {
    spread(q)
        .or_else(|| mixed(q, ask))
        .or_else(|| recipe(q, ask))
        .or_else(|| stock(q))
        .or_else(|| soil(q))
        .or_else(|| full(q))
        .or_else(|| progress(q))
}

fn about(about: About, slots: Slots) -> Ask {
    Ask { about, slots }
}

/// `how much water for 300 ml at 1:200`, or `1:200 please` and `weaker` where the last number was such water.
fn diluted(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Inquiry> {
    let (last, parts) = match q.on.heard.topic {
        Some(Topic::Water(ml)) => (Some(ml), dilution::RATIO.value),
        Some(Topic::Diluted(ml, parts)) => (Some(ml), parts),
        _ => (None, dilution::RATIO.value),
    };
    let weaker = || q.has(Part::Weaker).then_some(parts * 2.0);
    let ratio = q.ratio().or_else(weaker).filter(|_| !q.has(Part::Soil))?;
    let ml = q.ml();
    let asked = ask.is_some_and(|ask| ask.about == About::Dilution);
    let is_water = asked || ask.is_none() && (last.is_some() || ml.is_some() && q.has(Part::Water));
    is_water.then(|| Inquiry::Dilution(ml.or(last), ratio.min(MOST_PARTS)))
}

/// `the strip says 6.5 in the rose bed`, `is pH 4.1 right`
pub(super) fn acid(q: &Parts<'_>) -> Option<Inquiry> {
    let ph = q.ph()?;
    let is_soil = q.plot.is_some() || q.any(&[Part::Soil, Part::Ground]);
    Some(Inquiry::Acid(ph, if is_soil { Held::InSoil(q.plot.clone()) } else { Held::InBin }))
}

/// `how long a trench if I dig 20 cm deep`
fn trench(q: &Parts<'_>) -> Option<Inquiry> {
    let cut = Cut { width: q.length(Part::Wide), depth: q.length(Part::Deep) };
    (cut != Cut::default()).then(|| Inquiry::Trench(cut, q.bin.clone()))
}

fn emissions(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Inquiry> {
    let since = ask.filter(|ask| ask.about == About::Tally).and_then(|ask| ask.slots.since);
    q.has(Part::Emissions).then_some(Inquiry::Emissions(since))
}

/// Whether the ear took it for a question about an amount: `if I've got 2 cups of bin juice, how much water?`
fn is_amount(ask: Option<&Ask>) -> bool {
    ask.is_some_and(|ask| matches!(ask.about, About::Bran | About::Dilution | About::Recipe))
}

/// `what if we had another 60 l bin`, `would a third bin help`
fn supposed(q: &Parts<'_>) -> Option<Inquiry> {
    let more = q.has(Part::More) && q.any(&[Part::If, Part::Would]);
    let sized = q.sizes_vessel() && q.bin.is_none();
    let supposes = q.has(Part::Bin) && (more || q.has(Part::If) && q.ml().is_some()) || sized;
    if !supposes || q.any(&[Part::Bran, Part::Soil, Part::Water]) {
        return None;
    }
    let size = q.ml().or_else(|| usual_size(q.room))?;
    Some(Inquiry::Bins(vec![size; q.count()]))
}

/// The mean size of a room's bins: what another one would be like.
fn usual_size(room: &Room) -> Option<Millilitres> {
    let sizes: Vec<Millilitres> = room.bins_in_use().filter_map(|bin| bin.capacity).collect();
    (!sizes.is_empty()).then(|| sizes.iter().copied().sum::<Millilitres>() / sizes.len() as f64)
}

/// `how many bins do we need`, `are we short of bins`, `what are the odds that both are full`
fn bins(q: &Parts<'_>) -> Option<Inquiry> {
    let none_free = q.all(&[Part::All, Part::Full]) || q.lacks(Part::Bin) || q.has(Part::Stuck);
    let stuck = none_free && q.any(&[Part::Chance, Part::Might]);
    let many = q.asks_how_much(Part::Bin) && q.has(Part::Need);
    let few = q.all(&[Part::Bins, Part::Enough]) || q.has(Part::Short) || q.all(&[Part::More, Part::Need]);
    let is_bran = q.any(&[Part::Bran, Part::Soil, Part::Water]);
    (stuck || q.has(Part::Bin) && !is_bran && (many || few) && !q.measures())
        .then(|| Inquiry::Bins(Vec::new()))
}

/// `how much ground does a year take`, `has the rose bed had enough`, `which bed still has room`
fn ground(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Inquiry> {
    if q.any(&[Part::Bran, Part::HowLong]) {
        return None;
    }
    let takes = q.any(&[Part::Had, Part::Room, Part::Enough]);
    // `how deep should I bury it in the rose bed` is about the hole.
    let may_bury = q.all(&[Part::May, Part::Bury]) && ask.is_none_or(|ask| ask.about != About::Burying);
    let of_one = q.plot.is_some() && (takes || may_bury);
    let wanted = q.asks_how_much(Part::Ground) || q.asks_which(Part::Ground) && q.bin.is_none();
    let which = q.asks_which(Part::Ground) && q.bin.is_none() && (takes || q.has(Part::Next));
    let yearly = wanted && q.any(&[Part::Need, Part::Year]) || q.all(&[Part::Ground, Part::Enough]);
    let asked = q.has(Part::Nitrogen) || of_one || which || yearly;
    (asked && !q.measures()).then(|| Inquiry::Ground(q.plot.clone()))
}

/// `can I bury it in a pot`, `what size of box do I need for blue`, `we have no garden`
fn burying_by(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Inquiry> {
    let way = if q.has(Part::Compost) {
        Way::Compost
    } else if q.has(Part::Pot) {
        Way::Pot
    } else if q.any(&[Part::Container, Part::Flat]) || q.lacks(Part::Ground) {
        Way::Container
    } else {
        return None;
    };
    let is_burying = ask.is_some_and(|ask| matches!(ask.about, About::Burying | About::Ready));
    // `how much bran for a tub of scraps` is about the bran.
    let is_open = ask.is_none_or(|ask| match ask.about {
        About::Acceptable => ask.slots.item.is_none() && ask.slots.foods.is_empty(),
        About::Bran => !q.has(Part::Bran),
        About::Dilution | About::Stock => false,
        _ => true,
    });
    let asks = q.any(&[Part::HowMuch, Part::HowTo, Part::Which, Part::May, Part::Would]);
    // A tub may be a bin: how full it is, is not asked of where it goes.
    let goes = q.any(&[Part::Need, Part::Mix, Part::Bury, Part::Flat]) || q.lacks(Part::Ground);
    let open_way = way != Way::Container && q.any(&[Part::May, Part::HowMuch, Part::HowTo]);
    let wants = goes || open_way || q.asks_how_much(Part::Container);
    let is_open = is_open && (asks || q.sizes_vessel()) && (wants || ask.is_none());
    (!q.has(Part::Made) && (is_burying || is_open)).then(|| Inquiry::Burying(way, q.bin.clone()))
}

/// `how many cans is 200 ml`, `how far does 300 ml go`
fn spread(q: &Parts<'_>) -> Option<Ask> {
    let much = q.asks_how_much(Part::Ground) || q.asks_how_much(Part::Feed) || q.asks_which(Part::Ground);
    let over = much || q.any(&[Part::Can, Part::Spread]);
    let asks = q.any(&[Part::HowMuch, Part::Spread, Part::Enough, Part::Which]);
    if !(over && asks) || q.any(&[Part::Bran, Part::Bin]) {
        return None;
    }
    let ml = q.ml()?;
    Some(about(About::Dilution, Slots { ml: Some(ml.get()), ..Slots::default() }))
}

/// `what do I mix 40 ml with`
fn mixed(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Ask> {
    let other = [Part::Bran, Part::Bin, Part::Soil, Part::Container];
    let is_mixed = ask.is_none() && q.any(&[Part::Mix, Part::Tea]) && !q.any(&other) && q.bin.is_none();
    let ml = q.ml().filter(|_| is_mixed)?;
    Some(about(About::Dilution, Slots { ml: Some(ml.get()), ..Slots::default() }))
}

/// `how much water goes into 1.5 kg of bran`, `how wet should the bran be`
fn recipe(q: &Parts<'_>, ask: Option<&Ask>) -> Option<Ask> {
    // `how much water for 3 oz of tea`
    if ask.is_some_and(|ask| ask.about == About::Dilution) {
        return None;
    }
    let g = q.g().map(Grams::get);
    let asks_water = q.asks_how_much(Part::Water) || q.asks_which(Part::Water);
    let wets =
        asks_water && (q.has(Part::Bran) || g.is_some()) || q.all(&[Part::Water, Part::Bran]) && g.is_some();
    (wets || q.all(&[Part::HowWet, Part::Bran]))
        .then(|| about(About::Recipe, Slots { g, ..Slots::default() }))
}

/// `is it time to make bran`, `how many weeks will the bran do us`
fn stock(q: &Parts<'_>) -> Option<Ask> {
    if !q.has(Part::Bran) || q.bin.is_some() || q.measures() {
        return None;
    }
    let wants = q.has(Part::Make) && q.any(&[Part::Need, Part::Soon, Part::HowLong]);
    let makes = (wants || q.all(&[Part::Need, Part::Next])) && !q.has(Part::HowTo);
    let lasts = q.any(&[Part::Last, Part::Enough]) && (q.has(Part::HowLong) || !q.asks_how_much(Part::Bran));
    // A day is asked for: that on which it is needed or gone.
    let when = q.has(Part::HowLong) && !q.any(&[Part::HowTo, Part::Ferment]);
    (makes || lasts || when).then(|| about(About::Stock, Slots::default()))
}

/// `how much soil to mix with blue`, `will there be soil left over`, `which bed should blue go in`
fn soil(q: &Parts<'_>) -> Option<Ask> {
    let mixes =
        q.asks_how_much(Part::Soil) || q.has(Part::Soil) && q.any(&[Part::Mix, Part::LeftOver, Part::Need]);
    let goes =
        (q.bin.is_some() || q.has(Part::Bin)) && q.all(&[Part::Which, Part::Ground]) && !q.has(Part::HowLong);
    let is_asked = mixes && !q.has(Part::Made) || goes;
    is_asked.then(|| about(About::Burying, Slots { bin: q.bin.clone(), ..Slots::default() }))
}

/// `by what day will green be full`
fn full(q: &Parts<'_>) -> Option<Ask> {
    let bin = q.bin.clone().filter(|_| q.all(&[Part::HowLong, Part::Full]))?;
    Some(about(About::Full, Slots { bin: Some(bin), ..Slots::default() }))
}

/// `how far along is blue`, `what per cent is it at`
fn progress(q: &Parts<'_>) -> Option<Ask> {
    (q.has(Part::HowFar) && !q.measures())
        .then(|| about(About::Status, Slots { bin: q.bin.clone(), ..Slots::default() }))
}
