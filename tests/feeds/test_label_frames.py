"""The label/value frame parser, on published streams, in pieces, and on damaged ones."""

from __future__ import annotations

import pickle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.feeds.label_frames import LabelFrames, checksum_byte, encode_label_frame
from fieldtui.feeds.readings import PROBLEM_TEXTS, BatteryReading, Problem

FIELDS = [("V", "12846"), ("I", "-250"), ("SOC", "952"), ("Alarm", "OFF")]
FRAME = encode_label_frame(FIELDS)
READING = BatteryReading(volts=12.846, amps=-0.25, charge_percent=95.2, alarm=False)
OTHER = encode_label_frame([("V", "12310"), ("I", "-8450")])
OTHER_READING = BatteryReading(volts=12.31, amps=-8.45)
BIGGEST_STATE_BYTES = 16_000

LABEL_TEXT = st.text(st.characters(min_codepoint=0x20, max_codepoint=0x7E, exclude_characters=":"))
LABELS = LABEL_TEXT.filter(lambda text: 1 <= len(text) <= 32 and text != "Checksum")
VALUES = LABEL_TEXT.filter(lambda text: len(text) <= 64)


def codes(items: list[Any]) -> list[str]:
    return [item.code for item in items if isinstance(item, Problem)]


def readings(items: list[Any]) -> list[BatteryReading]:
    return [item for item in items if isinstance(item, BatteryReading)]


def fed_in_pieces(data: bytes, cuts: list[int]) -> list[Any]:
    parser, items, start = LabelFrames(), [], 0
    for cut in [*sorted(cuts), len(data)]:
        items += parser.feed(data[start:cut])
        start = cut
    return items


def test_the_sum_byte_of_a_frame_reckoned_by_hand():
    """13+10+73+9+48 = 153; +13+10 = 176; the word Checksum 819; +9 = 1004; 1004 mod 256 = 236; 256-236 = 20."""
    assert encode_label_frame({"I": "0"}) == b"\r\nI\t0\r\nChecksum\t\x14"


def test_frames_of_a_second_hand_reckoning():
    """Streams whose sums were made by two further decoders; a colon line may cut a value in two."""
    assert encode_label_frame({"V": "12655", "I": "-3120"})[-1] == 0xD8
    assert encode_label_frame([("H1", "-20450"), ("H2", "-2310"), ("H18", "1")])[-1] == 0x5D
    cut = b"\r\nV\t12655\r\nI\t-:7F0ED0071\n3120\r\nChecksum\t\xd8"
    assert readings(LabelFrames().feed(cut)) == [BatteryReading(volts=12.655, amps=-3.12)]


@given(data=st.binary())
@settings(deadline=None)
def test_the_checksum_closes_any_bytes_to_zero(data: bytes):
    assert (sum(data) + checksum_byte(data)) % 256 == 0


@given(fields=st.lists(st.tuples(LABELS, VALUES), min_size=1, max_size=20))
@settings(deadline=None)
def test_whatever_can_be_written_is_a_checked_frame_again(fields: list[tuple[str, str]]):
    parser = LabelFrames()
    items = parser.feed(encode_label_frame(fields))
    assert parser.good == 1
    assert not parser.pending
    assert not {"bad_checksum", "torn_start", "bad_line", "overlong"} & set(codes(items))


@pytest.mark.parametrize(
    "fields",
    [
        [],
        [("", "1")],
        [("a:b", "1")],
        [("V", "1:2")],
        [("Checksum", "1")],
        [("V", "\r\n")],
        [("V" * 33, "1")],
        [("V", "1" * 65)],
        [("Ω", "1")],
    ],
)
def test_what_would_break_a_frame_cannot_be_written(fields: list[tuple[str, str]]):
    with pytest.raises(ValueError, match=r"cannot be|at least one"):
        encode_label_frame(fields)


@given(cuts=st.lists(st.integers(0, 400)))
@settings(deadline=None)
def test_pieces_make_no_difference(cuts: list[int]):
    """A stream with noise, a hex line and three frames gives the same items however it is cut."""
    stream = b"\tx\x80" + FRAME + b":7F0E\n" + OTHER + FRAME
    assert fed_in_pieces(stream, cuts) == LabelFrames().feed(stream)


@given(noise=st.binary(max_size=80))
@settings(deadline=None)
def test_noise_costs_at_most_the_next_frame(noise: bytes):
    """Whatever comes before, the second whole frame after it is read."""
    items = LabelFrames().feed(noise + OTHER + FRAME)
    assert readings(items)[-1] == READING


def test_no_single_flipped_bit_gives_a_wrong_reading():
    for bit in range(len(FRAME) * 8):
        damaged = bytearray(FRAME)
        damaged[bit // 8] ^= 1 << bit % 8
        found = readings(LabelFrames().feed(bytes(damaged) + OTHER + FRAME))
        assert found[-1] == READING, bit
        assert all(reading in (READING, OTHER_READING) for reading in found), bit


@given(start=st.integers(1, len(FRAME) - 1))
@settings(deadline=None)
def test_a_frame_without_its_beginning_is_never_believed(start: int):
    items = LabelFrames().feed(FRAME[start:] + OTHER)
    assert READING not in readings(items)


def test_a_hex_line_may_interrupt_a_frame_anywhere_before_the_sum_byte():
    for place in range(len(FRAME) - 1):
        items = LabelFrames().feed(FRAME[:place] + b":7F0ED0071\r\n" + FRAME[place:])
        assert readings(items) == [READING], place
        assert codes(items) == ["hex_line"], place


@pytest.mark.parametrize("line", [b":\n", b":XYZ\n", b":" + b"A" * 129 + b"\n", b":" + b"A" * 5000 + b"\n"])
def test_a_damaged_hex_line_is_told_and_costs_nothing(line: bytes):
    items = LabelFrames().feed(line + FRAME)
    assert codes(items) == ["bad_hex_line"]
    assert readings(items) == [READING]


def test_trailing_bytes_wait_for_their_frame():
    parser = LabelFrames()
    assert readings(parser.feed(FRAME + OTHER[:9])) == [READING]
    assert parser.pending
    assert readings(parser.feed(OTHER[9:])) == [OTHER_READING]
    assert not parser.pending


def test_reset_forgets_a_half_frame():
    parser = LabelFrames()
    parser.feed(FRAME + OTHER[:9])
    parser.reset()
    assert (parser.pending, parser.good) == (False, 0)
    assert readings(parser.feed(FRAME)) == [READING]


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ([("V", "12x46")], "bad_value"),
        ([("V", "1_2")], "bad_value"),
        ([("V", "٣")], None),
        ([("Alarm", "maybe")], "bad_value"),
        ([("V", "99000")], "implausible"),
        ([("V", "-900")], "implausible"),
        ([("SOC", "1001")], "implausible"),
        ([("V", "12000"), ("V", "13000")], "duplicate_label"),
    ],
)
def test_values_that_are_none_are_told(fields: list[tuple[str, str]], code: str | None):
    """The frame itself is sound; other scripts' digits cannot even be written."""
    if code is None:
        with pytest.raises(ValueError, match="cannot be a value"):
            encode_label_frame(fields)
        return
    assert codes(LabelFrames().feed(encode_label_frame(fields))) == [code]


def test_the_first_of_two_equal_labels_counts():
    items = LabelFrames().feed(encode_label_frame([("V", "12000"), ("V", "13000")]))
    assert readings(items) == [BatteryReading(volts=12.0)]


def test_one_bad_value_does_not_cost_the_others():
    items = LabelFrames().feed(encode_label_frame([("V", "12000"), ("T", "warm")]))
    assert readings(items) == [BatteryReading(volts=12.0)]


@pytest.mark.parametrize(
    ("inside", "code"),
    [
        (b"\r\n" + b"L" * 33 + b"\t1", "overlong"),
        (b"\r\nL\t" + b"1" * 65, "overlong"),
        (b"".join(b"\r\nL%d\t1" % n for n in range(70)), "overlong"),
        (b"\r\nno tab", "bad_line"),
        (b"\rV\t1", "bad_line"),
        (b"\r\nV\t1\t2", "bad_line"),
        (b"\r\nV\t1\x1b2", "bad_line"),
    ],
)
def test_a_malformed_frame_is_one_problem_even_with_a_right_sum(inside: bytes, code: str):
    text = inside + b"\r\nChecksum\t"
    items = LabelFrames().feed(text + bytes([checksum_byte(text)]) + FRAME)
    assert codes(items) == [code]
    assert readings(items) == [READING]


@given(data=st.binary(max_size=2000))
@settings(deadline=None)
def test_any_bytes_are_taken(data: bytes):
    """Nothing is raised, every problem is a known one, and its text is fit to be shown."""
    for item in LabelFrames().feed(data):
        if isinstance(item, Problem):
            assert item.code in PROBLEM_TEXTS
            assert item.text.isprintable()


@pytest.mark.parametrize(
    "unit", [b"a", b":", b"\r\nA\t", b"\r\nL\t1", b"\r", b":A", b"\r\nlabel", b"\xff\x00"]
)
def test_endless_nonsense_does_not_grow(unit: bytes):
    """After 200 kB without an end the parser is still no bigger than a few kilobytes."""
    parser = LabelFrames()
    parser.feed(unit * (200_000 // len(unit)))
    assert len(pickle.dumps(parser)) < BIGGEST_STATE_BYTES
