"""Corrections: of whom, in which words before and after, and what becomes of the tuning."""

from __future__ import annotations

from pathlib import Path

import pytest

from fieldtui.entry.grammar import parse_line
from fieldtui.entry.lines import VerbLine
from fieldtui.entry.payloads import Fix
from fieldtui.session.correcting import preview
from tests.session.test_taking_back import Hand


@pytest.fixture
def hand(tmp_path: Path) -> Hand:
    """Four contacts on one frequency, the second taken back, W0QSL twice."""
    hand = Hand(tmp_path / "hill.jsonl")
    for line in ("446.0 fm 5w", "w0qsl 59 57 Rosa", "n7qsb 59 59", "undo", "ve7qrz 59 59", "w0qsl 55 55"):
        hand.type(line)
    return hand


def before(hand: Hand, text: str) -> str:
    """What the screen says of a line before Enter."""
    line = parse_line(text)
    assert isinstance(line, VerbLine)
    assert isinstance(line.payload, Fix)
    return preview(line.payload, hand.state)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("fix 1 name Rose", "1 W0QSL, Rosa: name is Rosa"),
        ("fix 3 mhz 146.52", "3 VE7QRZ: frequency is 446.000 MHz"),
        ("fix 3 card", "3 VE7QRZ: card is not promised"),
        ("fix 3 sent 59", "unchanged: 3 VE7QRZ: report sent is 59 already"),
        ("fix 1-4 sent 59", "4 W0QSL; 2 unchanged"),
        ("fix 1-4 mhz 146.52", "3 contacts, 1, 3, 4"),
        ("fix ve7qrz name Lola", "3 VE7QRZ: name is not given"),
        ("fix w0qsl name Lola", "W0QSL is in the list 2 times: name the number, 1, 4"),
        ("fix k1qrn name Lola", "no contact with K1QRN in the list"),
        ("fix 2 name Ada", "contact 2 was taken back: redo brings it back, or log it again"),
        ("fix 3-9 name Ada", "there is no contact 9: the list ends with 4"),
    ],
)
def test_what_will_change_is_said_before_in_words(hand: Hand, text: str, told: str) -> None:
    assert before(hand, text) == told


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("fix ve7qrz name Lola", "fixed 3 VE7QRZ: name Lola"),
        ("fix 3 sent 59", "unchanged: 3 VE7QRZ: report sent is 59 already"),
        ("fix all mode fm", "unchanged: 3 contacts, 1, 3, 4: mode is FM already"),
        ("fix 3,4 card", "fixed 2 contacts, 3 to 4: card promised"),
        ("fix 1-4 sent 55", "fixed 2 contacts, 1, 3: report sent 55; 1 unchanged"),
        ("fix 3 rst 55 57", "fixed 3 VE7QRZ: report sent 55, report received 57"),
        ("fix 3 power 10", "fixed 3 VE7QRZ: power 10 W"),
    ],
)
def test_the_answer_says_what_is_so_now(hand: Hand, text: str, told: str) -> None:
    assert hand.type(text) == told


def test_a_value_that_was_so_writes_nothing(hand: Hand) -> None:
    lines = len(hand.path.read_bytes().splitlines())
    hand.type("fix 3 sent 59")
    assert len(hand.path.read_bytes().splitlines()) == lines


def test_a_contact_that_did_not_tune_retunes_nothing_and_that_is_said(hand: Hand) -> None:
    said = hand.type("fix last mhz 146.52")
    assert "still tuned to 446.000" in said
    assert hand.state.tuning.hertz == 446_000_000
    hand.type("k7qrt 59")
    assert [each["hertz"] for each in hand.told()["contacts"]][-2:] == [146_520_000, 446_000_000]


def test_a_contact_that_tuned_tunes_otherwise_and_that_is_said(hand: Hand) -> None:
    """Also if others were logged after it, which only took over what was tuned."""
    hand.type("k7qrt 144.2 ssb 59")
    hand.type("n7qsb 59")
    assert "tuned to 146.520 MHz too" in hand.type("fix 5 mhz 146.52")
    assert hand.state.tuning.hertz == 146_520_000
    assert hand.told()["contacts"][-1]["hertz"] == 144_200_000


def test_corrections_are_kept_in_words(hand: Hand) -> None:
    hand.type("fix 3-4 mhz 146.52")
    hand.type("fix 3 card")
    hand.type("fix 3 card no")
    (corrected,) = (each for each in hand.told()["contacts"] if each["call"] == "VE7QRZ")
    assert corrected["corrections"] == [
        "frequency was 446.000 MHz",
        "card was not promised",
        "card was promised",
    ]
