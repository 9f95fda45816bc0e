"""Invented call signs: their suffixes are Q codes (ITU-R M.1172), which are given to no station."""

from __future__ import annotations

import string
from collections.abc import Iterator
from itertools import product


def invented_calls() -> Iterator[str]:
    """Some thirty thousand different ones, such as KD7QSV."""
    prefixes = ["K", "N", "W", *(f"K{letter}" for letter in string.ascii_uppercase)]
    for third, fourth, prefix, digit in product("RSTU", string.ascii_uppercase, prefixes, string.digits):
        yield f"{prefix}{digit}Q{third}{fourth}"
