"""A Synapse of our own on a free loopback port, with its files in a folder that goes away with it."""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import socket
import sqlite3
import subprocess
import sys
import urllib.error
import urllib.request
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from waiting import until

SERVER_NAME = "kitchen.test"
PASSWORD = "correct horse battery staple"


@dataclass(frozen=True)
class Account:
    """Somebody with an account on the homeserver."""

    user: str
    password: str


class Homeserver:
    """One Synapse process; the account and room data outlive a restart, not the object."""

    def __init__(self, folder: Path, **more: object) -> None:
        """With these keys in its configuration besides or instead."""
        self._folder = folder
        self._secret = secrets.token_hex()
        self._process: subprocess.Popen[bytes] | None = None
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.url = f"http://127.0.0.1:{probe.getsockname()[1]}"
        self._write_config(more)
        self._run("--generate-keys").wait()

    async def start(self) -> None:
        self._process = self._run()
        process = self._process

        def answers() -> bool:
            if process.poll() is not None:
                raise RuntimeError(f"Synapse did not start, see {self._log}")
            try:
                self._request("GET", "/_matrix/client/versions")
            except OSError:
                return False
            return True

        await until(answers, "Synapse answers", within=120)

    def stop(self) -> None:
        if self._process is not None:
            self._process.terminate()
            try:
                self._process.wait(timeout=10)
            except subprocess.TimeoutExpired:
                self._process.kill()
                self._process.wait()
            self._process = None

    async def restart(self, *, forgetful: bool = False) -> None:
        """Stops and starts it; `forgetful`: as if a day had passed, after which it no longer knows what was sent under
        which transaction id.
        """
        self.stop()
        if forgetful:
            with closing(sqlite3.connect(self._database)) as database, database:
                database.execute("DELETE FROM event_txn_id_device_id")
        await self.start()

    def register(self, name: str) -> Account:
        """Makes an account with the secret that only this homeserver knows."""
        path = "/_synapse/admin/v1/register"
        nonce = self._request("GET", path)["nonce"]
        mac = hmac.new(self._secret.encode(), digestmod=hashlib.sha1)
        mac.update(b"\x00".join(part.encode() for part in (nonce, name, PASSWORD, "notadmin")))
        body = {"nonce": nonce, "username": name, "password": PASSWORD, "mac": mac.hexdigest()}
        return Account(self._request("POST", path, body)["user_id"], PASSWORD)

    def _request(self, method: str, path: str, body: Any = None) -> Any:
        return request(self.url, method, path, body)

    @property
    def _log(self) -> Path:
        return self._folder / "synapse.log"

    @property
    def _database(self) -> Path:
        return self._folder / "homeserver.db"

    def _run(self, *arguments: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "synapse.app.homeserver", "-c", str(self._folder / "config.json")]
        with self._log.open("ab") as log:
            return subprocess.Popen([*command, *arguments], cwd=self._folder, stdout=log, stderr=log)

    def _write_config(self, more: dict[str, object]) -> None:
        plenty = {"per_second": 100_000, "burst_count": 100_000}
        config: dict[str, object] = {
            "server_name": SERVER_NAME,
            "listeners": [
                {
                    "port": int(self.url.rpartition(":")[2]),
                    "bind_addresses": ["127.0.0.1"],
                    "type": "http",
                    "resources": [{"names": ["client"]}],
                }
            ],
            "database": {"name": "sqlite3", "args": {"database": str(self._database)}},
            "signing_key_path": str(self._folder / "signing.key"),
            "media_store_path": str(self._folder / "media"),
            "pid_file": str(self._folder / "synapse.pid"),
            "registration_shared_secret": self._secret,
            "macaroon_secret_key": secrets.token_hex(),
            "form_secret": secrets.token_hex(),
            "report_stats": False,
            "trusted_key_servers": [],
            "suppress_key_server_warning": True,
            "presence": {"enabled": False},
            "rc_message": plenty,
            "rc_registration": plenty,
            "rc_joins": {"local": plenty, "remote": plenty},
            "rc_invites": {"per_room": plenty, "per_user": plenty, "per_issuer": plenty},
            "rc_login": {"address": plenty, "account": plenty, "failed_attempts": plenty},
            "rc_room_creation": plenty,
        }
        (self._folder / "config.json").write_text(json.dumps(config | more))


def request(url: str, method: str, path: str, body: Any = None, token: str | None = None) -> Any:
    """One request to a homeserver, without any client library."""
    headers = {"Content-Type": "application/json"}
    if token is not None:
        headers["Authorization"] = f"Bearer {token}"
    data = None if body is None else json.dumps(body).encode()
    asked = urllib.request.Request(url + path, data=data, headers=headers, method=method)
    with urllib.request.urlopen(asked, timeout=30) as answer:
        return json.load(answer)
