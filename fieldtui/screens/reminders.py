"""When the bell rings: on a change to something more urgent, and seldom."""

from __future__ import annotations

from dataclasses import dataclass

LEAST_SECONDS = 30.0


@dataclass(slots=True)
class Bell:
    """Decides about ringing. `urgency` is any number that grows with urgency, 0 for none."""

    on: bool = True
    _last_urgency: int = 0
    _rung_at: float | None = None
    answered: bool = False

    def rings(self, urgency: int, now_seconds: float) -> bool:
        """Whether to ring now. A reminder that was answered is quiet until it gets more urgent."""
        rising = urgency > self._last_urgency
        if rising:
            self.answered = False
        self._last_urgency = urgency
        if not rising or not self.on:
            return False
        if self._rung_at is not None and now_seconds - self._rung_at < LEAST_SECONDS:
            return False
        self._rung_at = now_seconds
        return True

    def answer(self) -> None:
        """The operator has seen it."""
        self.answered = True
