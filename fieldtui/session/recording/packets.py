"""From frames, however many, to the journal: all of what a channel can carry, and counts of what goes beyond.

A line of garbage, or a program that floods a network port, must not fill the card.
"""

from __future__ import annotations

from fieldtui.journal.event_types import Event
from fieldtui.journal.packet_events import PacketDamaged, PacketHeard, PacketsLeftOut

WINDOW_SECONDS = 60.0
MOST_HEARD = 600
"""Kept in a window: ten a second, more than a channel of 9600 bits a second can carry (own reckoning: a frame
of 40 bytes and 200 ms for keying take 230 ms)."""
MOST_DAMAGED = 10
"""Kept raw in a window: enough to see what is wrong with the line."""
MOST_RAW_BYTES = 330
"""Of a damaged frame: as long as a whole one."""


class PacketRecorder:
    """Decides what of a modem's frames goes into the journal. Deterministic; reads no clock."""

    def __init__(self, feed: str, *, writer: str | None = None) -> None:
        self.feed = feed
        self.writer = writer
        self._window: float | None = None
        self._heard = self._damaged = 0
        self._left_heard = self._left_damaged = 0

    def heard(self, frame: bytes, port: int, seconds: float) -> list[Event]:
        """A whole frame came, at that time of a clock that never steps."""
        events = self._turn(seconds)
        self._heard += 1
        if self._heard > MOST_HEARD:
            self._left_heard += 1
            return events
        return [*events, PacketHeard(feed=self.feed, frame=frame.hex(), port=port, writer=self.writer)]

    def damaged(self, raw: bytes, problem: str, seconds: float, count: int = 1) -> list[Event]:
        """Bytes came that are no frame; without `raw`, so many that nobody looked at them singly."""
        events = self._turn(seconds)
        self._damaged += count
        if not raw or self._damaged > MOST_DAMAGED:
            self._left_damaged += count
            return events
        kept = raw[:MOST_RAW_BYTES].hex()
        return [*events, PacketDamaged(feed=self.feed, raw=kept, problem=problem, writer=self.writer)]

    def close(self) -> list[Event]:
        """What was counted and not told yet; also good whenever the feed has a pause."""
        if not (self._left_heard or self._left_damaged):
            return []
        told = PacketsLeftOut(
            feed=self.feed, heard=self._left_heard, damaged=self._left_damaged, writer=self.writer
        )
        self._left_heard = self._left_damaged = 0
        return [told]

    def _turn(self, seconds: float) -> list[Event]:
        # Windows of the clock, not of the first frame: two programs that read one modem keep the same frames.
        window = seconds // WINDOW_SECONDS
        if window == self._window:
            return []
        self._window = window
        self._heard = self._damaged = 0
        return self.close()
