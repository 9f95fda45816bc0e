"""The clock that stamps what arrives."""

from __future__ import annotations

import time

_CLOCK = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)


def boot_seconds() -> float:
    """Return seconds since the machine started: suspend included where the system can, and without steps."""
    return time.clock_gettime(_CLOCK)
