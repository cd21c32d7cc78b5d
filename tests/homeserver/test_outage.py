"""The homeserver goes away, or forgets."""

from __future__ import annotations

import json

import pytest

from bot import Bot
from homeserver import Homeserver, request
from person import Person
from trust import signed_devices

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def test_it_comes_back_after_the_homeserver_was_away(
    bot: Bot, ana: Person, homeserver: Homeserver, encrypted: bool
) -> None:
    room = await ana.make_room(bot.user, encrypted=encrypted)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, "help")
    await homeserver.restart()
    await ana.asks(room, bot.user, "help")


def delete_device(homeserver: Homeserver, bot: Bot, device: str) -> None:
    """Takes a device off the bot's account, as its owner does in another client."""
    who = {"type": "m.id.user", "user": bot.user}
    proof = {"type": "m.login.password", "identifier": who, "password": (bot.folder / "password").read_text()}
    token = request(homeserver.url, "POST", "/_matrix/client/v3/login", proof)["access_token"]
    request(homeserver.url, "POST", "/_matrix/client/v3/delete_devices", {"devices": [device], "auth": proof}, token)


@pytest.mark.parametrize("how", ["logged out", "device deleted"])
async def test_logged_out_it_ends_and_says_how_to_come_back(
    bot: Bot, ana: Person, homeserver: Homeserver, how: str
) -> None:
    room = await ana.make_room(bot.user, encrypted=True)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, "help")
    matrix = bot.data / "matrix"
    session = json.loads((matrix / "session.json").read_text())
    if how == "logged out":
        request(homeserver.url, "POST", "/_matrix/client/v3/logout", {}, session["access_token"])
    else:
        delete_device(homeserver, bot, session["device_id"])
    # What the unit in `deploy` does not start again.
    assert await bot.ended() == 77
    assert "the bot's device was logged out" in bot.log.read_text()
    # Started again by its system, it says the same and ends, instead of trying for ever.
    again = bot.run_once()
    assert again.returncode == 77
    assert "the bot's device was logged out" in again.stderr

    # As it says:
    away = matrix.rename(bot.folder / "matrix")
    bot.configure(recovery_key_file=away / "recovery-key")
    await bot.start()
    await ana.asks(room, bot.user, "help")
    assert len(signed_devices(homeserver, bot.user, seen_by=ana)) == 1


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
