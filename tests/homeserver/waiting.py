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
    progress: Callable[[], object] = lambda: None,
) -> None:
    """Returns once `true()` holds; if it does not do so in time, fails and tells what there was `instead`. The time
    begins anew whenever `progress()` has changed: where much is outstanding, only standing still is a failure.
    """
    end = time.monotonic() + within
    so_far = progress()
    while not true():
        if (now := progress()) != so_far:
            so_far = now
            end = time.monotonic() + within
        if time.monotonic() > end:
            raise AssertionError(f"waited {within:.0f} s in vain until {what} {instead()}")
        await asyncio.sleep(0.01)
