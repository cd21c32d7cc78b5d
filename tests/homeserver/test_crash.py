"""Killed at any point and started again: nothing lost, nothing doubled."""

from __future__ import annotations

import re
from collections import Counter
from datetime import timedelta

import pytest

from bot import Bot, after
from person import Person
from test_kitchen import MORNING, kitchen

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
    total = await ana.asks(room, bot.user, "added 1 litre", "1 l in green")
    assert re.search(rf"\b{len(POINTS) + 1} of 19 l", total.text), total.text
    answers = Counter(heard.answers for heard in ana.heard(room, bot.user))
    assert [answers[log] for log in logs] == [1] * len(logs)


async def test_a_message_while_it_is_down_is_answered_once(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    bot.kill()
    logs = [await ana.say(room, "added 1 litre") for _ in range(3)]
    await bot.start()
    await ana.asks(room, bot.user, "added 1 litre", "4 of 19 l")
    answers = Counter(heard.answers for heard in ana.heard(room, bot.user))
    assert [answers[log] for log in logs] == [1, 1, 1]


@pytest.mark.parametrize("point", POINTS)
async def test_a_nudge_comes_once(bot: Bot, ana: Person, encrypted: bool, point: int) -> None:
    room = await kitchen(bot, ana, encrypted)
    await ana.asks(room, bot.user, "added 6 litres", "6 l in green")
    bot.set_clock(MORNING + timedelta(days=4))
    await after(point)
    await bot.restart()
    nudge = await ana.hears(room, bot.user, lambda heard: heard.text.startswith("Drain green"), "the nudge")
    await ana.asks(room, bot.user, "help")
    texts = [heard.text for heard in ana.heard(room, bot.user)]
    assert len([text for text in texts if text.startswith("Drain green")]) == 1
    taps = Counter(tap.content["m.relates_to"]["key"] for tap in ana.reactions(room, bot.user))
    assert set(taps.values()) == {1}
    assert {tap.content["m.relates_to"]["event_id"] for tap in ana.reactions(room, bot.user)} == {nudge.event}
