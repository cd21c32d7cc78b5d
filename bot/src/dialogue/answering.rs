//! The nudges that a message answers: one, or several that went out in one message.

use branbell_language::FactKind;
use branbell_scheduler::plan::{Nudge, NudgeKind, Subject, due_work, waiting_for};
use branbell_scheduler::state::Room;
use chrono::{DateTime, Utc};

/// The nudges that somebody answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Answering {
    /// They: those that are still open, or all where none is.
    pub items: Vec<Item>,
    /// The message is a reply to them; else they only were the last thing we said.
    pub plainly: bool,
}

/// A nudge that is answered.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Its identity.
    pub key: String,
    /// What it is about.
    pub kind: NudgeKind,
    /// The bin or the plot.
    pub subject: Option<Subject>,
    /// Whether it still waits for an answer.
    pub open: bool,
}

impl Item {
    /// The nudge of that key; none where it is no key.
    pub fn of_key(room: &Room, key: &str, open: bool) -> Option<Self> {
        let (kind, rest) = key.split_once('/').unwrap_or((key, ""));
        let kind: NudgeKind = serde_json::from_value(kind.into()).ok()?;
        let names: Vec<&str> = match kind {
            NudgeKind::Plant => room.plots.iter().map(|plot| plot.name.as_str()).collect(),
            _ => room.bins.iter().map(|bin| bin.name.as_str()).collect(),
        };
        // A name may hold a slash itself: the longest that fits is meant.
        let fits = |name: &&str| {
            rest.strip_prefix(*name).is_some_and(|cycle| cycle.is_empty() || cycle.starts_with('/'))
        };
        let name = names.into_iter().filter(fits).max_by_key(|name| name.len()).map(str::to_owned);
        let subject = name.map(if kind == NudgeKind::Plant { Subject::Plot } else { Subject::Bin });
        Some(Self { key: key.to_owned(), kind, subject, open })
    }

    /// Whether it is a person's turn to do it.
    pub(super) fn is_turn_of(&self, room: &Room, person: &str, now: DateTime<Utc>) -> bool {
        room.turn_for(&self.key, self.kind.effort(), now).is_some_and(|theirs| theirs.id == person)
    }

    /// The bin that it is about.
    pub(super) fn bin(&self) -> Option<&String> {
        match &self.subject {
            Some(Subject::Bin(bin)) => Some(bin),
            _ => None,
        }
    }
}

impl Answering {
    /// Of these nudges those that are open; all where none is. None where there are no nudges.
    pub fn of(items: Vec<Item>, plainly: bool) -> Option<Self> {
        let open: Vec<Item> = items.iter().filter(|item| item.open).cloned().collect();
        let items = if open.is_empty() { items } else { open };
        (!items.is_empty()).then_some(Self { items, plainly })
    }

    /// In a shared room: of these nudges those that were put to a person, or that they took.
    #[must_use]
    pub fn put_to(self, room: &Room, person: &str, now: DateTime<Utc>) -> Option<Self> {
        let was_given = |key: &str| room.asked(key) == Some(person) || room.has_taken(person, key);
        let is_theirs = |item: &Item| was_given(&item.key) && item.is_turn_of(room, person, now);
        let items = self.items.into_iter().filter(|item| item.open && is_theirs(item)).collect();
        Self::of(items, self.plainly)
    }

    /// The work that a person means who speaks to us: what waits for them, or else all that is due.
    pub fn due(room: &Room, person: &str, now: DateTime<Utc>) -> Option<Self> {
        let waiting = waiting_for(room, person, now);
        Self::to(room, &waiting, false).or_else(|| Self::all_due(room, now, false))
    }

    /// All work that is due, as it is said when somebody asks whose turn it is.
    pub fn all_due(room: &Room, now: DateTime<Utc>, plainly: bool) -> Option<Self> {
        Self::to(room, &due_work(room, now), plainly)
    }

    fn to(room: &Room, work: &[Nudge], plainly: bool) -> Option<Self> {
        let items = work.iter().filter_map(|nudge| Item::of_key(room, &nudge.key.0, true));
        Self::of(items.collect(), plainly)
    }

    /// Whether anything of it can be done: a digest only tells, and silence only asks.
    pub(super) fn asks_for_work(&self) -> bool {
        self.items.iter().any(|item| !matches!(item.kind, NudgeKind::Idle | NudgeKind::Digest))
    }

    /// The only one.
    pub(super) fn only(&self) -> Option<&Item> {
        match &self.items[..] {
            [only] => Some(only),
            _ => None,
        }
    }

    /// The one of a kind; none where there are several, or none.
    pub(super) fn of_kind(&self, kind: NudgeKind) -> Option<&Item> {
        let mut of_kind = self.items.iter().filter(|item| item.kind == kind);
        of_kind.next().filter(|_| of_kind.next().is_none())
    }

    /// The nudge that such a fact answers: the one that asks for it, or in a plain reply the only one there is.
    pub(super) fn for_fact(&self, fact: FactKind) -> Option<&Item> {
        let asking = asking_for(fact).and_then(|kind| self.of_kind(kind));
        asking.or_else(|| self.only().filter(|_| self.plainly))
    }

    /// The kind of which a short answer speaks: an amount is liquid where any of them asks for draining.
    pub(super) fn kind(&self) -> Option<NudgeKind> {
        let drain = self.items.iter().find(|item| item.kind == NudgeKind::Drain);
        drain.or(self.items.first()).map(|item| item.kind)
    }
}

/// The nudge that asks for such a fact.
fn asking_for(fact: FactKind) -> Option<NudgeKind> {
    Some(match fact {
        FactKind::Drained => NudgeKind::Drain,
        FactKind::Bran => NudgeKind::Bran,
        FactKind::Sealed => NudgeKind::Seal,
        FactKind::Checked => NudgeKind::Check,
        FactKind::Buried => NudgeKind::Bury,
        _ => return None,
    })
}
