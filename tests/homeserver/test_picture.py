"""A picture as another client gets it: its image, its size, and the same in words."""

from __future__ import annotations

import struct

import pytest

from bot import Bot
from person import Person
from test_kitchen import kitchen

pytestmark = pytest.mark.asyncio(loop_scope="session")


async def test_a_chart_is_an_image_with_its_words(bot: Bot, ana: Person, encrypted: bool) -> None:
    room = await kitchen(bot, ana, encrypted)
    await ana.asks(room, bot.user, "added three litres", "3 l in green")
    answer = await ana.asks(room, bot.user, "show me a picture of the bins", r"^The bins on .* Green: filling")
    assert answer.encrypted == encrypted
    content = answer.content
    assert content["msgtype"] == "m.image"
    assert content["filename"] == "bins.png"
    # In an encrypted room the homeserver does not see the image either.
    assert ("file" in content, "url" in content) == (encrypted, not encrypted)
    image = ana.picture(answer)
    assert image.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", image[16:24])
    assert content["info"] == {"mimetype": "image/png", "size": len(image), "w": width, "h": height}
