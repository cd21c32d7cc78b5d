"""A message that comes before its key is read when the key comes."""

from __future__ import annotations

import pytest

from bot import Bot
from person import Person

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
