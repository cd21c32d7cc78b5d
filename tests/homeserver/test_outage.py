"""The homeserver goes away, or forgets."""

from __future__ import annotations

import asyncio
import fcntl
import json
import random
import re
import subprocess
from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest
from aiohttp import web

from bot import Bot
from homeserver import Homeserver, request
from person import Person
from proxy import Proxy
from test_kitchen import MORNING, kitchen
from trust import signed_devices
from waiting import until

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


def held_until_told_to_stop(bot: Bot) -> None:
    """Where nothing can keep its system from starting it again, it lets go of its data and waits."""
    with subprocess.Popen([*bot.command, "--hold"], stderr=subprocess.PIPE, text=True) as held:
        assert held.stderr is not None
        while "the bot's device was logged out" not in (line := held.stderr.readline()):
            assert line, "it ended"
        with (bot.data / "lock").open() as lock:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        assert held.poll() is None
        held.terminate()
        assert held.wait(timeout=20) == 77


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
    await asyncio.to_thread(held_until_told_to_stop, bot)

    # As it says:
    away = matrix.rename(bot.folder / "matrix")
    bot.configure(recovery_key_file=away / "recovery-key")
    await bot.start()
    await ana.asks(room, bot.user, "help")
    assert len(signed_devices(homeserver, bot.user, seen_by=ana)) == 1


async def test_an_older_backup_is_made_good_from_the_rooms(
    bot: Bot, ana: Person, homeserver: Homeserver, encrypted: bool
) -> None:
    room = await kitchen(bot, ana, encrypted)
    await ana.asks(room, bot.user, "added 6 litres and 8 tbsp bran", "6 l in green")
    bot.back_up(bot.folder / "backup")
    log = await ana.say(room, "added two litres and 3 tbsp bran")
    await ana.hears_answer(room, bot.user, log, "2 l in green")
    bot.set_clock(MORNING + timedelta(days=4))
    nudge = await ana.hears(room, bot.user, lambda heard: heard.text.startswith("Drain green"), "the nudge")
    await ana.asks(room, bot.user, "help")

    bot.kill()
    bot.restore(bot.folder / "backup")
    # More than a day later: what is sent again would not be recognised.
    await homeserver.restart(forgetful=True)
    bot.set_clock(MORNING + timedelta(days=4, hours=5))
    await bot.start()
    await ana.asks(room, bot.user, "help")
    await ana.hears_answer(room, bot.user, await ana.answer(room, nudge.event, "150 ml"), "150 ml drained from green")
    assert bot.logged(room, "scraps") == 2
    heard = ana.heard(room, bot.user)
    answers = Counter(message.answers for message in heard if message.answers is not None)
    assert set(answers.values()) == {1}, answers
    assert [message.event for message in heard if message.text.startswith("Drain green")] == [nudge.event]


async def test_what_was_sent_more_than_a_day_ago_is_not_sent_again(
    bot: Bot, ana: Person, bo: Person, homeserver: Homeserver, encrypted: bool
) -> None:
    room = await ana.make_room(bo.user, encrypted=encrypted)
    await bo.join(room)
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)
    ask = {"m.mentions": {"user_ids": [bot.user]}}
    asked = await ana.say(room, "Branbell: help", **ask)
    answer = await ana.hears_answer(room, bot.user, asked)
    assert bot.stop() == 0
    bot.forget_sending(room, answer.event)
    # More than a page lies between the answer and the newest message.
    for number in range(110):
        await bo.say(room, f"verse {number}")
    await homeserver.restart(forgetful=True)
    await bot.start()
    await ana.hears_answer(room, bot.user, await ana.say(room, "Branbell: help", **ask))
    assert [heard.answers for heard in ana.heard(room, bot.user)].count(asked) == 1


class Severed(Proxy):
    """A line that breaks just when the homeserver has taken a message and is about to say so."""

    def __init__(self, upstream: str) -> None:
        super().__init__(upstream, random.Random(0))
        self.about_to_break = False
        self.broken = False

    async def _answer(self, request: web.Request) -> web.StreamResponse:
        if self.about_to_break and not self.broken and re.search("/rooms/[^/]+/send/", request.path):
            self.broken = True
            await self._pass_on(request, await request.read())
        return self._cut(request) if self.broken else await super()._answer(request)


async def test_after_a_day_without_a_line_it_looks_before_it_sends_again(
    ana: Person, homeserver: Homeserver, tmp_path: Path, encrypted: bool
) -> None:
    bot = Bot(homeserver, homeserver.register(f"branbell-severed-{encrypted}".lower()), tmp_path)
    line = Severed(homeserver.url)
    await line.start()
    bot.configure(homeserver=line.url)
    try:
        await bot.start()
        room = await kitchen(bot, ana, encrypted)
        line.about_to_break = True
        log = await ana.say(room, "added three litres")
        await until(lambda: line.broken, "the line breaks")
        await homeserver.restart(forgetful=True)
        bot.set_clock(MORNING + timedelta(hours=30))
        line.about_to_break = line.broken = False
        await ana.asks(room, bot.user, "help")
        assert [heard.answers for heard in ana.heard(room, bot.user)].count(log) == 1
    finally:
        bot.kill()
        await line.stop()
