"""A message that comes before its key is read when the key comes; one whose key never comes is spoken of once."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot import Bot
from person import Person
from test_kitchen import MORNING

pytestmark = pytest.mark.asyncio(loop_scope="session")


@pytest.mark.parametrize("restarted", [False, True], ids=["running", "restarted"])
async def test_a_message_waits_for_its_key(bot: Bot, ana: Person, restarted: bool) -> None:
    room = await ana.make_room(bot.user, encrypted=True)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, "help")
    early, send_key = ana.say_without_key(room, "help")
    # A later message of the same sender, under a key that has come, shows that the early one was passed over.
    ana.forget_key(room)
    await ana.asks(room, bot.user, "help")
    assert early not in {heard.answers for heard in ana.heard(room, bot.user)}
    if restarted:
        await bot.restart()
    send_key()
    await ana.hears_answer(room, bot.user, early)
    await ana.asks(room, bot.user, "help")
    assert [heard.answers for heard in ana.heard(room, bot.user)].count(early) == 1


async def test_it_says_once_that_it_could_not_read(bot: Bot, ana: Person) -> None:
    bot.set_clock(MORNING)
    room = await ana.make_room(bot.user, encrypted=True)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, "new bin green, 19 litres")
    lost = [ana.say_without_key(room, "added three litres") for _ in range(2)]
    ana.forget_key(room)
    await ana.asks(room, bot.user, "help")
    assert not {heard.answers for heard in ana.heard(room, bot.user)} & {event for event, _ in lost}
    bot.set_clock(MORNING + timedelta(minutes=6))
    await ana.asks(room, bot.user, "help")
    await ana.hears_answer(room, bot.user, lost[1][0], "could not read your last 2 messages")
    # Said again, and then the keys come after all: it is written down once.
    await bot.restart()
    await ana.asks(room, bot.user, "added three litres", "3 l in green")
    for _, send_key in lost:
        send_key()
    await ana.asks(room, bot.user, "help")
    assert bot.logged(room, "scraps") == 1
    answers = [heard.answers for heard in ana.heard(room, bot.user)]
    assert [answers.count(event) for event, _ in lost] == [0, 1]


async def test_among_several_it_keeps_silent_about_what_it_cannot_read(bot: Bot, ana: Person, bo: Person) -> None:
    bot.set_clock(MORNING)
    room = await ana.make_room(bo.user, encrypted=True)
    await bo.join(room)
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    ask = {"m.mentions": {"user_ids": [bot.user]}}
    await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: help", **ask))
    lost, _ = ana.say_without_key(room, "soup tonight?")
    ana.forget_key(room)
    await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: help", **ask))
    bot.set_clock(MORNING + timedelta(minutes=6))
    for _ in range(2):
        await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: help", **ask))
    assert lost not in {heard.answers for heard in ana.heard(room, bot.user)}
