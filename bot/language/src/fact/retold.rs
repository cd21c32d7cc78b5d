//! One event told in two clauses: `a pint came out of blue when I drained it at 4`.

use crate::reading::{Fact, FactKind, Slots};

/// Makes one fact of two that tell of the same: nothing in them disagrees, and one lacks what the other tells.
pub(super) fn join_retold(facts: Vec<Fact>) -> Vec<Fact> {
    let mut out: Vec<Fact> = Vec::with_capacity(facts.len());
    for fact in facts {
        match out.iter_mut().find(|known| is_retold(known, &fact)) {
            Some(known) => fill(&mut known.slots, fact.slots),
            None => out.push(fact),
        }
    }
    out
}

fn is_retold(a: &Fact, b: &Fact) -> bool {
    let (x, y) = (&a.slots, &b.slots);
    let halves = match a.kind {
        FactKind::Drained => x.ml.is_some() != y.ml.is_some(),
        FactKind::Buried => {
            x.depth_cm.is_some() != y.depth_cm.is_some() || x.plot.is_some() != y.plot.is_some()
        }
        FactKind::Planted => x.crop.is_some() != y.crop.is_some() && x.plot.is_some() != y.plot.is_some(),
        // `taped blue shut last night, it's sealed`
        // `closed up and sealed green on Sunday`
        FactKind::Sealed => {
            x.at.is_some() != y.at.is_some() && (x.bin == y.bin || y.bin.is_none())
                || x.at == y.at && x.bin.is_some() != y.bin.is_some()
                || x.at.is_none() && x.bin.is_none()
        }
        // `rinsed and scrubbed green out`
        FactKind::Cleaned => x.bin.is_none() && x.at.is_none() && y.bin.is_some(),
        // `both smell sour, green has white mould too`
        FactKind::Checked => x.bin.is_some() && x.bin == y.bin && x.at == y.at && !overlap(x, y),
        _ => false,
    };
    a.kind == b.kind
        && halves
        && agree(x.bin.as_ref(), y.bin.as_ref())
        && agree(x.at.as_ref(), y.at.as_ref())
        && agree(x.use_.as_ref(), y.use_.as_ref())
        && agree(x.ml.as_ref(), y.ml.as_ref())
        && agree(x.plot.as_ref(), y.plot.as_ref())
        && agree(x.depth_cm.as_ref(), y.depth_cm.as_ref())
        && agree(x.crop.as_ref(), y.crop.as_ref())
}

/// Whether both tell the same sort of symptom, or one of them none.
fn overlap(x: &Slots, y: &Slots) -> bool {
    let told = |slots: &Slots| {
        [
            slots.smell.is_some(),
            slots.mould.is_some(),
            slots.moisture.is_some(),
            slots.pests.is_some(),
            slots.lid.is_some(),
        ]
    };
    let (x, y) = (told(x), told(y));
    let nothing = |told: &[bool]| told.iter().all(|told| !told);
    x.iter().zip(&y).any(|(x, y)| *x && *y) || nothing(&x) || nothing(&y)
}

fn agree<T: PartialEq>(a: Option<&T>, b: Option<&T>) -> bool {
    a.is_none() || b.is_none() || a == b
}

fn fill(known: &mut Slots, new: Slots) {
    known.smell = known.smell.or(new.smell);
    known.mould = known.mould.or(new.mould);
    known.moisture = known.moisture.or(new.moisture);
    known.pests = known.pests.or(new.pests);
    known.lid = known.lid.or(new.lid);
    known.ml = known.ml.or(new.ml);
    known.bin = known.bin.take().or(new.bin);
    if known.at.is_none() {
        (known.at, known.precision) = (new.at, new.precision);
    }
    known.use_ = known.use_.or(new.use_);
    known.plot = known.plot.take().or(new.plot);
    known.depth_cm = known.depth_cm.or(new.depth_cm);
    known.crop = known.crop.take().or(new.crop);
}
