"""The section [modbus] of the station file: how each key of a `ModbusMeter` is read."""

from __future__ import annotations

from fieldtui.power.registers import read_register
from fieldtui.radio.outside_text import RefusedError, quoted
from fieldtui.station import values
from fieldtui.station.meter import PARITIES
from fieldtui.station.setting import Setting
from fieldtui.station.values import one_of, text, whole


@values.accepting("address, type and scale, such as 0 u16 0.001")
def register(value: object) -> str:
    """Take `ADDRESS TYPE SCALE`; it comes back in its usual form."""
    written = str(text(40)(value))
    try:
        return read_register(written).text
    except ValueError as error:
        raise RefusedError(f"{quoted(written)} is not a register", str(error)) from None


MODBUS_SECTION = {
    "modbus": "A battery meter that speaks Modbus RTU; the registers stand in its manual, counted from 0.",
}

MODBUS_SETTINGS = (
    Setting("modbus", "port", values.port, "Its port.", '"/dev/serial/by-id/usb-meter-if00-port0"', option="modbus-port"),
    Setting(
        "modbus", "role", one_of(lambda: ("pack", "charger", "second")),
        "What it measures: the pack, what a charger gives, or something else beside the shunt.",
        '"charger"', option="modbus-role",
    ),
    Setting(
        "modbus", "baud", whole(300, 921_600, "baud"),
        "Speed of the line; many cheap meters have 9600.", "19200", option="modbus-baud",
    ),
    Setting(
        "modbus", "parity", one_of(lambda: tuple(PARITIES)),
        "even, none or odd; even by the standard, none on many cheap meters.", '"even"', option="modbus-parity",
    ),
    Setting("modbus", "unit", whole(1, 247, "(unit)"), "Its address on the line.", "1", option="modbus-unit"),
    Setting(
        "modbus", "function", whole(3, 4, "(function)"),
        "3 reads holding registers, 4 input registers.", "3", option="modbus-function",
    ),
    Setting(
        "modbus", "amps_positive_is", one_of(lambda: ("charge", "discharge")),
        "What it calls positive: charge or discharge. Never guessed.", '"charge"', option="modbus-amps-positive-is",
    ),
    Setting(
        "modbus", "low_word_first", values.yes_or_no,
        "Whether a number of 32 bits begins with its low word.", "false", option="modbus-low-word-first",
    ),
    Setting(
        "modbus", "volts", register,
        "Address, type (u16, s16, u32, s32, f32) and scale of the volts.", '"0 u16 0.001"', option="modbus-volts",
    ),
    Setting("modbus", "amps", register, "The same of the amps.", '"1 s16 0.001"', option="modbus-amps"),
    Setting(
        "modbus", "charge_percent", register,
        "The same of the charge in per cent.", '"2 u16 0.1"', option="modbus-charge-percent",
    ),
    Setting(
        "modbus", "temperature_c", register,
        "The same of the temperature in degrees Celsius.", '"3 s16 0.1"', option="modbus-temperature-c",
    ),
    Setting("modbus", "lines", values.lines, values.LINES_COMMENT, '"down"', option="modbus-lines"),
    Setting(
        "modbus", "no_modem", values.yes_or_no,
        "Ask also what a packet modem would take for a frame and send. CAUTION: true only where none can be.",
        "false", option="modbus-no-modem",
    ),
)  # fmt: skip
"""The keys of the section, in the order of the file."""
