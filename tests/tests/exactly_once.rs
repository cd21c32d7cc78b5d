//! Nothing is lost and nothing doubled: events come twice, answers get lost on the way, the program dies between any two of
//! its steps. Played in memory, with chance from proptest; `homeserver.rs` does the like on a real homeserver.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::collections::HashMap;
use std::sync::Mutex;

use branbell::chat::{Deed, Incoming, Message, Person, RoomInfo, Saying};
use branbell::host::Host;
use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_scheduler::fact::Units;
use branbell_store::{Outgoing, SqliteStore, Store};
use chrono::{DateTime, TimeDelta, Utc};
use proptest::prelude::*;

/// What a homeserver keeps: a transaction id it has seen gets the event it became the first time.
#[derive(Default)]
struct Homeserver {
    events: Mutex<Vec<(String, Message)>>,
    seen: Mutex<HashMap<String, String>>,
}

/// A line to the homeserver on which things go wrong, as foreseen.
struct Line<'a> {
    homeserver: &'a Homeserver,
    faults: Mutex<std::vec::IntoIter<Fault>>,
}

/// What goes wrong with a send.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fault {
    /// Nothing.
    None,
    /// It does not arrive.
    Lost,
    /// It arrives, and the answer does not.
    Unanswered,
}

impl Outlet for Line<'_> {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        let fault = self.faults.lock().unwrap().next().unwrap_or(Fault::None);
        let down = || SendError::Retry { reason: "the line is down".to_owned(), after: None };
        if fault == Fault::Lost {
            return Err(down());
        }
        let event = format!("${}", row.txn);
        if self.homeserver.seen.lock().unwrap().insert(row.txn.clone(), event.clone()).is_none()
            && let Saying::Message(message) = serde_json::from_value(row.body.clone()).unwrap()
        {
            self.homeserver.events.lock().unwrap().push((row.txn.clone(), message));
        }
        if fault == Fault::Unanswered { Err(down()) } else { Ok(event) }
    }
}

const TEXTS: [&str; 7] = [
    "new bin green, 19 litres",
    "added three litres",
    "2 tbsp bran",
    "no, 4 litres",
    "added 2 litres",
    "drained 100 ml",
    "sealed it",
];

fn start() -> DateTime<Utc> {
    "2027-03-01T09:00:00Z".parse().unwrap()
}

fn room() -> RoomInfo {
    let people = vec![Person { id: "@ana:here".to_owned(), name: "Ana".to_owned(), steward: true }];
    RoomInfo {
        room: "!kitchen".to_owned(),
        direct: true,
        zone: chrono_tz::Tz::Europe__Vienna,
        units: Units::Metric,
        people,
    }
}

fn said(place: usize) -> Incoming {
    Incoming {
        room: "!kitchen".to_owned(),
        event: format!("$said{place}"),
        sender: "@ana:here".to_owned(),
        sent: start() + TimeDelta::hours(i64::try_from(place).unwrap() * 10),
        direct: true,
        deed: Deed::Say { text: TEXTS[place].to_owned(), reply_to: None },
    }
}

/// Plays the texts and four days of nudges; before each step the program may be killed, and each event may come again.
async fn play(faults: Vec<Fault>, kills: &[bool], again: &[bool]) -> (Vec<String>, Vec<serde_json::Value>) {
    let store = SqliteStore::in_memory().await.unwrap();
    let homeserver = Homeserver::default();
    let line = Line { homeserver: &homeserver, faults: Mutex::new(faults.into_iter()) };
    let mut host = Host::new(store.clone());
    let mut kills = kills.iter().copied().chain(std::iter::repeat(false));
    let mut now = start();
    for (place, comes_again) in again.iter().enumerate() {
        let incoming = said(place);
        now = incoming.sent;
        host.open(&room(), now).await.unwrap();
        host.take(&incoming, now).await.unwrap();
        if kills.next().unwrap() {
            // Killed between keeping and sending: the next process finds what is to be sent.
            host = Host::new(store.clone());
        }
        if *comes_again {
            host.take(&incoming, now).await.unwrap();
        }
        host.deliver(&line, now).await.unwrap();
        if kills.next().unwrap() {
            host = Host::new(store.clone());
            host.take(&incoming, now).await.unwrap();
        }
    }
    let mut rounds = 0;
    let end = now + TimeDelta::days(4);
    while let Some(next) = host.deliver(&line, now).await.unwrap().filter(|next| *next <= end) {
        rounds += 1;
        assert!(rounds < 200, "it does not come to rest: {next} at {now}");
        now = next.max(now);
        if kills.next().unwrap() {
            host = Host::new(store.clone());
        }
    }
    let facts = store.facts("!kitchen", 0).await.unwrap();
    let sent = homeserver.events.into_inner().unwrap();
    (
        sent.into_iter().map(|(txn, message)| format!("{txn}: {}", message.text)).collect(),
        facts.into_iter().map(|fact| fact.body).collect(),
    )
}

fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(future)
}

#[test]
fn a_quiet_day_says_each_thing_once() {
    let (said, facts) = run(play(Vec::new(), &[], &[false; TEXTS.len()]));
    for txn in ["greeting", "reply:$said0", "reply:$said6", "nudge:drain/green/1/2:1"] {
        assert_eq!(
            said.iter().filter(|line| line.starts_with(&format!("{txn}: "))).count(),
            1,
            "{txn} in {said:#?}"
        );
    }
    let scraps = facts.iter().filter(|fact| fact["kind"] == "scraps").count();
    assert_eq!(scraps, 3, "two lots, and one amended: {facts:#?}");
}

/// The facts of a day on which nothing goes wrong.
static CALM: std::sync::OnceLock<Vec<serde_json::Value>> = std::sync::OnceLock::new();

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, max_shrink_iters: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever goes wrong, the same facts are kept, and the same things said once each.
    #[test]
    fn faults_change_nothing(
        faults in proptest::collection::vec(prop_oneof![3 => Just(Fault::None), 1 => Just(Fault::Lost), 1 => Just(Fault::Unanswered)], 0..40),
        kills in proptest::collection::vec(any::<bool>(), 0..40),
        again in proptest::collection::vec(any::<bool>(), TEXTS.len()),
    ) {
        let calm = CALM.get_or_init(|| run(play(Vec::new(), &[], &[false; TEXTS.len()])).1);
        let (said, facts) = run(play(faults, &kills, &again));
        prop_assert_eq!(&facts, calm);
        let mut txns: Vec<&str> = said.iter().filter_map(|line| line.split(": ").next()).collect();
        let count = txns.len();
        txns.sort_unstable();
        txns.dedup();
        prop_assert_eq!(txns.len(), count);
        for place in 0..TEXTS.len() {
            let txn = format!("reply:$said{place}");
            prop_assert!(txns.contains(&txn.as_str()), "{} is missing", txn);
        }
    }
}
