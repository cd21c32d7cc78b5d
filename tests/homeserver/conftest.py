"""What every scenario begins with: one homeserver, its people, and a bot of its own."""

from __future__ import annotations

import signal
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import NoReturn

import pytest
import pytest_asyncio

from bot import PROGRAM, Bot
from homeserver import Homeserver
from person import Person


def pytest_sessionstart() -> None:
    if not PROGRAM:
        pytest.exit("BRANBELL_PROGRAM has to name the bot's program", returncode=2)

    def end(*_: object) -> NoReturn:
        raise KeyboardInterrupt

    # So that everything started here is stopped, too, when the runner of the tests is told to end.
    signal.signal(signal.SIGTERM, end)


@pytest_asyncio.fixture(scope="session", loop_scope="session")
async def homeserver(tmp_path_factory: pytest.TempPathFactory) -> AsyncIterator[Homeserver]:
    server = Homeserver(tmp_path_factory.mktemp("homeserver"))
    try:
        await server.start()
        yield server
    finally:
        server.stop()


def _person(name: str) -> Callable[..., AsyncIterator[Person]]:
    @pytest_asyncio.fixture(scope="session", loop_scope="session", name=name)
    async def person(homeserver: Homeserver, tmp_path_factory: pytest.TempPathFactory) -> AsyncIterator[Person]:
        folder = tmp_path_factory.mktemp("people") / name
        somebody = await Person.log_in(homeserver, homeserver.register(name), folder)
        yield somebody
        await somebody.log_off()

    return person


ana = _person("ana")
bo = _person("bo")
cy = _person("cy")
stranger = _person("stranger")

_bots = 0


@pytest_asyncio.fixture(loop_scope="session")
async def bot(homeserver: Homeserver, tmp_path: Path) -> AsyncIterator[Bot]:
    """A bot at its very first start."""
    global _bots
    _bots += 1
    fresh = Bot(homeserver, homeserver.register(f"branbell{_bots}"), tmp_path)
    try:
        await fresh.start()
        yield fresh
    finally:
        fresh.kill()


@pytest.fixture(params=[False, True], ids=["plain", "encrypted"])
def encrypted(request: pytest.FixtureRequest) -> bool:
    """Each scenario in a plain room and in an encrypted one."""
    return bool(request.param)
