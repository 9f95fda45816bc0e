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

from fieldtui.feeds.modbus import ANSWER_SECONDS, MOST_HELD, ModbusDevice, ModbusPoller
from fieldtui.feeds.modbus_frames import Answer, Question, crc16, is_whole, with_crc
from fieldtui.feeds.reader import FeedReader
from fieldtui.feeds.readings import AskingParser, BatteryReading, Problem
from fieldtui.power.registers import Register, read_register
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


def answered(poller: ModbusPoller, now: float, *pieces: bytes) -> list[Any]:
    """Ask, and hear the pieces."""
    assert poller.to_send(now)
    return [item for piece in pieces for item in poller.feed(piece)]


def test_a_question_and_its_answer_make_a_reading() -> None:
    poller = ModbusPoller(METER)
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
        poller = ModbusPoller(METER)
        items = answered(poller, 0.0, before + ANSWER[:cut], ANSWER[cut:])
        assert [item for item in items if isinstance(item, BatteryReading)] == [READING]


METER_QUESTION = bytes.fromhex("010300000002c40b")


def test_a_damaged_answer_is_told_once_and_asked_again() -> None:
    poller = ModbusPoller(METER)
    damaged = bytes.fromhex("010304322fff065570")
    items = answered(poller, 0.0, damaged, b"\0" * 40)
    assert [item.code for item in items] == ["answer_damaged"]
    assert poller.to_send(ANSWER_SECONDS / 2) == b""
    assert answered(poller, ANSWER_SECONDS + 0.1, ANSWER) == [READING]


def test_silence_is_asked_again() -> None:
    poller = ModbusPoller(METER)
    assert poller.to_send(0.0)
    assert poller.to_send(0.9) == b""
    assert poller.to_send(1.0) == METER_QUESTION


def test_a_refusal_says_why() -> None:
    poller = ModbusPoller(METER)
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
    poller = ModbusPoller(device)
    volts, amps = Question(3, 3, 10, 1), Question(3, 3, 200, 2)
    assert poller.to_send(0.0) == volts.frame
    assert poller.feed(with_crc(bytes([3, 3, 2]) + (1284).to_bytes(2, "big"))) == []
    assert poller.to_send(0.1) == amps.frame
    (reading,) = poller.feed(with_crc(bytes([3, 3, 4]) + (-2500).to_bytes(4, "big", signed=True)))
    assert isinstance(reading, BatteryReading)
    assert (reading.volts, reading.amps) == pytest.approx((12.84, -2.5))


def test_the_sign_of_the_current_is_stated_and_not_guessed() -> None:
    device = ModbusDevice(METER.registers, amps_positive_is="discharge")
    (reading,) = answered(ModbusPoller(device), 0.0, ANSWER)
    assert reading.amps == pytest.approx(0.25)


def test_a_value_beyond_all_reason_is_no_reading() -> None:
    device = ModbusDevice({"volts": Register(0, "u16", 1.0)})
    (item,) = answered(ModbusPoller(device), 0.0, with_crc(bytes.fromhex("0103020fff")))
    assert item.code == "implausible"
    nan = ModbusDevice({"volts": Register(0, "f32")})
    (item,) = answered(ModbusPoller(nan), 0.0, with_crc(bytes.fromhex("0103047fc00000")))
    assert item.code == "implausible"


@settings(max_examples=200)
@given(st.lists(st.binary(max_size=300) | st.sampled_from([ANSWER, ANSWER[:5], METER_QUESTION]), max_size=20))
def test_nothing_that_comes_raises_or_piles_up(pieces: list[bytes]) -> None:
    poller = ModbusPoller(METER)
    for number, piece in enumerate(pieces):
        poller.to_send(number * 0.4)
        for item in poller.feed(piece):
            assert isinstance(item, BatteryReading | Problem)
        assert len(poller._held) <= MOST_HELD


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
