//! Whose turn it is, who took it, and who did what.

use branbell_scheduler::plan::{Nudge, NudgeKind, Subject, due_work, turn, turn_order, waiting_for};
use branbell_scheduler::shares::{Share, shares};
use branbell_scheduler::state::Person;
use branbell_scheduler::units::Millilitres;
use chrono::{DateTime, Datelike, Months, NaiveDate, TimeDelta, Utc};

use super::super::Span;
use super::super::which::work;
use super::{Speaker, capital};
use crate::say;
use crate::voice::Text;

impl Speaker<'_> {
    /// What is due and whose it is, and who is next.
    pub(super) fn rota(&self) -> Text {
        let order = turn_order(self.room, self.now);
        let Some(first) = order.first() else { return say!(self.voice, "rota-none") };
        let due = due_work(self.room, self.now);
        let due: Vec<_> =
            due.iter().filter_map(|nudge| Some((turn(self.room, nudge, self.now)?, nudge))).collect();
        let lines = due.iter().map(|(person, nudge)| {
            say!(self.voice, "rota-due", name = &person.name, work = self.work(nudge))
        });
        let said = lines.fold(Text::default(), |said, line| said.newline(&line));
        if said.is_empty() {
            return say!(self.voice, "rota-turn", name = &first.name);
        }
        let is_free = |person: &&&Person| due.iter().all(|(busy, _)| busy.id != person.id);
        let next = order.iter().find(is_free);
        next.map_or(said.clone(), |next| said.newline(&say!(self.voice, "rota-next", name = &next.name)))
    }

    /// The work in a few words; a lost batch is not looked at, but has to go.
    pub(super) fn work(&self, nudge: &Nudge) -> String {
        if let (NudgeKind::Check, Some(Subject::Bin(bin))) = (nudge.kind, &nudge.subject)
            && self.is_lost(bin)
        {
            return say!(self.voice, "work-check-lost", name = bin).plain();
        }
        work(self.voice, nudge.kind, nudge.subject.as_ref())
    }

    fn name(&self, person: &str) -> String {
        self.room.person(person).map_or_else(|| person.to_owned(), |person| person.name.clone())
    }

    /// It is somebody else's turn anyway.
    pub(super) fn turn_of(&self, person: &str) -> Text {
        say!(self.voice, "rota-not-yours", name = self.name(person))
    }

    /// Somebody asks for another to take their turn.
    pub(super) fn offered(&self, person: &str) -> Text {
        let waiting = waiting_for(self.room, person, self.now);
        let waiting: Vec<String> = waiting.iter().map(|nudge| self.work(nudge)).collect();
        let name = self.name(person);
        if waiting.is_empty() {
            return say!(self.voice, "turn-offered-next", name = name);
        }
        say!(self.voice, "turn-offered", name = name, work = waiting.join(", "))
    }

    /// Somebody took a turn, or some work.
    pub(super) fn took(&self, person: &str, of: Option<&str>, nudges: &[String]) -> Text {
        let items = nudges.iter().filter_map(|key| super::super::Item::of_key(self.room, key, true));
        let work: Vec<String> =
            items.map(|item| work(self.voice, item.kind, item.subject.as_ref())).collect();
        let (name, work) = (self.name(person), work.join(", "));
        match of.map(|of| self.name(of)) {
            Some(of) if work.is_empty() => say!(self.voice, "turn-taken-next", name = name, of = of),
            Some(of) => say!(self.voice, "turn-taken", name = name, of = of, work = work),
            None => say!(self.voice, "turn-taken-work", name = name, work = work),
        }
    }

    /// Who did what in a span of time, which `head` names.
    pub(super) fn who_did(&self, span: Span) -> Text {
        let (since, until, head) = self.bounds(span);
        let shares = shares(self.room, since, until);
        if shares.is_empty() {
            return say!(self.voice, "who-did-none");
        }
        let lines = shares.iter().map(|share| {
            say!(self.voice, "who-did-line", name = self.name(&share.person), work = self.share(share))
        });
        let head = say!(self.voice, "who-did-head", span = capital(&self.voice.word(head)));
        lines.fold(head, |said, line| said.newline(&line))
    }

    /// When a span begins and ends in the room's zone, and its name.
    fn bounds(&self, span: Span) -> (DateTime<Utc>, DateTime<Utc>, &'static str) {
        let today = self.now.with_timezone(&self.room.zone).date_naive();
        let month = today.with_day(1).unwrap_or(today);
        let last_month = month.checked_sub_months(Months::new(1)).unwrap_or(month);
        let week = today - TimeDelta::days(i64::from(today.weekday().num_days_from_monday()));
        let end = self.now + TimeDelta::seconds(1);
        match span {
            Span::Month => (self.begin(month), end, "span-month"),
            Span::LastMonth => (self.begin(last_month), self.begin(month), "span-last-month"),
            Span::Week => (self.begin(week), end, "span-week"),
            Span::LastWeek => (self.begin(week - TimeDelta::days(7)), self.begin(week), "span-last-week"),
            Span::Year => (self.begin(month.with_month(1).unwrap_or(month)), end, "span-year"),
        }
    }

    fn begin(&self, day: NaiveDate) -> DateTime<Utc> {
        self.midnight(Some(day)).unwrap_or(self.now)
    }

    fn share(&self, share: &Share) -> String {
        let counted = [
            ("did-buried", share.buried),
            ("did-thrown-out", share.thrown_out),
            ("did-made-bran", share.made_bran),
            ("did-washed", share.washed),
            ("did-sealed", share.sealed),
            ("did-drained", share.drained),
            ("did-checked", share.checked),
        ];
        let counted = counted.into_iter().filter(|(_, count)| *count > 0);
        let mut parts: Vec<String> =
            counted.map(|(id, count)| say!(self.voice, id, count = i64::from(count)).plain()).collect();
        if share.scraps > Millilitres::ZERO {
            let amount = self.measures.volume(share.scraps);
            parts.push(say!(self.voice, "did-scraps", amount = amount).plain());
        }
        parts.join(", ")
    }
}
