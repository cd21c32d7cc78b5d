"""What the bot keeps its rooms and its keys on gives way."""

from __future__ import annotations

import subprocess
from collections import Counter
from collections.abc import AsyncIterator, Callable, Iterator
from pathlib import Path

import pytest
import pytest_asyncio

from bot import Bot
from homeserver import Homeserver
from person import Person
from test_kitchen import kitchen
from trust import signed_devices
from waiting import until

pytestmark = pytest.mark.asyncio(loop_scope="session")

# Room for the bot's two stores and little more.
SMALL = "size=24m,mode=700"


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own, which can be filled."""
    place = tmp_path / "data"
    place.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", SMALL, "tmpfs", str(place)], capture_output=True, text=True)
    if mounted.returncode != 0:
        pytest.skip(f"only who may mount a file system can fill one: {mounted.stderr}")
    yield place
    # Whatever still has a file open there.
    subprocess.run(["umount", "--lazy", str(place)], check=True)


@pytest_asyncio.fixture(loop_scope="session")
async def cramped(homeserver: Homeserver, small_disk: Path, encrypted: bool) -> AsyncIterator[Bot]:
    """A bot on a small disk."""
    bot = Bot(homeserver, homeserver.register(f"branbell-cramped-{encrypted}".lower()), small_disk.parent)
    try:
        await bot.start()
        yield bot
    finally:
        bot.kill()


def fill(disk: Path) -> Path:
    """Leaves not one block; gives the file that takes them all."""
    ballast = disk / "ballast"
    for size in (1 << 20, 1 << 12, 1):
        with ballast.open("ab", buffering=0) as file:
            try:
                while file.write(bytes(size)):
                    pass
            except OSError:
                continue
    return ballast


async def test_a_full_disk_loses_nothing(cramped: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(cramped, ana, encrypted)
    await ana.asks(room, cramped.user, "added 6 litres and 8 tbsp bran", "6 l in green")
    ballast = fill(cramped.data)
    if encrypted:
        # Its key has to be kept as well.
        ana.forget_key(room)
    first = await ana.say(room, "added two litres and 3 tbsp bran")
    await until(lambda: "disk is full" in cramped.log.read_text(), "the journal says that the disk is full")
    second = await ana.say(room, "drained 150 ml")
    ballast.unlink()
    await ana.hears_answer(room, cramped.user, second, "150 ml")
    await ana.hears_answer(room, cramped.user, first, "2 l in green")
    assert (cramped.logged(room, "scraps"), cramped.logged(room, "drained")) == (2, 1)
    answers = Counter(heard.answers for heard in ana.heard(room, cramped.user) if heard.answers is not None)
    assert set(answers.values()) == {1}, answers


def scribble(file: Path) -> None:
    """Every other page but the first, as a failing disk gives them back."""
    page = 4096
    with file.open("r+b") as store:
        for place in range(page, file.stat().st_size, 2 * page):
            store.seek(place)
            store.write(b"\xa5" * page)


def tear(file: Path) -> None:
    """The half that was written."""
    with file.open("r+b") as store:
        store.truncate(file.stat().st_size // 2)


@pytest.mark.parametrize("harm", [scribble, tear], ids=["scribbled", "torn"])
@pytest.mark.parametrize("part", ["crypto", "state"])
async def test_damaged_keys_are_told_and_a_new_device_goes_on(
    bot: Bot, homeserver: Homeserver, ana: Person, harm: Callable[[Path], None], part: str
) -> None:
    room = await kitchen(bot, ana, encrypted=True)
    await ana.asks(room, bot.user, "added 6 litres and 8 tbsp bran", "6 l in green")
    assert bot.stop() == 0
    harm(bot.data / "matrix" / "store" / f"matrix-sdk-{part}.sqlite3")
    refused = bot.run_once()
    assert refused.returncode != 0
    assert "the encryption store is damaged" in refused.stderr and "recovery-key" in refused.stderr

    # As it says:
    away = (bot.data / "matrix").rename(bot.folder / "matrix")
    bot.configure(recovery_key_file=away / "recovery-key")
    await bot.start()
    await ana.asks(room, bot.user, "added two litres and 3 tbsp bran", "2 l in green")
    assert bot.logged(room, "scraps") == 2
    assert len(signed_devices(homeserver, bot.user, seen_by=ana)) == 2
