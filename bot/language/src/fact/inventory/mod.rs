//! What one has, told as a list: `two 15 l bins, red and blue`, `bins: red 15 l, blue 12 l no tap`, `my bin is 19 litres`.
//!
//! A sentence is taken only where every word of it has its part in such a list, so that nothing else is mistaken for one.

mod name;
mod part;
mod thing;
mod told;

use crate::clause::Clause;
use crate::lexicon::{Act, Cue, Mark, Matter};
use crate::reading::FactKind;
use crate::scene::Scene;

use super::Builder;
use part::{Noun, Part, parts};
use told::{is_counted, is_shared, is_told, runs_on};

/// One bin or plot.
#[derive(Debug, Clone, Default)]
struct Item {
    name: Option<String>,
    size: Option<f64>,
    area: Option<f64>,
    tap: Option<bool>,
}

impl Item {
    /// Whether both tell the same of two things.
    fn clashes(&self, other: &Self) -> bool {
        self.name.is_some() && other.name.is_some()
            || self.size.is_some() && other.size.is_some()
            || self.area.is_some() && other.area.is_some()
            || self.tap.is_some() && other.tap.is_some()
    }

    fn take(&mut self, other: Self) {
        self.name = self.name.take().or(other.name);
        self.size = self.size.or(other.size);
        self.area = self.area.or(other.area);
        self.tap = self.tap.or(other.tap);
    }
}

/// Opens the events of a sentence that is such a list, and of those after it that go on with it.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let sentence = scene.clauses[index].sentence;
    let first = scene.clauses.iter().position(|clause| clause.sentence == sentence);
    // `blue is gone, replaced by a new one called deck, 25 l`
    let listed = [FactKind::BinGone, FactKind::BinSet, FactKind::PlotSet];
    let begins = first == Some(index) || listed.iter().any(|kind| builder.just(*kind));
    if !begins {
        return false;
    }
    if super::measure::open(builder, index) {
        return true;
    }
    let clause = &scene.clauses[index];
    // `green's tap: 330 ml`: what came out of it
    let text = &scene.text;
    if text.is_matter(clause.to - 1, Matter::Tap)
        && text.is_word(clause.to, ":")
        && text.digits(clause.to + 1).is_some()
    {
        return false;
    }
    // `Hall bin had 2 litres of old lettuce`: what was put in
    let lot = |lot: &crate::clause::Lot| lot.amount.is_some() && !lot.foods.is_empty();
    let gist = &scene.gists[index];
    // `Sunday, shed bin: 2 gallons of melon rind, a cup of bran`
    let mut told = scene.clauses.iter().zip(&scene.gists).filter(|(other, _)| other.sentence == sentence);
    let known = scene.text.tokens.iter().any(|token| token.name.is_some());
    if known && told.any(|(_, gist)| gist.lots.iter().any(lot)) {
        return false;
    }
    if !gist.bins.is_empty()
        && gist.lots.iter().any(lot)
        && (clause.from..clause.to).any(|at| text.is(at, Cue::Had))
    {
        return false;
    }
    let from = past_giver(scene, clause).unwrap_or(if index == 0 { 0 } else { clause.from });
    open_from(builder, index, from, &[])
}

/// Whether a bin is told from a token of a clause on.
pub(super) fn is_successor(scene: &Scene<'_>, index: usize, from: usize) -> bool {
    list(scene, index, from, &successor(from)).is_some()
}

fn successor(from: usize) -> [Part; 2] {
    [Part::Has, Part::Noun(Noun { kind: FactKind::BinSet, plural: false, at: from })]
}

/// Opens the event of a bin that takes the place of another, told from a token of a clause on.
pub(super) fn open_successor(builder: &mut Builder<'_, '_>, index: usize, from: usize) -> bool {
    open_from(builder, index, from, &successor(from))
}

/// Opens the events of a list that begins with a token of a clause; `lead` stands for what was told before it.
fn open_from(builder: &mut Builder<'_, '_>, index: usize, from: usize, lead: &[Part]) -> bool {
    let scene = builder.scene;
    let Some(list) = list(scene, index, from, lead) else { return false };
    // `Bin: Bruno. 18 litres. No tap.`: more about the bin just named.
    if builder.just(list.kind) && list.items.iter().all(|item| item.name.is_none()) {
        return goes_on(builder, index, &list);
    }
    for item in list.items {
        let at = builder.begin(list.kind, index);
        let event = &mut builder.events[at];
        event.lots.clear();
        event.bins.clear();
        event.plots.clear();
        event.vague = false;
        event.clauses.1 = scene.clauses.iter().rposition(|clause| clause.from < list.to).unwrap_or(index);
        event.slots.capacity_ml = item.size;
        event.slots.area_m2 = item.area;
        event.slots.tap = item.tap;
        if list.kind == FactKind::BinSet { event.slots.bin = item.name } else { event.slots.plot = item.name }
    }
    builder.taken_to = list.to;
    true
}

/// What one has, and the token up to which it is told.
struct List {
    kind: FactKind,
    items: Vec<Item>,
    to: usize,
}

/// The list that begins with a token of a clause.
fn list(scene: &Scene<'_>, index: usize, from: usize, lead: &[Part]) -> Option<List> {
    let mut last = scene.clauses[index].sentence;
    let (mut told, mut to) = parts(scene, from, end_of(scene, last), &[])?;
    // `new bin Patsy holds 3 gallons and there's a new bed`: of one sort, up to where the next begins
    if let Some(other) = of_other_sort(&told) {
        let clause = scene.clauses.iter().rfind(|clause| clause.from > from && clause.from <= other)?;
        (told, to) = parts(scene, from, clause.from, &[])?;
    }
    while to == end_of(scene, last) {
        let Some((more, end)) = continued(scene, last + 1, &told) else { break };
        told.push(Part::Break);
        told.extend(more);
        (to, last) = (end, last + 1);
    }
    let whole = to == end_of(scene, last);
    let (kind, items) = items(scene, &[lead, called_to(scene, &told)].concat())?;
    let named = items.iter().all(|item| item.name.is_some());
    let declared = scene.message.direct || named && is_declared(scene, from, to, &told);
    (declared && (whole || named)).then_some(List { kind, items, to })
}

/// `neighbours, we have a new bin: attic`: without the name of those who are called.
fn called_to<'p>(scene: &Scene<'_>, parts: &'p [Part]) -> &'p [Part] {
    let [Part::Name(name), Part::Break, rest @ ..] = parts else { return parts };
    let known = scene.message.bins.iter().any(|bin| bin.name == name.words);
    let has = rest.first().is_some_and(|part| matches!(part, Part::Has | Part::Filler));
    let named = rest.iter().any(|part| matches!(part, Part::Name(_)));
    let thing = rest.iter().any(|part| matches!(part, Part::Noun(_)));
    if !known && has && named && thing { rest } else { parts }
}

/// The noun of another sort than the first one's.
fn of_other_sort(told: &[Part]) -> Option<usize> {
    let mut nouns =
        told.iter().filter_map(|part| if let Part::Noun(noun) = part { Some(noun) } else { None });
    let first = nouns.next()?;
    nouns.find(|noun| noun.kind != first.kind).map(|noun| noun.at)
}

/// Among others only what plainly is made known: `new bin: attic, 20 l`.
fn is_declared(scene: &Scene<'_>, from: usize, to: usize, told: &[Part]) -> bool {
    let new = (from..to).any(|at| scene.text.has(at, Mark::New) && !scene.text.is(at, Cue::Another));
    new && told.iter().any(|part| matches!(part, Part::Noun(_)))
}

/// `the neighbours gave us a bin`: what stands before the gift is no part of the list.
fn past_giver(scene: &Scene<'_>, clause: &Clause) -> Option<usize> {
    let text = &scene.text;
    let gives = |at: &usize| {
        text.is_act(*at, Act::Give) && text.is(at + 1, Cue::MineOrUs)
            || text.is(*at, Cue::HandsOver) && text.has(at + 1, Mark::A)
    };
    let gift = (clause.from + 1..clause.to).find(gives)?;
    let plain = |at: usize| text.tokens[at].name.is_none() && text.matter(at).is_none();
    (clause.from..gift).all(plain).then_some(gift)
}

/// `We have a new bin! It's called Pearl. 20 litres, no tap.`: a sentence that only tells more of what was told before it.
fn continued(scene: &Scene<'_>, sentence: usize, told: &[Part]) -> Option<(Vec<Part>, usize)> {
    let text = &scene.text;
    let clause = scene.clauses.iter().find(|clause| clause.sentence == sentence)?;
    let (more, end) = parts(scene, clause.from, end_of(scene, sentence), told)?;
    let noun =
        told.iter().find_map(|part| if let Part::Noun(noun) = part { Some(noun.kind) } else { None })?;
    // `It has a tap`, and no `we have`
    let owns = |at: usize| text.has(at, Mark::Have) && !text.has(at.wrapping_sub(1), Mark::I);
    let has = (clause.from..end).all(|at| owns(at) || part::word(scene, at) != Some(Part::Has));
    let before: Vec<Part> = told.iter().filter(|part| part.tells()).cloned().collect();
    let same = gathered(&before).len() == gathered(&[before, more.clone()].concat()).len();
    let of_it = more.iter().all(|part| !matches!(part, Part::Noun(more) if more.kind != noun));
    (has && same && of_it && more.iter().any(Part::tells)).then_some((more, end))
}

/// Puts what is told of the thing named before into its event.
fn goes_on(builder: &mut Builder<'_, '_>, index: usize, list: &List) -> bool {
    let (Some(current), [item]) = (builder.current, &list.items[..]) else { return false };
    let event = &mut builder.events[current];
    event.slots.capacity_ml = event.slots.capacity_ml.or(item.size);
    event.slots.area_m2 = event.slots.area_m2.or(item.area);
    event.slots.tap = event.slots.tap.or(item.tap);
    event.clauses.1 = index;
    builder.taken_to = list.to;
    true
}

fn end_of(scene: &Scene<'_>, sentence: usize) -> usize {
    // `I've got a 20 litre bin, what now?`: up to what is asked.
    let told =
        scene.clauses.iter().filter(|clause| clause.sentence == sentence).take_while(|clause| !clause.asks);
    told.map(|clause| clause.to).max().unwrap_or(0)
}

/// What the parts come to: bins or plots with their names and sizes.
fn items(scene: &Scene<'_>, parts: &[Part]) -> Option<(FactKind, Vec<Item>)> {
    let nouns: Vec<Noun> = parts
        .iter()
        .filter_map(|part| if let Part::Noun(noun) = part { Some(*noun) } else { None })
        .collect();
    let area = parts.iter().any(|part| matches!(part, Part::Area(_)));
    let sort = if area { FactKind::PlotSet } else { FactKind::BinSet };
    let kind = nouns.first().map_or(sort, |noun| noun.kind);
    if nouns.iter().any(|noun| noun.kind != kind) || runs_on(parts) {
        return None;
    }
    let mut named = gathered(parts);
    let known = named.iter().filter(|item| item.name.is_some()).count();
    if !is_told(scene, parts, &nouns, known) || !is_counted(scene, parts, &nouns, known) {
        return None;
    }
    if is_shared(scene, parts, &nouns) {
        share(&mut named);
    }
    // `we've a raised bed, 2 by 1 m`
    let called =
        nouns.first().map(|noun| scene.text.words(noun.at, noun.at + 1)).filter(|words| words.contains(' '));
    if let (FactKind::PlotSet, [item]) = (kind, &mut named[..]) {
        item.name = item.name.take().or(called);
    }
    let fits = |item: &Item| {
        if kind == FactKind::BinSet { item.area.is_none() } else { item.size.is_none() && item.tap.is_none() }
    };
    let says = |item: &Item| item.name.is_some() || known == 0 && item.clashes(item);
    (!named.is_empty() && named.iter().all(|item| fits(item) && says(item))).then_some((kind, named))
}

/// The items in their order: a size belongs to the name before it, or to the first name after it.
fn gathered(parts: &[Part]) -> Vec<Item> {
    let mut out = Vec::new();
    let mut item = Item::default();
    let mut described = false;
    for (at, part) in parts.iter().enumerate() {
        let more = match part {
            Part::Name(name) => Item { name: Some(name.words.clone()), ..Item::default() },
            Part::Size(ml) => Item { size: Some(*ml), ..Item::default() },
            Part::Area(area) => Item { area: Some(*area), ..Item::default() },
            Part::Tap(tap) => Item { tap: Some(*tap), ..Item::default() },
            _ => continue,
        };
        if let Part::Name(name) = part {
            // `new flower patch, call it Daisy`: what it was called before is but what it is.
            item.name = item.name.take().filter(|_| !(name.given && described));
            described = !name.given && at > 0 && parts[at - 1] == Part::Has;
        }
        if item.clashes(&more) {
            out.push(std::mem::take(&mut item));
        }
        item.take(more);
    }
    out.push(item);
    out
}

/// `two 15 l bins, red and blue`, `red and blue, 19 litres each`: one size for all.
fn share(items: &mut [Item]) {
    let only = |pick: fn(&Item) -> Option<f64>| {
        let told: Vec<f64> = items.iter().filter_map(pick).collect();
        if let [one] = told[..] { Some(one) } else { None }
    };
    let (size, area) = (only(|item| item.size), only(|item| item.area));
    for item in items {
        item.size = item.size.or(size);
        item.area = item.area.or(area);
    }
}
