"""A bot that only answers: the least that another library needs, to measure ours against.

python echo_bot.py HOMESERVER USER PASSWORD FOLDER
"""

from __future__ import annotations

import asyncio
import sys
import time

import nio
from nio.client.async_client import AsyncClient, AsyncClientConfig


async def main(homeserver: str, user: str, password: str, folder: str) -> None:
    config = AsyncClientConfig(store_sync_tokens=True, encryption_enabled=True)
    client = AsyncClient(homeserver, user, store_path=folder, config=config)
    await client.login(password)
    began = time.time() * 1000

    async def join(room: nio.MatrixRoom, _: nio.Event) -> None:
        await client.join(room.room_id)

    async def answer(room: nio.MatrixRoom, event: nio.RoomMessageText) -> None:
        if event.sender != user and event.server_timestamp >= began:
            content = {
                "msgtype": "m.text",
                "body": event.body,
                "m.relates_to": {"m.in_reply_to": {"event_id": event.event_id}},
            }
            await client.room_send(room.room_id, "m.room.message", content, ignore_unverified_devices=True)

    # The library hints at less than it takes.
    client.add_event_callback(join, nio.InviteMemberEvent)  # type: ignore[arg-type]
    client.add_event_callback(answer, nio.RoomMessageText)  # type: ignore[arg-type]
    listening = asyncio.create_task(client.sync_forever(timeout=30_000, full_state=True))
    await client.synced.wait()
    print(f"{user} listens", flush=True)
    await listening


if __name__ == "__main__":
    asyncio.run(main(*sys.argv[1:]))
