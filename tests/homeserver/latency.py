"""Measures how soon the bot answers, beside a bot that only echoes by another library, in one run on one homeserver.

    BRANBELL_PROGRAM=... python latency.py [MESSAGES [ROUNDS]]

The time is taken from before the message is sent until the answer is in the sender's client, decrypted.
"""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from bot import Bot
from homeserver import Account, Homeserver
from person import Person
from waiting import until


class EchoBot:
    """The other one, as a process."""

    def __init__(self, homeserver: Homeserver, account: Account, folder: Path) -> None:
        self.user = account.user
        folder.mkdir()
        self._log = folder / "log"
        script = str(Path(__file__).with_name("echo_bot.py"))
        command = [sys.executable, script, homeserver.url, account.user, account.password, str(folder)]
        with self._log.open("ab") as log:
            self._process = subprocess.Popen(command, stdout=log, stderr=log)

    async def ready(self) -> None:
        await until(lambda: f"{self.user} listens" in self._log.read_text(), "the echo bot listens")

    @property
    def pid(self) -> int:
        return self._process.pid

    def kill(self) -> None:
        self._process.kill()
        self._process.wait()


async def echoes(ana: Person, bot: str, encrypted: bool, messages: int, said: Callable[[int], str]) -> list[float]:
    """Milliseconds from question to answer, one after the other."""
    room = await ana.make_room(bot, encrypted=encrypted)
    await ana.sees_join(room, bot)
    await ana.asks(room, bot, said(0))
    times = []
    for number in range(messages):
        began = time.monotonic()
        answer = await ana.asks(room, bot, said(number + 1))
        times.append((answer.at - began) * 1000)
    return sorted(times)


def show(name: str, rounds: list[list[float]]) -> None:
    """One line: the median of the rounds' medians and of their 99th percentiles, and what they lay between."""
    middles = [median(times) for times in rounds]
    ends = [times[int(len(times) * 0.99)] for times in rounds]
    print(
        f"{name:32} p50 {median(middles):6.1f} ms ({min(middles):.1f} to {max(middles):.1f})"
        f"   p99 {median(ends):6.1f} ms ({min(ends):.1f} to {max(ends):.1f})",
        flush=True,
    )


def memory(pid: int) -> float:
    """Resident memory in MiB."""
    pages = int(Path(f"/proc/{pid}/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20


async def measure(folder: Path, messages: int, rounds: int) -> None:
    homeserver = Homeserver(folder)
    await homeserver.start()
    ours = Bot(homeserver, homeserver.register("branbell"), folder)
    theirs: EchoBot | None = None
    ana: Person | None = None
    try:
        ana = await Person.log_in(homeserver, homeserver.register("ana"), folder / "ana")
        began = time.monotonic()
        await ours.start()
        print(f"first start {time.monotonic() - began:.2f} s")
        ours.stop()
        began = time.monotonic()
        await ours.start()
        print(f"start       {time.monotonic() - began:.2f} s, {memory(ours.pid):.1f} MiB")
        began = time.monotonic()
        theirs = EchoBot(homeserver, homeserver.register("echo"), folder / "echo")
        await theirs.ready()
        print(f"echo bot    {time.monotonic() - began:.2f} s, {memory(theirs.pid):.1f} MiB")
        for encrypted in (False, True):
            kind = "encrypted" if encrypted else "plain"
            timed: dict[str, list[list[float]]] = {"branbell": [], "echo": []}
            for _ in range(rounds):
                timed["branbell"].append(await echoes(ana, ours.user, encrypted, messages, lambda _: "help"))
                timed["echo"].append(await echoes(ana, theirs.user, encrypted, messages, str))
            show(f"branbell, {kind} room", timed["branbell"])
            show(f"echo by matrix-nio, {kind} room", timed["echo"])
        print(f"after       branbell {memory(ours.pid):.1f} MiB, echo bot {memory(theirs.pid):.1f} MiB")
    finally:
        ours.kill()
        if theirs is not None:
            theirs.kill()
        if ana is not None:
            await ana.log_off()
        homeserver.stop()


def main() -> None:
    given = [int(argument) for argument in sys.argv[1:]]
    messages, rounds = given + [100, 3][len(given) :]
    with tempfile.TemporaryDirectory() as folder:
        asyncio.run(measure(Path(folder), messages, rounds))


if __name__ == "__main__":
    main()
