"""What people can do to a room and to the bot in it: put it out, silence it, encrypt, change another's words."""

from __future__ import annotations

import pytest

from bot import Bot
from person import Person
from test_kitchen import kitchen
from waiting import until

pytestmark = pytest.mark.asyncio(loop_scope="session")


@pytest.mark.parametrize("ban", [False, True], ids=["kicked", "banned"])
async def test_put_out_it_serves_the_others_and_comes_back_when_asked(bot: Bot, ana: Person, ban: bool) -> None:
    room = await kitchen(bot, ana, encrypted=False)
    other = await kitchen(bot, ana, encrypted=False)
    await ana.put_out(room, bot.user, ban=ban)
    await ana.asks(other, bot.user, "added two litres", "2 l in green")
    await bot.restart()
    await ana.asks(other, bot.user, "help")
    if ban:
        await ana.readmit(room, bot.user)
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    # It knows the bin that it was told of before, and greets nobody twice.
    await ana.asks(room, bot.user, "added three litres", "3 l in green")
    assert [heard.answers for heard in ana.heard(room, bot.user)].count(None) == 1


async def test_encryption_is_switched_on(bot: Bot, ana: Person) -> None:
    room = await kitchen(bot, ana, encrypted=False)
    await ana.encrypt(room)
    answer = await ana.asks(room, bot.user, "added three litres", "3 l in green")
    assert answer.encrypted


async def test_silenced_it_goes_on_listening(bot: Bot, ana: Person) -> None:
    room = await kitchen(bot, ana, encrypted=False)
    levels = ana.state(room, "m.room.power_levels")
    await ana.set_state(room, "m.room.power_levels", levels | {"events_default": 50})
    unanswered = await ana.say(room, "added three litres")
    await until(lambda: bot.logged(room, "scraps") == 1, "the log is kept")
    await until(lambda: bot.given_up(room) == 1, "the answer is given up")
    await ana.set_state(room, "m.room.power_levels", levels)
    await ana.asks(room, bot.user, "added two litres", "2 l in green")
    # Stale answers do not come in a storm when it may speak again.
    assert unanswered not in {heard.answers for heard in ana.heard(room, bot.user)}


async def test_nobody_changes_what_another_said(bot: Bot, ana: Person, bo: Person) -> None:
    room = await ana.make_room(bo.user)
    await bo.join(room)
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    ask = {"m.mentions": {"user_ids": [bot.user]}}
    await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: new bin green, 19 litres", **ask))
    said = await ana.say(room, "Soup tonight?")
    forged = await bo.edit(room, said, "Branbell: added three litres")
    await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: help", **ask))
    assert bot.logged(room, "scraps") == 0
    assert forged not in {heard.answers for heard in ana.heard(room, bot.user)}
    # It is still hers to change.
    changed = await ana.edit(room, said, "Branbell: added two litres")
    await ana.hears_answer(room, bot.user, changed, "2 l in green")
