"""Mic-E: a position packed into the destination address and nine bytes.

Source: APRS Protocol Reference 1.0.1, chapter 10.
"""

from __future__ import annotations

import re

from fieldtui.radio.packets.outside import plain, shown
from fieldtui.radio.packets.positions import ambiguous_degrees, base_91
from fieldtui.radio.packets.values import KNOT_METRES_PER_SECOND, Place, Report, Telemetry

LEAST_BYTES = 9
IDENTIFIERS = b"`'\x1c\x1d"
_CURRENT = b"`\x1c"

STANDARD = (
    "emergency", "priority", "special", "committed", "returning", "in service", "en route", "off duty",
)  # fmt: skip
"""By the three message bits, first bit highest."""

_DIGIT = re.compile(r"[0-9A-KL-Z]")
_BLANKS = "KLZ"
_ALTITUDE = re.compile(r"([!-{]{3})\}")
_FIVE_VALUES = re.compile(r"'([0-9A-Fa-f]{10})")
_TWO_VALUES = re.compile(r"`([0-9A-Fa-f]{4})")
_DEVICE = ">]`'"
_SYMBOL_TABLE = re.compile(r"[/\\0-9A-Z]")
_SYMBOL_CODE = re.compile(r"[!-~]")


def read_mic_e(destination: str, information: bytes) -> Report | None:
    """Read a Mic-E report; `destination` is the call of the destination. None if it is none."""
    if len(information) < LEAST_BYTES or len(destination) != 6 or information[0] not in IDENTIFIERS:
        return None
    latitude = _latitude(destination)
    if latitude is None:
        return None
    lat_deg, ambiguity = latitude
    lon_deg = _longitude(destination, information, ambiguity)
    table, code = plain(information[8:9]), plain(information[7:8])
    if lon_deg is None or not (_SYMBOL_TABLE.fullmatch(table) and _SYMBOL_CODE.fullmatch(code)):
        return None
    speed, course = _speed_and_course(information)
    status, emergency = _status(destination)
    telemetry, device, height_m, rest = _tail(information[9:])
    return Report(
        "mic-e", shown(rest), place=Place(lat_deg, lon_deg, ambiguity, table + code),
        speed_m_s=speed, course_deg=course, height_m=height_m, status=status, emergency=emergency,
        current=information[0] in _CURRENT, device=device, telemetry=telemetry, messaging=None,
    )  # fmt: skip


def _latitude(destination: str) -> tuple[float, int] | None:
    digits = ""
    for place, character in enumerate(destination):
        if not _DIGIT.fullmatch(character) or ("A" <= character <= "K" and place > 2):
            return None
        if character in _BLANKS:
            digits += " "
        elif character.isdigit():
            digits += character
        else:
            digits += str(ord(character) - ord("A" if character <= "J" else "P"))
    kept = digits.rstrip(" ")
    ambiguity = 6 - len(kept)
    if " " in kept or ambiguity > 4:
        return None
    degrees = ambiguous_degrees(int(digits[:2]), digits[2:4], digits[4:], ambiguity)
    if degrees is None or degrees > 90:
        return None
    return (degrees if destination[3] >= "P" else -degrees), ambiguity


def _longitude(destination: str, information: bytes, ambiguity: int) -> float | None:
    degrees, minutes, hundredths = (octet - 28 for octet in information[1:4])
    degrees += 100 if destination[4] >= "P" else 0
    if 180 <= degrees <= 189:
        degrees -= 80
    elif 190 <= degrees <= 199:
        degrees -= 190
    minutes -= 60 if minutes >= 60 else 0
    if not (0 <= degrees <= 180 and 0 <= minutes < 60 and 0 <= hundredths <= 99):
        return None
    value = ambiguous_degrees(degrees, f"{minutes:02d}", f"{hundredths:02d}", ambiguity)
    if value is None or value > 180:
        return None
    return -value if destination[5] >= "P" else value


def _speed_and_course(information: bytes) -> tuple[float | None, float | None]:
    tens, mixed, units = (octet - 28 for octet in information[4:7])
    if min(tens, mixed, units) < 0:
        return None, None
    knots, course = tens * 10 + mixed // 10, mixed % 10 * 100 + units
    knots -= 800 if knots >= 800 else 0
    course -= 400 if course >= 400 else 0
    return knots * KNOT_METRES_PER_SECOND, float(course) if 1 <= course <= 360 else None


def _status(destination: str) -> tuple[str | None, bool]:
    """The message of the three bits; standard and custom ones mixed mean nothing."""
    bits, custom, standard = 0, False, False
    for character in destination[:3]:
        is_set = character >= "A" and character != "L"
        bits = bits << 1 | is_set
        custom, standard = custom or "A" <= character <= "K", standard or character >= "P"
    if custom and standard:
        return None, False
    return (f"custom {7 - bits}" if custom else STANDARD[bits]), bits == 0


def _tail(data: bytes) -> tuple[Telemetry | None, str | None, float | None, bytes]:
    text = plain(data)
    for form in (_FIVE_VALUES, _TWO_VALUES):
        if found := form.match(text):
            values = tuple(float(value) for value in bytes.fromhex(found[1]))
            return Telemetry(None, values), None, None, data[found.end() :]
    device = None
    if text[:1] and text[0] in _DEVICE:
        device, text = text[0], text[1:]
    height_m = None
    if found := _ALTITUDE.match(text):
        height_m, text = float(base_91(found[1]) - 10_000), text[found.end() :]
    return None, device, height_m, text.encode("latin-1")
