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


@pytest.mark.parametrize("way", ["invited", "open to all", "while the bot is away"])
async def test_an_upgraded_room_goes_on_in_its_successor(bot: Bot, ana: Person, encrypted: bool, way: str) -> None:
    old = await kitchen(bot, ana, encrypted)
    await ana.asks(old, bot.user, "added three litres", "3 l in green")
    if way == "open to all":
        await ana.set_state(old, "m.room.join_rules", {"join_rule": "public"})
    last = None
    if way == "while the bot is away":
        bot.kill()
        last = await ana.say(old, "added one litre")
    new = await ana.upgrade(old)
    if way != "open to all":
        await ana.invite(new, bot.user)
    if last is not None:
        # The answer waits for the new room, and no longer: the clock stands still.
        await bot.start()
        await ana.hears_answer(new, bot.user, last, "1 l in green")
        await ana.asks(new, bot.user, "undo", "1 l in green")
    await ana.sees_join(new, bot.user)
    await ana.asks(new, bot.user, "added two litres", "2 l in green")
    await until(lambda: ana.state(old, f"m.room.member/{bot.user}")["membership"] == "leave", "it leaves the old room")
    await bot.restart()
    await ana.asks(new, bot.user, "undo", "2 l in green")
    # It is no new room to it.
    assert [heard.answers for heard in ana.heard(new, bot.user)].count(None) == 0
    assert (bot.logged(old, "scraps"), bot.logged(new, "scraps")) == (0, 2 if last is None else 3)


async def test_a_room_that_claims_to_follow_another_gets_nothing_of_it(bot: Bot, ana: Person) -> None:
    room = await kitchen(bot, ana, encrypted=False)
    claim = await ana.make_room(bot.user, follows=room)
    await ana.sees_join(claim, bot.user)
    await ana.asks(claim, bot.user, "new bin red, 15 litres", "Red, 15 l")
    assert "reen" not in (await ana.asks(claim, bot.user, "status")).text
    await ana.asks(room, bot.user, "added three litres", "3 l in green")


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


async def test_an_edit_of_what_is_no_message_holds_nothing_up(bot: Bot, ana: Person, bo: Person) -> None:
    room = await ana.make_room(bo.user, bot.user, encrypted=True)
    await bo.join(room)
    await ana.sees_join(room, bot.user)
    ask = {"m.mentions": {"user_ids": [bot.user]}}
    await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: new bin green, 19 litres", **ask))
    await bo.say(room, "Soup tonight?")
    for odd in ("$nothing", "$a/../b?c=d#e", "$%2F%00", "$" + "x" * 254, "$" + "x" * 40_000, "$ä\u202e\U0001f373", "$"):
        bo.edit_unseen(room, odd, "Branbell: added three litres")
        await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: help", **ask))
    assert bot.logged(room, "scraps") == 0
