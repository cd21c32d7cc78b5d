"""A building's room: three people, an encrypted room, whose turn it is, and what each does with a nudge."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bot import Bot
from person import Heard, Person, in_thread
from test_kitchen import MORNING, TAPS
from waiting import until

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
    said = await person.say(room, f"Branbell: {text}", **mentions(bot))
    return await person.hears_answer(room, bot.user, said, pattern)


def mentions(bot: Bot) -> dict[str, object]:
    return {"m.mentions": {"user_ids": [bot.user]}}


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
    said = await helper.say(room, "300 ml, on the roses", **in_thread(second.event))
    answer = await helper.hears_answer(room, bot.user, said, r"300 ml drained from cellar")
    assert answer.thread == second.event
    # A picture comes encrypted, with its words.
    chart = await to_bot(bot, cy, room, "show me a chart", r"Cellar")
    assert chart.content["msgtype"] == "m.image" and "file" in chart.content
    assert cy.picture(chart).startswith(b"\x89PNG")
    who = await to_bot(bot, bo, room, "who did what this month?")
    [drained] = [line for line in who.text.splitlines() if "drained" in line]
    assert drained.startswith(f"{helper.user.removeprefix('@').split(':')[0]}: drained"), who.text


def chatter_answered(person: Person, room: str, bot: Bot, chatter: str) -> bool:
    return chatter in {heard.answers for heard in person.heard(room, bot.user)}


async def test_what_is_said_in_a_thread_is_answered_there(bot: Bot, ana: Person, bo: Person, cy: Person) -> None:
    room = await building(bot, ana, bo, cy)
    root = await ana.say(room, "added 6 litres to cellar")
    assert (await ana.hears_answer(room, bot.user, root, "6 l in cellar")).thread is None
    # Under it, by another: a log, its edit, its deletion.
    log = await bo.say(room, "added 2 litres to cellar", **in_thread(root))
    assert (await bo.hears_answer(room, bot.user, log, "2 l in cellar")).thread == root
    edit = await bo.edit(room, log, "added 1 litre to cellar")
    assert (await bo.hears_answer(room, bot.user, edit, "1 l in cellar")).thread == root
    deletion = await bo.delete(room, log)
    assert (await bo.hears_answer(room, bot.user, deletion, "Taken back")).thread == root
    # What is asked back, and the answer to that.
    short = await cy.say(room, "Branbell: drained", **in_thread(root), **mentions(bot))
    assert (await cy.hears_answer(room, bot.user, short, r"\?")).thread == root
    amount = await cy.say(room, "Branbell: 200 ml", **in_thread(root), **mentions(bot))
    assert (await cy.hears_answer(room, bot.user, amount, "200 ml drained from cellar")).thread == root
    # Beside it, the room goes on.
    assert (await to_bot(bot, ana, room, "how full is cellar?", "Cellar: filling")).thread is None


async def test_taps_count_once(bot: Bot, ana: Person, bo: Person, cy: Person) -> None:
    people = {person.user: person for person in (ana, bo, cy)}
    room = await building(bot, ana, bo, cy)
    await to_bot(bot, ana, room, "added 18 litres and 42 tbsp bran to cellar", "18 l in cellar")
    now = MORNING + timedelta(days=4)
    bot.set_clock(now)
    nudge = await ana.hears(room, bot.user, is_drain, "the nudge")
    [asked] = nudge.content["m.mentions"]["user_ids"]
    await shows_taps(bot, bo, room, nudge)
    # Later, says the one whose turn it is: not within the hour, and then to them again.
    await people[asked].react(room, nudge.event, "💤")
    # The answer to a tap stands under what was tapped.
    await ana.hears_answer(room, bot.user, nudge.event, "I'll say it again")
    bot.set_clock(now + timedelta(hours=1))
    await settles(bot, ana, room)
    assert nudges(bot, ana, room) == [nudge] and bot.logged(room, "took") == 1
    bot.set_clock(now + timedelta(hours=3, minutes=5))
    again = await ana.hears(room, bot.user, lambda heard: is_drain(heard) and heard != nudge, "it again")
    assert again.content["m.mentions"]["user_ids"] == [asked]
    await shows_taps(bot, bo, room, again)
    # Done, says the same; another one, who comes too late, adds nothing, and neither does a new start.
    await people[asked].react(room, again.event, "✅")
    await ana.hears_answer(room, bot.user, again.event, "Cellar drained")
    other = next(person for person in people.values() if person.user != asked)
    await other.react(room, again.event, "✅")
    await ana.hears(room, bot.user, lambda heard: "done already" in heard.text, "that it is done already")
    await bot.restart()
    await settles(bot, ana, room)
    assert (bot.logged(room, "drained"), bot.logged(room, "took")) == (1, 1)
    assert nudges(bot, ana, room) == [nudge, again]
    answers = [heard.answers for heard in ana.heard(room, bot.user)]
    assert [answers.count(tapped.event) for tapped in (nudge, again)] == [1, 2]


async def test_a_turn_is_taken_in_plain_words(bot: Bot, ana: Person, bo: Person, cy: Person) -> None:
    people = {person.user: person for person in (ana, bo, cy)}
    room = await building(bot, ana, bo, cy)
    await to_bot(bot, ana, room, "added 18 litres and 42 tbsp bran to cellar", "18 l in cellar")
    bot.set_clock(MORNING + timedelta(days=4))
    nudge = await ana.hears(room, bot.user, is_drain, "the nudge")
    first, second = (person for user, person in people.items() if user not in nudge.content["m.mentions"]["user_ids"])
    # Right after the nudge it is meant, after a new start too; after talk of something else it is not.
    await shows_taps(bot, ana, room, nudge)
    await bot.restart()
    taken = await first.say(room, "I can do it tonight")
    await first.hears_answer(room, bot.user, taken, "takes it: drain cellar")
    await first.say(room, "Who brings bread?")
    idle = await second.say(room, "I'll do it")
    await settles(bot, ana, room)
    assert not chatter_answered(ana, room, bot, idle)
    assert bot.logged(room, "took") == 1
    # So it is right after the bot has said whose turn it is.
    await to_bot(bot, ana, room, "whose turn is it?", "drain cellar")
    await bot.restart()
    taken = await second.say(room, "I'll do it")
    await second.hears_answer(room, bot.user, taken, "takes it: drain cellar")


async def shows_taps(bot: Bot, person: Person, room: str, nudge: Heard) -> None:
    """Waits until the bot has put its reactions on a nudge, each once."""

    def shown() -> list[str]:
        relations = [tap.content["m.relates_to"] for tap in person.reactions(room, bot.user)]
        return [relation["key"] for relation in relations if relation["event_id"] == nudge.event]

    await until(lambda: len(shown()) >= len(TAPS), "the bot has put its reactions", instead=shown)
    assert shown() == TAPS


async def settles(bot: Bot, person: Person, room: str) -> None:
    """What was due when this is called has been said when it returns: before the second answer, and perhaps after the
    first, for what is due is looked for each time that something is to be said.
    """
    for _ in range(2):
        await to_bot(bot, person, room, "help")


def nudges(bot: Bot, person: Person, room: str) -> list[Heard]:
    return [heard for heard in person.heard(room, bot.user) if is_drain(heard)]
