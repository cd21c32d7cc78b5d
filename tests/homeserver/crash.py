"""The crash test: people log and edit while the bot is killed, its homeserver goes away and its line fails; at the end
nothing is lost and nothing is there twice. `cargo run -p branbell-tests --bin crash` makes what it needs and runs it.

    python crash.py --kills N --seed S [--database URL]

The seed decides what people do, where the bot is killed and what goes wrong on the line; how far each of them has come
by then is decided by the machine.
"""

from __future__ import annotations

import argparse
import asyncio
import logging
import math
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot import Bot
from homeserver import Homeserver
from household import Kitchen, busy
from ledger import Verdict, compare, export
from person import Person
from proxy import POINTS, Proxy
from service import Service
from waiting import PATIENCE

# Once it listens, the bot is given so long to come to the point where it is to be killed; else it is killed anywhere.
SOON = 1.5
# Killed at random, it has run for so long at most: from before it has started to well after.
LONGEST_RUN = 1.4
# A random instant is chosen so often, beside the named points.
RANDOM_WEIGHT = 6
# Between two kills the clock goes on by so much at most, besides the time that passes.
LONGEST_LEAP = timedelta(hours=1)
# The homeserver is stopped and started again after so many kills.
KILLS_PER_OUTAGE = 25
# After so many kills it may live until it has nothing more to say, and all is compared; by then more than a day has
# passed on its clock.
KILLS_PER_REST = 100
# What is on its way then may arrive within so many seconds, before it counts as lost.
GRACE = 30
# One kill in so many is a pause instead, where a standby can take over.
KILLS_PER_PAUSE = 40
AT_RANDOM = "at random"
PAUSED = "paused, and back after another took over"


class Clock:
    """The bot's time: it passes as ours does, and leaps."""

    def __init__(self, bot: Bot) -> None:
        self._bot = bot
        morning = datetime.now(UTC).replace(hour=10, minute=0, second=0, microsecond=0) + timedelta(days=1)
        self._ahead = morning - datetime.now(UTC)
        self.tick()

    def now(self) -> datetime:
        return datetime.now(UTC) + self._ahead

    def leap(self, by: timedelta) -> None:
        self._ahead += by
        self.tick()

    def tick(self) -> None:
        self._bot.set_clock(self.now())

    async def run(self) -> None:
        while True:
            self.tick()
            await asyncio.sleep(0.1)


class Crash:
    """One run."""

    def __init__(self, folder: Path, kills: int, seed: int, database: str | None) -> None:
        self._folder = folder
        self._kills = kills
        # Each of its own, so that how many numbers one has used changes nothing for the others.
        self._where = random.Random(f"where {seed}")
        self._people = random.Random(f"people {seed}")
        self._database = database
        self._homeserver = Homeserver(folder)
        self._proxy = Proxy(self._homeserver.url, random.Random(f"line {seed}"))
        self._killed: Counter[str] = Counter()
        self._outages: list[float] = []
        self._humans: list[Person] = []
        self._service: Service | None = None
        self._enough = False
        # People say something only while they have it.
        self._floor = asyncio.Lock()

    async def run(self) -> bool:
        """Plays, compares and prints; tells whether all is well."""
        began = time.monotonic()
        # Told to end, it kills no more, and compares what there is.
        asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, setattr, self, "_enough", True)
        tasks: list[asyncio.Task[None]] = []
        try:
            await self._homeserver.start()
            await self._proxy.start()
            bot = self._bot()
            clock = Clock(bot)
            tasks.append(asyncio.create_task(clock.run()))
            service = self._service = Service(bot, self._proxy, standby=self._database is not None)
            # The very first start makes the device and signs it; from then on anything may go wrong.
            await service.ready()
            for name in ("ana", "bo"):
                account = self._homeserver.register(name)
                self._humans.append(await Person.log_in(self._homeserver, account, self._folder / name))
            kitchens = await self._kitchens(bot)
            self._proxy.rough = True
            people = asyncio.create_task(busy(kitchens, self._people, 0.8, self._floor))
            tasks.append(people)
            while sum(self._killed.values()) < self._kills and not self._enough:
                if people.done():
                    people.result()
                await self._kill(service)
                clock.leap(LONGEST_LEAP * self._where.random())
                if sum(self._killed.values()) % KILLS_PER_OUTAGE == KILLS_PER_OUTAGE // 2:
                    await self._outage(service)
                if sum(self._killed.values()) % KILLS_PER_REST == 0:
                    await self._look(service, kitchens)
            self._proxy.rough = False
            async with self._floor:
                people.cancel()
            await asyncio.gather(people, return_exceptions=True)
            await self._rest(service, kitchens)
            # Days pass, and all nudges come.
            clock.leap(timedelta(days=4))
            await self._rest(service, kitchens)
            for kitchen in kitchens:
                await kitchen.hears_all(self._progress(kitchens))
            await service.stop()
            verdict = self._compare(kitchens)
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)
            await self._clean_up()
        return self._report(verdict, service, time.monotonic() - began)

    def _bot(self) -> Bot:
        bot = Bot(self._homeserver, self._homeserver.register("branbell"), self._folder)
        database = None
        if self._database is not None:
            file = self._folder / "database"
            file.write_text(self._database)
            file.chmod(0o600)
            database = "database"
        bot.configure(homeserver=self._proxy.url, database_file=database)
        return bot

    async def _kitchens(self, bot: Bot) -> list[Kitchen]:
        ana, bo = self._humans
        return [
            await Kitchen.open(bot, [ana], encrypted=False),
            await Kitchen.open(bot, [ana], encrypted=True),
            await Kitchen.open(bot, [ana, bo], encrypted=True),
        ]

    async def _kill(self, service: Service) -> None:
        """Starts the bot if it does not run, and kills it at a random instant or at one of the named points."""
        service.fill()
        if self._database is not None and self._where.random() < 1 / KILLS_PER_PAUSE:
            self._killed[PAUSED] += 1
            self._proxy.rough, rough = False, self._proxy.rough
            await service.pause()
            self._proxy.rough = rough
            return
        [point] = self._where.choices((None, *POINTS), (RANDOM_WEIGHT, *(point.weight for point in POINTS)))
        end = time.monotonic() + (self._where.uniform(0, LONGEST_RUN) if point is None else PATIENCE)
        late = False
        sprung = asyncio.Event()

        def spring() -> None:
            service.kill()
            sprung.set()

        if point is not None:
            self._proxy.set_trap(point, spring)
        while not sprung.is_set() and time.monotonic() < end:
            if service.listens() and point is not None and not late:
                late = True
                end = time.monotonic() + SOON
            await asyncio.sleep(0.01)
        self._proxy.clear_trap()
        if not sprung.is_set():
            service.kill()
        self._killed[point.name if point is not None and sprung.is_set() else AT_RANDOM] += 1

    async def _rest(self, service: Service, kitchens: list[Kitchen]) -> None:
        """Lets the bot live until it has said all that was not said yet. Killed again and again at the first thing it
        says, it says no more than one a life.
        """
        rough, self._proxy.rough = self._proxy.rough, False
        await service.ready()
        for kitchen in kitchens:
            await kitchen.settle(self._progress(kitchens))
        self._proxy.rough = rough

    async def _look(self, service: Service, kitchens: list[Kitchen]) -> None:
        """Compares what there is so far; after a loss or a double it kills no more, and the end tells of it."""
        async with self._floor:
            await self._rest(service, kitchens)
            verdict = self._compare(kitchens)
            for _ in range(GRACE):
                if verdict.clean:
                    break
                await asyncio.sleep(1)
                verdict = self._compare(kitchens)
        print(f"after {sum(self._killed.values())} kills: {self._counts(verdict)}", flush=True)
        self._enough |= not verdict.clean

    @staticmethod
    def _progress(kitchens: list[Kitchen]) -> Callable[[], object]:
        """How much the bot has said so far, wherever."""
        return lambda: sum(len(kitchen.heard()) for kitchen in kitchens)

    async def _outage(self, service: Service) -> None:
        """The homeserver goes away and comes back, sometimes while the bot starts."""
        began = time.monotonic()
        await self._homeserver.restart()
        self._outages.append(time.monotonic() - began)
        service.homeserver_is_back()

    def _compare(self, kitchens: list[Kitchen]) -> Verdict:
        verdict = Verdict()
        if self._database is None:
            store = ["--data", str(kitchens[0].bot.data)]
        else:
            store = ["--store", self._database, "--account", kitchens[0].bot.user]
        for number, kitchen in enumerate(kitchens):
            compare(kitchen, export(store, kitchen.room, self._folder / f"export{number}"), verdict)
        return verdict

    async def _clean_up(self) -> None:
        if self._service is not None:
            self._service.abandon()
        for person in self._humans:
            await person.log_off()
        await self._proxy.stop()
        self._homeserver.stop()

    def _report(self, verdict: Verdict, service: Service, seconds: float) -> bool:
        print(f"{sum(self._killed.values())} kills, {'SQLite' if self._database is None else 'PostgreSQL'}")
        for name, count in sorted(self._killed.items()):
            print(f"  {count:5} {name}")
        print(f"the homeserver was away: {spread(self._outages)}")
        faults = sorted(self._proxy.faults.items())
        print(f"{sum(self._proxy.faults.values())} faults on the line:", ", ".join(f"{n} {f}" for f, n in faults))
        print(f"back after a kill: {spread(service.back_after_kill)}")
        if service.back_after_pause:
            print(f"another took over after a pause: {spread(service.back_after_pause)}")
        print(f"from either to its first words, once there was something to say: {spread(service.first_words)}")
        if self._database is not None:
            print(f"{service.overtaken} times one that served found that another had taken over, and left")
            if service.locked_out:
                print(f"{service.locked_out} times one was paused while it wrote its keys: taken over when it went on")
        print(f"{sum(person.late_keys for person in self._humans)} times a message was there before its key")
        print(f"{self._counts(verdict)}, {len(service.ended)} unwanted ends")
        for sentence in [*verdict.doubles, *verdict.losses, *service.ended]:
            print(f"  {sentence}")
        print(f"{seconds:.0f} s")
        return verdict.clean and not service.ended

    @staticmethod
    def _counts(verdict: Verdict) -> str:
        replies = f"{verdict.replies} replies ({verdict.threaded} in threads)"
        told = f"{verdict.rooms} rooms, {verdict.logs} logs and edits, {replies}, {verdict.nudges} nudges"
        return f"{told}: {len(verdict.doubles)} doubled, {len(verdict.losses)} lost"


def spread(seconds: list[float]) -> str:
    """How durations lie: up to which half of them go, nine and 99 of a hundred, and all."""
    if not seconds:
        return "never measured"
    ordered = sorted(seconds)
    half, most, nearly_all = (ordered[math.ceil(len(ordered) * share) - 1] for share in (0.5, 0.9, 0.99))
    return (
        f"{half:.1f} s (median), {most:.1f} s (90 %), {nearly_all:.1f} s (99 %), {ordered[-1]:.1f} s at most, "
        f"{len(ordered)} times"
    )


def main() -> None:
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--kills", type=int, required=True)
    arguments.add_argument("--seed", type=int, required=True)
    arguments.add_argument("--database")
    given = arguments.parse_args()
    logging.disable(logging.WARNING)  # The clients of the people tell what a line with faults makes of itself.
    folder = Path(tempfile.mkdtemp(prefix="branbell-crash-"))
    well = asyncio.run(Crash(folder, given.kills, given.seed, given.database).run())
    if not well:
        sys.exit(f"what was left behind is in {folder}")
    shutil.rmtree(folder)


if __name__ == "__main__":
    main()
