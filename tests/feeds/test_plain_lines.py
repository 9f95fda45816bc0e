"""The parser of a microcontroller's plain lines: what it takes, what it refuses, and the sign."""

from __future__ import annotations

import json
import pickle
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.feeds.plain_lines import PlainLines
from fieldtui.feeds.readings import PROBLEM_TEXTS, BatteryReading, Problem

GOOD = b"12.846,-0.250\n"
READING = BatteryReading(volts=12.846, amps=-0.25)


@pytest.mark.parametrize(
    ("line", "volts", "amps", "percent"),
    [
        ("12.846,-0.250", 12.846, -0.25, None),
        (" 12.846 ,\t-0.250 \r", 12.846, -0.25, None),
        ("+12.8,+1", 12.8, 1.0, None),
        ("12.8e0,-2.5E-1", 12.8, -0.25, None),
        ("V=12.85 I=-0.42 SOC=93", 12.85, -0.42, 93.0),
        ("v=12.85, a=-0.42", 12.85, -0.42, None),
        ("VOLTS=12.85\tAmps=-0.42", 12.85, -0.42, None),
        ("V=12.85 uptime=123456789 name=shed", 12.85, None, None),
        ("soc=93", None, None, 93.0),
        ('{"volts":12.85,"amps":-0.42}', 12.85, -0.42, None),
        ('{"V": 12, "i": 1e-1, "up_ms": 123456789012, "note": "[ok]", "on": true}', 12.0, 0.1, None),
    ],
)
def test_lines_that_are_readings(line: str, volts: float | None, amps: float | None, percent: float | None):
    wanted = BatteryReading(volts=volts, amps=amps, charge_percent=percent)
    assert PlainLines().feed(line.encode() + b"\n") == [wanted]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (b"12.9;-0.31", "bad_line"),
        (b"12.9", "bad_line"),
        (b"12,9,-0,31", "bad_line"),
        (b",", "bad_line"),
        (b"nan,inf", "bad_value"),
        (b"1_2,0", "bad_value"),
        (b"0x12,0", "bad_value"),
        ("١٢,0".encode(), "bad_value"),
        (b"V==", "bad_line"),
        (b"V=", "bad_line"),
        (b"V = 12", "bad_line"),
        (b"V=12 volts=13", "duplicate_label"),
        (b"boot=ok", "bad_line"),
        (b'{"volts":NaN}', "bad_value"),
        (b'{"volts":-Infinity}', "bad_value"),
        (b'{"volts":1e999}', "bad_value"),
        (b'{"volts":"12.8"}', "bad_value"),
        (b'{"volts":true}', "bad_value"),
        (b'{"volts":[12.8]}', "bad_value"),
        (b'{"volts":{"x":12.8}}', "bad_value"),
        (b'{"volts":12,"volts":13}', "duplicate_label"),
        (b'{"note":1,"note":2,"volts":12}', "duplicate_label"),
        (b'{"volts":12', "bad_line"),
        (b'{"volts":12}{"volts":12}', "bad_line"),
        (b'{"a":' * 90, "bad_line"),
        (b"{}", "bad_line"),
        (b"12.8,\xff1", "bad_line"),
        (b"12.8,\x001", "bad_line"),
        (b"\x1b[2J12.8,1", "bad_line"),
        (b"81.0,1", "implausible"),
        (b"12.8,5000", "implausible"),
        (b"V=12 soc=101", "implausible"),
        (b"1" * 513, "overlong"),
    ],
)
def test_lines_that_are_none(line: bytes, code: str):
    """One problem each, safe to show, and the next line is read."""
    refused, reading = PlainLines().feed(line + b"\n" + GOOD)
    assert isinstance(refused, Problem)
    assert refused.code == code
    assert refused.text.isprintable()
    assert "[" not in refused.text
    assert reading == READING


def test_a_header_may_come_once():
    items = PlainLines().feed(b"volts,amps\n" + GOOD + b"volts,amps\n")
    assert items[0] == READING
    assert [item.code for item in items[1:] if isinstance(item, Problem)] == ["bad_value"]


def test_empty_lines_are_nothing():
    assert PlainLines().feed(b"\n\r\n  \n" + GOOD) == [READING]


def test_the_sign_is_a_setting():
    """With amps counted positive while discharging, the same line is turned round; zero stays plain zero."""
    turned = PlainLines("discharge").feed(b"12.8,0.5\n12.8,-2\nV=12.8 I=0\n")
    assert [item.amps for item in turned if isinstance(item, BatteryReading)] == [-0.5, 2.0, 0.0]
    assert "-" not in str(PlainLines("discharge").feed(b"I=0\n")[0].amps)  # type: ignore[union-attr]


@given(
    volts=st.decimals("-0.5", "80", places=3),
    amps=st.decimals("-999", "999", places=4),
    form=st.sampled_from(["{v},{a}\r\n", "V={v} I={a}\n", "amps={a},volts={v}\n", "json"]),
)
@settings(deadline=None)
def test_numbers_mean_what_decimal_arithmetic_says(volts: Decimal, amps: Decimal, form: str):
    """Compared with the standard library's decimal and JSON modules."""
    written = (
        json.dumps({"volts": float(volts), "amps": float(amps)}) + "\n"
        if form == "json"
        else form.format(v=f"{volts:f}", a=f"{amps:f}")
    )
    assert PlainLines().feed(written.encode()) == [BatteryReading(volts=float(volts), amps=float(amps))]


@given(cuts=st.lists(st.integers(0, 700), max_size=12))
@settings(deadline=None)
def test_pieces_make_no_difference(cuts: list[int]):
    stream = b"boot\n" + GOOD + b"x" * 600 + b"\nV=12.1\n\xff\n" + GOOD + b"12."
    parser, items, start = PlainLines(), [], 0
    for cut in [*sorted(cuts), len(stream)]:
        items += parser.feed(stream[start:cut])
        start = max(start, cut)
    assert items == PlainLines().feed(stream)
    assert parser.pending


def test_reset_forgets_a_half_line():
    parser = PlainLines()
    parser.feed(b"2.1,")
    parser.reset()
    assert not parser.pending
    assert parser.feed(GOOD) == [READING]


@given(
    data=st.binary(max_size=2000) | st.text(max_size=500).map(lambda text: text.encode("utf-8", "replace"))
)
@settings(deadline=None)
def test_any_bytes_are_taken(data: bytes):
    for item in PlainLines().feed(data + b"\n"):
        if isinstance(item, Problem):
            assert item.code in PROBLEM_TEXTS
            assert item.text.isprintable()


def test_an_endless_line_does_not_grow():
    parser = PlainLines()
    parser.feed(b"12.8,0.1 " * 20_000)
    assert len(pickle.dumps(parser)) < 2000
