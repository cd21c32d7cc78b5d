//! The life of a nudge, from planned to answered.
//!
//! ```text
//!            due                     a day later, at most MOST_SENDS in all
//! Planned ─────────► Sent ─┐◄──────────────────────────────┐
//!    ▲  │             │  └─┴───────────────────────────────┘
//!    │  │ not planned │ not planned any more    answered by a person
//!    │  ▼ any more    ▼                             │
//!    └── Settled ◄────┘            Sent, Planned ───┴──► Answered (for good)
//!     planned again
//! ```
//!
//! The plan says what is to be said and when; this says what becomes of the rows that remember it. All of it is pure.

use std::collections::BTreeMap;

use branbell_store::{Millis, NudgeRow, NudgeState};

/// A nudge is sent this often at most by itself; then it is left to the digest.
pub const MOST_SENDS: i64 = 3;

/// An unanswered nudge is repeated after a day: most work on a bin is done once a day, so sooner would nag.
pub const REPEAT_AFTER: Millis = 24 * 60 * 60 * 1_000;

/// What the plan wants of one nudge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Kind, subject and cycle.
    pub key: String,
    /// When it is due by the model.
    pub due: Millis,
    /// When it may be sent: `due`, held through quiet hours; none while nobody is there to hear it.
    pub send_at: Option<Millis>,
    /// Whether it is said again when nobody answers.
    pub repeats: bool,
}

/// The rows that change when the facts changed: `known` are the open rows, and the closed ones among the wanted.
pub fn reconcile(wanted: &[Wanted], known: &[NudgeRow], now: Millis) -> Vec<NudgeRow> {
    let by_key: BTreeMap<&str, &NudgeRow> = known.iter().map(|row| (row.key.as_str(), row)).collect();
    let dropped = known.iter().filter(|row| is_open(row) && wanted.iter().all(|nudge| nudge.key != row.key));
    let settled = dropped.map(|row| NudgeRow { state: NudgeState::Settled, next_at: None, ..row.clone() });
    let planned =
        wanted.iter().filter_map(|nudge| planned(nudge, by_key.get(nudge.key.as_str()).copied(), now));
    settled.chain(planned).collect()
}

/// What becomes of a wanted nudge's row; none where nothing changes.
fn planned(nudge: &Wanted, row: Option<&NudgeRow>, now: Millis) -> Option<NudgeRow> {
    let fresh = NudgeRow {
        key: nudge.key.clone(),
        state: NudgeState::Planned,
        attempts: 0,
        due: nudge.due,
        next_at: nudge.send_at,
    };
    let changed = match row {
        None => fresh,
        Some(row) => match row.state {
            NudgeState::Planned => fresh,
            NudgeState::Settled if row.attempts == 0 => fresh,
            // It was said already, and what answered it was taken back: a day's grace, then it is said again.
            NudgeState::Settled => NudgeRow {
                state: NudgeState::Sent,
                next_at: again(nudge, row.attempts, Some(now + REPEAT_AFTER)),
                ..row.clone()
            },
            NudgeState::Sent | NudgeState::Answered => return None,
        },
    };
    (row != Some(&changed)).then_some(changed)
}

/// The row after its nudge was sent now; it is repeated at `repeat_at`, a day later and held like the first time.
pub fn sent(nudge: &Wanted, row: &NudgeRow, repeat_at: Option<Millis>) -> NudgeRow {
    let attempts = row.attempts + 1;
    let next_at = again(nudge, attempts, repeat_at);
    NudgeRow { state: NudgeState::Sent, attempts, due: nudge.due, next_at, ..row.clone() }
}

fn again(nudge: &Wanted, attempts: i64, at: Option<Millis>) -> Option<Millis> {
    at.filter(|_| nudge.repeats && attempts < MOST_SENDS)
}

/// The row of a nudge that a person put off.
pub fn put_off(row: &NudgeRow, until: Millis) -> NudgeRow {
    NudgeRow { next_at: Some(until), ..row.clone() }
}

/// The row of a nudge that a person answered for good.
pub fn answered(row: &NudgeRow) -> NudgeRow {
    NudgeRow { state: NudgeState::Answered, next_at: None, ..row.clone() }
}

fn is_open(row: &NudgeRow) -> bool {
    matches!(row.state, NudgeState::Planned | NudgeState::Sent)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wanted(due: Millis) -> Wanted {
        Wanted { key: "drain/green/1/0".to_owned(), due, send_at: Some(due + 5), repeats: true }
    }

    fn one(rows: Vec<NudgeRow>) -> NudgeRow {
        assert_eq!(rows.len(), 1, "{rows:?}");
        rows.into_iter().next().unwrap()
    }

    #[test]
    fn is_planned_once_and_moved_while_unsent() {
        let row = one(reconcile(&[wanted(100)], &[], 0));
        assert_eq!((row.state, row.next_at), (NudgeState::Planned, Some(105)));
        assert_eq!(reconcile(&[wanted(100)], std::slice::from_ref(&row), 0), []);
        let moved = one(reconcile(&[wanted(200)], &[row], 0));
        assert_eq!((moved.due, moved.next_at), (200, Some(205)));
    }

    #[test]
    fn is_said_three_times_at_most() {
        let mut row = one(reconcile(&[wanted(100)], &[], 0));
        for attempt in 1..=MOST_SENDS {
            row = sent(&wanted(100), &row, Some(100 + attempt * REPEAT_AFTER));
            assert_eq!(row.next_at.is_some(), attempt < MOST_SENDS);
        }
        let once = Wanted { repeats: false, ..wanted(100) };
        assert_eq!(sent(&once, &one(reconcile(std::slice::from_ref(&once), &[], 0)), Some(9)).next_at, None);
    }

    #[test]
    fn is_not_moved_by_the_plan_once_sent() {
        let row = sent(&wanted(100), &one(reconcile(&[wanted(100)], &[], 0)), Some(900));
        assert_eq!(reconcile(&[wanted(300)], &[row], 0), []);
    }

    #[test]
    fn settles_when_no_longer_wanted_and_comes_back_when_it_is() {
        let unsent = one(reconcile(&[wanted(100)], &[], 0));
        let settled = one(reconcile(&[], std::slice::from_ref(&unsent), 0));
        assert_eq!((settled.state, settled.next_at), (NudgeState::Settled, None));
        assert_eq!(reconcile(&[], std::slice::from_ref(&settled), 0), []);
        assert_eq!(one(reconcile(&[wanted(100)], &[settled], 0)), unsent);

        let said = one(reconcile(&[], &[sent(&wanted(100), &unsent, Some(900))], 0));
        let back = one(reconcile(&[wanted(100)], &[said], 1_000));
        assert_eq!((back.state, back.attempts), (NudgeState::Sent, 1), "a sent one is not forgotten");
        assert_eq!(back.next_at, Some(1_000 + REPEAT_AFTER));
    }

    #[test]
    fn stays_answered() {
        let row = answered(&one(reconcile(&[wanted(100)], &[], 0)));
        assert_eq!(row.next_at, None);
        assert_eq!(reconcile(&[wanted(100)], std::slice::from_ref(&row), 0), []);
        assert_eq!(reconcile(&[], &[row], 0), []);
    }

    #[test]
    fn comes_again_when_put_off_even_after_the_last_time() {
        let mut row = one(reconcile(&[wanted(100)], &[], 0));
        for _ in 0..MOST_SENDS {
            row = sent(&wanted(100), &row, Some(900));
        }
        assert_eq!(put_off(&row, 5_000).next_at, Some(5_000));
    }
}
