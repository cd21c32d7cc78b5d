//! Rows of the store, made of what was decided.

use anyhow::Result;
use branbell_scheduler::fact::What;
use branbell_store::{NewFact, NewOutgoing, NudgeRow, NudgeState, Question, QuestionChange, Said};
use chrono::{DateTime, Utc};
use uuid::Uuid;

use crate::chat::{Deed, Incoming, Message, Saying};
use crate::dialogue::Asked;
use crate::voice::Text;

/// The row that remembers something once for all, such as a remark that was made: no message is its own, and there is nothing to
/// answer.
pub(super) fn remarked(key: String, now: DateTime<Utc>) -> NudgeRow {
    NudgeRow { key, state: NudgeState::Answered, attempts: 0, due: now.timestamp_millis(), next_at: None }
}

/// The key of the row that keeps that people talk of something else than this. It names nothing: who told what may be
/// forgotten.
pub(super) fn stray_key(from: &Said) -> String {
    format!("strayed/{}", Uuid::new_v5(&Uuid::NAMESPACE_OID, from.txn.as_bytes()))
}

pub(super) fn said(text: &Text) -> Message {
    Message { text: text.plain(), html: text.html(), ..Message::default() }
}

pub(super) fn message_row(txn: String, cause: &str, message: &Message) -> Result<NewOutgoing> {
    let body = serde_json::to_value(Saying::Message(message.clone()))?;
    Ok(NewOutgoing { txn, cause: cause.to_owned(), body })
}

/// The answer to a message; one at most, for its transaction id is made of the message's. To a tap it stands under what was
/// tapped: no client shows a reaction as what is answered.
pub(super) fn reply_row(to: &Incoming, message: Message) -> Result<NewOutgoing> {
    let re = match &to.deed {
        Deed::React { to, .. } => to,
        _ => &to.event,
    };
    let message = Message { re: Some(re.clone()), thread: to.thread.clone(), ..message };
    message_row(reply_txn(&to.event), &to.event, &message)
}

pub(super) fn reply_txn(event: &str) -> String {
    format!("reply:{event}")
}

pub(super) fn question(person: &str, asked: Option<&Asked>) -> Result<QuestionChange> {
    let question = asked.map(|asked| -> Result<Question> {
        Ok(Question { body: serde_json::to_value(asked)?, until: asked.until.timestamp_millis() })
    });
    Ok(QuestionChange { person: person.to_owned(), question: question.transpose()? })
}

pub(super) fn fact_row(
    event: &str,
    author: &str,
    at: DateTime<Utc>,
    told: DateTime<Utc>,
    what: &What,
) -> Result<NewFact> {
    Ok(NewFact {
        event: event.to_owned(),
        author: author.to_owned(),
        at: at.timestamp_millis(),
        told: told.timestamp_millis(),
        body: serde_json::to_value(what)?,
    })
}
