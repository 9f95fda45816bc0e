"""The JSON stream of a position service, as gpsd_json(5) describes it: TCP port 2947, one object a line.

The service speaks once it has been sent a WATCH command. Attributes without a value are left out; classes and
attributes that are not known here are passed over. Only VERSION, TPV, SKY and ERROR matter.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from fieldtui.feeds.bounded_lines import BoundedLines
from fieldtui.feeds.readings import USABLE_FIXES, Item, PositionReading, problem
from fieldtui.feeds.safe_text import quoted
from fieldtui.radio.receiver_date import believable

SCHEME = "gpsd://"
PORT = 2947
WATCH = b'?WATCH={"enable":true,"json":true};\n'

LONGEST_LINE = 16_384
"""Bytes: a SKY object of sixty satellites has about six thousand."""

FIXES_BEFORE_TIME = 3
"""Three-dimensional fixes in a row before the time is believed, as the manual asks."""

_STATUS = {
    2: "differential",
    3: "rtk fixed",
    4: "rtk float",
    5: "estimated",
    7: "manual",
    8: "simulated",
}
"""TPV status; 0, 1 and anything else is a plain fix. 3 and above from memory."""

_SECOND_60 = re.compile(r":60((?:\.[0-9]+)?Z)$")


class GpsdStream:
    """Sans-I/O parser of the stream; never raises, holds at most one line."""

    def __init__(self) -> None:
        self.reset()

    def reset(self) -> None:
        """Forget everything: the connection was opened again, or bytes were lost."""
        self.good = 0
        """Objects of the service since then."""
        self._lines = BoundedLines(LONGEST_LINE)
        self._asked = False
        self._fixes_in_a_row = 0
        self._satellites: int | None = None
        self._hdop: float | None = None
        self._last_utc: datetime | None = None
        self._date_told = False

    @property
    def pending(self) -> bool:
        """An unfinished line is held."""
        return self._lines.pending

    refusal = ""
    """A position service refuses nothing."""

    def to_send(self, now: float) -> bytes:  # noqa: ARG002 - once is enough, whenever that is
        """Return the WATCH command, once for each connection."""
        if self._asked:
            return b""
        self._asked = True
        return WATCH

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the readings and problems that they completed."""
        return [item for line in self._lines.feed(data) for item in self._take(line)]

    def _take(self, ended: bytes | None) -> list[Item]:
        if ended is None:
            return [problem("overlong")]
        line = ended.strip()
        if not line:
            return []
        said = _object(line)
        if said is None or not isinstance(said.get("class"), str):
            return [problem("service_line", quoted(line))]
        self.good += 1
        match said["class"]:
            case "TPV":
                return self._position(said)
            case "SKY":
                self._sky(said)
            case "ERROR":
                message = said.get("message")
                return [problem("service_error", quoted(str(message)[:200].encode("utf-8", "replace")))]
        return []

    def _sky(self, said: Mapping[str, Any]) -> None:
        used = _number(said, "uSat", 0, 1000)
        listed = said.get("satellites")
        if used is None and isinstance(listed, list):
            used = sum(isinstance(each, dict) and each.get("used") is True for each in listed)
        self._satellites = None if used is None else int(used)
        hdop = _number(said, "hdop", 0, 99)
        self._hdop = hdop or None

    def _position(self, said: Mapping[str, Any]) -> list[Item]:
        mode = _number(said, "mode", 0, 3)
        if mode is None:
            return [problem("service_line", "a fix without a mode")]
        utc = _time(said.get("time"))
        place = _number(said, "lat", -90, 90), _number(said, "lon", -180, 180)
        status = said.get("status")
        fix = _STATUS.get(status, "autonomous") if isinstance(status, int) and mode >= 2 else "none"
        if mode >= 2 and "status" not in said:
            fix = "autonomous"
        usable = fix in USABLE_FIXES and None not in place
        moves = utc is not None and utc != self._last_utc
        self._last_utc = utc
        self._fixes_in_a_row = self._fixes_in_a_row + 1 if usable and mode == 3 else 0
        trusted = usable and moves and self._fixes_in_a_row >= FIXES_BEFORE_TIME and _true_day(utc)
        reading = PositionReading(
            lat_deg=place[0] if usable else None,
            lon_deg=place[1] if usable else None,
            height_m=_number(said, "altMSL", -12_000, 100_000) if usable and mode == 3 else None,
            fix=fix if usable or fix not in USABLE_FIXES else "none",
            dimensions=int(mode) if usable else None,
            satellites=self._satellites,
            hdop=self._hdop,
            utc=utc,
            time_trusted=trusted,
            speed_m_s=_number(said, "speed", 0, 100_000) if usable else None,
            course_deg=_number(said, "track", 0, 360) if usable else None,
        )
        return [*self._remark(reading), reading]

    def _remark(self, reading: PositionReading) -> list[Item]:
        wrong = reading.usable and reading.utc is not None and not _true_day(reading.utc)
        told, self._date_told = self._date_told, wrong
        return [problem("receiver_date", f"{reading.utc:%Y-%m-%d}")] if wrong and not told else []


def _true_day(utc: datetime | None) -> bool:
    return utc is not None and believable(utc.date())


def _object(line: bytes) -> Mapping[str, Any] | None:
    try:
        said = json.loads(line)
    except (ValueError, RecursionError):
        return None
    return said if isinstance(said, dict) else None


def _number(said: Mapping[str, Any], name: str, least: float, most: float) -> float | None:
    """Return a number within its bounds; whatever else stands there counts as left out."""
    value = said.get(name)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if least <= value <= most else None  # NaN is within no bounds


def _time(text: object) -> datetime | None:
    """Read an RFC 3339 time of Zulu; a second 60 becomes 59."""
    if not isinstance(text, str) or not text.isascii() or len(text) > 40 or not text.endswith("Z"):
        return None
    try:
        return datetime.fromisoformat(_SECOND_60.sub(r":59\1", text)).astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def service_address(url: str) -> str:
    """Return the TCP address of a `gpsd://HOST[:PORT]` URL as the port library has it; others as they are."""
    if not url.startswith(SCHEME):
        return url
    place = url.removeprefix(SCHEME).rstrip("/") or "127.0.0.1"
    if place.endswith("]") or ":" not in place:
        place = f"{place}:{PORT}"
    return f"socket://{place}"
