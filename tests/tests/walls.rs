//! A room is a wall: whatever is said in other rooms, a room keeps and says what it would keep and say alone.

#![allow(clippy::unwrap_used, reason = "what fails here fails the test")]

use std::sync::Mutex;

use branbell::chat::{Deed, Incoming, Person, RoomInfo};
use branbell::host::Host;
use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_scheduler::fact::Units;
use branbell_store::{Outgoing, SqliteStore, Store};
use chrono::{DateTime, TimeDelta, Utc};
use proptest::prelude::*;
use serde_json::Value;

const ROOMS: [&str; 3] = ["!kitchen", "!cellar", "!school"];

/// Among them names that are the same in each room, and ways to point out of the own one.
const TEXTS: [&str; 16] = [
    "new bin green, 19 litres",
    "new bin blue, 10 litres",
    "added 2 litres to green",
    "added 3 litres to blue",
    "no, 4 litres",
    "drained 100 ml",
    "sealed green",
    "undo",
    "status",
    "what is due?",
    "why?",
    "which bins do we have?",
    "remove the bin blue",
    "added 1 litre to green in !kitchen",
    "we are in Europe/Lisbon",
    "quiet from 21 to 9",
];

/// Something done in a room: a text, or an edit, a deletion, a tap or an answer on an event, which may be another room's.
#[derive(Clone, Debug)]
struct Act {
    room: usize,
    text: usize,
    kind: usize,
    on: usize,
}

/// Keeps what is sent.
#[derive(Default)]
struct Sent(Mutex<Vec<(String, String, Value)>>);

impl Outlet for Sent {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        self.0.lock().unwrap().push((row.room.clone(), row.txn.clone(), row.body.clone()));
        Ok(format!("$sent:{}:{}", row.room, row.txn))
    }
}

fn info(room: usize) -> RoomInfo {
    // The same person is in all of them.
    let people = vec![Person { id: "@ana:here".to_owned(), name: "Ana".to_owned(), steward: true }];
    let (zone, units) = (chrono_tz::Tz::Europe__Vienna, Units::Metric);
    RoomInfo { room: ROOMS[room].to_owned(), direct: true, zone, units, people }
}

fn incoming(place: usize, act: &Act, sent: DateTime<Utc>) -> Incoming {
    let text = TEXTS[act.text].to_owned();
    let of = format!("$said{}", act.on);
    let deed = match act.kind {
        0 => Deed::Edit { of, text },
        1 => Deed::Delete { of },
        2 => Deed::React {
            to: format!("$sent:{}:reply:{of}", ROOMS[act.on % ROOMS.len()]),
            key: "✅".to_owned(),
        },
        3 => Deed::Say { text, reply_to: Some(format!("$sent:{}:reply:{of}", ROOMS[act.on % ROOMS.len()])) },
        _ => Deed::Say { text, reply_to: None },
    };
    let (room, event) = (ROOMS[act.room].to_owned(), format!("$said{place}"));
    Incoming { room, event, sender: "@ana:here".to_owned(), sent, direct: true, thread: None, deed }
}

/// Plays what is done in these rooms, and days in which nudges come; gives what each room kept and what was said in it.
async fn play(acts: &[Act], rooms: &[usize]) -> Vec<(Vec<Value>, Vec<(String, Value)>)> {
    let store = SqliteStore::in_memory().await.unwrap();
    let host = Host::new(store.clone());
    let line = Sent::default();
    let start: DateTime<Utc> = "2027-03-01T09:00:00Z".parse().unwrap();
    for room in rooms {
        host.open(&info(*room), start).await.unwrap();
    }
    for (place, act) in acts.iter().enumerate() {
        let now = start + TimeDelta::hours(i64::try_from(place).unwrap() * 5);
        if rooms.contains(&act.room) {
            host.take(&incoming(place, act, now), now).await.unwrap();
        }
        host.deliver(&line, now).await.unwrap();
    }
    let sent = line.0.into_inner().unwrap();
    let mut all = Vec::new();
    for room in rooms {
        let name = ROOMS[*room];
        let facts = store.facts(name, 0).await.unwrap();
        let facts = facts.into_iter().map(|fact| serde_json::to_value(fact).unwrap()).collect();
        let said = sent.iter().filter(|(of, ..)| of == name);
        all.push((facts, said.map(|(_, txn, body)| (txn.clone(), body.clone())).collect()));
    }
    all
}

fn run<T>(future: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap().block_on(future)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, max_shrink_iters: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_room_notices_another(
        acts in proptest::collection::vec(
            (0..ROOMS.len(), 0..TEXTS.len(), 0..9_usize, 0..30_usize)
                .prop_map(|(room, text, kind, on)| Act { room, text, kind, on }),
            10..30,
        ),
    ) {
        let together = run(play(&acts, &[0, 1, 2]));
        for (room, among) in together.iter().enumerate() {
            let alone = run(play(&acts, &[room]));
            prop_assert_eq!(&alone[0], among);
        }
    }
}
