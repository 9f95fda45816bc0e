"""The section [modbus] of the station file: a battery meter that answers with registers."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from fieldtui.power.registers import Register, read_register
from fieldtui.radio.outside_text import RefusedError, quoted
from fieldtui.session import station_values as values
from fieldtui.session.setting import Setting
from fieldtui.session.station_values import one_of, text, whole

USUAL_BAUD = 19_200
QUANTITIES = ("volts", "amps", "charge_percent", "temperature_c")
PARITIES = {"even": "E", "none": "N", "odd": "O"}


class ModbusMeter(Struct, frozen=True):
    """Everything may be missing; without a port and one register nothing is asked.

    `role` is `pack`, `charger` or `second`. Registers are written as `fieldtui.power.registers` has it.
    """

    port: str | None = None
    role: str | None = None
    baud: int | None = None
    parity: str | None = None
    unit: int | None = None
    function: int | None = None
    amps_positive_is: str | None = None
    low_word_first: bool | None = None
    volts: str | None = None
    amps: str | None = None
    charge_percent: str | None = None
    temperature_c: str | None = None

    @property
    def registers(self) -> Mapping[str, Register]:
        """Where each quantity that was named is kept."""
        named = ((name, getattr(self, name)) for name in QUANTITIES)
        return {name: read_register(written) for name, written in named if written is not None}

    @property
    def wanted(self) -> bool:
        """Whether there is a device to ask, and something to ask it for."""
        return self.port is not None and bool(self.registers)


def register(value: object) -> str:
    """Take `ADDRESS TYPE SCALE`; it comes back in its usual form."""
    written = str(text(40)(value))
    try:
        return read_register(written).text
    except ValueError as error:
        raise RefusedError(f"{quoted(written)} is no register", str(error)) from None


MODBUS_SECTION = {
    "modbus": "A battery meter that speaks Modbus RTU; the registers stand in its manual, counted from 0.",
}

MODBUS_SETTINGS = (
    Setting("modbus", "port", values.port, "Its port.", '"/dev/ttyUSB1"', option="modbus-port"),
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
)  # fmt: skip
"""The keys of the section, in the order of the file."""
