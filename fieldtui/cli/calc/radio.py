"""The calculators of the radio room: `calc locator`, `call` and `allowed`."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING, NamedTuple

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.output import safe

if TYPE_CHECKING:
    from fieldtui.radio.locator import Cell
    from fieldtui.radio.us.privileges import Verdict

DIGITS = (4, 6, 8, 10)
USUAL_DIGITS = 6
LONGEST_CALL_SHOWN = 60
FM_FROM_HERTZ = 29_000_000
"""From here up a mode left out is FM, as in the files of channels."""

_DEGREES = r"[+-]?[0-9]{1,3}(?:\.[0-9]{0,12})?"
_COORDINATES = re.compile(rf"({_DEGREES})\s*,\s*({_DEGREES})")
_BEGINS_AS_NUMBER = re.compile(r"[+-]?[0-9.]")
_KILOHERTZ = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,3})?")


def read_place(text: str) -> tuple[float, float]:
    """Return latitude and longitude in degrees of a locator (its middle) or of `LAT,LON`.

    Raises ValueError, with what to write, for anything else.
    """
    from fieldtui.radio.locator import read_locator  # noqa: PLC0415

    coordinates = _read_coordinates(text)
    if coordinates:
        return coordinates
    cell = read_locator(text)
    return cell.lat_deg, cell.lon_deg


def open_metres(text: str) -> float:
    """Return how far a locator leaves its place open, half the diagonal of its cell; 0 for coordinates."""
    from fieldtui.radio.geodesy import cell_metres  # noqa: PLC0415

    return cell_metres(text)


def _read_coordinates(text: str) -> tuple[float, float] | None:
    """Return latitude and longitude, or None when the text is not meant as numbers."""
    found = _COORDINATES.fullmatch(text.strip())
    if found is None:
        if "," in text or _BEGINS_AS_NUMBER.match(text.strip()):
            raise ValueError(
                f"{safe(text)[:40]!a} is not a place: write LAT,LON in degrees, such as 44.31,-121.40"
            )
        return None
    lat_deg, lon_deg = float(found[1]), float(found[2])
    if abs(lat_deg) > 90 or abs(lon_deg) > 180:
        raise ValueError("latitude comes first, -90 to 90 degrees, then longitude, -180 to 180")
    return lat_deg, lon_deg


# locator


def _configure_locator(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "place", metavar="X", nargs="+", help="a locator, or LAT,LON in degrees north and east"
    )
    parser.add_argument(
        "--digits", type=int, choices=DIGITS, metavar="N", help="4, 6, 8 or 10 characters (6)"
    )


def _locator(options: argparse.Namespace) -> Answer:
    from fieldtui.radio.locator import locator_of, read_locator  # noqa: PLC0415

    text = " ".join(options.place)
    coordinates = _read_coordinates(text)
    if coordinates:
        cell = read_locator(locator_of(*coordinates, options.digits or USUAL_DIGITS))
        return _cell_answer(cell)
    cell = read_locator(text)
    if options.digits is None or options.digits == len(cell.locator):
        return _cell_answer(cell)
    other = read_locator(locator_of(cell.lat_deg, cell.lon_deg, options.digits))
    if options.digits < len(cell.locator):
        return _cell_answer(other)
    return _cell_answer(other, f"the middle of {cell.locator}: no more than that is known of the place")


def _cell_answer(cell: Cell, note: str | None = None) -> Answer:
    values = {
        "locator": cell.locator,
        **{
            name: round(getattr(cell, name), 9)
            for name in ("lat_deg", "lon_deg", "south_deg", "west_deg", "north_deg", "east_deg")
        },
        "note": note,
    }
    lines = [
        cell.locator,
        f"centre     {_degrees(cell.lat_deg, 'N', 'S')}  {_degrees(cell.lon_deg, 'E', 'W')}",
        f"latitude   {_degrees(cell.south_deg, 'N', 'S')} to {_degrees(cell.north_deg, 'N', 'S')}",
        f"longitude  {_degrees(cell.west_deg, 'E', 'W')} to {_degrees(cell.east_deg, 'E', 'W')}",
    ]
    return Answer(values, (*lines, note) if note else tuple(lines))


def _degrees(degrees: float, positive: str, negative: str) -> str:
    return f"{abs(degrees):.6f} {negative if degrees < 0 else positive}"


# call


def _configure_call(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("call", metavar="CALL", help="a call sign; ? for a character not heard")


def _call(options: argparse.Namespace) -> Answer:
    from fieldtui.radio.callsign import (  # noqa: PLC0415
        administration,
        district,
        foreign_prefix_suffix,
        read_call,
    )
    from fieldtui.radio.phonetics import spell  # noqa: PLC0415

    read = read_call(safe(options.call)[:LONGEST_CALL_SHOWN])
    values: dict[str, object] = {
        "call": read.text,
        "core": read.core,
        "shape": read.shape,
        "administration": administration(read.text),
        "spoken": spell(read.text),
        "indicators": list(read.indicators),
        "location_prefix": read.location_prefix,
        "district": district(read.text),
        "warning": foreign_prefix_suffix(read.text),
    }
    shapes = {"usual": "a usual shape", "unusual": "an unusual shape", "no": "not the shape of a call sign"}
    lines = [
        f"{read.text}: {shapes[read.shape]}",
        str(values["spoken"]),
        str(values["administration"] or "not in the ITU table, or too little heard to tell"),
    ]
    lines += [str(values[key]) for key in ("district", "warning") if values[key]]
    return Answer(values, tuple(lines))


# allowed


def _configure_allowed(parser: argparse.ArgumentParser) -> None:
    from fieldtui.radio.us.segments import LICENCES  # noqa: PLC0415

    parser.add_argument("mhz", metavar="MHZ", help="what the dial shows, such as 146.52")
    parser.add_argument("--mode", metavar="MODE", help="FM, USB, CW ...; from 29 MHz up FM when left out")
    parser.add_argument(
        "--licence", metavar="CLASS", help=f"{', '.join(LICENCES)}; left out, that of the station file"
    )
    parser.add_argument("--rules", choices=("us",), default="us", help="whose rules: us, 47 CFR part 97")
    parser.add_argument(
        "--region",
        type=int,
        choices=(1, 2, 3),
        help="ITU Region; left out, that of the station file or its place",
    )
    parser.add_argument(
        "--width-khz", metavar="X", type=_kilohertz, dest="width_hertz", help="if not the mode's usual width"
    )
    parser.add_argument(
        "--at",
        metavar="PLACE",
        help="a locator, or LAT,LON: it decides on 70 cm and 33 cm; left out, that of the station file",
    )


def _kilohertz(text: str) -> int:
    """Return whole hertz from kilohertz with a point."""
    if not _KILOHERTZ.fullmatch(text) or not float(text):
        raise argparse.ArgumentTypeError(f"{safe(text)[:20]!a} is not a width: write kilohertz, such as 12.5")
    return round(float(text) * 1000)


class _Who(NamedTuple):
    """Licence, ITU Region and place, and in words what of them the station file told."""

    licence: str
    region: int
    place: str | None
    taken: str


def _allowed(options: argparse.Namespace) -> Answer:
    from fieldtui.radio.frequency import format_megahertz, read_megahertz  # noqa: PLC0415
    from fieldtui.radio.locator import cell_of  # noqa: PLC0415
    from fieldtui.radio.modes import mode_named  # noqa: PLC0415
    from fieldtui.radio.us.privileges import check_allowed  # noqa: PLC0415

    hertz = read_megahertz(options.mhz)
    mode = mode_named(_mode_text(options.mode, hertz)).name
    who = _who(options)
    lat_deg, lon_deg = read_place(who.place) if who.place is not None else (None, None)
    verdict = check_allowed(
        hertz,
        mode,
        licence=who.licence,
        region=who.region,
        width_hertz=options.width_hertz,
        lat_deg=lat_deg,
        lon_deg=lon_deg,
        cell=cell_of(who.place.strip()) if who.place is not None else None,
    )
    asked: dict[str, object] = {
        "hertz": hertz,
        "mode": mode,
        "licence": who.licence,
        "rules": options.rules,
        "region": who.region,
        "place": who.place,
        "note": who.taken or None,
    }
    return Answer(
        _verdict_values(verdict) | asked | {"place_note": verdict.note or None},
        _verdict_lines(f"{format_megahertz(hertz)} MHz {mode}, {who.licence}", verdict, who.taken),
    )


def _who(options: argparse.Namespace) -> _Who:
    """Take what the options leave open from the station file."""
    from fieldtui.cli.station_loading import law_of_station, load_station  # noqa: PLC0415
    from fieldtui.radio.where.law import NOTHING  # noqa: PLC0415

    if None not in (options.licence, options.region, options.at):
        return _Who(options.licence.lower(), options.region, options.at, "")
    station = load_station(None).station
    operator = station.operator
    licence = options.licence or operator.licence
    if licence is None:
        raise ValueError("give --licence CLASS, or set licence in the station file")
    law = law_of_station(station, _locator_at(options.at))
    region = options.region or law.region or 2
    # Asked about another region, the usual place says nothing.
    place = options.at or (station.place.locator if region == (law.region or 2) else None)
    taken = [
        words
        for words, given, found in (
            (f"licence {licence.lower()}", options.licence, operator.licence),
            (f"ITU Region {region}", options.region, operator.region),
            (f"place {place}", options.at, place),
        )
        if given is None and found is not None
    ]
    told = [f"taken from the station file: {', '.join(taken)}"] if taken else []
    if options.region is None and operator.region is None:
        source = f" from {law.region_from}" if law.region and law.region_from != NOTHING else ""
        told.append(f"ITU Region {region} assumed{source}")
    return _Who(licence.lower(), region, place, "; ".join(told))


def _locator_at(place: str | None) -> str | None:
    """The locator of a place that was asked about: as it is, or that of its coordinates."""
    from fieldtui.radio.locator import is_locator, locator_of  # noqa: PLC0415

    if place is None or is_locator(place.strip()):
        return place and place.strip()
    return locator_of(*read_place(place))


def _mode_text(given: str | None, hertz: int) -> str:
    if given is None and hertz < FM_FROM_HERTZ:
        raise ValueError("give --mode below 29 MHz, such as --mode USB")
    return given or "FM"


def _verdict_values(verdict: Verdict) -> dict[str, object]:
    keys = ("allowed", "why", "max_watts", "measure", "segment", "usual_use", "source")
    return {key: getattr(verdict, key) for key in keys}


def _verdict_lines(asked: str, verdict: Verdict, taken: str) -> tuple[str, ...]:
    word = {True: "yes", False: "NO", None: "cannot tell"}[verdict.allowed]
    told = (("segment", verdict.segment), ("usual use", verdict.usual_use), ("source", verdict.source))
    lines = (f"{asked}: {word}", verdict.why, *(f"{name}: {text}" for name, text in told if text))
    return (*lines, taken) if taken else lines


CALCULATORS = {
    "locator": Calculator(
        "A locator from coordinates, or the cell that a locator names.",
        "fieldtui calc locator 44.31,-121.40 --digits 8",
        _configure_locator,
        _locator,
    ),
    "call": Calculator(
        "The parts of a call sign, who issued it, and how it is spoken.",
        "fieldtui calc call K1QRN/P",
        _configure_call,
        _call,
    ),
    "allowed": Calculator(
        "May this be sent here by this licence? Advice: the licence and the rule in force win.",
        "fieldtui calc allowed 146.52 --mode FM --licence technician",
        _configure_allowed,
        _allowed,
    ),
}
