"""A building's room: three people, an encrypted room, whose turn it is, and what each does with a nudge."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot import Bot
from person import Heard, Person
from test_kitchen import MORNING

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def building(bot: Bot, ana: Person, *others: Person) -> str:
    """An encrypted room of several with one bin in it; the first of them is its steward."""
    bot.set_clock(MORNING)
    room = await ana.make_room(*[other.user for other in others], encrypted=True)
    for other in others:
        await other.join(room)
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    await to_bot(bot, ana, room, "new bin cellar, 60 litres", "Cellar, 60 l")
    return room


async def to_bot(bot: Bot, person: Person, room: str, text: str, pattern: str = "") -> Heard:
    """Says something to the bot, by a mention, and waits for the answer."""
    said = await person.say(room, f"Branbell: {text}", **{"m.mentions": {"user_ids": [bot.user]}})
    return await person.hears_answer(room, bot.user, said, pattern)


def is_drain(heard: Heard) -> bool:
    return "Drain cellar" in heard.text


async def test_a_building_lives_with_it(bot: Bot, ana: Person, bo: Person, cy: Person) -> None:
    people = {person.user: person for person in (ana, bo, cy)}
    room = await building(bot, ana, bo, cy)
    # Each tells of their own, and chatter passes by.
    logs = [await person.say(room, "added 6 litres and 14 tbsp bran to cellar") for person in (ana, bo, cy)]
    for person, log in zip((ana, bo, cy), logs, strict=True):
        assert (await person.hears_answer(room, bot.user, log, r"6 l in cellar")).encrypted
    chatter = await bo.say(room, "Soup at Cy's tonight?")
    # Another's words are theirs; one's own are put right.
    changed = await bo.edit(room, logs[1], "added 5 litres and 14 tbsp bran to cellar")
    await bo.hears_answer(room, bot.user, changed, r"5 l in cellar")
    await cy.delete(room, logs[2])
    await cy.hears(room, bot.user, lambda heard: heard.text.startswith("Taken back"), "that it is taken back")
    # The nudge goes to one of them, by a mention, and never to the whole room.
    bot.set_clock(MORNING + timedelta(days=4))
    nudge = await ana.hears(room, bot.user, is_drain, "the nudge")
    asked = nudge.content["m.mentions"].get("user_ids", [])
    assert len(asked) == 1, nudge.text
    assert asked[0] in people and "room" not in nudge.content["m.mentions"]
    first = people[asked[0]]
    # They pass it on by a tap: somebody else is mentioned.
    await first.react(room, nudge.event, "🙅")

    def passed_on(heard: Heard) -> bool:
        meant = heard.content["m.mentions"].get("user_ids", [])
        return is_drain(heard) and heard.event != nudge.event and meant not in ([], asked)

    second = await ana.hears(room, bot.user, passed_on, "the nudge for another")
    helper = people[second.content["m.mentions"]["user_ids"][0]]
    assert not chatter_answered(ana, room, bot, chatter)
    # In a thread under the nudge the answer is heard, and ours stays in the thread.
    thread = {"m.relates_to": {"rel_type": "m.thread", "event_id": second.event}}
    said = await helper.say(room, "300 ml, on the roses", **thread)
    answer = await helper.hears_answer(room, bot.user, said, r"300 ml drained from cellar")
    relation = answer.content["m.relates_to"]
    assert (relation["rel_type"], relation["event_id"]) == ("m.thread", second.event)
    # A picture comes encrypted, with its words.
    chart = await to_bot(bot, cy, room, "show me a chart", r"Cellar")
    assert chart.content["msgtype"] == "m.image" and "file" in chart.content
    assert cy.picture(chart).startswith(b"\x89PNG")
    who = await to_bot(bot, bo, room, "who did what this month?")
    [drained] = [line for line in who.text.splitlines() if "drained" in line]
    assert drained.startswith(f"{helper.user.removeprefix('@').split(':')[0]}: drained"), who.text


def chatter_answered(person: Person, room: str, bot: Bot, chatter: str) -> bool:
    return chatter in {heard.answers for heard in person.heard(room, bot.user)}
