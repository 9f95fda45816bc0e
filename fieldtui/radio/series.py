"""The ITU table of international call sign series: first characters to administration."""

from __future__ import annotations

from functools import cache

from fieldtui.data.tables import load_rows

WHOLE_LETTER_SERIES = frozenset("BFGIKMNRW2")
"""First characters that alone show the administration (Radio Regulations, No. 19.50.1)."""

_HALF_SERIES = ("3D", "SS")


def administration_of_prefix(text: str) -> str | None:
    """Return the administration that the first characters of `text` belong to, or None if there is none.

    `text` is upper case. One character decides in the whole-letter series, three in the half series, two in
    all others.
    """
    if text[:1] in WHOLE_LETTER_SERIES:
        return _series().get(text[0])
    if text[:2] not in _HALF_SERIES:
        return _series().get(text[:2])
    if text[:3] == "3D2":
        # Fiji uses 3D2, which its letter range 3DN to 3DZ does not show (common practice, no source).
        return _series().get("3DN")
    return _series().get(text[:3])


@cache
def _series() -> dict[str, str]:
    """Return every one-, two- and three-character key of the table, with its administration."""
    series: dict[str, str] = {}
    for first, last, name in load_rows("itu_call_sign_series.csv"):
        if first[0] in WHOLE_LETTER_SERIES:
            series[first[0]] = name
        elif first[:2] in _HALF_SERIES:
            series.update((first[:2] + third, name) for third in _span(first[2], last[2]))
        else:
            series.update((first[0] + second, name) for second in _span(first[1], last[1]))
    return series


def _span(first: str, last: str) -> list[str]:
    return [chr(code) for code in range(ord(first), ord(last) + 1)]
