"""Where the receiver says that the station is and was."""

from __future__ import annotations

from functools import lru_cache

from msgspec import Struct, field

from fieldtui.journal.events import FeedChanged
from fieldtui.journal.position_events import PositionFixed
from fieldtui.radio.locator import LocatorError, locator_of
from fieldtui.session.timeline import Moment

FEED = "gps"
MOST_TRACK_POINTS = 2000
"""Enough for a drawn track; when there are more, every second one goes, so the whole way stays."""


class TrackPoint(Struct, frozen=True):
    """One place on the way; the moment tells its true time once the clock is known."""

    moment: Moment
    lat_deg: float
    lon_deg: float
    height_m: float | None = None


class PositionFold(Struct):
    """The last recorded fix, and the way here."""

    fix: PositionFixed | None = None
    fixed: Moment | None = None
    track: list[TrackPoint] = field(default_factory=list)
    """In the order of the journal, thinned evenly, the latest always at the end."""
    condition: str | None = None
    words: str = ""
    _every: int = 1
    _passed: int = 0

    def on_fixed(self, event: PositionFixed, moment: Moment) -> None:
        """The receiver has a fix. A place that is none is passed over: anybody may have written the journal."""
        if not (-90 <= event.lat_deg <= 90 and -180 <= event.lon_deg <= 180):
            return
        self.fix, self.fixed = event, moment
        self._add(TrackPoint(moment, event.lat_deg, event.lon_deg, event.height_metres))

    def on_feed(self, event: FeedChanged) -> None:
        """The receiver came or went, or lost its fix."""
        if event.feed == FEED:
            self.condition, self.words = event.condition, event.words

    def locator(self, characters: int = 6) -> str | None:
        """The locator of the last fix, 6 or 8 characters: 8 are worth it only while the fix is a good one."""
        return None if self.fix is None else _locator(self.fix.lat_deg, self.fix.lon_deg, characters)

    def age_seconds(self, now: float) -> float | None:
        """Seconds from the last recorded fix to a session second; it is recorded every few minutes at least."""
        return None if self.fixed is None else max(0.0, now - self.fixed.seconds)

    def _add(self, point: TrackPoint) -> None:
        """Keep every so many-th point, and the newest, which the next one replaces unless it is one of those."""
        if (self._passed - 1) % self._every:
            self.track.pop()
        self._passed += 1
        self.track.append(point)
        if len(self.track) > MOST_TRACK_POINTS:
            del self.track[1:-1:2]
            self._every *= 2


@lru_cache(maxsize=8)
def _locator(lat_deg: float, lon_deg: float, characters: int) -> str | None:
    try:
        return locator_of(lat_deg, lon_deg, characters)
    except LocatorError:
        return None
