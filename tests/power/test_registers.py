"""Registers as a station file writes them."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldtui.power.registers import MOST_TOGETHER, TYPES, Register, questions, read_register


@pytest.mark.parametrize(
    ("text", "register"),
    [
        ("0 u16", Register(0, "u16", 1.0)),
        (" 1  S16   0.001 ", Register(1, "s16", 0.001)),
        ("65535 u16 10", Register(65_535, "u16", 10.0)),
        ("2 f32 .5", Register(2, "f32", 0.5)),
    ],
)
def test_what_is_written_is_read(text: str, register: Register) -> None:
    assert read_register(text) == register
    assert read_register(register.text) == register


@pytest.mark.parametrize(
    "text",
    [
        "",
        "u16",
        "0",
        "0 u8",
        "-1 u16",
        "0 u16 -1",
        "0 u16 0",
        "65535 u32",
        "70000 u16",
        "0 u16 nan",
        "0 u16 1e3",
    ],
)
def test_what_is_no_register_is_refused_with_what_is(text: str) -> None:
    with pytest.raises(ValueError, match=r"an address|a scale"):
        read_register(text)


@given(st.sampled_from(sorted(TYPES)), st.integers(-(2**31), 2**32 - 1))
def test_a_number_is_read_as_the_struct_module_packs_it(kind: str, number: int) -> None:
    """The Python library is the second opinion; high byte first (Modbus application protocol V1.1b3, 4.2)."""
    length, form = TYPES[kind]
    try:
        packed = struct.pack(form, float(number) if kind == "f32" else number)
    except struct.error:
        return
    words = struct.unpack(f">{length}H", packed)
    expected = struct.unpack(form, packed)[0]
    assert Register(7, kind).value(dict(enumerate(words, 7))) == expected
    turned = dict(enumerate(reversed(words), 7))
    assert Register(7, kind).value(turned, low_word_first=True) == expected


@given(
    st.lists(
        st.builds(Register, st.integers(0, 400), st.sampled_from(sorted(TYPES))), min_size=1, max_size=60
    )
)
def test_every_wanted_register_is_asked_for_once_and_no_other(registers: list[Register]) -> None:
    asked = [at for address, count in questions(registers) for at in range(address, address + count)]
    assert asked == sorted({each.address + at for each in registers for at in range(each.length)})
    assert all(1 <= count <= MOST_TOGETHER for _, count in questions(registers))
