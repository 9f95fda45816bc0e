"""From the sentences of one second to one reading.

A receiver tells a fix in pieces: the place in one sentence, the height in another, the date in a third. A reading
is given at the first piece that has the place, so that its moment of arrival is as close to the fix as can be;
what this piece does not say is taken from the latest ones before it. A second reading of the same moment is
given only where it says more, which happens in the first second.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from msgspec import Struct, field

from fieldtui.feeds.nmea_fields import DayTime
from fieldtui.feeds.nmea_sentences import Sentence
from fieldtui.feeds.readings import USABLE_FIXES, Item, PositionReading, problem
from fieldtui.radio.receiver_date import believable

DAY_SECONDS = 86_400.0
HALF_A_DAY = 43_200.0
OLD_SECONDS = 5.0
"""What another sentence said longer ago is not taken over any more."""
MOST_REPEATS = 5
"""Bursts with one and the same time before the fix is called stale: about five seconds."""

_PLACE_KINDS = ("GGA", "RMC", "GLL")
_FIX_ORDER = ("GGA", "RMC", "GLL")
"""Whose word for a usable fix is the finest."""
_SPOILING = ("none", "estimated", "manual", "simulated")
_NOTHING = Sentence("", "")
_GAINS = ("height_m", "dimensions", "satellites", "hdop", "utc", "speed_m_s")


class _Moment(Struct):
    """What was said about one moment of time so far."""

    time: DayTime | None = None
    kinds: set[str] = field(default_factory=set)
    fixes: dict[str, str] = field(default_factory=dict)
    place: tuple[float, float] | None = None
    given: PositionReading | None = None


class PositionMerger:
    """Sentences in, readings and problems out; holds one moment and the latest of each quantity."""

    def __init__(self) -> None:
        self.reset()

    def reset(self) -> None:
        """Forget everything: the next sentence may come from another receiver."""
        self._moment = _Moment()
        self._day: date | None = None
        self._day_at: float | None = None
        self._latest: dict[str, tuple[Sentence, float | None]] = {}
        self._repeats = 0
        self._told: set[str] = set()

    def take(self, sentence: Sentence) -> list[Item]:
        """Take the next sentence; return a reading if it made one, after any problem."""
        self._enter(sentence)
        self._keep(sentence)
        reading = self._reading()
        given = self._moment.given
        if given is None:
            news = sentence.kind in _PLACE_KINDS
        else:
            news = given.fix != reading.fix or any(
                getattr(given, name) is None and getattr(reading, name) is not None for name in _GAINS
            )
        if not news:
            return []
        self._moment.given = reading
        return [*self._remarks(reading), reading]

    def _enter(self, sentence: Sentence) -> None:
        """Begin another moment where the time differs, or where a kind comes again (a blank or frozen time)."""
        moment = self._moment
        again = sentence.kind in moment.kinds and sentence.kind in (*_PLACE_KINDS, "ZDA")
        moved = sentence.time is not None and sentence.time != moment.time
        if not (again or moved):
            return
        if moved and moment.time is None and not again:
            moment.time = sentence.time  # sentences without a time came first
            return
        stands = again and sentence.time is not None and sentence.time == moment.time
        self._repeats = self._repeats + 1 if stands else 0
        self._moment = _Moment(time=sentence.time)

    def _keep(self, sentence: Sentence) -> None:
        moment, seconds = self._moment, self._seconds
        moment.kinds.add(sentence.kind)
        self._latest[sentence.kind] = (sentence, seconds)
        if sentence.fix is not None:
            moment.fixes[sentence.kind] = sentence.fix
        if sentence.lat_deg is not None and sentence.lon_deg is not None:
            moment.place = (sentence.lat_deg, sentence.lon_deg)
        if sentence.day is not None:
            self._day = sentence.day
        elif self._day and (self._day_at or 0.0) - (DAY_SECONDS if seconds is None else seconds) > HALF_A_DAY:
            # Midnight, before a sentence with a date has said so.
            self._day = _next(self._day)
        if seconds is not None:
            self._day_at = seconds

    @property
    def _seconds(self) -> float | None:
        return self._moment.time.seconds if self._moment.time else None

    def _reading(self) -> PositionReading:
        fix, utc = self._fix(), self._utc()
        usable = fix in USABLE_FIXES and self._moment.place is not None
        place = self._moment.place if usable or fix == "stale" else None
        gga, rmc, gsa = self._recent("GGA"), self._recent("RMC"), self._recent("GSA")
        leap = self._moment.time is not None and self._moment.time.leap
        trusted = usable and not leap and not self._repeats and utc is not None and believable(utc.date())
        return PositionReading(
            lat_deg=place[0] if place else None,
            lon_deg=place[1] if place else None,
            height_m=gga.height_m if place else None,
            fix=fix,
            dimensions=gsa.dimensions if place else None,
            satellites=gsa.satellites if gga.satellites is None else gga.satellites,
            hdop=gsa.hdop if gga.hdop is None else gga.hdop,
            utc=utc,
            time_trusted=trusted,
            speed_m_s=rmc.speed_m_s if place else None,
            course_deg=rmc.course_deg if place else None,
        )

    def _fix(self) -> str:
        """One sentence that speaks against the fix outweighs the others."""
        fixes = self._moment.fixes
        for word in _SPOILING:
            if word in fixes.values():
                return word
        said = [fixes[kind] for kind in _FIX_ORDER if kind in fixes]
        if not said:
            return "none"
        if self._repeats >= MOST_REPEATS:
            return "stale"
        gga = self._recent("GGA")
        # RMC of an older talker knows no more than "valid": the quality of a second ago is finer.
        return gga.fix if said[0] == "autonomous" and gga.fix in USABLE_FIXES else said[0]

    def _utc(self) -> datetime | None:
        time = self._moment.time
        if time is None or self._day is None:
            return None
        midnight = datetime(self._day.year, self._day.month, self._day.day, tzinfo=UTC)
        return midnight + timedelta(milliseconds=round(min(time.seconds, DAY_SECONDS - 0.001) * 1000))

    def _recent(self, kind: str) -> Sentence:
        """The latest sentence of a kind; an empty one if there is none, or it is of a moment long past."""
        sentence, seconds = self._latest.get(kind, (_NOTHING, None))
        now = self._seconds
        if now is None or seconds is None:
            return sentence
        return sentence if (now - seconds) % DAY_SECONDS <= OLD_SECONDS else _NOTHING

    def _remarks(self, reading: PositionReading) -> list[Item]:
        """Say once what is wrong with the receiver's time, for as long as it is."""
        wrong = reading.utc is not None and reading.usable and not believable(reading.utc.date())
        remarks = self._once("receiver_date", holds=wrong, detail=f"{reading.utc:%Y-%m-%d}" if wrong else "")
        return remarks + self._once("time_stands", holds=reading.fix == "stale")

    def _once(self, code: str, *, holds: bool, detail: str = "") -> list[Item]:
        if not holds:
            self._told.discard(code)
            return []
        if code in self._told:
            return []
        self._told.add(code)
        return [problem(code, detail)]


def _next(day: date) -> date | None:
    try:
        return day + timedelta(days=1)
    except OverflowError:
        return None
