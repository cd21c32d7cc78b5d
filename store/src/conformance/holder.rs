//! One account, several processes: which of them serves it.

use super::{Outcome, event, fact, row};
use crate::{Record, Recorded, Store, StoreError, Taken};

/// While one process serves the account another can look, but neither write nor claim; it can only ask to take over.
pub async fn serves_an_account_from_one_process(one: impl Store, other: impl Store) -> Outcome {
    let record = Record { outbox: vec![row("t1")], ..event("kitchen", "a", 0) };
    assert_eq!(one.record(&record).await?, Recorded::Kept, "who writes first serves");
    assert_eq!(one.take(None).await?, Taken::Ours);
    assert!(other.seen("kitchen", "a").await?);
    let held = |outcome: Result<(), StoreError>| {
        assert!(matches!(outcome, Err(StoreError::Held { .. })), "{outcome:?}");
    };
    held(other.record(&event("kitchen", "b", 0)).await.map(drop));
    held(other.outbox(1_000, 10).await.map(drop));
    held(other.due_rooms(1_000, 10).await.map(drop));
    held(other.sent(1, "$1").await);
    held(other.confirm().await);
    held(other.beat().await);
    assert!(matches!(other.take(None).await?, Taken::Others(_)));
    assert!(!one.seen("kitchen", "b").await?);
    assert_eq!(one.outbox(1_000, 10).await?.len(), 1);
    one.confirm().await
}

/// When the process that serves ends, another can take over at once.
pub async fn hands_over_when_its_holder_is_gone(one: impl Store, other: impl Store) -> Outcome {
    one.record(&event("kitchen", "a", 0)).await?;
    assert!(matches!(other.take(None).await?, Taken::Others(_)));
    drop(one);
    // A server learns of it by itself, in its own time.
    while other.take(None).await? != Taken::Ours {
        tokio::task::yield_now().await;
    }
    assert_eq!(other.record(&event("kitchen", "b", 0)).await?, Recorded::Kept);
    assert!(other.seen("kitchen", "a").await?);
    Ok(())
}

/// A process that was paused for so long that another took over can write, claim and send nothing when it comes back, and
/// is told so by an error of its own.
pub async fn shuts_out_whoever_was_taken_for_gone(one: impl Store, other: impl Store) -> Outcome {
    let record = Record { facts: vec![fact("a", 1)], outbox: vec![row("t1")], ..event("kitchen", "a", 0) };
    one.record(&record).await?;
    let seq = one.outbox(1_000, 10).await?[0].seq;
    let Taken::Others(silent) = other.take(None).await? else { panic!("it is served") };
    assert_eq!(other.take(Some(silent)).await?, Taken::Ours);

    let lost = |outcome: Result<(), StoreError>| assert!(outcome.is_err_and(|error| error.is_lost()));
    lost(one.record(&event("kitchen", "b", 1)).await.map(drop));
    lost(one.sent(seq, "$stale").await);
    lost(one.put_off(seq, 9_000).await);
    lost(one.give_up(seq, "stale").await);
    lost(one.echoed("kitchen", "t1", "$stale").await);
    lost(one.outbox(1_000, 10).await.map(drop));
    lost(one.due_rooms(1_000, 10).await.map(drop));
    lost(one.confirm().await);
    lost(one.beat().await);
    lost(one.take(None).await.map(drop));

    let rows = other.outbox(1_000, 10).await?;
    assert_eq!((rows.len(), rows[0].tries), (1, 0), "nothing of it was kept");
    assert!(!other.seen("kitchen", "b").await?);
    assert_eq!(other.record(&event("kitchen", "b", 1)).await?, Recorded::Kept);
    other.sent(seq, "$1").await?;
    other.beat().await
}

/// A lease that was answered meanwhile is no proof that its holder is gone.
pub async fn keeps_an_account_whose_holder_answers(one: impl Store, other: impl Store) -> Outcome {
    one.record(&event("kitchen", "a", 0)).await?;
    let Taken::Others(first) = other.take(None).await? else { panic!("it is served") };
    one.beat().await?;
    let Taken::Others(second) = other.take(Some(first)).await? else { panic!("it answered") };
    assert_ne!(second, first);
    // Nobody asked since the last answer was given but this one: an answer is written for it.
    one.beat().await?;
    assert!(matches!(other.take(Some(second)).await?, Taken::Others(_)));
    one.confirm().await
}
