//! Any text in any kind of room: no panic. `cargo +nightly fuzz run read -- -runs=10000000 -timeout=1`, from this folder's parent.
#![no_main]

use std::collections::BTreeMap;

use branbell_language::{BinName, Message, NudgeKind, Units, read, read_line};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: (&str, u8)| {
    let (text, room) = data;
    let bins = ["green", "left", "bin 2", "Bob", "full"];
    let message = Message {
        text: text.to_owned(),
        now: chrono::DateTime::parse_from_rfc3339("2026-03-29T03:30:00+02:00").expect("a fixed time is valid"),
        zone: chrono_tz::Tz::Europe__Vienna,
        units: [Units::Metric, Units::Us, Units::Imperial][usize::from(room % 3)],
        bins: bins.map(|name| BinName { name: name.to_owned(), capacity_ml: Some(19_000.0) }).to_vec(),
        plots: vec!["herb bed".to_owned()],
        measures: BTreeMap::from([("caddy".to_owned(), 4_500.0)]),
        direct: room & 8 == 0,
        reply_to: (room & 16 != 0).then_some(NudgeKind::Drain),
        id: None,
    };
    read(&message);
    read_line(text);
});
