"""`fieldtui calc spurious`: harmonics behind an amplifier against the law, and the filter they need."""

from __future__ import annotations

import argparse

from fieldtui.cli.calc import Answer, Calculator
from fieldtui.cli.numbers import labelled, number, significant
from fieldtui.radio.spurious import Spurious, spurious, together_db
from fieldtui.radio.units import rounded_up


def _configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--mhz", type=number, required=True, metavar="MHZ", help="frequency of the signal")
    parser.add_argument(
        "--watts",
        type=number,
        required=True,
        metavar="W",
        help="mean watts into the line, after the amplifier",
    )
    parser.add_argument(
        "--suppression-db", type=number, required=True, metavar="DB",
        help="how far below the signal the radio's strongest harmonic is",
    )  # fmt: skip
    parser.add_argument(
        "--amplifier-suppression-db", type=number, metavar="DB",
        help="the same of the amplifier alone, if known; both add up in the worst case",
    )  # fmt: skip


_BEHIND_THE_LAST_BOX = "An amplifier lifts the harmonics of the radio with the signal and adds its own; measure behind the last box."


def _spurious(options: argparse.Namespace) -> Answer:
    suppression = options.suppression_db
    if options.amplifier_suppression_db is not None:
        suppression = together_db(suppression, options.amplifier_suppression_db)
    found = spurious(options.mhz, options.watts, suppression)
    limit = found.limit
    values = {
        # A level against the carrier: negative, as the unit has it.
        "limit_dbc": None if limit.below_db is None else round(-limit.below_db, 4),
        "limit_watts": None if limit.watts is None else significant(limit.watts),
        "measured_watts": significant(found.watts),
        "within": found.within,
        "filter_db_needed": None if found.filter_db_needed is None else round(found.filter_db_needed, 4),
        "source": _source(found),
        "source_status": limit.status,
        "suppression_db": round(suppression, 4),
    }
    return Answer(values, _lines(options, suppression, found), (("caution", _BEHIND_THE_LAST_BOX),))


def _lines(options: argparse.Namespace, suppression: float, found: Spurious) -> tuple[str, ...]:
    limit = found.limit
    lines = [
        (
            f"signal    {options.watts:g} W at {options.mhz:g} MHz; harmonics at {2 * options.mhz:g}, "
            f"{3 * options.mhz:g} MHz and so on"
        ),
        f"harmonic  {suppression:.1f} dB below it: {_watts(found.watts)}",
    ]
    if limit.watts is None or limit.below_db is None:
        lines.append("limit     no figure here")
        lines.append("verdict   cannot tell: keep it as low as good practice makes it")
    else:
        lines.append(f"limit     {rounded_up(limit.below_db, 1):.1f} dB below it: {_watts(limit.watts)}")
        lines += labelled("verdict", _verdict(found), 10)
    lines += labelled("source", _source(found), 10)
    return tuple(lines)


def _source(found: Spurious) -> str:
    """Name the rule, and how surely it is known."""
    limit = found.limit
    known = (
        " (from memory: read the paragraph before you rely on it)" if limit.status == "from memory" else ""
    )
    return f"{limit.source}: {limit.words}{known}"


def _verdict(found: Spurious) -> str:
    if found.within or found.filter_db_needed is None:
        return "within the limit"
    needed = rounded_up(found.filter_db_needed, 1)
    return f"TOO MUCH: put a low-pass filter of {needed:.1f} dB or more at the harmonic behind the amplifier"


def _watts(watts: float) -> str:
    for factor, unit in ((1.0, "W"), (1e3, "mW"), (1e6, "microwatts")):
        if watts * factor >= 1:
            return f"{watts * factor:.3g} {unit}"
    return f"{watts * 1e9:.3g} nanowatts"


CALCULATORS = {
    "spurious": Calculator(
        "Harmonics behind an amplifier against 47 CFR 97.307(c) to (e), and the filter they need.",
        "fieldtui calc spurious --mhz 146.52 --watts 50 --suppression-db 53",
        _configure,
        _spurious,
    ),
}
"""The calculator of this file by the word after `calc`."""
