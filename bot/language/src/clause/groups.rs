//! Several lots to each of several bins: `2 l and 30 ml bran in green, 1 l and 20 ml in blue`, `green 2 l + 30 ml bran, blue 1 l`.

use std::ops::Range;

use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::name::NameKind;
use crate::text::Text;

use super::{BinRef, Clause, Gist, Lot, counts_nothing};

/// A number is told in the unit of another, where it is of that size: so many times as much at most.
const MOST_APART: f64 = 8.0;

/// `drained green 100 and blue 80 ml`, `two caddies into green, one into blue`: a number for one bin in the unit told for another.
pub(crate) fn in_the_same_unit(text: &Text<'_>, clauses: &[Clause], gists: &mut [Gist]) {
    let told = |i: usize, gists: &[Gist]| {
        let gist = &gists[i];
        let one = gist.bins.len() + gist.lots.iter().flat_map(|lot| &lot.bins).count() == 1;
        let plain = gist.level.is_none() && gist.temperature.is_none() && gist.length.is_none();
        let stance = clauses[i].stance.asserted() && !clauses[i].asks;
        one && plain && stance && gist.plots.is_empty()
    };
    let alike = |i: usize, j: usize, gists: &[Gist]| {
        let acts = [i, j].map(|i| clauses[i].verb.map(|verb| verb.act));
        let same = clauses[i].sentence == clauses[j].sentence && told(j, gists);
        same && (acts[0] == acts[1] || acts.contains(&None))
    };
    for i in 0..clauses.len() {
        let Some((count, at)) = gists[i].count.filter(|_| gists[i].lots.is_empty() && told(i, gists)) else {
            continue;
        };
        let end = crate::number::read(text, at).map_or(at + 1, |number| number.next);
        let after = end + usize::from(text.is(end, Cue::More));
        // `300 ml from green and 450 from blue` goes on with the liquid, and is read where that is.
        let bran = i > 0 && gists[i - 1].lots.iter().all(|lot| lot.matter == Some(Matter::Bran));
        let goes_on = clauses[i].verb.is_some() || after == end && !text.is(after, Cue::IntoOrTo) && !bran;
        let near = [i.checked_sub(1).filter(|_| !goes_on), Some(i + 1).filter(|next| *next < clauses.len())];
        let beside = near.into_iter().flatten().find(|j| alike(i, *j, gists));
        let unit = beside.and_then(|j| match &gists[j].lots[..] {
            // `1.5 to kitchen, 3 tbsp bran in stoep`: not of the bran that follows
            [lot] if j > i && lot.matter == Some(Matter::Bran) => None,
            [lot] if stands_alike(text, &clauses[i], at, &clauses[j], lot.at) => lot.amount,
            _ => None,
        });
        let Some((unit, other)) = unit.and_then(|unit| Some((unit, unit.count()?))) else { continue };
        if counts_nothing(text, after - 1) && (count / other).max(other / count) <= MOST_APART {
            gists[i].count = None;
            gists[i].vague = false;
            let matter = Some(Matter::Bran).filter(|_| bran);
            gists[i].lots.push(Lot { amount: Some(unit.of_count(count)), matter, at, ..Lot::default() });
        }
    }
}

/// Whether in both clauses the bin stands before the number, or in both behind it.
fn stands_alike(text: &Text<'_>, one: &Clause, number: usize, other: &Clause, amount: usize) -> bool {
    let before = |clause: &Clause, at: usize| {
        let bin = (clause.from..clause.to).find(|i| text.name(*i, NameKind::Bin).is_some());
        bin.map(|bin| bin < at)
    };
    let sides = [before(one, number), before(other, amount)];
    sides[0].is_some() && sides[0] == sides[1]
}

/// What stands in a sentence, in order.
enum Item {
    /// A lot: its clause and its place there.
    Lot(usize, usize),
    /// A lot that goes with what stands before it: `with two spoons of bran`.
    With(usize, usize),
    Bin(usize),
}

/// The lots that stand together, and their bin.
struct Group {
    lots: Vec<(usize, usize)>,
    bin: usize,
}

/// Gives each lot the bin of its group, where every group of a sentence has its bin behind it, or every one before it; what is
/// bran in one is bran in the others.
pub(crate) fn into_groups(text: &Text<'_>, clauses: &[Clause], gists: &mut [Gist]) {
    let mut from = 0;
    while from < clauses.len() {
        let sentence = clauses[from].sentence;
        let to = (from..clauses.len()).find(|i| clauses[*i].sentence != sentence).unwrap_or(clauses.len());
        if is_plain(&clauses[from..to], &gists[from..to])
            && !(clauses[from].from..clauses[to - 1].to).any(|at| says_how_it_is_meant(text, at))
            && let Some(groups) = groups(&items(text, clauses, gists, from..to))
            && fits(&groups, gists)
        {
            assign(&groups, &mut gists[..to], from);
        }
        from = to;
    }
}

/// Whether a sentence tells of one kind of work, and of lots whose amounts are told.
fn is_plain(clauses: &[Clause], gists: &[Gist]) -> bool {
    let mut acts = clauses.iter().filter_map(|clause| clause.verb).map(|verb| verb.act);
    let first = acts.next();
    let told = clauses.iter().all(|clause| !clause.asks && clause.stance.asserted());
    let measured = gists.iter().all(|gist| {
        let lots = gist.lots.iter().all(|lot| lot.amount.is_some() && !lot.vague && !lot.each);
        let other = gist.level.is_some() || gist.temperature.is_some() || gist.count.is_some();
        lots && !other && !gist.vague && gist.plots.is_empty()
    });
    let bran = gists.iter().flat_map(|gist| &gist.lots).any(|lot| lot.matter == Some(Matter::Bran));
    told && measured && acts.all(|act| Some(act) == first) && !(bran && first == Some(Act::Drain))
}

/// `each`, `altogether`, `left`: lots that are told otherwise than one by one.
fn says_how_it_is_meant(text: &Text<'_>, at: usize) -> bool {
    let said = text.has_any(at, &[Mark::Each, Mark::All, Mark::Left, Mark::Have])
        || text.is(at, Cue::InTotal)
        || text.is(at, Cue::BothBins)
        || text.is(at, Cue::InOrder);
    said && text.tokens[at].name.is_none()
}

fn items(text: &Text<'_>, clauses: &[Clause], gists: &[Gist], sentence: Range<usize>) -> Vec<Item> {
    let mut items: Vec<(usize, Item)> = Vec::new();
    for at in sentence {
        let clause = &clauses[at];
        let lots = gists[at].lots.iter().enumerate();
        let with = |at: usize| text.has(at, Mark::With) || text.is(at, Cue::Plus) || text.is_sign(at, '+');
        items.extend(lots.map(|(place, lot)| {
            // `2 l in green, 2 tbsp bran, 1 l in blue`: it lies on what was told before.
            let follows = with(lot.at.wrapping_sub(1)) || lot.matter == Some(Matter::Bran);
            (lot.at, if follows { Item::With(at, place) } else { Item::Lot(at, place) })
        }));
        let bins = (clause.from..clause.to).filter_map(|i| Some((i, text.name(i, NameKind::Bin)?.index)));
        items.extend(bins.map(|(i, bin)| (i, Item::Bin(bin))));
    }
    items.sort_by_key(|(at, _)| *at);
    items.into_iter().map(|(_, item)| item).collect()
}

/// The groups, where there are several and one has several lots.
fn groups(items: &[Item]) -> Option<Vec<Group>> {
    let last = matches!(items.last()?, Item::Bin(_) | Item::With(..));
    let behind = matches!(items.first()?, Item::Lot(..)) && last;
    let before =
        matches!(items.first()?, Item::Bin(_)) && matches!(items.last()?, Item::Lot(..) | Item::With(..));
    let mut found: Vec<Group> = Vec::new();
    let mut lots = Vec::new();
    for item in items {
        match *item {
            Item::Lot(clause, place) | Item::With(clause, place) if before => {
                found.last_mut()?.lots.push((clause, place));
            }
            // `2 l in green with 30 ml of bran`
            Item::With(clause, place) if lots.is_empty() => found.last_mut()?.lots.push((clause, place)),
            Item::Lot(clause, place) | Item::With(clause, place) => lots.push((clause, place)),
            Item::Bin(bin) => found.push(Group { lots: std::mem::take(&mut lots), bin }),
        }
    }
    let each_has_lots = lots.is_empty() && found.iter().all(|group| !group.lots.is_empty());
    let several = found.len() > 1 && found.iter().any(|group| group.lots.len() > 1);
    let apart = (1..found.len()).all(|i| found[..i].iter().all(|other| other.bin != found[i].bin));
    ((behind || before) && each_has_lots && several && apart).then_some(found)
}

/// Whether no lot is told of another bin already.
fn fits(groups: &[Group], gists: &[Gist]) -> bool {
    groups.iter().all(|group| {
        let own = BinRef::Known(group.bin);
        group
            .lots
            .iter()
            .all(|(clause, place)| gists[*clause].lots[*place].bins.iter().all(|bin| *bin == own))
    })
}

fn assign(groups: &[Group], gists: &mut [Gist], from: usize) {
    let is_bran = |gists: &[Gist], (clause, place): (usize, usize)| {
        gists[clause].lots[place].matter == Some(Matter::Bran)
    };
    let pattern: Option<Vec<bool>> = groups
        .iter()
        .map(|group| group.lots.iter().map(|lot| is_bran(gists, *lot)).collect::<Vec<_>>())
        .find(|pattern| pattern.contains(&true) && pattern.first() == Some(&false));
    for gist in &mut gists[from..] {
        gist.bins.clear();
    }
    for group in groups {
        for (i, (clause, place)) in group.lots.iter().enumerate() {
            let lot = &mut gists[*clause].lots[*place];
            lot.bins = vec![BinRef::Known(group.bin)];
            let like = pattern.as_ref().and_then(|pattern| pattern.get(i));
            let matter = like.map(|is_bran| if *is_bran { Matter::Bran } else { Matter::Scraps });
            lot.matter = lot.matter.or(matter.filter(|_| lot.foods.is_empty()));
        }
    }
}
