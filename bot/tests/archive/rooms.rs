//! Rooms full of whatever people may have told.

use branbell::chat::{Message, Saying};
use branbell::voice::Text;
use branbell_scheduler::fact::{Food, Place, Setting, Signs, Smell, Units, Use, What};
use branbell_scheduler::quiet::Quiet;
use branbell_store::{EventRow, FactRow, NudgeRow, NudgeState, OutboxRow, QuestionRow, RoomRows, UnreadRow};
use proptest::collection::{btree_map, vec};
use proptest::option;
use proptest::prelude::*;
use serde_json::{Value, json};

pub(crate) const PERSON: &str = "@mira:example.org";
const PEOPLE: [&str; 3] = [PERSON, "@bo:example.org", "ana"];
pub(crate) const NAMES: [&str; 3] = ["Mira", "Alma & <Co>", "=Zoë\u{202E}"];

/// A name that people may give: formulas, marks, other scripts, line breaks.
fn name() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("green".to_owned()),
        Just("=HYPERLINK(\"x\")".to_owned()),
        Just("堆肥 ведро 🪣".to_owned()),
        "[ a-z=+@<&\\PC]{1,12}",
    ]
}

fn amount() -> impl Strategy<Value = f64> {
    prop_oneof![
        0.0..1e5,
        Just(0.1 + 0.2),
        Just(f64::MIN_POSITIVE),
        Just(-0.0),
        any::<f64>().prop_filter("JSON has no other", |n| n.is_finite())
    ]
}

fn what() -> impl Strategy<Value = What> {
    let foods = vec(prop_oneof![Just(Food::Fruit), Just(Food::Meat)], 0..3);
    prop_oneof![
        (name(), option::of(amount()), option::of(amount()), foods)
            .prop_map(|(bin, ml, g, foods)| What::Scraps { bin, ml, g, foods }),
        (name(), amount(), any::<bool>()).prop_map(|(bin, ml, estimated)| What::Drained {
            bin,
            ml,
            used: Some(Use::Plants),
            estimated
        }),
        name().prop_map(|bin| What::Checked {
            bin,
            signs: Signs { smell: Some(Smell::SweetSour), ..Signs::default() }
        }),
        (name(), amount()).prop_map(|(bin, c)| What::Temperature { place: Place::Bin(bin), c }),
        (name(), option::of(amount())).prop_map(|(bin, capacity_ml)| What::BinSet {
            bin,
            capacity_ml,
            tap: None
        }),
        (name(), option::of(amount())).prop_map(|(plot, area_m2)| What::PlotSet { plot, area_m2 }),
        (name(), 0.0..14.0).prop_map(|(plot, ph)| What::SoilPh { plot, ph }),
        name().prop_map(|bin| What::Sealed { bin }),
        vec(1_i64..30, 1..3).prop_map(|seqs| What::Void { seqs }),
        (0..NAMES.len()).prop_map(|name| What::Member {
            person: PERSON.to_owned(),
            name: NAMES[name].to_owned(),
            steward: true
        }),
        Just(What::Away { person: PERSON.to_owned(), until: None }),
        Just(What::Left { person: "@bo:example.org".to_owned() }),
        Just(What::Setting { setting: Setting::Quiet(Quiet::default()) }),
        Just(What::Opened { zone: chrono_tz::Tz::Europe__Vienna, units: Units::Metric, direct: false }),
    ]
}

fn author() -> impl Strategy<Value = String> {
    (0..PEOPLE.len()).prop_map(|person| PEOPLE[person].to_owned())
}

/// Instants from 1970 to 2100, in milliseconds.
fn instant() -> impl Strategy<Value = i64> {
    0_i64..4_102_444_800_000
}

prop_compose! {
    fn fact()(event in 0..20_usize, at in instant(), told in instant(), what in what()) -> FactRow {
        // A message is one person's.
        let author = PEOPLE[event % PEOPLE.len()].to_owned();
        let event = format!("${event}");
        FactRow { seq: 0, event, author, at, told, body: serde_json::to_value(what).unwrap() }
    }
}

fn nudge() -> impl Strategy<Value = (NudgeState, i64, i64, Option<i64>)> {
    let state = prop_oneof![
        Just(NudgeState::Planned),
        Just(NudgeState::Sent),
        Just(NudgeState::Settled),
        Just(NudgeState::Answered)
    ];
    (state, 0_i64..4, instant(), option::of(instant()))
}

fn message() -> impl Strategy<Value = Value> {
    let text = prop_oneof![
        name(),
        (0..NAMES.len())
            .prop_map(|name| format!("{}: drain green.", NAMES[name].trim_end_matches('\u{202E}')))
    ];
    (text, option::of(Just(PERSON.to_owned()))).prop_map(|(text, to)| {
        let message = Message {
            html: Text::of_words(&text).html(),
            text,
            to: to.into_iter().collect(),
            ..Message::default()
        };
        serde_json::to_value(Saying::Message(message)).unwrap()
    })
}

prop_compose! {
    fn outgoing()(
        cause in 0..20_u32, body in message(), created in instant(), tries in 0_i64..9, next_at in option::of(instant()),
        event in option::of("\\$[a-z]{3}"), failure in option::of(name()),
    ) -> OutboxRow {
        OutboxRow { txn: String::new(), cause: format!("${cause}"), body, created, tries, next_at, event, failure }
    }
}

fn question() -> impl Strategy<Value = (Value, i64)> {
    (name(), instant()).prop_map(|(text, until)| {
        let asked = json!({
            "lacking": "bin", "event": "$q", "sent": "2027-03-01T08:00:00Z", "choices": [], "sentences": [text],
            "until": "2027-03-02T08:00:00Z",
        });
        (asked, until)
    })
}

prop_compose! {
    /// All that a room may hold.
    pub(crate) fn room()(
        facts in vec(fact(), 0..25),
        events in btree_map("\\$[a-z]{4}", instant(), 0..9),
        nudges in btree_map(name(), nudge(), 0..6),
        questions in btree_map(author(), question(), 0..3),
        outbox in vec(outgoing(), 0..9),
        unread in btree_map("\\$[a-z]{4}", author(), 0..3),
    ) -> RoomRows {
        let facts = (1..).zip(facts).map(|(seq, fact)| FactRow { seq, ..fact }).collect();
        let nudges = nudges.into_iter();
        let nudges = nudges.map(|(key, (state, attempts, due, next_at))| NudgeRow { key, state, attempts, due, next_at });
        let questions = questions.into_iter().map(|(person, (body, until))| QuestionRow { person, body, until });
        let outbox = (0..).zip(outbox).map(|(place, row): (u32, _)| OutboxRow { txn: format!("t{place}"), ..row });
        let unread = unread.into_iter().map(|(event, sender)| UnreadRow { event, raw: json!({ "sender": sender }).to_string() });
        RoomRows {
            last_event: events.keys().next().cloned(),
            events: events.into_iter().map(|(event, taken)| EventRow { event, taken }).collect(),
            facts,
            nudges: nudges.collect(),
            questions: questions.collect(),
            outbox: outbox.collect(),
            unread: unread.collect(),
        }
    }
}
