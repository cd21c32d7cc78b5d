//! Nothing is lost and nothing doubled: events come twice, answers get lost on the way, the program dies between any two of
//! its steps. Played in memory, with chance from proptest; `homeserver.rs` does the like on a real homeserver.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::collections::{BTreeMap, BTreeSet, HashMap};
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

/// Two bins in step: what is due for the one is due for the other, and both travel in one message.
const IN_STEP: [&str; 4] = [
    "new bin green, 19 litres",
    "new bin blue, 19 litres",
    "added 3 litres to green and 3 litres to blue, 5 tbsp bran in green and 5 tbsp bran in blue",
    "sealed green and blue",
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

fn said(texts: &[&str], place: usize) -> Incoming {
    Incoming {
        room: "!kitchen".to_owned(),
        event: format!("$said{place}"),
        sender: "@ana:here".to_owned(),
        sent: start() + TimeDelta::hours(i64::try_from(place).unwrap() * 10),
        direct: true,
        thread: None,
        deed: Deed::Say { text: texts[place].to_owned(), reply_to: None },
    }
}

/// What was said, with its transaction ids, and the facts that were kept.
type Played = (Vec<(String, Message)>, Vec<serde_json::Value>);

/// Plays the texts and nine days of nudges; before each step the program may be killed, and each event may come again.
async fn play(texts: &[&str], faults: Vec<Fault>, kills: &[bool], again: &[bool]) -> Played {
    let store = SqliteStore::in_memory().await.unwrap();
    let homeserver = Homeserver::default();
    let line = Line { homeserver: &homeserver, faults: Mutex::new(faults.into_iter()) };
    let mut host = Host::new(store.clone());
    let mut kills = kills.iter().copied().chain(std::iter::repeat(false));
    let mut now = start();
    for (place, comes_again) in again.iter().enumerate() {
        let incoming = said(texts, place);
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
    let end = now + TimeDelta::days(9);
    while let Some(next) = host.deliver(&line, now).await.unwrap().filter(|next| *next <= end) {
        rounds += 1;
        assert!(rounds < 200, "it does not come to rest: {next} at {now}");
        now = next.max(now);
        if kills.next().unwrap() {
            host = Host::new(store.clone());
        }
    }
    let facts = store.facts("!kitchen", 0).await.unwrap();
    (homeserver.events.into_inner().unwrap(), facts.into_iter().map(|fact| fact.body).collect())
}

fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(future)
}

#[test]
fn a_quiet_day_says_each_thing_once() {
    let (said, facts) = run(play(&TEXTS, Vec::new(), &[], &[false; TEXTS.len()]));
    for expected in ["greeting", "reply:$said0", "reply:$said6", "nudge:drain/green/1/2:1"] {
        assert_eq!(said.iter().filter(|(txn, _)| txn == expected).count(), 1, "{expected} in {said:#?}");
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
        faults in faults(),
        kills in proptest::collection::vec(any::<bool>(), 0..40),
        again in proptest::collection::vec(any::<bool>(), TEXTS.len()),
    ) {
        let calm = CALM.get_or_init(|| run(play(&TEXTS, Vec::new(), &[], &[false; TEXTS.len()])).1);
        let (said, facts) = run(play(&TEXTS, faults, &kills, &again));
        prop_assert_eq!(&facts, calm);
        let txns = txns(&said);
        prop_assert_eq!(txns.len(), said.len());
        for place in 0..TEXTS.len() {
            let txn = format!("reply:$said{place}");
            prop_assert!(txns.contains(txn.as_str()), "{} is missing", txn);
        }
    }

    /// Nudges that travel together: whatever goes wrong on the way, each is said, none more often than three times.
    #[test]
    fn faults_tear_no_bundle(
        faults in faults(),
        kills in proptest::collection::vec(any::<bool>(), 0..40),
    ) {
        let (calm, _) = run(play(&IN_STEP, Vec::new(), &[], &[false; IN_STEP.len()]));
        prop_assert!(calm.iter().any(|(_, message)| message.nudges.len() > 1), "nothing travels together");
        let (said, _) = run(play(&IN_STEP, faults, &kills, &[false; IN_STEP.len()]));
        prop_assert_eq!(txns(&said).len(), said.len());
        let (calm, times) = (times_said(&calm), times_said(&said));
        prop_assert!(calm.keys().eq(times.keys()), "{:?} and {:?}", calm, times);
        prop_assert!(times.values().all(|times| *times <= 3), "{:?}", times);
    }
}

fn faults() -> impl Strategy<Value = Vec<Fault>> {
    let fault = prop_oneof![3 => Just(Fault::None), 1 => Just(Fault::Lost), 1 => Just(Fault::Unanswered)];
    proptest::collection::vec(fault, 0..40)
}

/// The transaction ids, each once.
fn txns(said: &[(String, Message)]) -> BTreeSet<&str> {
    said.iter().map(|(txn, _)| txn.as_str()).collect()
}

/// How often each nudge was said.
fn times_said(said: &[(String, Message)]) -> BTreeMap<String, usize> {
    let mut times = BTreeMap::new();
    for nudge in said.iter().flat_map(|(_, message)| &message.nudges) {
        *times.entry(nudge["key"].as_str().unwrap().to_owned()).or_default() += 1;
    }
    times
}
