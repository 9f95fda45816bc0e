"""A clock that is moved by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from fieldtui.journal.stamp import Stamp

START = datetime(2026, 6, 14, 17, 0, tzinfo=UTC)


class HandClock:
    """Stands still until moved; one boot unless told of another."""

    def __init__(self, start: datetime = START, *, boot: str = "b00710ad") -> None:
        self.start = start
        self.seconds = 0.0
        self.boot = boot

    def now(self) -> Stamp:
        """This moment."""
        return Stamp(self.start + timedelta(seconds=self.seconds), 5000.0 + self.seconds, self.boot)

    def move(self, seconds: float) -> None:
        """Let time pass."""
        self.seconds += seconds
