"""Weather reports, with a position and without.

Source: APRS Protocol Reference 1.0.1, chapter 12.
"""

from __future__ import annotations

import re

from fieldtui.radio.packets.values import (
    INCH_MILLIMETRES,
    MILE_PER_HOUR_METRES_PER_SECOND,
    Weather,
)

SYMBOL_CODE = "_"
WITHOUT_POSITION = re.compile(r"([0-9]{8})(?=c)")
"""Month, day, hour and minute, UTC."""

_FIELD = re.compile(
    r"([cgrpPLl#])([0-9]{3}|\.{3}| {3})|(s)([0-9]{3}|[0-9]\.[0-9]|\.[0-9]{2}|\.{3}| {3})"
    r"|(t)(-[0-9]{2}|[0-9]{3}|\.{3}| {3})"
    r"|(h)([0-9]{2}|\.{2}| {2})|(b)([0-9]{5}|\.{5}| {5})"
)
_MOST_FIELDS = 20
_HUNDREDTH_INCH = INCH_MILLIMETRES / 100


def read_weather(
    text: str, *, wind_from_deg: float | None = None, wind_m_s: float | None = None, in_position: bool
) -> tuple[Weather, str]:
    """Read the fields at the start of a text; returns them and the text after them.

    Within a position the wind stood before, as course and speed are, and `s` is snow; without one `c` and
    `s` are the wind.
    """
    said: dict[str, float] = {}
    for _ in range(_MOST_FIELDS):
        found = _FIELD.match(text)
        if found is None:
            break
        letter, value = (group for group in found.groups() if group is not None)
        text = text[found.end() :]
        if value.strip(". "):
            said.setdefault(letter, float(value))
    unit = "knots" if in_position and wind_m_s is not None else None
    if not in_position and "s" in said:
        wind_m_s, unit = said.pop("s") * MILE_PER_HOUR_METRES_PER_SECOND, "mph"
    if "c" in said and 0 < said["c"] <= 360:
        wind_from_deg = said["c"]
    return _weather(said, wind_from_deg, wind_m_s, unit), text


def _weather(
    said: dict[str, float], wind_from_deg: float | None, wind_m_s: float | None, unit: str | None
) -> Weather:
    light = said["l"] + 1000 if "l" in said else said.get("L")
    humidity = said.get("h")
    return Weather(
        wind_from_deg=wind_from_deg,
        wind_m_s=wind_m_s,
        wind_unit="knots" if unit == "knots" else "mph" if unit else None,
        gust_m_s=_scaled(said.get("g"), MILE_PER_HOUR_METRES_PER_SECOND),
        temperature_c=None if "t" not in said else (said["t"] - 32) / 1.8,
        rain_hour_mm=_scaled(said.get("r"), _HUNDREDTH_INCH),
        rain_day_mm=_scaled(said.get("p"), _HUNDREDTH_INCH),
        rain_midnight_mm=_scaled(said.get("P"), _HUNDREDTH_INCH),
        humidity_percent=100.0 if humidity == 0 else humidity,
        pressure_hpa=_scaled(said.get("b"), 0.1),
        luminosity_w_m2=light,
        snow_mm=_scaled(said.get("s"), INCH_MILLIMETRES),
    )


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor
