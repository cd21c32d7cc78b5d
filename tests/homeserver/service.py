"""The bot as its system keeps it in the crash test: started again whenever it ends, killed, paused, taken over from."""

from __future__ import annotations

import signal
import subprocess
import time
from pathlib import Path

from bot import Bot
from proxy import Proxy
from waiting import until

# What a standby ends with where the paused one was writing its keys at that instant: the file stays locked as long.
KEYS_LOCKED = "database is locked"


class Service:
    """The bot as its system keeps it: started again whenever it ends; with a standby, if there is to be one."""

    def __init__(self, bot: Bot, proxy: Proxy, *, standby: bool) -> None:
        self._bot = bot
        self._proxy = proxy
        proxy.spoken = self._spoken
        self._wanted = 2 if standby else 1
        self._running: list[tuple[subprocess.Popen[bytes], Path]] = []
        self._started = 0
        # When it was last killed or paused, and which list takes how long it took to be back, until it is.
        self._gone_at = 0.0
        self._back: list[float] | None = None
        self._silent = False
        self.back_after_kill: list[float] = []
        self.back_after_pause: list[float] = []
        self.first_words: list[float] = []
        self.overtaken = 0
        self.locked_out = 0
        # Whether one is paused, and whether another could not open its keys since.
        self._pausing = False
        self._locked = False
        self.ended: list[str] = []

    def fill(self) -> None:
        """Starts what is not running: the first, which serves or is about to; once it does, the standby."""
        for process, log in [*self._running]:
            if process.poll() is not None:
                self._running.remove((process, log))
                self._left_by_itself(process, log)
        if not self._running or (len(self._running) < self._wanted and self._serves()):
            self._started += 1
            log = self._bot.folder / f"bot-{self._started}.log"
            with log.open("wb") as out:
                self._running.append((subprocess.Popen(self._bot.command, stdout=out, stderr=out), log))

    def _serves(self) -> bool:
        return f"{self._bot.user} listens" in self._running[0][1].read_text()

    def _left_by_itself(self, process: subprocess.Popen[bytes], log: Path) -> None:
        """One of them ended, and nobody had killed it: right if another took over, or else unwanted."""
        said = log.read_text()[-300:]
        if process.returncode == 1 and "another branbell has taken over" in said:
            self.overtaken += 1
        elif self._pausing and process.returncode == 1 and KEYS_LOCKED in said:
            self._locked = True
        else:
            self.ended.append(f"ended with {process.returncode}: {said}")

    def kill(self) -> None:
        """Ends the one that serves, at once."""
        if self._running:
            process, _ = self._running.pop(0)
            process.kill()
            process.wait()
            self._gone(self.back_after_kill)

    def _gone(self, back: list[float]) -> None:
        self._gone_at = time.monotonic()
        self._back = back
        self._silent = True

    def homeserver_is_back(self) -> None:
        """Nobody could serve without it: what it took to be back, or to say something, counts from now."""
        self._gone_at = time.monotonic()

    def listens(self) -> bool:
        """Whether the first serves; notes how long it took since the last kill or pause."""
        self.fill()
        listens = self._serves()
        if listens and self._back is not None:
            self._back.append(time.monotonic() - self._gone_at)
            self._back = None
        return listens

    def _spoken(self) -> None:
        """It has said something; what another one had asked for just before it was killed does not count."""
        if self._silent and self._running and self._serves():
            self.first_words.append(time.monotonic() - self._gone_at)
            self._silent = False

    async def ready(self) -> None:
        """Waits until it serves, with whoever stands by in place."""
        # It reads on in each room first: only standing still is a failure.
        await until(self.listens, "the bot listens", instead=self._latest_log, progress=lambda: self._proxy.passed)
        await until(self._stand_by, "the others stand by")

    def _latest_log(self) -> str:
        return self._running[0][1].read_text()[-2000:]

    def _stand_by(self) -> bool:
        self.fill()
        standing_by = sum("standing by" in log.read_text() for _, log in self._running[1:])
        return standing_by == self._wanted - 1

    async def pause(self) -> None:
        """Pauses the one that serves until the standby has taken over; when it comes back it has to leave by itself."""
        await self.ready()
        process, log = self._running.pop(0)
        self._gone(self.back_after_pause)
        self._pausing, self._locked = True, False
        try:
            process.send_signal(signal.SIGSTOP)
            await until(lambda: self.listens() or self._locked, "another takes over")
            if self._locked:
                self.locked_out += 1
                self._back = None
            process.send_signal(signal.SIGCONT)
            await until(lambda: process.poll() is not None, "the one that was paused leaves", within=20)
        finally:
            # Nothing is left behind, paused or not.
            process.kill()
        self._left_by_itself(process, log)
        await self.ready()
        self._pausing = False

    async def stop(self) -> None:
        """Ends all as the system does; each has to end well."""
        for process, log in self._running:
            process.terminate()
            await until(lambda process=process: process.poll() is not None, "the bot stops")  # type: ignore[misc]
            if process.returncode != 0:
                self._left_by_itself(process, log)
        self._running = []

    def abandon(self) -> None:
        """Ends all at once."""
        for process, _ in self._running:
            process.kill()
            process.wait()
