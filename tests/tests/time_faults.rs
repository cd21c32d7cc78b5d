//! The clock of the machine is wrong, or the machine slept: nothing is doubled, nothing storms, nothing waits for a time that
//! will not come. Zones that change their rules, and days that other years do not have, are in `seasons/`.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::sync::Mutex;

use branbell::chat::{Deed, Incoming, Message, Person, RoomInfo, Saying};
use branbell::host::Host;
use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_scheduler::fact::Units;
use branbell_store::{NudgeRow, Outgoing, Record, Recorded, SqliteStore, Store};
use chrono::{DateTime, TimeDelta, Utc};
use proptest::prelude::*;

/// A chat that keeps what it is sent, while the line is up.
#[derive(Default)]
struct Chat {
    down: Mutex<bool>,
    heard: Mutex<Vec<(String, Message)>>,
}

impl Outlet for Chat {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        if *self.down.lock().unwrap() {
            return Err(SendError::Retry { reason: "the line is down".to_owned(), after: None });
        }
        if let Saying::Message(message) = serde_json::from_value(row.body.clone()).unwrap() {
            self.heard.lock().unwrap().push((row.txn.clone(), message));
        }
        Ok(format!("${}", row.txn))
    }
}

/// One kitchen and its bot.
struct Kitchen {
    host: Host<SqliteStore>,
    store: SqliteStore,
    chat: Chat,
    said: u32,
}

impl Kitchen {
    /// With six litres in one bin, and the bran for them.
    async fn new() -> Self {
        let store = SqliteStore::in_memory().await.unwrap();
        let host = Host::new(store.clone());
        let people = vec![Person { id: "@ana:here".to_owned(), name: "Ana".to_owned(), steward: true }];
        let zone = chrono_tz::Tz::Europe__Vienna;
        let info = RoomInfo { room: "!kitchen".to_owned(), direct: true, zone, units: Units::Metric, people };
        host.open(&info, start()).await.unwrap();
        let mut kitchen = Self { host, store, chat: Chat::default(), said: 0 };
        kitchen.say("new bin green, 19 litres", start(), start()).await;
        kitchen.say("added 6 litres and 8 tbsp bran", start(), start()).await;
        kitchen.hears(start()).await;
        kitchen
    }

    /// Something is said at one time by the homeserver's clock, and at another by ours.
    async fn say(&mut self, text: &str, sent: DateTime<Utc>, now: DateTime<Utc>) -> String {
        self.said += 1;
        let event = format!("$said{}", self.said);
        let deed = Deed::Say { text: text.to_owned(), reply_to: None };
        let (room, sender) = ("!kitchen".to_owned(), "@ana:here".to_owned());
        let incoming =
            Incoming { room, event: event.clone(), sender, sent, direct: true, thread: None, deed };
        self.host.take(&incoming, now).await.unwrap();
        event
    }

    /// What is heard when the bot looks at its clock.
    async fn hears(&self, now: DateTime<Utc>) -> Vec<(String, String)> {
        self.host.deliver(&self.chat, now).await.unwrap();
        let heard = std::mem::take(&mut *self.chat.heard.lock().unwrap());
        heard.into_iter().map(|(txn, message)| (txn, message.text)).collect()
    }
}

fn start() -> DateTime<Utc> {
    "2027-03-01T09:00:00Z".parse().unwrap()
}

/// After a week asleep one message says what is to be done now; what nobody can do any more is left out.
#[tokio::test]
async fn a_week_asleep_ends_in_one_message() {
    let mut kitchen = Kitchen::new().await;
    let awake = start() + TimeDelta::days(7);
    let heard = kitchen.hears(awake).await;
    insta::assert_debug_snapshot!(heard);
    assert_eq!(kitchen.hears(awake + TimeDelta::minutes(5)).await, []);

    // What was said meanwhile counts for when it was said.
    let event = kitchen.say("drained 150 ml", start() + TimeDelta::days(2), awake).await;
    let heard = kitchen.hears(awake + TimeDelta::minutes(6)).await;
    assert_eq!(heard[0].0, format!("reply:{event}"));
    assert!(heard[0].1.starts_with("150 ml drained from green"), "{heard:?}");
}

/// A clock that was a year ahead, and is put right: what was said then is said once, and the next cycle comes in its time.
#[tokio::test]
async fn a_clock_put_back_doubles_nothing_and_silences_nothing() {
    let mut kitchen = Kitchen::new().await;
    let ahead = start() + TimeDelta::days(365);
    let mut heard = kitchen.hears(ahead).await;
    heard.extend(kitchen.hears(start() + TimeDelta::hours(1)).await);
    for hour in 1..72 {
        heard.extend(kitchen.hears(start() + TimeDelta::hours(hour)).await);
    }
    let drained = start() + TimeDelta::days(3);
    kitchen.say("drained 200 ml", drained, drained).await;
    kitchen.say("added 3 litres and 4 tbsp bran", drained, drained).await;
    for hour in 0..96 {
        heard.extend(kitchen.hears(drained + TimeDelta::hours(hour)).await);
    }
    let mut said: Vec<&str> = heard.iter().map(|(txn, _)| txn.as_str()).collect();
    assert!(said.contains(&"nudge:drain/green/1/2:1"), "{said:#?}");
    said.sort_unstable();
    let count = said.len();
    said.dedup();
    assert_eq!(said.len(), count, "{heard:#?}");
}

/// What goes on between two looks at a clock that jumps.
#[derive(Clone, Copy, Debug)]
enum Step {
    /// So many minutes pass.
    Passes(i64),
    /// The clock is off by so many minutes from now on.
    IsOff(i64),
    /// Somebody logs.
    Logs,
}

fn step() -> impl Strategy<Value = Step> {
    let month = 30 * 24 * 60_i64;
    prop_oneof![
        4 => (1..3 * 24 * 60_i64).prop_map(Step::Passes),
        2 => (-month..month).prop_map(Step::IsOff),
        1 => (-90..90_i64).prop_map(Step::IsOff),
        1 => Just(Step::IsOff(0)),
        2 => Just(Step::Logs),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    /// Wherever a clock jumps, forwards and back and again: nothing is said twice, every log counts once, and once the clock
    /// is right the next cycle's nudge comes in its time.
    #[test]
    fn a_clock_that_jumps_doubles_nothing_and_silences_nothing(steps in prop::collection::vec(step(), 1..25)) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async {
            let mut kitchen = Kitchen::new().await;
            let (mut now, mut off, mut logs) = (start(), TimeDelta::zero(), 1);
            let mut heard = Vec::new();
            for step in steps {
                match step {
                    Step::Passes(minutes) => now += TimeDelta::minutes(minutes),
                    Step::IsOff(minutes) => off = TimeDelta::minutes(minutes),
                    Step::Logs => {
                        kitchen.say("added 500 ml and 1 tbsp bran", now, now + off).await;
                        logs += 1;
                    }
                }
                heard.extend(kitchen.hears(now + off).await);
            }
            now += TimeDelta::hours(1);
            let drained = kitchen.say("drained 200 ml", now, now).await;
            kitchen.say("added 3 litres and 4 tbsp bran", now, now).await;
            heard.extend(kitchen.hears(now).await);
            let answered = heard.iter().position(|(txn, _)| *txn == format!("reply:{drained}")).unwrap();
            for hour in 0..24 * 8 {
                heard.extend(kitchen.hears(now + TimeDelta::hours(hour)).await);
            }
            let nudged = heard[answered..].iter().any(|(txn, _)| txn.starts_with("nudge:drain/green/"));
            assert!(nudged, "{heard:#?}");
            let facts = kitchen.store.facts("!kitchen", 0).await.unwrap();
            let scraps = facts.iter().filter(|fact| fact.body["kind"] == "scraps").count();
            assert_eq!(scraps, logs + 1);
            let mut said: Vec<&str> = heard.iter().map(|(txn, _)| txn.as_str()).collect();
            said.sort_unstable();
            let count = said.len();
            said.dedup();
            assert_eq!(said.len(), count, "{heard:#?}");
        });
    }
}

/// A bot that was brought up to date has newer rules of its zone than the one that planned: what was planned by the old ones, an
/// hour off, is said once, at its time by the new ones, or as soon as it is looked at.
#[tokio::test]
async fn rules_of_a_zone_that_change_double_nothing_and_move_what_was_planned() {
    for off in [TimeDelta::hours(-1), TimeDelta::hours(1)] {
        let kitchen = Kitchen::new().await;
        let rows = kitchen.store.open_nudges("!kitchen").await.unwrap();
        let drain = rows.into_iter().find(|row| row.key.starts_with("drain/")).unwrap();
        let by_new_rules = DateTime::from_timestamp_millis(drain.next_at.unwrap()).unwrap();
        let planned = by_new_rules + off;
        let after = kitchen.store.facts("!kitchen", 0).await.unwrap().last().unwrap().seq;
        let (due, next_at) = (planned.timestamp_millis(), Some(planned.timestamp_millis()));
        let nudges = vec![NudgeRow { due, next_at, ..drain }];
        let record = Record { room: "!kitchen".to_owned(), after, nudges, ..Record::default() };
        assert_eq!(kitchen.store.record(&record).await.unwrap(), Recorded::Kept);

        let mut heard = Vec::new();
        for quarter in -8..12 {
            let now = by_new_rules + TimeDelta::minutes(15 * quarter);
            heard.extend(kitchen.hears(now).await.into_iter().map(|(_, text)| (now, text)));
        }
        let [(said, text)] = &heard[..] else { panic!("{heard:#?}") };
        assert!(text.starts_with("Drain green"), "{text}");
        assert_eq!(*said, by_new_rules.max(planned), "{off}");
    }
}

/// What could not be sent while the clock was ahead is not put off until that time comes.
#[tokio::test]
async fn what_was_put_off_by_a_wrong_clock_goes_when_it_is_right() {
    let mut kitchen = Kitchen::new().await;
    *kitchen.chat.down.lock().unwrap() = true;
    let ahead = start() + TimeDelta::days(365);
    let event = kitchen.say("added two litres", start(), ahead).await;
    assert_eq!(kitchen.hears(ahead).await, []);
    *kitchen.chat.down.lock().unwrap() = false;
    let later = start() + TimeDelta::hours(1);
    let other = kitchen.say("help", later, later).await;
    let heard = kitchen.hears(later).await;
    let said: Vec<&str> = heard.iter().map(|(txn, _)| txn.as_str()).collect();
    let (first, second) = (format!("reply:{event}"), format!("reply:{other}"));
    let at = |txn: &str| said.iter().position(|said| *said == txn);
    assert!(at(&first).is_some() && at(&first) < at(&second), "{said:#?}");
}
