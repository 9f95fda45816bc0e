"""When the bell rings: on a change to something more urgent, and seldom."""

from __future__ import annotations

from msgspec import Struct

LEAST_SECONDS = 30.0


class Bell(Struct):
    """Decides about ringing. `urgency` is any number that grows with urgency, 0 for none."""

    on: bool = True
    urgency: int | None = None
    """As it was told last; None before the first time: what stands then is nothing new."""
    _rung_at: float | None = None
    _owed: bool = False
    """A rise that came too soon after the last ring: it rings later, if it still stands unanswered."""
    answered: bool = False

    def rings(self, urgency: int, now_seconds: float) -> bool:
        """Whether to ring now. A reminder that was answered is quiet until it gets more urgent."""
        before = self.urgency or 0
        if urgency > before:
            self.answered, self._owed = False, True
        elif urgency < before:
            self._owed = False
        self.urgency = urgency
        if not self.on:
            self._owed = False
        if not self._owed or self._too_soon(now_seconds):
            return False
        self._owed, self._rung_at = False, now_seconds
        return True

    def answer(self) -> None:
        """The operator has seen it."""
        self.answered, self._owed = True, False

    def _too_soon(self, now_seconds: float) -> bool:
        return self._rung_at is not None and now_seconds - self._rung_at < LEAST_SECONDS


class AlarmBell(Struct):
    """Rings for each alarm that is new, and each time an ignored one is said again."""

    on: bool = True
    _fresh: int = 0
    _repeats: int = 0

    def rings(self, fresh: int, repeats: int) -> bool:
        """`fresh` alarms stand that nobody has acknowledged; `repeats` were said again so far."""
        more = fresh > self._fresh or repeats > self._repeats
        self._fresh, self._repeats = fresh, repeats
        return more and self.on
