//! Verbs in their place: `drain` is one in `I drain`, none in `the drain`.

use crate::amount::Unit;
use crate::lexicon::{Act, Cue, Forms, Mark, Matter, Sense, TimeWord};
use crate::name::NameKind;
use crate::text::Text;

/// A verb of the trade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Verb {
    pub(crate) act: Act,
    pub(crate) forms: Forms,
    pub(crate) at: usize,
}

/// A name that is nobody's bin: `Marek adds the rest`.
fn is_person(text: &Text<'_>, at: usize) -> bool {
    text.tokens.get(at).is_some_and(|token| {
        token.is_word() && token.capital && token.senses.is_empty() && token.name.is_none()
    })
}

/// Whether the place of a word that can be a verb says that it is a thing or a name.
fn means_a_thing(text: &Text<'_>, start: usize, at: usize, act: Act, forms: Forms) -> bool {
    // `smell is sour`, `smell from the bin`
    if act == Act::Smell && forms.has(Forms::BASE) && text.has_any(at + 1, &[Mark::Be, Mark::From, Mark::In])
    {
        return true;
    }
    // `a spade and a bit, say 35 cm`
    let length =
        |at: usize| matches!(text.unit(at), Some(Unit::Centimetre | Unit::Metre | Unit::Inch | Unit::Foot));
    let counted = length(at + 2) && (text.digits(at + 1).is_some() || text.cardinal(at + 1).is_some());
    if act == Act::Say && forms.has(Forms::BASE) && at == start && counted {
        return true;
    }
    // `cooked cabbage`
    let food = |at: usize| text.senses(at).iter().any(|s| matches!(s, Sense::Food(_)));
    if act == Act::Cook && food(at) && food(at + 1) {
        return true;
    }
    // `used frying oil`
    let doing = text.has_any(at.wrapping_sub(1), &[Mark::I, Mark::Be]);
    if act == Act::Cook && forms == Forms::ING && food(at + 1) && !doing {
        return true;
    }
    // `a mix of banana skins and leaves`
    if act == Act::Make && forms.has(Forms::BASE) && text.has(at + 1, Mark::Of) {
        return true;
    }
    // `the 6am reading by the boiler`
    if act == Act::Read && forms == Forms::ING && !doing {
        return true;
    }
    // `turkey and stuffing`
    if forms == Forms::ING && food(at) && !text.has_any(at.wrapping_sub(1), &[Mark::I, Mark::Be]) {
        return true;
    }
    // `tap`, `plants`, `bin` are things first.
    let plain = !(forms.has(Forms::PAST) || forms.has(Forms::PARTICIPLE) || forms.has(Forms::ING));
    let thing = plain
        && text.senses(at).iter().any(
            |s| matches!(s, Sense::Matter(m) if !matches!(m, Matter::Plot | Matter::Batch | Matter::Lid)),
        );
    // `the Will bin`
    let named = text.tokens.get(at.wrapping_sub(1)).is_some_and(|before| before.name.is_some());
    if thing
        && (named || !text.has_any(at.wrapping_sub(1), &[Mark::I, Mark::Will, Mark::HadTo]))
        && !text.is(at.wrapping_sub(1), Cue::To)
    {
        return true;
    }
    // A lone misspelt word may be a name: `new bin: sipho, 20 litres`.
    if text.tokens[at].corrected
        && at == start
        && text.is_stop(at + 1)
        && text.is_word(at.wrapping_sub(1), ":")
    {
        return true;
    }
    false
}

/// The verb at a token, where its place in the clause that begins at `start` allows one.
pub(crate) fn verb_at(text: &Text<'_>, start: usize, at: usize) -> Option<Verb> {
    let (act, forms) = text.verb(at)?;
    if text.tokens[at].name.is_some() {
        return None;
    }
    if means_a_thing(text, start, at, act, forms) {
        return None;
    }
    // `I clean forgot to drain it`
    if act == Act::Clean && text.is(at + 1, Cue::Forgot) {
        return None;
    }
    // `sealed it with tape`
    if forms.has(Forms::BASE) && at == start && text.has(at.wrapping_sub(1), Mark::With) {
        return None;
    }
    let before = at.checked_sub(1).filter(|before| *before >= start);
    let past = forms.has(Forms::PAST) || forms.has(Forms::PARTICIPLE);
    // `blue is clean`, `the lid is open`: how it is, not what was done.
    let is = at > start && text.is(at - 1, Cue::Seems);
    if forms == Forms::BASE && is {
        return None;
    }
    let Some(before) = before else { return Some(Verb { act, forms, at }) };
    let aux = [Mark::Do, Mark::Have, Mark::Be, Mark::Will, Mark::Can, Mark::HadTo, Mark::Not, Mark::Please];
    let led = text.has_any(before, &[Mark::I, Mark::You, Mark::Other, Mark::Someone])
        && !text.is(before, Cue::Owner)
        || text.has_any(before, &aux)
        || text.is(before, Cue::BeforeVerb);
    let determiner = text.has_any(
        before,
        &[Mark::A, Mark::The, Mark::Of, Mark::Size, Mark::New, Mark::Old, Mark::Each, Mark::No, Mark::With],
    ) || text.is(before, Cue::OwnerWord);
    // `nothing came out`
    let nothing = text.is(before, Cue::NothingCame);
    if determiner && !led && !nothing {
        return None;
    }
    // `a show about buried treasure`
    if forms.has(Forms::PARTICIPLE) && text.is(before, Cue::About) {
        return None;
    }
    if past && !(forms.has(Forms::BASE) && text.has_any(before, &[Mark::In, Mark::From, Mark::With])) {
        return Some(Verb { act, forms, at });
    }
    let subject = text.name(before, NameKind::Bin).is_some()
        || matches!(text.senses(before).first(), Some(Sense::Matter(_)))
        || text.is(before, Cue::TailS)
        || is_person(text, before);
    let opens = text.has_any(
        before,
        &[
            Mark::And,
            Mark::But,
            Mark::Then,
            Mark::Hello,
            Mark::Yes,
            Mark::Sorry,
            Mark::Bot,
            Mark::Laugh,
            Mark::Or,
            Mark::If,
            Mark::No,
        ],
    ) || matches!(
        text.time(before),
        Some(TimeWord::Day(_) | TimeWord::Earlier | TimeWord::Part(..) | TimeWord::LastNight)
    );
    let ok = led
        || opens
        || (forms.has(Forms::ING))
        || (forms.has(Forms::THIRD) && subject)
        || (subject && matches!(act, Act::Smell | Act::Hold));
    ok.then_some(Verb { act, forms, at })
}
