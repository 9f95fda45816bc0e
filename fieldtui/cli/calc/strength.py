"""`fieldtui calc strength`: the reports of a session beside what was to be expected."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.calc.ground import USUAL_WATTS, add_tile_options, over_ground
from fieldtui.cli.exits import CALL_AT_FAULT, DATA_AT_FAULT
from fieldtui.cli.files import file_fault
from fieldtui.cli.numbers import number
from fieldtui.cli.output import safe
from fieldtui.cli.station_loading import load_station
from fieldtui.cli.units import add_units_option, unit_of
from fieldtui.radio.level import DB_PER_S_UNIT
from fieldtui.radio.units import METRES_PER_MILE, Unit

if TYPE_CHECKING:
    from fieldtui.planning.session_strength import Equipment
    from fieldtui.planning.strength import Compared, Strengths


def _configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("journal", metavar="JOURNAL", type=Path)
    parser.add_argument("--watts", type=number, metavar="W", help="where a contact has no power of its own")
    parser.add_argument("--gain-dbi", type=number, default=0.0, metavar="G", help="gain of your antenna (0)")
    parser.add_argument("--gain-there-dbi", type=number, default=0.0, metavar="G", help="gain of theirs (0)")
    parser.add_argument("--loss-db", type=number, default=0.0, metavar="L", help="loss of the feed lines (0)")
    parser.add_argument("--height-m", type=number, metavar="M", help="height of your antenna above the sea")
    parser.add_argument("--antenna-m", type=number, default=2.0, metavar="M", help="or above the ground (2)")
    parser.add_argument(
        "--antenna-there-m", type=number, default=2.0, metavar="M", help="theirs above the ground (2)"
    )
    add_tile_options(parser)
    add_units_option(parser)


def _answer(options: argparse.Namespace) -> Answer:
    from fieldtui.cli.journals import fold  # noqa: PLC0415
    from fieldtui.planning.session_strength import heard_of  # noqa: PLC0415
    from fieldtui.planning.strength import expected_vs_reported  # noqa: PLC0415
    from fieldtui.session.contact_facts import whereabouts  # noqa: PLC0415

    folded = fold(options.journal)
    if folded is None:
        # What is wrong with the journal has been said.
        raise SystemExit(CALL_AT_FAULT if file_fault(options.journal) else DATA_AT_FAULT)
    state, _ = folded
    standing = state.contacts.standing()
    notes = []
    if options.watts is None and any(contact.watts is None for contact in standing):
        notes.append(f"{USUAL_WATTS:g} W taken where the journal names no power (--watts)")
    equipment = _equipment(options)
    heard, ground = over_ground(
        options,
        load_station(None),
        lambda tiles: [
            heard_of(contact, whereabouts(state, contact), equipment, tiles) for contact in standing
        ],
    )
    told = expected_vs_reported([one for one in heard if one is not None])
    notes += ground.notes
    if ground.tiles is None:
        notes.append("a smooth earth at sea level is assumed (--terrain takes the ground); hills take more")
    return Answer(_values(told, notes) | {"terrain": ground.folder}, _lines(told, notes, unit_of(options)))


def _equipment(options: argparse.Namespace) -> Equipment:
    from fieldtui.planning.session_strength import Equipment  # noqa: PLC0415

    return Equipment(
        options.watts or USUAL_WATTS,
        options.gain_dbi,
        options.gain_there_dbi,
        options.loss_db,
        options.height_m,
        options.antenna_m,
        options.antenna_there_m,
    )


def _values(told: Strengths, notes: list[str]) -> dict[str, Any]:
    return {
        "contacts": [
            {
                "call": one.call,
                "report": one.report,
                "distance_m": one.distance_m and round(one.distance_m, 1),
                "expected_s_units": _rounded(one.expected),
                "reported_s_units": _rounded(one.reported),
                "difference_s_units": _rounded(one.difference),
                "expected_uncertainty_s_units": _rounded(
                    None if one.uncertainty_db is None else one.uncertainty_db / DB_PER_S_UNIT
                ),
                "why": one.why,
            }
            for one in told.contacts
        ],
        "used": told.used,
        "median_s_units": _rounded(told.median_s_units),
        "spread_s_units": _rounded(told.spread_s_units),
        "suggests": told.suggests,
        "caution": told.caution,
        "notes": notes,
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _lines(told: Strengths, notes: list[str], unit: Unit) -> tuple[str, ...]:
    rows = [f"{'call':<12} {'report':<7} {unit:>6} {'expected':>9} {'difference':>11}"]
    rows += [_row(one, unit) for one in told.contacts]
    middle = ""
    if told.median_s_units is not None:
        middle = f"middle of {told.used}: {told.median_s_units:+.1f} S units; "
    return (*rows, "", f"{middle}{told.suggests}", told.caution, *(f"note: {note}" for note in notes))


def _row(one: Compared, unit: Unit) -> str:
    metres = METRES_PER_MILE if unit == "mi" else 1000
    far = "?" if one.distance_m is None else f"{one.distance_m / metres:.0f}"
    from fieldtui.planning.strength import strength_words  # noqa: PLC0415

    between = one.why or ("" if one.difference is None else f"{one.difference:+.1f} S")
    return f"{safe(one.call):<12} {safe(one.report or '-'):<7} {far:>6} {strength_words(one.expected):>9} {between:>11}"


CALCULATORS = {
    "strength": Calculator(
        "The reports that a session brought beside the strength that was to be expected. Reports are rough.",
        "fieldtui calc strength sample_sessions/2026-06-14-1650-larkspur-ridge.jsonl --height-m 1200",
        _configure,
        _answer,
    ),
}
"""The calculators of this file by the word after `calc`."""
