"""A battery meter that speaks Modbus RTU: it is asked every second, and answers with registers.

The questions are read-only (functions 3 and 4); nothing is ever written to a register.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from fieldtui.feeds.modbus_frames import EXCEPTIONS, LARGEST_FRAME, Question
from fieldtui.feeds.plain_lines import AmpsPositiveIs
from fieldtui.feeds.plausible import limit_broken
from fieldtui.feeds.readings import BatteryReading, Item, problem
from fieldtui.power.registers import Register, questions

ANSWER_SECONDS = 1.0
"""Patience with a device before it is asked again (common practice, no source)."""

MOST_HELD = 2 * LARGEST_FRAME


class ModbusDevice(Struct, frozen=True):
    """Which device is asked for what.

    `registers` maps `volts`, `amps`, `charge_percent` or `temperature_c` to its place; at least one.
    """

    registers: Mapping[str, Register]
    unit: int = 1
    function: int = 3
    low_word_first: bool = False
    amps_positive_is: AmpsPositiveIs = "charge"
    every_seconds: float = 1.0


class ModbusPoller:
    """Sans-I/O parser that asks; never raises, holds at most two frames.

    One question is on its way at a time. What comes unasked is thrown away.
    """

    def __init__(self, device: ModbusDevice) -> None:
        self._device = device
        self._questions = tuple(
            Question(device.unit, device.function, address, count)
            for address, count in questions(tuple(device.registers.values()))
        )
        self.reset()

    def reset(self) -> None:
        """Forget everything: the line was opened anew, or bytes were lost."""
        self.good = 0
        """Answers since then that were whole."""
        self._held = bytearray()
        self._next = 0
        self._asked: Question | None = None
        self._spoilt = False
        self._give_up_at = self._due_at = float("-inf")
        self._registers: dict[int, int] = {}

    @property
    def pending(self) -> bool:
        """Part of an answer is held."""
        return bool(self._held)

    def to_send(self, now: float) -> bytes:
        """Return the next question when it is due, or when the last one was not answered in time."""
        if self._asked is not None and now < self._give_up_at:
            return b""
        if self._asked is not None:  # no answer: begin anew
            self._next = 0
            self._asked = None
        if self._next == 0 and now < self._due_at:
            return b""
        if self._next == 0:
            self._due_at = now + self._device.every_seconds
            self._registers.clear()
        self._held.clear()
        self._spoilt = False
        self._asked = self._questions[self._next]
        self._give_up_at = now + ANSWER_SECONDS
        return self._asked.frame

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the reading or problem that they completed."""
        if self._asked is None:
            return []
        self._held += data
        del self._held[:-MOST_HELD]
        answer = self._asked.find_answer(bytes(self._held))
        if answer is None:
            return self._doubt(self._asked)
        asked, self._asked = self._asked, None
        self._held.clear()
        self.good += 1
        if answer.exception is not None:
            self._next = 0
            why = EXCEPTIONS.get(answer.exception, "")
            return [problem("answer_refused", f"exception {answer.exception} {why}".strip())]
        self._registers.update(
            zip(range(asked.address, asked.address + asked.count), answer.registers, strict=True)
        )
        self._next = (self._next + 1) % len(self._questions)
        return [] if self._next else [self._reading()]

    def _doubt(self, asked: Question) -> list[Item]:
        """Say once that an answer is damaged: enough bytes for it and for an echo of the question came."""
        if self._spoilt or len(self._held) < asked.answer_bytes:
            return []
        echo = bytes(self._held).startswith(asked.frame)
        if echo and len(self._held) < asked.answer_bytes + len(asked.frame):
            return []
        self._spoilt = True
        return [problem("answer_damaged")]

    def _reading(self) -> Item:
        amps = self._value("amps")
        reading = BatteryReading(
            volts=self._value("volts"),
            amps=-amps if amps and self._device.amps_positive_is == "discharge" else amps,
            charge_percent=self._value("charge_percent"),
            temperature_c=self._value("temperature_c"),
        )
        broken = limit_broken(reading)
        return problem("implausible", broken) if broken else reading

    def _value(self, name: str) -> float | None:
        register = self._device.registers.get(name)
        if register is None:
            return None
        return register.value(self._registers, low_word_first=self._device.low_word_first)
