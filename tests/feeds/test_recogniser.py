"""Which format is it, is it the right speed, and what happens when the sender changes."""

from __future__ import annotations

import pickle
import random

from hypothesis import given, settings
from hypothesis import strategies as st

from fieldtui.feeds.label_frames import LabelFrames, encode_label_frame
from fieldtui.feeds.plain_lines import PlainLines
from fieldtui.feeds.readings import BatteryReading, Item, Problem
from fieldtui.feeds.recogniser import BYTES_IN_VAIN, FAILURES_IN_A_ROW, NoiseMeter, ShuntRecogniser

FRAME = encode_label_frame([("V", "12846"), ("I", "-250")])
LINE = b"12.846,-0.250\n"
READING = BatteryReading(volts=12.846, amps=-0.25)
NOISE = random.Random(19200).randbytes(4096).replace(b"\n", b"\x80").replace(b"\r", b"\x80")


def volts(items: list[Item]) -> list[float | None]:
    return [item.volts for item in items if isinstance(item, BatteryReading)]


def codes(items: list[Item]) -> list[str]:
    return [item.code for item in items if isinstance(item, Problem)]


def test_one_checked_frame_speaks_clearly():
    recogniser = ShuntRecogniser()
    assert recogniser.chosen is None
    assert recogniser.feed(FRAME) == [READING]
    assert isinstance(recogniser.chosen, LabelFrames)


def test_a_frame_of_history_alone_speaks_clearly_too():
    recogniser = ShuntRecogniser()
    assert recogniser.feed(encode_label_frame([("H1", "-31200")])) == []
    assert isinstance(recogniser.chosen, LabelFrames)


def test_one_line_is_not_enough_and_two_are():
    recogniser = ShuntRecogniser()
    assert recogniser.feed(LINE) == []
    assert recogniser.feed(LINE) == [READING, READING]
    assert isinstance(recogniser.chosen, PlainLines)


def test_a_torn_first_line_is_not_a_reading():
    """`2.846` is what is left of `12.846`, and looks like a good number."""
    assert volts(ShuntRecogniser().feed(LINE[1:] + LINE * 2)) == [12.846, 12.846]


def test_boot_text_and_a_header_before_the_lines_are_no_hindrance():
    items = ShuntRecogniser().feed(b"booting v1.2\r\nvolts,amps\r\n" + LINE * 2)
    assert codes(items) == ["bad_line"]
    assert volts(items) == [12.846, 12.846]


def test_what_was_said_before_the_choice_comes_with_it():
    items = ShuntRecogniser().feed(FRAME[5:] + b":7F0E\n" + FRAME)
    assert codes(items) == ["torn_start", "hex_line"]
    assert volts(items) == [12.846]


@given(cuts=st.lists(st.integers(0, 200), max_size=8))
@settings(deadline=None)
def test_pieces_make_no_difference(cuts: list[int]):
    stream = FRAME[5:] + FRAME + b":7F\n" + FRAME[:-1] + b"?" + FRAME
    recogniser, items, start = ShuntRecogniser(), [], 0
    for cut in [*sorted(cuts), len(stream)]:
        items += recogniser.feed(stream[start:cut])
        start = max(start, cut)
    assert items == ShuntRecogniser().feed(stream)


def test_the_sign_setting_reaches_the_lines():
    assert ShuntRecogniser("discharge").feed(b"12.8,0.5\n" * 2)[0] == BatteryReading(volts=12.8, amps=-0.5)


def test_another_sender_on_the_same_line_is_recognised_after_a_while():
    recogniser = ShuntRecogniser()
    recogniser.feed(LINE * 2)
    for _ in range(BYTES_IN_VAIN // len(FRAME) + 2):
        items = recogniser.feed(FRAME)
    assert items == [READING]
    assert isinstance(recogniser.chosen, LabelFrames)


def test_so_many_bad_lines_in_a_row_open_the_choice_again():
    recogniser = ShuntRecogniser()
    recogniser.feed(LINE * 2)
    for number in range(FAILURES_IN_A_ROW):
        assert isinstance(recogniser.chosen, PlainLines), number
        recogniser.feed(b"sensor?\n")
    assert recogniser.chosen is None


def test_hex_lines_are_no_failures():
    recogniser = ShuntRecogniser()
    recogniser.feed(FRAME)
    recogniser.feed(b":7F0ED0071\n" * (FAILURES_IN_A_ROW + 5))
    assert isinstance(recogniser.chosen, LabelFrames)


def test_noise_is_told_once_until_a_reading_came():
    recogniser = ShuntRecogniser()
    told = [code for start in range(0, len(NOISE), 64) for code in codes(recogniser.feed(NOISE[start:][:64]))]
    assert told == ["wrong_speed"]
    assert volts(recogniser.feed(FRAME * 3)) != []
    assert codes(recogniser.feed(NOISE)).count("wrong_speed") == 1


def test_the_same_frames_read_at_half_speed_are_noise():
    """Every bit is seen as half of one: the bytes are made from the line's real bit pattern."""
    line = "".join(f"0{f'{byte:08b}'[::-1]}1" for byte in FRAME * 40)  # start bit, lowest bit first, stop bit
    sampled, seen = line[::2], bytearray()
    place = sampled.find("0")
    while place >= 0 and place + 9 < len(sampled):
        seen.append(int(sampled[place + 1 : place + 9][::-1], 2))
        place = sampled.find("0", place + 9)
    assert "wrong_speed" in codes(ShuntRecogniser().feed(bytes(seen)))


def test_text_that_is_no_reading_is_not_called_a_wrong_speed():
    text = b"the quick brown fox jumps over the lazy dog\r\n" * 100
    assert "wrong_speed" not in codes(ShuntRecogniser().feed(text))


def test_right_frames_are_never_noise():
    meter = NoiseMeter()
    assert not any(meter.hears_only_noise(FRAME, good=False) for _ in range(100))


def test_reset_forgets_the_choice():
    recogniser = ShuntRecogniser()
    recogniser.feed(FRAME + FRAME[:5])
    assert recogniser.pending
    recogniser.reset()
    assert (recogniser.chosen, recogniser.pending) == (None, False)
    assert recogniser.feed(LINE * 2) == [READING, READING]


@given(data=st.lists(st.binary(max_size=600) | st.sampled_from([FRAME, LINE]), max_size=12))
@settings(deadline=None)
def test_any_bytes_are_taken(data: list[bytes]):
    recogniser = ShuntRecogniser()
    for piece in data:
        recogniser.feed(piece)
    recogniser.feed(b"\n" + FRAME)
    assert len(pickle.dumps(recogniser)) < 20_000


def test_hours_of_noise_do_not_grow():
    recogniser = ShuntRecogniser()
    for _ in range(50):
        recogniser.feed(NOISE + b"\n,\n" * 20)
    assert len(pickle.dumps(recogniser)) < 20_000
