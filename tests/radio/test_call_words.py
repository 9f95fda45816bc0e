"""Whose licence a call shows, and where its station is when the call says so.

Prefixes: ITU table of international call sign series; call areas of the United States: 47 CFR 97.17 and the public list
of the sequential call sign system. /MM and /AM: common practice, no source.
"""

from __future__ import annotations

import pytest

from fieldtui.radio.where.call_words import country_words, tells_place


@pytest.mark.parametrize(
    ("call", "words"),
    [
        ("W7QRV", "United States"),
        ("M0QRN", "United Kingdom"),
        ("DL1QRA", "Germany"),
        ("LU1QRA", "Argentina"),
        ("VP2M/K1QRN", "now in VP2M (United Kingdom); licence: United States"),
        ("C6A/W1QRV", "now in C6A (Bahamas); licence: United States"),
        ("KH6QRA/W7", "now in W7 (United States); licence: United States"),
        ("GM/DL1QRA", "now in GM (United Kingdom); licence: Germany"),
        ("K1QRN/7", "now in area 7 (AZ ID MT NV OR UT WA WY); licence: United States"),
        ("VK2QSO/3", "now in area 3; licence: Australia"),
        ("W7QRV/MM", "at sea; licence: United States"),
        ("W7QRV/AM", "in the air; licence: United States"),
        ("W7QRV/P", "United States"),
        ("K1?RN", ""),
    ],
)
def test_where_a_call_says_it_is(call: str, words: str) -> None:
    assert country_words(call) == words
    assert tells_place(call) is (";" in words)
