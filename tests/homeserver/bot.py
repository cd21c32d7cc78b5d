"""The bot as a process: started, stopped, killed, and told the time."""

from __future__ import annotations

import asyncio
import os
import signal
import sqlite3
import subprocess
from contextlib import closing
from datetime import datetime
from pathlib import Path

from homeserver import SERVER_NAME, Account, Homeserver
from waiting import until

PROGRAM = os.environ.get("BRANBELL_PROGRAM", "")


class Bot:
    """One bot with its own account, configuration and data directory."""

    def __init__(self, homeserver: Homeserver, account: Account, folder: Path) -> None:
        self.user = account.user
        self.folder = folder
        self.data = folder / "data"
        self.log = folder / "bot.log"
        self._clock = folder / "clock"
        self._process: subprocess.Popen[bytes] | None = None
        self._starts = 0
        password = folder / "password"
        password.write_text(account.password)
        password.chmod(0o600)
        self._config = folder / "branbell.toml"
        self._homeserver = homeserver
        self.configure()

    def configure(self, **more: object) -> None:
        """Writes its configuration, with these keys besides or instead; `None` leaves one out."""
        keys: dict[str, object] = {
            "homeserver": self._homeserver.url,
            "user": self.user,
            "password_file": "password",
            "data": "data",
        }
        lines = [f'{key} = "{value}"' for key, value in (keys | more).items() if value is not None]
        lines += [f'invite.people = ["@ana:{SERVER_NAME}"]', 'rooms.zone = "UTC"', ""]
        self._config.write_text("\n".join(lines))

    @property
    def command(self) -> list[str]:
        """What starts it."""
        return [PROGRAM, "serve", "--config", str(self._config), "--clock", str(self._clock)]

    def _run(self) -> subprocess.Popen[bytes]:
        with self.log.open("ab") as log:
            return subprocess.Popen(self.command, stdout=log, stderr=log)

    def run_once(self) -> subprocess.CompletedProcess[str]:
        """Runs another one on the same data, which is to end by itself."""
        return subprocess.run(self.command, capture_output=True, text=True, timeout=60, check=False)

    async def start(self) -> None:
        """Starts it and waits until it listens."""
        self._process = self._run()
        self._starts += 1
        await until(self._listens, f"{self.user} listens, see {self.log}")

    def _listens(self) -> bool:
        assert self._process is not None
        if self._process.poll() is not None:
            raise AssertionError(f"the bot ended with {self._process.returncode}:\n{self.log.read_text()}")
        return self.log.read_text().count(f"{self.user} listens") == self._starts

    @property
    def pid(self) -> int:
        assert self._process is not None
        return self._process.pid

    def kill(self) -> None:
        """Ends it without any warning, as a power cut would."""
        self._end(signal.SIGKILL)

    def stop(self) -> int:
        """Ends it as the system does, and gives its exit code."""
        return self._end(signal.SIGTERM)

    def _end(self, by: signal.Signals) -> int:
        if self._process is None:
            return 0
        self._process.send_signal(by)
        try:
            code = self._process.wait(timeout=20)
        except subprocess.TimeoutExpired:
            self._process.kill()
            raise
        self._process = None
        return code

    async def ended(self) -> int:
        """Waits until it ends by itself, and gives its exit code."""
        process = self._process
        assert process is not None
        await until(lambda: process.poll() is not None, f"{self.user} ends")
        self._process = None
        return process.returncode

    async def restart(self) -> None:
        """Kills it and starts it again."""
        self.kill()
        await self.start()

    def logged(self, room: str, kind: str) -> int:
        """How many facts of a kind its store holds for a room."""
        return self._count("FROM fact WHERE room = ? AND json_extract(body, '$.kind') = ?", room, kind)

    def given_up(self, room: str) -> int:
        """How many messages it could not send to a room and will not try again."""
        return self._count("FROM outbox WHERE room = ? AND failure IS NOT NULL", room)

    def _count(self, of: str, *values: str) -> int:
        with closing(sqlite3.connect(self.data / "branbell.sqlite")) as store:
            return int(store.execute(f"SELECT COUNT(*) {of}", values).fetchone()[0])

    def forget_sending(self, room: str, event: str) -> None:
        """Undoes the note that a message was sent, as if the power had failed just before it, more than a day ago. Only
        while the bot is down.
        """
        with closing(sqlite3.connect(self.data / "branbell.sqlite")) as store, store:
            forgotten = store.execute(
                "UPDATE outbox SET event = NULL, next_at = 0, created = created - 25 * 3600 * 1000"
                " WHERE room = ? AND event = ?",
                (room, event),
            )
            assert forgotten.rowcount == 1

    def back_up(self, file: Path) -> None:
        """Copies its store, while it runs."""
        self._tell("backup", str(file))

    def restore(self, file: Path) -> None:
        """Puts a copy in the place of its store, as after a broken disk. Only while it is down."""
        for part in self.data.glob("branbell.sqlite*"):
            part.unlink()
        self._tell("restore", str(file))

    def _tell(self, *command: str) -> None:
        told = [PROGRAM, *command, "--data", str(self.data)]
        subprocess.run(told, check=True, capture_output=True, text=True, timeout=60)

    def set_clock(self, instant: datetime) -> None:
        """Tells it what time it is."""
        new = self._clock.with_suffix(".new")
        new.write_text(instant.isoformat())
        new.rename(self._clock)


async def after(milliseconds: float) -> None:
    """Lets the bot run on for a moment, to kill it at another point of its work each time."""
    await asyncio.sleep(milliseconds / 1000)
