//! What every store must do, whatever its engine. A store's own test calls `conformance!` with a way to make a fresh one.

#![expect(
    clippy::missing_errors_doc,
    clippy::missing_panics_doc,
    reason = "each is a test: it fails with what it found"
)]

mod holder;
mod outbox;
mod rooms;
mod taking_in;
mod unread;

use serde_json::json;

pub use holder::*;
pub use outbox::*;
pub use rooms::*;
pub use taking_in::*;
pub use unread::*;

use crate::{NewFact, NewOutgoing, NudgeRow, NudgeState, Record, StoreError};

/// Makes a test of each behaviour, on a store that `$make` (an async expression) gives, and of each that concerns several
/// processes, on the two handles of one store that `$pair` gives, each as a process of its own would have it.
#[macro_export]
macro_rules! conformance {
    ($make:expr, $pair:expr) => {
        $crate::conformance!(@pair $pair;
            serves_an_account_from_one_process, hands_over_when_its_holder_is_gone,
            shuts_out_whoever_was_taken_for_gone, keeps_an_account_whose_holder_answers);
        $crate::conformance!(@each $make;
            takes_an_event_once, keeps_all_or_nothing, numbers_facts_by_room, refuses_to_be_overtaken,
            keeps_rooms_apart, sends_in_order_and_once, holds_a_room_back_behind_its_oldest_row,
            gives_each_room_its_turn,
            adds_a_transaction_once, recalls_what_went_out, wakes_for_what_is_next, changes_nudges_in_place, asks_one_question_a_person,
            reads_a_message_when_its_key_comes, drops_what_was_deleted_unread, keeps_so_many_unread_messages_of_a_room,
            lets_records_of_a_room_follow_each_other, keeps_every_text,
            sorts_by_bytes, gives_a_room_another_id, claims_the_longest_due_first, takes_a_room_elsewhere,
            rewrites_only_what_stands_as_it_was_seen, removes_one_room);
    };
    (@pair $pair:expr; $($name:ident),+) => {
        $(#[tokio::test]
        async fn $name() -> Result<(), $crate::StoreError> {
            let (one, other) = $pair;
            $crate::conformance::$name(one, other).await
        })+
    };
    (@each $make:expr; $($name:ident),+) => {
        $(#[tokio::test]
        async fn $name() -> Result<(), $crate::StoreError> {
            $crate::conformance::$name($make).await
        })+
    };
}

type Outcome = Result<(), StoreError>;

fn event(room: &str, event: &str, after: i64) -> Record {
    Record { room: room.to_owned(), event: Some(event.to_owned()), now: 1_000, after, ..Record::default() }
}

fn fact(event: &str, n: i64) -> NewFact {
    NewFact { event: event.to_owned(), author: "ana".to_owned(), at: n, told: n, body: json!({ "n": n }) }
}

fn row(txn: &str) -> NewOutgoing {
    NewOutgoing { txn: txn.to_owned(), cause: format!("because of {txn}"), body: json!({ "text": txn }) }
}

fn nudge(key: &str, next_at: Option<i64>) -> NudgeRow {
    NudgeRow { key: key.to_owned(), state: NudgeState::Planned, attempts: 0, due: 50, next_at }
}
