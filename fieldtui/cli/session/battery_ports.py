"""From options and station file to the feeds that measure current: the pack's, and those beside it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from msgspec.structs import replace

from fieldtui.cli.port_use import CHARGER, METER, SHUNT, PortUse, device_of, raised, section_of
from fieldtui.live.ports import MeterPort, ShuntPort
from fieldtui.station.fields import Station
from fieldtui.station.meter import PARITIES, USUAL_BAUD

if TYPE_CHECKING:
    from fieldtui.session.recording.battery import Role

Meter = ShuntPort | MeterPort


def meters(
    options: argparse.Namespace, station: Station, use: PortUse
) -> tuple[Meter | None, tuple[Meter, ...]]:
    """What measures the pack, if anything does, and the others; not those whose port another section has.

    One pack has one meter: where a shunt is there, a second meter of the pack stands beside it.
    """
    shunt, modbus = _shunt(options, station, use), _modbus(station, use)
    others: list[Meter] = []
    if station.feeds.charger and CHARGER not in use.refused:
        lines = raised(station.feeds.charger_lines, station.feeds.charger, station.feeds.charger)
        others.append(
            ShuntPort(station.feeds.charger, role="charger", lines=lines, others=use.before(CHARGER))
        )
    if modbus is not None and modbus.role == "pack" and shunt is None:
        return modbus, tuple(others)
    if modbus is not None:
        others.append(replace(modbus, role="second") if modbus.role == "pack" else modbus)
    return shunt, tuple(others)


def _shunt(options: argparse.Namespace, station: Station, use: PortUse) -> ShuntPort | None:
    url = options.shunt or station.feeds.shunt
    if not url:
        return None
    return ShuntPort(
        url,
        options.baud or station.feeds.shunt_baud or 19200,
        "discharge" if station.feeds.amps_positive_is == "discharge" else "charge",
        lines=raised(station.feeds.shunt_lines, url, station.feeds.shunt),
        others=use.before(section_of(use, SHUNT)),
    )


def _modbus(station: Station, use: PortUse) -> MeterPort | None:
    meter, device = station.modbus, device_of(station)
    if meter.port is None or device is None or METER in use.refused:
        return None
    return MeterPort(
        meter.port,
        device,
        meter.baud or USUAL_BAUD,
        PARITIES[meter.parity or "even"],
        _ROLES[meter.role or "pack"],
        lines=raised(meter.lines, meter.port, meter.port),
        others=use.before(METER),
    )


_ROLES: dict[str, Role] = {"pack": "pack", "charger": "charger", "second": "second"}
