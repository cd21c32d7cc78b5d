"""The first start: one device, signed by its account, and files that only the bot can read."""

from __future__ import annotations

import shutil
import stat
from pathlib import Path

import pytest

from bot import Bot
from homeserver import Homeserver, request
from person import Person
from trust import signed_devices

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def test_its_device_is_signed_by_its_account(bot: Bot, homeserver: Homeserver, ana: Person) -> None:
    assert len(signed_devices(homeserver, bot.user, seen_by=ana)) == 1


async def test_it_keeps_its_device_for_ever(bot: Bot, homeserver: Homeserver, ana: Person) -> None:
    devices = signed_devices(homeserver, bot.user, seen_by=ana)
    await bot.restart()
    assert bot.stop() == 0
    await bot.start()
    assert signed_devices(homeserver, bot.user, seen_by=ana) == devices


async def test_without_its_session_it_is_still_the_same_device(bot: Bot, homeserver: Homeserver, ana: Person) -> None:
    devices = signed_devices(homeserver, bot.user, seen_by=ana)
    bot.kill()
    (bot.data / "matrix" / "session.json").unlink()
    await bot.start()
    assert signed_devices(homeserver, bot.user, seen_by=ana) == devices


async def test_with_the_recovery_key_a_new_device_is_trusted_too(bot: Bot, homeserver: Homeserver, ana: Person) -> None:
    bot.kill()
    kept = bot.folder / "recovery-key"
    (bot.data / "matrix" / "recovery-key").rename(kept)
    shutil.rmtree(bot.data)
    bot.configure(recovery_key_file=kept)
    await bot.start()
    assert len(signed_devices(homeserver, bot.user, seen_by=ana)) == 2


async def test_it_can_begin_with_an_access_token(homeserver: Homeserver, ana: Person, tmp_path: Path) -> None:
    account = homeserver.register("branbell-by-token")
    login = {
        "type": "m.login.password",
        "identifier": {"type": "m.id.user", "user": account.user},
        "password": account.password,
    }
    session = request(homeserver.url, "POST", "/_matrix/client/v3/login", login)
    bot = Bot(homeserver, account, tmp_path)
    token = tmp_path / "token"
    token.write_text(session["access_token"])
    token.chmod(0o600)
    bot.configure(password_file=None, access_token_file=token)
    try:
        await bot.start()
        room = await ana.make_room(bot.user, encrypted=True)
        await ana.sees_join(room, bot.user)
        await ana.asks(room, bot.user, "help")
        # This homeserver takes the first signing keys of an account without its password.
        assert signed_devices(homeserver, bot.user, seen_by=ana) == [session["device_id"]]
    finally:
        bot.kill()


async def test_its_secrets_are_its_own(bot: Bot) -> None:
    private = bot.data / "matrix"
    key = private / "recovery-key"
    assert stat.S_IMODE(private.stat().st_mode) == 0o700
    for file in (key, private / "session.json", private / "device.json"):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert str(key) in bot.log.read_text()
    for secret in (key.read_text(), (bot.folder / "password").read_text()):
        assert secret not in bot.log.read_text()


async def test_one_bot_at_a_time_on_its_data(bot: Bot) -> None:
    second = bot.run_once()
    assert second.returncode != 0
    assert "another branbell is running" in second.stderr
