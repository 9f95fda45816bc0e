"""A battery meter that answers with registers, as the station file tells of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from fieldtui.power.registers import Register

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
    lines: str | None = None
    no_modem: bool | None = None

    @property
    def registers(self) -> Mapping[str, Register]:
        """Where each quantity that was named is kept."""
        from fieldtui.power.registers import read_register  # noqa: PLC0415  (few have such a meter)

        named = ((name, getattr(self, name)) for name in QUANTITIES)
        return {name: read_register(written) for name, written in named if written is not None}

    @property
    def wanted(self) -> bool:
        """Whether there is a device to ask, and something to ask it for."""
        return self.port is not None and bool(self.registers)
