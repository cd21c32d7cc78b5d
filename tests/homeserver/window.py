"""Not a test: a real client's window, with a nudge, its reactions and a chart in a shared room, as a picture.

With the environment of the scenarios, and nheko, xvfb, xdotool, imagemagick and fonts-noto-color-emoji from Debian:

    BRANBELL_PROGRAM=../../target/debug/branbell ../../target/tmp/homeserver/bin/python window.py light.png dark.png
"""

from __future__ import annotations

import asyncio
import os
import subprocess
import sys
import tempfile
import time
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from urllib.parse import quote

from bot import PROGRAM, Bot
from homeserver import Account, Homeserver, request
from person import Person
from test_group import is_drain, mentions
from test_kitchen import MORNING, TAPS
from waiting import until

# Beside the list of rooms, the room is a little wider than a phone.
SIZE = (760, 1180)


async def lived_in(bot: Bot, ana: Person, bo: Person) -> str:
    """A room in which something has happened."""
    bot.set_clock(MORNING)
    room = await ana.make_room(bo.user)
    await bo.join(room)
    await ana.set_state(room, "m.room.name", {"name": "The bins"})
    await ana.invite(room, bot.user)
    await ana.sees_join(room, bot.user)

    async def to_bot(person: Person, text: str) -> None:
        said = await person.say(room, f"Branbell: {text}", **mentions(bot))
        await person.hears_answer(room, bot.user, said)

    await to_bot(ana, "new bin cellar, 60 litres")
    await to_bot(ana, "new bin gate, 30 litres")
    for day, litres in enumerate((6, 4, 5)):
        bot.set_clock(MORNING + timedelta(hours=3 * day))
        await to_bot((ana, bo)[day % 2], f"added {litres} litres and {2 * litres} tbsp bran to cellar")
    slip = await bo.say(room, "added 2 litres to gate")
    await bo.hears_answer(room, bot.user, slip)
    await bo.hears_answer(room, bot.user, await bo.edit(room, slip, "added 12 litres and 16 tbsp bran to gate"))
    await bo.hears_answer(room, bot.user, await bo.delete(room, slip))
    bot.set_clock(MORNING + timedelta(days=2))
    nudge = await ana.hears(room, bot.user, is_drain, "the nudge")
    await until(lambda: len(ana.reactions(room, bot.user)) == len(TAPS), "it can be tapped")
    asked = {person.user: person for person in (ana, bo)}[nudge.content["m.mentions"]["user_ids"][0]]
    await asked.react(room, nudge.event, TAPS[0])
    await ana.hears(room, bot.user, lambda heard: "Cellar drained" in heard.text, "that it is written down")
    await to_bot(asked, "700 ml")
    await to_bot(ana, "show me a chart")
    return room


def settings(homeserver: Homeserver, account: Account, theme: str) -> str:
    """What the client needs to begin in the room without a question."""
    login = {
        "type": "m.login.password",
        "identifier": {"type": "m.id.user", "user": account.user},
        "password": account.password,
    }
    session = request(homeserver.url, "POST", "/_matrix/client/v3/login", login)
    keys = {
        "access_token": session["access_token"],
        "device_id": session["device_id"],
        "home_server": homeserver.url,
        "user_id": account.user,
    }
    auth = "".join(f"{name}={value}\n" for name, value in keys.items())
    return (
        "[General]\nrun_without_secure_secrets_service=true\n"
        f"[auth]\n{auth}[user]\ntheme={theme}\n[window]\nwidth={SIZE[0]}\nheight={SIZE[1]}\ntray=false\n"
    )


def picture(homeserver: Homeserver, account: Account, room: str, theme: str, to: Path) -> None:
    """Opens the room in the client, and takes a picture of the screen."""
    with ExitStack() as stack:
        home = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        (home / ".config/nheko").mkdir(parents=True)
        (home / ".config/nheko/nheko.conf").write_text(settings(homeserver, account, theme))
        log = stack.enter_context((home / "log").open("wb"))
        read, write = os.pipe()
        screen = f"{SIZE[0]}x{SIZE[1]}x24"
        server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", screen], pass_fds=[write], stdout=log, stderr=log
        )
        stack.callback(server.terminate)
        os.close(write)
        with os.fdopen(read) as told:
            display = f":{told.readline().strip()}"
        env = os.environ | {
            "HOME": str(home),
            "XDG_RUNTIME_DIR": str(home),
            "DISPLAY": display,
            "LIBGL_ALWAYS_SOFTWARE": "1",
            "QT_QUICK_BACKEND": "software",
        }

        def click(x: int, y: int) -> None:
            subprocess.run(["xdotool", "mousemove", str(x), str(y), "click", "1"], env=env, check=True)

        address = f"matrix:roomid/{quote(room.removeprefix('!'))}"
        client = subprocess.Popen(["nheko", address], env=env, stdout=log, stderr=log)
        stack.callback(client.wait)
        stack.callback(client.terminate)
        time.sleep(25)
        # It offers to set encryption up; then the one room stands at the head of the list.
        click(SIZE[0] - 66, SIZE[1] - 38)
        time.sleep(3)
        click(130, 105)
        time.sleep(8)
        # When the chart has come it is below the window's end: the arrow goes there.
        click(SIZE[0] - 38, SIZE[1] - 90)
        time.sleep(3)
        subprocess.run(["import", "-window", "root", str(to)], env=env, check=True)


async def main(light: Path, dark: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "homeserver").mkdir()
        (place / "bot").mkdir()
        # The client is older than the downloads that ask who wants them.
        homeserver = Homeserver(place / "homeserver", enable_authenticated_media=False)
        await homeserver.start()
        try:
            accounts = {name: homeserver.register(name) for name in ("ana", "bo", "branbell")}
            ana = await Person.log_in(homeserver, accounts["ana"], place / "ana")
            bo = await Person.log_in(homeserver, accounts["bo"], place / "bo")
            bot = Bot(homeserver, accounts["branbell"], place / "bot")
            try:
                await bot.start()
                room = await lived_in(bot, ana, bo)
                await asyncio.to_thread(picture, homeserver, accounts["ana"], room, "light", light)
                await asyncio.to_thread(picture, homeserver, accounts["ana"], room, "dark", dark)
            finally:
                bot.kill()
                await ana.log_off()
                await bo.log_off()
        finally:
            homeserver.stop()


if __name__ == "__main__":
    if not PROGRAM or len(sys.argv) != 3:
        sys.exit(__doc__)
    asyncio.run(main(Path(sys.argv[1]), Path(sys.argv[2])))
