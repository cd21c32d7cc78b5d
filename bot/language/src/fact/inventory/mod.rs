//! What one has, told as a list: `two 15 l bins, red and blue`, `bins: red 15 l, blue 12 l no tap`, `my bin is 19 litres`.
//!
//! A sentence is taken only where every word of it has its part in such a list, so that nothing else is mistaken for one.

mod part;

use crate::lexicon::{Act, Cue, Mark};
use crate::reading::FactKind;
use crate::scene::Scene;

use super::Builder;
use part::{Noun, Part, parts};

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

/// Opens the events of a sentence that is such a list.
pub(super) fn open(builder: &mut Builder<'_, '_>, index: usize) -> bool {
    let scene = builder.scene;
    let sentence = scene.clauses[index].sentence;
    let first = scene.clauses.iter().position(|clause| clause.sentence == sentence);
    if !scene.message.direct || first != Some(index) || super::place::measure(builder, index) {
        return false;
    }
    let last = sentence + usize::from(names_it(scene, sentence + 1));
    let (from, to) = (if index == 0 { 0 } else { scene.clauses[index].from }, end_of(scene, last));
    let Some(parts) = parts(scene, from, to) else { return false };
    let Some((kind, items)) = items(scene, &parts) else { return false };
    // `Bin: Bruno. 18 litres. No tap.`: more about the bin just named.
    if builder.just(kind) && items.iter().all(|item| item.name.is_none()) {
        return false;
    }
    for item in items {
        let at = builder.begin(kind, index);
        let event = &mut builder.events[at];
        event.lots.clear();
        event.bins.clear();
        event.plots.clear();
        event.vague = false;
        event.clauses.1 = scene.clauses.iter().rposition(|clause| clause.sentence == last).unwrap_or(index);
        event.slots.capacity_ml = item.size;
        event.slots.area_m2 = item.area;
        event.slots.tap = item.tap;
        if kind == FactKind::BinSet { event.slots.bin = item.name } else { event.slots.plot = item.name }
    }
    builder.taken_to = to;
    true
}

/// `We have a new bin! It's called Pearl.`: the name in a sentence of its own.
fn names_it(scene: &Scene<'_>, sentence: usize) -> bool {
    let text = &scene.text;
    let Some(clause) = scene.clauses.iter().find(|clause| clause.sentence == sentence) else { return false };
    let names = |at: usize| text.is_act(at, Act::Call) || text.is(at, Cue::Named);
    (text.has(clause.from, Mark::It) || text.is(clause.from, Cue::NameWord))
        && (clause.from..clause.to.min(clause.from + 4)).any(names)
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
    let kind = nouns.first().map_or(FactKind::BinSet, |noun| noun.kind);
    if nouns.iter().any(|noun| noun.kind != kind) {
        return None;
    }
    let mut named = gathered(parts);
    let known = named.iter().filter(|item| item.name.is_some()).count();
    let told = is_told(scene, parts, &nouns, known);
    if !told {
        return None;
    }
    let count = parts.iter().find_map(|part| if let Part::Count(count) = part { Some(*count) } else { None });
    let counted = count.is_none_or(|count| (count - known.max(1) as f64).abs() < f64::EPSILON);
    let plural = !nouns.is_empty() && nouns.iter().all(|noun| noun.plural);
    if !counted || plural && known < 2 {
        return None;
    }
    share(&mut named);
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

/// Whether the list tells what there is, and is no report of something put in.
fn is_told(scene: &Scene<'_>, parts: &[Part], nouns: &[Noun], names: usize) -> bool {
    let has = parts.contains(&Part::Has);
    let given = parts.iter().any(|part| matches!(part, Part::Name(name) if name.given));
    let sized = parts.iter().any(|part| matches!(part, Part::Size(_) | Part::Area(_)));
    let taps = parts.iter().any(|part| matches!(part, Part::Tap(_)));
    let holds = parts.iter().any(|part| matches!(part, Part::Holds));
    let first = nouns.first().map(|noun| noun.at);
    // `bins: red 15 l, blue 12 l`
    let heads = first.is_some_and(|at| scene.text.is_word(at + 1, ":"));
    // `a 19 litre bin with tap`
    let measured = parts.windows(2).any(|two| matches!(two, [Part::Size(_), Part::Noun(_)]));
    let nameless = names == 0;
    if nouns.is_empty() {
        // `it holds 19 litres`, `no tap`, `call it spot`
        let lone = scene.text.tokens.iter().all(|token| token.name.is_none());
        // `no tap on red`
        return taps && !sized && names == 1
            || lone
                && (given && !sized || nameless && (taps && !sized || sized && holds && says_holds(scene)));
    }
    let told = sized || taps || given;
    let counted = parts.iter().any(|part| matches!(part, Part::Count(_)));
    // `south bed is 4 m²`
    let plot = nouns.iter().all(|noun| noun.kind == FactKind::PlotSet) && holds && sized;
    told && (plot || has || heads || given || measured || nameless && (holds || counted) && sized)
        || has && names > 0 && told
        || scene.message.bins.is_empty() && names > 0 && (sized || heads)
}

fn says_holds(scene: &Scene<'_>) -> bool {
    (0..scene.text.tokens.len()).any(|at| scene.text.is_act(at, Act::Hold) || scene.text.is(at, Cue::Volume))
}

/// The items in their order: a size belongs to the name before it, or to the first name after it.
fn gathered(parts: &[Part]) -> Vec<Item> {
    let mut out = Vec::new();
    let mut item = Item::default();
    for part in parts {
        let more = match part {
            Part::Name(name) => Item { name: Some(name.words.clone()), ..Item::default() },
            Part::Size(ml) => Item { size: Some(*ml), ..Item::default() },
            Part::Area(area) => Item { area: Some(*area), ..Item::default() },
            Part::Tap(tap) => Item { tap: Some(*tap), ..Item::default() },
            _ => continue,
        };
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
