//! How fast a store is, beside what its engine can do at all on the same machine in the same minute:
//!
//! `cargo run --release -p branbell-store --example throughput`
//!
//! Absolute numbers tell about the machine; the ratio tells about the store. Each number is the median of three rounds,
//! with the least and the most. The takeover needs a process of its own to pause and to kill: this program, started again.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use anyhow::{Context, Result, ensure};
use branbell_store::{
    NewFact, NewOutgoing, NudgeRow, NudgeState, PostgresStore, Record, Recorded, SqliteStore, Store, standing,
};
use branbell_tests::postgres::{Cluster, fresh_account};
use serde_json::json;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use tokio::task::JoinSet;

/// Transactions of a round.
const COUNT: i64 = 2_000;

/// Rows that a claim takes at a time.
const BATCH: i64 = 100;

/// Rooms that are written side by side.
const ROOMS: i64 = 8;

#[tokio::main]
async fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let [url, account] = arguments.as_slice() {
        return hold(&PostgresStore::open(url, account).await?).await;
    }
    let folder = tempfile::tempdir()?;
    let cluster = Cluster::start(&[])?;
    let url = cluster.url();

    let mut raw_sqlite = Rounds::default();
    let mut raw_postgres = [Rounds::default(), Rounds::default()];
    let mut records = [Rounds::default(), Rounds::default(), Rounds::default()];
    let mut drains = [Rounds::default(), Rounds::default()];
    for round in 0..3 {
        raw_sqlite.add(rows_on_sqlite(&folder.path().join(format!("raw{round}"))).await?);
        let lite = SqliteStore::open(&folder.path().join(format!("store{round}"))).await?;
        records[0].add(record(&lite, 1).await?);
        drains[0].add(drain(&lite).await?);

        raw_postgres[0].add(rows_on_postgres(&url, 1).await?);
        raw_postgres[1].add(rows_on_postgres(&url, ROOMS).await?);
        let postgres = PostgresStore::open(&url, &fresh_account()).await?;
        records[1].add(record(&postgres, 1).await?);
        drains[1].add(drain(&postgres).await?);
        let postgres = PostgresStore::open(&url, &fresh_account()).await?;
        records[2].add(record(&postgres, ROOMS).await?);
    }
    println!("{:<52} {:>8}  (least–most)", "per second", "median");
    let tell = |what: &str, rounds: &Rounds, base: Option<&Rounds>| {
        let ratio = base
            .map_or(String::new(), |base| format!(", {:.2} of the above", rounds.median() / base.median()));
        println!("{what:<52} {:>8.0}  ({:.0}–{:.0}){ratio}", rounds.median(), rounds.least(), rounds.most());
    };
    tell("SQLite: one bare row a commit", &raw_sqlite, None);
    tell("  record: event, fact, reply, nudge", &records[0], Some(&raw_sqlite));
    tell("  drain: claim 100, each confirmed and marked", &drains[0], Some(&raw_sqlite));
    tell("PostgreSQL: one bare row a commit", &raw_postgres[0], None);
    tell("  record: event, fact, reply, nudge", &records[1], Some(&raw_postgres[0]));
    tell("  drain: claim 100, each confirmed and marked", &drains[1], Some(&raw_postgres[0]));
    tell("PostgreSQL: one bare row a commit, 8 at a time", &raw_postgres[1], None);
    tell("  record, 8 rooms at a time", &records[2], Some(&raw_postgres[1]));

    println!("\nA standby serves after (seconds, three times)");
    for (how, signal) in [("its holder is killed", "KILL"), ("its holder is paused", "STOP")] {
        let mut seconds = Vec::new();
        for _ in 0..3 {
            seconds.push(format!("{:.2}", takeover(&url, signal).await?));
        }
        println!("  {how}: {}", seconds.join(", "));
    }
    Ok(())
}

/// Numbers of several rounds.
#[derive(Default)]
struct Rounds(Vec<f64>);

impl Rounds {
    fn add(&mut self, number: f64) {
        self.0.push(number);
        self.0.sort_by(f64::total_cmp);
    }

    fn median(&self) -> f64 {
        self.0[self.0.len() / 2]
    }

    fn least(&self) -> f64 {
        self.0[0]
    }

    fn most(&self) -> f64 {
        self.0[self.0.len() - 1]
    }
}

fn per_second(count: i64, began: Instant) -> f64 {
    count as f64 / began.elapsed().as_secs_f64()
}

const TABLE: &str = "CREATE TABLE bare (seq BIGINT PRIMARY KEY, room TEXT, body TEXT, at BIGINT)";
const ROW: &str = "INSERT INTO bare (seq, room, body, at) VALUES ($1, $2, $3, $4)";

/// What SQLite can do at all, set up as the store sets it up.
async fn rows_on_sqlite(file: &std::path::Path) -> Result<f64> {
    let options = SqliteConnectOptions::new().filename(file).create_if_missing(true);
    let options = options.journal_mode(SqliteJournalMode::Wal).synchronous(SqliteSynchronous::Full);
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    sqlx::query(TABLE).execute(&pool).await?;
    let began = Instant::now();
    for n in 0..COUNT {
        sqlx::query(ROW)
            .bind(n)
            .bind("kitchen")
            .bind("{\"text\":\"three litres\"}")
            .bind(n)
            .execute(&pool)
            .await?;
    }
    Ok(per_second(COUNT, began))
}

/// What PostgreSQL can do at all.
async fn rows_on_postgres(url: &str, side_by_side: i64) -> Result<f64> {
    let pool = sqlx::postgres::PgPoolOptions::new().max_connections(side_by_side as u32).connect(url).await?;
    sqlx::query("DROP TABLE IF EXISTS bare").execute(&pool).await?;
    sqlx::query(TABLE).execute(&pool).await?;
    let began = Instant::now();
    let mut tasks = JoinSet::new();
    for task in 0..side_by_side {
        let pool = pool.clone();
        tasks.spawn(async move {
            for n in (task..COUNT).step_by(side_by_side as usize) {
                let row =
                    sqlx::query(ROW).bind(n).bind("kitchen").bind("{\"text\":\"three litres\"}").bind(n);
                row.execute(&pool).await?;
            }
            Ok::<_, sqlx::Error>(())
        });
    }
    while let Some(done) = tasks.join_next().await {
        done??;
    }
    Ok(per_second(COUNT, began))
}

/// What one message changes: the event, a fact, a reply, a nudge.
fn message(room: i64, n: i64) -> Record {
    let id = format!("$event{n}:example.org");
    let body = json!({ "kind": "scraps", "bin": "green", "ml": 3_000.0 });
    Record {
        room: format!("!room{room}:example.org"),
        event: Some(id.clone()),
        now: n,
        after: n,
        facts: vec![NewFact {
            event: id.clone(),
            author: "@ana:example.org".to_owned(),
            at: n,
            told: n,
            body,
        }],
        outbox: vec![NewOutgoing {
            txn: format!("reply:{id}"),
            cause: id,
            body: json!({ "text": "3 l in green (9 of 19 l). 3 tbsp bran on top, please." }),
        }],
        nudges: vec![NudgeRow {
            key: format!("drain/green/1/{}", n / 10),
            state: NudgeState::Planned,
            attempts: 0,
            due: n,
            next_at: Some(i64::MAX),
        }],
        ..Record::default()
    }
}

async fn record(store: &(impl Store + Clone), side_by_side: i64) -> Result<f64> {
    store.confirm().await?;
    let began = Instant::now();
    let mut tasks = JoinSet::new();
    for room in 0..side_by_side {
        let store = store.clone();
        tasks.spawn(async move {
            for n in 0..COUNT / side_by_side {
                let recorded = store.record(&message(room, n)).await?;
                ensure!(recorded == Recorded::Kept, "{recorded:?}");
            }
            Ok(())
        });
    }
    while let Some(done) = tasks.join_next().await {
        done??;
    }
    Ok(per_second(COUNT, began))
}

/// Everything in the outbox, sent to nobody.
async fn drain(store: &impl Store) -> Result<f64> {
    let began = Instant::now();
    let mut count = 0;
    loop {
        let rows = store.outbox(COUNT, BATCH).await?;
        for row in &rows {
            store.confirm().await?;
            store.sent(row.seq, &row.txn).await?;
            count += 1;
        }
        if rows.is_empty() {
            ensure!(count == COUNT, "{count} were sent");
            return Ok(per_second(count, began));
        }
    }
}

/// Serves an account until it is stopped from outside.
async fn hold(store: &PostgresStore) -> Result<()> {
    store.confirm().await?;
    println!("serving");
    std::io::stdout().flush()?;
    Err(standing::keep(store).await.into())
}

/// The time from the signal until a standby, which was there before, serves.
async fn takeover(url: &str, signal: &str) -> Result<f64> {
    let account = fresh_account();
    let store = PostgresStore::open(url, &account).await?;
    let mut holder = Command::new(std::env::current_exe()?)
        .args([url, &account])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()?;
    let mut said = String::new();
    BufReader::new(holder.stdout.take().context("it has no output")?).read_line(&mut said)?;
    let standby = tokio::spawn({
        let store = store.clone();
        async move { standing::stand_by(&store).await.map(|()| Instant::now()) }
    });
    // The standby looks a few times first, so that it knows a holder that answers.
    tokio::time::sleep(standing::LOOK * 5).await;
    ensure!(!standby.is_finished(), "the holder answers, and was taken to be gone");
    let began = Instant::now();
    tell(&holder, signal)?;
    let seconds = (standby.await?? - began).as_secs_f64();
    if signal == "STOP" {
        // Back again, it finds itself shut out.
        tell(&holder, "CONT")?;
        ensure!(!holder.wait()?.success(), "it went on");
    }
    holder.wait()?;
    Ok(seconds)
}

fn tell(process: &Child, signal: &str) -> Result<()> {
    let told = Command::new("kill").args(["-s", signal, &process.id().to_string()]).status()?;
    ensure!(told.success(), "{signal} does not arrive");
    Ok(())
}
