"""A line between the bot and its homeserver on which things go wrong: cut, stalled, refused, or the end of the bot."""

from __future__ import annotations

import asyncio
import random
import re
import ssl
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus

from aiohttp import ClientConnectionError, ClientSession, ClientTimeout, web

# What each fault does, and how often it happens to a request (out of a hundred).
FAULTS = {
    "429": 2,
    "502": 2,
    "cut before": 2,  # the request does not arrive
    "cut after": 2,  # the request arrives, its answer does not
    "cut within": 1,  # half of the answer arrives
    "stalled": 2,
}
LONGEST_STALL = 1.5
SEND = r"/rooms/[^/]+/send/"
# Headers that are about one connection and not about what it carries.
HOP_BY_HOP = {"connection", "content-encoding", "content-length", "host", "keep-alive", "transfer-encoding"}


@dataclass(frozen=True)
class Point:
    """An instant in the bot's work, as it shows on the line."""

    name: str
    method: str
    path: re.Pattern[str]
    # The homeserver has done it, and the bot does not know yet; else: the bot has asked, and nothing has been done.
    done: bool
    # How often it is chosen, beside the others; the bot seldom comes to some.
    weight: int


def _point(name: str, method: str, path: str, *, done: bool, weight: int) -> Point:
    return Point(name, method, re.compile(path), done, weight)


POINTS = (
    _point("between commit and send", "PUT", SEND, done=False, weight=4),
    _point("between send and mark", "PUT", SEND, done=True, weight=4),
    _point("before keys are shared", "PUT", r"/sendToDevice/m\.room\.encrypted/", done=False, weight=1),
    _point("after keys are shared", "PUT", r"/sendToDevice/m\.room\.encrypted/", done=True, weight=1),
    _point("while paging back", "GET", r"/rooms/[^/]+/messages", done=True, weight=2),
    _point("before news arrive", "GET", r"/sync", done=True, weight=2),
)


class Proxy:
    """Passes requests on to a homeserver, with faults by chance once it is `rough`; over TLS with a `certificate`."""

    def __init__(self, upstream: str, chance: random.Random, certificate: ssl.SSLContext | None = None) -> None:
        self.rough = False
        self.faults: Counter[str] = Counter()
        # How many requests the homeserver has answered.
        self.passed = 0
        self.url = ""
        # Called when the homeserver has taken something that the bot says.
        self.spoken: Callable[[], None] = lambda: None
        self._upstream = upstream
        self._chance = chance
        self._certificate = certificate
        self._trap: tuple[Point, Callable[[], None]] | None = None

    async def start(self) -> None:
        self._session = ClientSession(timeout=ClientTimeout(total=None), auto_decompress=True)
        app = web.Application(client_max_size=2**26)
        app.router.add_route("*", "/{path:.*}", self._answer)
        self._runner = web.AppRunner(app, access_log=None, handler_cancellation=True, shutdown_timeout=0.1)
        await self._runner.setup()
        site = web.TCPSite(self._runner, "127.0.0.1", 0, ssl_context=self._certificate)
        await site.start()
        scheme = "http" if self._certificate is None else "https"
        self.url = f"{scheme}://127.0.0.1:{self._runner.addresses[0][1]}"

    async def stop(self) -> None:
        await self._runner.cleanup()
        await self._session.close()

    def set_trap(self, point: Point, spring: Callable[[], None]) -> None:
        """Calls `spring` as soon as the bot comes to the point, once; what was on the line then is lost."""
        self._trap = point, spring

    def clear_trap(self) -> None:
        self._trap = None

    async def _answer(self, request: web.Request) -> web.StreamResponse:
        body = await request.read()
        if self._springs(request, done=False):
            return self._cut(request)
        fault = self._draw()
        if fault == "429":
            pause = {"errcode": "M_LIMIT_EXCEEDED", "error": "Too many requests", "retry_after_ms": 50}
            return web.json_response(pause, status=429)
        if fault == "502":
            return web.Response(status=502, text="<html>Bad gateway</html>", content_type="text/html")
        if fault == "cut before":
            return self._cut(request)
        if fault == "stalled":
            await asyncio.sleep(self._chance.uniform(0.05, LONGEST_STALL))
        try:
            status, headers, data = await self._pass_on(request, body)
        except ClientConnectionError:
            return self._cut(request)
        self.passed += 1
        if request.method == "PUT" and re.search(SEND, request.path) and status == HTTPStatus.OK:
            self.spoken()
        if fault == "cut after" or self._springs(request, done=True):
            return self._cut(request)
        answer = web.StreamResponse(status=status, headers=headers)
        answer.content_length = len(data)
        try:
            await answer.prepare(request)
            if fault == "cut within":
                await answer.write(data[: len(data) // 2])
                return self._cut(request, answer)
            await answer.write(data)
        except ConnectionError:
            pass  # The bot hears no more of it.
        return answer

    async def _pass_on(self, request: web.Request, body: bytes) -> tuple[int, dict[str, str], bytes]:
        headers = {name: value for name, value in request.headers.items() if name.lower() not in HOP_BY_HOP}
        url = self._upstream + request.raw_path
        async with self._session.request(request.method, url, data=body, headers=headers) as answer:
            kept = {name: value for name, value in answer.headers.items() if name.lower() not in HOP_BY_HOP}
            return answer.status, kept, await answer.read()

    def _springs(self, request: web.Request, *, done: bool) -> bool:
        if self._trap is None:
            return False
        point, spring = self._trap
        fits = point.done == done and point.method == request.method and point.path.search(request.path)
        if not fits:
            return False
        self._trap = None
        spring()
        return True

    def _draw(self) -> str | None:
        if not self.rough:
            return None
        [drawn] = self._chance.choices([None, *FAULTS], [100 - sum(FAULTS.values()), *FAULTS.values()])
        if drawn is not None:
            self.faults[drawn] += 1
        return drawn

    def _cut(self, request: web.Request, answer: web.StreamResponse | None = None) -> web.StreamResponse:
        if request.transport is not None:
            request.transport.abort()
        return answer or web.Response()
