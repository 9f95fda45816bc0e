"""Reads call signs: their shape, their parts around strokes, and whose they are.

Shapes follow the Radio Regulations, article 19 (Nos. 19.45 to 19.69). No shape is ever a reason to refuse a
call: administrations issue calls the article does not foresee, so a shape only says how usual a call looks.
A `?` stands for a character that was not heard and fits wherever the shape allows any character.
"""

from __future__ import annotations

import re
from typing import Literal

from msgspec import Struct

from fieldtui.data.tables import load_toml
from fieldtui.radio.series import administration_of_prefix

Shape = Literal["usual", "unusual", "no"]

LONGEST_CALL = 24
"""No call with its strokes is longer; what is longer was not meant as one (common practice, no source)."""

# No. 19.68: one character of a whole-letter series, or two, then a digit, then up to four, the last a letter.
_USUAL = re.compile(r"(?:[BFGIKMNRW?]|[A-Z?][A-Z2-9?]|[2-9?][A-Z?])[0-9?][A-Z0-9?]{0,3}[A-Z?]")

_UNUSUAL = re.compile(
    # No. 19.68.1: the half series 3D and SS take three characters before the digit.
    r"(?:3D|SS)[A-Z?][0-9?][A-Z0-9?]{0,2}[A-Z?]"
    # Letter, digit, letters, as the Bahamas issue under C6A to C6Z: the digit of the prefix serves for both. With
    # one letter they are contest calls in use under D4, E7, C4, P3, T7 and the like (from memory): heard in full only.
    r"|[A-Z?][2-9?][A-Z?]{2,4}|[A-Z][2-9][A-Z]"
    # No. 19.68A: longer groups for special occasions. Prefixes with a 0 or 1 (1A, S0) are in use at places
    # that have no series of their own.
    r"|(?:[BFGIKMNRW?]|[A-Z?][A-Z0-9?]|[0-9?][A-Z?])[0-9?]{1,4}[A-Z0-9?]{0,8}[A-Z?]"
)

# What may stand alone beside a stroke and name a place: W4, VE7, F, HB9, 3D2, and with the letter that names one of
# several islands VP2M, E51M, 3D2R (from memory).
_PREFIX = re.compile(
    r"[A-Z]{1,2}[0-9]{0,2}|[A-Z]{2}[0-9][A-Z]|[0-9][A-Z]{1,2}[0-9]?|[A-Z][0-9]{1,2}[A-Z]|[0-9][A-Z][0-9][A-Z]|3D2"
)

# The same, with its digit: after the call only these are taken as a place, since /M and the like are not.
_PLACE_SUFFIX = re.compile(r"[A-Z]{1,2}[0-9]|[0-9][A-Z][0-9]")

# A letter after the digit names a place under few prefixes of the United States (KH5K, KH7K, KH8S: from memory);
# under the others it is a call.
_US_CALL_LIKE_PREFIX = re.compile(r"(?:[KNW]|[AKNW][A-GI-KM-OQ-Z])[0-9][A-Z]")

_UNITED_STATES = "United States of America"
_US_CORE = re.compile(r"([AKNW][A-Z]?)([0-9])[A-Z0-9?]*")

# A suffix longer than one or two characters and a digit is a word of its own (QRP), not a prefix.
_PREFIX_ALONE = re.compile(r"[A-Z]{1,2}[0-9]?|[0-9][A-Z][0-9]?|[A-Z][0-9]")

_RANK: dict[Shape, int] = {"usual": 2, "unusual": 1, "no": 0}
_GUANTANAMO_BAY = re.compile(r"KG4[A-Z]{2}")
"""KG4 and two letters; with one or three letters the call is of area 4 (from memory)."""
_SPECIAL_EVENT = re.compile("[KNW][0-9][A-WYZ]")


class CallSign(Struct, frozen=True):
    """A call sign taken apart.

    `text` is the whole, upper case; `core` the part that the licence names; `shape` how usual the core looks;
    `indicators` the other parts in the order sent (`P`, `QRP`, `7`); `location_prefix` a prefix that says
    where a visitor is (`W4` of `W4/VE7QRZ`).
    """

    text: str
    core: str
    shape: Shape
    indicators: tuple[str, ...] = ()
    location_prefix: str | None = None


def read_call(text: str) -> CallSign:
    """Take a call sign apart; never raises, whatever the text.

    The longest part of the most usual shape is the core (common practice, no source). A prefix of a place may look
    as usual and be as long as a call: then the part that cannot be one is the core, and of two that can the later
    one, since a visitor puts the place before the home call (47 CFR 97.119(g), CEPT T/R 61-01).
    """
    stripped = text.strip()
    call = stripped.upper() if stripped.isascii() else stripped
    parts = [part for part in call.split("/") if part]
    if not parts or len(call) > LONGEST_CALL or not call.isascii():
        return CallSign(call, call, "no")
    at = max(range(len(parts)), key=lambda index: _likeness(parts, index))
    core = parts[at]
    before = next((part for part in parts[:at] if _is_place(part, _PREFIX)), None)
    after = next((part for part in parts[at + 1 :] if _is_place(part, _PLACE_SUFFIX)), None)
    place = before or after
    indicators = [part for index, part in enumerate(parts) if index != at]
    if place is not None:
        indicators.remove(place)
    return CallSign(call, core, _shape(core), tuple(indicators), place)


def looks_like_call(word: str) -> bool:
    """Tell whether a word has the shape of a call sign, usual or not; `?` is a character not heard."""
    return read_call(word).shape != "no"


def administration(call: str) -> str | None:
    """Return the administration of a call, or of a bare prefix, by the name in the ITU table.

    None means "not in the ITU table" or "too little heard to tell", never "invalid". It is the nationality of
    the licence and says nothing about where the station is.
    Source: Radio Regulations, Appendix 42, table of international call sign series.
    """
    read = read_call(call)
    if read.shape == "no" and not _PREFIX.fullmatch(read.core):
        return None
    return administration_of_prefix(read.core)


def district(call: str) -> str | None:
    """Return where a United States call was first issued, and that this proves nothing; None for other calls.

    Source: the areas of the FCC call sign system, as listed in the table.
    """
    core = read_call(call).core
    found = _US_CORE.fullmatch(core)
    if found is None or administration(call) != _UNITED_STATES:
        return None
    prefix, digit = found.groups()
    table = load_toml("us_call_areas.toml")
    place = "Guantanamo Bay" if _GUANTANAMO_BAY.fullmatch(core) else table["places"].get(prefix)
    area = f"for {place}" if place else f"in area {digit} ({table['areas'][digit]})"
    return f"first issued {area}; says nothing about where they are"


def is_special_event(call: str) -> bool:
    """Return whether a call has the 1x1 shape of a United States special event station.

    47 CFR 97.3(a)(11)(iii): K, N or W, a digit, and one letter other than X.
    """
    return _SPECIAL_EVENT.fullmatch(read_call(call).core) is not None


def foreign_prefix_suffix(call: str) -> str | None:
    """Warn about a suffix on a United States call that reads as a prefix of another country, else None.

    47 CFR 97.119(c) asks that a self-assigned indicator conflict with no prefix assigned to another country:
    read strictly, `/M` is one of the United Kingdom, `/P` of nobody. It is advice; many send it all the same.
    """
    read = read_call(call)
    if administration(call) != _UNITED_STATES:
        return None
    for suffix in _suffixes(read):
        country = administration_of_prefix(suffix) if _PREFIX_ALONE.fullmatch(suffix) else None
        if country not in (None, _UNITED_STATES):
            return (
                f"/{suffix} reads as a prefix of {country}: right when sent from there, otherwise "
                "47 CFR 97.119(c) rules it out as a self-assigned indicator (/P clashes with nobody)"
            )
    return None


def _shape(part: str) -> Shape:
    """Return how usual one part looks as a call sign."""
    known = [character for character in part if character != "?"]
    has_digit = any(character.isdigit() for character in known)
    # Too little was heard to say it was a call at all: "no??" is a word with question marks.
    if len(known) < (2 if has_digit else 3):
        return "no"
    if _USUAL.fullmatch(part):
        return "usual"
    return "unusual" if _UNUSUAL.fullmatch(part) else "no"


def _likeness(parts: list[str], index: int) -> tuple[int, int, bool, int]:
    """Return how likely one part is the call itself; the greatest is taken."""
    part = parts[index]
    may_be_place = _is_place(part, _PREFIX) and not _US_CALL_LIKE_PREFIX.fullmatch(part)
    return _RANK[_shape(part)], len(part), not may_be_place, index if may_be_place else -index


def _is_place(part: str, shape: re.Pattern[str]) -> bool:
    return shape.fullmatch(part) is not None and administration_of_prefix(part) is not None


def _suffixes(read: CallSign) -> list[str]:
    """Return the parts after the core."""
    parts = [part for part in read.text.split("/") if part]
    return parts[parts.index(read.core) + 1 :] if read.core in parts else []
