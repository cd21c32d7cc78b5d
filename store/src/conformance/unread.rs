//! Messages that wait for their key.

use super::{Outcome, event, fact};
use crate::{MOST_UNREAD, Record, Recorded, Store};

/// A message that cannot be decrypted is kept and counts as taken in; when its key comes it is read, once.
pub async fn reads_a_message_when_its_key_comes(store: impl Store) -> Outcome {
    let sealed = Record { unread: Some("{\"c\":1}".to_owned()), ..event("kitchen", "a", 0) };
    assert_eq!(store.record(&sealed).await?, Recorded::Kept);
    assert_eq!(store.record(&sealed).await?, Recorded::Seen);
    assert_eq!(store.unread("kitchen").await?, [("a".to_owned(), "{\"c\":1}".to_owned())]);
    assert!(!store.seen("kitchen", "a").await?);
    store.record(&event("kitchen", "b", 0)).await?;
    let readable = Record { facts: vec![fact("a", 1)], ..event("kitchen", "a", 0) };
    assert_eq!(store.record(&readable).await?, Recorded::Kept);
    assert_eq!(store.record(&readable).await?, Recorded::Seen);
    assert_eq!(store.unread("kitchen").await?, []);
    assert_eq!(store.facts("kitchen", 0).await?.len(), 1);
    assert_eq!(store.last_event("kitchen").await?.as_deref(), Some("b"), "it is still an old message");
    Ok(())
}

/// A message that is deleted before its key comes leaves nothing behind, and is not read any more.
pub async fn drops_what_was_deleted_unread(store: impl Store) -> Outcome {
    let sealed = |name: &str| Record { unread: Some("{}".to_owned()), ..event("kitchen", name, 0) };
    store.record(&sealed("a")).await?;
    store.record(&sealed("b")).await?;
    store.record(&Record { deleted: Some("a".to_owned()), ..event("kitchen", "c", 0) }).await?;
    assert_eq!(store.unread("kitchen").await?, [("b".to_owned(), "{}".to_owned())]);
    assert!(store.seen("kitchen", "a").await?);
    assert_eq!(store.record(&event("kitchen", "a", 0)).await?, Recorded::Seen);
    Ok(())
}

/// Nobody fills the store with what cannot be read: what comes beyond the most that are kept is taken in all the same.
pub async fn keeps_so_many_unread_messages_of_a_room(store: impl Store) -> Outcome {
    let sealed = |room, name: &str| Record { unread: Some("{}".to_owned()), ..event(room, name, 0) };
    for place in 0..=MOST_UNREAD {
        assert_eq!(store.record(&sealed("kitchen", &place.to_string())).await?, Recorded::Kept);
    }
    assert_eq!(store.unread("kitchen").await?.len(), MOST_UNREAD as usize);
    assert!(store.seen("kitchen", &MOST_UNREAD.to_string()).await?);
    store.record(&sealed("cellar", "a")).await?;
    assert_eq!(store.unread("cellar").await?.len(), 1, "each room has its own");
    Ok(())
}
