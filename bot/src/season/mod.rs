//! A season: dated messages played against a virtual clock, through the same host as in a real room. Only the chat and the
//! clock differ. The clock jumps from one moment of interest to the next.

mod chat;
mod script;

use anyhow::Result;
use branbell_scheduler::report::report;
use branbell_store::Archive;
use chrono::{DateTime, Utc};

use crate::chat::{Deed, Incoming};
use crate::host::Host;
pub use chat::{Happening, Outcome};
use chat::{Script, Stage};
use script::{Act, Line};

/// A season that is being played.
pub struct Season<S> {
    host: Host<S>,
    stage: Stage,
    now: Option<DateTime<Utc>>,
    until: Option<DateTime<Utc>>,
}

impl<S: Archive> Season<S> {
    /// A season on a store, which may hold an earlier one.
    pub fn new(store: S) -> Self {
        Self { host: Host::new(store), stage: Stage::default(), now: None, until: None }
    }

    /// Starts the bot anew, as after a crash; the chat goes on.
    pub fn restart(&mut self)
    where
        S: Clone,
    {
        self.host = self.host.anew();
    }

    /// Plays one line of the script, after all that is due before it, and gives what happened.
    ///
    /// # Errors
    /// The store failed. A line that cannot be used is no error: it is said in what happened, and the season goes on.
    pub async fn line(&mut self, number: usize, line: &str) -> Result<Vec<Happening>> {
        if line.trim().is_empty() {
            return Ok(Vec::new());
        }
        match Line::parse(line) {
            Ok(line) if self.now.is_some_and(|now| line.at.to_utc() < now) => {
                let reason =
                    format!("its time, {}, lies before that of the line before", line.at.to_rfc3339());
                self.stage.refuse(number, &reason);
            }
            Ok(line) => {
                self.advance(line.at.to_utc()).await?;
                if let Err(reason) = self.act(number, &line).await? {
                    self.stage.refuse(number, &reason);
                }
                self.host.deliver(&self.stage, line.at.to_utc()).await?;
            }
            Err(reason) => self.stage.refuse(number, &reason),
        }
        Ok(self.stage.happened())
    }

    /// Lets the clock run to the end.
    ///
    /// # Errors
    /// The store failed.
    pub async fn end(&mut self) -> Result<Vec<Happening>> {
        if let Some(until) = self.until {
            self.advance(until).await?;
        }
        Ok(self.stage.happened())
    }

    /// Lets all that is due until then happen, each at its moment.
    async fn advance(&mut self, to: DateTime<Utc>) -> Result<()> {
        let mut now = self.now.unwrap_or(to);
        loop {
            let next = self.host.next_due().await?;
            let Some(next) = next.filter(|next| *next <= to) else { break };
            now = now.max(next);
            self.stage.set_clock(now);
            self.host.deliver(&self.stage, now).await?;
        }
        self.now = Some(to);
        self.stage.set_clock(to);
        Ok(())
    }

    async fn act(&mut self, number: usize, line: &Line) -> Result<Result<(), String>> {
        let at = line.at.to_utc();
        let script = self.stage.script_mut();
        let deed = match &line.act {
            Act::Open { info, until } => {
                self.until = self.until.max(Some(until.to_utc()));
                script.open(info);
                self.host.open(info, at).await?;
                return Ok(Ok(()));
            }
            _ if !script.is_open(&line.room) => {
                return Ok(Err(format!("the room {} was not opened", line.room)));
            }
            Act::Show => {
                let state = self.host.known(&line.room, |room| report(room, at)).await?;
                self.stage.show(&line.room, serde_json::to_value(state)?);
                return Ok(Ok(()));
            }
            Act::Say { text, reply } => {
                match reply.as_deref().map(|id| script.event(&line.room, id)).transpose() {
                    Ok(reply_to) => Deed::Say { text: text.clone(), reply_to },
                    Err(reason) => return Ok(Err(reason)),
                }
            }
            Act::Edit { of, text } => match script.event(&line.room, of) {
                Ok(of) => Deed::Edit { of, text: text.clone() },
                Err(reason) => return Ok(Err(reason)),
            },
            Act::Delete { of } => match script.event(&line.room, of) {
                Ok(of) => Deed::Delete { of },
                Err(reason) => return Ok(Err(reason)),
            },
            Act::React { key, to } => match script.event(&line.room, to) {
                Ok(to) => Deed::React { to, key: key.clone() },
                Err(reason) => return Ok(Err(reason)),
            },
        };
        let Some(sender) = &line.from else { return Ok(Err("it does not say who (`from`)".to_owned())) };
        let direct = line.direct || script.is_direct(&line.room) || answers_us(&deed);
        let id = line.id.clone().unwrap_or_else(|| format!("line {number}"));
        let event = script.enter(&line.room, &id, at);
        let incoming = Incoming {
            room: line.room.clone(),
            event,
            sender: sender.clone(),
            sent: at,
            direct,
            thread: None,
            deed,
        };
        self.host.take(&incoming, at).await?;
        Ok(Ok(()))
    }
}

/// Whether a message replies to one of ours.
fn answers_us(deed: &Deed) -> bool {
    matches!(deed, Deed::Say { reply_to: Some(event), .. } if Script::is_ours(event))
}
