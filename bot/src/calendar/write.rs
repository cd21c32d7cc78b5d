//! Writes entries as iCalendar (RFC 5545).
//!
//! Instants are in UTC: a nudge happens once, so no rule of a zone is needed to say when, and none can change meanwhile.

use branbell_scheduler::plan::NudgeKey;
use calcard::common::PartialDateTime;
use calcard::icalendar::{
    ICalendar, ICalendarAction, ICalendarComponent, ICalendarComponentType, ICalendarDuration,
    ICalendarProperty, ICalendarTransparency, ICalendarValue,
};
use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::Entry;

/// Who made the calendar.
const PRODUCT: &str = "-//Branbell//Plan of a room//EN";

/// How long an event lasts in a calendar; it has to last for some time to be seen.
const MINUTES: u32 = 15;

/// Names the space of our identities among all others (made once, at random).
const OURS: Uuid = Uuid::from_u128(0x9c0f_3f0e_52a4_4c67_8f5d_2d8a_7b1e_64c1);

/// The identity of a nudge in all calendars of the world. It does not tell the room (RFC 7986, section 5.3).
pub(super) fn uid(room: &str, key: &NudgeKey) -> String {
    let room = Uuid::new_v5(&OURS, room.as_bytes());
    Uuid::new_v5(&room, key.0.as_bytes()).to_string()
}

pub(super) fn file(entries: &[Entry], now: DateTime<Utc>) -> String {
    let mut calendar = component(ICalendarComponentType::VCalendar);
    calendar.add_property(ICalendarProperty::Version, text("2.0"));
    calendar.add_property(ICalendarProperty::Prodid, text(PRODUCT));
    let mut components = vec![calendar];
    for entry in entries {
        let alarm = place(&mut components, alarm(entry));
        let mut event = event(entry, now);
        event.component_ids.push(alarm);
        let event = place(&mut components, event);
        components[0].component_ids.push(event);
    }
    ICalendar { components }.to_string()
}

/// Adds a component to the file, and gives its place there.
fn place(components: &mut Vec<ICalendarComponent>, component: ICalendarComponent) -> u32 {
    components.push(component);
    // A plan has a few nudges a bin.
    u32::try_from(components.len() - 1).unwrap_or(u32::MAX)
}

fn event(entry: &Entry, now: DateTime<Utc>) -> ICalendarComponent {
    let mut event = component(ICalendarComponentType::VEvent);
    event.add_uid(&entry.uid);
    event.add_dtstamp(instant(now));
    event.add_property(
        ICalendarProperty::Dtstart,
        ICalendarValue::PartialDateTime(Box::new(instant(entry.starts))),
    );
    let lasts = ICalendarDuration { minutes: MINUTES, ..ICalendarDuration::default() };
    event.add_property(ICalendarProperty::Duration, ICalendarValue::Duration(lasts));
    event.add_property(ICalendarProperty::Summary, text(&entry.summary));
    event.add_property(ICalendarProperty::Description, text(&entry.description));
    event.add_property(
        ICalendarProperty::Transp,
        ICalendarValue::Transparency(ICalendarTransparency::Transparent),
    );
    event
}

fn alarm(entry: &Entry) -> ICalendarComponent {
    let mut alarm = component(ICalendarComponentType::VAlarm);
    alarm.add_property(ICalendarProperty::Action, ICalendarValue::Action(ICalendarAction::Display));
    alarm.add_property(ICalendarProperty::Trigger, ICalendarValue::Duration(ICalendarDuration::default()));
    alarm.add_property(ICalendarProperty::Description, text(&entry.summary));
    alarm
}

fn component(kind: ICalendarComponentType) -> ICalendarComponent {
    ICalendarComponent::new(kind)
}

fn text(text: &str) -> ICalendarValue {
    ICalendarValue::Text(text.to_owned())
}

fn instant(instant: DateTime<Utc>) -> PartialDateTime {
    PartialDateTime::from_utc_timestamp(instant.timestamp())
}
