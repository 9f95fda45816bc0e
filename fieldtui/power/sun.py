"""Where the sun stands, when it rises and sets, and what a panel lying flat gets from a cloudless sky.

The short equations of the NOAA solar calculator (after J. Meeus, Astronomical Algorithms, 1991) agree with the NREL
solar position algorithm to a few seconds of rising and setting up to 64 degrees, and to 0.013 degrees in height. Hills
shift the real events by minutes, so whole minutes are all that is worth showing.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from math import acos, asin, atan2, cos, degrees, exp, radians, sin, tan

from msgspec import Struct

RISE_ZENITH_DEG = 90.0 + 50 / 60
"""The sun's upper edge on a flat horizon, with refraction (US Naval Observatory, Almanac for Computers)."""

CIVIL_ZENITH_DEG = 96.0
"""Dawn and dusk here: civil twilight, light enough to pack without a lamp."""

FIRST_YEAR, LAST_YEAR = 1901, 2099
"""The years that the NOAA calculator is stated for."""

STEP = timedelta(minutes=5)
MOST_SPAN = timedelta(days=8)
HALF_DAY = timedelta(hours=12)
_J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)


class SunPosition(Struct, frozen=True):
    """Geometric angles of the sun's centre, without refraction: from the zenith, and clockwise from true north."""

    zenith_deg: float
    azimuth_deg: float


class SunDay(Struct, frozen=True):
    """The sun's events on one solar day, in UTC. An event that does not come is None, and `note` says why."""

    dawn: datetime | None
    sunrise: datetime | None
    noon: datetime
    sunset: datetime | None
    dusk: datetime | None
    note: str

    @property
    def daylight(self) -> timedelta:
        """How long the sun is up within 12 hours of its noon."""
        if self.note.startswith("polar night"):
            return timedelta(0)
        return (self.sunset or self.noon + HALF_DAY) - (self.sunrise or self.noon - HALF_DAY)


class Light(Struct, frozen=True):
    """How much light a time has left: the time until dusk (civil twilight), negative since the last one: it is dark.

    None where no dusk bounds it, and `note` says why.
    """

    left: timedelta | None
    note: str = ""


def sun_position(at: datetime, lat_deg: float, lon_deg: float) -> SunPosition:
    """Give the sun's place in the sky at a time with a zone, for degrees north and east."""
    _check_place(lat_deg, lon_deg)
    declination, equation_minutes = _sun_at(at)
    utc = at.astimezone(UTC)
    minutes = utc.hour * 60 + utc.minute + utc.second / 60 + utc.microsecond / 6e7
    hour_angle = radians((minutes + equation_minutes + 4 * lon_deg) / 4 - 180)
    lat = radians(lat_deg)
    up = sin(lat) * sin(declination) + cos(lat) * cos(declination) * cos(hour_angle)
    east = -cos(declination) * sin(hour_angle)
    north = cos(lat) * sin(declination) - sin(lat) * cos(declination) * cos(hour_angle)
    return SunPosition(degrees(acos(max(-1.0, min(1.0, up)))), degrees(atan2(east, north)) % 360)


def sun_day(on: date, lat_deg: float, lon_deg: float) -> SunDay:
    """Give dawn, sunrise, noon, sunset and dusk of the local solar day `on`, in UTC.

    The day is that of the place: its noon is when the sun is due south or north there, and the events lie within 12
    hours of it, so that a sunset in America may bear the next date in UTC. Raises ValueError for places and years out
    of range.
    """
    _check_place(lat_deg, lon_deg)
    _check_year(on)
    noon = _noon(on, lon_deg)

    def zenith(at: datetime) -> float:
        return sun_position(at, lat_deg, lon_deg).zenith_deg

    before, after = noon - HALF_DAY, noon + HALF_DAY
    sunrise = _crossing(zenith, noon, before, RISE_ZENITH_DEG)
    sunset = _crossing(zenith, noon, after, RISE_ZENITH_DEG)
    return SunDay(
        dawn=_crossing(zenith, noon, before, CIVIL_ZENITH_DEG),
        sunrise=sunrise,
        noon=noon,
        sunset=sunset,
        dusk=_crossing(zenith, noon, after, CIVIL_ZENITH_DEG),
        note=_note(sunrise, sunset, zenith(noon)),
    )


def light_at(at: datetime, lat_deg: float, lon_deg: float) -> Light:
    """Give the light that is left at a time with a zone, by the solar day of that time, not of the day before.

    Before dawn the dusk of the evening before counts. Raises ValueError for places and years out of range.
    """
    on = solar_date(at, lon_deg)
    day = sun_day(on, lat_deg, lon_deg)
    if day.dawn is not None and at < day.dawn:
        day = sun_day(on - timedelta(days=1), lat_deg, lon_deg)
    if day.dusk is not None:
        return Light(day.dusk - at)
    return Light(None, day.note or "there is no dusk on this day")


def clear_sky_watts_per_m2(zenith_deg: float) -> float:
    """Give the sun's power on level ground under a cloudless sky: 1098 cos z exp(-0.059 / cos z).

    B. Haurwitz, J. Meteorology 2 (1945) 154; the best of the models that know the zenith alone (Sandia report
    SAND2012-2389).
    """
    height = cos(radians(zenith_deg))
    return 1098 * height * exp(-0.059 / height) if height > 1e-3 else 0.0


def clear_sky_wh_per_m2(start: datetime, end: datetime, lat_deg: float, lon_deg: float) -> float:
    """Give the sun's energy on level ground between two times under a cloudless sky, in watt-hours a square metre."""
    hours, zeniths = _zeniths(start, end, lat_deg, lon_deg)
    return hours * sum(map(clear_sky_watts_per_m2, zeniths))


def daylight_hours(start: datetime, end: datetime, lat_deg: float, lon_deg: float) -> float:
    """Give for how many hours between two times the sun is up, to a few minutes."""
    hours, zeniths = _zeniths(start, end, lat_deg, lon_deg)
    return hours * sum(zenith <= RISE_ZENITH_DEG for zenith in zeniths)


def day_span(on: date, lat_deg: float, lon_deg: float) -> tuple[datetime, datetime]:
    """Give the beginning and the end of the local solar day `on`, in UTC: 12 hours on either side of its noon."""
    _check_place(lat_deg, lon_deg)
    _check_year(on)
    noon = _noon(on, lon_deg)
    return noon - HALF_DAY, noon + HALF_DAY


def solar_date(at: datetime, lon_deg: float) -> date:
    """Give the date of the local solar day at a time: the civil date of a zone drawn at every degree."""
    return (at.astimezone(UTC) + timedelta(hours=lon_deg / 15)).date()


def _sun_at(at: datetime) -> tuple[float, float]:
    """Give the declination in radians and the equation of time in minutes (NOAA solar calculator)."""
    century = (at - _J2000).total_seconds() / (86_400 * 36_525)
    mean_longitude = radians((280.46646 + century * (36000.76983 + century * 0.0003032)) % 360)
    anomaly = radians(357.52911 + century * (35999.05029 - 0.0001537 * century))
    eccentricity = 0.016708634 - century * (0.000042037 + 0.0000001267 * century)
    centre = (
        sin(anomaly) * (1.914602 - century * (0.004817 + 0.000014 * century))
        + sin(2 * anomaly) * (0.019993 - 0.000101 * century)
        + sin(3 * anomaly) * 0.000289
    )
    node = radians(125.04 - 1934.136 * century)
    longitude = mean_longitude + radians(centre - 0.00569 - 0.00478 * sin(node))
    mean_tilt = 23 + (26 + (21.448 - century * (46.815 + century * (0.00059 - century * 0.001813))) / 60) / 60
    tilt = radians(mean_tilt + 0.00256 * cos(node))
    y = tan(tilt / 2) ** 2
    equation = (
        y * sin(2 * mean_longitude)
        - 2 * eccentricity * sin(anomaly)
        + 4 * eccentricity * y * sin(anomaly) * cos(2 * mean_longitude)
        - 0.5 * y * y * sin(4 * mean_longitude)
        - 1.25 * eccentricity**2 * sin(2 * anomaly)
    )
    return asin(sin(tilt) * sin(longitude)), 4 * degrees(equation)


def _zeniths(start: datetime, end: datetime, lat_deg: float, lon_deg: float) -> tuple[float, list[float]]:
    """Give the length of equal steps through a span, in hours, and the sun's zenith angle in the middle of each."""
    if end < start:
        raise ValueError("the end of the span lies before its beginning")
    if end - start > MOST_SPAN:
        raise ValueError(f"a span of more than {MOST_SPAN.days} days is not calculated: give a shorter one")
    steps = max(1, -(-(end - start) // STEP))
    width = (end - start) / steps
    angles = [
        sun_position(start + width * (step + 0.5), lat_deg, lon_deg).zenith_deg for step in range(steps)
    ]
    return width.total_seconds() / 3600, angles


def _noon(on: date, lon_deg: float) -> datetime:
    clock_noon = datetime.combine(on, time(12), tzinfo=UTC) - timedelta(hours=lon_deg / 15)
    noon = clock_noon
    for _ in range(2):
        noon = clock_noon - timedelta(minutes=_sun_at(noon)[1])
    return noon


def _crossing(
    zenith: Callable[[datetime], float], noon: datetime, midnight: datetime, limit_deg: float
) -> datetime | None:
    """Give when the sun passes a zenith between its noon and a midnight, by halving; None when it does not."""
    up, down = noon, midnight
    if zenith(up) > limit_deg or zenith(down) < limit_deg:
        return None
    for _ in range(20):
        middle = up + (down - up) / 2
        if zenith(middle) > limit_deg:
            down = middle
        else:
            up = middle
    return up


def _note(sunrise: datetime | None, sunset: datetime | None, noon_zenith_deg: float) -> str:
    if sunrise and sunset:
        return ""
    if noon_zenith_deg > RISE_ZENITH_DEG:
        return "polar night: the sun does not rise on this day"
    if sunrise is None and sunset is None:
        return "midnight sun: the sun does not set on this day"
    return (
        "the sun rises and does not set" if sunrise else "the sun does not rise, it was up before, and sets"
    )


def _check_place(lat_deg: float, lon_deg: float) -> None:
    if not -90 <= lat_deg <= 90 or not -180 <= lon_deg <= 180:
        raise ValueError("latitude lies between -90 and 90 degrees, longitude between -180 and 180")


def _check_year(on: date) -> None:
    if not FIRST_YEAR <= on.year <= LAST_YEAR:
        raise ValueError(
            f"the sun of {on.year} is not calculated: give a year from {FIRST_YEAR} to {LAST_YEAR}"
        )
