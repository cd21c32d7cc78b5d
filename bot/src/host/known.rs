//! A room as it is known in memory: the fold of its facts, kept so that a further fact costs the same however many there are.

use anyhow::{Context, Result};
use branbell_scheduler::fact::Fact;
use branbell_scheduler::state::Room;
use branbell_store::{FactRow, NewFact, Store};
use chrono::{DateTime, Utc};

use super::instant;

/// A room as it is known.
#[derive(Default)]
pub(super) struct Known {
    /// The room.
    pub(super) room: Room,
    /// The place in the log of its last fact.
    pub(super) last_seq: i64,
    /// When its first fact was told.
    pub(super) opened: Option<DateTime<Utc>>,
    loaded: bool,
}

impl Known {
    /// Reads the room's facts, where they are not known yet.
    pub(super) async fn load<S: Store>(&mut self, store: &S, room: &str) -> Result<()> {
        if self.loaded {
            return Ok(());
        }
        let facts: Vec<Fact> = store.facts(room, 0).await?.into_iter().map(fact).collect::<Result<_>>()?;
        self.last_seq = facts.last().map_or(0, |fact| fact.seq);
        self.opened = facts.first().map(|fact| fact.told);
        self.room = Room::fold(&facts);
        self.loaded = true;
        Ok(())
    }

    /// Takes facts in that are about to be kept.
    pub(super) fn apply(&mut self, facts: &[NewFact]) -> Result<()> {
        for new in facts {
            let NewFact { event, author, at, told, body } = new.clone();
            let fact = fact(FactRow { seq: self.last_seq + 1, event, author, at, told, body })?;
            self.room.apply(&fact);
            self.last_seq = fact.seq;
            self.opened.get_or_insert(fact.told);
        }
        Ok(())
    }

    /// What was taken in was not kept: read all anew next time.
    pub(super) fn forget(&mut self) {
        *self = Self::default();
    }
}

/// A fact of the store, understood.
pub(crate) fn fact(row: FactRow) -> Result<Fact> {
    let what =
        serde_json::from_value(row.body).with_context(|| format!("fact {} cannot be read", row.seq))?;
    Ok(Fact {
        seq: row.seq,
        event: row.event,
        author: row.author,
        at: instant(row.at),
        told: instant(row.told),
        what,
    })
}
