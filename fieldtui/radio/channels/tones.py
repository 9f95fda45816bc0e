"""Sub-audible tones and codes: CTCSS by frequency, DCS by octal code.

A DCS code is sent again and again as one 23-bit word of the Golay code: 9 bits of code, the fixed bits 100,
11 parity bits, at 134.4 bit/s. A receiver cannot tell where the word begins, so rotated words are one signal,
and an inverted word is the signal of another code.
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from fieldtui.data.tables import load_toml
from fieldtui.radio.outside_text import RefusedError, quoted

if TYPE_CHECKING:
    from collections.abc import Iterator

_GENERATOR = 0xC75
_WORD_BITS = 23
_WORD = (1 << _WORD_BITS) - 1
_FIXED_BITS = 0b100

_DECIMAL = re.compile(r"[0-9]{1,4}(?:\.[0-9]{1,6})?")
_CODE = re.compile(r"([0-7]{1,3})([NI]?)", re.IGNORECASE | re.ASCII)


@cache
def ctcss_tones() -> tuple[float, ...]:
    """Return the 50 usual CTCSS tones in hertz, lowest first; sources stand in the table."""
    return tuple(sorted(hertz for group in load_toml("tones.toml")["ctcss"] for hertz in group["hertz"]))


@cache
def dcs_codes() -> tuple[str, ...]:
    """Return the 104 usual DCS codes as three octal digits, in order; sources stand in the table."""
    return tuple(sorted(code for group in load_toml("tones.toml")["dcs"] for code in group["codes"]))


def is_ctcss(hertz: float) -> bool:
    """Tell whether a frequency in hertz is one of the usual CTCSS tones, to the tenth."""
    return any(abs(hertz - tone) < 1e-6 for tone in ctcss_tones())


def nearest_ctcss(hertz: float) -> float:
    """Return the CTCSS tone nearest to a frequency in hertz, to say which was meant."""
    return min(ctcss_tones(), key=lambda tone: abs(tone - hertz))


def is_dcs(code: str) -> bool:
    """Tell whether `code` is one of the usual DCS codes, three octal digits."""
    return code in dcs_codes()


def read_ctcss(text: str) -> float:
    """Return a CTCSS tone in hertz from its text, such as `88.5`; raises RefusedError for what is none."""
    word = text.strip()
    if _DECIMAL.fullmatch(word) is None:
        raise RefusedError(
            f"tone {quoted(text)} is not a frequency", "a CTCSS tone in hertz with a point, such as 88.5"
        )
    hertz = float(word)
    if not is_ctcss(hertz):
        raise RefusedError(f"{word} Hz is not a CTCSS tone", f"the nearest one, {nearest_ctcss(hertz)}")
    return nearest_ctcss(hertz)


def read_dcs(text: str) -> str:
    """Return a DCS code as three octal digits from its text; raises RefusedError for what is none.

    Leading zeros may be missing, since spreadsheets drop them. `N` after a code (normal) changes nothing; `I`
    (inverted) gives the code that the inverted signal is.
    """
    found = _CODE.fullmatch(text.strip())
    if found is None:
        raise RefusedError(
            f"DCS code {quoted(text)} is not octal", "three digits 0 to 7 in quotes, such as 023"
        )
    code = found[1].zfill(3)
    if not is_dcs(code):
        same = same_signal(code)
        raise RefusedError(
            f"{code} is not a usual DCS code", f"{same}, which is the same signal" if same else _usual_codes()
        )
    return inverse_dcs(code) if found[2].upper() == "I" else code


def inverse_dcs(code: str) -> str:
    """Return the code whose signal is that of `code` inverted: 023 inverted is 047.

    `code` is one of `dcs_codes()`; ValueError otherwise.
    """
    if not is_dcs(code):
        raise ValueError(f"{code[:10]!a} is not a usual DCS code")
    return next(other for other in _codes_in(dcs_word(code) ^ _WORD) if is_dcs(other))


def same_signal(code: str) -> str | None:
    """Return the usual code with the same signal as any octal `code` of three digits, or None."""
    return next((other for other in _codes_in(dcs_word(code)) if is_dcs(other)), None)


def dcs_word(code: str) -> int:
    """Return the 23 bits of a code, first bit sent lowest: code, fixed bits, parity.

    `code` is three octal digits. Source: Golay (23,12) code with generator C75 hexadecimal, published tables.
    """
    data = _FIXED_BITS << 9 | int(code, 8)
    remainder = data << 11
    for power in range(_WORD_BITS - 1, 10, -1):
        if remainder >> power & 1:
            remainder ^= _GENERATOR << (power - 11)
    return remainder << 12 | data


def _codes_in(word: int) -> Iterator[str]:
    """Give the code of every rotation of a word in which the fixed bits stand in their place."""
    for turn in range(_WORD_BITS):
        rotated = (word >> turn | word << (_WORD_BITS - turn)) & _WORD
        if rotated >> 9 & 0b111 == _FIXED_BITS:
            yield f"{rotated & 0o777:03o}"


def _usual_codes() -> str:
    return "one of the usual codes, such as " + ", ".join(dcs_codes()[:5])
