//! What the dialogue is given, and what it comes to.

use branbell_scheduler::fact::{self, What};
use branbell_scheduler::hints::Hint;
use branbell_scheduler::state::Room;
use chrono::{DateTime, Utc};

use super::question::Lacking;
use super::{Answering, Asked, Inquiry, Topic, topic};
use crate::chat::Incoming;

/// What came in, with what it may be about.
#[derive(Clone, Debug)]
pub struct Heard<'a> {
    /// What a person did.
    pub incoming: &'a Incoming,
    /// The nudges that it answers.
    pub answering: Option<Answering>,
    /// In a one-to-one room the work that is due: `done` means it, whatever was said since.
    pub due: Option<Answering>,
    /// The nudges that were the last thing we said, whomever they were put to; the work that is due, where we said whose
    /// turn it is.
    pub last: Option<Answering>,
    /// The last thing we said is whose turn it is.
    pub tells_turns: bool,
    /// Nobody has talked of anything else since we spoke last.
    pub to_the_point: bool,
    /// The message of a person that it replies to, or to our answer to which.
    pub about: Option<String>,
    /// The question of ours that waits for this person's answer.
    pub asked: Option<Asked>,
    /// What our last number was about.
    pub topic: Option<Topic>,
    /// The place in the log of the room's last fact.
    pub last_seq: i64,
}

impl<'a> Heard<'a> {
    /// What came in, about nothing that is known.
    pub fn of(incoming: &'a Incoming) -> Self {
        Self {
            incoming,
            answering: None,
            due: None,
            last: None,
            tells_turns: false,
            to_the_point: false,
            about: None,
            asked: None,
            topic: None,
            last_seq: 0,
        }
    }

    /// The work of which `done`, `later` and `skip` speak: that which is answered, or else what is due.
    pub(super) fn work(&self) -> Option<&Answering> {
        let answered = self.answering.as_ref();
        answered.filter(|answering| answering.asks_for_work()).or(self.due.as_ref()).or(answered)
    }

    /// The place in the log of the decision's fact at this place.
    pub(super) fn seq(&self, place: usize) -> i64 {
        self.last_seq + 1 + i64::try_from(place).unwrap_or_default()
    }
}

/// A fact to be kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The message that tells it.
    pub event: String,
    /// The moment it speaks of.
    pub at: DateTime<Utc>,
    /// What it says.
    pub what: What,
    /// Whose it is, where somebody else puts it right.
    pub author: Option<String>,
    /// When it was told first, where it takes the place of another.
    pub first_told: Option<DateTime<Utc>>,
}

impl Told {
    /// Told by whoever wrote.
    pub(super) fn new(event: String, at: DateTime<Utc>, what: What) -> Self {
        Self { event, at, what, author: None, first_told: None }
    }
}

/// What is to be kept and said.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Decision {
    /// Facts to add, in order.
    pub facts: Vec<Told>,
    /// What to say, in order; nothing: silence.
    pub answers: Vec<Answer>,
    /// The question that waits from now on; `None` where the waiting one is dropped or there was none.
    pub asked: Option<Asked>,
    /// What becomes of nudges.
    pub nudges: Vec<(String, NudgeChange)>,
    /// Whether the person who wrote is to be taken out of all that is kept of the room.
    pub forgets_sender: bool,
    /// What is worth a remark besides.
    pub remarks: Vec<Hint>,
}

impl Decision {
    /// What its last number is about, in the room as it is afterwards.
    pub fn topic(&self, room: &Room, now: DateTime<Utc>) -> Option<Topic> {
        let asked_why = self.answers.iter().find_map(|answer| match answer {
            Answer::Why(topic) => Some(topic.clone()),
            _ => None,
        });
        asked_why.unwrap_or_else(|| topic::of_decision(room, self, now))
    }

    /// Adds a fact, and lets the room ahead see it. Gives its place among the decision's facts.
    pub(super) fn tell(&mut self, ahead: &mut Room, heard: &Heard<'_>, told: Told) -> usize {
        self.facts.push(told);
        let place = self.facts.len() - 1;
        ahead.apply(&self.fact(heard, place));
        place
    }

    /// The fact at this place, as it will lie in the log.
    pub fn fact(&self, heard: &Heard<'_>, place: usize) -> fact::Fact {
        let told = &self.facts[place];
        fact::Fact {
            seq: heard.seq(place),
            event: told.event.clone(),
            author: told.author.as_ref().unwrap_or(&heard.incoming.sender).clone(),
            at: told.at,
            told: told.first_told.unwrap_or(heard.incoming.sent),
            what: told.what.clone(),
        }
    }

    /// Asks one thing at a time: the first. How much came out of each of several bins is asked of one after the other, once
    /// all is told that was kept.
    pub(super) fn ask_back(&mut self, asked: Asked) {
        let asked = match self.asked.take() {
            None => asked,
            Some(first) if [first.lacking, asked.lacking] == [Lacking::Drained; 2] => {
                self.answers.retain(|answer| !matches!(answer, Answer::AskBack(_)));
                Asked { then: [first.then, asked.replaces].concat(), ..first }
            }
            Some(first) => return self.asked = Some(first),
        };
        self.answers.push(Answer::AskBack(asked.clone()));
        self.asked = Some(asked);
    }
}

/// What a person makes of a nudge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NudgeChange {
    /// Say it again then.
    PutOff(DateTime<Utc>),
    /// Do not say it again.
    Answered,
    /// It is said now, in the answer.
    Said,
}

/// A span of time that people ask about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Span {
    Week,
    LastWeek,
    Month,
    LastMonth,
    Year,
}

/// Something to say, in the order of the message.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// What was kept: the fact at this place.
    Kept(usize),
    /// What was kept in the place of another.
    Changed(usize),
    /// What was taken back, and the moment it spoke of.
    TakenBack(Vec<(What, DateTime<Utc>)>),
    /// There is nothing of this person's to take back or to change.
    NothingThere,
    /// The answer to a question of theirs.
    Asked(branbell_language::Ask),
    /// The answer to a question of theirs that the reading contract has no name for.
    Inquired(Inquiry),
    /// Where a number came from.
    Why(Option<Topic>),
    /// This sealed bin is open again, and its time starts anew.
    Reopened(String),
    /// That a bin of which a part was buried counts as empty.
    InPart,
    /// That bleach and what is sour give off chlorine gas.
    Bleach,
    /// A question of ours.
    AskBack(Asked),
    /// A nudge comes again then.
    PutOff(DateTime<Utc>),
    /// A nudge is let go.
    LetGo,
    /// How much it was is not known.
    Unknown {
        /// Whether the amount that was expected stands.
        is_kept: bool,
    },
    /// `Done` without a nudge that it could answer.
    NothingAsked,
    /// It is this person's turn anyway.
    TurnOf(String),
    /// This person asks for another to take their turn.
    Offered(String),
    /// A person took these nudges, or where there are none the next turn, of another where it was offered.
    Took {
        /// Who took it.
        person: String,
        /// Who had offered it.
        of: Option<String>,
        /// The nudges.
        nudges: Vec<String>,
    },
    /// The rules of the house.
    House,
    /// What is kept of this person.
    OwnData(String),
    /// Who wrote is forgotten; so many logs of theirs stay without their name.
    Forgotten(usize),
    /// Who did what in a span of time.
    WhoDid(Span),
    /// `Done` to what was done already.
    DoneAlready,
    /// Only these people may do this in a shared room; it was left as it is.
    Stewards(Vec<String>),
}

impl Answer {
    pub(super) fn only_for_stewards(room: &Room) -> Self {
        let stewards = room.people.iter().filter(|person| person.here && person.steward);
        Self::Stewards(stewards.map(|person| person.name.clone()).collect())
    }
}
