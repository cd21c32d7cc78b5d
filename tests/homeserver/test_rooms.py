"""Whom it follows into a room, and when it keeps silent there."""

from __future__ import annotations

import pytest

from bot import Bot
from homeserver import Homeserver, request
from person import Person
from waiting import until

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def test_it_joins_and_greets_once(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await ana.make_room(bot.user, encrypted=encrypted)
    await ana.sees_join(room, bot.user)
    greeting = await ana.hears(room, bot.user, lambda _: True, "a greeting")
    assert greeting.encrypted == encrypted
    await bot.restart()
    await ana.asks(room, bot.user, "help")
    assert [heard.answers for heard in ana.heard(room, bot.user)].count(None) == 1


async def test_it_declines_a_stranger(bot: Bot, stranger: Person, homeserver: Homeserver) -> None:
    room = await stranger.make_room(bot.user)

    def membership() -> str:
        path = f"/_matrix/client/v3/rooms/{room}/state/m.room.member/{bot.user}"
        return str(request(homeserver.url, "GET", path, token=stranger.token)["membership"])

    await until(lambda: membership() == "leave", "the invitation is declined")


async def test_an_invitation_waits_for_it(bot: Bot, ana: Person) -> None:
    bot.kill()
    room = await ana.make_room(bot.user)
    await bot.start()
    await ana.sees_join(room, bot.user)


async def test_it_is_silent_about_chatter_in_a_group(bot: Bot, ana: Person, bo: Person, encrypted: bool) -> None:
    room = await ana.make_room(bo.user, encrypted=encrypted)
    await bo.join(room)
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    await ana.hears(room, bot.user, lambda _: True, "a greeting")
    chatter = [
        await bo.say(room, "Anyone up for soup on Friday?"),
        await ana.say(room, "Yes, I will bring bread."),
        await bo.say(room, "Thanks, that is great."),
    ]
    asked = await ana.say(room, "Branbell: help", **{"m.mentions": {"user_ids": [bot.user]}})
    answer = await ana.hears_answer(room, bot.user, asked)
    # Answers leave in order: one to the chatter would have come before this one.
    assert not {heard.answers for heard in ana.heard(room, bot.user)} & set(chatter)
    # An answer to the bot is for the bot, without its name.
    question = await bo.answer(room, answer.event, "help")
    await ana.hears_answer(room, bot.user, question)


async def test_what_is_too_long_is_answered_where_it_was_meant_for_it(bot: Bot, ana: Person, bo: Person) -> None:
    book = "it was the best of bins, it was the worst of bins, " * 100
    alone = await ana.make_room(bot.user)
    await ana.sees_join(alone, bot.user)
    await ana.asks(alone, bot.user, book, "too long")
    shared = await ana.make_room(bo.user)
    await bo.join(shared)
    await ana.invite(shared, bot.user)
    await ana.sees_join(shared, bot.user)
    among_others = await ana.say(shared, book)
    asked = await ana.say(shared, book, **{"m.mentions": {"user_ids": [bot.user]}})
    await ana.hears_answer(shared, bot.user, asked, "too long")
    assert among_others not in {heard.answers for heard in ana.heard(shared, bot.user)}


async def test_what_was_said_before_it_came_is_not_for_it(bot: Bot, ana: Person) -> None:
    room = await ana.make_room()
    earlier = await ana.say(room, "new bin red, 19 litres")
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, "help")
    assert earlier not in {heard.answers for heard in ana.heard(room, bot.user)}
