"""A person with a client of her own: another library and another encryption code than the bot's."""

from __future__ import annotations

import asyncio
import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.parse import urlparse
from urllib.request import Request, urlopen
from uuid import uuid4

import nio
from nio.client.async_client import AsyncClient, AsyncClientConfig
from nio.crypto.attachments import decrypt_attachment

from homeserver import Account, Homeserver, request
from waiting import PATIENCE, until

Json = dict[str, Any]

ENCRYPTION: Json = {
    "type": "m.room.encryption",
    "state_key": "",
    "content": {"algorithm": "m.megolm.v1.aes-sha2"},
}


@dataclass(frozen=True)
class Heard:
    """An event as the person's client shows it, decrypted where that was needed."""

    event: str
    sender: str
    kind: str
    content: Json
    encrypted: bool
    at: float  # by time.monotonic()

    @property
    def text(self) -> str:
        return str(self.content.get("body", ""))

    @property
    def answers(self) -> str | None:
        """The event that this message answers."""
        answered = self.content.get("m.relates_to", {}).get("m.in_reply_to", {}).get("event_id")
        return None if answered is None else str(answered)

    @property
    def thread(self) -> str | None:
        """The first message of the thread that this message stands in."""
        relation = self.content.get("m.relates_to", {})
        return str(relation["event_id"]) if relation.get("rel_type") == "m.thread" else None


def in_thread(root: str) -> Json:
    """What says that a message stands in a thread: an answer too, for clients that know no threads."""
    relation = {"rel_type": "m.thread", "event_id": root, "is_falling_back": True}
    return {"m.relates_to": {**relation, "m.in_reply_to": {"event_id": root}}}


def edited(event: str, text: str) -> Json:
    """What says that a message takes another's place."""
    relation = {"rel_type": "m.replace", "event_id": event}
    return {"m.new_content": {"msgtype": "m.text", "body": text}, "m.relates_to": relation}


class Person:
    """Somebody in the kitchen, with a client that listens in the background."""

    def __init__(self, client: AsyncClient) -> None:
        self._client = client
        self._heard: dict[str, list[Heard]] = {}
        # What cannot be decrypted so far, by event.
        self._unreadable: dict[str, tuple[nio.MatrixRoom, nio.MegolmEvent]] = {}
        # How often a key came after its message.
        self.late_keys = 0
        self._listening: asyncio.Task[None] | None = None
        client.add_event_callback(self._hear, nio.Event)
        client.add_to_device_callback(self._read_again, nio.RoomKeyEvent)

    @classmethod
    async def log_in(cls, homeserver: Homeserver, account: Account, folder: Path) -> Person:
        """Logs in with a fresh device and begins to listen."""
        folder.mkdir()
        config = AsyncClientConfig(store_sync_tokens=True, encryption_enabled=True)
        client = AsyncClient(homeserver.url, account.user, store_path=str(folder), config=config)
        person = cls(client)
        answer = await client.login(account.password)
        assert isinstance(answer, nio.LoginResponse), answer
        person._listening = asyncio.create_task(client.sync_forever(timeout=30_000, full_state=True))
        await client.synced.wait()
        return person

    async def log_off(self) -> None:
        if self._listening is not None:
            self._listening.cancel()
            await asyncio.gather(self._listening, return_exceptions=True)
        await self._client.close()

    @property
    def user(self) -> str:
        return str(self._client.user_id)

    @property
    def token(self) -> str:
        return str(self._client.access_token)

    async def make_room(self, *invited: str, encrypted: bool = False, follows: str | None = None) -> str:
        """Makes a room and invites people into it; it may say that it follows another one."""
        state = [ENCRYPTION] if encrypted else []
        before = None if follows is None else {"room_id": follows, "event_id": "$last"}
        answer = await self._client.room_create(invite=list(invited), initial_state=state, predecessor=before)
        assert isinstance(answer, nio.RoomCreateResponse), answer
        room = str(answer.room_id)
        await until(lambda: room in self._client.rooms, f"{self.user} sees the new room")
        return room

    async def upgrade(self, room: str) -> str:
        """Has another room take this one's place, as its stewards do now and then, and goes there."""
        path = f"/_matrix/client/v3/rooms/{room}/upgrade"
        answer = request(str(self._client.homeserver), "POST", path, {"new_version": "11"}, self.token)
        new = str(answer["replacement_room"])
        await until(lambda: new in self._client.rooms, f"{self.user} sees the new room")
        return new

    async def invite(self, room: str, user: str) -> None:
        answer = await self._client.room_invite(room, user)
        assert isinstance(answer, nio.RoomInviteResponse), answer

    async def join(self, room: str) -> None:
        await until(lambda: room in self._client.invited_rooms, f"{self.user} is invited")
        answer = await self._client.join(room)
        assert isinstance(answer, nio.JoinResponse), answer
        await until(lambda: room in self._client.rooms, f"{self.user} is in the room")

    async def sees_join(self, room: str, user: str) -> None:
        """Waits until somebody is in the room."""
        await until(lambda: self._is_joined(room, user), f"{user} joins")

    def _is_joined(self, room: str, user: str) -> bool:
        member = self._client.rooms[room].users.get(user)
        return member is not None and not member.invited

    async def say(self, room: str, text: str, **content: Any) -> str:
        """Says something and gives the event's id."""
        return await self.send(room, "m.room.message", {"msgtype": "m.text", "body": text, **content})

    async def flood(self, room: str, texts: list[str]) -> list[str]:
        """Says many things as fast as the homeserver takes them, in a room without encryption, in any order."""

        def put(text: str) -> str:
            path = f"/_matrix/client/v3/rooms/{room}/send/m.room.message/{uuid4()}"
            return str(self._put(path, {"msgtype": "m.text", "body": text})["event_id"])

        return list(await asyncio.gather(*[asyncio.to_thread(put, text) for text in texts]))

    async def answer(self, room: str, event: str, text: str) -> str:
        """Answers a message."""
        return await self.say(room, text, **{"m.relates_to": {"m.in_reply_to": {"event_id": event}}})

    async def edit(self, room: str, event: str, text: str) -> str:
        """Changes what was said."""
        return await self.say(room, f"* {text}", **edited(event, text))

    def edit_unseen(self, room: str, event: str, text: str) -> str:
        """The same in an encrypted room where something was said before, with all of it encrypted: the homeserver does
        not see what is changed, and cannot refuse a change of what there is not.
        """
        olm = self._client.olm
        assert olm is not None
        content = {"msgtype": "m.text", "body": f"* {text}", **edited(event, text)}
        return self._send_encrypted(room, olm.group_encrypt(room, {"type": "m.room.message", "content": content}))

    async def react(self, room: str, event: str, key: str) -> str:
        relation = {"rel_type": "m.annotation", "event_id": event, "key": key}
        return await self.send(room, "m.reaction", {"m.relates_to": relation})

    async def delete(self, room: str, event: str) -> str:
        """Takes a message out of the room; gives the event that does so."""
        answer = await self._client.room_redact(room, event)
        assert isinstance(answer, nio.RoomRedactResponse), answer
        return str(answer.event_id)

    def sent_by(self, room: str, sender: str) -> list[str]:
        """Everything somebody said or did in a room, as the homeserver has it, decrypted or not; the newest first."""
        sent: list[str] = []
        page = "?dir=b&limit=500"
        while page:
            answer = request(str(self._client.homeserver), "GET", self._messages(room, page), token=self.token)
            events = [event for event in answer["chunk"] if event["sender"] == sender and "state_key" not in event]
            sent.extend(event["event_id"] for event in events)
            page = f"?dir=b&limit=500&from={answer['end']}" if "end" in answer else ""
        return sent

    def _messages(self, room: str, page: str) -> str:
        return f"/_matrix/client/v3/rooms/{room}/messages{page}"

    async def put_out(self, room: str, user: str, *, ban: bool = False) -> None:
        """Puts somebody out of the room; banned, they may not come back."""
        answer = await (self._client.room_ban if ban else self._client.room_kick)(room, user)
        assert isinstance(answer, nio.RoomBanResponse | nio.RoomKickResponse), answer

    async def readmit(self, room: str, user: str) -> None:
        """Lifts a ban."""
        answer = await self._client.room_unban(room, user)
        assert isinstance(answer, nio.RoomUnbanResponse), answer

    async def set_state(self, room: str, kind: str, content: Json) -> None:
        """Changes something of the room itself."""
        answer = await self._client.room_put_state(room, kind, content)
        assert isinstance(answer, nio.RoomPutStateResponse), answer

    def state(self, room: str, kind: str) -> Json:
        """How something of the room stands."""
        path = f"/_matrix/client/v3/rooms/{room}/state/{kind}"
        return dict(request(str(self._client.homeserver), "GET", path, token=self.token))

    async def encrypt(self, room: str) -> None:
        """Switches encryption on, for good."""
        await self.set_state(room, "m.room.encryption", ENCRYPTION["content"])
        await until(lambda: self._client.rooms[room].encrypted, f"{self.user} sees that the room is encrypted")

    def say_without_key(self, room: str, text: str) -> tuple[str, Callable[[], None]]:
        """Says something in an encrypted room and holds its key back; gives the event, and what sends the key."""
        olm = self._client.olm
        assert olm is not None
        self.forget_key(room)
        users = list(self._client.rooms[room].users)
        _, keys = olm.share_group_session(room, users, ignore_unverified_devices=True)
        olm.outbound_group_sessions[room].mark_as_shared()
        said = {"type": "m.room.message", "content": {"msgtype": "m.text", "body": text}}
        event = self._send_encrypted(room, olm.group_encrypt(room, said))
        return event, lambda: self._put(f"/_matrix/client/v3/sendToDevice/m.room.encrypted/{uuid4()}", keys)

    def _send_encrypted(self, room: str, encrypted: Json) -> str:
        path = f"/_matrix/client/v3/rooms/{room}/send/m.room.encrypted/{uuid4()}"
        return str(self._put(path, encrypted)["event_id"])

    def forget_key(self, room: str) -> None:
        """The next message in the room gets a key of its own."""
        self._client.invalidate_outbound_session(room)

    def _put(self, path: str, body: Json) -> Any:
        return request(str(self._client.homeserver), "PUT", path, body, self.token)

    def gets_through(self, room: str, what: str, content: Json) -> bool:
        """Sends or sets anything in the room, and says whether the homeserver takes it."""
        try:
            self._put(f"/_matrix/client/v3/rooms/{room}/{what}", content)
        except HTTPError as error:
            assert error.code == 400, error
            return False
        return True

    async def send(self, room: str, kind: str, content: Json) -> str:
        """Sends any event and gives its id."""
        answer = await self._client.room_send(room, kind, content, ignore_unverified_devices=True)
        assert isinstance(answer, nio.RoomSendResponse), answer
        return str(answer.event_id)

    def heard(self, room: str, sender: str) -> list[Heard]:
        """The messages of somebody, in order."""
        events = self._heard.get(room, [])
        return [event for event in events if event.sender == sender and event.kind == "m.room.message"]

    def reactions(self, room: str, sender: str) -> list[Heard]:
        events = self._heard.get(room, [])
        return [event for event in events if event.sender == sender and event.kind == "m.reaction"]

    async def hears(
        self, room: str, sender: str, fits: Callable[[Heard], bool], what: str, within: float = PATIENCE
    ) -> Heard:
        """Waits for a message of somebody."""
        await until(
            lambda: any(map(fits, self.heard(room, sender))),
            f"{self.user} hears {what}",
            within,
            lambda: [heard.text for heard in self.heard(room, sender)],
        )
        return next(filter(fits, self.heard(room, sender)))

    async def hears_answer(self, room: str, sender: str, event: str, pattern: str = "") -> Heard:
        """Waits for the answer to a message, which has to match."""
        answer = await self.hears(room, sender, lambda heard: heard.answers == event, f"an answer to {event}")
        assert re.search(pattern, answer.text), f"{answer.text!r} does not match {pattern!r}"
        return answer

    async def asks(self, room: str, sender: str, text: str, pattern: str = "") -> Heard:
        """Says something and waits for the answer."""
        return await self.hears_answer(room, sender, await self.say(room, text), pattern)

    def picture(self, heard: Heard) -> bytes:
        """Downloads the image of a message, and decrypts it where it was encrypted."""
        file = heard.content.get("file")
        address = urlparse(file["url"] if file else heard.content["url"])
        path = f"/_matrix/client/v1/media/download/{address.netloc}{address.path}"
        call = Request(f"{self._client.homeserver}{path}", headers={"Authorization": f"Bearer {self.token}"})
        with urlopen(call, timeout=PATIENCE) as answer:
            data = bytes(answer.read())
        if not file:
            return data
        return bytes(decrypt_attachment(data, file["key"]["k"], file["hashes"]["sha256"], file["iv"]))

    def _hear(self, room: nio.MatrixRoom, event: nio.Event) -> None:
        if isinstance(event, nio.MegolmEvent):
            self._unreadable[event.event_id] = room, event
            return
        source: Json = event.source
        heard = Heard(
            event.event_id,
            event.sender,
            source["type"],
            source["content"],
            bool(event.decrypted),
            time.monotonic(),
        )
        self._heard.setdefault(room.room_id, []).append(heard)

    def _read_again(self, _: nio.ToDeviceEvent) -> None:
        """Decrypts what came before its key, which the library leaves to its user."""
        for room, event in [*self._unreadable.values()]:
            if self._has_key(event):
                del self._unreadable[event.event_id]
                self.late_keys += 1
                self._hear(room, self._client.decrypt_event(event))

    def _has_key(self, event: nio.MegolmEvent) -> bool:
        assert self._client.olm is not None and event.sender_key is not None and event.session_id is not None
        keys = self._client.olm.inbound_group_store
        return keys.get(event.room_id, event.sender_key, event.session_id) is not None

    def why_unread(self, event: str) -> str:
        """Why a message was not read."""
        if event not in self._unreadable:
            return "it never came, or is no message"
        _, unread = self._unreadable[event]
        return f"the key {unread.session_id} of the device {unread.device_id} never came"
