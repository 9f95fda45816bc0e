"""One stretch of an open port, from its opening to its loss: what its bytes mean and how it is doing.

Like the parsers it is sans-I/O: it takes bytes and the time, so that silence, floods and wrong speeds
can be judged without a port.
"""

from __future__ import annotations

from fieldtui.feeds.batches import MOST_BYTES, MOST_READINGS, WHOLE_BYTES, WHOLE_READINGS, Batch, FloodGate
from fieldtui.feeds.plausible import StepGuard
from fieldtui.feeds.readings import AskingParser, Item, PacketFault, Parser, Problem, Timed
from fieldtui.feeds.states import FeedCondition

STEADY_SECONDS = 5.0
"""A port that stays open for so long is there, though nothing comes: the other end does not hang up at once."""


class Listening:
    """Bytes of one open port in, batches and a condition out; times are monotonic seconds."""

    def __init__(
        self,
        parser: Parser,
        now: float,
        silent_after_seconds: float,
        most_bytes: int = MOST_BYTES,
        *,
        whole: bool = False,
        quiet_is_normal: bool = False,
    ) -> None:
        self.whole = whole
        """Nothing may be thrown away: what there is no room for waits in the line."""
        self._quiet_is_normal = quiet_is_normal
        self._parser = parser
        self._asks = parser if isinstance(parser, AskingParser) else None
        self._silent_after = silent_after_seconds
        self._gate = FloodGate(WHOLE_BYTES if whole else most_bytes)
        self._guard = StepGuard()
        self._batch = Batch(WHOLE_READINGS if whole else MOST_READINGS)
        self._bytes_at = self._said_at = float("-inf")
        self._said_instead = ""
        self._has_read = False
        self._nonsense = False
        self._skipping = False
        self.quiet_since = now
        """When the last reading came; before the first one, when the port was opened."""

    @property
    def has_read(self) -> bool:
        """At least one reading came."""
        return self._has_read

    def room(self, now: float) -> int:
        """Return how many bytes may be taken at this moment; 0 in a flood, when they are to be skipped."""
        return self._gate.room(now)

    def to_send(self, now: float) -> bytes:
        """Return what the parser wants to be written at this moment; mostly nothing."""
        return self._asks.to_send(now) if self._asks else b""

    @property
    def refusal(self) -> str:
        """Why a device that is asked gives no reading, as far as the parser knows."""
        return self._asks.refusal if self._asks else ""

    def take(self, data: bytes, now: float) -> None:
        """Take bytes that arrived at that time."""
        self._skipping = False
        self._bytes_at = now
        self._gate.spend(len(data))
        for item in self._parser.feed(data):
            for timed in self._guard.admit(Timed(item, now)):
                self._note(timed.item, now)
                self._batch.add(timed)

    def skip(self, now: float) -> None:
        """Know that bytes were thrown away: what comes next does not continue what came before."""
        self._bytes_at = now
        if not self._skipping:
            self._parser.reset()
        self._skipping = True

    def batch(self, now: float) -> tuple[Timed, ...]:
        """Return what is to be delivered now, at most ten times a second."""
        return self._batch.take_if_due(now)

    def rest(self, now: float) -> tuple[Timed, ...]:
        """Return what is left when the port is gone."""
        return self._batch.take(now)

    def bytes_come(self, now: float) -> bool:
        """Whether the line carries anything at all."""
        return now - self._bytes_at < self._silent_after

    def said_instead(self, now: float) -> str:
        """What a device that is asked has said lately, and is not a reading."""
        return self._said_instead if now - self._said_at < self._silent_after else ""

    def condition(self, now: float) -> FeedCondition | None:
        """Return how the feed is doing, or None as long as nothing can be said."""
        if self.refusal:
            return FeedCondition.REFUSED
        if self._nonsense and self.bytes_come(now):
            return FeedCondition.WRONG_SPEED
        if now - self.quiet_since >= self._silent_after:
            return FeedCondition.SILENT
        if self._has_read:
            return FeedCondition.READING
        steady = self._quiet_is_normal and now - self.quiet_since >= STEADY_SECONDS
        return FeedCondition.LISTENING if steady else None

    def _note(self, item: Item, now: float) -> None:
        if not isinstance(item, Problem | PacketFault):
            self._has_read, self._nonsense, self.quiet_since = True, False, now
        elif item.code == "wrong_speed":
            self._nonsense = True
        elif item.code == "answer_refused" and isinstance(item, Problem):
            self._said_at, self._said_instead = now, item.text
