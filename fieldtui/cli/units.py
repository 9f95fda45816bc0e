"""Kilometres or miles: one option for every command that tells a distance, and the station file behind it."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from fieldtui.radio.units import Unit

if TYPE_CHECKING:
    from fieldtui.cli.station_loading import LoadedStation

_SPELLINGS: dict[str, Unit] = {"km": "km", "mi": "mi", "metric": "km", "imperial": "mi"}
"""The spelling of the station file first; the others still work."""


def add_units_option(parser: argparse.ArgumentParser) -> None:
    """Declare `--units km|mi`, and `--miles` for `--units mi`."""
    group = parser.add_mutually_exclusive_group()
    group.add_argument(
        "--units",
        type=_unit,
        metavar="km|mi",
        help="distances in km or mi; left out, as the station file says",
    )
    group.add_argument(
        "--miles", action="store_const", const="mi", dest="units", help="the same as --units mi"
    )


def unit_of(options: argparse.Namespace, loaded: LoadedStation | None = None) -> Unit:
    """Give the unit that was asked for, else that of the station file, else km; a file that is broken says nothing."""
    if options.units is not None:
        asked: Unit = options.units
        return asked
    from fieldtui.cli.station_loading import StartError, load_station  # noqa: PLC0415

    try:
        station = (loaded or load_station(None)).station
    except StartError:
        return "km"
    return "mi" if station.screen.units == "mi" else "km"


def _unit(text: str) -> Unit:
    found = _SPELLINGS.get(text.strip().lower())
    if found is None:
        raise argparse.ArgumentTypeError("distances are in km or mi: write --units km or --units mi")
    return found
