"""Signal reports: readability, strength and tone, with what operators add to them.

Two digits on phone, three on CW and data, decibels with a sign in some data modes. Suffixes: C chirp, K key
clicks, X steady after three digits; a aurora, s scatter, m multipath in place of the tone (IARU Region 1 VHF
handbook, Vienna 2010). Plus decibels (`59+20`) and N for 9 (`5NN`) are common practice, no source.
"""

from __future__ import annotations

import re

from msgspec import Struct

from fieldtui.radio.modes import mode_named, read_mode

_READABILITY_STRENGTH_TONE = re.compile(
    r"(?P<r>[0-9])(?P<s>[0-9N])(?P<t>[0-9N])?(?P<plus>\+(?P<over>[0-9]{1,2})?(?:DB)?)?(?P<tail>[CKX])?"
)
# Readability from 2 only: "15m" and "17m" are bands, and nobody reports on what could not be read.
_IN_PLACE_OF_TONE = re.compile(r"(?P<r>[2-5])(?P<s>[1-9])(?P<tail>[ASM])")
_DECIBELS = re.compile(r"(?P<sign>[+-])(?P<decibels>[0-9]{1,2})(?:DB)?")

_DIGITS_WANTED = {"phone": (2,), "cw": (3,), "mcw": (2, 3), "rtty": (3,), "data": (3,), "image": (2, 3)}


class Report(Struct, frozen=True):
    """One report taken apart.

    Either `decibels` is given, or `readability` and `strength`, with a `tone` on CW and data. `plus_decibels`
    is how far over strength 9, 0 when only a plus was said.
    """

    text: str
    readability: int | None = None
    strength: int | None = None
    tone: int | None = None
    plus_decibels: int | None = None
    decibels: int | None = None
    suffix: str = ""


def read_report(word: str) -> str | None:
    """Return a report in its usual writing (`59`, `59+20`, `599`, `-12`), or None when the word is not a report.

    A word with the shape of a report comes back even where a digit is out of range, such as `99`:
    `report_problem` says what is wrong with it.
    """
    report = parse_report(word)
    return report.text if report else None


def parse_report(word: str) -> Report | None:
    """Take a report apart, or return None when the word has not the shape of one."""
    upper = word.strip().upper()
    if not upper.isascii():
        return None
    if found := _DECIBELS.fullmatch(upper):
        value = int(found["sign"] + found["decibels"])
        return Report(text=f"{value:+d}", decibels=value)
    found = _IN_PLACE_OF_TONE.fullmatch(upper) or _READABILITY_STRENGTH_TONE.fullmatch(upper)
    return _from_digits(found.groupdict()) if found else None


def report_problem(text: str, mode: str | None = None) -> str | None:
    """Say what is wrong with a report in a mode, or None when nothing is.

    Sources: the R-S-T scales as handbooks print them, R 1 to 5, S 1 to 9, T 1 to 9. Without a mode, or with
    an unknown one, only the digits are looked at.
    """
    report = parse_report(text)
    if report is None:
        return f"{text[:12]!a} is not a report: write 59, on CW 599, or decibels with a sign such as -12"
    return _digit_problem(report) or _mode_problem(report, mode)


def _from_digits(found: dict[str, str | None]) -> Report | None:
    readability, strength, tone = (_digit(found.get(key)) for key in "rst")
    tail = found["tail"] or ""
    if tail in ("C", "K", "X") and tone is None:
        return None
    # Letters in place of the tone are written small, so that nobody reads them as part of a call.
    suffix = tail.lower() if tone is None else tail
    plus = found.get("plus")
    over = found.get("over")
    digits = "".join(str(digit) for digit in (readability, strength, tone) if digit is not None)
    return Report(
        text=digits + ("" if plus is None else f"+{int(over) if over else ''}") + suffix,
        readability=readability,
        strength=strength,
        tone=tone,
        plus_decibels=None if plus is None else int(over or 0),
        suffix=suffix,
    )


def _digit(text: str | None) -> int | None:
    if text is None:
        return None
    return 9 if text == "N" else int(text)


def _digit_problem(report: Report) -> str | None:
    if report.readability is not None and not 1 <= report.readability <= 5:
        return "readability is 1 to 5"
    if report.strength == 0:
        return "strength is 1 to 9"
    if report.tone == 0:
        return "tone is 1 to 9"
    if report.plus_decibels and report.strength != 9:
        return "decibels over count from strength 9"
    return None


def _mode_problem(report: Report, mode: str | None) -> str | None:
    if mode is None or read_mode(mode) is None:
        return None
    kind = mode_named(mode).kind
    if report.decibels is not None:
        return None if kind == "data" else f"decibels alone are for data modes, not for {mode.upper()}"
    digits = 2 if report.tone is None else 3
    if digits in _DIGITS_WANTED[kind] or report.suffix in ("a", "s", "m"):
        return None
    return f"a report on {mode.upper()} has {_DIGITS_WANTED[kind][0]} digits"
