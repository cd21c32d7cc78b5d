"""Thousands of messages a minute in one room: the others notice nothing, and none of them is lost."""

from __future__ import annotations

import os
import signal
from collections import Counter

import pytest

from bot import Bot
from person import Person
from test_kitchen import kitchen
from waiting import until

pytestmark = pytest.mark.asyncio(loop_scope="session")

FLOOD = 300


async def test_a_flood_in_one_room_keeps_no_other_waiting(bot: Bot, ana: Person) -> None:
    flooded = await kitchen(bot, ana, encrypted=False)
    quiet = await kitchen(bot, ana, encrypted=False)
    # All of it is there at once, when the bot looks again.
    os.kill(bot.pid, signal.SIGSTOP)
    told = await ana.flood(flooded, ["added 10 ml to green"] * FLOOD)
    os.kill(bot.pid, signal.SIGCONT)
    await until(lambda: bot.logged(flooded, "scraps") > 0, "it reads the flood")
    await ana.asks(quiet, bot.user, "added two litres", "2 l in green")

    def answers() -> Counter[str | None]:
        return Counter(heard.answers for heard in ana.heard(flooded, bot.user))

    before = sum(answers()[event] for event in told)
    assert before < FLOOD / 2, f"{before} answers went before"
    await until(lambda: all(answers()[event] for event in told), "all is answered", progress=answers)
    assert {answers()[event] for event in told} == {1}
    assert bot.logged(flooded, "scraps") == FLOOD
