"""Frames of Modbus RTU: a question for registers, and its answer out of whatever came back.

    frame = unit function data crc-low crc-high

Source: Modbus over serial line V1.02 (frame and CRC) and Modbus application protocol V1.1b3 (functions 3 and 4,
exceptions). The standard ends a frame by a silence of 3.5 characters, which no program behind a USB adapter can
see. Here the length is known instead: one question is asked at a time, and its answer has exactly so many bytes.
"""

from __future__ import annotations

import struct

from msgspec import Struct

LARGEST_FRAME = 256
EXCEPTION = 0x80
FRAME_END = 0xC0
"""FEND, which begins and ends a frame in KISS (M. Chepponis and P. Karn, "The KISS TNC", 1987)."""
_EXCEPTION_BYTES = 5

EXCEPTIONS = {
    1: "it does not know this function",
    2: "it has no such register",
    3: "it does not take this count",
    4: "it has failed",
    6: "it is busy",
}


class Answer(Struct, frozen=True):
    """Registers in order, or the number of an exception."""

    registers: tuple[int, ...] = ()
    exception: int | None = None


def crc16(data: bytes) -> int:
    """Return the CRC of Modbus: start FFFF, polynomial A001 reflected; it is sent low byte first."""
    crc = 0xFFFF
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc >> 1) ^ 0xA001 if crc & 1 else crc >> 1
    return crc


def with_crc(data: bytes) -> bytes:
    """Return the whole frame."""
    return data + crc16(data).to_bytes(2, "little")


def is_whole(frame: bytes) -> bool:
    """Whether a frame of known length is sound."""
    return len(frame) >= 4 and with_crc(frame[:-2]) == frame


class Question(Struct, frozen=True):
    """Read `count` registers (1 to 125) from `address` by function 3 (holding) or 4 (input) of a `unit`."""

    unit: int
    function: int
    address: int
    count: int

    @property
    def frame(self) -> bytes:
        """What is sent, eight bytes."""
        return with_crc(struct.pack(">BBHH", self.unit, self.function, self.address, self.count))

    @property
    def answer_bytes(self) -> int:
        """How long the answer is."""
        return 5 + 2 * self.count

    def find_answer(self, data: bytes) -> Answer | None:
        """Look for the answer in bytes that may begin with noise or with the echo of the question.

        Only a sound frame of this unit, function and length counts: a right frame followed by a zero byte still
        has a right CRC, so the length has to be known.
        """
        whole = self._cut(data, bytes((self.unit, self.function, 2 * self.count)), self.answer_bytes)
        if whole is not None:
            return Answer(struct.unpack(f">{self.count}H", whole[3:-2]))
        refusal = self._cut(data, bytes((self.unit, self.function | EXCEPTION)), _EXCEPTION_BYTES)
        return Answer(exception=refusal[2]) if refusal is not None else None

    @staticmethod
    def _cut(data: bytes, beginning: bytes, length: int) -> bytes | None:
        start = data.find(beginning)
        while start >= 0:
            frame = data[start : start + length]
            if len(frame) == length and is_whole(frame):
                return frame
            start = data.find(beginning, start + 1)
        return None
