"""The first start: one device, signed by its account, and files that only the bot can read."""

from __future__ import annotations

import asyncio
import json
import random
import shutil
import stat
from pathlib import Path
from uuid import uuid4

import pytest
from aiohttp import web

from bot import Bot
from certificate import certificate
from homeserver import Account, Homeserver, request
from person import Json, Person
from proxy import Proxy
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


def log_in(homeserver: Homeserver, account: Account) -> Json:
    """A session of the account, made by its owner."""
    who = {"type": "m.id.user", "user": account.user}
    login = {"type": "m.login.password", "identifier": who, "password": account.password}
    return dict(request(homeserver.url, "POST", "/_matrix/client/v3/login", login))


async def test_it_can_begin_with_an_access_token(homeserver: Homeserver, ana: Person, tmp_path: Path) -> None:
    account = homeserver.register("branbell-by-token")
    session = log_in(homeserver, account)
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


# How a homeserver asks who it is. Source: Matrix specification, "User-Interactive Authentication".
PROVE_IT: Json = {"session": "one of it", "flows": [{"stages": ["m.login.password"]}], "params": {}}


class Strict(Proxy):
    """A homeserver that wants the password for an account's first signing keys; ours does not."""

    def __init__(self, upstream: str) -> None:
        super().__init__(upstream, random.Random(0))
        self.proofs: list[Json | None] = []

    async def _pass_on(self, request: web.Request, body: bytes) -> tuple[int, dict[str, str], bytes]:
        if request.path.endswith("/keys/device_signing/upload"):
            keys = json.loads(body)
            self.proofs.append(keys.pop("auth", None))
            if self.proofs[-1] is None:
                return 401, {"Content-Type": "application/json"}, json.dumps(PROVE_IT).encode()
            body = json.dumps(keys).encode()
        return await super()._pass_on(request, body)


@pytest.mark.parametrize("with_password", [True, False])
async def test_it_proves_who_it_is_where_signing_needs_that(
    homeserver: Homeserver, ana: Person, tmp_path: Path, with_password: bool
) -> None:
    account = homeserver.register(f"branbell-strict-{with_password}".lower())
    bot = Bot(homeserver, account, tmp_path)
    strict = Strict(homeserver.url)
    await strict.start()
    bot.configure(homeserver=strict.url)
    if not with_password:
        token = tmp_path / "token"
        token.write_text(log_in(homeserver, account)["access_token"])
        token.chmod(0o600)
        bot.configure(homeserver=strict.url, password_file=None, access_token_file=token)
    try:
        await bot.start()
        assert strict.proofs[0] is None
        if with_password:
            who = {"type": "m.id.user", "user": account.user}
            proof = {"type": "m.login.password", "identifier": who, "password": account.password}
            assert strict.proofs[1:] == [proof | {"session": "one of it"}]
            assert len(signed_devices(homeserver, bot.user, seen_by=ana)) == 1
        else:
            # It says what is missing, and serves all the same.
            assert "the homeserver wants the account's password" in bot.log.read_text()
            room = await ana.make_room(bot.user)
            await ana.sees_join(room, bot.user)
            await ana.asks(room, bot.user, "help")
        assert account.password not in bot.log.read_text()
    finally:
        bot.kill()
        await strict.stop()


@pytest.mark.parametrize("trusted", [True, False])
async def test_it_talks_to_nobody_without_a_certificate_that_it_can_trust(
    homeserver: Homeserver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, trusted: bool
) -> None:
    bot = Bot(homeserver, homeserver.register(f"branbell-tls-{trusted}".lower()), tmp_path)
    authority, shown = certificate(tmp_path)
    line = Proxy(homeserver.url, random.Random(0), shown)
    await line.start()
    bot.configure(homeserver=line.url)
    if trusted:
        monkeypatch.setenv("SSL_CERT_FILE", str(authority))
    try:
        if trusted:
            await bot.start()
        else:
            # The line answers in this thread.
            refused = await asyncio.to_thread(bot.run_once)
            assert refused.returncode == 1
            assert "certificate" in refused.stderr
            assert line.passed == 0
    finally:
        bot.kill()
        await line.stop()


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


# Events that no client should send and the homeserver lets through, each with what somebody wrote where none looks
# for it: whoever reads them reports them, and is not to quote them.
CANARY = "kanarienvogel"
MALFORMED: list[tuple[str, Json]] = [
    ("m.room.message", {"msgtype": "m.text", "body": "a", "m.relates_to": CANARY}),
    ("m.room.message", {"msgtype": "m.text", "body": "a", "m.mentions": {"user_ids": CANARY}}),
    ("m.room.message", {"msgtype": "m.text", "body": "a", "m.relates_to": {"m.in_reply_to": CANARY}}),
    ("m.room.message", {"msgtype": "m.text", "body": "a", "m.relates_to": {"m.in_reply_to": {"event_id": CANARY}}}),
    ("m.room.message", {"msgtype": "m.text", "body": "a", "m.new_content": CANARY}),
    ("m.room.message", {"msgtype": "m.image", "body": "a", "url": {CANARY: CANARY}}),
    ("m.room.message", {"msgtype": CANARY}),
    ("m.room.message", {CANARY: CANARY}),
    ("m.reaction", {"m.relates_to": CANARY}),
    ("m.reaction", {"m.relates_to": {"rel_type": CANARY, "key": {CANARY: 1}}}),
    ("m.room.encrypted", {"algorithm": CANARY, "ciphertext": CANARY}),
    ("m.room.encrypted", {"algorithm": "m.megolm.v1.aes-sha2", "ciphertext": [CANARY]}),
    ("m.sticker", {"body": CANARY, "url": 7}),
    (CANARY, {CANARY: CANARY}),
]
MALFORMED_STATE: list[tuple[str, Json]] = [
    ("m.room.name", {"name": [CANARY]}),
    ("m.room.avatar", {"url": [CANARY], "info": CANARY}),
    ("m.room.pinned_events", {"pinned": CANARY}),
    ("m.room.join_rules", {"join_rule": "invite", "allow": CANARY}),
    ("m.room.history_visibility", {"history_visibility": CANARY}),
    ("m.room.guest_access", {"guest_access": CANARY}),
    ("m.room.server_acl", {"allow": CANARY}),
    ("m.room.third_party_invite", {"display_name": [CANARY], "public_keys": CANARY}),
    ("m.space.child", {"via": CANARY}),
    (CANARY, {CANARY: CANARY}),
]


async def send_malformed(person: Person, room: str, encrypted: bool) -> None:
    """Sends all that is malformed: in plain sight, and where the room is encrypted so too."""
    taken = [person.gets_through(room, f"send/{kind}/{uuid4()}", content) for kind, content in MALFORMED]
    taken += [person.gets_through(room, f"state/{kind}", content) for kind, content in MALFORMED_STATE]
    # What the homeserver refuses tests nothing.
    assert sum(taken) > len(taken) * 3 // 4
    for kind, content in MALFORMED if encrypted else []:
        await person.send(room, kind, content)


async def test_what_people_say_is_in_no_log(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await ana.make_room(bot.user, encrypted=encrypted)
    await ana.sees_join(room, bot.user)
    await ana.asks(room, bot.user, f"new bin {CANARY}, 19 litres", f"{CANARY.capitalize()}, 19 l")
    await ana.asks(room, bot.user, f"added three litres to {CANARY}", f"3 l in {CANARY}")
    await send_malformed(ana, room, encrypted)
    await bot.restart()
    await ana.asks(room, bot.user, "help")
    session = json.loads((bot.data / "matrix" / "session.json").read_text())
    log = bot.log.read_text()
    assert bot.user in log
    for canary in (CANARY, session["access_token"], (bot.folder / "password").read_text()):
        assert canary.lower() not in log.lower()
