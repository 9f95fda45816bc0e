"""Registers of a battery meter: frames as published, pymodbus as a second opinion and as the device on the line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pymodbus.framer import FramerRTU
from pymodbus.pdu import DecodePDU
from pymodbus.pdu.register_message import ReadHoldingRegistersRequest, ReadHoldingRegistersResponse

from fieldtui.feeds.kiss import KissFrame, KissFrames
from fieldtui.feeds.modbus import (
    ANSWER_SECONDS,
    MOST_HELD,
    MOST_IN_VAIN,
    MOST_SLOW,
    MOST_UNASKED,
    QUIET_SECONDS,
    SLOW_SECONDS,
    ModbusDevice,
    ModbusPoller,
)
from fieldtui.feeds.modbus_frames import Answer, Question, crc16, is_whole, with_crc
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import AskingParser, BatteryReading, Problem
from fieldtui.power.registers import Register, read_register
from tests.packets.making import kiss as frame_of
from tests.support.memory import held_bytes
from tests.support.modbus_device import LinePair, ModbusServer

VECTORS = [
    json.loads(line)
    for line in (Path(__file__).parent.parent / "data/modbus.jsonl").read_text("utf-8").splitlines()
]
assert len(VECTORS) == 12
METER = ModbusDevice({"volts": Register(0, "u16", 0.001), "amps": Register(1, "s16", 0.001)})
ANSWER = with_crc(bytes.fromhex("010304322eff06"))
READING = BatteryReading(volts=12_846 * 0.001, amps=-250 * 0.001)


@pytest.mark.parametrize("case", VECTORS, ids=lambda case: case["id"])
def test_a_frame_means_what_its_source_says(case: dict[str, Any]) -> None:
    frame, expect = bytes.fromhex(case["hex"]), case["expect"]
    assert is_whole(frame) is (expect is not None)
    if expect is None or ("registers" not in expect and "exception" not in expect):
        return
    question = Question(expect["unit"], expect["function"], 0, 2)
    answer = question.find_answer(frame)
    assert answer is not None
    if "exception" in expect:
        assert answer == Answer(exception=expect["exception"])
        return
    assert list(answer.registers) == expect["registers"]
    registers = dict(enumerate(answer.registers))
    if "int16" in expect:
        assert [Register(at, "s16").value(registers) for at in (0, 1)] == expect["int16"]
    if "volts" in expect:
        assert METER.registers["volts"].value(registers) == pytest.approx(expect["volts"])
        assert METER.registers["amps"].value(registers) == pytest.approx(expect["amps"])
    if "u32_high_first" in expect:
        assert Register(0, "u32").value(registers) == expect["u32_high_first"]
    if "u32_low_first" in expect:
        assert Register(0, "u32").value(registers, low_word_first=True) == expect["u32_low_first"]
    if "float_high_first" in expect:
        assert Register(0, "f32").value(registers) == pytest.approx(expect["float_high_first"], rel=1e-7)


def test_the_crc_is_that_of_the_guide() -> None:
    """`02 07` gives 1241 (MODBUS over serial line V1.02, its example)."""
    assert crc16(bytes.fromhex("0207")) == 0x1241
    assert with_crc(bytes.fromhex("0207")).hex() == "02074112"


@given(st.binary(min_size=1, max_size=200))
def test_pymodbus_has_the_same_crc(data: bytes) -> None:
    assert FramerRTU.compute_CRC(data).to_bytes(2, "big") == crc16(data).to_bytes(2, "little")


@given(st.integers(1, 247), st.integers(0, 65_535 - 125), st.integers(1, 125), st.data())
def test_pymodbus_reads_the_question_and_writes_the_answer(
    unit: int, address: int, count: int, data: st.DataObject
) -> None:
    question = Question(unit, 3, address, count)
    framer = FramerRTU(DecodePDU(True))
    asked = ReadHoldingRegistersRequest(address=address, count=count, dev_id=unit)
    assert framer.buildFrame(asked) == question.frame
    registers = data.draw(st.lists(st.integers(0, 65_535), min_size=count, max_size=count))
    told = FramerRTU(DecodePDU(False)).buildFrame(
        ReadHoldingRegistersResponse(registers=registers, dev_id=unit)
    )
    assert len(told) == question.answer_bytes
    assert question.find_answer(told) == Answer(tuple(registers))


def listened(device: ModbusDevice = METER, now: float = 0.0) -> ModbusPoller:
    """A poller whose line was quiet long enough at that time."""
    poller = ModbusPoller(device)
    assert poller.to_send(now - QUIET_SECONDS) == b""
    assert poller.to_send(now - 0.01) == b""
    return poller


def answered(poller: ModbusPoller, now: float, *pieces: bytes) -> list[Any]:
    """Ask, and hear the pieces."""
    assert poller.to_send(now)
    return [item for piece in pieces for item in poller.feed(piece)]


def test_a_question_and_its_answer_make_a_reading() -> None:
    poller = listened(now=100.0)
    assert isinstance(poller, AskingParser)
    assert poller.to_send(100.0).hex() == "010300000002c40b"
    assert poller.to_send(100.1) == b"", "one question at a time"
    assert poller.feed(ANSWER) == [READING]
    assert poller.to_send(100.5) == b"", "one reading a second"
    assert poller.to_send(101.0).hex() == "010300000002c40b"


@given(st.integers(0, len(ANSWER)), st.binary(max_size=12))
def test_an_answer_in_pieces_after_noise_or_an_echo(cut: int, noise: bytes) -> None:
    """Two-wire adapters repeat the question; some send a zero byte when they turn round."""
    for before in (b"", b"\0", METER_QUESTION, noise):
        poller = listened()
        items = answered(poller, 0.0, before + ANSWER[:cut], ANSWER[cut:])
        assert [item for item in items if isinstance(item, BatteryReading)] == [READING]


METER_QUESTION = bytes.fromhex("010300000002c40b")


def test_a_damaged_answer_is_told_once_and_asked_again() -> None:
    poller = listened()
    damaged = bytes.fromhex("010304322fff065570")
    items = answered(poller, 0.0, damaged, b"\0" * 40)
    assert [item.code for item in items] == ["answer_damaged"]
    assert poller.to_send(ANSWER_SECONDS / 2) == b""
    assert poller.to_send(ANSWER_SECONDS) == b"", "what may still come has to be over first"
    assert answered(poller, ANSWER_SECONDS + QUIET_SECONDS, ANSWER) == [READING]


def test_silence_is_asked_again_when_the_line_was_quiet() -> None:
    poller = listened()
    assert poller.to_send(0.0)
    assert poller.to_send(0.9) == b""
    assert poller.to_send(1.0) == b""
    assert poller.to_send(3.9) == b""
    assert poller.to_send(4.0) == METER_QUESTION


def test_a_refusal_says_why() -> None:
    poller = listened()
    (item,) = answered(poller, 0.0, bytes.fromhex("018302c0f1"))
    assert isinstance(item, Problem)
    assert item.text == "the device refused: exception 2 it has no such register"
    assert poller.to_send(0.1) == b"", "it is not hammered with the same question"
    assert poller.to_send(1.0) == METER_QUESTION


def test_registers_apart_are_asked_apart_and_told_together() -> None:
    """A device may refuse a question that spans a hole."""
    device = ModbusDevice(
        {"volts": read_register("10 u16 0.01"), "amps": read_register("200 s32 0.001")}, unit=3
    )
    poller = listened(device)
    volts, amps = Question(3, 3, 10, 1), Question(3, 3, 200, 2)
    assert poller.to_send(0.0) == volts.frame
    assert poller.feed(with_crc(bytes([3, 3, 2]) + (1284).to_bytes(2, "big"))) == []
    assert poller.to_send(0.1) == amps.frame
    (reading,) = poller.feed(with_crc(bytes([3, 3, 4]) + (-2500).to_bytes(4, "big", signed=True)))
    assert isinstance(reading, BatteryReading)
    assert (reading.volts, reading.amps) == pytest.approx((12.84, -2.5))


def test_the_sign_of_the_current_is_stated_and_not_guessed() -> None:
    device = ModbusDevice(METER.registers, amps_positive_is="discharge")
    (reading,) = answered(listened(device), 0.0, ANSWER)
    assert reading.amps == pytest.approx(0.25)


def test_a_value_beyond_all_reason_is_no_reading() -> None:
    device = ModbusDevice({"volts": Register(0, "u16", 1.0)})
    (item,) = answered(listened(device), 0.0, with_crc(bytes.fromhex("0103020fff")))
    assert item.code == "implausible"
    nan = ModbusDevice({"volts": Register(0, "f32")})
    (item,) = answered(listened(nan), 0.0, with_crc(bytes.fromhex("0103047fc00000")))
    assert item.code == "implausible"


@settings(max_examples=200)
@given(st.lists(st.binary(max_size=300) | st.sampled_from([ANSWER, ANSWER[:5], METER_QUESTION]), max_size=20))
def test_nothing_that_comes_raises_or_piles_up(pieces: list[bytes]) -> None:
    poller = listened()
    for number, piece in enumerate(pieces):
        poller.to_send(number * 0.4)
        for item in poller.feed(piece):
            assert isinstance(item, BatteryReading | Problem)
        assert held_bytes(poller) < 60_000 + 2 * MOST_HELD


def test_a_device_on_a_real_line_is_read(witness: Any, wait_for: Any) -> None:
    """pymodbus serves the registers on one pseudo-terminal; the ordinary reader asks on another."""
    device = ModbusDevice(
        {**METER.registers, "temperature_c": Register(3, "s16", 0.1)}, unit=5, every_seconds=0.05
    )
    with LinePair() as line, ModbusServer(line.ports[1], [12_846, 65_286, 0, 65_531], unit=5):
        reader = FeedReader(
            "meter", line.ports[0], lambda: ModbusPoller(device), witness.on_readings, witness.on_state
        )
        with reader:
            wait_for(lambda: len(witness.readings) >= 5)
        assert reader.failure is None
    assert witness.conditions == ["opening", "reading"]
    assert witness.problem_codes == []
    first = witness.readings[0]
    assert (first.volts, first.amps, first.temperature_c) == pytest.approx((12.846, -0.25, -0.5))


def test_a_register_that_the_device_does_not_have_is_told(witness: Any, wait_for: Any) -> None:
    device = ModbusDevice({"volts": Register(40, "u16", 0.001)})
    with LinePair() as line, ModbusServer(line.ports[1], [12_846, 65_286]):
        reader = FeedReader(
            "meter", line.ports[0], lambda: ModbusPoller(device), witness.on_readings, witness.on_state
        )
        with reader:
            wait_for(lambda: witness.problem_codes)
    assert set(witness.problem_codes) == {"answer_refused"}
    assert witness.readings == []


# Nobody is asked who did not say that it is a meter

NMEA = b"$GPGGA,184200,4428.7500,N,12132.0000,W,1,08,1.1,1890.0,M,,M,,*5C\r\n"
LABELS = b"\r\nV\t12846\r\nI\t-250\r\nCE\t-1520\r\nSOC\t931\r\n"
PACKET = frame_of("W0QSL", b">on the ridge")
SPOKEN = {"sentences": NMEA, "labels": LABELS, "packets": PACKET, "plain lines": b"12.846,-0.250\n" * 3}


def asked_during(poller: ModbusPoller, start: float, seconds: float) -> list[bytes]:
    """Every question while nobody says anything, looked at ten times a second."""
    sent = [poller.to_send(start + tenth / 10) for tenth in range(int(seconds * 10))]
    return [each for each in sent if each]


@pytest.mark.parametrize("spoken", SPOKEN.values(), ids=SPOKEN)
def test_a_line_that_speaks_by_itself_is_never_asked(spoken: bytes) -> None:
    poller = ModbusPoller(METER)
    assert poller.to_send(0.0) == b""
    assert poller.feed(spoken) == []
    assert asked_during(poller, 0.1, 600) == []
    assert "instead of a meter" in poller.refusal


@pytest.mark.parametrize("spoken", SPOKEN.values(), ids=SPOKEN)
@pytest.mark.parametrize("between", [False, True], ids=["instead of an answer", "between questions"])
def test_a_line_that_turns_out_to_speak_is_asked_no_more(spoken: bytes, between: bool) -> None:
    """A modem is silent until it hears somebody: the questions so far were for nobody, and are the last."""
    poller = listened()
    if between:
        assert answered(poller, 0.0, ANSWER) == [READING]
    else:
        assert poller.to_send(0.0)
    for at in range(0, len(spoken), 5):
        poller.feed(spoken[at : at + 5])
    assert asked_during(poller, 0.1, 600) == []
    assert "instead of a meter" in poller.refusal


def test_a_little_noise_at_plugging_in_only_delays_the_first_question() -> None:
    poller = ModbusPoller(METER)
    assert poller.to_send(0.0) == b""
    poller.feed(b"\0" * MOST_UNASKED)
    assert poller.to_send(2.0) == b""
    assert poller.to_send(4.9) == b""
    assert poller.to_send(5.0) == METER_QUESTION


def test_a_flood_is_no_meter() -> None:
    poller = listened()
    poller.reset()
    assert asked_during(poller, 0.0, 60) == []


def test_nobody_is_asked_for_ever() -> None:
    poller = listened()
    assert asked_during(poller, 0.0, 86_400 / 24) == [METER_QUESTION] * MOST_IN_VAIN
    assert "none is asked any more" in poller.refusal


def test_a_meter_that_sleeps_is_asked_once_a_minute_and_not_for_ever() -> None:
    poller = listened()
    assert answered(poller, 0.0, ANSWER) == [READING]
    quick = asked_during(poller, 1.0, 55)
    assert len(quick) == MOST_IN_VAIN
    slow = asked_during(poller, 56.0, 600)
    assert len(slow) == pytest.approx(600 / (SLOW_SECONDS + ANSWER_SECONDS), abs=1)
    assert poller.refusal == ""
    assert answered(poller, 1000.0, ANSWER) == [READING], "it woke up"
    rest = asked_during(poller, 1001.0, 2 * 36_000)
    assert len(rest) == MOST_IN_VAIN + MOST_SLOW
    assert "none is asked any more" in poller.refusal


@given(st.integers(1, 247), st.sampled_from([3, 4]), st.integers(0, 65_533), st.integers(0, 65_533))
def test_no_question_is_a_frame_for_a_modem(unit: int, function: int, first: int, second: int) -> None:
    """Asked again and again, in any order: our own reader of KISS is the modem."""
    registers = {"volts": Register(first), "amps": Register(second, "s32")}
    device = ModbusDevice(registers, unit=unit, function=function)
    poller = listened(device)
    sent = b"".join(asked_during(poller, 0.0, 60))
    assert not [item for item in KissFrames().feed(sent) if isinstance(item, KissFrame)]
    assert bool(sent) is not bool(device.like_frames)


@pytest.mark.parametrize("address", [192, 448, 704, 49_152])
def test_a_question_that_a_modem_would_send_is_asked_only_where_no_modem_can_be(address: int) -> None:
    device = ModbusDevice({"volts": Register(address)})
    poller = listened(device)
    assert asked_during(poller, 0.0, 60) == []
    assert f"register {address} holds C0" in poller.refusal
    allowed = ModbusDevice({"volts": Register(address)}, no_modem=True)
    sent = b"".join(asked_during(listened(allowed), 0.0, 60))
    frames = [item for item in KissFrames().feed(sent) if isinstance(item, KissFrame)]
    assert [frame.command for frame in frames if frame.command == 0], "what the rule keeps from the air"


# Answers that come late

APART = ModbusDevice({"volts": read_register("10 u16 0.01"), "amps": read_register("20 s16 0.01")})
TRUTH = {10: 1280, 20: 65_536 - 150}


def readings_of_a_slow_device(delays: list[float], seconds: float) -> list[BatteryReading]:
    """The device answers each question after the next delay, one after the other, as it got them."""
    poller, line, readings, turn = listened(APART), [], [], 0
    for tenth in range(int(seconds * 20)):
        now = tenth / 20
        if question := poller.to_send(now):
            address = int.from_bytes(question[2:4], "big")
            line.append((now + delays[turn % len(delays)], TRUTH[address]))
            turn += 1
        due = [each for each in line if each[0] <= now]
        line = [each for each in line if each[0] > now]
        for _, value in sorted(due):
            items = poller.feed(with_crc(bytes([1, 3, 2]) + value.to_bytes(2, "big")))
            readings += [item for item in items if isinstance(item, BatteryReading)]
    return readings


@pytest.mark.parametrize(
    "delays",
    [[1.02], [1.3, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2], [0.2, 2.5], [0.2, 3.5, 0.2], [3.0]],
    ids=str,
)
def test_a_late_answer_is_never_taken_for_another_question(delays: list[float]) -> None:
    readings = readings_of_a_slow_device(delays, 120)
    assert readings, "more patience is learnt"
    assert all((each.volts, each.amps) == pytest.approx((12.8, -1.5)) for each in readings)


@given(st.lists(st.floats(0.05, 3.9), min_size=1, max_size=6))
@settings(max_examples=50, deadline=None)
def test_whatever_the_delays_no_false_reading(delays: list[float]) -> None:
    for each in readings_of_a_slow_device(delays, 90):
        assert (each.volts, each.amps) == pytest.approx((12.8, -1.5))


def test_a_device_that_only_refuses_is_told_as_the_state_of_the_feed(witness: Any, wait_for: Any) -> None:
    device = ModbusDevice({"volts": Register(40, "u16", 0.001)}, every_seconds=0.05)
    with LinePair() as line, ModbusServer(line.ports[1], [12_846, 65_286]):
        reader = FeedReader(
            "meter", line.ports[0], lambda: ModbusPoller(device), witness.on_readings, witness.on_state
        )
        with reader:
            wait_for(lambda: "refused" in witness.conditions)
    assert "the device refused: exception 2" in witness.states[-1].words
