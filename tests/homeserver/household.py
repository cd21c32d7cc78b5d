"""What people do in the crash test, and what has to come of it."""

from __future__ import annotations

import asyncio
import random
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field

from bot import Bot
from person import Heard, Person, in_thread
from waiting import until

# A bin takes so many logs; then it is sealed, and the next one begins.
LOGS_PER_BIN = 15
# One deed in so many is to open a room, up to so many rooms: joined, greeted and first shared keys with under faults.
DEEDS_PER_ROOM = 40
MOST_ROOMS = 6
# One log in so many is told in a thread under an earlier one.
LOGS_PER_THREAD = 3


@dataclass
class Log:
    """Something told, and how it stands after edits."""

    by: Person
    event: str
    bin: str
    millilitres: int | None  # none once it was taken back
    told: int = 1  # how often it was told: once, and once more with each edit


@dataclass
class Kitchen:
    """One room: what was said in it, so that it can be compared with what the bot kept and said."""

    room: str
    people: list[Person]
    bot: Bot
    encrypted: bool
    direct: bool
    logs: list[Log] = field(default_factory=list)
    # Everything that has to be answered, once.
    asked: list[str] = field(default_factory=list)
    # The first message of the thread that something was said in, where it was said in one: there it is answered.
    threads: dict[str, str] = field(default_factory=dict)
    bins: int = 0
    in_bin: int = 0

    @classmethod
    async def open(cls, bot: Bot, people: list[Person], *, encrypted: bool) -> Kitchen:
        """Makes a room of the first of them, with the others and the bot in it."""
        host, *guests = people
        room = await host.make_room(*[guest.user for guest in guests], encrypted=encrypted)
        for guest in guests:
            await guest.join(room)
        await host.invite(room, bot.user)
        await host.sees_join(room, bot.user)
        kitchen = cls(room, people, bot, encrypted, direct=not guests)
        await kitchen._next_bin()
        return kitchen

    @property
    def bin(self) -> str:
        """The bin that is being filled; names in letters only, which nothing takes for an amount."""
        letters = "abcdefghijklmnopqrstuvwxyz"
        return "bin" + letters[self.bins // 26 % 26] + letters[self.bins % 26]

    async def act(self, chance: random.Random) -> None:
        """One thing that somebody does."""
        if self.in_bin >= LOGS_PER_BIN:
            await self._say(self.people[0], f"sealed {self.bin}")
            await self._next_bin()
            return
        deed = chance.choices((self._log, self._edit, self._delete, self._ask), (70, 15, 5, 10))[0]
        await deed(chance)

    async def _next_bin(self) -> None:
        self.bins += 1
        self.in_bin = 0
        await self._say(self.people[0], f"new bin {self.bin}, 19 litres")

    async def _log(self, chance: random.Random) -> None:
        self.in_bin += 1
        amount = chance.randrange(100, 2000, 10)
        by = chance.choice(self.people)
        roots = [log.event for log in self.logs[-5:] if log.event not in self.threads]
        root = chance.choice(roots) if roots and chance.randrange(LOGS_PER_THREAD) == 0 else None
        event = await self._say(by, f"added {amount} ml to {self.bin}", root)
        self.logs.append(Log(by, event, self.bin, amount))

    async def _edit(self, chance: random.Random) -> None:
        # Not of a bin sealed since: log and sealing, caught up with at one instant of the clock, have no order,
        # and the bot asks whether the bin was opened again.
        known = [log for log in self.logs[-5:] if log.millilitres is not None and log.bin == self.bin]
        if not known:
            return await self._log(chance)
        log = chance.choice(known)
        amount = (log.millilitres or 0) + 10
        text = self._addressed(f"added {amount} ml to {log.bin}")
        self._awaits(await log.by.edit(self.room, log.event, text), self.threads.get(log.event))
        log.millilitres = amount
        log.told += 1
        return None

    async def _delete(self, chance: random.Random) -> None:
        """Takes back something that was answered: of what is gone before it was read, there is nothing to say."""
        answered = self.answers()
        known = [log for log in self.logs[-5:] if log.millilitres is not None and answered[log.event]]
        if not known:
            return await self._log(chance)
        log = chance.choice(known)
        self._awaits(await log.by.delete(self.room, log.event), self.threads.get(log.event))
        log.millilitres = None
        return None

    async def _ask(self, chance: random.Random) -> None:
        await self._say(chance.choice(self.people), "help")

    async def settle(self, progress: Callable[[], object]) -> None:
        """Waits for the answer to a last question: answers leave in order, so the others were given before."""
        await self._answered(await self._say(self.people[0], "help"), progress)

    async def hears_all(self, progress: Callable[[], object]) -> None:
        """Waits until the first person's client has shown an answer to everything."""
        for event in self.asked:
            await self._answered(event, progress)

    async def _answered(self, event: str, progress: Callable[[], object]) -> None:
        """Waits for the answer to a message, as long as there is progress."""
        await until(lambda: self.answers()[event] > 0, f"{event} is answered", progress=progress)

    def answers(self) -> Counter[str | None]:
        """How many answers were heard to each message."""
        return Counter(heard.answers for heard in self.heard())

    def heard(self) -> list[Heard]:
        """What the first person's client has shown of the bot."""
        return self.people[0].heard(self.room, self.bot.user)

    async def _say(self, by: Person, text: str, root: str | None = None) -> str:
        """Says something to the bot, in the thread under `root` if there is one."""
        mention = {} if self.direct else {"m.mentions": {"user_ids": [self.bot.user]}}
        thread = {} if root is None else in_thread(root)
        event = await by.say(self.room, self._addressed(text), **mention, **thread)
        self._awaits(event, root)
        return event

    def _awaits(self, event: str, root: str | None) -> None:
        """An answer has to come, in the thread under `root` if there is one."""
        self.asked.append(event)
        if root is not None:
            self.threads[event] = root

    def _addressed(self, text: str) -> str:
        """In a room of several, the bot has to be spoken to."""
        return text if self.direct else f"{self.bot.user}: {text}"


async def busy(kitchens: list[Kitchen], chance: random.Random, pause: float, floor: asyncio.Lock) -> None:
    """People do things, one after the other, and open more rooms; who has the `floor` keeps them silent."""
    while True:
        async with floor:
            like = chance.choice(kitchens)
            if len(kitchens) < MOST_ROOMS and chance.randrange(DEEDS_PER_ROOM) == 0:
                kitchens.append(await Kitchen.open(like.bot, like.people, encrypted=like.encrypted))
            else:
                await like.act(chance)
        await asyncio.sleep(chance.uniform(0, pause))
