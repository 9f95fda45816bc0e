"""Where a meter keeps its figures: the registers of a Modbus device, as a station file names them. Pure.

A register is written `ADDRESS TYPE SCALE`, such as `1 s16 0.001`: the register at address 1, a signed number of
16 bits, in thousandths of our unit. Addresses begin at 0 as they stand on the wire (Modbus application protocol
V1.1b3, section 4.4); a manual's "40001" is address 0.
"""

from __future__ import annotations

import re
import struct
from collections.abc import Mapping, Sequence
from math import isfinite

from msgspec import Struct

TYPES = {"u16": (1, ">H"), "s16": (1, ">h"), "u32": (2, ">I"), "s32": (2, ">i"), "f32": (2, ">f")}
"""Name: how many registers, and how their bytes are read, high byte first."""

LAST_ADDRESS = 65_535
MOST_TOGETHER = 125
"""Registers in one question (Modbus application protocol V1.1b3, section 6.3)."""

_FORM = re.compile(r"([0-9]{1,5})\s+(u16|s16|u32|s32|f32)(?:\s+([0-9]{0,6}(?:\.[0-9]{1,9})?))?")


class Register(Struct, frozen=True):
    """One figure of a device: value = registers as `kind`, times `scale`."""

    address: int
    kind: str = "u16"
    scale: float = 1.0

    @property
    def length(self) -> int:
        """How many registers it takes."""
        return TYPES[self.kind][0]

    def value(self, registers: Mapping[int, int], *, low_word_first: bool = False) -> float:
        """Read the figure out of registers (0 to 65535 each); the order of two words is not a standard.

        Raises KeyError when a register is missing. Not a number comes back as it is.
        """
        words = [registers[self.address + number] for number in range(self.length)]
        if low_word_first:
            words.reverse()
        (value,) = struct.unpack(TYPES[self.kind][1], struct.pack(f">{len(words)}H", *words))
        return float(value) * self.scale

    @property
    def text(self) -> str:
        """As it is written in a station file."""
        return f"{self.address} {self.kind} {self.scale:.9f}".rstrip("0").rstrip(".")


def read_register(text: str) -> Register:
    """Read `ADDRESS TYPE [SCALE]`; raises ValueError saying what is accepted."""
    match = _FORM.fullmatch(text.strip().lower()) if text.isascii() else None
    if match is None:
        raise ValueError("an address, u16, s16, u32, s32 or f32, and a scale: 1 s16 0.001")
    scale = float(match[3]) if match[3] else 1.0
    register = Register(int(match[1]), match[2], scale)
    if not isfinite(scale) or scale <= 0:
        raise ValueError("a scale above 0, such as 0.001")
    if register.address + register.length - 1 > LAST_ADDRESS:
        raise ValueError(f"an address from 0 to {LAST_ADDRESS}")
    return register


def questions(registers: Sequence[Register]) -> tuple[tuple[int, int], ...]:
    """Return (first address, count) of the fewest reads that touch no register but those wanted.

    Only neighbours are read together: a device may refuse a question that spans a hole.
    """
    wanted = sorted({each.address + number for each in registers for number in range(each.length)})
    blocks: list[tuple[int, int]] = []
    for address in wanted:
        if blocks and address == sum(blocks[-1]) and blocks[-1][1] < MOST_TOGETHER:
            blocks[-1] = (blocks[-1][0], blocks[-1][1] + 1)
        else:
            blocks.append((address, 1))
    return tuple(blocks)
