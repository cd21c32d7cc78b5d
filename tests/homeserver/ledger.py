"""Compares what people said, what the bot kept, and what stands in the room."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bot import PROGRAM
from household import Kitchen

Json = dict[str, Any]


@dataclass
class Verdict:
    """What was counted, and each loss and each double in a sentence."""

    rooms: int = 0
    logs: int = 0
    replies: int = 0
    threaded: int = 0
    nudges: int = 0
    doubles: list[str] = field(default_factory=list)
    losses: list[str] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        return not (self.doubles or self.losses)

    def expect(self, what: str, found: int, wanted: int = 1) -> None:
        if found != wanted:
            (self.doubles if found > wanted else self.losses).append(f"{what}: {found} instead of {wanted}")


def export(store: list[str], room: str, to: Path) -> dict[str, list[Json]]:
    """All that the bot kept of a room, by kind, as it gives it out itself; an older export is replaced."""
    shutil.rmtree(to, ignore_errors=True)
    command = [PROGRAM, "export", *store, "--room", room, "--to", str(to)]
    subprocess.run(command, check=True, capture_output=True, text=True, timeout=120)
    rows: dict[str, list[Json]] = defaultdict(list)
    for line in (to / "room.jsonl").read_text().splitlines()[1:]:
        [(kind, row)] = json.loads(line).items()
        rows[kind].append(row)
    return rows


def compare(kitchen: Kitchen, rows: dict[str, list[Json]], verdict: Verdict) -> None:
    """Looks for what is missing and for what is there twice."""
    verdict.rooms += 1
    _logs(kitchen, rows["fact"], verdict)
    _replies(kitchen, verdict)
    _threads(kitchen, rows["outgoing"], verdict)
    _nudges(rows, verdict)
    _room(kitchen, rows, verdict)


def _logs(kitchen: Kitchen, facts: list[Json], verdict: Verdict) -> None:
    """Each log told as often as somebody told it, and standing as it was told last."""
    void = {seq for fact in facts if fact["body"]["kind"] == "void" for seq in fact["body"]["seqs"]}
    told = Counter(fact["event"] for fact in facts if fact["body"]["kind"] == "scraps")
    standing = defaultdict(list)
    for fact in facts:
        if fact["body"]["kind"] == "scraps" and fact["seq"] not in void:
            standing[fact["event"]].append(fact["body"])
    for log in kitchen.logs:
        verdict.expect(f"facts of the log {log.event}", told[log.event], log.told)
        kept = [(body["bin"], body["ml"]) for body in standing[log.event]]
        wanted = [] if log.millilitres is None else [(log.bin, log.millilitres)]
        if kept != wanted:
            verdict.losses.append(f"the log {log.event}: {kept} stands instead of {wanted}")
    strange = set(told) - {log.event for log in kitchen.logs}
    verdict.doubles.extend(f"a log that nobody told, of {event}" for event in strange)
    verdict.logs += sum(log.told for log in kitchen.logs)


def _replies(kitchen: Kitchen, verdict: Verdict) -> None:
    """Each question, log, edit and deletion answered once, readably."""
    answers = kitchen.answers()
    for event in kitchen.asked:
        verdict.expect(f"answers to {event}", answers[event])
    verdict.replies += len(kitchen.asked)


def _threads(kitchen: Kitchen, outgoing: list[Json], verdict: Verdict) -> None:
    """Each answer where it was asked, in the room and in the outbox: in the thread, or in none."""
    stands = [("in the room", heard.answers, heard.thread) for heard in kitchen.heard()]
    messages = [row["body"]["message"] for row in outgoing if "message" in row["body"]]
    stands += [("in the outbox", message.get("re"), message.get("thread")) for message in messages]
    for where, answered, thread in stands:
        wanted = None if answered is None else kitchen.threads.get(answered)
        if thread != wanted:
            verdict.losses.append(f"the answer to {answered} {where}: in the thread {thread} instead of {wanted}")
    verdict.threaded += len(kitchen.threads)


def _nudges(rows: dict[str, list[Json]], verdict: Verdict) -> None:
    """Each nudge in the outbox as often as it was said to be sent, alone or with others in one message."""
    causes = [row["cause"] for row in rows["outgoing"] if "message" in row["body"]]
    said = Counter(
        key for cause in causes if cause.startswith("nudge:") for key in cause.removeprefix("nudge:").split("\n")
    )
    for nudge in rows["nudge"]:
        verdict.expect(f"the nudge {nudge['key']}", said[nudge["key"]], nudge["attempts"])
        verdict.nudges += nudge["attempts"]


def _room(kitchen: Kitchen, rows: dict[str, list[Json]], verdict: Verdict) -> None:
    """Each row of the outbox is one event of the room, and each event of the bot is one row."""
    first = kitchen.people[0]
    in_room = Counter(first.sent_by(kitchen.room, kitchen.bot.user))
    readable = {said.event for said in kitchen.heard()}
    verdict.expect("greetings", sum(row["txn"] == "greeting" for row in rows["outgoing"]))
    for row in rows["outgoing"]:
        if row["event"] is None:
            verdict.losses.append(f"never sent: {row['txn']} ({row['failure']})")
            continue
        verdict.expect(f"{row['txn']} in the room", in_room.pop(row["event"], 0))
        if "message" in row["body"] and row["event"] not in readable:
            verdict.losses.append(f"nobody could read {row['txn']}: {first.why_unread(row['event'])}")
    verdict.doubles.extend(f"in the room and not in the outbox: {event}" for event in in_room)
    verdict.losses.extend(f"never read: {row['event']}" for row in rows["unread"])
