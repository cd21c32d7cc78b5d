//! Whether such a list tells what there is, and is no report of something put in.

use crate::lexicon::{Act, Cue, Forms, Mark, Matter};
use crate::reading::FactKind;
use crate::scene::Scene;

use super::part::{Noun, Part};

/// `Lola joins the family: new bin`: two names with nothing between them are talk.
pub(super) fn runs_on(parts: &[Part]) -> bool {
    let told: Vec<&Part> = parts.iter().filter(|part| **part != Part::Filler).collect();
    told.windows(2).any(|two| matches!(two, [Part::Name(_), Part::Name(name)] if !name.given))
}

/// Whether as many are named as the list speaks of: in `three bins now, the new one is called Pearl` only the new one.
pub(super) fn is_counted(scene: &Scene<'_>, parts: &[Part], nouns: &[Noun], known: usize) -> bool {
    let count = parts.iter().find_map(|part| if let Part::Count(count) = part { Some(*count) } else { None });
    let counted = count.is_none_or(|count| (count - known.max(1) as f64).abs() < f64::EPSILON);
    let plural = !nouns.is_empty() && nouns.iter().all(|noun| noun.plural);
    let all =
        count.is_some_and(|count| (count - (scene.message.bins.len() + known) as f64).abs() < f64::EPSILON);
    let noun = parts.iter().position(|part| matches!(part, Part::Noun(_))).unwrap_or(parts.len());
    let one_more = all && known == 1 && parts[noun..].contains(&Part::Has);
    one_more || counted && !(plural && known < 2)
}

/// Whether the list tells what there is, and is no report of something put in; `names` are those of things in it.
pub(super) fn is_told(scene: &Scene<'_>, parts: &[Part], nouns: &[Noun], names: usize) -> bool {
    let has = parts.contains(&Part::Has);
    let given = parts.iter().any(|part| matches!(part, Part::Name(name) if name.given));
    let sized = parts.iter().any(|part| matches!(part, Part::Size(_) | Part::Area(_)));
    let taps = parts.iter().any(|part| matches!(part, Part::Tap(_)));
    let holds = parts.contains(&Part::Holds);
    if nouns.is_empty() {
        return is_told_of_names(scene, parts, names);
    }
    // `bins: red 15 l, blue 12 l`, `bin Hugo: 20 litres`
    let labelled = matches!(parts, [Part::Noun(_), Part::Name(_), Part::Break, ..]) && scene.message.direct;
    let heads = labelled || nouns.first().is_some_and(|noun| scene.text.is_word(noun.at + 1, ":"));
    // `a 19 litre bin with tap`
    let measured = parts.windows(2).any(|two| matches!(two, [Part::Size(_), Part::Noun(_)]));
    // `bins are red (18 l) and blue (20 l)`
    let listed = parts
        .windows(3)
        .any(|three| matches!(three, [Part::Noun(noun), Part::Holds, Part::Name(_)] if noun.plural));
    let told = sized || taps || given || is_declared(scene, parts);
    let counted = parts.iter().any(|part| matches!(part, Part::Count(_)));
    // `south bed is 4 m²`
    let plot = nouns.iter().all(|noun| noun.kind == FactKind::PlotSet) && holds && sized;
    let bare = names == 0 && (holds || counted) && sized;
    // `the porch bin hasn't got a tap`
    let known = scene.text.tokens.iter().any(|token| token.name.is_some());
    let fitted = taps && !sized && names == 1 && known && scene.message.direct;
    told && (fitted || plot || listed || has || heads || given || measured || bare)
        || has && names > 0 && told
        || holds && sizes(parts) == names && names > 0 && scene.message.direct
        || scene.message.bins.is_empty() && names > 0 && (sized || heads)
}

fn sizes(parts: &[Part]) -> usize {
    parts.iter().filter(|part| matches!(part, Part::Size(_))).count()
}

/// `new bin Nori`, `new bed: roses`
fn is_declared(scene: &Scene<'_>, parts: &[Part]) -> bool {
    let colon = |noun: &Noun| scene.text.is_word(noun.at + 1, ":");
    let beside = |three: &[Part]| matches!(three, [Part::Has, Part::Noun(_), Part::Name(_)]);
    let headed = |four: &[Part]| matches!(four, [Part::Has, Part::Noun(noun), Part::Break, Part::Name(_)] if colon(noun));
    scene.text.has(0, Mark::New) && (parts.windows(3).any(beside) || parts.windows(4).any(headed))
}

/// A list without `bin` or `bed`: `it holds 19 litres`, `no tap on red`, `call it spot`, `blue is 16 litres, green 20`.
fn is_told_of_names(scene: &Scene<'_>, parts: &[Part], names: usize) -> bool {
    let text = &scene.text;
    let given =
        parts.iter().any(|part| matches!(part, Part::Name(name) if name.given)) && names_something(scene);
    // `tap blocked` names nothing.
    let taps = parts.iter().any(|part| matches!(part, Part::Tap(_)))
        && !matches!(parts, [Part::Tap(_), Part::Name(_), ..]);
    let area = parts.iter().any(|part| matches!(part, Part::Area(_)));
    let sized = area || sizes(parts) > 0;
    let opens = matches!(parts, [Part::Name(_), Part::Break | Part::Holds | Part::Tap(_), ..]);
    if names > 0 && text.tokens.iter().any(|token| token.name.is_some()) || area {
        let listed = matches!(parts, [Part::Name(_), Part::Holds, Part::Size(_), ..]);
        // `green: capacity 18 litres`
        let headed = matches!(parts, [Part::Name(_), Part::Break, Part::Holds, ..]) && says_holds(scene);
        return taps && (!sized || opens) && names == 1
            || headed && sized && names == 1
            || listed && names > 1 && sizes(parts) == names
            || area && names == 1 && parts.contains(&Part::Has);
    }
    // `name the new bin Hazel, 18 l`
    let new = (0..text.tokens.len()).any(|at| text.has(at, Mark::New));
    let holds = parts.contains(&Part::Holds) && says_holds(scene);
    taps && (!sized || opens) && names == 1
        || text.tokens.iter().all(|token| token.name.is_none())
            && (given && (!sized || new) || names == 0 && (taps && !sized || sized && holds))
}

/// `call it spot`, `its name is spot`, `called spot`; `call the plumber` names nothing.
fn names_something(scene: &Scene<'_>) -> bool {
    let text = &scene.text;
    let past =
        |at: usize| text.verb(at).is_some_and(|(act, forms)| act == Act::Call && forms.has(Forms::PAST));
    let thing = |at: usize| text.has(at, Mark::It) || text.is_matter(at, Matter::Bin);
    (0..text.tokens.len())
        .any(|at| thing(at) || text.is(at, Cue::Them) || text.is(at, Cue::NameWord) || past(at))
}

fn says_holds(scene: &Scene<'_>) -> bool {
    (0..scene.text.tokens.len()).any(|at| scene.text.is_act(at, Act::Hold) || scene.text.is(at, Cue::Volume))
}

/// Whether a size told once is that of all: of `bins`, of `each`, or of names listed before it.
pub(super) fn is_shared(scene: &Scene<'_>, parts: &[Part], nouns: &[Noun]) -> bool {
    let each = (0..scene.text.tokens.len()).any(|at| scene.text.has(at, Mark::Each));
    let last = parts.iter().rposition(|part| matches!(part, Part::Name(_)));
    let told = parts.iter().position(|part| matches!(part, Part::Size(_) | Part::Area(_)));
    each || nouns.iter().any(|noun| noun.plural) || last < told
}
