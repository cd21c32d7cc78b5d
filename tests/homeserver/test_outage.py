"""The homeserver goes away, or forgets."""

from __future__ import annotations

import pytest

from bot import Bot
from homeserver import Homeserver
from person import Person

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def test_it_comes_back_after_the_homeserver_was_away(
    bot: Bot, ana: Person, homeserver: Homeserver, encrypted: bool
) -> None:
    room = await ana.make_room(bot.user, encrypted=encrypted)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, "help")
    await homeserver.restart()
    await ana.asks(room, bot.user, "help")


async def test_after_a_day_it_looks_before_it_sends_again(
    bot: Bot, ana: Person, bo: Person, homeserver: Homeserver, encrypted: bool
) -> None:
    room = await ana.make_room(bo.user, encrypted=encrypted)
    await bo.join(room)
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    ask = {"m.mentions": {"user_ids": [bot.user]}}
    asked = await ana.say(room, "Branbell: help", **ask)
    answer = await ana.hears_answer(room, bot.user, asked)
    # More than a page lies between the answer and the newest message, so that catching up does not come upon it.
    for number in range(110):
        await bo.say(room, f"verse {number}")
    last = await ana.say(room, "Branbell: help", **ask)
    await ana.hears_answer(room, bot.user, last)

    assert bot.stop() == 0
    bot.forget_sending(room, answer.event)
    await homeserver.restart(forgetful=True)
    await bot.start()
    await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: help", **ask))
    assert [heard.answers for heard in ana.heard(room, bot.user)].count(asked) == 1
    assert "looking for it in the room first" in bot.log.read_text()
