"""Waiting for something to become true, with an end."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable

# Long for a busy machine; a scenario that works waits milliseconds.
PATIENCE = 60.0


async def until(
    true: Callable[[], bool],
    what: str,
    within: float = PATIENCE,
    instead: Callable[[], object] = lambda: "",
) -> None:
    """Returns once `true()` holds; if it does not do so in time, fails and tells what there was `instead`."""
    end = time.monotonic() + within
    while not true():
        if time.monotonic() > end:
            raise AssertionError(f"waited {within:.0f} s in vain until {what} {instead()}")
        await asyncio.sleep(0.01)
