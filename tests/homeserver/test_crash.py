"""Killed at any point and started again: nothing lost, nothing doubled."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest

from bot import Bot, after
from person import Person
from test_kitchen import MORNING, TAPS, kitchen

pytestmark = pytest.mark.asyncio(loop_scope="session")

# Milliseconds after which it is killed: before it hears of the message, while it takes it in, while it answers, after.
POINTS = (0, 5, 10, 15, 20, 30, 45, 70, 120)


async def test_each_log_is_kept_and_answered_once(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    logs = []
    for point in POINTS:
        logs.append(await ana.say(room, "added 1 litre"))
        await after(point)
        await bot.restart()
    for log in logs:
        await ana.hears_answer(room, bot.user, log, "1 l in green")
    await ana.asks(room, bot.user, "help")
    assert bot.logged(room, "scraps") == len(logs)
    answers = Counter(heard.answers for heard in ana.heard(room, bot.user))
    assert [answers[log] for log in logs] == [1] * len(logs)


async def test_a_message_while_it_is_down_is_answered_once(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    bot.kill()
    logs = [await ana.say(room, "added 1 litre") for _ in range(3)]
    await bot.start()
    await ana.asks(room, bot.user, "added 1 litre", "1 l in green")
    assert bot.logged(room, "scraps") == 4
    answers = Counter(heard.answers for heard in ana.heard(room, bot.user))
    assert [answers[log] for log in logs] == [1, 1, 1]


@pytest.mark.parametrize("point", POINTS[::2])
async def test_a_nudge_comes_once(bot: Bot, ana: Person, encrypted: bool, point: int) -> None:
    room = await kitchen(bot, ana, encrypted)
    await ana.asks(room, bot.user, "added 6 litres and 8 tbsp bran", "6 l in green")
    bot.set_clock(MORNING + timedelta(days=4))
    await after(point)
    await bot.restart()
    await ana.hears(room, bot.user, lambda heard: heard.text.startswith("Drain green"), "the nudge")
    # What was to be sent before this has been sent when it is answered.
    await ana.asks(room, bot.user, "help")
    nudges = [heard for heard in ana.heard(room, bot.user) if heard.text.startswith("Drain green")]
    assert len(nudges) == 1
    taps = [tap.content["m.relates_to"] for tap in ana.reactions(room, bot.user)]
    assert [(tap["event_id"], tap["key"]) for tap in taps] == [(nudges[0].event, sign) for sign in TAPS]
