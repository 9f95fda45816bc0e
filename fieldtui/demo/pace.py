"""A clock that runs faster than the real one, so that a two-hour outing can be seen in minutes."""

from __future__ import annotations

import secrets
import time
from datetime import UTC, datetime, timedelta

from fieldtui.journal.stamp import Stamp


class PacedClock:
    """Starts at the true time (or at `start`) and runs `pace` times as fast.

    It names a boot of its own, so that its seconds are never compared with those of a real boot.
    """

    def __init__(self, pace: float = 1.0, *, start: datetime | None = None) -> None:
        self.pace = pace
        self.boot = secrets.token_hex(4)
        self._zero = time.monotonic()
        self._start = start or datetime.now(UTC)

    def elapsed_seconds(self) -> float:
        """Paced seconds since this clock was made."""
        return (time.monotonic() - self._zero) * self.pace

    def now(self) -> Stamp:
        """This paced moment."""
        elapsed = self.elapsed_seconds()
        return Stamp(self._start + timedelta(seconds=elapsed), elapsed, self.boot)

    def sleep_until(self, elapsed_seconds: float) -> float:
        """Real seconds until a paced moment, never negative."""
        return max(0.0, (elapsed_seconds - self.elapsed_seconds()) / self.pace)
