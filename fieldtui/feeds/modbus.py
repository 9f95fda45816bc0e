"""A battery meter that speaks Modbus RTU: it is asked every second, and answers with registers.

The questions are read-only (functions 3 and 4); nothing is ever written to a register. But whatever is at the port
gets them, and at the wrong port that may be a modem with a transmitter behind it. So nothing is asked on a line that
speaks by itself, a question that a modem could take for a frame is not asked, and nobody is asked for ever.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from fieldtui.feeds.modbus_frames import EXCEPTIONS, FRAME_END, LARGEST_FRAME, Answer, Question
from fieldtui.feeds.other_language import language_of
from fieldtui.feeds.plain_lines import AmpsPositiveIs
from fieldtui.feeds.plausible import limit_broken
from fieldtui.feeds.readings import BatteryReading, Item, problem
from fieldtui.power.registers import Register, questions

ANSWER_SECONDS = 1.0
"""Patience with a device at first; each answer that comes too late doubles it (MODBUS over serial line V1.02, 2.4.1:
"from 1 s to several second"; the doubling is common practice, no source)."""
MOST_ANSWER_SECONDS = 4.0
QUIET_SECONDS = 3.0
"""How long the line must be quiet before the first question, and before the next one after one without an answer.
What comes meanwhile is dropped: else a late answer would be taken for that of another question (as above, 2.4.1).
Feeds that speak by themselves do so once a second."""
MOST_UNASKED = 8
"""Bytes before the first question that may be the noise of plugging in."""
MOST_IN_VAIN = 10
"""Questions in a row without an answer. Where none was ever answered nothing says that a meter is there, so there is
no further one, not even seldom: whatever is there instead would get it as a beacon."""
SLOW_SECONDS, MOST_SLOW = 60.0, 600
"""A line on which a meter has answered is a meter's until it is unplugged, and a charger sleeps at night: then one
question a minute, for ten hours (own choice)."""
MOST_REFUSED = 3
"""Refusals in a row before the screen says so: a device may be busy once."""
MOST_HELD = 2 * LARGEST_FRAME

DO_AGAIN = "then plug it in again"


class ModbusDevice(Struct, frozen=True):
    """Which device is asked for what.

    `registers` maps `volts`, `amps`, `charge_percent` or `temperature_c` to its place; at least one. `no_modem` is the
    operator's word that no modem can be at the port: only then is a question asked that holds a modem's frame end.
    """

    registers: Mapping[str, Register]
    unit: int = 1
    function: int = 3
    low_word_first: bool = False
    amps_positive_is: AmpsPositiveIs = "charge"
    every_seconds: float = 1.0
    no_modem: bool = False

    @property
    def questions(self) -> tuple[Question, ...]:
        """What it is asked, in this order, again and again."""
        return tuple(
            Question(self.unit, self.function, address, count)
            for address, count in questions(tuple(self.registers.values()))
        )

    @property
    def like_frames(self) -> tuple[Question, ...]:
        """Questions that hold the byte C0: it begins and ends a frame for a modem in KISS mode, which would send what
        stands between two of them, or take it for a command."""
        return tuple(question for question in self.questions if FRAME_END in question.frame)


class ModbusPoller:
    """Sans-I/O parser that asks; never raises, holds at most two frames.

    One question is on its way at a time. What comes unasked is thrown away. It is made for one opening of the port.
    """

    def __init__(self, device: ModbusDevice) -> None:
        self.good = 0
        """Answers that were whole."""
        self._device = device
        self._questions = device.questions
        self._held = bytearray()
        """What came since the last question; while there is none, since the line was last quiet."""
        self._next = 0
        self._asked: Question | None = None
        self._spoilt = False
        self._give_up_at = self._due_at = float("-inf")
        self._patience = ANSWER_SECONDS
        self._waits_for_quiet = True
        self._heard = True
        self._quiet_since = 0.0
        self._in_vain = self._refused = 0
        self._ever_asked = False
        self._ended = _like_frame_words(device)
        """Why nothing is asked any more."""
        self._last_refusal = ""
        self._registers: dict[int, int] = {}

    def reset(self) -> None:
        """Bytes were lost: more came than any meter sends."""
        self._begin_anew()
        self._end("a flood of bytes")

    @property
    def pending(self) -> bool:
        """Part of an answer is held."""
        return bool(self._held)

    @property
    def refusal(self) -> str:
        """Why there is no reading, where it is neither the cable nor the power."""
        return self._ended or (self._last_refusal if self._refused >= MOST_REFUSED else "")

    def to_send(self, now: float) -> bytes:
        """Return the next question when it is due and the line was quiet before it where it has to be."""
        if self._heard:
            self._heard, self._quiet_since = False, now
        if self._asked is not None and now >= self._give_up_at:
            self._unanswered(now)
        if self._ended or self._asked is not None:
            return b""
        if self._waits_for_quiet and now - self._quiet_since < QUIET_SECONDS:
            return b""
        if self._next == 0 and now < self._due_at:
            return b""
        return self._ask(now)

    def _ask(self, now: float) -> bytes:
        if self._next == 0:
            self._due_at = now + self._device.every_seconds
            self._registers.clear()
        self._held.clear()
        self._spoilt = self._waits_for_quiet = False
        self._ever_asked = True
        self._asked = self._questions[self._next]
        self._give_up_at = now + self._patience
        return self._asked.frame

    def _begin_anew(self) -> None:
        """The line has to be quiet, then the first question comes again."""
        self._next, self._asked = 0, None
        self._waits_for_quiet = self._heard = True

    def _unanswered(self, now: float) -> None:
        self._begin_anew()
        self._heard, self._quiet_since = False, now
        self._in_vain += 1
        if self._in_vain < MOST_IN_VAIN:
            return
        self._due_at = now + SLOW_SECONDS
        if not self.good or self._in_vain >= MOST_IN_VAIN + MOST_SLOW:
            self._ended = (
                f"{self._in_vain} questions and no answer, so none is asked any more: "
                f"check unit, parity, A and B, {DO_AGAIN}"
            )

    def _end(self, language: str) -> None:
        self._ended = f"{language} instead of a meter, so nothing is asked: look at modbus.port and the cable, {DO_AGAIN}"

    def feed(self, data: bytes) -> list[Item]:
        """Take bytes in pieces of any size; return the reading or problem that they completed."""
        self._heard = True
        if self._ended:
            return []
        self._held += data
        del self._held[:-MOST_HELD]
        if self._asked is None:
            return self._overhear()
        answer = self._asked.find_answer(bytes(self._held))
        if answer is None:
            return self._doubt(self._asked)
        asked, self._asked = self._asked, None
        self._held.clear()
        self._in_vain = 0
        return self._take(asked, answer)

    def _overhear(self) -> list[Item]:
        """Nothing was asked, or its time was over."""
        if any(question.find_answer(bytes(self._held)) for question in self._questions):
            self._held.clear()
            self._patience = min(2 * self._patience, MOST_ANSWER_SECONDS)
            return [problem("answer_late")]
        if not self._ever_asked and len(self._held) > MOST_UNASKED:
            self._end(language_of(bytes(self._held)) or "bytes that nobody asked for")
        else:
            self._listen_to_language()
        return []

    def _listen_to_language(self) -> None:
        language = language_of(bytes(self._held))
        if language:
            self._begin_anew()
            self._end(language)

    def _take(self, asked: Question, answer: Answer) -> list[Item]:
        self.good += 1
        if answer.exception is not None:
            self._next = 0
            self._refused += 1
            told = problem(
                "answer_refused",
                f"exception {answer.exception} {EXCEPTIONS.get(answer.exception, '')}".strip(),
            )
            self._last_refusal = f"{told.text}: look at its registers and function"
            return [told]
        self._registers.update(
            zip(range(asked.address, asked.address + asked.count), answer.registers, strict=True)
        )
        self._next = (self._next + 1) % len(self._questions)
        return [] if self._next else [self._reading()]

    def _doubt(self, asked: Question) -> list[Item]:
        """Say once that an answer is damaged: enough bytes for it and for an echo of the question came."""
        self._listen_to_language()
        if self._ended or self._spoilt or len(self._held) < asked.answer_bytes:
            return []
        echo = bytes(self._held).startswith(asked.frame)
        if echo and len(self._held) < asked.answer_bytes + len(asked.frame):
            return []
        self._spoilt = True
        return [problem("answer_damaged")]

    def _reading(self) -> Item:
        self._refused = 0
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


def _like_frame_words(device: ModbusDevice) -> str:
    if device.no_modem or not device.like_frames:
        return ""
    return (
        f"{like_frame_words(device.like_frames[0])}: nothing is asked; modbus.no_modem = true in the station file "
        "allows it where no modem can be"
    )


def like_frame_words(question: Question) -> str:
    """What is wrong with a question that holds a frame end."""
    return f"the question for register {question.address} holds C0, which a packet modem takes for a frame"
