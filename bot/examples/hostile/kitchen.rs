//! A room that the events go on into, and what holds of all that is kept of it and said in it.

use std::collections::HashMap;
use std::fmt;
use std::sync::Mutex;

use anyhow::{Context, Result, ensure};
use branbell::chat::matrix::Theirs;
use branbell::chat::{Deed, Person, RoomInfo, Saying};
use branbell::clock::Clock;
use branbell::host::Host;
use branbell_scheduler::deliver::{Outlet, SendError};
use branbell_scheduler::fact::Units;
use branbell_store::{MOST_UNREAD, Outgoing, SqliteStore, Store};
use chrono::{DateTime, TimeDelta, Utc};
use chrono_tz::Tz;

use crate::make::{ME, PEOPLE};

/// Events between two looks at what is kept; then another room begins, for a room that goes on for ever is not the point.
const ROUND: u64 = 1_000;
/// What a fact may take, in bytes: a message of 4,000 bytes, most of it the name of something.
const LONGEST_FACT: usize = 5_000;
/// What an event may take, in bytes (Matrix specification, "Size limits").
const LONGEST_EVENT: usize = 65_536;

/// The room of the round, and who said what in it.
pub(crate) struct Kitchen {
    host: Host<SqliteStore>,
    store: SqliteStore,
    room: String,
    now: At,
    opened: DateTime<Utc>,
    authors: HashMap<String, String>,
    newest: Vec<String>,
    sent: Sent,
    pub(crate) totals: Kept,
}

/// What came of what was taken in.
#[derive(Default)]
pub(crate) struct Kept {
    taken: u64,
    refused: u64,
    facts: usize,
    unread: usize,
    said: usize,
}

impl fmt::Display for Kept {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { taken, refused, facts, unread, said } = self;
        write!(
            f,
            "{taken} went on into a room: {refused} were changes of another's words, {facts} facts kept, {unread} "
        )?;
        write!(f, "messages kept encrypted, {said} answers and nudges")
    }
}

/// A clock that is set.
struct At(DateTime<Utc>);

impl Clock for At {
    fn now(&self) -> DateTime<Utc> {
        self.0
    }
}

/// Keeps what is sent.
#[derive(Default)]
struct Sent(Mutex<Vec<(String, Saying)>>);

impl Outlet for Sent {
    async fn send(&self, row: &Outgoing) -> Result<String, SendError> {
        let event = format!("$ours:{}", row.seq);
        let saying = serde_json::from_value(row.body.clone());
        let saying = saying.map_err(|error| SendError::GiveUp { reason: error.to_string() })?;
        if let Ok(mut sent) = self.0.lock() {
            sent.push((event.clone(), saying));
        }
        Ok(event)
    }
}

impl Kitchen {
    pub(crate) async fn open() -> Result<Self> {
        let store = SqliteStore::in_memory().await?;
        let begin = DateTime::from_timestamp_millis(1_800_000_000_000).context("it is an instant")?;
        let mut kitchen = Self {
            host: Host::new(store.clone()),
            store,
            room: String::new(),
            now: At(begin),
            opened: begin,
            authors: HashMap::new(),
            newest: Vec::new(),
            sent: Sent::default(),
            totals: Kept::default(),
        };
        kitchen.next_room().await?;
        Ok(kitchen)
    }

    async fn next_room(&mut self) -> Result<()> {
        self.room = format!("!{}", self.totals.taken);
        self.opened = self.now.0;
        self.authors.clear();
        let names = ["Ana", "Bo <b>@room</b>\u{202e}\n", "Ana\u{200b}"];
        let people = PEOPLE.iter().zip(names).enumerate();
        let people = people.map(|(place, (id, name))| Person {
            id: (*id).to_owned(),
            name: name.to_owned(),
            steward: place == 0,
        });
        let (zone, units) = (Tz::Europe__Vienna, Units::Metric);
        let info = RoomInfo { room: self.room.clone(), direct: false, zone, units, people: people.collect() };
        self.host.open(&info, self.now.0).await
    }

    /// Events that came to stand in the room since this was asked last.
    pub(crate) fn newest(&mut self) -> impl Iterator<Item = String> {
        std::mem::take(&mut self.newest).into_iter()
    }

    /// Takes an event in as the Matrix transport does.
    pub(crate) async fn take(&mut self, theirs: Theirs) -> Result<()> {
        // A homeserver gives no two events the same id, and lets nobody but a steward delete what another said.
        if self.authors.contains_key(&theirs.event) || self.is_denied(&theirs) {
            return Ok(());
        }
        self.totals.taken += 1;
        self.now.0 += TimeDelta::minutes(1);
        let theirs = self.of_their_own(theirs);
        self.authors.insert(theirs.event.clone(), theirs.sender.clone());
        self.newest.push(theirs.event.clone());
        let direct = theirs.names_us;
        self.host.take(&theirs.incoming(&self.room, direct, &self.now), self.now.0).await?;
        if self.totals.taken.is_multiple_of(20) {
            self.speak().await?;
        }
        if self.totals.taken.is_multiple_of(ROUND) {
            self.close().await?;
            self.next_room().await?;
        }
        Ok(())
    }

    fn is_denied(&self, theirs: &Theirs) -> bool {
        let Deed::Delete { of } = &theirs.deed else { return false };
        theirs.sender != PEOPLE[0] && self.authors.get(of) != Some(&theirs.sender)
    }

    fn of_their_own(&mut self, theirs: Theirs) -> Theirs {
        let Deed::Edit { of, .. } = &theirs.deed else { return theirs };
        let original = self.authors.get(of).map(|author| Theirs { sender: author.clone(), ..theirs.clone() });
        let theirs = theirs.changing(original);
        self.totals.refused += u64::from(theirs.deed == Deed::Other);
        theirs
    }

    /// Says what is to be said, and looks at it.
    async fn speak(&mut self) -> Result<()> {
        self.host.deliver(&self.sent, self.now.0).await?;
        let sent = self.sent.0.get_mut().map(std::mem::take).unwrap_or_default();
        for (event, saying) in sent {
            if let Saying::Message(message) = saying {
                let bytes = message.text.len() + message.html.len();
                ensure!(bytes < LONGEST_EVENT / 2, "{bytes} bytes in one message: {}", message.text);
                let meant = message.to.iter().all(|person| PEOPLE.contains(&person.as_str()));
                ensure!(meant, "it mentions {:?}", message.to);
                ensure!(!message.html.contains("<img"), "what people say is no HTML: {}", message.html);
                ensure!(!message.text.contains('\u{202e}'), "it turns the text around: {}", message.text);
            }
            self.authors.insert(event.clone(), ME.to_owned());
            self.newest.push(event);
            self.totals.said += 1;
        }
        Ok(())
    }

    /// Looks through all that is kept of the room.
    pub(crate) async fn close(&mut self) -> Result<()> {
        self.speak().await?;
        for fact in self.store.facts(&self.room, 0).await? {
            self.totals.facts += 1;
            let said = || format!("the fact {fact:?}");
            let bytes = fact.body.to_string().len();
            ensure!(bytes <= LONGEST_FACT, "{bytes} bytes: {}", said());
            let span = self.opened.timestamp_millis()..=self.now.0.timestamp_millis();
            ensure!(span.contains(&fact.told), "not told in its time: {}", said());
            ensure!(fact.at <= *span.end(), "not yet: {}", said());
            // What the bot notes itself is told in no message.
            if !fact.event.is_empty() {
                ensure!(self.authors.get(&fact.event) == Some(&fact.author), "not theirs: {}", said());
            }
        }
        for person in PEOPLE {
            let asked = self.store.question(&self.room, person).await?;
            let bytes = asked.map_or(0, |asked| asked.body.to_string().len());
            ensure!(bytes <= LONGEST_EVENT, "{person} is asked a question of {bytes} bytes");
        }
        let unread = self.store.unread(&self.room).await?;
        ensure!(unread.len() <= MOST_UNREAD as usize, "{} messages kept encrypted", unread.len());
        ensure!(
            unread.iter().all(|(_, raw)| raw.len() <= LONGEST_EVENT),
            "a message kept that no homeserver takes"
        );
        self.totals.unread += unread.len();
        Ok(())
    }
}
