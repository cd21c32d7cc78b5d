//! What was planted, in the writer's words.

use crate::clause::{Clause, Joint, PieceKind};
use crate::lexicon::{Act, Cue, Mark, Matter, Sense};
use crate::scene::Scene;

/// `planted a smile on her face`: what grows is planted in the ground, and on a day or a balcony.
pub(super) fn is_set_on_things(scene: &Scene<'_>, clause: &Clause) -> bool {
    let text = &scene.text;
    let place = |at: usize| {
        text.tokens[at].name.is_some()
            || text.has(at, Mark::KitchenPlace)
            || text.is_matter(at, Matter::Plot)
            || text.is_matter(at, Matter::Soil)
    };
    let on = (clause.from..clause.to).find(|at| text.is(*at, Cue::OnGround));
    let dated = |on: usize| {
        scene
            .pieces
            .iter()
            .any(|piece| (on..=on + 1).contains(&piece.from) && matches!(piece.kind, PieceKind::When(_)))
    };
    // `planted themselves in front of the telly`
    let self_set = clause.verb.is_some_and(|verb| text.is(verb.at + 1, Cue::Themselves));
    // `planted dahlias on top`
    let on_top = |on: usize| text.is(on + 1, Cue::Top);
    self_set || on.is_some_and(|on| !dated(on) && !on_top(on) && !(on + 1..clause.to.min(on + 4)).any(place))
}

/// The crop after the verb: up to the place, the time, or the end.
pub(super) fn crop(scene: &Scene<'_>, clause: &Clause) -> Option<String> {
    let text = &scene.text;
    let verb = clause.verb?;
    // `tomatoes went in`
    let grows = |at: usize| text.senses(at).iter().any(|sense| matches!(sense, Sense::Food(_)));
    if verb.act == Act::Add
        && let (Some(first), Some(last)) =
            ((clause.from..verb.at).find(|at| grows(*at)), (clause.from..verb.at).rev().find(|at| grows(*at)))
    {
        return Some(text.words(first, last + 1));
    }
    let dated = |at: usize| {
        scene.pieces.iter().any(|piece| piece.from == at && matches!(piece.kind, PieceKind::When(_)))
    };
    let ends = |at: usize| {
        text.has_any(at, &[Mark::In, Mark::From, Mark::With, Mark::Then, Mark::Down, Mark::Where])
            || text.is_stop(at)
            // `planted shallots out in the slate bed`
            || text.is(at, Cue::Out) && text.has(at + 1, Mark::In)
            || text.is(at, Cue::There)
            // `planted tomatoes two weeks after burying green`
            || at > verb.at + 1 && text.time_unit(at + 1).is_some()
            // `onions all along the south bed`
            || text.has(at, Mark::All) && at > verb.at + 1
            || text.name(at, crate::name::NameKind::Plot).is_some_and(|name| name.whole)
            || text.is_matter(at, Matter::Plot) && at > verb.at + 1
            || dated(at)
    };
    let led = text.is(verb.at + 1, Cue::With) || text.is_word(verb.at + 1, ":");
    let mut from = verb.at + 1 + usize::from(led);
    while from < clause.to
        && !dated(from)
        && (text.has_any(from, &[Mark::The, Mark::A, Mark::Of, Mark::New, Mark::All, Mark::Up])
            || text.is_vague(from)
            || text.is(from, Cue::BeforeCrop)
            || (text.digits(from).is_some() || text.cardinal(from).is_some())
            || text.senses(from).contains(&Sense::Pair))
    {
        from += 1;
    }
    // `two rows of carrots`
    if text.is(from, Cue::Rows) && text.has(from + 1, Mark::Of) {
        from += 2;
    }
    // `beans and peas in the herb bed`
    let mut end = clause.to;
    for next in scene.clauses.iter().skip_while(|other| other.from <= clause.from) {
        if next.joint != Joint::And
            || next.verb.is_some()
            || next.sentence != clause.sentence
            || (from..end).any(ends)
        {
            break;
        }
        end = next.to;
    }
    let to = (from..end).find(|at| ends(*at)).unwrap_or(end);
    let crop = text.words(from, to);
    // `leeks are in, planted them in the herb bed`
    if to == from + 1 && (text.has(from, Mark::It) || text.is(from, Cue::Them)) {
        return named_before(scene, clause);
    }
    if crop.is_empty() { before_verb(scene, clause) } else { Some(crop) }
}

/// What grows that an earlier clause of the sentence names.
fn named_before(scene: &Scene<'_>, clause: &Clause) -> Option<String> {
    let text = &scene.text;
    let grows = |at: &usize| text.senses(*at).iter().any(|sense| matches!(sense, Sense::Food(_)));
    let before = |other: &&Clause| other.sentence == clause.sentence && other.from < clause.from;
    scene.clauses.iter().filter(before).find_map(|other| {
        let first = (other.from..other.to).find(grows)?;
        Some(text.words(first, (other.from..other.to).rfind(grows)? + 1))
    })
}

/// `..., radishes in the long bed`: the words before the place.
pub(super) fn listed(scene: &Scene<'_>, clause: &Clause) -> Option<String> {
    let text = &scene.text;
    let from = (clause.from..clause.to)
        .find(|at| !text.has_any(*at, &[Mark::The, Mark::A, Mark::And, Mark::Then]) && !text.is_stop(*at))?;
    let to = (from..clause.to).find(|at| text.has(*at, Mark::In) || text.tokens[*at].name.is_some())?;
    let crop = text.words(from, to);
    (!crop.is_empty()).then_some(crop)
}

/// `kale planted in the long bed`, `the chives are planted`, `we got the garlic planted`
fn before_verb(scene: &Scene<'_>, clause: &Clause) -> Option<String> {
    let text = &scene.text;
    let verb = clause.verb?;
    let clauses = &scene.clauses;
    let got = clauses
        .iter()
        .find(|other| other.to == clause.from && other.verb.is_some_and(|verb| verb.act == Act::Get));
    // `broad beans, planted this morning`
    let named = clauses.iter().find(|other| {
        let led = clause.joint == Joint::Pause && verb.at == clause.from && other.to + 1 == clause.from;
        led && other.verb.is_none() && !other.stance.negated
    });
    let from = match (got, named) {
        (Some(got), _) => got.verb.map_or(got.from, |verb| verb.at + 1),
        (None, Some(named)) => named.from,
        (None, None) => clause.from,
    };
    let grows = |at: &usize| text.senses(*at).iter().any(|sense| matches!(sense, Sense::Food(_)));
    let passive = got.is_some() || text.has_any(verb.at.wrapping_sub(1), &[Mark::Be, Mark::Have]);
    // A capital may begin a person's name.
    let unknown = |at: &usize| {
        let token = &text.tokens[*at];
        token.is_word() && token.senses.is_empty() && token.name.is_none() && (passive || !token.capital)
    };
    let run = |pick: &dyn Fn(&usize) -> bool| {
        let first = (from..verb.at).find(pick)?;
        Some(text.words(first, (from..verb.at).rfind(pick)? + 1))
    };
    run(&grows).or_else(|| run(&unknown))
}
