"""The main job in a room: a log, its answer, a nudge when it is due, and what people do with it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from bot import Bot
from person import Person

pytestmark = pytest.mark.asyncio(loop_scope="session")

# A morning outside the quiet hours, in the zone of the bot's rooms.
MORNING = datetime.now(UTC).replace(hour=10, minute=0, second=0, microsecond=0) + timedelta(days=1)

# What the bot puts on its nudges, for tapping: done, later, not me.
TAPS = ["✅", "💤", "🙅"]


async def kitchen(bot: Bot, ana: Person, encrypted: bool) -> str:
    """A one-to-one room with one bin in it."""
    bot.set_clock(MORNING)
    room = await ana.make_room(bot.user, encrypted=encrypted)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, "new bin green, 19 litres", "Green, 19 l")
    return room


async def test_a_log_is_answered(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    answer = await ana.asks(room, bot.user, "added three litres", r"3 l in green")
    assert answer.encrypted == encrypted
    assert answer.content["format"] == "org.matrix.custom.html"


async def test_an_edit_changes_the_log(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    log = await ana.say(room, "added three litres")
    await ana.hears_answer(room, bot.user, log, "3 l")
    change = await ana.edit(room, log, "added two litres")
    await ana.hears_answer(room, bot.user, change, "2 l in green")


async def test_a_deletion_takes_the_log_back(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    log = await ana.say(room, "added three litres")
    await ana.hears_answer(room, bot.user, log, "3 l")
    await ana.delete(room, log)
    await ana.hears(room, bot.user, lambda heard: heard.text.startswith("Taken back"), "that it is taken back")


async def drain_nudge(bot: Bot, ana: Person, room: str) -> str:
    """Logs enough that liquid gathers, lets days pass, and gives the nudge that comes."""
    await ana.asks(room, bot.user, "added 6 litres and 8 tbsp bran", "6 l in green")
    assert not [heard for heard in ana.heard(room, bot.user) if heard.text.startswith("Drain green")]
    bot.set_clock(MORNING + timedelta(days=4))
    nudge = await ana.hears(room, bot.user, lambda heard: heard.text.startswith("Drain green"), "the nudge")
    return nudge.event


async def test_a_nudge_comes_when_it_is_due_and_a_tap_answers_it(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    nudge = await drain_nudge(bot, ana, room)
    await ana.react(room, nudge, "✅")
    await ana.hears(room, bot.user, lambda heard: heard.text.startswith("Green drained"), "that it is written down")


async def test_a_nudge_is_answered_by_text(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    nudge = await drain_nudge(bot, ana, room)
    answer = await ana.answer(room, nudge, "150 ml")
    await ana.hears_answer(room, bot.user, answer, "150 ml drained from green")
