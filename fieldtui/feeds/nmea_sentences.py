"""The five sentences of a position receiver that matter here: GGA, RMC, GLL, ZDA, GSA.

Fields and codes of NMEA 0183 as restated by D. DePriest (gpsinformation.org), in the notes of gpsd and in the
public protocol descriptions of receiver makers. Which codes count as a fix is decided here: dead reckoning,
typed-in and simulated places are none.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from msgspec import Struct

from fieldtui.feeds.nmea_fields import (
    METRES_A_SECOND_PER_KNOT,
    DayTime,
    FieldError,
    angle,
    count,
    day_time,
    long_date,
    number,
    short_date,
)

QUALITIES = (
    "none", "autonomous", "differential", "precise", "rtk fixed", "rtk float", "estimated", "manual", "simulated",
)  # fmt: skip
"""GGA field 6, by its digit."""

MODES = {
    "N": "none", "A": "autonomous", "D": "differential", "P": "precise", "R": "rtk fixed", "F": "rtk float",
    "E": "estimated", "M": "manual", "S": "simulated",
}  # fmt: skip
"""The mode letter of RMC and GLL since version 2.3."""

_MOST_FIELDS = 40


class Sentence(Struct, frozen=True):
    """What one sentence says; None is "not said", never zero."""

    talker: str
    """Which system: GP, GL, GA, GB, BD, GQ, QZ, or GN for several."""
    kind: str
    """`GGA`, `RMC`, `GLL`, `ZDA` or `GSA`."""
    time: DayTime | None = None
    day: date | None = None
    lat_deg: float | None = None
    lon_deg: float | None = None
    fix: str | None = None
    """A word of `readings.FIXES`; None where the sentence says nothing of it."""
    height_m: float | None = None
    """Above mean sea level."""
    geoid_m: float | None = None
    """Of the geoid above the ellipsoid; the height above the ellipsoid is the sum of both."""
    satellites: int | None = None
    """Used."""
    hdop: float | None = None
    pdop: float | None = None
    vdop: float | None = None
    dimensions: int | None = None
    """1 is no fix."""
    speed_m_s: float | None = None
    course_deg: float | None = None
    variation_deg: float | None = None
    """Magnetic, east positive."""


def read_sentence(body: str) -> Sentence | None:
    """Read what stands between `$` and `*`, already checked.

    Returns None for a sentence that is none of the five, and for a maker's own. Raises FieldError when a field
    holds what it cannot hold.
    """
    address, *fields = body.split(",", _MOST_FIELDS)
    if len(address) != 5 or not (address.isascii() and address.isupper()) or address.startswith("P"):
        return None
    reader = _READERS.get(address[2:])
    if reader is None:
        return None
    wanted, read = reader
    return read(address[:2], [*fields, *[""] * (wanted - len(fields))])


def _gga(talker: str, fields: Sequence[str]) -> Sentence:
    quality = count(fields[5], "quality")
    if quality is not None and quality >= len(QUALITIES):
        raise FieldError(f"quality '{fields[5]}'")
    lat_deg, lon_deg = _place(fields[1:5])
    return Sentence(
        talker,
        "GGA",
        time=day_time(fields[0]),
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        fix=QUALITIES[quality or 0],
        satellites=count(fields[6], "satellites"),
        hdop=_dilution(fields[7]),
        height_m=number(fields[8], "height", -12_000, 100_000),
        geoid_m=number(fields[10], "geoid", -200, 200),
    )


def _rmc(talker: str, fields: Sequence[str]) -> Sentence:
    lat_deg, lon_deg = _place(fields[2:6])
    knots = number(fields[6], "speed", 0, 100_000)
    return Sentence(
        talker,
        "RMC",
        time=day_time(fields[0]),
        day=short_date(fields[8]),
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        # The navigational status of version 4.1 (field 13) says nothing of the fix: V is "not provided".
        fix=_fix(fields[1], fields[11]),
        speed_m_s=None if knots is None else knots * METRES_A_SECOND_PER_KNOT,
        course_deg=number(fields[7], "course", 0, 360),
        variation_deg=_variation(fields[9], fields[10]),
    )


def _gll(talker: str, fields: Sequence[str]) -> Sentence:
    lat_deg, lon_deg = _place(fields[0:4])
    return Sentence(
        talker,
        "GLL",
        time=day_time(fields[4]),
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        fix=_fix(fields[5], fields[6]),
    )


def _zda(talker: str, fields: Sequence[str]) -> Sentence:
    # The local zone in fields 5 and 6 does not touch the UTC fields.
    return Sentence(talker, "ZDA", time=day_time(fields[0]), day=long_date(*fields[1:4]))


def _gsa(talker: str, fields: Sequence[str]) -> Sentence:
    if fields[1] not in ("", "1", "2", "3"):
        raise FieldError(f"dimensions '{fields[1][:20]}'")
    return Sentence(
        talker,
        "GSA",
        dimensions=int(fields[1]) if fields[1] else None,
        satellites=sum(bool(field) for field in fields[2:14]),
        pdop=_dilution(fields[14]),
        hdop=_dilution(fields[15]),
        vdop=_dilution(fields[16]),
    )


def _place(fields: Sequence[str]) -> tuple[float | None, float | None]:
    lat_deg = angle(fields[0], fields[1], "NS", 90)
    lon_deg = angle(fields[2], fields[3], "EW", 180)
    if (lat_deg is None) != (lon_deg is None):
        raise FieldError("half a place")
    return lat_deg, lon_deg


def _dilution(text: str) -> float | None:
    """Read a dilution; 99.99 and 0 are makers' words for "not known" (common practice, no source)."""
    value = number(text, "dilution", 0, 1000)
    return value if value and value < 99 else None


def _fix(status: str, mode: str) -> str:
    """Tell what status (A or V) and mode say together; older talkers have no mode, then the status decides."""
    if status not in ("", "A", "V"):
        raise FieldError(f"status '{status[:20]}'")
    if mode and mode not in MODES:
        raise FieldError(f"mode '{mode[:20]}'")
    if status != "A":
        return "none"
    return MODES[mode] if mode else "autonomous"


def _variation(text: str, side: str) -> float | None:
    value = number(text, "variation", 0, 180)
    if value is None or side not in ("E", "W"):
        return None
    return value if side == "E" else -value


_READERS: dict[str, tuple[int, Callable[[str, Sequence[str]], Sentence]]] = {
    "GGA": (14, _gga),
    "RMC": (13, _rmc),
    "GLL": (7, _gll),
    "ZDA": (6, _zda),
    "GSA": (18, _gsa),
}
"""Formatter: the number of fields that its reader looks at, and the reader."""
