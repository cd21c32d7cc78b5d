"""Reads a calendar from standard input with two independent readers, and writes what they found as JSON.

Each must read it without an error, and both must find the same events.
"""

import json
import sys

import ics
from icalendar import Calendar


def first_reader(text: bytes) -> list[dict]:
    calendar = Calendar.from_ical(text)
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"], "a calendar has a version and a maker"
    components = list(calendar.walk())
    for component in components:
        assert not component.errors, component.errors
        missing = [name for name in component.required if name not in component]
        assert not missing, f"{component.name} lacks {missing}"
        doubled = [name for name in component.singletons if isinstance(component.get(name), list)]
        assert not doubled, f"{component.name} has {doubled} twice"
    assert {component.name for component in components} <= {"VCALENDAR", "VEVENT", "VALARM"}
    assert calendar.to_ical(sorted=False) and Calendar.from_ical(calendar.to_ical()) == calendar
    return [event(component) for component in calendar.walk("VEVENT")]


def event(component) -> dict:
    [alarm] = component.walk("VALARM")
    starts = component.decoded("DTSTART")
    assert alarm["ACTION"] == "DISPLAY" and alarm["DESCRIPTION"] == component["SUMMARY"]
    assert alarm.decoded("TRIGGER").total_seconds() == 0
    assert component.decoded("DTSTAMP").utcoffset().total_seconds() == 0
    return {
        "uid": str(component["UID"]),
        "starts": starts.timestamp(),
        "minutes": component.decoded("DURATION").total_seconds() / 60,
        "summary": str(component["SUMMARY"]),
        "description": str(component["DESCRIPTION"]),
        "blocks_time": str(component["TRANSP"]) != "TRANSPARENT",
    }


def second_reader(text: bytes) -> list[dict]:
    events = ics.Calendar(text.decode()).events
    return [
        {
            "uid": event.uid,
            "starts": event.begin.float_timestamp,
            "minutes": event.duration.total_seconds() / 60,
            "summary": event.name,
            "description": event.description,
            "blocks_time": not event.transparent,
        }
        for event in events
    ]


def in_order(events: list[dict]) -> list[dict]:
    # The second reader drops a line that holds nothing but the last blank of a text.
    events = [{**event, "description": event["description"].rstrip(" ")} for event in events]
    return sorted(events, key=lambda event: event["uid"])


def main() -> None:
    text = sys.stdin.buffer.read()
    one, other = first_reader(text), second_reader(text)
    assert in_order(one) == in_order(other), "the readers differ"
    json.dump(one, sys.stdout)


main()
