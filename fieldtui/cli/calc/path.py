"""`fieldtui calc path`: distance, bearing, line of sight, losses and strength between two places."""

from __future__ import annotations

import argparse
import math
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING, Any

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.calc.ground import (
    USUAL_MHZ,
    USUAL_WATTS,
    add_radio_options,
    add_terrain_options,
    drawing_size,
    near_of,
    over_ground,
    write_svg,
)
from fieldtui.cli.calc.radio import open_metres, read_place
from fieldtui.cli.numbers import number
from fieldtui.cli.output import drawing_style, safe
from fieldtui.cli.station_loading import load_station
from fieldtui.cli.units import add_units_option, unit_of
from fieldtui.radio.units import METRES_PER_MILE, Unit

if TYPE_CHECKING:
    from fieldtui.cli.calc.ground import Ground
    from fieldtui.planning.path import End, ReckonedPath, Reckoning
    from fieldtui.radio.declination import Declination

_ALL_LOST_DB = 200
"""More than this is a number without a meaning for people."""


def read_end(text: str, height_m: float | None, antenna_m: float) -> End:
    """Return an end of a path from a locator or `LAT,LON`; a locator leaves its cell open."""
    from fieldtui.planning.path import End  # noqa: PLC0415
    from fieldtui.radio.locator import cell_of  # noqa: PLC0415

    lat_deg, lon_deg = read_place(text)
    return End(lat_deg, lon_deg, open_metres(text), height_m, antenna_m, cell_of(text))


def _configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("here", metavar="A", help="a locator (its middle), or LAT,LON in degrees")
    parser.add_argument("there", metavar="B", help="the other place, likewise")
    add_radio_options(parser)
    parser.add_argument("--height-there-m", type=number, metavar="M", help="the same at B")
    parser.add_argument(
        "--antenna-there-m", type=number, default=2.0, metavar="M", help="the same above the ground at B (2)"
    )
    add_terrain_options(parser)
    add_units_option(parser)
    parser.add_argument("--on", type=_day, metavar="DATE", help="day of the compass bearing (today)")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{safe(text)[:20]!a} is not a date: write it like 2026-06-14"
        ) from None


def _answer(options: argparse.Namespace) -> Answer:
    from fieldtui.planning.path import reckon_path  # noqa: PLC0415

    loaded = load_station(None)
    near = near_of(options, loaded)
    radios = near.radios
    here = read_end(options.here, options.height_m, near.antenna_m)
    there = read_end(options.there, options.height_there_m, options.antenna_there_m)
    path, ground = over_ground(options, loaded, lambda tiles: reckon_path(here, there, radios, tiles))
    compass = _declination(here, options.on)
    notes = [*near.notes, *ground.notes, *(path.reckoning.notes if path.reckoning else ())]
    if options.svg is not None:
        notes.append(_write_picture(path, radios.hertz, options, ground))
    values = _way_values(path, compass) | _reckoning_values(path.reckoning)
    values |= {"terrain": ground.folder, "notes": notes}
    return Answer(values, _lines(path, compass, radios.hertz, options, notes))


def _declination(here: End, day: date | None) -> Declination:
    from fieldtui.radio.declination import declination  # noqa: PLC0415

    noon = datetime.combine(day, time(12), UTC) if day else datetime.now(UTC)
    return declination(here.lat_deg, here.lon_deg, noon)


def _write_picture(path: ReckonedPath, hertz: float, options: argparse.Namespace, ground: Ground) -> str:
    from fieldtui.outputs.pictures.profile import profile_svg  # noqa: PLC0415

    reckoning = path.reckoning
    if reckoning is None or reckoning.profile is None:
        no_ground = ground.note if ground.tiles is None else ""
        raise ValueError(f"--svg draws the ground: {no_ground or 'give --terrain DIR and two places apart'}")
    names = options.here.strip(), options.there.strip()
    picture = profile_svg(
        reckoning.profile, reckoning.height1_m, reckoning.height2_m, hertz, names=(names[0], names[1])
    )
    return write_svg(picture, options.svg, replace=options.replace)


def _way_values(path: ReckonedPath, compass: Declination) -> dict[str, Any]:
    from fieldtui.radio.declination import magnetic_bearing  # noqa: PLC0415
    from fieldtui.radio.geodesy import compass_point  # noqa: PLC0415

    way, bearing_deg = path.way, path.way.bearing_deg
    if way.distance_m < 1:
        bearing_deg = None
    known = bearing_deg is not None
    return {
        "distance_m": round(way.distance_m, 3),
        "distance_uncertainty_m": round(path.uncertainty_m, 1),
        "bearing_deg": _rounded(bearing_deg, 6),
        "bearing_uncertainty_deg": _rounded(path.bearing_uncertainty_deg, 2),
        "back_bearing_deg": _rounded(way.back_bearing_deg, 6) if known else None,
        "compass": compass_point(bearing_deg) if bearing_deg is not None else None,
        "declination_deg": round(compass.declination_deg, 3),
        "declination_uncertainty_deg": round(compass.uncertainty_deg, 2),
        "declination_in_date": compass.in_date,
        "compass_reliable": compass.compass_reliable,
        "magnetic_bearing_deg": _rounded(magnetic_bearing(bearing_deg, compass.declination_deg), 3)
        if bearing_deg is not None
        else None,
    }


_RECKONED = (
    "horizon_m", "line_of_sight", "free_space_loss_db", "diffraction_loss_db", "ridge_loss_db", "round_earth_db",
    "received_dbm", "s_units", "over_s9_db", "uncertainty_db", "s_units_low", "s_units_high", "height_m",
    "height_there_m", "fresnel_zones_clear", "tightest_at_m", "highest_ground_m", "distance_low_m", "distance_high_m",
    "received_low_dbm", "received_high_dbm", "line_of_sight_varies", "no_strength_because",
)  # fmt: skip


def _reckoning_values(reckoning: Reckoning | None) -> dict[str, Any]:
    if reckoning is None:
        return dict.fromkeys(_RECKONED)
    tight, profile, spread = reckoning.clearance, reckoning.profile, reckoning.spread
    known = not reckoning.no_strength
    return {
        "horizon_m": round(reckoning.horizon_m, 1),
        "line_of_sight": reckoning.line_of_sight,
        "free_space_loss_db": round(reckoning.free_space_db, 3),
        "diffraction_loss_db": round(reckoning.diffraction_db, 3),
        "ridge_loss_db": round(reckoning.ridge_db, 3),
        "round_earth_db": round(reckoning.round_earth_db, 3),
        "received_dbm": round(reckoning.dbm, 3) if known else None,
        "s_units": reckoning.signal.s_units if known else None,
        "over_s9_db": round(reckoning.signal.over_s9_db, 3) if known else None,
        "uncertainty_db": round(reckoning.uncertainty_db, 1) if known else None,
        "s_units_low": reckoning.low.s_units if known else None,
        "s_units_high": reckoning.high.s_units if known else None,
        "distance_low_m": round(spread.nearest_m, 1) if spread else None,
        "distance_high_m": round(spread.farthest_m, 1) if spread else None,
        "received_low_dbm": round(spread.weakest_dbm, 1) if spread else None,
        "received_high_dbm": round(spread.strongest_dbm, 1) if spread else None,
        "line_of_sight_varies": spread.sight_varies if spread else False,
        "no_strength_because": reckoning.no_strength or None,
        "height_m": round(reckoning.height1_m, 1),
        "height_there_m": round(reckoning.height2_m, 1),
        "fresnel_zones_clear": round(tight.zones, 3) if tight else None,
        "tightest_at_m": round(tight.at_m, 1) if tight else None,
        "highest_ground_m": round(max(profile.heights_m), 1) if profile else None,
    }


def _rounded(value: float | None, digits: int) -> float | None:
    return None if value is None else round(value, digits)


def _lines(
    path: ReckonedPath, compass: Declination, hertz: float, options: argparse.Namespace, notes: list[str]
) -> tuple[str, ...]:
    reckoning, unit = path.reckoning, unit_of(options)
    if reckoning is None:
        return ("A and B are one place: there is no bearing, and no path to calculate",)
    lines = [*_way_lines(path, compass, unit), *_strength_lines(reckoning, hertz, unit)]
    if reckoning.profile is not None:
        from fieldtui.planning.draw_profile import draw_profile  # noqa: PLC0415

        width, height = drawing_size()
        drawn = draw_profile(
            reckoning.profile,
            reckoning.height1_m,
            reckoning.height2_m,
            hertz,
            width=width,
            height=height,
            style=drawing_style(ascii_only=options.ascii),
        )
        lines += ["", *drawn, ""]
    return (*lines, *(f"note      {note}" for note in notes))


def _way_lines(path: ReckonedPath, compass: Declination, unit: Unit) -> list[str]:
    from fieldtui.radio.declination import MODEL, magnetic_bearing  # noqa: PLC0415
    from fieldtui.radio.geodesy import compass_point  # noqa: PLC0415

    way, turn_deg = path.way, path.bearing_uncertainty_deg or 0.0
    bearing_deg, back_deg = way.bearing_deg or 0.0, way.back_bearing_deg or 0.0
    about = (
        f" (+- {_distance(path.uncertainty_m, unit)}: the cells of the locators)"
        if path.uncertainty_m
        else ""
    )
    aim = f" +- {math.ceil(turn_deg)}" if turn_deg >= 0.5 else ""
    lines = [
        f"distance  {_distance(way.distance_m, unit)}{about}",
        f"bearing   {bearing_deg:.1f}{aim} degrees true, {compass_point(bearing_deg)}; back {back_deg:.1f}",
    ]
    if not compass.compass_reliable:
        return [*lines, "compass   no help here: the horizontal field is too weak"]
    magnetic_deg = magnetic_bearing(bearing_deg, compass.declination_deg)
    declined = f"{abs(compass.declination_deg):.1f} {'W' if compass.declination_deg < 0 else 'E'}"
    dated = "" if compass.in_date else "; the date is outside the model's years"
    lines.append(
        f"compass   {magnetic_deg:.0f} degrees magnetic, declination {declined} +- "
        f"{compass.uncertainty_deg:.1f} ({MODEL.split(' (', maxsplit=1)[0]}{dated})"
    )
    return lines


def _strength_lines(reckoning: Reckoning, hertz: float, unit: Unit) -> list[str]:
    tight = reckoning.clearance
    room = ""
    if tight and tight.metres < 0:
        room = f", the ground stands {-tight.metres:.0f} m into the line {_distance(tight.at_m, unit)} from A"
    elif tight:
        room = (
            f", {tight.zones:.1f} Fresnel zones clear at the tightest, {_distance(tight.at_m, unit)} from A"
        )
    bent_db = reckoning.diffraction_db
    bent = f"{bent_db:.1f}" if bent_db < _ALL_LOST_DB else f"more than {_ALL_LOST_DB}"
    losses = f"{reckoning.free_space_db:.1f} dB in free space, {bent} dB by diffraction"
    arrives = f"{reckoning.dbm:.0f} dBm" if reckoning.dbm > -_ALL_LOST_DB else "nothing"
    return [
        f"antennas  {reckoning.height1_m:.0f} m and {reckoning.height2_m:.0f} m above the sea",
        f"horizon   {_distance(reckoning.horizon_m, unit)} for both over a smooth earth; {reckoning.sight_words}{room}",
        f"loss      {losses}, at {hertz / 1e6:g} MHz",
        f"received  {_received(reckoning, arrives)}",
    ]


def _received(reckoning: Reckoning, arrives: str) -> str:
    if reckoning.no_strength:
        return reckoning.strength_words
    low, high = reckoning.low.text, reckoning.high.text
    strength = low if low == high else f"{low} to {high}"
    cells = ", the cells of the locators counted" if reckoning.spread else ""
    return f"{arrives}, {strength} on the IARU scale (+- {math.ceil(reckoning.uncertainty_db)} dB{cells})"


def _distance(metres: float, unit: Unit) -> str:
    value = metres / (METRES_PER_MILE if unit == "mi" else 1000)
    return f"{value:.2f} {unit}" if value < 9.995 else f"{value:.1f} {unit}"


CALCULATORS = {
    "path": Calculator(
        "Between two places: distance, bearings, line of sight, losses, and the strength to expect. "
        "Heights are above the sea. Estimates: +- 10 dB at best. "
        f"Without --watts the station of your station file, "
        f"without one {USUAL_WATTS:g} W; without --mhz {USUAL_MHZ:g} MHz.",
        "fieldtui calc path CN94hb CN85mm --mhz 146.52 --watts 10 --height-m 1200 --height-there-m 90",
        _configure,
        _answer,
    ),
}
"""The calculators of this file by the word after `calc`."""
