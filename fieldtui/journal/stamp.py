"""When something happened: the wall clock, the clock that never steps, and which boot it counts from."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Protocol

from msgspec import Struct


class Stamp(Struct, frozen=True):
    """A moment as this machine saw it.

    `at` is the system clock in UTC, right or wrong; `mono_seconds` counts from the boot named `boot`,
    goes on through suspend and never steps, so intervals survive a corrected wall clock.
    """

    at: datetime
    mono_seconds: float
    boot: str

    def moved_to(self, mono_seconds: float) -> Stamp:
        """Another moment of this boot, by the wall clock as it is set at this one."""
        try:
            at = self.at + timedelta(seconds=mono_seconds - self.mono_seconds)
        except OverflowError:
            at = self.at  # a clock at the end of all calendars
        return Stamp(at, mono_seconds, self.boot)


class Clock(Protocol):
    """Anything that can say what time it is; tests move one by hand."""

    def now(self) -> Stamp:
        """This moment."""
        ...


class SystemClock:
    """The machine's own clocks."""

    def now(self) -> Stamp:
        """The wall clock and CLOCK_BOOTTIME, read together."""
        return Stamp(datetime.now(UTC), time.clock_gettime(time.CLOCK_BOOTTIME), boot_id())


@cache
def boot_id() -> str:
    """Eight hexadecimal digits that differ from boot to boot."""
    try:
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").replace("-", "")[:8]
    except OSError:
        # Without the kernel's id the moment of the boot itself tells boots apart, to the second.
        started_at = time.time() - time.clock_gettime(time.CLOCK_BOOTTIME)
        return f"{int(started_at) & 0xFFFFFFFF:08x}"
