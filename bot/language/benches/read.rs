//! Messages a second on one core, over the corpora, and how slow the slowest are. `cargo bench -p branbell-language`.

use std::hint::black_box;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use branbell_language::{Message, read};
use divan::Bencher;
use divan::counter::ItemsCount;

fn main() {
    percentiles();
    divan::main();
}

/// The messages of all corpora.
fn messages() -> Vec<Message> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("corpus");
    let files = std::fs::read_dir(folder)
        .expect("the corpora lie beside the crate")
        .flatten()
        .map(|entry| entry.path());
    files
        .filter(|path| path.extension().is_some_and(|extension| extension == "jsonl"))
        .flat_map(|path| {
            std::fs::read_to_string(path)
                .expect("a corpus is readable")
                .lines()
                .map(str::to_owned)
                .collect::<Vec<_>>()
        })
        .filter_map(|line| branbell_language::parse_line(&line).ok())
        .collect()
}

#[divan::bench]
fn corpora(bencher: Bencher<'_, '_>) {
    let messages = messages();
    bencher.counter(ItemsCount::new(messages.len())).bench(|| {
        for message in &messages {
            black_box(read(black_box(message)));
        }
    });
}

/// Each message by itself, the best of several runs, so that what is counted is the message and not the machine.
fn percentiles() {
    let messages = messages();
    let mut times: Vec<Duration> = messages
        .iter()
        .map(|message| {
            let once = || {
                let start = Instant::now();
                black_box(read(black_box(message)));
                start.elapsed()
            };
            (0..15).map(|_| once()).min().unwrap_or_default()
        })
        .collect();
    times.sort_unstable();
    let at = |share: f64| times[((times.len() - 1) as f64 * share) as usize];
    println!("{} messages: median {:?}, p99 {:?}, slowest {:?}", times.len(), at(0.5), at(0.99), at(1.0));
}
