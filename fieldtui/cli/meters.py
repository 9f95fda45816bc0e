"""From options and station file to the feeds that measure current: the pack's, and those beside it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fieldtui.screens.settings import MeterPort, ShuntPort
from fieldtui.session.modbus_meter import PARITIES, USUAL_BAUD
from fieldtui.session.station_fields import Station

if TYPE_CHECKING:
    from fieldtui.session.recorder import Role

Meter = ShuntPort | MeterPort


def meters(options: argparse.Namespace, station: Station) -> tuple[Meter | None, tuple[Meter, ...]]:
    """What measures the pack, if anything does, and the others.

    One pack has one meter: where a shunt is there, a second meter of the pack stands beside it.
    """
    shunt, modbus = _shunt(options, station), _modbus(station)
    others: list[Meter] = []
    if station.feeds.charger:
        others.append(ShuntPort(station.feeds.charger, role="charger"))
    if modbus is not None and modbus.role == "pack" and shunt is None:
        return modbus, tuple(others)
    if modbus is not None:
        others.append(modbus if modbus.role != "pack" else _modbus_as(modbus, "second"))
    return shunt, tuple(others)


def _shunt(options: argparse.Namespace, station: Station) -> ShuntPort | None:
    url = options.shunt or station.feeds.shunt
    if not url:
        return None
    return ShuntPort(
        url,
        options.baud or station.feeds.shunt_baud or 19200,
        "discharge" if station.feeds.amps_positive_is == "discharge" else "charge",
    )


def _modbus(station: Station) -> MeterPort | None:
    meter = station.modbus
    if meter.port is None or not meter.wanted:
        return None
    from fieldtui.feeds.modbus import ModbusDevice  # noqa: PLC0415  (few have such a meter)

    device = ModbusDevice(
        meter.registers,
        unit=meter.unit or 1,
        function=meter.function or 3,
        low_word_first=bool(meter.low_word_first),
        amps_positive_is="discharge" if meter.amps_positive_is == "discharge" else "charge",
    )
    parity = PARITIES[meter.parity or "even"]
    return MeterPort(meter.port, device, meter.baud or USUAL_BAUD, parity, _ROLES[meter.role or "pack"])


def _modbus_as(port: MeterPort, role: Role) -> MeterPort:
    return MeterPort(port.url, port.device, port.baud, port.parity, role)


_ROLES: dict[str, Role] = {"pack": "pack", "charger": "charger", "second": "second"}
