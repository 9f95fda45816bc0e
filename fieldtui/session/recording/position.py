"""From fixes, one a second, to the few journal lines that tell the same way; and from their times to the true time.

A line is written when the place changed by more than the fix can be wrong, when the fix became another one, and
every five minutes. Deterministic; reads no clock.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from msgspec import Struct

from fieldtui.journal.event_types import Event
from fieldtui.journal.events import ClockOffset
from fieldtui.journal.position_events import PositionFixed
from fieldtui.journal.stamp import Stamp
from fieldtui.radio.geodesy import path_between
from fieldtui.radio.receiver_date import believable, rolled_over
from fieldtui.session.clock_estimate import ClockEstimator, TimeEstimate
from fieldtui.session.clock_words import RECEIVER, RECEIVER_DATED

HEARTBEAT_SECONDS = 300.0
LEAST_SECONDS = 5.0
FIX_SECONDS = 30.0
"""At most so often for a fix that becomes better or worse in one place."""
METRES_PER_DILUTION = 5.0
"""A fix is wrong by about so much times its horizontal dilution (common practice, no source)."""
USUAL_DILUTION = 2.0
BAND = 3.0
"""Times the uncertainty: a receiver that lies still does not seem to walk."""
NO_FIX_SECONDS = 10.0
LARGEST_SPEED = 340.0
LARGEST_JUMP_METRES = 500.0
"""More than both together within a second is believed only when the next fix agrees: an exclusive or misses two
errors in one column."""
MATERIAL_SECONDS = 1.0
UNKNOWN_UNCERTAINTY_SECONDS = 60.0


class PositionSample(Struct, frozen=True):
    """One reading of a receiver on the clock of the journal. Without a usable fix there is no place."""

    mono_seconds: float
    lat_deg: float | None = None
    lon_deg: float | None = None
    height_m: float | None = None
    fix: str = "none"
    dimensions: int | None = None
    satellites: int | None = None
    hdop: float | None = None
    utc: datetime | None = None
    time_trusted: bool = False
    speed_m_s: float | None = None
    course_deg: float | None = None

    @property
    def uncertainty_m(self) -> float:
        """About how far the place may be off, in metres."""
        return METRES_PER_DILUTION * max(1.0, self.hdop or USUAL_DILUTION)


class KnownClock(Struct, frozen=True):
    """What the journal says already: true time less the system clock as it is set now."""

    offset_seconds: float
    uncertainty_seconds: float | None = None


class PositionRecorder:
    """Decides what of a receiver's readings goes into the journal."""

    def __init__(self, feed: str, known_clock: Callable[[], KnownClock | None] = lambda: None) -> None:
        self.feed = feed
        self.estimator = ClockEstimator()
        self._known_clock = known_clock
        self._recorded: PositionSample | None = None
        self._trusted: PositionSample | None = None
        self._held: PositionSample | None = None
        self._told: TimeEstimate | None = None
        self._added_weeks = False
        self._seen: float | None = None
        self._fixed_at: float | None = None

    @property
    def has_fix(self) -> bool | None:
        """Whether there was a usable fix in the last seconds; None before it can be told."""
        if self._seen is None:
            return None
        return self._fixed_at is not None and self._seen - self._fixed_at <= NO_FIX_SECONDS

    def offer(self, sample: PositionSample, stamp: Stamp) -> list[Event]:
        """Take a reading; `stamp` is a moment of the journal's clock close to it. Returns what is to be written."""
        self._seen = sample.mono_seconds
        events: list[Event] = []
        if sample.lat_deg is not None and sample.lon_deg is not None:
            self._fixed_at = sample.mono_seconds
            if self._believed(sample) and self._worth_a_line(sample):
                self._recorded = sample
                events.append(self._line(sample))
        self._compare(sample, stamp)
        events += self._clock_line(stamp)
        return events

    # Place

    def _believed(self, sample: PositionSample) -> bool:
        trusted, held, self._held = self._trusted, self._held, None
        if trusted is None or _reachable(trusted, sample) or (held and _reachable(held, sample)):
            self._trusted = sample
            return True
        self._held = sample
        return False

    def _worth_a_line(self, sample: PositionSample) -> bool:
        last = self._recorded
        if last is None:
            return True
        passed = sample.mono_seconds - last.mono_seconds
        if passed >= HEARTBEAT_SECONDS:
            return True
        if (sample.fix, sample.dimensions) != (last.fix, last.dimensions) and passed >= FIX_SECONDS:
            return True
        return passed >= LEAST_SECONDS and _metres(last, sample) > BAND * sample.uncertainty_m

    def _line(self, sample: PositionSample) -> PositionFixed:
        assert sample.lat_deg is not None and sample.lon_deg is not None  # noqa: PT018
        return PositionFixed(
            feed=self.feed,
            lat_deg=round(sample.lat_deg, 7),  # a centimetre
            lon_deg=round(sample.lon_deg, 7),
            height_metres=_rounded(sample.height_m, 1),
            fix=sample.fix,
            satellites=sample.satellites,
            hdop=sample.hdop,
            dimensions=sample.dimensions,
            speed_metres_per_second=_rounded(sample.speed_m_s, 2),
            course_deg=_rounded(sample.course_deg, 1),
        )

    # Time

    def _compare(self, sample: PositionSample, stamp: Stamp) -> None:
        utc = sample.utc
        if utc is None or sample.lat_deg is None:
            return
        if sample.time_trusted:
            self._added_weeks = False
            self.estimator.take(utc, sample.mono_seconds)
        elif not believable(utc.date()):
            known = self._known_clock()
            system = datetime.fromtimestamp(
                stamp.at.timestamp() + (known.offset_seconds if known else 0.0), utc.tzinfo
            )
            day = rolled_over(utc.date(), system.date())
            if day is not None:
                self._added_weeks = True
                self.estimator.take(utc + (day - utc.date()), sample.mono_seconds)

    def _clock_line(self, stamp: Stamp) -> list[Event]:
        estimate = self.estimator.estimate()
        if estimate is None or not self._is_news(estimate, stamp):
            return []
        self._told = estimate
        offset = ClockOffset(
            seconds=round(estimate.offset_seconds(stamp.at, stamp.mono_seconds), 3),
            uncertainty_seconds=round(estimate.uncertainty_seconds, 2),
            source=RECEIVER_DATED if self._added_weeks else RECEIVER,
        )
        return [offset]

    def _is_news(self, estimate: TimeEstimate, stamp: Stamp) -> bool:
        """Nothing is known yet, this is much finer, or it contradicts what is known."""
        off = estimate.offset_seconds(stamp.at, stamp.mono_seconds)
        if self._told is not None:
            known = KnownClock(
                self._told.offset_seconds(stamp.at, stamp.mono_seconds), self._told.uncertainty_seconds
            )
        elif (told := self._known_clock()) is not None:
            known = told
        else:
            return True
        uncertainty = known.uncertainty_seconds
        if (
            estimate.uncertainty_seconds
            < (UNKNOWN_UNCERTAINTY_SECONDS if uncertainty is None else uncertainty) / 2
        ):
            return True
        return abs(off - known.offset_seconds) > max(MATERIAL_SECONDS, estimate.uncertainty_seconds)


def _metres(one: PositionSample, other: PositionSample) -> float:
    assert one.lat_deg is not None and one.lon_deg is not None  # noqa: PT018
    assert other.lat_deg is not None and other.lon_deg is not None  # noqa: PT018
    return path_between(one.lat_deg, one.lon_deg, other.lat_deg, other.lon_deg).distance_m


def _reachable(one: PositionSample, other: PositionSample) -> bool:
    seconds = max(0.0, other.mono_seconds - one.mono_seconds)
    return _metres(one, other) <= LARGEST_JUMP_METRES + LARGEST_SPEED * seconds


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)
